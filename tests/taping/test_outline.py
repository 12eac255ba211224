"""Outlines against shapely's convex hulls and buffers (an independent library)."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, box, unary_union

from linescope.errors import InputError
from linescope.taping import Section

SIZES = st.floats(0.0015, 0.06)


def stacked(section: Section) -> object:
    main = box(-section.main_width / 2, 0.0, section.main_width / 2, section.main_thickness)
    if section.backup_is_rope:
        radius = section.backup_width / 2
        below = Point(0.0, -radius).buffer(radius, quad_segs=4000)
    else:
        below = box(-section.backup_width / 2, -section.backup_thickness, section.backup_width / 2, 0.0)
    return unary_union([main, below]).convex_hull


@settings(max_examples=80, deadline=None)
@given(SIZES, SIZES, SIZES, SIZES, st.floats(1e-5, 0.01))
def test_unequal_stacks_and_their_offsets_match_shapely(
    a: float, b: float, c: float, d: float, h: float
) -> None:
    section = Section(main_width=a, main_thickness=b, backup_width=c, backup_thickness=d)
    hull = stacked(section)
    assert section.perimeter == pytest.approx(hull.length, rel=1e-9)
    raised = section.outline.length(0.0, section.outline.round, h)
    assert raised == pytest.approx(hull.buffer(h, quad_segs=2000).length, rel=1e-6)


@settings(max_examples=40, deadline=None)
@given(SIZES, SIZES, SIZES)
def test_a_rope_below_a_webbing_matches_shapely(a: float, b: float, rope: float) -> None:
    section = Section(
        main_width=a, main_thickness=b, backup_width=rope, backup_thickness=rope, backup_is_rope=True
    )
    assert section.perimeter == pytest.approx(stacked(section).length, rel=1e-6)


@settings(max_examples=40, deadline=None)
@given(SIZES, SIZES, SIZES, SIZES, st.booleans(), st.floats(1e-4, 0.003))
def test_raised_points_lie_on_shapelys_buffer(
    a: float, b: float, c: float, d: float, rope: bool, h: float
) -> None:
    section = Section(
        main_width=a, main_thickness=b, backup_width=c, backup_thickness=c if rope else d, backup_is_rope=rope
    )
    hull = stacked(section)
    points = section.outline.points(np.linspace(0.0, section.outline.round, 60, endpoint=False), h)
    assert [hull.distance(Point(p)) for p in points] == pytest.approx([h] * 60, abs=1e-8)


def test_equal_webbings_have_the_closed_form() -> None:
    """P = 2 w + 2 (t1 + t2): arithmetic."""
    section = Section(main_width=0.025, main_thickness=0.0024, backup_width=0.025, backup_thickness=0.0024)
    assert section.perimeter == pytest.approx(0.0596)


def test_places_count_from_the_middle_of_the_underside() -> None:
    section = Section(main_width=0.025, main_thickness=0.003, backup_width=0.020, backup_thickness=0.002)
    assert section.outline.points(np.array([0.0]))[0] == pytest.approx([0.0, -0.002])
    assert section.outline.points(np.array([section.middle("main")]))[0] == pytest.approx([0.0, 0.003])
    assert [section.face_at(k * section.outline.round / 4) for k in range(4)] == [
        "underside",
        "side",
        "top",
        "side",
    ]


def test_walking_inverts_length() -> None:
    section = Section(
        main_width=0.025,
        main_thickness=0.003,
        backup_width=0.008,
        backup_thickness=0.008,
        backup_is_rope=True,
    )
    for distance in (-0.09, -0.01, 0.0, 0.02, 0.2):
        u = section.outline.walk(0.004, distance, 2e-4)
        assert section.outline.length(0.004, u, 2e-4) == pytest.approx(distance, abs=1e-12)


@pytest.mark.parametrize("bad", [0.0, -0.01, math.nan, math.inf, 0.6])
def test_a_size_that_cannot_be_is_refused_by_name(bad: float) -> None:
    with pytest.raises(InputError, match="main_width"):
        Section(main_width=bad, main_thickness=0.003, backup_width=0.02, backup_thickness=0.002)
