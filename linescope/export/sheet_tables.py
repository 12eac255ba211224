"""The findings of a rig as tables for people: the same ones on the sheet and on the page.

Two significant figures, units put back on.  What was not computed says so instead of being left out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from linescope.clearance import Clearance
from linescope.events.excess import TITLES
from linescope.export.sheet_walk import (
    above_ground,
    bay_at_walker,
    below_chord,
    main_stations,
)
from linescope.report.gather import Results
from linescope.report.tapes import Table
from linescope.rig.model import Known
from linescope.stage.ground import Ground
from linescope.stage.words import Measures
from linescope.statics import Solution
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


def _step(count: int, most: int) -> list[int]:
    """At most `most` of `count` places, the first and the last among them."""
    return sorted({round(k) for k in np.linspace(0, count - 1, min(count, most))})


def gear(results: Results, measures: Measures) -> Table:
    """Both lines, with blanks for what only the crew knows."""
    rig = results.rig
    known = {note.key: HOW_KNOWN[note.known] for note in rig.inputs}

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
            "Line", "Webbing or rope", "Size", "Mass", "Stretch", "Strength new", "strength: how known",
            "Strength aged", "Age (fill in)", "Days out (fill in)",
        ),
        rows=(row("main", "main", rig.main), row("backup", "backup", rig.backup)),
    )


def lengths(results: Results, measures: Measures) -> Table:
    """What to cut, carry and pull: unstressed lengths, stroke, released excess."""
    rig, layout, standing = results.rig, results.planned.layout, results.standing
    unit = measures.long_unit
    stretched = float(standing.main.stretched_length.sum())
    rows = [
        ("Anchor to anchor, straight", measures.place(rig.span), "survey"),
        ("Main, unstretched, lock to lock (tails extra)", f"{_centi(layout.main_length, measures)} {unit}", "computed"),
        ("Main as it stands", f"{_centi(stretched, measures)} {unit}", "computed"),
        ("Stroke of the tensioner", measures.length(stretched - layout.main_length), "main as it stands less unstretched"),
        ("Backup, unstretched, lock to lock: THE MARK THAT SITS AT B", f"{_centi(layout.backup_length, measures)} {unit}", "computed"),
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
                _height(height, measures),
                measures.loop(float(solution.bays.loop_depth[bay])) if excess >= 0.0 else "TIGHT",
                measures.share(excess),
            )
        )
    return Table(
        title="Tension and height with the walker along the line (as taped, still air)",
        columns=(
            "Walker at", "from A", "main at A", "main at B", "most in backup", "feet below chord",
            "feet above ground", "loop under him", "its excess",
        ),
        rows=tuple(rows),
    )


def loops(results: Results, measures: Measures) -> Table:
    """Every bay: excess and loop depth in each state that is known."""
    states = results.excess.states
    edges = main_stations(results)
    names = {"slack": "slack", "standing": "standing", "walker": "walker", "fall": "fall (bound)"}
    columns = ["Bay", "from A, standing"]
    columns += [f"excess {names[state.name]}" for state in states]
    columns += [f"depth {names[state.name]}" for state in states]
    settled = results.settled.bays.loop_depth
    columns.append("depth settled")
    rows = []
    for bay in range(len(edges) - 1):
        row = [str(bay + 1), f"{measures.place(float(edges[bay]))} to {measures.place(float(edges[bay + 1]))}"]
        row += [measures.share(float(state.excess[bay])) for state in states]
        row += [_depth(float(state.loop_depth[bay]), float(state.excess[bay]), measures) for state in states]
        row.append(_depth(float(settled[bay]), float(results.settled.bays.excess[bay]), measures))
        rows.append(tuple(row))
    return Table(title="Loops, bay by bay: excess and depth in each state", columns=tuple(columns), rows=tuple(rows))


def _depth(depth: float, excess: float, measures: Measures) -> str:
    return measures.loop(depth) if excess >= 0.0 else "TIGHT"


def state_summary(results: Results, measures: Measures) -> Table:
    """Least and most excess and depth of every state in one glance."""
    rows = []
    for state in results.excess.states:
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
    return Table(
        title="Excess in the states",
        columns=("State", "excess, least to most", "loop depth", "bays without slack", "most in backup"),
        rows=tuple(rows),
    )


def _band(values: Floats, text: Callable[[float], str]) -> str:
    low, high = text(float(values.min())), text(float(values.max()))
    return low if low == high else f"{low} to {high}"


def marks(results: Results, measures: Measures) -> Table:
    """Every tape's place on both slack lines, and what it holds."""
    layout = results.planned.layout
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
            "B", "anchor lock", "-", _centi(layout.main_length, measures), _centi(layout.backup_length, measures),
            _centi(float(layout.bays_backup[-1]), measures),
        )
    )
    unit = measures.long_unit
    return Table(
        title="Marks on the slack lines from the lock at A",
        columns=("No.", "Tape", "Holds", f"on the main [{unit}]", f"on the backup [{unit}]", f"backup in the bay before [{unit}]"),
        rows=tuple(rows),
    )


