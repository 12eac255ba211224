"""Sliders on a slope can come to rest in several ways: how many are found, against starts drawn at random."""

from __future__ import annotations

import sys

import numpy as np
import pytest

import linescope
from linescope.errors import SolveError
from linescope.statics import plan
from linescope.statics.assemble import assemble, first_guess
from linescope.statics.minimise import minimise
from linescope.statics.settle import APART, other_equilibria, settle

SLOPING = """title = "a slope, invented"
[anchors]
a = ["0 m", "0 m", "0 m"]
b = ["{span} m", "0 m", "{rise} m"]
[main]
webbing = "polyester 25 mm"
tension = "1 kN"
[backup]
webbing = "nylon 25 mm"
excess = "8 %"
[taping]
measured_on = "tensioned"
tension = "0.3 kN"
[[taping.zones]]
style = "main-held slider"
spacing = {{ every = "{bay} m" }}
"""


def pair_of(tmp_path, span, slope, bay):
    path = tmp_path / "slope.toml"
    path.write_text(SLOPING.format(span=span, rise=-slope * span, bay=bay))
    rig = linescope.load(path).rig
    planned = plan(rig)
    pair, _ = assemble(rig, planned.layout, sys.modules["linescope.statics.solve"].still_air(rig, planned))
    return pair, settle(pair, minimise(pair, first_guess(pair)))[0]


def drawn_states(pair, settled, count):
    """Stable states reached from spare backup dealt out at random, a few bays having most of it."""
    rng = np.random.default_rng(5)
    chords = np.linalg.norm(
        np.diff(np.concatenate((pair.backup_ends[:1], settled.state.unknowns[pair.tapes, :3], pair.backup_ends[1:])),
                axis=0), axis=1,
    )  # fmt: skip
    need = chords * 1.0005
    spare = pair.backup_length - need.sum()
    found = [settled.state.unknowns[:, 3]]
    for _ in range(count):
        start = settled.state.unknowns.copy()
        start[pair.tapes, 3] = np.cumsum(need + spare * rng.dirichlet(np.full(len(need), 0.05)))[:-1]
        try:
            state = minimise(pair, minimise(pair, start).state, hold=np.zeros(pair.n))
        except SolveError:
            continue
        slides = state.state.unknowns[:, 3]
        if state.stable and all(np.max(np.abs(slides - other)) > APART for other in found):
            found.append(slides)
    return len(found) - 1


@pytest.mark.parametrize(("span", "slope", "bay"), [
    (80, 0.12, 3), (80, 0.06, 4), pytest.param(80, 0.15, 3, marks=pytest.mark.long),
])
def test_no_fewer_are_found_than_by_starts_at_random(tmp_path, span, slope, bay):
    pair, settled = pair_of(tmp_path, span, slope, bay)
    drawn = drawn_states(pair, settled, 40)
    assert drawn >= 1  # Else there is nothing here to find.
    assert other_equilibria(pair, settled) >= drawn


def test_a_short_level_line_has_one(tmp_path):
    pair, settled = pair_of(tmp_path, 20, 0.0, 3)
    assert drawn_states(pair, settled, 30) == 0 == other_equilibria(pair, settled)
