"""A. Michalos, C. Birnstiel, "Movements of a cable due to changes in loading", Trans. ASCE 127 (1962): a cable with one
point load.  Stated by its geometry (sag and place of the load under self-weight), in feet and in SI; the tables of
H. B. Jayaraman and W. C. Knudson (1981), Andreu et al. (2006), Thai and Kim (2011) are quoted from memory, and the
recomputed values (two elastic catenaries in 50 digits, and MoorPy) back them."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq

from linescope.statics.minimise import minimise
from tests.statics.making import lone_main, one_segment, straight_start


def solve(span, sag, place, q, ea, load):
    """From the geometric statement: unloaded segment, its two parts, displacement of the load point, loaded state."""

    def unloaded(length):
        return one_segment(span, 0.0, length, q, ea)

    length = brentq(
        lambda s: unloaded(s).depth_below_chord(span, 0.0)[0][0] - sag, 1.001 * span, 1.1 * span, xtol=1e-11
    )
    line = unloaded(length)
    first = brentq(lambda s: line.at(np.array([[s]]))[0][0, 0] - place, 0.2 * length, 0.8 * length, xtol=1e-11)
    before = np.array([value[0, 0] for value in line.at(np.array([[first]]))[:2]])
    pair = lone_main(end=(span, 0, 0), length=length, load=q, ea=ea, at=[first], pulls=[[0, 0, -load]])
    state = minimise(pair, straight_start(pair, 0.1)).state
    return line, (first, length - first), state.unknowns[0, [0, 2]] - before, state.segments


def test_in_feet(published):
    entry = published["A2-Michalos-Birnstiel-ft"]
    given, printed, recomputed = entry["inputs"], entry["expected"], entry["verified_value"]
    line, parts, moved, loaded = solve(
        given["span_ft"], given["sag_self_weight_ft"], given["load_point_x_ft"], given["weight_kip_ft"],
        given["area_in2"] * given["E_ksi"], given["point_load_kip"],
    )
    # The remembered lengths have seven digits; the recomputed ones twelve.
    assert parts == pytest.approx((given["unstressed_length_1_ft"], given["unstressed_length_2_ft"]), rel=3e-7)
    assert parts == pytest.approx((recomputed["L1_ft"], recomputed["L2_ft"]), rel=1e-10)
    assert moved == pytest.approx((printed["dx_ft"], printed["dz_ft"]), rel=entry["rel_tol"])
    # Digits of the recomputed values.
    assert moved == pytest.approx((recomputed["dx_ft"], recomputed["dz_ft"]), rel=5e-7)
    assert line.h[0] == pytest.approx(recomputed["H_unloaded_kip"], rel=1e-8)
    assert loaded.flat.h[:2] == pytest.approx([recomputed["H_loaded_kip"]] * 2, rel=1e-8)


def test_in_si(published):
    entry = published["A2-Michalos-Birnstiel-SI"]
    given, printed, recomputed = entry["inputs"], entry["expected"], entry["verified_value"]
    line, parts, moved, loaded = solve(
        given["span_m"], given["sag_self_weight_m"], given["load_point_x_m"], given["weight_N_m"],
        given["area_mm2"] * given["E_kN_mm2"] * 1e3, given["point_load_kN"] * 1e3,
    )
    assert parts == pytest.approx((125.846981667, 186.855231108), rel=1e-10)
    assert moved == pytest.approx((printed["dx_m"], printed["dz_m"]), rel=entry["rel_tol"])
    # Digits of the recomputed values.
    assert moved == pytest.approx((recomputed["dx_m"], recomputed["dz_m"]), rel=1e-6)
    assert line.h[0] == pytest.approx(recomputed["H_unloaded_N"], rel=1e-8)
    assert loaded.flat.h[:2] == pytest.approx([recomputed["H_loaded_N"]] * 2, rel=1e-8)
    reactions = (-loaded.force_start[0, 2], loaded.force_end[1, 2])
    assert reactions == pytest.approx(
        (recomputed["left_reaction_z_N"], recomputed["right_reaction_z_N"]), rel=1e-8
    )