def _centi(value: float, measures: Measures) -> str:
    """A mark as laid with a tape measure: to the centimetre, or a hundredth of a foot."""
    return f"{value if measures.system == 'metric' else value / 0.3048:.2f}"


def acceptance(results: Results, measures: Measures) -> Table:
    """Loop depths to see before anyone steps on, at five stations, with blanks for what was seen."""
    edges, taped = main_stations(results), results.standing.bays
    places = _step(len(taped.loop_depth), 5)
    rows = []
    for bay in places:
        depth, excess = float(taped.loop_depth[bay]), float(taped.excess[bay])
        wanted = _depth(depth, excess, measures)
        band = f"{measures.loop(0.8 * depth)} to {measures.loop(1.2 * depth)}" if excess >= 0.0 else "stop: no slack"
        middle = 0.5 * float(edges[bay] + edges[bay + 1])
        rows.append((f"bay {bay + 1}", measures.place(round(middle, 1)), wanted, band, "", ""))
    return Table(
        title="Loops to see, standing, nobody on the line (± 20 %: common practice, no source)",
        columns=("Where", "middle, from A", "depth as taped", "accept between", "seen", "by"),
        rows=tuple(rows),
    )


def falls(results: Results, measures: Measures, ground: Ground | None) -> Table | None:
    """Leash falls along the line, or at the walker's own place; None without a walker."""
    sweep = results.fall_sweep or (results.fall.figures if results.fall is not None else None)
    if sweep is None:
        return None
    height = above_ground(ground, sweep.low_foot)
    chosen = sorted({*_step(len(sweep.at), 11), sweep.hardest, sweep.lowest})
    rows = []
    for k in chosen:
        foot = sweep.low_foot[k]
        rows.append(
            (
                measures.place(round(float(sweep.at[k]), 1)),
                measures.place(round(results.rig.span - float(sweep.at[k]), 1)),
                measures.length(float(sweep.dip[k])),
                measures.length(_below(results, foot)),
                _height(float(height[k]), measures),
                measures.force(float(sweep.peak_force[k])),
                measures.force(float(sweep.peak_main_tension[k])),
                measures.force(float(sweep.peak_backup_tension[k])),
            )
        )
    return Table(
        title="Leash falls (bounds: no damping, nobody catches the line)",
        columns=(
            "from A", "from B", "ring dips", "lowest foot below chord", "lowest foot above ground", "peak on ring",
            "peak in main", "peak in backup",
        ),
        rows=tuple(rows),
    )


def _height(height: float, measures: Measures) -> str:
    """Height above ground; what is in the ground says so."""
    if not math.isfinite(height):
        return "unknown"
    return measures.length(height) if height >= 0.0 else f"{measures.length(-height)} INTO THE GROUND"


def _below(results: Results, point: Floats) -> float:
    return below_chord(results.standing, point)


