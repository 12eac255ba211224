"""The findings of a rig as tables for people: the same ones on the sheet and on the page.

Two significant figures, units put back on.  What was not computed says so instead of being left out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from linescope.events.excess import TITLES
from linescope.events.meter import TensionStrip
from linescope.export.sheet_walk import (
    above_ground,
    bay_at_walker,
    below_chord,
    height_words,
    main_stations,
    spread_over,
)
from linescope.report.tapes import Table
from linescope.rig import Known
from linescope.stage.ground import Ground
from linescope.stage.words import Measures
from linescope.statics import Solution
from linescope.study import Study
from linescope.units import format_si
from linescope.webbing import Webbing

Floats = NDArray[np.float64]

HOW_KNOWN: dict[Known, str] = {
    "measured": "measured",
    "sheet": "data sheet",
    "guess": "GUESS",
    "assumed": "ASSUMED (nobody gave it)",
    "stated": "given, not said how known",
}
SHOWN_PLACES = (0.05, 0.1, 0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.7, 0.75, 0.8, 0.9, 0.95)


def gear(study: Study, measures: Measures) -> Table:
    """Both lines, with blanks for what only the crew knows."""
    rig = study.rig
    known = {note.key: HOW_KNOWN[note.known] for note in study.inputs.notes}

    def row(name: str, key: str, kind: Webbing) -> tuple[str, ...]:
        mass = format_si(kind.mass, "line mass", system=measures.system)
        aged = measures.force(kind.aged_strength) if kind.aged_strength is not None else "not given"
        curve = kind.stretch
        at = float(curve.tension[-1])
        stretch = f"{measures.share(float(curve.strain[-1]))} at {measures.force(at)}"
        strength = known.get(f"{key}.webbing.breaking_strength", known.get(f"{key}.webbing", "from the library"))
        what = f"{measures.section(kind.width)} {'rope' if kind.is_rope else 'wide'}"
        return (name, kind.name, what, mass, stretch, measures.force(kind.breaking_strength), strength, aged, "", "")

    return Table(
        title="Gear",
        columns=(
            "Line",
            "Webbing or rope",
            "Size",
            "Mass",
            "Stretch",
            "Strength new",
            "strength: how known",
            "Strength aged",
            "Age (fill in)",
            "Days out (fill in)",
        ),
        rows=(row("main", "main", rig.main), row("backup", "backup", rig.backup)),
    )


def lengths(study: Study, measures: Measures) -> Table:
    """What to cut, carry and pull: unstressed lengths, stroke, released excess."""
    rig, layout, standing = study.rig, study.planned.layout, study.standing
    unit = measures.long_unit
    stretched = float(standing.main.stretched_length.sum())
    rows = [
        ("Anchor to anchor, straight", measures.place(rig.span), "survey"),
        ("Main, unstretched, lock to lock (tails extra)", f"{_centi(layout.main_length, measures)} {unit}", "computed"),
        ("Main as it stands", f"{_centi(stretched, measures)} {unit}", "computed"),
        (
            "Stroke of the tensioner",
            measures.length(stretched - layout.main_length),
            "main as it stands less unstretched",
        ),
        (
            "Backup, unstretched, lock to lock: THE MARK THAT SITS AT B",
            f"{_centi(layout.backup_length, measures)} {unit}",
            "computed",
        ),
        ("Backup longer than main, both slack", measures.length(layout.backup_length - layout.main_length), "computed"),
        ("Main at A, nobody on it", measures.force(standing.tension_a), "read it at the anchor's side of any pulley"),
        ("Main at B, nobody on it", measures.force(standing.tension_b), "as above"),
    ]
    return Table(title="Lengths and standing tension", columns=("What", "How much", "Note"), rows=tuple(rows))


def tensions(walked: Sequence[Solution], measures: Measures, ground: Ground | None) -> Table:
    """What the meter should read and how deep he stands, with the walker along the line."""
    rows = []
    for solution in walked:
        rig, point = solution.rig, solution.walker_point
        if rig.walker is None or point is None:
            continue
        if not any(math.isclose(rig.walker.at, share * rig.span, rel_tol=1e-6) for share in SHOWN_PLACES):
            continue
        bay = bay_at_walker(solution)
        height = float(above_ground(ground, point[None])[0])
        excess = float(solution.bays.excess[bay])
        rows.append(
            (
                f"{rig.walker.at / rig.span:.0%}",
                measures.place(rig.walker.at),
                measures.force(solution.tension_a),
                measures.force(solution.tension_b),
                measures.force(float(solution.bays.backup_tension.max())),
                measures.length(below_chord(solution, point)),
                height_words(height, measures),
                measures.loop(float(solution.bays.loop_depth[bay])) if excess >= 0.0 else "TIGHT",
                measures.share(excess),
            )
        )
    return Table(
        title="Tension and height with the walker along the line (as taped, still air)",
        columns=(
            "Walker at",
            "from A",
            "main at A",
            "main at B",
            "most in backup",
            "feet below chord",
            "feet above ground",
            "loop under him",
            "its excess",
        ),
        rows=tuple(rows),
    )


def loops(study: Study, measures: Measures) -> Table:
    """Every bay: excess and loop depth in each state that is known."""
    states = study.excess.states
    edges = main_stations(study)
    names = {"slack": "slack", "standing": "standing", "walker": "walker", "fall": "fall (bound)"}
    columns = ["Bay", "from A, standing", "bay, standing"]
    columns += [f"excess {names[state.name]}" for state in states]
    columns += [f"depth {names[state.name]}" for state in states]
    slid = [("settled", study.settled)]
    held = study.held("value")
    if held is not None and held.gone_empty:
        slid.insert(0, ("standing, hold as given", held.empty))
    columns += [f"depth {name}" for name, _ in slid]
    units = [measures.loop_unit(state.loop_depth) for state in states]
    bay_unit = measures.unit(np.diff(edges))
    found: list[tuple[int, int, list[str]]] = []
    for bay in range(len(edges) - 1):
        row = [measures.length(float(edges[bay + 1] - edges[bay]), unit=bay_unit)]
        row += [measures.share(float(state.excess[bay])) for state in states]
        row += [
            _depth(float(state.loop_depth[bay]), float(state.excess[bay]), measures, unit)
            for state, unit in zip(states, units, strict=True)
        ]
        row += [
            _depth(
                float(state.bays.loop_depth[bay]), float(state.bays.excess[bay]), measures,
                measures.loop_unit(state.bays.loop_depth),
            )
            for _, state in slid
        ]
        if found and found[-1][2] == row:
            found[-1] = (found[-1][0], bay, row)
        else:
            found.append((bay, bay, row))
    rows = []
    for first, last, cells in found:
        number = str(first + 1) if first == last else f"{first + 1} to {last + 1}"
        rows.append((number, f"{_tenth(edges[first], measures)} to {_tenth(edges[last + 1], measures)}", *cells))
    return Table(
        title="Loops, bay by bay (equal neighbours in one row): excess and depth, as taped but where said",
        columns=tuple(columns),
        rows=tuple(rows),
    )


def _tenth(value: float, measures: Measures) -> str:
    return measures.place(round(float(value), 1))


def _depth(depth: float, excess: float, measures: Measures, unit: str | None = None) -> str:
    return measures.loop(depth, unit) if excess >= 0.0 else "TIGHT"


def state_summary(study: Study, measures: Measures) -> Table:
    """Least and most excess and depth of every state in one glance."""
    rows = []
    for state in study.excess.states:
        tight = f"{len(state.tight)} of {len(state.excess)}" if state.tight else "none"
        rows.append(
            (
                TITLES[state.name],
                _band(state.excess, measures.share),
                _band(np.where(state.excess < 0.0, 0.0, state.loop_depth), measures.loop),
                tight,
                measures.force(float(state.backup_tension.max())) if state.name != "slack" else "-",
            )
        )
    held = study.held("value")
    if held is not None and held.gone_empty:
        bays = held.empty.bays
        rows.insert(
            2,
            (
                "standing, hold as given (tapes let go)",
                _band(bays.excess, measures.share),
                _band(np.where(bays.excess < 0.0, 0.0, bays.loop_depth), measures.loop),
                f"{int((bays.excess < 0.0).sum())} of {len(bays.excess)}" if (bays.excess < 0.0).any() else "none",
                measures.force(float(bays.backup_tension.max())),
            ),
        )
    return Table(
        title="Excess in the states, as taped but where said",
        columns=("State", "excess, least to most", "loop depth", "bays without slack", "most in backup"),
        rows=tuple(rows),
    )


def _band(values: Floats, text: Callable[[float], str]) -> str:
    low, high = text(float(values.min())), text(float(values.max()))
    return low if low == high else f"{low} to {high}"


def marks(study: Study, measures: Measures) -> Table:
    """Every tape's place on both slack lines, and what it holds."""
    layout = study.planned.layout
    rows = [
        (
            str(tape.number),
            tape.family if tape.kind == "tape" else "TIE",
            tape.holds.value,
            _centi(float(layout.tape_main[k]), measures),
            _centi(float(layout.tape_backup[k]), measures),
            _centi(float(layout.bays_backup[k]), measures),
        )
        for k, tape in enumerate(layout.tapes)
    ]
    rows.append(
        (
            "B",
            "anchor lock",
            "-",
            _centi(layout.main_length, measures),
            _centi(layout.backup_length, measures),
            _centi(float(layout.bays_backup[-1]), measures),
        )
    )
    unit = measures.long_unit
    return Table(
        title="Marks on the slack lines from the lock at A",
        columns=(
            "No.",
            "Tape",
            "Holds",
            f"on the main [{unit}]",
            f"on the backup [{unit}]",
            f"backup in the bay before [{unit}]",
        ),
        rows=tuple(rows),
    )


