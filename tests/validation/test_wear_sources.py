"""Archard's equation and friction ranges against the values on file.

Sources: Archard, J. Appl. Phys. 24 (1953) 981 (from memory) with a textbook pin exercise (statement read, its answer
recomputed, hardness assumed as 3 x yield); a textile-physics lecture table of friction coefficients.
"""

from __future__ import annotations

import math

import pytest

from linescope.contact.archard import rate_from_mass_loss, wear_coefficient, wear_rate, worn_volume
from linescope.errors import InputError
from linescope.rig import Band
from linescope.scenefile.keys.taping import HOLD

OUTSIDE = {"area": "rub", "source": "Archard 1953 with a textbook pin"}


def test_pin_on_track(published, agrees):
    check = published["A7-archard-pin"]
    given, expected = check["inputs"], check["expected"]
    sliding = math.pi * given["track_diameter_m"] * given["rev_per_s"] * given["duration_s"]
    rate = rate_from_mass_loss(given["mass_loss_kg"], given["density_kg_m3"], sliding)
    k = wear_coefficient(rate, given["load_N"], given["hardness_Pa"])
    agrees("volume worn per metre slid, and K", (rate, k), (expected["Q_m3_per_m"], expected["K"]), entry=check)
    assert wear_rate(given["load_N"], given["hardness_Pa"], k) == pytest.approx(rate, rel=1e-12)
    # The same pin told by its friction work, whatever the coefficient of friction.
    for friction in (0.1, 0.6):
        work = friction * given["load_N"] * sliding
        volume = worn_volume(work, friction, given["hardness_Pa"], k)
        assert volume == pytest.approx(given["mass_loss_kg"] / given["density_kg_m3"], rel=1e-12)
    # Printed range of K for metals: 1e-8 (mild) to 1e-2 (severe).
    assert 1e-8 < k < 1e-2


def test_wear_needs_positive_figures():
    with pytest.raises(InputError, match="hardness"):
        wear_rate(1.0, 0.0, 1e-5)


def test_friction_of_the_same_fibre_is_a_band_not_a_number(published, agrees):
    """The published values for one polymer differ by a factor of four: the hold must carry low and high."""
    check = published["A7-fibre-friction-ranges"]
    expected, bounds = check["expected"], check["verified_value"]
    assert all(bounds["range_low"] <= value <= bounds["range_high"] for value in expected.values())
    shipped = HOLD.fields["friction"].default
    agrees(
        "friction assumed when none is given, in the published range 0.12 to 0.6",
        [float(shipped[key]) for key in ("low", "value", "high")], 0.36, abs=0.24, entry=check,
        source="Textile physics lecture; Morton, Hearle", area="sliding and friction",
    )
    band = Band(low=bounds["range_low"], value=expected["nylon_kinetic"], high=bounds["range_high"])
    assert band.high / band.low > 3.0
