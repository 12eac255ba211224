"""Walker, wind, weather and ground of a scene."""

from __future__ import annotations

import math
import os
import stat
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from linescope.notes import Quantity, Verbatim
from linescope.rig import Band, ClearanceNeeds, InMotion, InputPhrase, Use, Walker, Weather, Wind, WrappedBay, phrase
from linescope.rig.atmosphere import SEA_LEVEL_DENSITY, air_density
from linescope.rig.parts import IN_MOTION, LEASHES
from linescope.scenefile.quantities import ShareOf
from linescope.scenefile.reading import Reader
from linescope.terrain.geo import Origin
from linescope.terrain.spec import GroundSpec, NamedArea, Obstacle
from linescope.units import to_si
from linescope.webbing import Ratio, Webbing

Values = dict[str, Any]


def read_walker(values: Values | None, span: float, reader: Reader) -> Walker | None:
    """The walker of a scene; `span` [m] for a place given as a share."""
    if values is None:
        return None
    at = values["at"].value * span if isinstance(values["at"], ShareOf) else values["at"]
    found = {name: value for name, value in values.items() if name != "leash_kind"} | {"at": at}
    if values["leash_modulus"] is None:
        band = LEASHES[values["leash_kind"]]
        low, value, high = (Quantity(end, "force", digits=2) for end in (band.low, band.value, band.high))
        reader.bands["walker.leash_modulus"] = band
        reader.note("walker.leash_modulus", value, "assumed", unit="kN", low=low, high=high)
        found["leash_modulus"] = band.value
    walker = Walker(**found)
    if walker.leash < walker.tie_in_height:
        raise reader.refusal(
            "the leash does not reach from the ring under his feet to his harness", key="walker.leash",
            found=f"{walker.leash:.2f} m", allowed=f"at least the tie-in height, {walker.tie_in_height:.2f} m",
        )
    return walker


def read_motion(values: Values | None, main: Values, reader: Reader) -> InMotion:
    """What motion of a scene depends on besides the rig.

    How much stiffer webbing is in motion is told over a first slow pull; over worked webbing's own curve it is less.
    """
    key, found = "motion.stiffness_factor", InMotion() if values is None else InMotion(**values)
    if main["state"] in ("worked", "wet") and all(note.key != key or note.known == "assumed" for note in reader.notes):
        worked = float(main["worked_stiffness"])
        usual = InMotion.stiffness_factor / worked
        low, high = (max(end / worked, 1.0) for end in IN_MOTION)
        reader.bands[key] = Band(low=low, value=max(usual, 1.0), high=high)
        reader.notes[:] = [note for note in reader.notes if note.key != key]
        value = Quantity(max(usual, 1.0), "number")
        reader.note(key, value, "assumed", low=Quantity(low, "number"), high=Quantity(high, "number"))
        found = replace(found, stiffness_factor=max(usual, 1.0))
    return found


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


def read_weather(
    values: Values | None, main: Webbing, backup: Webbing, wet: tuple[Ratio | None, Ratio | None], reader: Reader
) -> Weather:
    """Water or ice of a scene, from mass per metre [kg/m] or as a share of that of the lines; where it says nothing,
    what wet webbings hold."""
    added = {}
    if values is None:
        for name, line, held in (("main_added", main, wet[0]), ("backup_added", backup, wet[1])):
            if held is not None:
                low, value, high = (line.mass * ratio for ratio in (held.low, held.value, held.high))
                reader.bands[f"weather.{name}"] = Band(low=low, value=value, high=high)
                reader.note(
                    f"weather.{name}", Quantity(value, "line mass"), "assumed", unit="g/m",
                    low=Quantity(low, "line mass"), high=Quantity(high, "line mass"),
                    basis=phrase(InputPhrase.LIBRARY, source=held.provenance),
                )
                added[name] = value
        return Weather(**added)
    for name, mass in (("main_added", main.mass), ("backup_added", backup.mass)):
        value = values[name]
        added[name] = value.value * mass if isinstance(value, ShareOf) else value
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


