"""The one change that mends a place: solved afresh it does, one step less does not, and where none does it says so."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from linescope import Study
from linescope.advise.levers import tried_for
from linescope.advise.mend import Mend, mend, mends, mends_at_rest
from linescope.advise.results import Set
from linescope.events.fall import leash_fall_sweep
from linescope.statics import plan
from linescope.topics.advise.text import mend_at_rest_text, mend_text
from linescope.words import Words
from tests.advise.lines import GROUND, scene_of

NEEDS = """
[clearance]
line = "0 m"
loop = "0 m"
body = "{body}"
survey_error = "0 m"
margin = "0 m"
anchor_zone = "4 m"
"""
SHELF = (7.6, 10.4)  # Of the ground of `lines`, its top 6.2 m below the anchors.


def found(body: str) -> Study:
    return Study(scene_of(NEEDS.format(body=body), GROUND), positions=9)


@pytest.fixture(scope="module")
def study() -> Study:
    study = found("0.9 m")
    assert any(not finding.is_met for finding in study.clearance.findings)
    return study


def of_falls(study: Study) -> Mend:
    return next(
        each for each in study.mends
        if each.lever is not None and each.cause.kind == "body" and each.cause.family == "fall"
    )


def feet_over_shelf(scene, places) -> float:
    """Least height of feet in falls over the shelf's top, which is level there.  [m]"""
    rig = scene.rig
    sweep = leash_fall_sweep(rig, places, risen=False, planned=plan(rig))
    return float(min(6.2 + foot[2] for foot in sweep.low.foot))


def test_the_change_mends_the_place_and_no_smaller_one_does(study):
    one = of_falls(study)
    falls = [one.cause.walker]
    assert SHELF[0] - 1.0 < falls[0] < SHELF[1] + 1.0
    scene, lever = study.scene, one.lever
    assert feet_over_shelf(scene, falls) < 0.9
    assert feet_over_shelf(scene.what_if(one.tried), falls) >= 0.9 - 1e-6
    less = one.value - np.sign(one.value - lever.now) * lever.step
    if less != lever.now:
        assert feet_over_shelf(scene.what_if(tried_for(scene, [lever], [less])), falls) < 0.9
    assert Set(lever=lever, value=one.value).moved and lever.low <= one.value <= lever.high


def test_no_other_lever_does_it_by_a_smaller_share_of_its_range(study):
    one = of_falls(study)
    share = abs(one.lever.share(one.value) - one.lever.share(one.lever.now))
    falls = [one.cause.walker]
    for lever in one.levers:
        if lever.name == one.lever.name or lever.whole:
            continue
        for sign in (1.0, -1.0):
            to = lever.value(float(np.clip(lever.share(lever.now) + sign * 0.9 * share, 0.0, 1.0)))
            tried = tried_for(study.scene, [lever], [lever.rounded(to)])
            if tried:
                assert feet_over_shelf(study.scene.what_if(tried), falls) < 0.9, lever.name


def test_where_no_change_alone_does_it_says_so():
    study = found("5 m")
    none = [each for each in study.mends if each.lever is None]
    assert none
    words = Words("metric", "en")
    text = mend_text(study, none[0].cause, words)
    assert "No single change" in text and words.say("advise-lever-pull") in text


def test_it_stands_beside_the_place_only_when_asked_for(study):
    words = Words("metric", "en")
    one = of_falls(study)
    cause = one.cause
    text = mend_text(study, cause, words)
    assert words.say(f"advise-lever-{one.lever.name}") in text and "clearance" in text
    bare = Study(study.scene, given={name: study.get(name) for name in ("planned", "clearance", "index")})
    assert mend_text(bare, cause, words) == "" and not bare.knows("mends")
    assert mends(study.scene, replace(study.clearance, findings=(), zones=()), study.index) == ()


def test_what_lies_on_the_ground_at_rest_is_mended_by_the_change_that_is_told():
    """A shelf that is raised until a loop lies on it: on the line as changed, with the walker there, it does not."""
    raised = GROUND.replace('"-6.2 m"', '"-1.5 m"')
    study = Study(scene_of(NEEDS.format(body="0 m"), raised, excess="8 %"), positions=9)
    resting = [one for one in study.rest_mends if one.lever is not None]
    assert resting and all(one.cause.is_at_rest and one.cause.distance <= 0.0 for one in study.rest_mends)
    for one in resting:
        after = Study(study.scene.what_if(one.tried), positions=9)
        left = [
            cause for place in after.clearance.findings for cause in place.causes
            if cause.is_at_rest and cause.kind == one.cause.kind and abs(cause.station - one.cause.station) < 2.0
        ]
        assert all(cause.distance > -0.05 for cause in left)
        words = Words("metric", "en")
        assert words.say(f"advise-lever-{one.lever.name}") in mend_at_rest_text(study, one.cause, words)
    assert mends_at_rest(study.scene, replace(study.clearance, findings=(), zones=()), study.index) == ()


def test_where_the_clearance_finds_another_distance_nothing_is_said(study):
    """Such as in a gust, or in motion in time: levers are solved for neither."""
    cause = of_falls(study).cause
    assert mend(study.scene, cause, study.index) is not None
    assert mend(study.scene, replace(cause, distance=cause.distance - 0.2), study.index) is None
    assert mend(study.scene, replace(cause, kind="leash"), study.index) is None
