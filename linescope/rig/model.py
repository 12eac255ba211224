"""The rig as the rigger plans it: checked, frozen, SI.  Everything downstream reads it, nothing writes to it."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linescope.errors import InputError
from linescope.rig.anchors import Anchors
from linescope.rig.parts import (
    BackupPlan,
    ClearanceNeeds,
    Hold,
    InMotion,
    Joint,
    MainPlan,
    Taping,
    Use,
    Walker,
    Weather,
    Wind,
)
from linescope.rig.wishes import Limits, Wish
from linescope.shown import Shown, si
from linescope.taping import Section
from linescope.terrain.spec import GroundSpec
from linescope.webbing import Webbing

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Rig(Shown):
    """A whole rig, checked when made.

    Points are in the rig's own frame: add `origin` to have them in the scene's, where that is a national grid.

    Attributes
    ----------
    name, description : str
    anchors : Anchors
        `main_a`, `main_b`, `backup_a`, `backup_b` and `origin` are read off the rig as well.
    main, backup : Webbing
    main_plan : MainPlan
    backup_plan : BackupPlan
    taping : Taping
    hold : Hold
        Of every tape whose zone has none of its own.
    joints : tuple of Joint
    ties : tuple of float
        Where main and backup are tied or sewn together: distances from anchor A, in the state spacings refer to.  [m]
    walker : Walker or None
    wind : Wind or None
    weather : Weather
    use : Use
        What rub is counted for; a default day where none is given.
    motion : InMotion
    ground : GroundSpec or None
    needs : ClearanceNeeds or None
        None when no clearance is asked for.
    wishes : tuple of Wish
    limits : Limits
        How far it may be changed to have what is wished.

    Raises
    ------
    InputError
        When two inputs contradict each other; `key` names one of them.
    """

    name: str
    anchors: Anchors
    main: Webbing
    backup: Webbing
    main_plan: MainPlan
    backup_plan: BackupPlan
    taping: Taping
    hold: Hold
    joints: tuple[Joint, ...] = ()
    ties: tuple[float, ...] = ()
    walker: Walker | None = None
    wind: Wind | None = None
    weather: Weather = field(default_factory=Weather)
    use: Use = field(default_factory=lambda: Use(assumed=True))
    motion: InMotion = field(default_factory=InMotion)
    ground: GroundSpec | None = None
    needs: ClearanceNeeds | None = None
    wishes: tuple[Wish, ...] = ()
    limits: Limits = field(default_factory=Limits)
    description: str = ""

    def _outline(self) -> dict[str, str]:
        plan, walker, origin = self.main_plan, self.walker, any(self.origin)
        found = {"name": repr(self.name), "span": si(self.span, "m"), "slope": si(self.slope), "main": self.main.name}
        if plan.tension is not None:
            found["tension"] = f"{si(plan.tension, 'N')} at {plan.end}"
        if plan.length is not None:
            found["length"] = si(plan.length, "m")
        found |= {"backup": self.backup.name, "zones": ", ".join(zone.family for zone in self.taping.zones)}
        if walker is not None:
            found["walker"] = f"{si(walker.mass, 'kg')} at {si(walker.at, 'm')}"
        if self.ground is not None:
            found["ground"] = self.ground.kind or "file"
        return found | ({"origin": ", ".join(map(si, self.origin))} if origin else {})

    def __post_init__(self) -> None:
        zones = self.taping.zones
        if not zones:
            raise InputError("there is no tape zone", key="taping.zones", allowed="at least one zone")
        if zones[0].start != 0.0 or any(a.end != b.start for a, b in itertools.pairwise(zones)):
            raise InputError(
                "tape zones must follow one another from anchor A without gap or overlap", key="taping.zones",
                found=", ".join(f"{z.start:g}-{z.end:g} m" for z in zones),
            )
        for number, place in enumerate(self.use.falls, 1):
            if not 0.0 < place < self.span:
                raise InputError(
                    "a fall lies outside the line", key=f"use.falls[{number}]", found=f"{place:g} m",
                    allowed=f"between 0 and {self.span:.2f} m",
                )
        parts_at = self.motion.breaks_at
        if not isinstance(parts_at, str) and not 0.0 < parts_at < self.span:
            raise InputError(
                "the main cannot part outside the line", key="motion.breaks_at", found=f"{parts_at:g} m",
                allowed=f"between 0 and {self.span:.2f} m",
            )
        if self.walker is not None and not 0.0 < self.walker.at < self.span:
            raise InputError(
                "the walker stands outside the line", key="walker.at", found=f"{self.walker.at:g} m",
                allowed=f"between 0 and {self.span:.2f} m",
            )

    @property
    def main_a(self) -> Floats:
        """(3,) where the main is fixed at A.  [m]"""
        return self.anchors.main_a

    @property
    def main_b(self) -> Floats:
        """(3,) where the main is fixed at B.  [m]"""
        return self.anchors.main_b

    @property
    def backup_a(self) -> Floats:
        """(3,) where the backup is fixed at A.  [m]"""
        return self.anchors.backup_a

    @property
    def backup_b(self) -> Floats:
        """(3,) where the backup is fixed at B.  [m]"""
        return self.anchors.backup_b

    @property
    def origin(self) -> tuple[float, float, float]:
        """(3,) where the rig's frame begins in the scene's.  [m]"""
        return self.anchors.origin

    @property
    def span(self) -> float:
        """Straight distance from main anchor A to main anchor B.  [m]"""
        return self.anchors.span

    @property
    def slope(self) -> float:
        """Rise over horizontal run from A to B, positive when B is higher.  [-]"""
        return self.anchors.slope

    @property
    def is_changed(self) -> bool:
        """Whether a line stretches otherwise than when it was laid and pulled."""
        return self.main.is_changed or self.backup.is_changed

    @property
    def as_laid(self) -> Rig:
        """The same rig when it was laid and pulled."""
        return replace(self, main=self.main.laid, backup=self.backup.laid) if self.is_changed else self

    @property
    def section(self) -> Section:
        """The two lines stacked, as a tape goes round them."""
        main, backup = self.main, self.backup
        return Section(
            main_width=main.width, main_thickness=main.thickness, backup_width=backup.width,
            backup_thickness=backup.width if backup.is_rope else backup.thickness, backup_is_rope=backup.is_rope,
        )

    def below_anchors(self, points: ArrayLike) -> Floats:
        """Vertical distance of points below the straight line between the main's anchors; negative above it.

        Parameters
        ----------
        points : (..., 3) array
            [m]

        Returns
        -------
        (...) array
            [m]
        """
        places, run = np.asarray(points, dtype=float), self.main_b - self.main_a
        share = (places - self.main_a)[..., :2] @ run[:2] / (run[:2] @ run[:2])
        return np.asarray(self.main_a[2] + share * run[2] - places[..., 2])

    def along_chord(self, points: ArrayLike) -> Floats:
        """Distance of points from anchor A along the straight line between the main's anchors.

        Parameters
        ----------
        points : (..., 3) array
            [m]

        Returns
        -------
        (...) array
            [m]
        """
        places = np.asarray(points, dtype=float) - self.main_a
        return np.asarray(places @ (self.main_b - self.main_a) / self.span)

    def with_walker_at(self, at: float) -> Rig:
        """The same rig with its walker elsewhere [m along the straight line from A].

        Raises
        ------
        InputError
            When the rig has no walker, or the place is off the line.
        """
        if self.walker is None:
            raise InputError("the rig has no walker to move", key="walker")
        return replace(self, walker=replace(self.walker, at=at))

    def without_walker(self) -> Rig:
        """The same rig, empty."""
        return replace(self, walker=None)
