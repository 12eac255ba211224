"""Results as text for people: two significant figures, the units of their choice, the worst first."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from linescope.notes import Verbatim
from linescope.report.cautions import CAUTIONS
from linescope.report.people_events import EventsWriter
from linescope.report.text import columns, is_loud
from linescope.rig import unlikely
from linescope.statics import Solution
from linescope.study import Study
from linescope.topics import TOPICS
from linescope.units import System, from_si
from linescope.words import Words
from linescope.words.inputs import input_text

Floats = NDArray[np.float64]

MOST_ROWS, SECTIONS = 30, 10  # Above so many rows, the bays of a long line are put together in sections.


def figures_text(
    study: Study, system: System = "metric", *, every_bay: bool = False, ground: Sequence[str] = ()
) -> str:
    """All results of a rig as text.

    Parameters
    ----------
    study : Study
    system : {"metric", "feet"}
    every_bay : bool
        A row for every bay also on long lines, where otherwise neighbouring bays are put together.
    ground : sequence of str
        What is said of the ground, such as the notes of a `Terrain`; those that begin in capitals are shown.

    Returns
    -------
    str
    """
    writer = _Writer(study, system)
    writer.head()
    writer.loud(note for note in ground if is_loud(note))
    writer.states()
    writer.bays(every_bay)
    writer.sliding()
    for topic in TOPICS.values():
        writer.topic(topic)
    writer.bands()
    writer.inputs()
    return "\n".join(writer.lines) + "\n"


class _Writer(EventsWriter):
    def head(self) -> None:
        rig, plan = self.study.rig, self.study.rig.main_plan
        self.lines.append(rig.name)
        slope = "level" if abs(rig.slope) < 5e-4 else (
            f"{'rising' if rig.slope > 0 else 'falling'} {self.show(abs(rig.slope), 'ratio')} towards B"
        )
        given = (
            f"{self.show(plan.tension, 'force')} standing at {plan.end}"
            if plan.tension is not None
            else f"{self.show(plan.length or 0.0, 'length')} of main, unstretched"
        )
        layout = self.study.planned.layout
        self.say(
            f"span {self.show(rig.span, 'length')}, {slope}; {given}; {len(layout.tapes)} tapes and ties; spacing and "
            f"excess stated for {rig.taping.measured_on} main"
        )
        for caution in CAUTIONS[:1]:
            self.say(caution)
        self.loud(unlikely(rig))
        tight = bool(self.study.excess.notes)
        others = [note for note in self.study.taped.notes if not (tight and note.startswith("THE BACKUP IS TIGHT"))]
        self.loud((*self.study.excess.notes, *others))

    def states(self) -> None:
        study, held = self.study, self.study.held("value")
        self.title("tension and sag")
        walker = "with the walker" if study.rig.walker is not None else "empty"
        shown = [("standing, empty, as taped", study.standing), (f"{walker}, as taped", study.taped)]
        if held is not None and held.gone_empty:
            shown.insert(1, ("standing, empty, hold as given", held.empty))
        if held is not None and held.walker is not None and held.gone_walker:
            shown.append((f"{walker}, hold as given", held.walker))
        shown.append((f"{walker}, settled", study.settled))
        backup = [max(s.backup.tension_start.max(), s.backup.tension_end.max()) for _, s in shown]
        lowest = [self.lowest(s) for _, s in shown]
        units = {
            "main": self.unit((t for _, s in shown for t in (s.tension_a, s.tension_b)), "force"),
            "backup": self.unit(backup, "force"), "lowest": self.unit(lowest),
            "loops": self.unit(depth for _, s in shown for depth in s.bays.loop_depth),
        }
        rows = [("", "main at A", "main at B", "backup, most", "main lowest below the straight line", "loops")]
        for (name, state), most, low in zip(shown, backup, lowest, strict=True):
            loops = state.bays.loop_depth
            rows.append((
                name, self.show(state.tension_a, "force", units["main"]),
                self.show(state.tension_b, "force", units["main"]), self.show(most, "force", units["backup"]),
                self.show(low, "length", units["lowest"]),
                self.span(loops.min(), loops.max(), "length", units["loops"]),
            ))
        self.lines += ["  " + line for line in columns(rows)]
        if study.slides:
            self.say(
                "As taped: no line has slid through a tape. Hold as given: lines slide where their tapes cannot hold "
                "them (a row only where some do). Settled: shaken until the sliding tapes have no friction left."
            )
        else:
            self.say("Every tape and tie holds both lines: as taped and settled are the same.")
        extra = study.settled.proof.other_equilibria
        if extra:
            self.loud([note for note in study.settled.notes if "other settled" in note])
        worst = max(s.proof.relative_residual for s in (study.standing, study.taped, study.settled))
        self.say(f"Forces balance to {worst:.0e} of the weight.")

    def lowest(self, state: Solution) -> float:
        rig = self.study.rig
        points = state.main.sample(8).points
        run = rig.main_b - rig.main_a
        share = (points - rig.main_a)[:, :2] @ run[:2] / float(run[:2] @ run[:2])
        return float(np.max(rig.main_a[2] + share * run[2] - points[:, 2]))

    def bays(self, every_bay: bool) -> None:
        study, layout = self.study, self.study.planned.layout
        self.title("bays: excess and loop depth, state by state")
        states, more = study.excess.states, self.other_depths()
        names = {
            "slack": "slack, as marked", "standing": "standing", "walker": "with walker", "fall": "leash fall (bound)",
        }
        head = ["bay", "from A", "tape at its end", "loop as cut", *(names[s.name] for s in states), *more]
        units = [
            self.unit(values) for values in (layout.bays_backup, *(s.loop_depth for s in states), *more.values())
        ]
        stretched = np.concatenate(([0.0], np.cumsum(study.standing.bays.length)))
        rows = [
            [
                str(bay + 1),
                self.places(stretched[bay], stretched[bay + 1]),
                "anchor B" if bay == len(layout.tapes) else layout.tapes[bay].family,
                self.show(layout.bays_backup[bay], "length", units[0]),
                *(
                    f"{self.show(s.loop_depth[bay], 'length', unit)}, {self.show(s.excess[bay], 'ratio')}"
                    for s, unit in zip(states, units[1:], strict=False)
                ),
                *(
                    self.show(depths[bay], "length", unit)
                    for depths, unit in zip(more.values(), units[1 + len(states) :], strict=True)
                ),
            ]
            for bay in range(len(layout.tapes) + 1)
        ]
        rows = _alike_together(rows)
        if len(rows) > MOST_ROWS and not every_bay:
            parts = np.array_split(np.arange(len(stretched) - 1), SECTIONS)
            rows = [self.together(bays, stretched, units) for bays in parts]
            head[2] = "tapes"
        self.lines += ["  " + line for line in columns([head, *rows])]
        self.say(
            "Each cell: loop depth, excess of the backup over the main as stretched in that state; as taped, but for "
            "the last columns (depths once lines have slid)."
            if more
            else "Each cell: loop depth, excess of the backup over the main as stretched in that state."
        )

    def other_depths(self) -> dict[str, Floats]:
        """Loop depths of the states in which lines have slid, by the heading of their column.  [m]"""
        study, held = self.study, self.study.held("value")
        if not study.slides:
            return {}
        found = {"settled": study.settled.bays.loop_depth}
        if held is not None and held.gone_empty:
            found = {"standing, hold as given": held.empty.bays.loop_depth, **found}
        return found

    def places(self, low: float, high: float) -> str:
        """Two places on the line, to a tenth of the unit, so that neighbouring tapes differ."""
        unit = "m" if self.system == "metric" else "ft"
        first, last = (from_si(float(value), unit, "length") for value in (low, high))
        return f"{first:.1f} to {last:.1f} {unit}"

    def together(
        self, bays: np.ndarray[tuple[int], np.dtype[np.int64]], edges: Floats, units: list[str]
    ) -> list[str]:
        """One row for many neighbouring bays: ranges."""
        states, layout = self.study.excess.states, self.study.planned.layout
        families = dict.fromkeys(layout.tapes[bay].family for bay in bays if bay < len(layout.tapes))
        columns = [layout.bays_backup, *(s.loop_depth for s in states), *self.other_depths().values()]
        cells = [
            self.span(values[bays].min(), values[bays].max(), "length", unit)
            for values, unit in zip(columns, units, strict=True)
        ]
        for k, state in enumerate(states, 1):
            cells[k] += f", {self.span(state.excess[bays].min(), state.excess[bays].max(), 'ratio')}"
        return [
            f"{bays[0] + 1}-{bays[-1] + 1}", self.places(edges[bays[0]], edges[bays[-1] + 1]), ", ".join(families),
            *cells,
        ]

    def inputs(self) -> None:
        given = self.study.inputs
        words = Words(self.system)
        kept = f", variant {words.verbatim(given.variant)}" if given.variant else ""
        for word, notes in (
            (f"tried in place of the file's values{kept}", given.tried), ("guessed", given.guessed),
            ("assumed, nobody gave them", given.assumed),
        ):
            if notes:
                self.title(f"inputs {word} ({len(notes)})")
                self.plain("; ".join(
                    words.say("inputs-equal", key=Verbatim(note.key), value=input_text(note, words)) for note in notes
                ))
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
