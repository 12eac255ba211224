"""What happens to a rig, as text for people: sliding, catches, wind, and what is not known well."""

from __future__ import annotations

from linescope.events.crossing import Crossing
from linescope.events.let_go import SEEN
from linescope.report import bands, grids
from linescope.report.sliding import HOLD, let_go_words, loops_words
from linescope.report.text import columns
from linescope.report.writer import Writer
from linescope.study import Study
from linescope.topics import Topic
from linescope.units import System
from linescope.words import Words


class EventsWriter(Writer):
    """Writes of the events of one rig.

    Parameters
    ----------
    study : Study
    system : {"metric", "feet"}
    """

    def __init__(self, study: Study, system: System) -> None:
        super().__init__(system)
        self.study = study

    def sliding(self) -> None:
        """What lets go by itself, where slope alone is enough for that, and what a crossing does."""
        study = self.study
        if not study.slides:
            return
        self.title("sliding")
        first, *others = let_go_words(study, self.system)
        self.say(first, "! " if first[:8].isupper() else "  ")
        for sentence in others:
            self.say(sentence)
        for zone in study.creep.zones:
            self.say(
                f"Creep zone: tapes {zone.first} to {zone.last}, {self.span(zone.start, zone.end, 'length')} from "
                f"A; main as steep as {self.show(zone.steepest, 'angle')}: slope alone starts clean sliders there "
                "(walker where he stands, hold as given).", "! "
            )
        if not study.creep.zones:
            self.say("Nowhere is the main steep enough for slope alone to start a clean slider.")
        for crossing in (study.crossing_low, study.crossing_value, study.crossing_high):
            if crossing:
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

    def topic(self, topic: Topic) -> None:
        """Any topic: its table at the walker's place, its worst along the line, and what must be said."""
        study, words = self.study, Words(self.system)
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
        """The main figures with their low and high."""
        study, words = self.study, Words(self.system)
        table = bands.table(study, words)
        if table is None:
            return
        self.title(table.title)
        self.lines += ["  " + line for line in columns([table.columns, *table.rows], right=(1, 2, 3))]
        for text in bands.said(study, words):
            self.set(text)
