"""Findings, ranking, exit status and no-fall zones of swept curves."""

from __future__ import annotations

import numpy as np
import pytest

from linescope.clearance import GroundIndex, Requirement, SweptCurve, check, no_fall_zones
from linescope.errors import InputError
from linescope.terrain import Terrain

STATIONS = np.array([0.0, 20.0, 20.1, 30.0, 30.1, 100.0])
HEIGHTS = np.array([-15.0, -15.0, -6.0, -6.0, -15.0, -15.0])
"""Invented: level ground 15 m below the line with a shelf 6 m below it from 20 m to 30 m."""


@pytest.fixture
def shelf():
    vertices = np.concatenate([np.column_stack([STATIONS, np.full(6, y), HEIGHTS]) for y in (-20.0, 20.0)])
    i = np.arange(5)
    faces = np.concatenate([np.stack([i, i + 1, i + 6], 1), np.stack([i + 1, i + 7, i + 6], 1)])
    return GroundIndex(Terrain(vertices=vertices, faces=faces, source="a shelf", kind="profile"))


def _line(walker, dip=4.0):
    """Two straight halves with the walker at the kink; deepest in mid-span, as on a taut string."""
    depth = dip * 4.0 * (walker / 100.0) * (1.0 - walker / 100.0)
    return np.array([[0.0, 0, 0], [walker, 0, -depth], [100.0, 0, 0]])


def _sweep(walkers=tuple(range(5, 100, 5))):
    curves = []
    for w in walkers:
        line = _line(float(w))
        curves.append(SweptCurve(points=line, station=line[:, 0], kind="line", cause="walker", walker=float(w)))
        top = line[1]
        hang = np.array([top, top - [0, 0, 6.0]])
        curves.append(
            SweptCurve(points=hang, station=[w, w], kind="body", cause="leash fall", walker=float(w), is_fall=True)
        )
    return curves


_ASKED = (Requirement(kind="line", distance=1.0), Requirement(kind="body", distance=1.0))


def test_worst_place_is_over_the_shelf_with_the_walker_there(shelf):
    """Depth over the shelf's edge at 30 m is largest with the walker there: 4·4·0.3·0.7 = 3.36 m."""
    result = check(_sweep(), shelf, _ASKED, survey_error=0.25, margin=0.25)
    body, line = result.findings
    assert (body.kind, body.rank, line.kind, line.rank) == ("body", 1, "line", 2)
    assert (line.walker, line.station) == (30.0, pytest.approx(30.0))
    assert line.vertical == pytest.approx(6.0 - 3.36)
    assert line.needed == 1.5
    assert line.remainder == pytest.approx(line.distance - 1.5)
    # Feet at the shelf's edge, 3.36 + 6 = 9.36 m below the chord with the shelf's top at 6 m: inside the
    # ground.
    assert body.walker in (25.0, 30.0)
    assert body.distance < 0.0
    assert not result.is_met
    assert result.exit_status == 3
    assert result.findings[0].remainder <= result.findings[1].remainder


def test_mid_span_alone_would_miss_it(shelf):
    """At mid-span the line is 4 m down over ground 15 m down: 11 m; the shelf is nearer."""
    asked = (Requirement(kind="line", distance=2.8), Requirement(kind="body", distance=1.0))
    middle = check(_sweep((50,)), shelf, asked, survey_error=0.25, margin=0.25)
    assert middle.exit_status == 0
    assert check(_sweep(), shelf, asked, survey_error=0.25, margin=0.25).exit_status == 3


def test_no_fall_zone_is_found_around_the_shelf(shelf):
    """Feet hang dip + 6 m down and need 1.5 m, above the shelf at -6 m as well as to its sides."""
    result = check(_sweep(), shelf, _ASKED, survey_error=0.25, margin=0.25)
    (zone,) = result.no_fall_zones
    # Positions 20, 25, 30 are over the shelf; 15 and 35 are 5 m to its side and clear by 1.5 m: the zone
    # ends there.
    assert zone.from_a == (15.0, 35.0)
    assert zone.from_b == (65.0, 85.0)
    assert zone.worst < 0.0
    assert zone.worst_at in (20.0, 25.0, 30.0)


