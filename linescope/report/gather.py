"""Everything computed of one rig, gathered for figures, pictures and the sheet.

This is the one place that decides which events are run; the physics of each is in its own room.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field

from linescope.events.bands import Bands, find_bands
from linescope.events.crossing import Crossing, cross
from linescope.events.excess import FourStates, four_states
from linescope.events.fall import LeashFall, LeashFallSweep, leash_fall, leash_fall_sweep
from linescope.events.friction import Creep, HoldLevel, creep
from linescope.events.let_go import LetGo, find_let_go
from linescope.events.main_gone import MainGone, main_gone, main_gone_sweep
from linescope.events.running import RunningRing, running_ring
from linescope.events.wind import WindResult, find_wind
from linescope.rig import Inputs, Rig, RigSource, checked_rig, inputs_of
from linescope.statics import Plan, Solution, plan, solve
from linescope.statics.pair import FIXED

Progress = Callable[[float, str], None]

SWEEP = 60  # Places along the line in the sweeps of a briefing.


@dataclass(frozen=True, eq=False, kw_only=True)
class Results:
    """All that is known of a rig.  What was not asked for, or cannot be for want of a walker or wind, is None.

    Attributes
    ----------
    rig : Rig
    inputs : Inputs
        What is known of its inputs.
    planned : Plan
    standing : Solution
        Empty, still air, dry, as taped.
    taped, settled : Solution
        With the walker, if there is one.
    excess : FourStates
    creep : Creep
        At the middle value of friction, with the walker.
    fall : LeashFall or None
    gone : MainGone or None
        With the walker where the scene puts him.
    wind : WindResult or None
    bands : Bands or None
    fall_sweep : LeashFallSweep or None
    running : RunningRing or None
        The falls of the sweep with a ring that runs along the line.
    gone_sweep : MainGone or None
    crossing_low, crossing_high : Crossing or None
        Over and back with the low and the high hold; None where nothing slides.
    crossing_value : Crossing or None
        The same with the hold as given.
    let_go : dict of {"low", "value", "high"} to LetGo
        What lets go by itself; empty where nothing slides, without a level at which no state was reached.
    """

    rig: Rig
    inputs: Inputs = field(default_factory=Inputs)
    planned: Plan
    standing: Solution
    taped: Solution
    settled: Solution
    excess: FourStates
    creep: Creep
    fall: LeashFall | None = None
    gone: MainGone | None = None
    wind: WindResult | None = None
    bands: Bands | None = None
    fall_sweep: LeashFallSweep | None = None
    running: RunningRing | None = None
    gone_sweep: MainGone | None = None
    crossing_low: Crossing | None = None
    crossing_high: Crossing | None = None
    crossing_value: Crossing | None = None
    let_go: Mapping[HoldLevel, LetGo] = field(default_factory=dict)

    @property
    def to_see(self) -> Solution:
        """The empty rig as the crew finds it: with the hold as given where tapes let go, else as taped."""
        held = self.let_go.get("value")
        return held.empty if held is not None and held.gone_empty else self.standing

    @property
    def slides(self) -> bool:
        """Whether any tape lets a line slide."""
        return bool((self.planned.pair.slide != FIXED).any())


def gather(
    rig: Rig | RigSource,
    *,
    sweeps: bool = False,
    crossings: bool = False,
    crossing_levels: Collection[HoldLevel] = ("low", "high"),
    bands: bool = False,
    sweep_count: int = SWEEP,
    per_bay: int = 3,
    progress: Progress | None = None,
) -> Results:
    """Compute a rig's states and events.

    Parameters
    ----------
    rig : RigSource or Rig
        A scene; of a rig alone no inputs and no bands are known.
    sweeps : bool
        Falls and loss of the main at `sweep_count` places.
    crossings : bool
        A walker over and back.
    crossing_levels : collection of {"low", "value", "high"}
        The holds he goes with.
    bands : bool
        Every result with the low and the high of every input.
    sweep_count, per_bay : int
        Places of a sweep; steps in each bay of a crossing.
    progress : callable, optional
        Told the share done, 0 to 1, and what is being computed.

    Raises
    ------
    SolveError
        When a state does not converge; never a partial result.
    """
    scene, rig = rig, checked_rig(rig)
    walker = rig.walker is not None
    jobs = ["standing", "as taped", "settled", "fall", "loss of the main", "excess", "wind"]
    jobs += ["fall sweep", "loss sweep"] * (sweeps and walker) + ["crossings"] * (crossings and walker)
    jobs += ["bands"] * bands

    def tell(job: str) -> None:
        if progress is not None:
            progress(jobs.index(job) / len(jobs), job)

    def inside(job: str) -> Callable[[float], None] | None:
        if progress is None:
            return None
        return lambda share: progress((jobs.index(job) + share) / len(jobs), job)

    tell("standing")
    planned = plan(rig)
    standing = solve(rig.without_walker(), planned=planned)
    tell("as taped")
    taped = solve(rig, planned=planned)
    tell("settled")
    settled = solve(rig, "settled", planned=planned)
    tell("fall")
    fall = leash_fall(rig, planned=planned) if walker else None
    tell("loss of the main")
    gone = main_gone(rig, planned=planned) if walker else None
    tell("excess")
    excess = four_states(rig, fall.bottom if fall is not None else None, planned=planned)
    tell("wind")
    wind = find_wind(rig, planned=planned) if rig.wind is not None else None
    let_go = find_let_go(rig, planned=planned)
    fall_sweep = running = gone_sweep = None
    if sweeps and walker:
        fall_sweep = leash_fall_sweep(rig, count=sweep_count, planned=planned, progress=inside("fall sweep"))
        running = running_ring(planned, fall_sweep.at, fall_sweep.ring_standing)
        gone_sweep = main_gone_sweep(rig, count=sweep_count, planned=planned, progress=inside("loss sweep"))
    crossed: dict[HoldLevel, Crossing] = {}
    if crossings and walker and bool((planned.pair.slide != FIXED).any()):
        tell("crossings")
        part, count = inside("crossings"), len(crossing_levels)
        for k, level in enumerate(crossing_levels):
            told = None if part is None else lambda share, k=k: part((k + share) / count)
            crossed[level] = cross(rig, level=level, per_bay=per_bay, planned=planned, progress=told)
    found = find_bands(scene, progress=inside("bands")) if bands else None
    if progress is not None:
        progress(1.0, "done")
    return Results(
        rig=rig, inputs=inputs_of(scene), planned=planned, standing=standing, taped=taped, settled=settled,
        excess=excess,
        creep=creep(taped), fall=fall, gone=gone, wind=wind, bands=found, fall_sweep=fall_sweep,
        running=running, gone_sweep=gone_sweep, crossing_low=crossed.get("low"), crossing_high=crossed.get("high"),
        crossing_value=crossed.get("value"), let_go=let_go,
    )
