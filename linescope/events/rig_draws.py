"""A rig as it was laid, in many draws of its uncertain inputs: standing, and with its walker on it.

On the day the tapes are on: how many there are and where was decided with the values that were planned.  Other values
move what follows, not the plan.  A tape sits where its mark is in the state the plan refers to; what a tension or a
length draws in or lets out is in the last bay, at B.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from linescope.errors import LinescopeError, NoEquilibrium, SolveError
from linescope.events.moved import moved
from linescope.events.sampling import DrawGroup
from linescope.rig import Band, Rig, Spacing
from linescope.rig.layout import SAME_PLACE, anchor_detour
from linescope.statics import Plan
from linescope.statics.assemble import G
from linescope.statics.balanced import Asked, Balanced
from linescope.statics.batch import SETTINGS
from linescope.statics.catenary import shape_from_forces
from linescope.statics.plan import marking_strain, plan
from linescope.statics.plans import plans
from linescope.statics.search import search
from linescope.statics.segments import Segments
from linescope.statics.settle import settle
from linescope.statics.stack import ANCHORS, Stack
from linescope.statics.stack_loops import quick_loops, settle_compiled
from linescope.statics.together import alone_as_balanced, balance_quick, guesses, mended, put

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

FAST = (
    "main.tension", "taping.tension", "main.stiffness_factor", "backup.stiffness_factor", "survey", "backup.excess",
    "main.length_change", "backup.length_change",
)
"""Inputs that change nothing of an empty rig but numbers of its stack, as the excess of a zone does; those of the
walker change nothing of it."""
_OF_ZONE = re.compile(r"taping\.zones\[(\d+)\]\.excess")


def frozen(planned: Plan) -> Rig:
    """The rig with its tapes listed where they were laid, so that no other value lays another one.

    Parameters
    ----------
    planned : Plan
    """
    rig, layout = planned.rig, planned.layout
    at = layout.tape_main * (1.0 + layout.marking_strain)
    zones = []
    for index, zone in enumerate(rig.taping.zones):
        mine = [
            max(float(place), zone.start) for place, tape in zip(at, layout.tapes, strict=True)
            if tape.zone == index and tape.kind == "tape"
        ]
        zones.append(replace(zone, spacing=Spacing(kind="listed", values=tuple(mine))))
    return replace(rig, taping=replace(rig.taping, zones=tuple(zones)))


@dataclass(frozen=True, eq=False, kw_only=True)
class DrawnRig:
    """A rig in R draws, standing empty.

    Attributes
    ----------
    rig : Rig
        As planned.
    values : mapping of str to (R,) array
        What was drawn.  [SI]
    stack : Stack
        The empty pairs.
    standing : Balanced
        Of them.
    rows : (R,) int array
        Which draws they are of: those that could not be laid out or stood up are not among them.
    """

    rig: Rig
    values: Mapping[str, Floats]
    stack: Stack
    standing: Balanced
    rows: Ints

    def value(self, key: str, given: float) -> Floats:
        """(R,) values of an input: as drawn, or as given where it was not.  [SI]"""
        drawn = self.values.get(key)
        return np.full(len(self.stack), given) if drawn is None else drawn[self.rows]

    def whole(self, found: Floats) -> Floats:
        """(n,) what was found for these draws among all that were asked for; nan for the others.  [of the figure]

        Parameters
        ----------
        found : (R,) array
            [of the figure]
        """
        values = np.full(len(next(iter(self.values.values()))), np.nan)
        values[self.rows] = found
        return values

    def only(self, which: Ints) -> DrawnRig:
        """Some of the draws.

        Parameters
        ----------
        which : (m,) int array
        """
        standing = picked(self.stack, self.standing, which)
        return replace(self, stack=self.stack.pick(which), standing=standing, rows=self.rows[which])

    def loaded(self, at: float | None = None, *, walker: bool = True, mass: float | None = None) -> DrawnStanding:
        """With its walker on it, or empty, in still air; wet or iced as the rig is.

        Parameters
        ----------
        at : float, optional
            Along the straight line from A to B; default his own place.  [m]
        walker : bool
            Whether anybody is on it.
        mass : float, optional
            Of another person in his place, with `at`; 0 marks a spot of the empty line.  [kg]
        """
        rig, stack = self.rig, self.stack
        weight, node = np.zeros(len(stack)), np.full(len(stack), -1)
        if walker:
            if mass is not None:
                assert at is not None
                places, weight = np.full(len(stack), at), np.full(len(stack), mass * G)
            else:
                assert rig.walker is not None
                places = np.full(len(stack), at) if at is not None else self.value("walker.at", rig.walker.at)
                weight = self.value("walker.mass", rig.walker.mass) * G
            piece, coordinate, tape = _on_the_main(stack, self.standing, places)
            stack, node = _with_load(stack, piece, coordinate, weight, tape, rig.taping.stock.width)
        load = stack.load.copy()
        for line, name in enumerate(("main", "backup")):
            load[:, line, 2] -= self.value(f"weather.{name}_added", getattr(rig.weather, f"{name}_added")) * G
        stack = stack.changed(load=load)
        guess, _ = guesses(stack)
        found = mended(stack, balance_quick(stack, guess, settings=SETTINGS), settings=SETTINGS)
        return DrawnStanding(drawn=self, stack=stack, balanced=found, node=node, weight=weight)


@dataclass(frozen=True, eq=False, kw_only=True)
class DrawnStanding:
    """A rig in R draws with its walker standing.

    Attributes
    ----------
    drawn : DrawnRig
    stack : Stack
    balanced : Balanced
        As taped.
    node : (R,) int array
        The walker's; -1 where nobody is on it.
    weight : (R,) array
        [N]
    """

    drawn: DrawnRig
    stack: Stack
    balanced: Balanced
    node: Ints
    weight: Floats

    def only(self, which: Ints) -> DrawnStanding:
        """Some of the draws.

        Parameters
        ----------
        which : (m,) int array
        """
        stack = self.stack.pick(which)
        local = self.node[which] - self.stack.nodes[which]
        return DrawnStanding(
            drawn=self.drawn.only(which), stack=stack, balanced=picked(self.stack, self.balanced, which),
            node=stack.nodes[:-1] + local, weight=self.weight[which],
        )

    @property
    def settled(self) -> Balanced:
        """Shaken until no sliding line has friction left."""
        return settled(self.stack, self.balanced)


def settled(stack: Stack, taped: Balanced) -> Balanced:
    """Settled states; what compiled loops leave open, one by one.

    Parameters
    ----------
    stack : Stack
    taped : Balanced
    """
    if not stack.free.any():
        return taped
    found = settle_compiled(stack, taped, settings=SETTINGS) if quick_loops() else replace(
        taped, done=np.zeros(len(stack), dtype=bool)
    )
    for k in np.flatnonzero(taped.done & ~found.done).tolist():
        pair = stack.pair(k)
        start = np.column_stack((taped.places[stack.nodes[k] : stack.nodes[k + 1]], pair.start_slides))
        try:
            alone, _ = settle(pair, search(pair, start))
        except SolveError:
            continue
        found = put(stack, found, np.array([k]), alone_as_balanced(alone))
    return found


def draw(planned: Plan, drawn: Sequence[DrawGroup], shares: Floats) -> DrawnRig:
    """The rig as it was laid in draws of groups of inputs.

    Parameters
    ----------
    planned : Plan
        As planned, with the values as given.
    drawn : sequence of d DrawGroup
    shares : (R, d) array
        Of the draws of each that lie lower.  [-]

    Raises
    ------
    LinescopeError
        When not one of the draws stands.
    """
    values: dict[str, Floats] = {}
    for group, share in zip(drawn, shares.T, strict=True):
        values |= group.at(share)
    return draw_values(planned, values, {key: band for group in drawn for key, band in group.bands.items()})


def draw_values(planned: Plan, values: Mapping[str, Floats], bands: Mapping[str, Band]) -> DrawnRig:
    """The rig as it was laid with stated values of inputs.

    Parameters
    ----------
    planned : Plan
        As planned, with the values as given.
    values : mapping of str to (R,) array
        By keys that `moved.with_input` knows.  [SI]
    bands : mapping of str to Band
        Of these inputs; their values are as planned.  [SI]

    Raises
    ------
    LinescopeError
        When not one of the draws stands.
    """
    count, rig = len(next(iter(values.values()))), frozen(planned)
    if all(key in FAST or key.startswith("walker.") or _OF_ZONE.fullmatch(key) for key in values) and _plain(rig):
        return _numbers(planned, rig, values, bands, count)
    return _rigs(planned, rig, values, bands, count)


def _loops(planned: Plan, values: Mapping[str, Floats], count: int) -> Floats:
    """(count, bays) backup over what it has to bridge, as stated, in every draw.  [-]"""
    layout, zones = planned.layout, planned.rig.taping.zones
    loops = np.repeat(1.0 + layout.stated_excess[None], count, axis=0)
    ends = np.cumsum(layout.stated_bays)
    zone = np.searchsorted([each.end for each in zones], ends - 0.5 * layout.stated_bays, side="right")
    zone = np.minimum(zone, len(zones) - 1)
    own = np.array([each.excess is not None for each in zones])
    for key, each in values.items():
        found = _OF_ZONE.fullmatch(key)
        if found is not None:
            own[int(found[1]) - 1] = True
            loops[:, zone == int(found[1]) - 1] = 1.0 + each[:, None]
    if "backup.excess" in values:
        loops[:, ~own[zone]] = 1.0 + values["backup.excess"][:, None]
    return loops


def _plain(rig: Rig) -> bool:
    """Whether marks move straight with the numbers of `FAST`."""
    by_ratio = rig.backup_plan.given_by == "excess" or all(zone.excess is not None for zone in rig.taping.zones)
    return by_ratio and rig.main_plan.tension is not None and not rig.main.give


def _rigs(
    planned: Plan, rig: Rig, values: Mapping[str, Floats], bands: Mapping[str, Band], count: int
) -> DrawnRig:
    """Each draw a rig of its own."""
    rigs = [moved(rig, {key: float(each[k]) for key, each in values.items()}, bands) for k in range(count)]
    found = plans(rigs, loops=False)
    n = planned.pair.n
    some = [(k, each) for k, each in enumerate(found) if isinstance(each, Plan) and each.pair.n == n]
    if not some:
        raise next(each for each in found if isinstance(each, LinescopeError))
    stack = Stack.of([each.pair for _, each in some])
    places = np.concatenate([each.standing.state.unknowns[:, :3] for _, each in some])
    forces = [each.standing.state.forces for _, each in some]
    guess = np.concatenate([h for h, _ in forces]), np.concatenate([v for _, v in forces])
    return DrawnRig(
        rig=planned.rig, values=values, stack=stack, rows=np.array([k for k, _ in some]),
        standing=balance_quick(stack, places, settings=SETTINGS, forces=guess),
    )


def _numbers(
    planned: Plan, rig: Rig, values: Mapping[str, Floats], bands: Mapping[str, Band], count: int
) -> DrawnRig:
    """All draws as numbers of one stack; marks as `lay_out` puts them."""
    layout, base = planned.layout, planned.pair
    assert rig.main_plan.tension is not None
    tension = values.get("main.tension", np.full(count, rig.main_plan.tension))
    stiffer = np.column_stack([
        values[key] / bands[key].value if (key := f"{line}.stiffness_factor") in bands else np.ones(count)
        for line in ("main", "backup")
    ])
    curve = rig.main.stretch
    standing = curve.at(tension)[0] / stiffer[:, 0]
    marking = np.zeros(count)
    if rig.taping.measured_on == "tensioned":
        at = values.get("taping.tension", rig.taping.tension)
        marking = standing if at is None else curve.at(np.full(count, at))[0] / stiffer[:, 0]
    planned_at = 1.0 + marking_strain(rig, curve.strain_at(rig.main_plan.tension))
    ratio = (1.0 + marking)[:, None]
    along = (rig.main_b - rig.main_a) / rig.span
    longer = values.get("survey", np.zeros(count))
    length = ((rig.span + longer) / (1.0 + standing))[:, None]
    main = np.concatenate([np.zeros((count, 1)), base.main_at * planned_at / ratio], axis=1)
    loops, inner = _loops(planned, values, count), layout.stated_bays[:-1]
    # What loops bridge: main from tape to tape; in the end bays from where the backup's own anchors are.
    ways = inner + anchor_detour(rig, layout.stated_bays)[:-1]
    backup = np.concatenate([np.zeros((count, 1)), np.cumsum(ways * loops[:, :-1], axis=1)], axis=1)
    off_b = rig.main_b - rig.backup_b
    anchors = np.repeat(np.concatenate([base.main_ends, base.backup_ends])[None], count, axis=0)
    anchors[:, [1, 3]] += longer[:, None, None] * along
    bare = Stack.of([base]).repeated(count)
    asked_at = {"tension": tension, "at_b": np.full(count, rig.main_plan.end == "B")}
    by, stood = np.zeros((count, base.n + 1 + len(base.tapes) + 1)), np.zeros(count, dtype=bool)
    by[:, base.n] = 1.0
    for _ in range(2 if off_b.any() else 1):  # How long the last way is bends a little with the length that is found.
        bay = length * ratio - np.sum(inner)
        way = np.linalg.norm(off_b - bay * along, axis=1)[:, None] if off_b.any() else bay
        by[:, -1] = (ratio * loops[:, -1:] * (bay - off_b @ along) / way)[:, 0]
        last = backup[:, -1:] + way * loops[:, -1:]
        stack = bare.changed(
            marks=(
                np.concatenate([main, backup], axis=1).reshape(-1),
                np.concatenate([main[:, 1:], length, backup[:, 1:], last], axis=1).reshape(-1),
            ),
            anchors=anchors.reshape(-1, 3), softer=1.0 / stiffer, offset=np.zeros((count, 2)),
        )
        places, _ = guesses(stack)
        found = balance_quick(stack, places, settings=SETTINGS, asked=Asked(**asked_at, by=by.reshape(-1)))
        more, stood = found.longer.copy(), found.done.copy()
        length = length + np.where(stood, more, 0.0)[:, None]
    alone = {}
    for k in np.flatnonzero(~stood).tolist():
        try:
            alone[k] = plan(moved(rig, {key: float(each[k]) for key, each in values.items()}, bands))
        except LinescopeError:
            continue
        more[k], stood[k] = alone[k].layout.main_length - float(stack.total[k, 0]), True
    for k, each in alone.items():
        found = put(stack, found, np.array([k]), alone_as_balanced(each.standing))
    stack = stack.changed(marks=(stack.begin_at, stack.stop_at + (by * more[:, None]).reshape(-1)))
    change = np.column_stack([
        values.get(f"{line}.length_change", np.full(count, getattr(rig, line).length_change))
        for line in ("main", "backup")
    ])
    if change.any():  # Since they were laid and pulled.
        stack = stack.changed(offset=change)
        places, _ = guesses(stack)
        found = mended(stack, balance_quick(stack, places, settings=SETTINGS), settings=SETTINGS)
        stood &= found.done
    if not stood.any():
        raise NoEquilibrium("not one of these lines is found standing", advice="other values, or other readings")
    drawn = DrawnRig(rig=planned.rig, values=values, stack=stack, standing=found, rows=np.arange(count))
    return drawn if stood.all() else drawn.only(np.flatnonzero(stood))


def picked(stack: Stack, found: Balanced, which: Ints) -> Balanced:
    """What was found for some of the pairs of a stack.

    Parameters
    ----------
    stack : Stack
    found : Balanced
        Of it.
    which : (m,) int array
    """
    nodes, pieces = stack.numbers_of(which)
    segments = found.segments
    return Balanced(
        places=found.places[nodes], slides=found.slides[nodes], residual=found.residual[which],
        steps=found.steps[which], done=found.done[which], longer=found.longer[which],
        segments=Segments(
            flat=segments.flat.part(pieces), chord=segments.chord[pieces], x=segments.x[pieces],
            z=segments.z[pieces], across=segments.across[pieces], up=segments.up[pieces],
        ),
    )


def _on_the_main(stack: Stack, standing: Balanced, at: Floats) -> tuple[Ints, Floats, Ints]:
    """(R,) main piece and material coordinate of the spot at a place along the straight line [m], and the tape he
    stands on there, or -1; see `Plan.walker_coordinates` and `assemble`."""
    n, segments = int(stack.nodes[1]), standing.segments
    a, b = stack.anchors[0::ANCHORS], stack.anchors[1::ANCHORS]
    along = (b - a) / np.linalg.norm(b - a, axis=1)[:, None]
    starts = np.concatenate([a[:, None], standing.places.reshape(len(stack), n, 3)], axis=1)
    reach = np.einsum("rni,ri->rn", starts - a[:, None], along)
    index = np.clip(np.sum(reach <= at[:, None], axis=1) - 1, 0, n)
    piece = stack.pieces[:-1] + index
    flat = segments.flat.part(piece)
    across, up = (np.einsum("ri,ri->r", each[piece], along) for each in (segments.across, segments.up))
    left = at - reach[np.arange(len(stack)), index]
    low, high = np.zeros(len(stack)), flat.length.copy()
    for _ in range(46):  # A part in 1e13 of the piece.
        s = 0.5 * (low + high)
        x, z = shape_from_forces(flat.h, flat.v, s, flat.q, flat.a, flat.c)
        short = x * across + z * up < left
        low, high = np.where(short, s, low), np.where(short, high, s)
    s = 0.5 * (low + high)
    taped = np.append(stack.is_tape, np.zeros(len(stack.anchors), dtype=bool))
    before, after = stack.before[piece], stack.after[piece]
    tape = np.where((s <= SAME_PLACE) & taped[before], before, -1)
    tape = np.where((flat.length - s <= SAME_PLACE) & taped[after], after, tape)
    beside = np.minimum(SAME_PLACE, 0.5 * flat.length)
    s = np.where(tape < 0, np.clip(s, beside, flat.length - beside), 0.5 * flat.length)
    return piece, stack.begin_at[piece] + s, tape


def _with_load(
    stack: Stack, piece: Ints, at: Floats, weight: Floats, tape: Ints, gap: float
) -> tuple[Stack, Ints]:
    """Every pair with one more node, which parts a piece of its main, and a weight on it; and the nodes with weight.

    Who stands on a tape pins that: the weight is on the tape's own node, and the new one carries nothing.
    """
    r, n = len(stack), stack.n
    local = piece - stack.pieces[:-1]
    where = stack.nodes[:-1] + local
    nodes, pieces = stack.nodes + np.arange(r + 1), stack.pieces + np.arange(r + 1)
    own = nodes[:-1] + local
    old = np.arange(n)
    moved = np.concatenate([
        old + stack.owner + (old >= where[stack.owner]), np.arange(n, n + ANCHORS * r) + r
    ])
    first, second = pieces[:-1] + local, pieces[:-1] + local + 1

    def parted(values: NDArray[Any]) -> NDArray[Any]:
        return np.insert(values, piece + 1, values[piece], axis=0)

    before, after = parted(moved[stack.before]), parted(moved[stack.after])
    after[first], before[second] = own, own
    begin_at, stop_at, sliding, least = (
        parted(each) for each in (stack.begin_at, stack.stop_at, stack.sliding, stack.least)
    )
    stop_at[first], begin_at[second] = at, at
    sliding[first, 1], sliding[second, 0] = 0.0, 0.0
    for each in (first, second):
        short = np.minimum(gap, 0.5 * (stop_at[each] - begin_at[each]))
        least[each] = np.where(sliding[each].any(axis=1), short, -np.inf)
    on = tape >= 0
    under = np.where(on, moved[np.maximum(tape, 0)], own)
    pull = np.insert(stack.pull, where, np.zeros((r, 3)), axis=0)
    pull[under, 2] -= weight
    slides = np.insert(stack.slides, where, np.zeros(r))
    free = np.insert(stack.free, where, np.zeros(r, dtype=bool))
    slides[under[on]], free[under[on]] = 0.0, False
    pinned = np.append(np.isin(np.arange(n + r), under[on]), np.zeros(ANCHORS * r, dtype=bool))
    sliding[pinned[before], 0], sliding[pinned[after], 1] = 0.0, 0.0
    least = np.where(sliding.any(axis=1), least, -np.inf)
    return replace(
        stack, nodes=nodes, pieces=pieces, before=before, after=after, backup=parted(stack.backup), q=parted(stack.q),
        up=parted(stack.up), begin_at=begin_at, stop_at=stop_at, sliding=sliding, least=least,
        pull=pull, main_at=np.insert(stack.main_at, where, at), slides=slides, free=free, weight=stack.weight + weight,
    ), under


