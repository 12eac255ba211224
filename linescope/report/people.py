"""Results as text for people: two significant figures, the units of their choice, the worst first."""

from __future__ import annotations

from collections.abc import Sequence

from linescope.notes import Note, Verbatim
from linescope.report.people_events import EventsWriter
from linescope.study import Study
from linescope.topics import TOPICS, Topic
from linescope.units import System
from linescope.words import Words, frame
from linescope.words.inputs import input_text

ALARMS = 3  # Above everything else.


def figures_text(
    study: Study, system: System = "metric", *, every_bay: bool = False, ground: Sequence[Note] = ()
) -> str:
    """All results of a rig as text.

    Parameters
    ----------
    study : Study
    system : {"metric", "feet"}
    every_bay : bool
        A row for every bay also on long lines, where otherwise neighbouring bays are put together.
    ground : sequence of Note
        What is said of the ground, such as the notes of a `Terrain`; alarms are shown.

    Returns
    -------
    str

    Examples
    --------
    >>> import linescope
    >>> study = linescope.Study(linescope.load("scenes/heron_gap.toml"), leave=linescope.Study.SLOW)
    >>> print(linescope.figures_text(study, "feet"))
    Heron Gap...
    """
    writer = _Writer(study, Words(system))
    writer.head()
    for said in writer.words.sentences(note for note in ground if note.leads):
        writer.set(said.text, "! ")
    for topic in TOPICS.values():
        writer.topic(topic, every_bay)
    writer.bands()
    writer.inputs()
    return "\n".join(writer.lines) + "\n"


def topic_text(topic: Topic, study: Study, words: Words, *, name: bool = True) -> str:
    """One topic alone: its alarms, its tables, then what else must be said.

    Parameters
    ----------
    topic : Topic
    study : Study
    words : Words
    name : bool
        Whether the name of the rig stands on top.
    """
    writer = EventsWriter(study, words)
    if name:
        writer.lines.append(words.verbatim(study.rig.name))
    writer.lead([topic], most=ALARMS)
    writer.topic(topic)
    return "\n".join(writer.lines).lstrip("\n") + "\n"


class _Writer(EventsWriter):
    def head(self) -> None:
        """What it is, and what must be read before anything else."""
        study, words = self.study, self.words
        self.lines.append(words.verbatim(study.rig.name))
        self.set(words.say("state-rig", **TOPICS["state"].values(study)))
        for text in (*frame.cautions(words, "plan"), words.say("bound-sign")):
            self.set(text)
        self.lead(TOPICS.values(), most=ALARMS)

    def inputs(self) -> None:
        given = self.study.inputs
        words, tried = self.words, "tried-kept" if given.variant else "tried"
        for name, notes in ((tried, given.tried), ("guessed", given.guessed), ("assumed", given.assumed)):
            if notes:
                self.title(words.say(f"figures-{name}", count=len(notes), variant=Verbatim(given.variant)))
                self.set("; ".join(
                    words.say("inputs-equal", key=Verbatim(note.key), value=input_text(note, words)) for note in notes
                ))
        self.title(words.say("frame-before-use"))
        for caution in frame.all_cautions(words):
            self.set(caution)
