"""The one list of places: by harm to a person, with what lies beside the anchors, told alike on every surface."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from linescope.clearance.finding import AnchorZone, Cause, Clearance, Finding
from linescope.clearance.ranked import at_rest, event_of, places
from linescope.clearance.why import CauseKind, Why
from linescope.notes import Note

REST, FALL, GONE = (Why(kind=kind) for kind in (CauseKind.RIG, CauseKind.FALL, CauseKind.GONE_FLOOR))
FAMILY = {CauseKind.RIG: "rig", CauseKind.FALL: "fall", CauseKind.GONE_FLOOR: "gone-floor"}


def cause(kind: str, distance: float, station: float, why: Why = FALL, needed: float = 4.5) -> Cause:
    return Cause(
        kind=kind, why=why, family=FAMILY[why.kind], distance=distance, vertical=distance, required=needed - 1.5,
        needed=needed, station=station, walker=station, point=np.array([station, 0.0, distance]),
        nearest=np.array([station, 0.0, 0.0]), vertical_station=station, vertical_walker=station,
    )


def clearance(*found: tuple[Cause, ...], zones: tuple[AnchorZone, ...] = (), notes: tuple[Note, ...] = ()) -> Clearance:
    """As a sweep gives it: by remainder, what is at the borders apart."""
    order = sorted((tuple(sorted(each, key=lambda one: one.remainder)) for each in found), key=lambda e: e[0].remainder)
    return Clearance(
        findings=tuple(Finding(rank=k, causes=each) for k, each in enumerate(order, 1)), no_fall_zones=(),
        holes=np.zeros((0, 2)), survey_error=0.5, margin=1.0, source="invented", notes=notes, zones=zones, span=100.0,
    )


def zone(anchor: str, **more: tuple[Cause, ...]) -> AnchorZone:
    return AnchorZone(anchor=anchor, length=5.0, asked=5.0, **more)


# Worst first, as somebody who may be hurt would sort them: a person in the ground, deepest first; then a line that is
# in it; then a person who is nearer than needed; then lines; then what keeps its distance.
ORDER = (
    cause("body", -7.0, 10.0, GONE), cause("body", -0.1, 20.0), cause("loop", -3.0, 30.0), cause("line", -0.2, 40.0),
    cause("body", 4.4, 50.0), cause("line", 0.3, 60.0, needed=2.5), cause("body", 5.0, 70.0),
)


@pytest.mark.parametrize("turn", range(7))
def test_places_are_sorted_by_harm_whatever_their_order_was(turn: int) -> None:
    mixed = [*ORDER[turn:], *ORDER[:turn]]
    told = places(clearance(*((each,) for each in mixed)))
    assert [place.worst for place in told] == list(ORDER)
    assert [place.rank for place in told] == list(range(1, 8))


def test_causes_within_a_place_are_sorted_by_harm_as_well() -> None:
    for mixed in itertools.islice(itertools.permutations(ORDER[1:5]), 24):
        (told,) = places(clearance(mixed))
        assert told.causes == ORDER[1:5]


def test_the_worst_beside_an_anchor_leads_and_is_one_place() -> None:
    deep, less, far = cause("body", -5.0, 95.0, GONE), cause("body", -1.0, 94.9), cause("body", -2.0, 50.0)
    told = places(clearance((far,), zones=(zone("A"), zone("B", border=(less, deep, cause("line", 9.0, 95.0))))))
    assert [place.worst for place in told] == [deep, far]
    assert [place.zone for place in told] == ["B", ""]
    assert told[0].causes == (deep, less)  # What keeps its distance at the border is in no list of what falls short.
    assert event_of(told[0]) == "both" and event_of(told[1]) == "fall"


def test_what_is_short_at_a_border_near_a_place_is_a_cause_of_it() -> None:
    """Places less than 5 m apart are one on 100 m of line."""
    near, border = cause("body", -1.0, 9.9), cause("body", -4.0, 5.0)
    (told,) = places(clearance((near,), zones=(zone("A", border=(border,)), zone("B"))))
    assert told.causes == (border, near)
    assert len(places(clearance((cause("body", -1.0, 10.1),), zones=(zone("A", border=(border,)),)))) == 2


def test_rock_within_a_zone_counts_at_rest_alone() -> None:
    lies, falls = cause("line", -0.4, 1.0, REST), cause("body", -2.0, 1.0)
    (told,) = places(clearance(zones=(zone("A", within=(falls, lies)),)))
    assert told.causes == (lies,) and told.zone == "A"
    assert event_of(told) == "other" and at_rest(told) is lies


def test_what_needs_no_fall_is_told_of_a_place_though_something_worse_leads() -> None:
    loop, fall = cause("loop", -0.05, 9.3, REST, needed=2.0), cause("body", -7.0, 5.3, GONE)
    (told,) = places(clearance((loop, fall)))
    assert told.worst is fall and at_rest(told) is loop and event_of(told) == "gone"
    assert at_rest(places(clearance((fall,)))[0]) is None


def test_nothing_known_is_no_place() -> None:
    assert places(None) == () and places(clearance()) == ()
