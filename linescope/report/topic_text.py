"""A topic on its own as text: its tables, then what must be said."""

from __future__ import annotations

from linescope.report import grids
from linescope.report.text import columns
from linescope.report.writer import Writer
from linescope.study import Study
from linescope.topics.topic import Topic
from linescope.words import Words


def topic_text(topic: Topic, study: Study, words: Words) -> str:
    """All of a topic.

    Parameters
    ----------
    topic : Topic
    study : Study
    words : Words
    """
    writer = Writer(words.system)
    writer.lines.append(words.verbatim(study.rig.name))
    first, rest = grids.said(topic, study, words)
    for text in first:
        writer.set(text, "! ")
    for group in (topic.here, *topic.more):
        table = grids.across(topic, group, study, words)
        if table is not None:
            writer.title(table.title)
            writer.lines += ["  " + line for line in columns([table.columns, *table.rows])]
    writer.lines.append("")
    for text in rest:
        writer.set(text)
    return "\n".join(writer.lines) + "\n"
