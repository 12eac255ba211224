"""Results as text for people: two significant figures, the units of their choice, the worst first."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from linescope.events.catch import STATIC_STRETCH
from linescope.events.crossing import Crossing
from linescope.report.cautions import CAUTIONS
from linescope.report.gather import Results
from linescope.report.text import WIDTH, columns, in_system, is_loud
from linescope.statics import Solution
from linescope.units import System, format_si, from_si

Floats = NDArray[np.float64]

MOST_ROWS, SECTIONS = 30, 10  # Above so many rows, the bays of a long line are put together in sections.


def figures_text(
    results: Results, system: System = "metric", *, every_bay: bool = False, ground: Sequence[str] = ()
) -> str:
    """All results of a rig as text.

    Parameters
    ----------
    results : Results
    system : {"metric", "feet"}
    every_bay : bool
        A row for every bay also on long lines, where otherwise neighbouring bays are put together.
    ground : sequence of str
        What is said of the ground, such as the notes of a `Terrain`; those that begin in capitals are shown.

    Returns
    -------
    str
    """
    writer = _Writer(results, system)
    writer.head()
    writer.loud(note for note in ground if is_loud(note))
    writer.states()
    writer.bays(every_bay)
    writer.creep_and_slip()
    writer.catches()
    writer.wind()
    writer.bands()
    writer.inputs()
    return "\n".join(writer.lines) + "\n"


class _Writer:
    def __init__(self, results: Results, system: System) -> None:
        self.results, self.system = results, system
        self.lines: list[str] = []

    def show(self, value: float, dimension: str) -> str:
        return format_si(float(value), dimension, system=self.system)

    def span(self, low: float, high: float, dimension: str) -> str:
        first, last = self.show(low, dimension), self.show(high, dimension)
        return first if first == last else f"{first} to {last}"

    def title(self, text: str) -> None:
        self.lines += ["", text.upper()]

    def say(self, text: str, mark: str = "  ") -> None:
        self.lines += textwrap.wrap(
            in_system(text, self.system), WIDTH, initial_indent=mark, subsequent_indent=" " * len(mark),
            break_long_words=False,
        )

    def plain(self, text: str) -> None:
        """As typed by the user, whatever the units."""
        self.lines += textwrap.wrap(
            text, WIDTH, initial_indent="  ", subsequent_indent="  ", break_long_words=False
        )

    def loud(self, notes: Iterable[str]) -> None:
        for note in notes:
            self.say(note, "! ")

    def head(self) -> None:
        rig, plan = self.results.rig, self.results.rig.main_plan
        self.lines.append(rig.name)
        slope = "level" if abs(rig.slope) < 5e-4 else (
            f"{'rising' if rig.slope > 0 else 'falling'} {self.show(abs(rig.slope), 'ratio')} towards B"
        )
        given = (
            f"{self.show(plan.tension, 'force')} standing at {plan.end}"
            if plan.tension is not None
            else f"{self.show(plan.length or 0.0, 'length')} of main, unstretched"
        )
        layout = self.results.planned.layout
        self.say(
            f"span {self.show(rig.span, 'length')}, {slope}; {given}; {len(layout.tapes)} tapes and ties; spacing and "
            f"excess stated for {rig.taping.measured_on} main"
        )
        for caution in CAUTIONS[:1]:
            self.say(caution)
        tight = bool(self.results.excess.notes)
        others = [note for note in self.results.taped.notes if not (tight and note.startswith("THE BACKUP IS TIGHT"))]
        self.loud((*self.results.excess.notes, *others))

    def states(self) -> None:
        results = self.results
        self.title("tension and sag")
        rows = [("", "main at A", "main at B", "backup, most", "main lowest below the straight line", "loops")]
        for name, state in (
            ("standing, empty", results.standing),
            ("with the walker, as taped", results.taped),
            ("with the walker, settled", results.settled),
        ):
            if name != "standing, empty" and results.rig.walker is None:
                name = name.replace("with the walker", "empty")
            loops = state.bays.loop_depth
            rows.append((
                name, self.show(state.tension_a, "force"), self.show(state.tension_b, "force"),
                self.show(max(state.backup.tension_start.max(), state.backup.tension_end.max()), "force"),
                self.show(self.lowest(state), "length"),
                self.span(loops.min(), loops.max(), "length"),
            ))
        self.lines += ["  " + line for line in columns(rows)]
        extra = results.settled.proof.other_equilibria
        if extra:
            self.loud([note for note in results.settled.notes if "other settled" in note])
        worst = max(s.proof.relative_residual for s in (results.standing, results.taped, results.settled))
        self.say(f"Forces balance to {worst:.0e} of the weight.")

    def lowest(self, state: Solution) -> float:
        rig = self.results.rig
        points = state.main.sample(8).points
        run = rig.main_b - rig.main_a
        share = (points - rig.main_a)[:, :2] @ run[:2] / float(run[:2] @ run[:2])
        return float(np.max(rig.main_a[2] + share * run[2] - points[:, 2]))

    def bays(self, every_bay: bool) -> None:
        results, layout = self.results, self.results.planned.layout
        self.title("bays: excess and loop depth in four states")
        states = results.excess.states
        names = {"slack": "slack, as marked", "standing": "standing", "walker": "walker", "fall": "fall (bound)"}
        head = ["bay", "from A", "tape at its end", "loop as cut", *(names[s.name] for s in states), "settled"]
        stretched = np.concatenate(([0.0], np.cumsum(results.standing.bays.length)))
        rows = [
            [
                str(bay + 1),
                self.places(stretched[bay], stretched[bay + 1]),
                "anchor B" if bay == len(layout.tapes) else layout.tapes[bay].family,
                self.show(layout.bays_backup[bay], "length"),
                *(f"{self.show(s.loop_depth[bay], 'length')}, {self.show(s.excess[bay], 'ratio')}" for s in states),
                self.show(results.settled.bays.loop_depth[bay], "length"),
            ]
            for bay in range(len(layout.tapes) + 1)
        ]
        rows = _alike_together(rows)
        if len(rows) > MOST_ROWS and not every_bay:
            rows = [self.together(bays, stretched) for bays in np.array_split(np.arange(len(stretched) - 1), SECTIONS)]
            head[2] = "tapes"
        self.lines += ["  " + line for line in columns([head, *rows])]
        self.say("Each cell: loop depth, excess of the backup over the main as stretched in that state.")

    def places(self, low: float, high: float) -> str:
        """Two places on the line, to a tenth of the unit, so that neighbouring tapes differ."""
        unit = "m" if self.system == "metric" else "ft"
        first, last = (from_si(float(value), unit, "length") for value in (low, high))
        return f"{first:.1f} to {last:.1f} {unit}"

    def together(self, bays: np.ndarray[tuple[int], np.dtype[np.int64]], edges: Floats) -> list[str]:
        """One row for many neighbouring bays: ranges."""
        results, layout = self.results, self.results.planned.layout
        families = dict.fromkeys(layout.tapes[bay].family for bay in bays if bay < len(layout.tapes))
        loops, settled = layout.bays_backup[bays], results.settled.bays.loop_depth[bays]
        cells = [
            f"{self.span(s.loop_depth[bays].min(), s.loop_depth[bays].max(), 'length')}, "
            f"{self.span(s.excess[bays].min(), s.excess[bays].max(), 'ratio')}"
            for s in results.excess.states
        ]
        return [
            f"{bays[0] + 1}-{bays[-1] + 1}", self.places(edges[bays[0]], edges[bays[-1] + 1]), ", ".join(families),
            self.span(loops.min(), loops.max(), "length"), *cells,
            self.span(settled.min(), settled.max(), "length"),
        ]

    def creep_and_slip(self) -> None:
        results = self.results
        if not results.slides:
            return
        self.title("sliding")
        if results.creep.zones:
            for zone in results.creep.zones:
                self.say(
                    f"Creep zone: tapes {zone.first} to {zone.last}, {self.span(zone.start, zone.end, 'length')} from "
                    f"A; main as steep as {self.show(zone.steepest, 'angle')}: clean sliders run downhill.", "! "
                )
        else:
            self.say("With the walker where he stands, no tape is on a slope that starts it sliding by itself.")
        for crossing in (results.crossing_low, results.crossing_high):
            if crossing is not None:
                self.crossing(crossing)

    def crossing(self, crossing: Crossing) -> None:
        loops = crossing.after.bays.loop_depth
        self.say(
            f"One crossing and back, {crossing.level} hold: slip {self.show(crossing.total_slip.mean(), 'length')} a "
            f"tape on average, {self.show(crossing.total_slip.max(), 'length')} at the most; friction work "
            f"{self.show(crossing.total_work.sum(), 'energy')}; loops afterwards "
            f"{self.span(loops.min(), loops.max(), 'length')}."
        )

    def catches(self) -> None:
        results = self.results
        if results.fall is None or results.gone is None:
            return
        fall, gone = results.fall.figures, results.gone
        self.title(f"catches at {self.show(fall.at[0], 'length')} from A: bounds, no damping, no line inertia")
        deeper = fall.dip[0] - fall.dip_held[0] >= 5e-3
        held = f" (with free sliders; {self.show(fall.dip_held[0], 'length')} if tapes hold)" if deeper else ""
        self.say(
            f"Leash fall: ring {self.show(fall.dip[0], 'length')} below where he stood{held}, lowest foot "
            f"{self.show(fall.ring_standing[0, 2] - fall.low_foot[0, 2], 'length')} below where he stood; "
            f"{self.show(fall.peak_force[0], 'force')} on the ring, {self.show(fall.peak_main_tension[0], 'force')} in "
            f"the main."
        )
        for side in (gone.nothing_holds, gone.ties_hold) if gone.tied else (gone.nothing_holds,):
            feet = results.rig.walker.leash + results.rig.walker.hang if results.rig.walker else 0.0
            self.say(
                f"Main gone, {side.name}: ring rests {self.show(side.rest_depth[0], 'length')} below the straight "
                f"line, at the lowest {self.show(side.lowest_depth[0], 'length')}; feet {self.show(feet, 'length')} "
                f"lower; backup {self.show(side.peak_tension[0], 'force')}, "
                f"{self.show(side.backup_share[0], 'ratio')} of its strength. At most "
                f"{self.show(side.most_tension[0], 'force')}, {self.show(side.most_share[0], 'ratio')}, with the ring "
                f"{self.show(side.most_depth[0], 'length')} down, if all that the lost main has stored went into the "
                f"catch and its weight hung on the backup (bound)."
            )
        for sweep in (results.fall_sweep,):
            if sweep is not None:
                self.say(
                    f"All along the line: largest force on the ring {self.show(sweep.peak_force.max(), 'force')} at "
                    f"{self.show(sweep.at[sweep.hardest], 'length')}; lowest foot at "
                    f"{self.show(sweep.at[sweep.lowest], 'length')} from A."
                )
        if results.gone_sweep is not None:
            side = results.gone_sweep.nothing_holds
            self.say(
                f"Main gone anywhere, nothing holds: ring as low as {self.show(side.lowest_depth.max(), 'length')} "
                f"below the straight line, with the walker at "
                f"{self.show(results.gone_sweep.at[side.deepest], 'length')}."
            )
        self.say(STATIC_STRETCH)
        self.loud(dict.fromkeys((*gone.notes[:1], *(fall.notes[:1] if fall.least_excess[0] < 0.0 else ()))))

    def wind(self) -> None:
        wind = self.results.wind
        if wind is None:
            return
        self.title("wind")
        for case in wind.cases:
            self.say(
                f"{'Empty' if case.loaded == 'empty' else 'With the walker'}, {case.side} side: loops swing "
                f"{self.show(float(np.median(case.steady_swing)), 'angle')} steady, "
                f"{self.show(float(np.median(case.gust_swing)), 'angle')} in the gust, up to "
                f"{self.show(case.sudden_swing.max(), 'angle')} when it comes suddenly (bound); main "
                f"{self.show(case.offset_steady, 'length')} sideways, {self.show(case.offset_gust, 'length')} in the "
                f"gust."
            )
        self.loud(wind.notes)

    def bands(self) -> None:
        bands = self.results.bands
        if bands is None:
            return
        self.title("bands: what is not known well")
        rows: list[tuple[str, ...]] = [("result", "low", "as given", "high", "matters most")]
        for band in bands.results:
            dimension = band.outcome.dimension
            rows.append((
                band.outcome.title, *(self.show(v, dimension) for v in (band.low, band.value, band.high)),
                band.effects[0].input if band.effects else "",
            ))
        self.lines += ["  " + line for line in columns(rows, right=(1, 2, 3))]
        if bands.ranking:
            name, share = bands.ranking[0]
            known = next((n.known for n in self.results.rig.inputs if n.key == name), "")
            said = f" ({known})" if known in ("guess", "assumed") else ""
            self.say(
                f"The input that matters most: {name}{said}, {100.0 * share:.0f} % of these bands on average."
            )
        for note in bands.notes:
            self.say(note)

    def inputs(self) -> None:
        rig = self.results.rig
        for word, notes in (("guessed", rig.guessed), ("assumed, nobody gave them", rig.assumed)):
            if notes:
                self.title(f"inputs {word} ({len(notes)})")
                self.plain("; ".join(f"{note.key} = {note.text}" for note in notes))
        self.title("before you use it")
        for caution in CAUTIONS:
            self.say(caution)


def _alike_together(rows: list[list[str]]) -> list[list[str]]:
    """Neighbouring bays with the same figures in one row, such as "2-15"."""
    together: list[list[str]] = []
    for row in rows:
        last = together[-1] if together else None
        if last is not None and last[2:] == row[2:]:
            last[0] = f"{last[0].split('-')[0]}-{row[0]}"
            last[1] = f"{last[1].split(' to ')[0]} to {row[1].split(' to ')[-1]}"
        else:
            together.append(list(row))
    return together
