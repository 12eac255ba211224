"""What happens to a rig, as text for people: sliding, catches, wind, and what is not known well."""

from __future__ import annotations

import numpy as np

from linescope.events.catch import STATIC_STRETCH
from linescope.events.crossing import Crossing
from linescope.events.let_go import SEEN
from linescope.report import grids
from linescope.report.gather import Results
from linescope.report.sliding import HOLD, let_go_words, loops_words
from linescope.report.strength import share_of_strength
from linescope.report.text import columns
from linescope.report.writer import Writer
from linescope.study import Study
from linescope.topics import TOPICS, Topic
from linescope.units import System, format_si
from linescope.webbing import Webbing
from linescope.words import Words

RIGID = "bound: leash and body rigid"


class EventsWriter(Writer):
    """Writes of the events of one rig.

    Parameters
    ----------
    results : Results
    system : {"metric", "feet"}
    """

    def __init__(self, results: Results, system: System) -> None:
        super().__init__(system)
        self.results = results

    def sliding(self) -> None:
        """What lets go by itself, where slope alone is enough for that, and what a crossing does."""
        results = self.results
        if not results.slides:
            return
        self.title("sliding")
        first, *others = let_go_words(results, self.system)
        self.say(first, "! " if first[:8].isupper() else "  ")
        for sentence in others:
            self.say(sentence)
        for zone in results.creep.zones:
            self.say(
                f"Creep zone: tapes {zone.first} to {zone.last}, {self.span(zone.start, zone.end, 'length')} from "
                f"A; main as steep as {self.show(zone.steepest, 'angle')}: slope alone starts clean sliders there "
                "(walker where he stands, hold as given).", "! "
            )
        if not results.creep.zones:
            self.say("Nowhere is the main steep enough for slope alone to start a clean slider.")
        for crossing in (results.crossing_low, results.crossing_value, results.crossing_high):
            if crossing is not None:
                self.crossing(crossing)

    def crossing(self, crossing: Crossing) -> None:
        """One walk over and back."""
        name = f"One crossing and back, {HOLD[crossing.level].removeprefix('the ')}"
        if crossing.total_slip.max(initial=0.0) < SEEN:
            self.say(f"{name}: no line slides; loops of the empty line {loops_words(crossing.after, self.system)}.")
            return
        self.say(
            f"{name}: line that slides through a tape on the way, both ways added and without what let go before, "
            f"{self.show(crossing.total_slip.mean(), 'length')} on average, "
            f"{self.most(crossing.total_slip.max(), 'length')} at the most; it ends at the most "
            f"{self.most(abs(crossing.after.tape_slip).max(), 'length')} from as taped; friction work "
            f"{self.show(crossing.total_work.sum(), 'energy')}; loops of the empty line afterwards "
            f"{loops_words(crossing.after, self.system)}."
        )

    def catches(self) -> None:
        """A leash fall: bounds, with what they are of each line's strength."""
        results = self.results
        if results.fall is None:
            return
        fall, rig = results.fall.figures, results.rig
        self.title(f"catches at {self.show(fall.at[0], 'length')} from A: bounds, no damping, no line inertia")
        deeper = fall.dip[0] - fall.dip_held[0] >= 5e-3
        held = f" (with free sliders; {self.show(fall.dip_held[0], 'length')} if tapes hold)" if deeper else ""
        foot = fall.ring_standing[0, 2] - fall.low_foot[0, 2]
        self.say(
            f"Leash fall: ring {self.most(fall.dip[0], 'length')} below where he stood{held}, lowest foot "
            f"{self.most(foot, 'length')} below where he stood; {self.most(fall.peak_force[0], 'force')} on the ring "
            f"({RIGID}), {self.peak(fall.peak_main_tension[0], rig.main)} in the main, "
            f"{self.peak(fall.peak_backup_tension[0], rig.backup)} in the backup."
        )
        sweep = results.fall_sweep
        if sweep is not None:
            main, backup = int(np.argmax(sweep.peak_main_tension)), int(np.argmax(sweep.peak_backup_tension))
            self.say(
                f"Leash falls all along the line: largest force on the ring "
                f"{self.most(sweep.peak_force.max(), 'force')} ({RIGID}) at "
                f"{self.show(sweep.at[sweep.hardest], 'length')} from A; in the main "
                f"{self.peak(sweep.peak_main_tension[main], rig.main)} at {self.show(sweep.at[main], 'length')}; in "
                f"the backup {self.peak(sweep.peak_backup_tension[backup], rig.backup)} at "
                f"{self.show(sweep.at[backup], 'length')}; lowest foot at "
                f"{self.show(sweep.at[sweep.lowest], 'length')}."
            )
        self.say(STATIC_STRETCH)
        self.loud(dict.fromkeys((*(fall.notes[:1] if fall.least_excess[0] < 0.0 else ()),)))

    def peak(self, tension: float, line: Webbing) -> str:
        """A peak with what it is of the line's strength."""
        share = share_of_strength(float(tension), line, system=self.system)
        return f"{self.most(tension, 'force')} ({share})"

    def topic(self, topic: Topic) -> None:
        """Any topic: its table at the walker's place, its worst along the line, and what must be said."""
        study, words = Study.of(self.results), Words(self.system)
        table = grids.down(topic, study, words)
        if table is None:
            return
        self.title(table.title)
        self.lines += ["  " + line for line in columns([table.columns, *table.rows])]
        first, rest = grids.said(topic, study, words)
        for text in first:
            self.set(text, "! ")
        for text in rest:
            self.set(text)

    def bands(self) -> None:
        """The main results with their low and high."""
        bands = self.results.bands
        if bands is None:
            return
        self.title("bands: what is not known well")
        rows: list[tuple[str, ...]] = [("result", "low", "as given", "high", "matters most")]
        for band in bands.results:
            dimension, values = band.outcome.dimension, (band.low, band.value, band.high)
            unit = self.unit(values, dimension)
            rows.append((
                grids.band_title(TOPICS.values(), Study.of(self.results), band.outcome, Words(self.system)),
                *(
                    format_si(v, dimension, system=self.system, unit=unit, towards="up" if band.outcome.is_bound
                              else "nearest")
                    for v in values
                ),
                band.effects[0].input if band.effects else "",
            ))
        self.lines += ["  " + line for line in columns(rows, right=(1, 2, 3))]
        if bands.ranking:
            name, share = bands.ranking[0]
            known = next((n.known for n in self.results.inputs.notes if n.key == name), "")
            said = f" ({known})" if known in ("guess", "assumed") else ""
            self.say(
                f"The input that matters most: {name}{said}, {100.0 * share:.0f} % of these bands on average."
            )
        for note in bands.notes:
            self.say(note)