def test_no_fall_zones_by_hand():
    walker = np.array([40.0, 10, 20, 30, 50, 60, 60])
    remainder = np.array([-1.0, -0.5, 0.2, 0.0, -2.0, 3.0, -0.1])
    zones = no_fall_zones(walker, remainder, 80.0)
    assert [zone.from_a for zone in zones] == [(0.0, 20.0), (30.0, 80.0)]
    assert [zone.from_b for zone in zones] == [(60.0, 80.0), (0.0, 50.0)]
    assert [(zone.worst, zone.worst_at) for zone in zones] == [(-0.5, 10.0), (-2.0, 50.0)]
    assert no_fall_zones(walker, np.abs(remainder), 80.0) == ()


def test_sagitta_and_additions_decide(shelf):
    """15 m below a level line at station 60 to 90: met at 14.5 + 0.3 + 0.2, not with 1 mm of sagitta."""
    points = np.array([[60.0, 0, 0], [90.0, 0, 0]])
    asked = (Requirement(kind="loop", distance=14.5),)
    for sagitta, status in ((0.0, 0), (0.001, 3)):
        curve = SweptCurve(points=points, station=[60, 90], kind="loop", cause="still air", sagitta=np.array([sagitta]))
        result = check([curve], shelf, asked, survey_error=0.3, margin=0.2)
        assert result.exit_status == status
        assert result.findings[0].distance == pytest.approx(15.0 - sagitta, abs=1e-12)


def test_causes_are_told_apart_and_holes_named(shelf):
    points = np.array([[80.0, 0, -1.0], [120.0, 0, -1.0]])
    curves = [
        SweptCurve(points=points + np.array([0, 0, dz]), station=[80, 120], kind="line", cause=cause)
        for dz, cause in ((0.0, "wind from the left"), (-1.0, "wind from the right"))
    ]
    outside = SweptCurve(points=[[130.0, 0, 0]], station=[130.0], kind="leash", cause="wind from the left")
    asked = (Requirement(kind="line", distance=0.0), Requirement(kind="leash", distance=0.0))
    result = check([*curves, outside], shelf, asked, survey_error=0.0, margin=0.0)
    assert [f.cause for f in result.findings[:2]] == ["wind from the right", "wind from the left"]
    np.testing.assert_allclose([f.distance for f in result.findings[:2]], [13.0, 14.0], atol=1e-12)
    np.testing.assert_allclose(result.holes, [[20.0, 40.0]], atol=1e-9)
    assert np.isnan(result.findings[2].vertical)
    assert any("no ground is known straight below: leash" in note for note in result.notes)


def test_nothing_ever_says_the_forbidden_word(shelf):
    result = check(_sweep((50,)), shelf, _ASKED, survey_error=0.25, margin=0.25)
    assert "safe" not in repr(result).lower()


def test_bad_questions(shelf):
    curve = SweptCurve(points=[[1.0, 0, 0]], station=[1.0], kind="body", cause="standing")
    for asked, keys, match in (
        ((), {}, "no required distance"),
        (_ASKED + _ASKED, {}, "two requirements"),
        (_ASKED, {"margin": -1.0}, "margin"),
        (_ASKED, {"survey_error": float("nan")}, "survey_error"),
    ):
        with pytest.raises(InputError, match=match):
            check([curve], shelf, asked, **({"survey_error": 0.0, "margin": 0.0} | keys))
    with pytest.raises(InputError, match="nothing to measure"):
        check([], shelf, _ASKED, survey_error=0.0, margin=0.0)
    with pytest.raises(InputError, match="kind"):
        Requirement(kind="tree", distance=1.0)
    with pytest.raises(InputError, match="body"):
        Requirement(kind="body", distance=-1.0)
    with pytest.raises(InputError, match="kind"):
        SweptCurve(points=[[1.0, 0, 0]], station=[1.0], kind="tree", cause="standing")
    with pytest.raises(InputError, match="walker"):
        SweptCurve(points=[[1.0, 0, 0]], station=[1.0], kind="body", cause="fall", is_fall=True)
    with pytest.raises(InputError, match="do not fit"):
        SweptCurve(points=[[1.0, 0, 0]], station=[1.0, 2.0], kind="body", cause="standing")
