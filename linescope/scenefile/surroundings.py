"""Walker, wind, weather and ground of a scene."""

from __future__ import annotations

import math
import os
import stat
from pathlib import Path
from typing import Any

import numpy as np

from linescope.notes import Quantity, Verbatim
from linescope.rig import ClearanceNeeds, InputPhrase, Use, Walker, Weather, Wind, WrappedBay, phrase
from linescope.rig.atmosphere import SEA_LEVEL_DENSITY, air_density
from linescope.scenefile.quantities import Share
from linescope.scenefile.reading import Reader
from linescope.terrain.spec import GroundSpec
from linescope.units import to_si

Values = dict[str, Any]


def read_walker(values: Values | None, span: float) -> Walker | None:
    """The walker of a scene; `span` [m] for a place given as a share."""
    if values is None:
        return None
    at = values["at"].value * span if isinstance(values["at"], Share) else values["at"]
    return Walker(**(values | {"at": at}))


def read_wind(values: Values | None, points: dict[str, tuple[float, ...]], reader: Reader) -> Wind | None:
    """The wind of a scene; sides are those of somebody who looks from A to B."""
    if values is None:
        return None
    a, b = points["main_a"], points["main_b"]
    if isinstance(values["from"], str):
        run = math.hypot(b[0] - a[0], b[1] - a[1]) or 1.0
        ahead = ((b[0] - a[0]) / run, (b[1] - a[1]) / run)
        sign = 1.0 if values["from"] == "left" else -1.0
        towards = (sign * ahead[1], -sign * ahead[0])
    else:
        towards = (-math.sin(values["from"]), -math.cos(values["from"]))
    density = values["air_density"]
    if values["altitude"] is not None:
        density = float(air_density(values["altitude"]))
    elif density is None:
        density = SEA_LEVEL_DENSITY
        value = Quantity(density, "density", digits=4)
        reader.note("wind.air_density", value, "assumed", unit="kg/m^3", basis=phrase(InputPhrase.SEA_LEVEL))
    return Wind(
        speed=values["speed"],
        towards=(towards[0] + 0.0, towards[1] + 0.0),
        gust_factor=values["gust_factor"],
        drag_coefficient=values["drag_coefficient"],
        exposure=values["exposure"],
        air_density=density,
    )


def read_weather(values: Values | None, main_mass: float, backup_mass: float) -> Weather:
    """Water or ice of a scene, from mass per metre [kg/m] or as a share of that of the lines."""
    if values is None:
        return Weather()
    added = {}
    for name, mass in (("main_added", main_mass), ("backup_added", backup_mass)):
        value = values[name]
        added[name] = value.value * mass if isinstance(value, Share) else value
    return Weather(**added)


def read_use(values: Values | None) -> Use:
    """What a line is used for; a default day where the scene does not say."""
    if values is None:
        return Use(assumed=True)
    return Use(
        crossings=values["crossings"], wind_hours=values["wind"] / 3600.0, bounce_hours=values["bounce"] / 3600.0,
        falls=tuple(values["falls"] or ()), wrapped=tuple(WrappedBay(**each) for each in values["wrapped"] or ()),
    )


def read_needs(values: Values | None, reader: Reader) -> ClearanceNeeds | None:
    """The clearances a scene asks for."""
    if values is None:
        return None
    if values["leash"] is None:
        reader.note("clearance.leash", phrase(InputPhrase.AS, key=Verbatim("clearance.body")), "assumed")
    return ClearanceNeeds(**{name: value for name, value in values.items() if value is not None})


def read_ground(values: Values | None, reader: Reader) -> GroundSpec | None:
    """Where a scene's ground comes from and how it lies."""
    if values is None:
        return None
    kind = values["kind"]
    if values["profile"] is not None and kind != "profile":
        raise reader.refusal(
            "surveyed points in the scene are a profile", key="ground.kind", found=kind, allowed='"profile"'
        )
    half_width = values["half_width"]
    if half_width is not None and kind != "profile":
        raise reader.refusal(
            "only a profile has a half width",
            key="ground.half_width",
            found=f"{half_width:g} m",
            allowed='kind = "profile", or no half_width',
        )
    if half_width is None and kind == "profile":
        half_width = GroundSpec.half_width
        reader.note("ground.half_width", Quantity(half_width, "length"), "assumed", unit="m")
    optional = {
        "half_width": half_width,
        "factor": to_si(f"1 {values['unit']}", "length") if values["unit"] else None,
        "up": values["up"],
        "turn": values["turn"],
        "shift": values["shift"],
        "cell": None if values["cell"] is None else np.array(values["cell"]),
        "max_edge": values["max_edge"],
    }
    if values["profile"] is not None:
        optional |= dict(zip(("stations", "heights"), np.array(values["profile"]).T, strict=True))
    else:
        optional["path"] = _ground_file(values["file"], reader)
    return GroundSpec(
        kind=kind,
        degrees=values["degrees"] or False,
        accept_odd=values["accept_odd"],
        **{name: value for name, value in optional.items() if value is not None},
    )


def _ground_file(text: str, reader: Reader) -> Path:
    """The ground's file, which must lie in the scene's folder or in a folder beside it."""
    allowed = 'a file in the scene\'s folder or in a folder beside it, such as "ground/gorge.obj"'
    plain = text.replace("\\", "/")
    steps = os.path.normpath(plain).split("/")
    if plain.startswith("/") or ":" in plain or "\0" in plain or steps.count("..") > 1:
        raise reader.refusal(
            "this path leads away from the scene", key="ground.file", found=text, allowed=allowed
        )
    path = Path(os.path.normpath(reader.folder / plain))
    reader.note("ground.file", Verbatim(text), "stated")
    try:
        mode = path.stat().st_mode
    except (FileNotFoundError, NotADirectoryError):
        problem = f"there is no such file in {reader.folder}"
    except (OSError, ValueError) as error:
        problem = f"the file cannot be read ({getattr(error, 'strerror', None) or error})"
    else:
        if stat.S_ISREG(mode):
            return path
        problem = "this is a folder, not a file" if stat.S_ISDIR(mode) else "this is not an ordinary file"
    raise reader.refusal(problem, key="ground.file", found=text, allowed=allowed)
