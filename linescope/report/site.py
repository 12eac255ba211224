"""What was brought as ground, in words, and the lines of a scene that go with it."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np

from linescope.notes import Quantity, Verbatim
from linescope.report.writer import Writer
from linescope.terrain.site_file import SiteFile
from linescope.words import Words


def site_text(site: SiteFile, path: Path, words: Words) -> str:
    """What a site file holds and what was assumed on the way, then the lines to put into a scene.

    Parameters
    ----------
    site : SiteFile
    path : Path
        Where it was written.
    words : Words
    """
    writer = Writer()
    a, b = site.anchors
    writer.lines.append(words.say("ground-written", file=Verbatim(str(path))))
    notes = words.sentences(note for piece in site.pieces for note in piece.notes)
    for said in notes:
        if said.leads:
            writer.set(said.text, "! ")
    writer.set(words.say(
        "ground-line", span=Quantity(float(np.linalg.norm(b - a)), "length", digits=4),
        rise=Quantity(abs(float(b[2] - a[2])), "length", digits=3), way="up" if b[2] >= a[2] else "down",
        bearing=Quantity(math.atan2(b[0] - a[0], b[1] - a[1]) % (2.0 * math.pi), "angle", digits=3),
    ))
    for piece in site.pieces:
        writer.set(words.say(
            "ground-piece", name=words.verbatim(piece.name) if piece.name else words.say(f"ground-role-{piece.role}"),
            triangles=len(piece.faces), role=words.say(f"ground-role-{piece.role}"),
            file=Verbatim(Path(piece.source).name),
        ))
    for said in notes:
        if not said.leads:
            writer.set(said.text)
    writer.title(words.say("ground-for-scene"))
    return "\n".join([*writer.lines, *scene_lines(site, path)]) + "\n"


def scene_lines(site: SiteFile, path: Path) -> list[str]:
    """Lines of a scene: anchors in the local frame and the ground."""

    def point(values: np.ndarray) -> str:
        return "[" + ", ".join(f'"{float(value) + 0.0:.3f} m"' for value in values) + "]"

    return [
        "[anchors]", f"a = {point(site.anchors[0])}", f"b = {point(site.anchors[1])}", "", "[ground]",
        'kind = "site"', f'file = "{path.name}"',
    ]
