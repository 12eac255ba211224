"""Load cells on three lines, against what is expected.

A webbing maker's published test "Forces in highlining": a load cell at one anchor, 57 kg on the line.  Mass of the
webbing, excess and places of the falls are not stated: usual ones are taken, and falls from several places.  The
webbing's stiffness is that which gives the printed tension with the walker standing; nothing else is fitted.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from scipy.optimize import brentq

from linescope.motion import Choice, leash_fall_in_time
from linescope.motion.falls import standing_mesh
from linescope.rig import Walker
from linescope.statics import plan
from linescope.webbing import StretchCurve
from tests.motion.test_runs import rig

# Span [m]; tension standing, with the walker, hardest leash fall [N]; mass of webbing [kg/m] (assumed).
LINES = [
    (41.0, 1700.0, 3100.0, 5300.0, 0.055), (39.0, 1400.0, 2100.0, 4000.0, 0.06), (63.0, 1500.0, 2400.0, 4300.0, 0.06),
]  # fmt: skip


def measured(span, standing, strain, mass):
    """Elongation at 10 kN."""
    one = rig(span=span, tension=standing, stretch=StretchCurve.linear(10e3 / strain))
    line = replace(one.main, mass=mass)
    return plan(replace(one, main=line, backup=line, walker=Walker(mass=57.0, at=0.5 * span)))


@pytest.mark.parametrize(("span", "standing", "with_walker", "fall", "mass"), LINES)
def test_the_hardest_fall_read_lies_in_the_expected_range(span, standing, with_walker, fall, mass):
    def miss(strain):
        prepared = standing_mesh(measured(span, standing, strain, mass), 0.5 * span, Choice(), feet=True)
        return prepared.solution.tension_a - with_walker

    planned = measured(span, standing, brentq(miss, 0.01, 0.3, xtol=1e-3), mass)
    found = [
        float(leash_fall_in_time(planned, at, choice=Choice(stiffness_factor=factor)).outcome.tension[:2].max())
        for factor in (1.3, 2.2) for at in (1.0, 2.0, 3.0, 0.5 * span)
    ]
    assert min(found) < fall < max(found)
    assert max(found) < 1.4 * fall
