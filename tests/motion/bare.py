"""One bare line as a chain of masses, for checks that have a closed form; made in code and invented."""

from __future__ import annotations

from typing import Any, cast

import numpy as np

from linescope.motion.arrays import (
    ALIVE,
    ANCHORED,
    EXTRA,
    FREE,
    HELD,
    HOME,
    LINK_ROWS,
    LOSSES,
    MASS0,
    NUMBERS,
    RHO,
    RUNNING,
    STATE_ROWS,
    STIFF,
    TAPE_LAG,
    TAPE_TIME,
    VISCOUS,
    Model,
    Q,
    S,
    State,
    X,
)
from linescope.motion.contacts import share_masses
from linescope.motion.ground import nowhere
from linescope.motion.mesh import Grid, Mesh


def bare_line(points, home, *, stiffness, mass, viscosity=0.0, free=(), hung=None, ring=None, ring_mass=0.0,
              links=(), second=None, numbers=None, safety=0.8):  # fmt: skip
    """A mesh of one line through `points` with unstretched coordinates `home`; ends are held but for those in `free`.

    `hung` maps slots to masses on them.  `ring` is (slot, coordinate) of a ring.  `second` is another line (points,
    home), of the same kind; without it a slack piece lies far away.  `links` are (kind, master, slave, friction, drag,
    strength) with slots counted over both lines.
    """
    points, home = np.asarray(points, float), np.asarray(home, float)
    other = (np.array([[0.0, 1e3, 0.0], [0.5, 1e3, 0.0]]), np.array([0.0, 1.0])) if second is None else second
    n1, n2 = len(home), len(other[1])
    n = n1 + n2
    homes = np.concatenate((home, other[1], [0.0, 0.0]))
    line = np.concatenate((np.zeros(n1), np.ones(n2), [0, 0])).astype(np.int64)
    real = np.ones(n + 2)
    real[[n1 - 1, n - 1, n, n + 1]] = 0.0
    of_slots = np.zeros((8, n + 2))
    of_slots[HOME] = homes
    for first, stop in ((0, n1), (n1, n)):
        pieces = mass * np.diff(homes[first:stop])
        of_slots[MASS0, first : stop - 1] += 0.5 * pieces
        of_slots[MASS0, first + 1 : stop] += 0.5 * pieces
    for slot, more in (hung or {}).items():
        of_slots[EXTRA, slot] += more
    held = [slot for slot in (0, n1 - 1, n1, n - 1, n, n + 1) if slot not in free]
    of_slots[HELD, held] = 1.0
    of_slots[RHO] = np.where(real > 0.0, mass, 1.0)
    of_slots[STIFF] = stiffness * real
    of_slots[VISCOUS] = viscosity * np.sqrt(stiffness * mass) * real
    own = np.zeros((STATE_ROWS, n + 2))
    own[X : X + 3, :n] = np.concatenate((points, other[0])).T
    own[S], own[ALIVE] = homes, real
    owner = np.full(n + 2, FREE, dtype=np.int64)
    owner[held] = ANCHORED
    table = [list(link) for link in links]
    if ring is not None:
        slot, coordinate = ring
        of_slots[HELD, n], of_slots[EXTRA, n] = 0.0, ring_mass
        own[S, slot] = coordinate
        own[X : X + 3, n] = own[X : X + 3, slot]
        table.append([2, n, slot, 0.0, 0.0, np.inf])
        owner[slot] = RUNNING
    for kind, master, slave, *_ in table:
        if kind == 1:
            owner[master], owner[slave] = ANCHORED, RUNNING
        if kind == 0:
            owner[[master, slave]] = ANCHORED
    rows = np.array(table, dtype=float).reshape(-1, 6)
    values = np.zeros(NUMBERS)
    values[TAPE_LAG] = 1e-3
    for index, value in (numbers or {}).items():
        values[index] = value
    ground, touching = nowhere()
    model = Model(
        main=n1, slots=n, cut=-1, of_slots=of_slots, line=line,
        tables=np.array([[[0.0], [0.0]], [[stiffness], [stiffness]], [[0.0], [0.0]]]), per_strain=np.ones(2),
        branches=np.array([[0.0, 0.0, 0.0], [0.01, 0.1, 1.0]]), slack_strain=np.zeros((2, 3)),
        kind=rows[:, 0].astype(np.int64), master=rows[:, 1].astype(np.int64),
        of_links=np.ascontiguousarray(rows[:, 3:].T), numbers=values, wind=np.zeros((4, 1)), ground=ground,
    )
    of_links = np.zeros((LINK_ROWS, len(rows)))
    of_links[TAPE_TIME] = np.nan
    state = State(
        of_slots=own, of_links=of_links, owner=owner, slave=rows[:, 2].astype(np.int64),
        on=np.ones(len(rows), dtype=np.int64), lost=np.zeros(LOSSES), touching=touching,
    )
    for k in range(len(rows)):
        own[X : X + 3, state.slave[k]] = own[X : X + 3, model.master[k]]
    share_masses(model.of_slots, model.kind, model.master, state)
    length = np.linalg.norm(np.diff(own[X : X + 3, :n], axis=1), axis=0)
    rest = np.where(real[: n - 1] > 0.0, np.diff(own[S, :n]), 1.0)
    own[Q : Q + 3, : n - 1] = np.where(real[: n - 1] > 0.0, np.maximum(length / rest - 1.0, 0.0), 0.0)
    shortest = float(np.min(np.where(real[: n - 1] > 0.0, np.diff(homes[:n]), np.inf)))
    step = safety * shortest / np.sqrt(stiffness / mass) * (np.sqrt(1.0 + viscosity**2) - viscosity)
    kinds = np.flatnonzero(model.kind < 2)
    return Mesh(
        model=model, state=state, solution=cast(Any, None), step=float(step), tape_links=kinds,
        grid=Grid(main=home, backup=other[1], tapes=np.zeros(0, int)),
    )
