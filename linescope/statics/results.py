"""From solved arrays to the frozen Solution that everything downstream reads."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.notes import Kind, Note, Quantity, Severity, Term, Value
from linescope.rig import Rig
from linescope.rig.layout import Layout
from linescope.statics.minimise import Minimum
from linescope.statics.pair import Evaluation
from linescope.statics.solution import BayResults, LineShape, Proof, Solution, StateName, freeze

Floats = NDArray[np.float64]

SAMPLES_FOR_DROP = 64


class StateNote(Kind):
    """What is said of a state of rest."""

    OVERLOAD = "state-overload"
    BEYOND_CURVE = "state-beyond-curve"
    TIGHT = "state-tight"
    UNSTABLE = "state-unstable"
    OTHERS = "state-others"


def line_shapes(state: Evaluation) -> tuple[LineShape, LineShape]:
    """Main and backup of an evaluated pair."""
    pair, unknowns = state.pair, state.unknowns
    k = pair.n + 1
    main_at, backup_at = pair.line_coordinates(unknowns[:, 3])
    points = unknowns[:, :3]
    main = LineShape(
        nodes=np.concatenate((pair.main_ends[:1], points, pair.main_ends[1:])),
        coordinate=main_at,
        segments=state.segments.part(slice(0, k)),
        bay=np.concatenate(([0], np.cumsum(pair.is_tape))),
    )
    backup = LineShape(
        nodes=np.concatenate((pair.backup_ends[:1], points[pair.tapes], pair.backup_ends[1:])),
        coordinate=backup_at,
        segments=state.segments.part(slice(k, None)),
        bay=np.arange(len(backup_at) - 1),
    )
    for shape in (main, backup):
        freeze(shape)
        freeze(shape.segments)
        freeze(shape.segments.flat)
    return main, backup


def bays_of(main: LineShape, backup: LineShape) -> BayResults:
    """Per-bay results of two solved lines."""
    count = len(backup.bay)
    main_length, stretched = (
        np.bincount(main.bay, weights=weights, minlength=count).astype(float)
        for weights in (main.segments.length, main.stretched_length)
    )
    first = np.searchsorted(main.bay, np.arange(count), side="left")
    last = np.searchsorted(main.bay, np.arange(count), side="right") - 1
    main_tension = 0.5 * (main.tension_start[first] + main.tension_end[last])
    backup_tension = 0.5 * (backup.tension_start + backup.tension_end)
    # Where the backup has anchors of its own, its way through an end bay is longer or shorter than the main's.
    detour = np.linalg.norm(np.diff(backup.nodes, axis=0), axis=1) - np.linalg.norm(
        main.nodes[last + 1] - main.nodes[first], axis=1
    )
    run = main.nodes[-1] - main.nodes[0]
    stations = (main.nodes - main.nodes[0]) @ (run / np.linalg.norm(run))
    bays = BayResults(
        start=stations[first],
        end=stations[last + 1],
        main_length=main_length,
        loop_length=backup.segments.length.copy(),
        length=stretched,
        excess=backup.segments.length / (stretched + detour) - 1.0,
        loop_depth=backup.segments.depth()[0],
        loop_drop=_drops(main, backup),
        main_tension=main_tension,
        backup_tension=backup_tension,
        backup_share=backup_tension / (main_tension + backup_tension),
    )
    freeze(bays)
    return bays


def _drops(main: LineShape, backup: LineShape) -> Floats:
    """Largest vertical distance from main down to backup in each bay.

    Both lines are compared at the same distance across the loop's load direction between its two tapes.
    """
    origin, across, bay = backup.nodes[:-1], backup.segments.across, main.bay
    loops = backup.segments.points(SAMPLES_FOR_DROP, origin)
    line = main.segments.points(SAMPLES_FOR_DROP, main.nodes[:-1])
    below = np.einsum("bik,bk->bi", loops - origin[:, None], across)
    along = np.einsum("sik,sk->si", line - origin[bay][:, None], across[bay])
    first = np.searchsorted(bay, np.arange(len(origin)), side="left")
    last = np.searchsorted(bay, np.arange(len(origin)), side="right") - 1
    # Bays one behind the other, so that all are looked up at once: each begins where no other reaches.
    start, end = along[first, 0], along[last, -1]
    shift = np.arange(len(origin)) * 2.0 * float(np.max(end - start)) - start
    wanted = np.clip(below, start[:, None], end[:, None]) + shift[:, None]
    height = np.interp(wanted, (along + shift[bay][:, None]).reshape(-1), line[:, :, 2].reshape(-1))
    return np.asarray(np.max(height - loops[:, :, 2], axis=1))


def make_solution(
    *,
    rig: Rig,
    layout: Layout,
    state_name: StateName,
    minimum: Minimum,
    walker_node: int | None,
    iterations: int,
    other_equilibria: int | None,
    notes: tuple[Note, ...] = (),
    taped: Floats | None = None,
) -> Solution:
    """Collect one state into a Solution.

    `taped` (t,) are the slides as taped, where the pair's own start is a later state.  [m]
    """
    state = minimum.state
    pair, unknowns = state.pair, state.unknowns
    main, backup = line_shapes(state)
    bays = bays_of(main, backup)
    main_at, backup_at = pair.line_coordinates(unknowns[:, 3])
    tapes = pair.tapes
    slip = unknowns[tapes, 3] - (pair.start_slides[tapes] if taped is None else taped)
    slip = np.where(pair.free_slides[tapes], slip, 0.0)
    solution = Solution(
        rig=rig,
        layout=layout,
        state=state_name,
        main=main,
        backup=backup,
        tape_points=unknowns[tapes, :3].copy(),
        tape_main=main_at[1:-1][tapes],
        tape_backup=backup_at[1:-1].copy(),
        tape_slip=slip,
        bays=bays,
        walker_point=None if walker_node is None else unknowns[walker_node, :3].copy(),
        loads=np.stack((pair.main_load, pair.backup_load)),
        proof=Proof(
            residual=minimum.residual,
            relative_residual=minimum.residual / pair.weight,
            closure=state.segments.closure(),
            iterations=iterations,
            stable=minimum.stable,
            other_equilibria=other_equilibria,
        ),
        notes=(*_warnings(rig, bays, main, backup, minimum, other_equilibria), *notes),
    )
    freeze(solution)
    return solution


def _warnings(
    rig: Rig, bays: BayResults, main: LineShape, backup: LineShape, minimum: Minimum, others: int | None
) -> list[Note]:
    """What must be said about a state, worst first."""
    notes = []
    for name, webbing, line in (("main", rig.main, main), ("backup", rig.backup, backup)):
        top = float(max(line.tension_start.max(), line.tension_end.max()))
        values: dict[str, Value] = {"line": Term(f"state-line-{name}")}
        if top > webbing.strength:
            values |= {
                "known": Term("strength-new" if webbing.aged_strength is None else "strength-aged"),
                "tension": Quantity(top, "force", "up"), "strength": Quantity(webbing.strength, "force"),
            }
            weight = top / webbing.strength
            notes.append(Note(kind=StateNote.OVERLOAD, severity=Severity.DANGER, values=values, weight=weight))
        elif top > webbing.stretch.tension[-1]:
            notes.append(Note(kind=StateNote.BEYOND_CURVE, severity=Severity.LIMIT, values=values))
    tight = bays.excess < 0.0
    if tight.any():
        share = float(np.max(bays.backup_share[tight]))
        values = {
            "count": int(tight.sum()), "total": len(tight), "share": Quantity(share, "ratio", "up"),
            "excess": Quantity(float(bays.excess.min()), "ratio"),
        }
        notes.append(Note(kind=StateNote.TIGHT, severity=Severity.DANGER, values=values, weight=share))
    if not minimum.stable:
        notes.append(Note(kind=StateNote.UNSTABLE, severity=Severity.CHECK))
    if others:
        notes.append(Note(kind=StateNote.OTHERS, severity=Severity.CHECK, values={"count": others}))
    return notes
