"""The cut list: every tape in laying order, marks on both lines, and how much tape and time it all takes."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linescope.errors import InputError
from linescope.shown import Outlined
from linescope.taping.families import FAMILIES
from linescope.taping.holds import Holds
from linescope.taping.laid import LaidTape
from linescope.taping.lay import lay
from linescope.taping.section import Section
from linescope.taping.stock import TIE, TapeStock

Floats = NDArray[np.float64]

@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class CutList(Outlined):
    """Tapes in laying order, counted from `from_end`.

    Attributes
    ----------
    from_end : {"A", "B"}
        The end that distances are measured from.
    number : (n,) int array
        Numbers of the tapes, always 1 for the one nearest anchor A.
    family : (n,) tuple of str
        Keys of the families, or "tie".
    holds : (n,) tuple of Holds
    zone : (n,) tuple of str
        The user's name of the zone.
    main_mark, backup_mark : (n,) arrays
        Distance along each line lying slack, from the end. [m]
    main_from_middle, backup_from_middle : (n,) arrays
        The same from the middle of each line, negative on the side of the end measured from. [m]
    lying : (n,) array
        Distance along the main as it lies when it is taped. [m]
    rigged : (n,) array
        Distance along the rigged main. [m]
    strip : (n,) array
        Length of strip to cut, 0 for ties. [m]
    main_length, backup_length, rigged_length : float
        Anchor to anchor: both unstretched, and the main as rigged. [m]
    lying_strain : float
        Strain of the main as it lies when it is taped, 0 for slack. [-]
    tapes : mapping of (str, Holds) to LaidTape
        One tape of each kind in use.
    stock : TapeStock
    section : Section
    """

    from_end: Literal["A", "B"]
    number: NDArray[np.int64]
    family: tuple[str, ...]
    holds: tuple[Holds, ...]
    zone: tuple[str, ...]
    main_mark: Floats
    backup_mark: Floats
    rigged: Floats
    strip: Floats
    main_length: float
    backup_length: float
    rigged_length: float
    lying_strain: float
    tapes: Mapping[tuple[str, Holds], LaidTape]
    stock: TapeStock
    section: Section

    def __post_init__(self) -> None:
        for name in ("number", "main_mark", "backup_mark", "rigged", "strip"):
            array = np.array(getattr(self, name))
            array.setflags(write=False)
            object.__setattr__(self, name, array)

    @property
    def lying(self) -> Floats:
        """(n,) distance along the main as it lies when it is taped. [m]"""
        return self.main_mark * (1.0 + self.lying_strain)

    @property
    def main_from_middle(self) -> Floats:
        """(n,) distance from the middle of the slack main. [m]"""
        return self.main_mark - 0.5 * self.main_length

    @property
    def backup_from_middle(self) -> Floats:
        """(n,) distance from the middle of the slack backup. [m]"""
        return self.backup_mark - 0.5 * self.backup_length

    def count(self, family: str | None = None, holds: Holds | None = None) -> int:
        """How many tapes (without ties), of one family, of one way of holding."""
        return sum(
            key != TIE and family in (None, key) and holds in (None, held)
            for key, held in zip(self.family, self.holds, strict=True)
        )

    @property
    def strip_total(self) -> float:
        """All strips. [m]"""
        return float(np.sum(self.strip))

    @property
    def piece_count(self) -> int:
        """Cross pieces of all tapes."""
        return sum(self.count(*kind) * tape.pieces for kind, tape in self.tapes.items())

    @property
    def piece_total(self) -> float:
        """Tape in all cross pieces. [m]"""
        return sum(self.count(*kind) * tape.pieces * tape.piece_length for kind, tape in self.tapes.items())

    def tape_of(self, *, cloth: bool) -> float:
        """Strips and cross pieces of one of the two tapes, with the stock's waste. [m]"""
        used = sum(self.count(*kind) * tape.used for kind, tape in self.tapes.items() if tape.tape.is_cloth is cloth)
        return used * (1.0 + self.stock.waste)

    def rolls_of(self, *, cloth: bool) -> int:
        """Rolls of one of the two tapes to bring; the rest of a roll too short for a strip counts as waste."""
        roll = self.stock.cloth_roll if cloth else self.stock.roll
        return math.ceil(self.tape_of(cloth=cloth) / roll - 1e-9)

    @property
    def tape_total(self) -> float:
        """Strips and cross pieces of both tapes, with the stock's waste. [m]"""
        return self.tape_of(cloth=False) + self.tape_of(cloth=True)

    @property
    def rolls(self) -> int:
        """Rolls of both tapes to bring."""
        return self.rolls_of(cloth=False) + self.rolls_of(cloth=True)

    @property
    def time(self) -> float:
        """Time at the stock's pace. [s]"""
        return sum(
            self.count(*kind) * tape.family.pace(self.stock, kind[1]) for kind, tape in self.tapes.items()
        )

    def reversed(self) -> CutList:
        """The same tapes for laying from the other end; tapes keep their numbers."""
        return replace(
            self,
            from_end="B" if self.from_end == "A" else "A",
            number=self.number[::-1],
            family=self.family[::-1],
            holds=self.holds[::-1],
            zone=self.zone[::-1],
            main_mark=self.main_length - self.main_mark[::-1],
            backup_mark=self.backup_length - self.backup_mark[::-1],
            rigged=self.rigged_length - self.rigged[::-1],
            strip=self.strip[::-1],
        )


