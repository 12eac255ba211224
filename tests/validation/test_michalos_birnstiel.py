"""A. Michalos, C. Birnstiel, "Movements of a cable due to changes in loading", Trans. ASCE 127 (1962): a cable with one
point load.  Stated by its geometry (sag and place of the load under self-weight), in feet and in SI; the tables of
H. B. Jayaraman and W. C. Knudson (1981), Andreu et al. (2006), Thai and Kim (2011) are quoted from memory, and the
recomputed values (two elastic catenaries in 50 digits, and MoorPy) back them."""

from __future__ import annotations

import numpy as np
from scipy.optimize import brentq

from linescope.statics.minimise import minimise
from tests.statics.making import lone_main, one_segment, straight_start
from tests.validation.record import BEYOND, DIGITS

OUTSIDE = {"area": "statics", "source": "Michalos, Birnstiel 1962 (later tables)"}


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


def test_in_feet(published, agrees):
    entry = published["A2-Michalos-Birnstiel-ft"]
    given, printed, recomputed = entry["inputs"], entry["expected"], entry["verified_value"]
    line, parts, moved, loaded = solve(
        given["span_ft"], given["sag_self_weight_ft"], given["load_point_x_ft"], given["weight_kip_ft"],
        given["area_in2"] * given["E_ksi"], given["point_load_kip"],
    )
    # The remembered lengths have seven digits; the recomputed ones twelve.
    agrees(
        "cable with a point load: unstressed lengths", parts,
        (given["unstressed_length_1_ft"], given["unstressed_length_2_ft"]), rel=3e-7, entry=entry, unit="ft",
    )
    agrees(
        "its load moves along and down, feet and SI", moved, (printed["dx_ft"], printed["dz_ft"]), entry=entry,
        unit="ft",
    )
    # Digits of the recomputed values.
    names = ("dx_ft", "dz_ft", "L1_ft", "L2_ft", "H_unloaded_kip", "H_loaded_kip", "H_loaded_kip")
    agrees(
        BEYOND, (*moved, *parts, line.h[0], *loaded.flat.h[:2]), [recomputed[name] for name in names],
        rel=(5e-7, 5e-7, *[1e-8] * 5), **DIGITS,
    )


def test_in_si(published, agrees):
    entry = published["A2-Michalos-Birnstiel-SI"]
    given, printed, recomputed = entry["inputs"], entry["expected"], entry["verified_value"]
    line, parts, moved, loaded = solve(
        given["span_m"], given["sag_self_weight_m"], given["load_point_x_m"], given["weight_N_m"],
        given["area_mm2"] * given["E_kN_mm2"] * 1e3, given["point_load_kN"] * 1e3,
    )
    agrees(
        "its load moves along and down, feet and SI", moved, (printed["dx_m"], printed["dz_m"]), entry=entry, unit="m",
    )
    # Digits of the recomputed values.
    names = ("dx_m", "dz_m", "H_unloaded_N", "H_loaded_N", "H_loaded_N", "left_reaction_z_N", "right_reaction_z_N")
    agrees(
        BEYOND,
        (*parts, *moved, line.h[0], *loaded.flat.h[:2], -loaded.force_start[0, 2], loaded.force_end[1, 2]),
        (125.846981667, 186.855231108, *(recomputed[name] for name in names)),
        rel=(1e-8, 1e-8, 1e-6, 1e-6, *[1e-8] * 5), **DIGITS,
    )
