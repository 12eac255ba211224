"""Mooring catenaries: a regression value of the MoorPy test suite (tests/test_catenary.py, case 4; equations of J. M.
Jonkman, NREL/TP-500-41958, 2007), read, and a public mooring fixture whose printed values are wrong: only the
recomputed ones are used."""

from __future__ import annotations

import pytest

from tests.statics.making import one_segment


def test_inclined_and_stiff(published):
    entry = published["A2-mooring-suite-inclined-stiff"]
    given, printed, recomputed = entry["inputs"], entry["expected"], entry["verified_value"]
    line = one_segment(
        given["dx_m"], given["dz_m"], given["unstretched_length_m"], given["weight_N_m"], given["EA_N"]
    )
    found = {"H_N": line.h[0], "VA_down_N": -line.v[0], "VB_N": line.v_end[0]}
    assert found == pytest.approx(printed, rel=entry["rel_tol"])
    # The spare length of a stiff line keeps 12 digits.
    assert found == pytest.approx(recomputed, rel=1e-11)


def test_inclined_and_slack(published):
    entry = published["X-mooring-fixture-1000m"]
    given, recomputed = entry["inputs"], entry["verified_value"]
    line = one_segment(
        given["dx_m"], given["dz_m"], given["unstretched_length_m"], given["weight_N_m"], given["EA_N"]
    )
    found = (line.h[0], line.v[0], line.v_end[0])
    names = ("H_elastic_N", "VA_N", "VB_N")
    assert found == pytest.approx([recomputed[name] for name in names], rel=1e-9)