def make_cut_list(
    *,
    section: Section,
    stock: TapeStock,
    main_mark: ArrayLike,
    backup_mark: ArrayLike,
    rigged: ArrayLike,
    main_length: float,
    backup_length: float,
    rigged_length: float,
    family: Sequence[str],
    holds: Sequence[Holds],
    zone: Sequence[str] | None = None,
    lying_strain: float = 0.0,
) -> CutList:
    """Cut list of a rig, from anchor A.

    Parameters
    ----------
    section : Section
        The two lines stacked.
    stock : TapeStock
    main_mark, backup_mark : (n,) arrays
        Places of the tapes, ascending, along the slack lines from anchor A. [m]
    rigged : (n,) array
        The same places along the rigged main. [m]
    main_length, backup_length, rigged_length : float
        Anchor to anchor: both unstretched, and the main as rigged. [m]
    family : sequence of n str
        Keys of `FAMILIES`, or "tie" for a place that is tied or sewn and gets a mark but no tape.
    holds : sequence of n Holds
    zone : sequence of n str, optional
        Name of the zone each tape lies in.
    lying_strain : float
        Strain of the main as it lies when it is taped; 0 for slack. [-]

    Raises
    ------
    InputError
        When the arrays do not belong together, a mark lies outside its line, a family is unknown or cannot
        hold what is asked, or a strip is longer than a roll.
    """
    places = {
        "main_mark": (np.array(main_mark, dtype=float), main_length),
        "backup_mark": (np.array(backup_mark, dtype=float), backup_length),
        "rigged": (np.array(rigged, dtype=float), rigged_length),
    }
    count = len(family)
    zone = tuple(zone) if zone is not None else ("",) * count
    for name, values in (("holds", holds), ("zone", zone)):
        if len(values) != count:
            raise InputError("every tape needs one", key=name, found=len(values), allowed=f"{count} values")
    for name, (array, length) in places.items():
        if array.shape != (count,):
            raise InputError("every tape needs one", key=name, found=array.shape, allowed=f"({count},)")
        wrong = ~((array > 0.0) & (array < length))
        if np.any(wrong):
            raise InputError("a mark lies outside its line", key=name, found=f"{array[wrong][0]:g} m",
                             allowed=f"between 0 and {length:g} m")
        if np.any(np.diff(array) <= 0.0):
            raise InputError("marks must ascend from anchor A", key=name)
    tapes: dict[tuple[str, Holds], LaidTape] = {}
    for kind in zip(family, holds, strict=True):
        if kind[0] == TIE or kind in tapes:
            continue
        if kind[0] not in FAMILIES:
            raise InputError("no such taping family", key="family", found=kind[0],
                             allowed=", ".join(FAMILIES))
        tapes[kind] = lay(FAMILIES[kind[0]], section, stock, kind[1])
    strip = [0.0 if k == TIE else tapes[k, h].cut_length for k, h in zip(family, holds, strict=True)]
    return CutList(
        from_end="A",
        number=np.arange(1, count + 1),
        family=tuple(family),
        holds=tuple(holds),
        zone=zone,
        main_mark=places["main_mark"][0],
        backup_mark=places["backup_mark"][0],
        rigged=places["rigged"][0],
        strip=np.array(strip, dtype=float),
        main_length=float(main_length),
        backup_length=float(backup_length),
        rigged_length=float(rigged_length),
        lying_strain=float(lying_strain),
        tapes=MappingProxyType(tapes),
        stock=stock,
        section=section,
    )
