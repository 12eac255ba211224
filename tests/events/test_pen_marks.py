"""The lesson of the same pen marks on four webbings: its figures, recomputed, and by closed forms."""

from __future__ import annotations

import functools
from dataclasses import replace

import numpy as np
import pytest

import linescope
from linescope.errors import InputError
from linescope.events.marks import marks_for
from linescope.events.pen_marks import PenMark, pen_marks
from linescope.rig import MainPlan
from linescope.scenefile.shipped import lesson_file
from linescope.statics import solve
from linescope.webbing import from_library

RIG = linescope.load(lesson_file("pen-marks")).rig


@functools.cache
def found(tension: float = 1800.0) -> tuple[PenMark, ...]:
    return pen_marks(replace(RIG, main_plan=MainPlan(tension=tension, end="A")), 0.4)


FIGURES = {
    "nylon 25 mm": (42, 21, 3, 9.4), "polyester 25 mm": (42, 33, 28, 7.1),
    "high-tenacity polyester 25 mm": (42, 38, 35, 6.1), "HMPE 25 mm": (42, 40, 39, 5.2),
}
"""Slack, hung and with the walker [cm], and what to mark for 40 cm [%]: our own earlier run, a regression."""


def test_the_lessons_figures() -> None:
    for each in found():
        slack, hung, walked, needed = FIGURES[each.webbing.name]
        got = 100.0 * np.array([each.slack, each.hung, each.walked])
        assert got == pytest.approx([slack, hung, walked], abs=0.6)
        assert 100.0 * each.needed == pytest.approx(needed, abs=0.06)
    nylon = found()[0]
    assert nylon.pull_walked == pytest.approx(30.0, abs=1.0)
    assert found(3000.0)[0].pull_hung == pytest.approx(432.0, abs=5.0)


def test_the_slack_loop_is_a_catenary() -> None:
    """H. M. Irvine, Cable Structures, 1981, section 1.2: length 2 a sinh(b/2a), depth a (cosh(b/2a) - 1)."""
    for each in found():
        low, high = 0.01 * each.main, 100.0 * each.main
        for _ in range(200):
            a = np.sqrt(low * high)
            low, high = (a, high) if 2.0 * a * np.sinh(0.5 * each.main / a) > each.backup else (low, a)
        assert each.slack == pytest.approx(a * (np.cosh(0.5 * each.main / a) - 1.0), rel=1e-6)


def test_what_is_left_is_what_the_stretch_leaves() -> None:
    """e' = (1 + e) / (1 + strain) - 1, and a shallow level loop of it: depth about b sqrt(3 e' / 8) (parabola, first
    order); the strain is the library's curve at the standing tension."""
    for each in found():
        strain = float(np.interp(1800.0, from_library(each.webbing.name).webbing.stretch.tension,
                                 from_library(each.webbing.name).webbing.stretch.strain))
        assert each.strain_hung == pytest.approx(strain, rel=0.05, abs=2e-4)
        left = (1.0 + each.marked) / (1.0 + each.strain_hung) - 1.0
        depth = each.main * (1.0 + each.strain_hung) * np.sqrt(3.0 * left / 8.0)
        assert each.hung == pytest.approx(depth, rel=0.06)


def test_what_is_to_be_marked_gives_the_depth_that_is_wanted() -> None:
    """Every bay marked with it, the pair solved again: within 2 %, as marks differ a little from bay to bay."""
    for each in found():
        webbing = each.webbing
        plan = replace(RIG.backup_plan, value=each.needed)
        marked = replace(RIG, main=webbing, backup=webbing, backup_plan=plan)
        assert solve(marked).bays.loop_depth[each.bay - 1] == pytest.approx(0.40, rel=0.02)


def test_a_rig_on_which_it_would_show_nothing_is_told_why() -> None:
    tensioned = replace(RIG, taping=replace(RIG.taping, measured_on="tensioned"))
    with pytest.raises(InputError, match="the stretch is in them already"):
        pen_marks(tensioned, 0.4)
    with pytest.raises(InputError, match="walker"):
        pen_marks(RIG.without_walker(), 0.4)
    with pytest.raises(InputError, match="more tapes"):
        zones = tuple(replace(zone, spacing=replace(zone.spacing, every=20.0)) for zone in RIG.taping.zones)
        pen_marks(replace(RIG, taping=replace(RIG.taping, zones=zones)), 0.4)


def test_marks_keep_the_number_of_bays_whatever_the_main_then_is() -> None:
    """A long line on a softer webbing: with other loops its main is cut to another length, and its last bay with it."""
    rig = linescope.load(lesson_file("pen-marks").parents[1] / "sable_tarn.toml").rig
    webbing = from_library("polyester 25 mm").webbing
    marks = marks_for(replace(rig, main=webbing, backup=webbing), depth=0.5)
    assert len(marks.loop_length) == len(marks.standing.bays.loop_depth)
    assert marks.error < 1e-6
