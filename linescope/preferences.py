"""What one user wants on every rig: units, paper, the name that stands on the sheets, and the user's own webbings.

The file belongs to the user and is never written by a command.  What is in it changes how results are shown, never what
is computed: a scene gives the same figures on every machine.  So a webbing of one's own is written out in every scene
that begins with it.
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from linescope.errors import InputError, printable

if TYPE_CHECKING:
    from linescope.units import System

VARIABLE = "LINESCOPE_PREFERENCES"  # Environment variable: this file instead of the user's own; empty: none.
UNITS, PAPERS = ("metric", "feet"), ("A4", "Letter")
LONGEST_NAME = 80
MOST_WEBBINGS = 500
START = '''# What linescope shows you on every rig. Leave out what may stay as it is.
units = "metric"      # or "feet"
paper = "A4"          # or "Letter"
club = ""             # stands on the sheet of a record as who made it

# Webbings of your own, with the keys of main.webbing in a scene; "linescope start level --main NAME" begins with one.
# [webbings."red, second season"]
# like = "polyester 25 mm"
# mass = { value = "61 g/m", known = "measured" }
'''


@dataclass(frozen=True, kw_only=True)
class Preferences:
    """What one user wants.

    Attributes
    ----------
    units : {"metric", "feet"}
    paper : {"A4", "Letter"}
    club : str
        Who made a sheet; empty leaves a line to write on.
    webbings : mapping of str to mapping
        The user's own by name, each as a table ``main.webbing`` of a scene, which is looked at where it is used.
    """

    units: System = "metric"
    paper: str = "A4"
    club: str = ""
    webbings: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)


def preferences_file() -> Path | None:
    """Where the user's file is, or would be; None where none is wanted."""
    named = os.environ.get(VARIABLE)
    if named is not None:
        return Path(named) if named else None
    import platformdirs  # Slow to import for a command that needs nothing else.

    return platformdirs.user_config_path("linescope", appauthor=False) / "preferences.toml"


def read_preferences() -> Preferences:
    """The user's file, or what holds without one.

    Raises
    ------
    InputError
        When the file cannot be read, or holds something that is not a preference.
    """
    path = preferences_file()
    if path is None or not path.is_file():
        return Preferences()
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise InputError("the file of preferences cannot be read", file=path, found=printable(str(error))) from error
    return Preferences(**{key: _checked(path, key, value) for key, value in data.items()})


def _checked(path: Path, key: str, value: Any) -> Any:
    if key in ("units", "paper"):
        allowed = UNITS if key == "units" else PAPERS
        if value not in allowed:
            raise InputError("not one of these", file=path, key=key, found=value, allowed=" or ".join(allowed))
        return value
    if key == "webbings":
        if not isinstance(value, dict) or len(value) > MOST_WEBBINGS:
            what = f"up to {MOST_WEBBINGS} tables with a name each"
            raise InputError("not tables of webbings", file=path, key=key, found=value, allowed=what)
        for name, table in value.items():
            _named(path, key, name)
            if not isinstance(table, dict):
                at = f"{key}.{name}"
                raise InputError("not a table", file=path, key=at, found=table, allowed="keys of main.webbing")
        return value
    if key != "club":
        raise InputError("no such preference", file=path, key=key, allowed="units, paper, club or webbings")
    return _named(path, key, value)


def _named(path: Path, key: str, value: Any) -> str:
    if not isinstance(value, str) or len(value) > LONGEST_NAME or value != printable(value):
        raise InputError("not a name", file=path, key=key, found=value, allowed=f"text of up to {LONGEST_NAME} letters")
    return value