def read_grounds(values: Values, reader: Reader) -> GroundSpec | None:
    """All grounds of a scene, with what stands beside them; `values` are those of the whole scene."""
    named = [("ground", values["ground"])] if values["ground"] is not None else []
    named += [(f"grounds[{number}]", each) for number, each in enumerate(values["grounds"] or (), 1)]
    if not named:
        for key in ("obstacles", "areas", "water"):
            if values[key]:
                raise reader.refusal("there is no ground beside it", key=key, allowed="a table [ground]")
        return None
    first, *others = (_read_ground(each, at, reader) for at, each in named)
    obstacles = tuple(_obstacle(each, f"obstacles[{k}]", reader) for k, each in enumerate(values["obstacles"] or (), 1))
    areas = tuple(_area(each, f"areas[{k}]", values, reader) for k, each in enumerate(values["areas"] or (), 1))
    return replace(first, others=tuple(others), obstacles=obstacles, areas=areas, water=values["water"])


def _area(values: Values, at: str, scene: Values, reader: Reader) -> NamedArea:
    """A named part of the ground."""
    if values["distance"] is not None and scene["clearance"] is None:
        raise reader.refusal(
            "nothing is compared in this scene", key=f"{at}.distance", found=f"{values['distance']:g} m",
            allowed="no distance, or a table [clearance]",
        )
    stations = values["stations"]
    if stations is not None and stations[1] <= stations[0]:
        raise reader.refusal(
            "this strip has no width", key=f"{at}.stations", found=f"{stations[0]:g} m to {stations[1]:g} m",
            allowed="the second farther from A than the first",
        )
    outline = values["corners"] if values["coordinates"] is None else values["coordinates"]
    return NamedArea(
        name=values["name"], kind=values["kind"], corners=None if outline is None else np.array(outline),
        is_geographic=values["coordinates"] is not None, distance=values["distance"],
        stations=None if stations is None else np.array(stations),
    )


def _obstacle(values: Values, at: str, reader: Reader) -> Obstacle:
    is_post = values["kind"] == "post"
    wrong = "width" if is_post else "diameter" if values["diameter"] is not None else "top"
    if values[wrong] is not None:
        raise reader.refusal(
            f"a {values['kind']} has no {wrong}", key=f"{at}.{wrong}", allowed="diameter or top" if is_post else "width"
        )
    if not is_post and values["width"] is None:
        raise reader.refusal("this key is missing", key=f"{at}.width", allowed="two lengths, for a box")
    return Obstacle(
        name=values["name"], foot=np.array(values["foot"]), height=values["height"] or 0.0,
        top=None if values["top"] is None else np.array(values["top"]), is_round=is_post,
        width=(values["diameter"] or 0.0,) * 2 if is_post else np.array(values["width"]), turn=values["turn"],
        role=values["role"], survey_error=values["survey_error"],
    )


def _read_ground(values: Values, at: str, reader: Reader) -> GroundSpec:
    """Where one ground comes from and how it lies."""
    kind = values["kind"]
    if values["profile"] is not None and kind != "profile":
        raise reader.refusal(
            "surveyed points in the scene are a profile", key=f"{at}.kind", found=kind, allowed='"profile"'
        )
    half_width = values["half_width"]
    if half_width is not None and kind != "profile":
        raise reader.refusal(
            "only a profile has a half width",
            key=f"{at}.half_width",
            found=f"{half_width:g} m",
            allowed='kind = "profile", or no half_width',
        )
    if half_width is None and kind == "profile":
        half_width = GroundSpec.half_width
        reader.note(f"{at}.half_width", Quantity(half_width, "length"), "assumed", unit="m")
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
        optional["path"] = _ground_file(values["file"], f"{at}.file", reader)
    return GroundSpec(
        kind=kind,
        degrees=values["degrees"] or False,
        name=values["name"] or "",
        role=values["role"],
        survey_error=values["survey_error"],
        origin=None if values["origin"] is None else Origin(**values["origin"]),
        crs=values["crs"],
        reach=values["reach"],
        accept_odd=values["accept_odd"],
        **{name: value for name, value in optional.items() if value is not None},
    )


def _ground_file(text: str, key: str, reader: Reader) -> Path:
    """The ground's file, which must lie in the scene's folder or in a folder beside it."""
    allowed = 'a file in the scene\'s folder or in a folder beside it, such as "ground/gorge.obj"'
    plain = text.replace("\\", "/")
    steps = os.path.normpath(plain).split("/")
    if plain.startswith("/") or ":" in plain or "\0" in plain or steps.count("..") > 1:
        raise reader.refusal(
            "this path leads away from the scene", key=key, found=text, allowed=allowed
        )
    path = Path(os.path.normpath(reader.folder / plain))
    reader.note(key, Verbatim(text), "stated")
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
    raise reader.refusal(problem, key=key, found=text, allowed=allowed)
