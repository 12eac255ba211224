"""What happens to a rig, as text for people: sliding, catches, wind, and what is not known well."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from linescope.report import bands, grids
from linescope.report.bays import by_bay
from linescope.report.text import columns
from linescope.report.writer import Writer
from linescope.study import Study
from linescope.topics import Topic
from linescope.words import Words
from linescope.words.table import Table

NARROW = 8  # Least width of a column of a table along the line.


class EventsWriter(Writer):
    """Writes of the events of one rig.

    Parameters
    ----------
    study : Study
    words : Words
    """

    def __init__(self, study: Study, words: Words) -> None:
        super().__init__()
        self.study, self.words = study, words
        self.led: set[str] = set()

    def lead(self, topics: Iterable[Topic], most: int) -> None:
        """The alarms that are said before everything else.

        Parameters
        ----------
        topics : iterable of Topic
        most : int
            Alarms.
        """
        first, _ = self.words.lead((note for topic in topics for note in topic.notes(self.study)), most)
        for each in first:
            self.set(each.text, "! ")
        self.led = {each.text for each in first}

    def topic(self, topic: Topic, every_bay: bool = False) -> None:
        """Any topic: its tables, what is told bay by bay, and what must be said that was not said on top.

        Parameters
        ----------
        topic : Topic
        every_bay : bool
            A row for every bay also on long lines.
        """
        study, words = self.study, self.words
        one = topic.here.along or len(topic.here.records(study)) == 1
        here = grids.down(topic, study, words) if one else grids.across(topic, topic.here, study, words)
        if here is None:
            return
        found = [here, *(grids.across(topic, group, study, words) for group in topic.more)]
        for table in (*found, by_bay(topic, study, words, every=every_bay)):
            if table is not None:
                self.table(table)
        along = grids.across(topic, topic.along, study, words) if topic.along.along == "place" else None
        if along is not None:
            self.title(along.title)
            self.lines += ["  " + line for line in columns([*_narrow(along), *along.rows])]
        for said in words.sentences(topic.notes(study)):
            if said.text not in self.led:
                self.set(said.text, "! " if said.leads else "  ")

    def bands(self) -> None:
        """The main figures with their low and high."""
        study, words = self.study, self.words
        table = bands.table(study, words)
        if table is None:
            return
        self.table(table, right=(1, 2, 3, 4))
        for text in bands.band_lines(study, words):
            self.set(text)


def _narrow(table: Table) -> list[tuple[str, ...]]:
    """The heads of a wide table, each over as many lines as it needs to be no wider than its column."""
    widths = [max(NARROW, *(len(row[k]) for row in table.rows)) for k in range(len(table.columns))]
    heads = [textwrap.wrap(head, width) or [""] for head, width in zip(table.columns, widths, strict=True)]
    deep = max(map(len, heads))
    return list(zip(*([""] * (deep - len(head)) + head for head in heads), strict=True))
