"""What this machine has of what linescope needs, and how to get the rest."""

from __future__ import annotations

import platform
import re
import sys
from dataclasses import dataclass
from importlib import metadata
from typing import Literal

from linescope.errors import MissingViewerError, SystemPackageError
from linescope.export.driver import PACKAGES, probe
from linescope.notes import Verbatim
from linescope.viewer import bundle
from linescope.words import Words

Status = Literal["there", "missing", "too old"]
System = Literal["debian", "macos", "windows", "other"]

PYTHON = (3, 11)
DRAWING, VIEWER = "drawing", "viewer"
EXTRAS = ("page", "film", "notebook")
"""Those of the package's extras that a user may do without."""


@dataclass(frozen=True)
class Found:
    """One thing looked for.

    Attributes
    ----------
    name : str
        Of a package, or "python", "drawing" or "viewer".
    status : {"there", "missing", "too old"}
    version : str
        As installed; "" where there is none.
    wanted : str
        What is needed, such as ">=1.26".
    part : str
        "" for what every briefing needs, else the extra it belongs to, or "viewer".
    """

    name: str
    status: Status
    version: str
    wanted: str
    part: str


def system() -> System:
    """Which of the systems that have their own advice this is."""
    if sys.platform == "darwin":
        return "macos"
    if sys.platform == "win32":
        return "windows"
    try:
        release = platform.freedesktop_os_release()
    except OSError:
        return "other"
    return "debian" if "debian" in f"{release.get('ID')} {release.get('ID_LIKE')}" else "other"


def examine() -> list[Found]:
    """Look for Python, every package, a way to draw and the 3-D viewer of pages; nothing is changed."""
    version = ".".join(map(str, sys.version_info[:3]))
    status: Status = "there" if sys.version_info >= PYTHON else "too old"
    found = [Found("python", status, version, f">={PYTHON[0]}.{PYTHON[1]}", "")]
    for line in _requirements():
        name, wanted, extra = _parts(line)
        if extra in ("", *EXTRAS):
            found.append(_package(name, wanted, extra))
    try:
        probe()
        found.append(Found(DRAWING, "there", "", "", ""))
    except SystemPackageError:
        found.append(Found(DRAWING, "missing", "", "", ""))
    try:
        bundle()
        found.append(Found(VIEWER, "there", "", "", VIEWER))
    except MissingViewerError:
        found.append(Found(VIEWER, "missing", "", "", VIEWER))
    return found


def _requirements() -> list[str]:
    """Those of the installed linescope; none where it runs from its sources without being installed."""
    try:
        return metadata.requires("linescope") or []
    except metadata.PackageNotFoundError:
        return []


def _parts(line: str) -> tuple[str, str, str]:
    """Name, versions and extra of a requirement (Python packaging's dependency specifiers)."""
    requirement, _, marker = line.partition(";")
    match = re.match(r"\s*([A-Za-z0-9._-]+)\s*(\[[^\]]*\])?\s*(.*)", requirement)
    extra = re.search(r"""extra\s*==\s*['"]([^'"]+)['"]""", marker)
    assert match is not None
    return match[1], match[3].strip().strip("()"), extra[1] if extra else ""


def _package(name: str, wanted: str, extra: str) -> Found:
    try:
        version = metadata.version(name)
    except metadata.PackageNotFoundError:
        return Found(name, "missing", "", wanted, extra)
    least = re.search(r">=\s*([0-9.]+)", wanted)
    old = least is not None and _numbers(version) < _numbers(least[1])
    return Found(name, "too old" if old else "there", version, wanted, extra)


def _numbers(version: str) -> tuple[int, ...]:
    return tuple(int(each) for each in re.findall(r"\d+", version.split("+")[0])[:3])


def doctor_text(found: list[Found], words: Words, here: System) -> str:
    """What was found, in lines; what is missing with the way to get it.

    Parameters
    ----------
    found : list of Found
    words : Words
    here : {"debian", "macos", "windows", "other"}
        Whose advice to give.

    Returns
    -------
    str
    """
    lines = [words.say("doctor-title")]
    for each in found:
        ours = each.name in (DRAWING, VIEWER)
        name = words.say(f"doctor-{each.name}") if ours else words.say("doctor-name", name=Verbatim(each.name))
        state = words.say(
            f"doctor-{each.status.replace(' ', '-')}", version=Verbatim(each.version), wanted=Verbatim(each.wanted)
        )
        lines.append(f"  {name:<26} {state}".rstrip())
    lacking = [each for each in found if each.status != "there"]
    lines.append("")
    if not lacking:
        return "\n".join([*lines, words.say("doctor-all")])
    if any(each.name == "python" for each in lacking):
        lines.append(words.say(f"doctor-get-python-{here}"))
    if any(each.name == DRAWING for each in lacking):
        lines.append(words.say(f"doctor-get-drawing-{here}", packages=Verbatim(" ".join(PACKAGES))))
    if any(each.name == VIEWER for each in lacking):
        lines.append(words.say("doctor-get-viewer"))
    needed = [each for each in lacking if each.name not in ("python", DRAWING, VIEWER)]
    if any(not each.part for each in needed):
        lines.append(words.say("doctor-get-packages", names=Verbatim(", ".join(e.name for e in needed if not e.part))))
    for extra in EXTRAS:
        names = [each.name for each in needed if each.part == extra]
        if names:
            lines.append(words.say(f"doctor-get-{extra}", names=Verbatim(", ".join(names))))
    return "\n".join(lines)


def is_fit(found: list[Found]) -> bool:
    """Whether a scene can be briefed."""
    return all(each.status == "there" for each in found if not each.part)
