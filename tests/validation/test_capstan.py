"""The friction of a sliding tape, T+ - T- = mu x normal force, over many small turns is the capstan's exp(mu x angle).

F. P. Beer, E. R. Johnston et al., *Vector Mechanics for Engineers: Statics*, problem 8.104 (a hawser round a bollard;
statement and answers read), and an encyclopaedia's table of exp(2 pi n mu), of which one factor was read.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq

from linescope.statics.minimise import minimise
from linescope.statics.pair import SLIDES_ON_BACKUP, Pair
from linescope.webbing import StretchCurve
from tests.validation.record import BEYOND, DIGITS

OUTSIDE = {"area": "sliding and friction", "source": "Beer, Johnston, Statics, problem 8.104"}
TURN = 1e-3  # [rad] at one contact.


@pytest.fixture(scope="module")
def press() -> float:
    """Normal force over the sum of both tensions, by the solver, where a weightless sliding line turns by `TURN`."""
    up = np.tan(0.5 * TURN)
    pair = Pair(
        main_ends=np.array([[-1.0, 0.0, 0.0], [1.0, 0.0, 0.0]]),
        backup_ends=np.array([[-1.0, 0.0, up], [1.0, 0.0, up]]),
        main_length=1.99, backup_length=1.99, slide=np.array([SLIDES_ON_BACKUP]), is_tape=np.array([True]),
        main_at=np.array([0.995]), backup_at=np.array([0.995]), pull=np.zeros((1, 3)),
        main_load=np.array([0.0, 0.0, -1e-9]), backup_load=np.array([0.0, 0.0, -1e-9]),
        main_stretch=StretchCurve.linear(1e12), backup_stretch=StretchCurve.linear(1e4), gap=0.01,
    )
    state = minimise(pair, np.array([[0.0, 0.0, 0.0, 0.995]]), hold=np.zeros(1)).state
    tensions = state.segments.tension_end[2] + state.segments.tension_start[3]
    return float(state.normal_force()[0] / tensions)


def growth(press: float, friction: float, turns: float) -> float:
    """Tension beyond all contacts over that before: at each T+ - T- = friction x press x (T+ + T-)."""
    one = (1.0 + friction * press) / (1.0 - friction * press)
    return float(one ** (2.0 * np.pi * turns / TURN))


def test_hawser_round_a_bollard(published, agrees, press):
    entry = published["A3-capstan-hawser"]
    given, printed, recomputed = entry["inputs"], entry["expected"], entry["verified_value"]
    ratio = given["T_large_lb"] / given["T_small_lb"]
    friction = brentq(lambda mu: growth(press, mu, given["turns"]) - ratio, 0.1, 1.0, xtol=1e-12)
    more = given["T_large_b_lb"] / given["T_small_lb"]
    turns = brentq(lambda n: growth(press, friction, n) - more, 1.0, 5.0, xtol=1e-12)
    told = "friction of a hawser, 80 to 5000 lb in two turns; turns for 20 000 lb"
    agrees(told, (friction, turns), (printed["mu"], printed["turns_b"]), entry=entry)
    agrees(BEYOND, (friction, turns), (recomputed["mu"], recomputed["turns"]), rel=1e-6, **DIGITS)


def test_table_of_factors(published, agrees, press):
    """Contacts of 1 mrad cost (mu x 1 mrad)^2 / 12 of the exponent: 6e-7 here.  The nodes' closure costs as much."""
    entry = published["A3-capstan-table"]
    given = entry["inputs"]
    factor = growth(press, given["mu"], given["turns"])
    agrees(
        "factor of five turns at mu = 0.6", factor, entry["expected"]["factor"], rel=1e-5, entry=entry,
        source="Encyclopaedia, capstan table",
    )
    agrees(
        "factors of one turn at mu = 0.1 to 0.7", [growth(press, 0.1 * k, 1.0) for k in range(1, 8)],
        (1.9, 3.5, 6.6, 12.0, 23.0, 43.0, 81.0), rel=0.03, entry=entry, known="from memory",
        source="Encyclopaedia, capstan table",
    )
