"""Nothing that the picture of falls prints depends on how many places were swept."""

from __future__ import annotations

import functools

from linescope.scene import load
from linescope.stage import brief_of
from linescope.stage.ground import site
from linescope.study import Study
from linescope.topics.falls import picture
from linescope.topics.falls.picture_zones import HIT, left_over, zones_of
from tests.test_layers import PACKAGE


@functools.cache
def compared():
    """The clearance of few places, without falls in time."""
    scene = load(PACKAGE.parent / "scenes" / "larkspur_ledge.toml")
    return Study(scene, leave={"deeper"}, positions=10).clearance


def told(places):
    """Zones, and every text of boxes and labels, with so many places."""
    scene = load(PACKAGE.parent / "scenes" / "larkspur_ledge.toml")
    study = Study(scene, leave=Study.SLOW - {"fall_sweep", "place_gaps", "fall_gaps"} | {"bands"}, places=places,
                  given={"clearance": compared()})
    brief = brief_of(study.taped, study=study, ground=site(study.ground, scene.rig))
    sweep = study.fall_sweep
    zones = [(zone.kind, zone.start, zone.end) for zone in zones_of(brief, sweep.at, left_over(brief, sweep))]
    stage = picture.build(brief)
    texts = {text for box in stage.boxes for text in (*box.lines, *(cell for row in box.table for cell in row))}
    return zones, texts


def test_twice_the_places_print_the_same():
    few, many = told(16), told(32)
    assert [kind for kind, _, _ in few[0]] == [kind for kind, _, _ in many[0]]
    assert len(few[0]) > 2
    assert few[0] == many[0]
    ends = [end for zone in (*compared().no_fall_zones, *compared().strikes) for end in zone.from_a]
    assert all(min(abs(end - each) for each in (0.0, *ends)) < 1e-6 for _, *both in few[0] for end in both)
    assert few[1] == many[1]


def test_what_a_fall_touches_on_its_way_is_what_it_can_reach():
    """Heron Gap's falls brush the cliffs farther out than where their lowest points reach the ground."""
    scene = load(PACKAGE.parent / "scenes" / "heron_gap.toml")
    study = Study(scene, places=32)
    brief = brief_of(study.taped, study=study, ground=site(study.ground, scene.rig))
    sweep = study.fall_sweep
    hit = [zone for zone in zones_of(brief, sweep.at, left_over(brief, sweep)) if zone.kind == HIT]
    assert study.clearance.strikes
    for strike in study.clearance.strikes:
        low, high = strike.from_a
        assert any(zone.start <= low + 1e-5 and high - 1e-5 <= zone.end for zone in hit)
    low, high = study.clearance.strikes[0].from_a
    inside = (sweep.at > low) & (sweep.at < high)
    assert study.fall_gaps.lowest[inside].max() > 0.5  # More than the survey can be wrong by.
