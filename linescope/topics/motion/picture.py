"""What happens in the first three seconds of a fall: four instants, and force over time."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from linescope.motion import InTime
from linescope.motion.expected import Expected
from linescope.motion.notes import MotionNote, notes_of, without_ground
from linescope.motion.run import Motion
from linescope.notes import Quantity
from linescope.stage import ground, moving, paper, side, tapes
from linescope.stage.items import Frame, Label, LegendEntry, Panel, Stage, Symbols, TextBox, Wire
from linescope.stage.page import LOW, Brief, furnish
from linescope.ties import nearest
from linescope.units import to_si

Floats = NDArray[np.float64]

SHOWN = 3.0  # Of a fall [s].
NEAR = 4.5  # To both sides of him [m].
SPLIT = 0.49  # Where the curve begins, as a share of the page.
CURVES = (("leash", "leash", 3.0), ("main", "main", 4.0), ("backup", "backup", 2.4))


def build(brief: Brief) -> Stage:
    """Four drawings true to scale over one curve, with what none of it can be trusted for.

    Ground stops lines and feet in the course that is drawn; ranges are those of the figures, without ground.
    """
    found = brief.study.fall_in_time
    assert isinstance(found, Expected)
    walker = brief.study.rig.walker
    assert walker is not None
    here = nearest(found.at, walker.at)
    fall = brief.study.fall_course
    assert isinstance(fall, InTime)
    on_ground = len(fall.motion.mesh.model.ground.slot) > 0
    told = [note for note in notes_of(found) if note.kind is not MotionNote.TIGHT]  # The curve shows that.
    notes = (*told, *((without_ground(),) if on_ground else ()))
    brief = brief.showing(brief.study.taped, *notes)
    words, top = brief.measures, brief.top
    times = instants(fall)
    edges = np.linspace(0.0, 1.0, len(times) + 1)
    panels = tuple(
        _instant(brief, fall, name, time, times, (float(left), top, float(right) - 0.003, SPLIT))
        for (name, time), left, right in zip(times.items(), edges[:-1], edges[1:], strict=True)
    )
    low = LOW - (0.15 if on_ground else 0.125)
    curve = _curve(brief, found, here, fall.motion, times, (0.0, SPLIT + 0.004, 1.0, low - 0.006))
    said = tuple(words.notes(notes))
    return furnish(
        brief,
        view="first-seconds",
        question=words.say("motion-question"),
        panels=(*panels, curve),
        boxes=(TextBox(name="trust", frame=(0.015, low, 0.985, LOW - 0.008), lines=said),),
        legend=(
            *(
                LegendEntry(text=words.say(f"motion-film-in-{name}"), colour=colour, width=width)
                for name, colour, width in CURVES
            ),
            LegendEntry(
                text=words.say("motion-picture-range", ground="yes" if on_ground else "no"), colour="quiet", width=5.0,
            ),
        ),
        state=words.say("motion-picture-state", at=words.place(fall.at)),
    )


def instants(fall: InTime) -> dict[str, float]:
    """Standing, leash tight for the first time, lowest feet, and highest after that, by name.  [s]

    Parameters
    ----------
    fall : InTime
    """
    motion, outcome = fall.motion, fall.outcome
    low = min(outcome.foot_time, SHOWN)
    pulls = np.flatnonzero((motion.leash.time < low) & (motion.leash.mean > 0.1 * motion.leash.most))
    tight = float(motion.leash.time[pulls[0]]) if len(pulls) else 0.5 * low
    after = (motion.body.time >= low) & (motion.body.time <= SHOWN)
    high = float(motion.body.time[after][np.argmax(motion.body.mean[after])]) if after.any() else SHOWN
    return {"stands": 0.0, "tight": tight, "lowest": low, "back": max(high, low)}


def _instant(brief: Brief, fall: InTime, name: str, time: float, times: dict[str, float], frame: Frame) -> Panel:
    motion, words, theme = fall.motion, brief.measures, brief.theme
    every = [moving.moment(motion, each) for each in times.values()]
    now, rig = moving.moment(motion, time), fall.rig
    walker = rig.walker
    assert walker is not None
    # Only what is near him: of a long line the rest would leave no room for it.
    ahead = NEAR * ground.plan_direction(rig)
    spots = [point for each in every for point in (each.ring, each.tie_in, each.foot)]
    middle = every[0].foot + walker.height * moving.UP
    shown = np.array([*spots, middle - ahead, middle + ahead])
    camera = side.camera(brief, frame, shown, (0.02, 0.10, 0.02, 0.16))
    surfaces, leash = moving.body(motion, now)
    cut, edge = side.cut_open(brief, camera)
    force = float(np.interp(time, motion.leash.time, motion.leash.mean))
    return Panel(
        name=name,
        frame=frame,
        camera=camera,
        surfaces=(*cut, *surfaces),
        wires=(
            *edge,
            Wire(name="chord", points=side.chord_of(brief), colour="quiet", width=theme.thin, dashed=True),
            Wire(name="backup", points=now.backup, colour="backup", width=theme.backup_width),
            *(Wire(name="main", points=part, colour="main", width=theme.main_width) for part in now.main),
            *leash,
        ),
        symbols=(
            *tapes.anchors(brief.solution),
            Symbols(name="tape", points=now.tapes, symbol="block", colour="ink", size=0.6 * theme.symbol),
        ) if len(now.tapes) else tuple(tapes.anchors(brief.solution)),
        labels=(
            Label(
                text=words.say(
                    "motion-picture-instant", force=Quantity(force, "force"),
                    depth=Quantity(float(rig.below_anchors(now.foot)), "length"),
                ),
                at=now.foot, towards=(0.0, -1.0), rank=1, must=True, strong=True, size="small", offset=12.0,
            ),
        ),
        caption=words.say(f"motion-picture-{name}", time=Quantity(time, "time")),
        scale_bar=True,
        sky=True,
    )


def forces_of(motion: Motion) -> dict[str, Floats]:
    """Means over 10 ms: leash, and the harder pulled anchor of each line.  [N]"""
    return {
        "leash": motion.leash.mean, "main": np.maximum(motion.main_a.mean, motion.main_b.mean),
        "backup": np.maximum(motion.backup_a.mean, motion.backup_b.mean),
    }


def _curve(
    brief: Brief, found: Expected, place: int, motion: Motion, times: dict[str, float], frame: Frame
) -> Panel:
    width, height = brief.panel_size(frame)
    words = brief.measures
    name = "kN" if words.system == "metric" else "lbf"
    unit = to_si(f"1 {name}", "force")
    forces, now = forces_of(motion), motion.leash.time <= SHOWN
    ranges = {"leash": ("leash_force",), "main": ("main_a", "main_b"), "backup": ("backup_a", "backup_b")}
    ends = {key: [float(each[place]) for each in found.ends_of(*names)] for key, names in ranges.items()}
    high = 1.08 * max(*(float(each[now].max()) for each in forces.values()), *(top for _, top in ends.values()))
    left, right, top, base = 90.0, width - 210.0, 18.0, height - 40.0

    def at(time: Any, force: Any) -> tuple[Any, Any]:
        return left + (right - left) * time / SHOWN, base - (base - top) * force / high

    wires, labels = [], []
    for tick in paper.ticks(0.0, high / unit, 5):
        y = at(0.0, tick * unit)[1]
        wires.append(paper.line("grid", [(left, y), (right, y)], "rule", 1.2, nearer=0.5, quiet=True))
        labels.append(Label(text=words.tick(tick), at=paper.xy(left, y), towards=(-1.0, 0.0), size="small", rank=0,
                            must=True))
    labels.append(Label(text=name, at=paper.xy(left, top), towards=(1.0, 0.0), size="small", rank=0, must=True))
    for tick in paper.ticks(0.0, SHOWN, 6):
        spot = paper.xy(at(tick, 0.0)[0], base)
        labels.append(Label(text=words.tick(tick), at=spot, size="small", rank=0, must=True))
    labels.append(Label(text="s", at=paper.xy(right + 26.0, base), size="small", rank=0, must=True))
    for time in times.values():
        x = at(time, 0.0)[0]
        wires.append(paper.line("instant", [(x, top), (x, base)], "quiet", 1.6, dashed=True, nearer=0.6, quiet=True))
    for key, colour, stroke in CURVES:
        x, y = at(motion.leash.time[now], forces[key][now])
        wires.append(paper.line(key, np.column_stack((x, y)), colour, stroke, nearer=2.0))
        low, most = ends[key]
        y0, y1 = at(0.0, low)[1], at(0.0, most)[1]
        stand = right + {"leash": 12.0, "main": 26.0, "backup": 40.0}[key]
        wires.append(paper.line(f"range {key}", [(stand, y0), (stand, max(y1, top))], colour, 5.0, nearer=2.0))
        labels.append(Label(
            text=words.band(low, most, "force"), at=paper.xy(right + 46.0, y1), towards=(1.0, 0.0), rank=2, must=True,
            size="small", colour=colour,
        ))
    return Panel(
        name="force", frame=frame, camera=paper.camera((width, height)), wires=tuple(wires), labels=tuple(labels),
    )
