"""The two lines of a scene: webbings from the library or from the user's figures."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from linescope.notes import Quantity, Verbatim
from linescope.rig import Band, InputPhrase, phrase
from linescope.scenefile.keys import AS_MAIN
from linescope.scenefile.quantities import as_typed
from linescope.scenefile.reading import Reader
from linescope.webbing import LibraryClass, Ratio, StretchCurve, Webbing, from_library

_GUESSED = (
    1 / 1.2,
    1 / 0.8,
)  # Stiffness when a table of elongations is a guess, +-20 % as for one elongation.
_FIGURES = ("width", "thickness", "mass", "breaking_strength", "stretch")


def read_line(
    name: str, values: Mapping[str, Any], main: tuple[Webbing, Ratio | None] | None, reader: Reader
) -> tuple[Webbing, Ratio | None]:
    """The webbing of "main" or "backup", before its stiffness factor, and what water it holds where it is wet.

    Notes everything taken from the library as assumed.  The range of its stiffness goes to the band
    "<name>.stiffness_factor".
    """
    given = values["webbing"]
    factor = float(values["stiffness_factor"])
    if given == AS_MAIN and main is not None:
        if values["state"] is not None:
            raise reader.refusal(
                "the backup is as the main, and so is its state", key=f"{name}.state", found=values["state"],
                allowed="left out, or a webbing of its own",
            )
        _copy_bands(name, factor, reader)
        of_main, wet = main
        change = of_main.length_change if values["length_change"] is None else float(values["length_change"])
        key = f"{name}.length_change"
        if values["length_change"] is None and "main.length_change" in reader.bands:
            reader.bands[key] = reader.bands["main.length_change"]
        return replace(of_main, length_change=change, terminations=float(values["terminations"])), wet
    entry = None
    if isinstance(given, str):
        entry, given = (
            from_library(given),
            dict.fromkeys(("like", "name", *_FIGURES, "aged_strength", "rope")),
        )
    elif given["like"] is not None:
        entry = from_library(given["like"])
    webbing, spread = _webbing(given, f"{name}.webbing", entry, reader)
    webbing, spread, wet = _in_use(name, values, webbing, spread, entry, given["stretch"] is None, reader)
    key = f"{name}.stiffness_factor"
    if key not in reader.bands and spread is not None:
        low, high = spread
        reader.bands[key] = Band(low=factor * low, value=factor, high=factor * high)
    return replace(webbing, terminations=float(values["terminations"])), wet


def _in_use(
    name: str, values: Mapping[str, Any], webbing: Webbing, spread: tuple[float, float] | None,
    entry: LibraryClass | None, of_class: bool, reader: Reader,
) -> tuple[Webbing, tuple[float, float] | None, Ratio | None]:
    """The webbing in the state it is in, low and high of its stiffness, and what water it holds where it is wet.

    What is known apart is put together on a scale of logarithms, as what is independent is.
    """
    state, key = values["state"], f"{name}.worked_stiffness"
    if state is None:
        known = entry.worked if entry is not None and of_class else None
        if known is not None and spread is not None:
            spread = spread[0], math.exp(math.hypot(math.log(max(spread[1], 1.0)), math.log(known.high)))
            said = phrase(InputPhrase.UNWORKED, source=known.provenance)
            reader.note(f"{name}.state", Verbatim("first pull"), "assumed", basis=said)
    elif state != "first pull":
        value = float(values["worked_stiffness"])
        band = reader.bands.pop(key, Band(low=value, value=value, high=value))
        webbing = webbing.with_stiffness(value)
        low, high = spread or (1.0, 1.0)
        spread = (
            math.exp(-math.hypot(math.log(min(low, 1.0)), math.log(band.low / value))),
            math.exp(math.hypot(math.log(max(high, 1.0)), math.log(band.high / value))),
        )
    change, wet = values["length_change"], None
    if state == "wet":
        longer, wet = (None, None) if entry is None else (entry.wet_length, entry.wet_mass)
        if change is None and longer is None:
            raise reader.refusal(
                "nothing is known of this webbing when it is wet", key=f"{name}.state", found=state,
                allowed=f'{name}.length_change, such as "0.5 %", and its water, such as weather.{name}_added = "10 %"; '
                "or another state",
            )
        if change is None and longer is not None:
            change = longer.value
            reader.bands[f"{name}.length_change"] = Band(low=longer.low, value=longer.value, high=longer.high)
            reader.note(
                f"{name}.length_change", Quantity(change, "ratio"), "assumed", unit="%",
                low=Quantity(longer.low, "ratio"), high=Quantity(longer.high, "ratio"),
                basis=phrase(InputPhrase.LIBRARY, source=longer.provenance),
            )
    return replace(webbing, length_change=0.0 if change is None else float(change)), spread, wet


def _copy_bands(name: str, factor: float, reader: Reader) -> None:
    """The backup is made of the main's webbing: its figures are uncertain alike."""
    key, band = f"{name}.stiffness_factor", reader.bands.get("main.stiffness_factor")
    if key not in reader.bands and band is not None:
        scale = factor / band.value
        reader.bands[key] = Band(low=band.low * scale, value=factor, high=band.high * scale)
    for known, each in list(reader.bands.items()):
        if known.startswith("main.webbing."):
            reader.bands[known.replace("main.", f"{name}.", 1)] = each