def gone(results: Results, measures: Measures, ground: Ground | None) -> Table | None:
    """Loss of the main as a bracket, along the line or at the walker's place; None without a walker."""
    found = results.gone_sweep or results.gone
    if found is None:
        return None
    sides = (found.nothing_holds, found.ties_hold) if found.tied else (found.nothing_holds,)
    chosen = sorted({*_step(len(found.at), 7), *(side.deepest for side in sides)})
    rows = []
    for k in chosen:
        for side in sides:
            feet = np.array([side.rest_foot[k], side.lowest_foot[k]])
            height = [_height(float(h), measures) for h in above_ground(ground, feet)]
            rows.append(
                (
                    measures.place(round(float(found.at[k]), 1)),
                    side.name,
                    measures.length(float(side.spare[k])),
                    measures.length(float(side.rest_depth[k])),
                    measures.length(float(side.lowest_depth[k])),
                    height[0],
                    height[1],
                    measures.force(float(side.peak_tension[k])),
                    measures.share(float(side.backup_share[k])),
                )
            )
    return Table(
        title="Main gone: a bracket, never one number (lowest: bound, no damping)",
        columns=(
            "walker from A", "side of the bracket", "excess released", "ring at rest below chord", "ring lowest",
            "foot at rest above ground", "foot lowest above ground", "peak in backup", "of its strength",
        ),
        rows=tuple(rows),
    )


def wind(results: Results, measures: Measures) -> Table | None:
    """Wind from both sides; None when the scene has no wind."""
    if results.wind is None:
        return None
    rows = []
    for case in results.wind.cases:
        rows.append(
            (
                "empty" if case.loaded == "empty" else "with walker",
                case.side,
                measures.length(case.offset_steady),
                measures.length(case.offset_gust),
                format_si(float(case.gust_swing.max()), "angle"),
                format_si(float(case.sudden_swing.max()), "angle"),
                f"{len(case.above)} of {len(case.reach)}",
                f"{len(case.wrap)} of {len(case.reach)}",
            )
        )
    speed = format_si(results.wind.wind.speed, "speed", system=measures.system)
    gust = format_si(results.wind.wind.speed * results.wind.wind.gust_factor, "speed", system=measures.system)
    return Table(
        title=f"Wind {speed}, gusts {gust}, from both sides",
        columns=(
            "Line", "side", "blown out, steady", "blown out, gust", "loops swing, gust", "sudden gust (bound)",
            "bays above main", "bays that can wrap",
        ),
        rows=tuple(rows),
    )


def clearances(clearance: Clearance | None, measures: Measures) -> Table | None:
    """Every finding, worst first; None when clearance was not computed."""
    if clearance is None:
        return None
    rows = [
        (
            str(finding.rank),
            finding.kind,
            finding.cause,
            measures.place(round(finding.station, 1)),
            measures.place(round(finding.walker, 1)) if finding.walker is not None else "-",
            measures.length(finding.distance),
            measures.length(finding.vertical) if math.isfinite(finding.vertical) else "unknown",
            measures.length(finding.needed),
            "meets it" if finding.is_met else f"SHORT BY {measures.length(-finding.remainder)}",
        )
        for finding in clearance.findings
    ]
    return Table(
        title="Clearance, worst first (needed: asked for, with survey error and margin)",
        columns=("No.", "what", "cause", "where, from A", "walker at", "distance", "straight down", "needed", "result"),
        rows=tuple(rows),
    )


def no_fall_zones(clearance: Clearance | None, measures: Measures) -> Table | None:
    """Where nobody may fall, from both anchors; None when clearance was not computed."""
    if clearance is None:
        return None
    rows = [
        (
            f"{measures.place(round(zone.from_a[0], 1))} to {measures.place(round(zone.from_a[1], 1))}",
            f"{measures.place(round(zone.from_b[0], 1))} to {measures.place(round(zone.from_b[1], 1))}",
            measures.length(-zone.worst),
            measures.place(round(zone.worst_at, 1)),
        )
        for zone in clearance.no_fall_zones
    ]
    return Table(
        title="NO-FALL ZONES" if rows else "No-fall zones: none by these figures",
        columns=("from A", "from B", "short by up to", "worst at, from A"),
        rows=tuple(rows),
    )


