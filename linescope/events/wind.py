"""Wind from the side: blown-out shapes, how far loops swing, which can come above the main and wrap it.

What the wind pushes with is in `linescope.events.drag`.  The lines do not shelter one another; tapes,
joints and hardware have no drag.  How far loops swing in a gust is in `linescope.events.swing`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from linescope.errors import InputError
from linescope.events.air import ROUND_ROPE, Coating, perimeter
from linescope.events.drag import BODY_AREA, WindLoad, wind_load, wind_loading
from linescope.events.swing import (
    SHALLOWEST,
    SWING_LIMIT,
    heights_above_main,
    loops_of,
    swing_angles,
    swing_in_gust,
    turn_about_chords,
)
from linescope.notes import Bays, Kind, Note, Place, Quantity, Severity, Value
from linescope.rig import Rig, Wind
from linescope.shown import Outlined
from linescope.statics import Plan, Solution, plan, solve
from linescope.statics.assemble import G
from linescope.statics.solution import freeze

Floats = NDArray[np.float64]
Occupied = Literal["empty", "walker"]
Side = Literal["as given", "opposite"]

# A loop that lies over the main and hangs down on its other side has made half a turn.
HALF_TURN = 0.5
WRAPS_FROM = math.radians(150.0)  # Swing from which a loop may fall over the main [rad].
RISE = 1.0  # Of a gust that is not quite sudden [s].


class WindNote(Kind):
    """What is said of wind."""

    WRAP = "wind-wrap"
    ABOVE = "wind-above"
    LEVEL = "wind-level"
    STRIP = "wind-basis-strip"
    CROSS_FLOW = "wind-basis-cross-flow"
    SWING = "wind-basis-swing"
    LEFT_OUT = "wind-basis-left-out"
    ROPE = "wind-basis-rope"
    BODY = "wind-basis-body"


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class WindCase(Outlined):
    """One side, one loading.  Arrays are (n,), one entry a bay from anchor A.

    Attributes
    ----------
    loaded : {"empty", "walker"}
    side : {"as given", "opposite"}
    steady_load, gust_load : WindLoad
    steady, gust : Solution
        Blown-out equilibria at steady speed and at gust speed.
    steady_swing, gust_swing : array
        Angle of each loop about its tape-to-tape chord, from the vertical plane through that chord.  [rad]
    sudden_swing : array
        In a gust that arrives at once on loops at rest in still air; see `linescope.events.swing`.  [rad]
    from_steady_swing : array
        The same for loops that already hang at `steady_swing`.  [rad]
    rising_swing : array
        The same from still air in a gust that takes `RISE` to come.  [rad]
    swung : (n, PER_LOOP + 1, 3) array
        Each loop of `gust`, turned rigidly about its chord to `sudden_swing`.  [m]
    steady_above, gust_above, sudden_above : array
        Largest height of the loop above the main beside it; 0 where it is nowhere above.  [m]
    offset_steady, offset_gust : float
        Largest sideways travel of the main from the vertical plane through its anchors.  [m]
    reach : array
        How far the loop's middle can get from its chord when pulled into a triangle.  [m]
    turns : array
        Turns that each half of the loop is long enough to wind round the main: reach over the girth of the
        main, taken at the backup's mid-thickness.  [-]
    above : tuple of int
        Bays, counted from 1 at A, whose loop can come above the main.
    wrap : tuple of int
        Those whose loop swings past `WRAPS_FROM` and is long enough to lie round the main (half a turn or more).
    """

    loaded: Occupied
    side: Side
    steady_load: WindLoad
    gust_load: WindLoad
    steady: Solution
    gust: Solution
    steady_swing: Floats
    gust_swing: Floats
    sudden_swing: Floats
    from_steady_swing: Floats
    rising_swing: Floats
    swung: Floats
    steady_above: Floats
    gust_above: Floats
    sudden_above: Floats
    offset_steady: float
    offset_gust: float
    reach: Floats
    turns: Floats
    above: tuple[int, ...]
    wrap: tuple[int, ...]


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class WindResult(Outlined):
    """Wind on a rig from both sides, empty and (when it has one) with its walker.

    Attributes
    ----------
    rig : Rig
        Coating included.
    wind : Wind
    cases : tuple of WindCase
    balanced_speed : float
        Speed across the line at which the drag of a loop is its weight: it hangs out at 45 degrees.  [m/s]
    level_speed : float
        Speed of a sudden gust across the line that lifts a loop level with its chord.  [m/s]
    assumed : tuple of Note
        What was assumed, for every sheet that shows these figures.
    notes : tuple of Note
        What the user must be told, worst first.
    """

    rig: Rig
    wind: Wind
    cases: tuple[WindCase, ...]
    balanced_speed: float
    level_speed: float
    assumed: tuple[Note, ...]
    notes: tuple[Note, ...]

    def case(self, loaded: Occupied = "empty", side: Side = "as given") -> WindCase:
        """One of the cases.

        Raises
        ------
        InputError
            When it was not computed: the rig has no walker.
        """
        for case in self.cases:
            if case.loaded == loaded and case.side == side:
                return case
        raise InputError(
            "there is no such wind case",
            key="wind",
            found=f"{loaded}, {side}",
            allowed="; ".join(f"{case.loaded}, {case.side}" for case in self.cases),
        )


def _sideways(solution: Solution, towards: Floats) -> float:
    return float(np.max(np.abs((solution.main.sample().points - solution.rig.main_a) @ towards)))


def _case(
    rig: Rig,
    wind: Wind,
    side: Side,
    state: Literal["as taped", "settled"],
    planned: Plan,
    coating: Coating | None,
    body_area: float,
) -> WindCase:
    sign = 1.0 if side == "as given" else -1.0
    blowing = replace(wind, towards=(sign * wind.towards[0], sign * wind.towards[1]))
    solved = []
    for speed in (wind.speed, wind.speed * wind.gust_factor):
        load = wind_load(rig, blowing, speed, coating=coating, body_area=body_area)
        loading = wind_loading(rig, planned, load, coating)
        solution = solve(rig, state, planned=planned, loading=loading, look_for_others=False)
        chords = np.diff(solution.backup.nodes, axis=0)
        solved.append((load, solution, swing_angles(chords, solution.loads[1]), chords))
    (steady_load, steady, steady_swing, _), (gust_load, gust, gust_swing, chords) = solved
    loops = loops_of(gust)
    depth = np.maximum(gust.bays.loop_depth, SHALLOWEST)
    blows = math.sqrt(2.0 * gust_load.pressure / wind.air_density)  # Its part across the line.
    sudden = np.minimum(swing_in_gust(gust_swing, depth, blows), SWING_LIMIT)
    swung = turn_about_chords(loops, gust.loads[1], sudden - gust_swing)
    sudden_above = heights_above_main(gust, swung)
    gust_above = heights_above_main(gust, loops)
    steady_above = heights_above_main(steady, loops_of(steady))
    spare = gust.backup.stretched_length**2 - np.sum(chords**2, axis=1)
    reach = 0.5 * np.sqrt(np.maximum(spare, 0.0))
    turns = reach / (perimeter(rig.main) + math.pi * rig.backup.thickness)
    can = (sudden_above > 0.0) | (gust_above > 0.0) | (steady_above > 0.0)
    case = WindCase(
        loaded="empty" if rig.walker is None else "walker",
        side=side,
        steady_load=steady_load,
        gust_load=gust_load,
        steady=steady,
        gust=gust,
        steady_swing=steady_swing,
        gust_swing=gust_swing,
        sudden_swing=sudden,
        from_steady_swing=np.minimum(swing_in_gust(gust_swing, depth, blows, start=steady_swing), SWING_LIMIT),
        rising_swing=np.minimum(swing_in_gust(gust_swing, depth, blows, rise=RISE), SWING_LIMIT),
        swung=swung,
        steady_above=steady_above,
        gust_above=gust_above,
        sudden_above=sudden_above,
        offset_steady=_sideways(steady, steady_load.towards),
        offset_gust=_sideways(gust, gust_load.towards),
        reach=reach,
        turns=turns,
        above=tuple(int(bay) + 1 for bay in np.flatnonzero(can)),
        wrap=tuple(int(bay) + 1 for bay in np.flatnonzero((sudden > WRAPS_FROM) & (turns >= HALF_TURN))),
    )
    freeze(case)
    return case


def find_wind(
    rig: Rig,
    wind: Wind | None = None,
    *,
    state: Literal["as taped", "settled"] = "as taped",
    coating: Coating | None = None,
    body_area: float = BODY_AREA,
    planned: Plan | None = None,
) -> WindResult:
    """Steady wind and gust on a rig, from both sides, empty and with its walker.

    Parameters
    ----------
    rig : Rig
    wind : Wind, optional
        Default the rig's own.
    state : {"as taped", "settled"}
        Of the sliders.
    coating : Coating, optional
        Water or ice instead of the rig's weather; see `linescope.events.air`.
    body_area : float
        Drag area of the walker.  [m^2]
    planned : Plan, optional
        Of the same rig, when it is known.

    Returns
    -------
    WindResult

    Raises
    ------
    InputError
        When no wind is given, or its gust factor is not 1 to 4.
    NoEquilibrium
    """
    wind = rig.wind if wind is None else wind
    if wind is None:
        raise InputError("there is no wind in this scene", key="wind", allowed="a table [wind] with speed and from")
    if not 1.0 <= wind.gust_factor <= 4.0:
        raise InputError("no such gust", key="wind.gust_factor", found=f"{wind.gust_factor:g}", allowed="1 to 4")
    planned = plan(rig) if planned is None else planned
    rigs = (rig.without_walker(),) if rig.walker is None else (rig.without_walker(), rig)
    sides: tuple[Side, Side] = ("as given", "opposite")
    cases = tuple(_case(loaded, wind, side, state, planned, coating, body_area) for loaded in rigs for side in sides)
    worn = rig if coating is None else coating.on(rig)
    one = wind_load(worn, replace(wind, towards=_square_on(worn)), 1.0, coating=coating)
    weight = (worn.backup.mass + worn.weather.backup_added) * G
    balanced = math.sqrt(weight / one.backup) if one.backup > 0.0 else math.inf
    level = _level_speed(balanced, np.concatenate([case.gust.bays.loop_depth for case in cases]))
    return WindResult(
        rig=worn,
        wind=wind,
        cases=cases,
        balanced_speed=balanced,
        level_speed=level,
        assumed=(*_assumed(worn, wind, body_area), *((coating.note,) if coating and coating.note else ())),
        notes=_notes(cases, wind, level),
    )


def _level_speed(balanced: float, depths: Floats) -> float:
    """Speed at which the loop that swings most just comes to 90 degrees; `balanced` is that of drag = weight.  [m/s]"""
    if not math.isfinite(balanced):
        return math.inf
    ends = np.maximum(np.array([depths.min(), depths.max()]), SHALLOWEST)
    low, high = balanced, 8.0 * balanced
    for _ in range(12):
        speed = 0.5 * (low + high)
        static = np.full(2, math.atan((speed / balanced) ** 2))
        low, high = (low, speed) if swing_in_gust(static, ends, speed).max() >= 0.5 * math.pi else (speed, high)
    return high


def _square_on(rig: Rig) -> tuple[float, float]:
    line = rig.main_b - rig.main_a
    run = math.hypot(line[0], line[1])
    return -line[1] / run, line[0] / run


def _assumed(rig: Rig, wind: Wind, body_area: float) -> tuple[Note, ...]:
    def basis(kind: WindNote, **values: Value) -> Note:
        return Note(kind=kind, severity=Severity.BASIS, values=values)

    notes = [
        basis(
            WindNote.STRIP, coefficient=Quantity(wind.drag_coefficient, "number"),
            exposure=Quantity(wind.exposure, "ratio"),
        ),
        basis(WindNote.CROSS_FLOW), basis(WindNote.SWING), basis(WindNote.LEFT_OUT),
    ]
    if rig.main.is_rope or rig.backup.is_rope:
        notes.append(basis(WindNote.ROPE, coefficient=Quantity(ROUND_ROPE, "number")))
    if rig.walker is not None:
        notes.append(basis(WindNote.BODY, area=Quantity(body_area, "area")))
    return tuple(notes)


def _notes(cases: tuple[WindCase, ...], wind: Wind, level: float) -> tuple[Note, ...]:
    notes = []
    gust, total = Quantity(wind.speed * wind.gust_factor, "speed"), len(cases[0].reach)
    for kind, severity, bays in (
        (WindNote.WRAP, Severity.CHECK, sorted({bay for case in cases for bay in case.wrap})),
        (WindNote.ABOVE, Severity.LIMIT, sorted({bay for case in cases for bay in case.above})),
    ):
        if bays:
            values: dict[str, Value] = {"bays": Bays(tuple(bays)), "count": len(bays), "total": total, "gust": gust}
            place = Place(0.0, 0.0, bay=bays[0])
            notes.append(Note(kind=kind, severity=severity, values=values, place=place, weight=len(bays) / total))
    notes.append(Note(kind=WindNote.LEVEL, severity=Severity.LIMIT, values={"speed": Quantity(level, "speed", "down")}))
    return (*notes, *dict.fromkeys(note for case in cases for note in case.gust.notes))