def webbing_of(given: Mapping[str, Any], at: str, reader: Reader) -> Webbing:
    """The webbing of a table ``main.webbing``, wherever it stands.

    Parameters
    ----------
    given : mapping
        What is in the table, read.
    at : str
        Its key, for messages.
    reader : Reader

    Raises
    ------
    SceneError
        When a figure is missing, or two do not fit together.
    """
    entry = None if given["like"] is None else from_library(given["like"])
    return _webbing(given, at, entry, reader)[0]


def _webbing(
    given: Mapping[str, Any], at: str, entry: LibraryClass | None, reader: Reader
) -> tuple[Webbing, tuple[float, float] | None]:
    """The webbing, and low and high of its stiffness over its stiffness when known."""
    if entry is None:
        for figure in _FIGURES:
            if given[figure] is None:
                raise reader.refusal(
                    "this key is missing",
                    key=f"{at}.{figure}",
                    allowed="all of " + ", ".join(_FIGURES) + "; or 'like' with a class of the library",
                )
    figures: dict[str, Any] = {figure: given[figure] for figure in _FIGURES}
    for figure in _FIGURES:
        if figures[figure] is None and entry is not None:
            _note_library(f"{at}.{figure}", figure, entry, reader)
    band: tuple[float, float] | None
    if figures["stretch"] is not None:
        curve, band = _curve(figures["stretch"], f"{at}.stretch", reader)
    else:
        assert entry is not None
        curve, band = entry.webbing.stretch, (entry.stiffness_low, entry.stiffness_high)
    if entry is not None:
        figures = {
            figure: getattr(entry.webbing, figure) if value is None else value
            for figure, value in figures.items()
        }
    rope = given["rope"] if given["rope"] is not None else entry is not None and entry.webbing.is_rope
    aged, new = given["aged_strength"], figures["breaking_strength"]
    if aged is not None and aged > new:
        raise reader.refusal(
            "the aged strength is above the strength when new",
            key=f"{at}.aged_strength",
            found=f"{aged / 1e3:g} kN",
            allowed=f"at most {new / 1e3:g} kN",
        )
    if rope and figures["width"] != figures["thickness"]:
        raise reader.refusal(
            "a rope is as thick as it is wide",
            key=f"{at}.thickness",
            found=f"{figures['thickness']:g} m",
            allowed=f"{figures['width']:g} m",
        )
    webbing = Webbing(
        name=given["name"] or (entry.webbing.name if entry is not None else "unnamed webbing"),
        width=figures["width"],
        thickness=figures["thickness"],
        mass=figures["mass"],
        breaking_strength=new,
        stretch=curve,
        aged_strength=aged,
        is_rope=rope,
    )
    return webbing, band


_DIMENSIONS = {"width": "length", "thickness": "length", "mass": "line mass", "breaking_strength": "force"}


def _note_library(at: str, figure: str, entry: LibraryClass, reader: Reader) -> None:
    """List a figure that the library gave."""
    basis = phrase(InputPhrase.LIBRARY, source=entry.provenance)
    if figure == "stretch":
        points = zip(*(entry.texts[name] for name in ("elongation", "tension")), strict=True)
        curve = tuple(
            phrase(InputPhrase.AT, strain=as_typed(strain, "ratio")[0], force=as_typed(force, "force")[0])
            for strain, force in points
        )
        reader.note(at, curve, "assumed", basis=basis)
    else:
        value, unit = as_typed(entry.texts[figure][0], _DIMENSIONS[figure])
        reader.note(at, value, "assumed", unit=unit, basis=basis)


def _curve(
    given: Mapping[str, Any], at: str, reader: Reader
) -> tuple[StretchCurve, tuple[float, float] | None]:
    """The curve, and low and high of its stiffness over its stiffness when they were given."""
    if given["stiffness"] is not None:
        known = reader.bands.pop(f"{at}.stiffness", None)
        band = None if known is None else (known.low / known.value, known.high / known.value)
        return StretchCurve.linear(given["stiffness"]), band
    elongation = given["elongation"]
    if isinstance(elongation, tuple):
        if given["tension"] is None:
            raise reader.refusal("a list of elongations needs its tensions", key=f"{at}.tension")
        guessed = any(note.key == f"{at}.elongation" and note.known == "guess" for note in reader.notes)
        return _table(given["tension"], elongation, at, reader), _GUESSED if guessed else None
    if given["at"] is None:
        raise reader.refusal(
            "one elongation needs the tension it was read at", key=f"{at}.at", allowed='"10 kN"'
        )
    known = reader.bands.pop(f"{at}.elongation", None)
    band = None if known is None else (known.value / known.high, known.value / max(known.low, 1e-6))
    return StretchCurve.linear(given["at"] / elongation, up_to=given["at"]), band


def _table(
    tension: tuple[float, ...], elongation: tuple[float, ...], at: str, reader: Reader
) -> StretchCurve:
    if len(tension) != len(elongation):
        raise reader.refusal(
            "tensions and elongations are not equally many",
            key=f"{at}.tension",
            found=f"{len(tension)} and {len(elongation)}",
            allowed="one tension for each elongation",
        )
    if tension[0] != 0.0:
        tension, elongation = (0.0, *tension), (0.0, *elongation)
    try:
        return StretchCurve(tension=np.array(tension), strain=np.array(elongation))
    except ValueError as error:
        raise reader.refusal(str(error), key=f"{at}.elongation") from error