def _centi(value: float, measures: Measures) -> str:
    """A mark as laid with a tape measure: to the centimetre, or a hundredth of a foot."""
    return f"{value if measures.system == 'metric' else value / 0.3048:.2f}"


def acceptance(study: Study, measures: Measures) -> Table:
    """Loop depths to see before anyone steps on, at five stations, with blanks for what was seen."""
    edges, seen, taped = main_stations(study), study.to_see.bays, study.standing.bays
    ends = [held.empty.bays for level in ("low", "high") if (held := study.held(level)) is not None]
    unit = measures.loop_unit(1.2 * seen.loop_depth)
    rows = []
    for bay in spread_over(len(seen.loop_depth), 5):
        depth, excess = float(seen.loop_depth[bay]), float(seen.excess[bay])
        band = (
            f"{measures.loop(0.8 * depth, unit)} to {measures.loop(1.2 * depth, unit)}"
            if excess >= 0.0
            else "stop: no slack"
        )
        middle = 0.5 * float(edges[bay] + edges[bay + 1])
        cells = [_depth(depth, excess, measures, unit), band]
        if ends:
            depths = [depth, *(float(end.loop_depth[bay]) for end in ends)]
            low, high = (measures.loop(value, unit) for value in (min(depths), max(depths)))
            before = _depth(float(taped.loop_depth[bay]), float(taped.excess[bay]), measures, unit)
            cells += [before, low if low == high else f"{low} to {high}"]
        rows.append((f"bay {bay + 1}", measures.place(round(middle, 1)), *cells, "", ""))
    more = ("as taped", "by low and high hold") if ends else ()
    state = "hold as given" if ends else "as taped"
    return Table(
        title="Loops to see, standing, nobody on the line (± 20 %: common practice, no source)",
        columns=("Where", "middle, from A", f"depth to see, {state}", "accept between", *more, "seen", "by"),
        rows=tuple(rows),
    )


def meter(strip: TensionStrip, measures: Measures) -> Table:
    """What a meter at the anchors should read, with its range."""
    rows = []
    for k, at in enumerate(strip.at):
        where = "nobody on the line" if math.isnan(at) else f"walker at {measures.place(round(float(at), 1))}"
        cells = [where]
        for end in (0, 1):
            low, value, high = (measures.force(float(band[k, end])) for band in (strip.low, strip.value, strip.high))
            cells += [value, f"{low} to {high}"]
        rows.append((*cells, ""))
    return Table(
        title="What the meter should read, with its range (a working band, no certainty)",
        columns=("Loading", "at A", "range at A", "at B", "range at B", "read"),
        rows=tuple(rows),
    )


def inputs(study: Study) -> Table:
    """Every input, as typed, with how it is known."""
    order: list[Known] = ["assumed", "guess", "stated", "sheet", "measured"]
    notes = sorted(study.inputs.notes, key=lambda note: order.index(note.known))
    rows = tuple((note.key, note.text, HOW_KNOWN[note.known]) for note in notes)
    return Table(
        title="Inputs, the least known first", columns=("Input", "Value as given", "How it is known"), rows=rows
    )
