"""What a solved state is: one frozen object with shapes, tensions, loops, and the proof that it balances."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields
from types import MappingProxyType
from typing import ClassVar, Literal

import numpy as np
from numpy.typing import NDArray

from linescope.notes import Note
from linescope.rig import Rig
from linescope.rig.layout import Layout
from linescope.shown import Drawn, Outlined, Tabled, si, spread
from linescope.statics.segments import Segments

Floats = NDArray[np.float64]
StateName = Literal["as taped", "settled", "friction-limited"]


@dataclass(frozen=True, eq=False, kw_only=True)
class Curve:
    """A line sampled from anchor A to anchor B.

    Attributes
    ----------
    points : (n, 3) array
        [m]
    coordinate : (n,) array
        Unstretched length from anchor A.  [m]
    tension : (n,) array
        [N]
    bay : (n,) int array
        The bay each sample lies in (its first one where two meet).
    sagitta : (n-1,) array
        How far the true curve may lie off the chord between two samples: a bound.  [m]
    """

    points: Floats
    coordinate: Floats
    tension: Floats
    bay: NDArray[np.int64]
    sagitta: Floats


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class LineShape(Outlined):
    """One line in equilibrium, as k catenary segments between k + 1 nodes.

    Attributes
    ----------
    nodes : (k+1, 3) array
        Anchors, tapes and point loads on this line, from A to B.  [m]
    coordinate : (k+1,) array
        Material coordinate of the nodes.  [m]
    segments : Segments
        The solved catenaries: H, V, lengths, loads.
    bay : (k,) int array
        The bay each segment lies in.
    """

    nodes: Floats
    coordinate: Floats
    segments: Segments
    bay: NDArray[np.int64]

    @property
    def tension_start(self) -> Floats:
        """(k,) tension at the A side of every segment.  [N]"""
        return self.segments.tension_start

    @property
    def tension_end(self) -> Floats:
        """(k,) tension at the B side of every segment.  [N]"""
        return self.segments.tension_end

    @property
    def stretched_length(self) -> Floats:
        """(k,) length of every segment under load.  [m]"""
        return self.segments.stretched_length()

    def sample(self, per_segment: int = 25) -> Curve:
        """The line as points, `per_segment` intervals in each segment."""
        points, coordinate, tension, sagitta = self.segments.sample(per_segment, self.nodes[:-1])
        k = len(self.bay)
        coordinate = coordinate + self.coordinate[:-1, None]
        bay = np.repeat(self.bay[:, None], per_segment + 1, axis=1)
        keep = np.ones((k, per_segment + 1), dtype=bool)
        keep[1:, 0] = False
        return Curve(
            points=points[keep], coordinate=coordinate[keep], tension=tension[keep], bay=bay[keep],
            sagitta=sagitta.reshape(-1),
        )


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class BayResults(Tabled):
    """Per-bay results, n bays from anchor A to anchor B.  Every array is (n,).

    Attributes
    ----------
    start, end : array
        Where its tapes are now: distances from A along the straight line to B.  [m]
    main_length : array
        Unstretched main in the bay.  [m]
    loop_length : array
        Unstretched backup in the bay.  [m]
    length : array
        Stretched main in the bay.  [m]
    excess : array
        loop_length / length - 1; below zero the backup carries load.  In an end bay with anchors of its own the
        length is what the backup has to bridge: that of the main and the difference of the two chords.  [-]
    loop_depth : array
        Largest distance from the loop's straight chord to the loop, along the load direction.  [m]
    loop_drop : array
        Largest vertical distance between main and backup.  [m]
    main_tension, backup_tension : array
        Mean of the tensions at the bay's two ends.  [N]
    backup_share : array
        Backup tension over the sum of both.  [-]
    """

    ROWS: ClassVar[str] = "bay"
    UNITS: ClassVar[Mapping[str, str]] = MappingProxyType({
        "start": "m", "end": "m", "main_length": "m", "loop_length": "m", "length": "m", "excess": "",
        "loop_depth": "m", "loop_drop": "m", "main_tension": "N", "backup_tension": "N", "backup_share": "",
    })

    start: Floats
    end: Floats
    main_length: Floats
    loop_length: Floats
    length: Floats
    excess: Floats
    loop_depth: Floats
    loop_drop: Floats
    main_tension: Floats
    backup_tension: Floats
    backup_share: Floats

    def _outline(self) -> dict[str, str]:
        return {"bays": str(len(self.start))} | {name: spread(getattr(self, name), u) for name, u in self.UNITS.items()}


@dataclass(frozen=True, kw_only=True)
class Proof:
    """Why the state can be believed.

    Attributes
    ----------
    residual : float
        Largest unbalanced force at any free node or slide.  [N]
    relative_residual : float
        The same over the weight of all that hangs on the anchors.  [-]
    closure : float
        Largest gap between a segment's end and its node.  [m]
    iterations : int
        Newton steps, over all stages.
    stable : bool
        Whether the tangent is positive definite.
    other_equilibria : int or None
        Other stable states found for settled sliders (not an exhaustive search); None when not looked for.
    """

    residual: float
    relative_residual: float
    closure: float
    iterations: int
    stable: bool
    other_equilibria: int | None = None

    @property
    def parts(self) -> int:
        """Forces balance to better than one part in so many of the weight: a power of ten, a million at most.

        What the last digits leave over is rounding, which no one should read as a result.
        """
        return int(10 ** max(0, math.floor(-math.log10(max(self.relative_residual, 1e-6)))))


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Solution(Drawn):
    """One state of a rig in equilibrium.

    Attributes
    ----------
    rig : Rig
        What was asked.
    layout : Layout
        Where tapes, ties and joints sit on the slack lines as made.
    state : str
        "as taped", "settled" or "friction-limited".
    main, backup : LineShape
    tape_points : (n, 3) array
        Where main and backup meet: one for each of `layout.tapes`.  [m]
    tape_main, tape_backup : (n,) arrays
        Material coordinates of both lines at the tapes, in this state.  [m]
    tape_slip : (n,) array
        Slid since taped, along the sliding line, positive towards B.  [m]
    bays : BayResults
    walker_point : (3,) array or None
        The walker's feet.  [m]
    loads : (2, 3) array
        Force per unstretched metre on the main and on the backup.  [N/m]
    proof : Proof
    notes : tuple of Note
        What the user must be told about this state, worst first.

    Examples
    --------
    >>> import linescope
    >>> state = linescope.solve("scenes/ptarmigan_step.toml", "settled")
    >>> state.bays.to_frame()[["start", "end", "loop_depth"]].round(2)
         start ...
    >>> state.plot_loops()
    <Axes: ...>
    """

    rig: Rig
    layout: Layout
    state: StateName
    main: LineShape
    backup: LineShape
    tape_points: Floats
    tape_main: Floats
    tape_backup: Floats
    tape_slip: Floats
    bays: BayResults
    walker_point: Floats | None
    loads: Floats
    proof: Proof
    notes: tuple[Note, ...] = ()

    def _outline(self) -> dict[str, str]:
        feet = self.walker_point
        return {
            "rig": repr(self.rig.name),
            "state": repr(self.state),
            "walker_point": "None" if feet is None else f"({', '.join(map(si, feet.tolist()))}) m",
            "tension_a": si(self.tension_a, "N"),
            "tension_b": si(self.tension_b, "N"),
            "bays": str(len(self.bays.start)),
            "loop_depth": spread(self.bays.loop_depth, "m"),
            "excess": spread(self.bays.excess),
            "backup_tension": spread(self.bays.backup_tension, "N"),
            "notes": str(len(self.notes)),
        }

    @property
    def tension_a(self) -> float:
        """Main tension at anchor A.  [N]"""
        return float(self.main.tension_start[0])

    @property
    def tension_b(self) -> float:
        """Main tension at anchor B.  [N]"""
        return float(self.main.tension_end[-1])

    def loop(self, bay: int, per_segment: int = 40) -> Floats:
        """(n, 3) points of the backup in one bay, counted from 0 at anchor A.  [m]"""
        curve = self.backup.sample(per_segment)
        start = bay * per_segment
        return curve.points[start : start + per_segment + 1]


def freeze(result: object) -> None:
    """Make every array of a result read-only."""
    for item in fields(result):  # type: ignore[arg-type]
        value = getattr(result, item.name)
        if isinstance(value, np.ndarray):
            value.setflags(write=False)
