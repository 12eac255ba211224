"""Motion in time against MoorDyn, a lumped-mass program for mooring lines: the same rig, let go at the same instant.

Both are undamped but for the same share nu = 0.1 of critical damping in every piece, in vacuo.  MoorDyn knows no
contact that runs: so the ring stays on the main and leaves the backup alone, and tapes that slide hold without end,
though on our side they are slides that could run.
"""

from __future__ import annotations

import itertools
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from linescope.motion import RunInputs
from linescope.motion.arrays import CUT_TIME, DRAG, EXTRA, LEASH, LEASH_STIFF, SLIDER, TAPE
from linescope.motion.falls import stood
from linescope.motion.inputs import RING_MASS
from linescope.motion.mesh import Mesh, grid, mesh
from linescope.motion.run import run
from linescope.rig import Walker
from linescope.statics import Plan, plan
from linescope.taping import Holds
from tests.statics.random_rigs import plain_rig, webbing

OUTSIDE = {"area": "peers", "source": "MoorDyn, motion in time", "known": "peer"}
pytestmark = pytest.mark.peer
NEEDS = "leash falls and the loss of the main in time on whole pairs"
EVER = 1e9  # A hold that nothing overcomes [N].
UNDAMPED = replace(RunInputs().undamped(), ring_stays=True)
STEP, TELL = 5e-5, 2e-3  # [s]
TEXT = """MoorDyn input
--- LINE TYPES ---
TypeName Diam Mass/m EA BA/-zeta EI Cd Ca CdAx CaAx
(-) (-) (-) (-) (-) (-) (-) (-) (-) (-)
web 1e-6 {mass} {ea} -{nu} 0 0 0 0 0
leash 1e-6 1e-4 {leash} 0 0 0 0 0 0
--- POINTS ---
ID Attachment X Y Z M V CdA CA
(-) (-) (-) (-) (-) (-) (-) (-) (-)
{points}
--- LINES ---
ID LineType AttachA AttachB UnstrLen NumSegs Outputs
(-) (-) (-) (-) (-) (-) (-)
{lines}
--- OPTIONS ---
0 writeLog
{step} dtM
RK4 tScheme
9.80665 g
1e-9 WtrDnsty
100 WtrDpth
0 TmaxIC
--- END ---
"""


def prepared(holds: Holds, slope: float, at: float, ea: float, mass: float) -> Mesh:
    """A pair of 30 m with its walker, ready to move."""
    line = webbing(ea, mass)
    rig = plain_rig(
        span=30.0, slope=slope, every=3.0, holds=holds, excess=0.08, tension=2000.0, measured_on="tensioned",
        walker=Walker(mass=75.0, at=at), main=line, backup=line,
    )
    return held(plan(rig), at)


def held(planned: Plan, at: float) -> Mesh:
    """A rig with its walker, ready to move: everything in it that MoorDyn can hold."""
    rig, layout = planned.rig, planned.layout
    assert rig.walker is not None
    cut = grid(layout.tape_main, layout.tape_backup, (layout.main_length, layout.backup_length))
    _, place = cut.ring(planned.walker_coordinate(at))
    ready = mesh(
        stood(planned, place, rig), UNDAMPED, cut=cut, ring=place, on_backup=False, body=rig.walker.mass - RING_MASS
    )
    ready.model.of_links[DRAG, ready.model.kind == SLIDER] = EVER
    return ready


def by_moordyn(
    moordyn, folder: Path, ready: Mesh, seconds: float, parted: bool, step: float = STEP
) -> tuple[float, float]:
    """Lowest heights of the ring while the leash pulls, and of the tie-in point."""
    m, s = ready.model, ready.state
    rig, x = ready.solution.rig, s.of_slots[:3].T
    points, of_slot = [], {}

    def point(kind: str, slot: int, extra: float) -> int:
        points.append(f"{len(points) + 1} {kind} " + " ".join(f"{c:.12g}" for c in x[slot]) + f" {extra:.9g} 0 0 0")
        return len(points)

    for slot in (0, m.main - 1, m.main, m.slots - 1):
        of_slot[slot] = point("Fixed", slot, 0.0)
    for kind, master, slave in zip(m.kind, m.master, s.slave, strict=True):
        held = kind in (TAPE, SLIDER)
        own = m.of_slots[EXTRA, master] if held else RING_MASS
        of_slot[int(slave)] = of_slot[int(master)] = point("Free", int(master), own)
    if parted:  # The first piece of the main is gone: a free end one piece out.
        of_slot[1] = point("Free", 1, 1e-4)
    body = point("Free", m.slots + 1, float(m.of_slots[EXTRA, m.slots + 1]))
    lines, at = [], s.of_slots[15]
    for first, stop in ((1 if parted else 0, m.main - 1), (m.main, m.slots - 1)):
        stops = sorted(slot for slot in of_slot if first <= slot <= stop)
        for a, b in itertools.pairwise(stops):
            lines.append(f"{len(lines) + 1} web {of_slot[a]} {of_slot[b]} {at[b] - at[a]:.12g} {b - a} -")
    length = float(m.numbers[LEASH])
    lines.append(f"{len(lines) + 1} leash {of_slot[m.slots]} {body} {length:.9g} 1 -")
    text = TEXT.format(
        mass=rig.main.mass, ea=rig.main.stretch.tension[-1] / rig.main.stretch.strain[-1], nu=UNDAMPED.viscosity,
        leash=float(m.numbers[LEASH_STIFF]) * length, points="\n".join(points), lines="\n".join(lines), step=step,
    )
    file = folder / "pair.txt"
    file.write_text(text)
    system = moordyn.Create(str(file))
    moordyn.Init(system, [], [])
    ring, tie_in = (moordyn.GetPoint(system, number) for number in (of_slot[m.slots], body))
    lowest, now = [np.inf, np.inf], 0.0
    while now < seconds:
        moordyn.Step(system, [], [], now, TELL)
        now += TELL
        here, there = (np.array(moordyn.GetPointPos(one)) for one in (ring, tie_in))
        if np.linalg.norm(here - there) > length:
            lowest[0] = min(lowest[0], here[2])
        lowest[1] = min(lowest[1], there[2])
    moordyn.Close(system)
    return lowest[0], lowest[1]


RIGS = {
    "tapes that hold both lines": (Holds.BOTH, 0.0, 13.0, 62.5e3, 0.062, False),
    "sliders on the backup, inclined": (Holds.MAIN, 0.12, 10.0, 125e3, 0.055, False),
    "sliders on the main, near an anchor": (Holds.BACKUP, 0.0, 4.0, 62.5e3, 0.062, False),
    "the main parts at A": (Holds.BOTH, 0.05, 17.0, 125e3, 0.055, True),
}


@pytest.mark.parametrize("which", RIGS)
def test_dips_in_time(which, tmp_path, peer, agrees):
    moordyn = peer("moordyn", NEEDS)
    *made, parted = RIGS[which]
    ready, seconds = prepared(*made), 1.6
    ours = ready.given({CUT_TIME: 0.0}, cut=0) if parted else ready
    motion = run(ours, seconds)
    n, start = ready.model.slots, ready.state.of_slots[2]
    low = float(motion.ring.raw_least[motion.leash.raw_least > 0.0].min())
    ring, tie_in = by_moordyn(moordyn, tmp_path, ready, seconds, parted)
    agrees("dip of the ring in a fall of 1.6 s", start[n] - low, start[n] - ring, rel=0.02, unit="m")
    agrees(
        "way of the tie-in point in that fall", start[n + 1] - motion.body.lowest, start[n + 1] - tie_in, rel=0.02,
        unit="m",
    )
