"""The shipped library: generic classes of webbing and rope, one TOML file each in `webbing/data`.

No product is named and no figure was measured: each class says where its figures come from ("from memory"),
and everything taken from here is listed as assumed in every output.
"""

from __future__ import annotations

import difflib
import functools
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from types import MappingProxyType

import numpy as np

from linescope.errors import InputError
from linescope.notes import Term
from linescope.units import to_si
from linescope.webbing.stretch import StretchCurve
from linescope.webbing.webbing import Webbing

PROVENANCES = {"from memory": Term("inputs-from-memory"), "load cells": Term("inputs-from-load-cells")}
"""What a file of the library may say about where its figures come from."""


@dataclass(frozen=True, kw_only=True)
class Ratio:
    """A figure over another, with its low and high and where it comes from.

    Attributes
    ----------
    low, value, high : float
        [-]
    provenance : Term
    """

    low: float
    value: float
    high: float
    provenance: Term


@dataclass(frozen=True, eq=False, kw_only=True)
class LibraryClass:
    """One generic class.

    Attributes
    ----------
    webbing : Webbing
    summary : str
        One line for people.
    provenance : Term
        Where its figures come from.
    texts : mapping of str to tuple of str
        The figures as written in the file, with units: width, thickness, mass, breaking_strength, one each; elongation
        and tension, one for each point of the curve.
    stiffness_low, stiffness_high : float
        Range of stiffness in the class, over the stiffness of `webbing`.  [-]
    worked : Ratio or None
        Stiffness once it was loaded many times, over that of a first slow pull; None where nothing is known.
    wet_length, wet_mass : Ratio or None
        How much longer it is wet, at every tension, and what water it holds over its own mass; None where nothing is
        known.
    """

    webbing: Webbing
    summary: str
    provenance: Term
    texts: Mapping[str, tuple[str, ...]]
    stiffness_low: float
    stiffness_high: float
    worked: Ratio | None
    wet_length: Ratio | None
    wet_mass: Ratio | None


def _read(source: str) -> LibraryClass:
    data = tomllib.loads(source)
    texts = {name: str(data[name]) for name in ("width", "thickness", "mass", "breaking_strength")}
    tension = [to_si(text, "force") for text in data["stretch"]["tension"]]
    strain = [to_si(text, "ratio") for text in data["stretch"]["elongation"]]
    webbing = Webbing(
        name=data["name"],
        width=to_si(texts["width"], "length"),
        thickness=to_si(texts["thickness"], "length"),
        mass=to_si(texts["mass"], "line mass"),
        breaking_strength=to_si(texts["breaking_strength"], "force"),
        stretch=StretchCurve(tension=np.array([0.0, *tension]), strain=np.array([0.0, *strain])),
        is_rope=data["rope"],
    )
    written = {name: (text,) for name, text in texts.items()}
    written |= {name: tuple(data["stretch"][name]) for name in ("elongation", "tension")}
    return LibraryClass(
        webbing=webbing,
        summary=data["summary"],
        provenance=PROVENANCES[data["provenance"]],
        texts=MappingProxyType(written),
        stiffness_low=to_si(data["stiffness_low"], "ratio"),
        stiffness_high=to_si(data["stiffness_high"], "ratio"),
        worked=_ratio(data.get("worked"), "stiffness", "low", "high"),
        wet_length=_ratio(data.get("wet"), "length", "length_low", "length_high"),
        wet_mass=_ratio(data.get("wet"), "mass", "mass_low", "mass_high"),
    )


def _ratio(table: Mapping[str, str] | None, value: str, low: str, high: str) -> Ratio | None:
    if table is None:
        return None
    ends = {name: to_si(table[key], "ratio") for name, key in (("low", low), ("value", value), ("high", high))}
    return Ratio(**ends, provenance=PROVENANCES[table["provenance"]])


@functools.cache
def library() -> Mapping[str, LibraryClass]:
    """All shipped classes by name."""
    folder = resources.files("linescope.webbing") / "data"
    files = sorted((f for f in folder.iterdir() if f.name.endswith(".toml")), key=lambda f: f.name)
    classes = [_read(file.read_text(encoding="utf-8")) for file in files]
    return MappingProxyType({entry.webbing.name: entry for entry in classes})


def from_library(name: str) -> LibraryClass:
    """The class of that name.

    Raises
    ------
    InputError
        With the nearest name, when there is none.
    """
    classes = library()
    if name in classes:
        return classes[name]
    near = difflib.get_close_matches(name.lower(), [known.lower() for known in classes], n=1, cutoff=0.5)
    wish = next((f"; did you mean {known!r}?" for known in classes if near and known.lower() == near[0]), "")
    raise InputError(
        f"there is no webbing of that name in the library{wish}",
        found=name,
        allowed=", ".join(repr(known) for known in classes) + ", or a table with its own figures",
    )