def bands(results: Results, measures: Measures) -> Table | None:
    """Every main result with its low and high; None when bands were not computed."""
    if results.bands is None:
        return None
    rows = []
    for band in results.bands.results:
        kind = band.outcome.dimension

        def text(value: float, kind: str = kind) -> str:
            return format_si(value, kind, system=measures.system)

        effects = ", ".join(effect.input for effect in band.effects[:2]) or "-"
        rows.append((band.outcome.title, text(band.low), text(band.value), text(band.high), effects))
    return Table(
        title="Tolerances: results with the low and the high of every input (a working band, no certainty)",
        columns=("Result", "low", "as given", "high", "what moves it most"),
        rows=tuple(rows),
    )


def inputs(results: Results) -> Table:
    """Every input, as typed, with how it is known."""
    order: list[Known] = ["assumed", "guess", "stated", "sheet", "measured"]
    notes = sorted(results.rig.inputs, key=lambda note: order.index(note.known))
    rows = tuple((note.key, note.text, HOW_KNOWN[note.known]) for note in notes)
    return Table(title="Inputs, the least known first", columns=("Input", "Value as given", "How it is known"), rows=rows)


def inspection(results: Results, clearance: Clearance | None, measures: Measures) -> Table:
    """What to look at by metre from A, with its reason."""
    edges = main_stations(results)
    end = float(edges[-1])
    anchor = "lock, closed backup, padding, edge under both lines"
    found: list[tuple[float, float, str, str]] = [(0.0, 0.0, "anchor A", anchor), (end, end, "anchor B", anchor)]
    for joint in results.rig.joints:
        tied = "tied" if joint.tied else "NOT tied to the backup"
        found.append((joint.at, joint.at, "joint", f"{tied}; no tape within 0.3 m (common practice, no source)"))
    for k, tape in enumerate(results.planned.layout.tapes):
        if tape.kind == "tie":
            found.append((float(edges[k + 1]), float(edges[k + 1]), f"tie {tape.number}", "holds both lines"))
    for state in results.excess.states:
        if state.name != "fall":
            found += _runs(state.tight, edges, f"backup without slack, {TITLES[state.name]}")
    deepest = int(np.argmax(results.settled.bays.loop_depth))
    if results.settled.bays.excess[deepest] >= 0.0:
        depth = measures.loop(float(results.settled.bays.loop_depth[deepest]))
        found += _runs((deepest + 1,), edges, f"deepest loop once settled, {depth}")
    if results.wind is not None:
        wrap = tuple(sorted({bay for case in results.wind.cases for bay in case.wrap}))
        found += _runs(wrap, edges, "after wind: the loop can wrap the main")
    for finding in clearance.findings if clearance is not None else ():
        if not finding.is_met:
            why = f"{finding.kind}, {finding.cause}: short of what is needed"
            found.append((finding.station, finding.station, f"clearance {finding.rank}", why))
    rows = []
    for low, high, what, why in sorted(found):
        start, stop = measures.place(round(low, 1)), measures.place(round(high, 1))
        rows.append((start if start == stop else f"{start} to {stop}", what, why, ""))
    return Table(
        title="Look at, by distance from A on the standing main",
        columns=("from A", "what", "why", "seen by"),
        rows=tuple(rows),
    )


def _runs(bays: tuple[int, ...], edges: Floats, why: str) -> list[tuple[float, float, str, str]]:
    """Neighbouring bays, counted from 1, as one entry each."""
    runs: list[list[int]] = []
    for bay in bays:
        if runs and bay == runs[-1][1] + 1:
            runs[-1][1] = bay
        else:
            runs.append([bay, bay])
    return [
        (
            float(edges[first - 1]),
            float(edges[last]),
            f"bay {first}" if first == last else f"bays {first} to {last}",
            why,
        )
        for first, last in runs
    ]
