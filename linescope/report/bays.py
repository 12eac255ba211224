"""What a topic tells bay by bay, as a table: equal neighbours in one row, and on long lines sections."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from linescope.figures import Figure
from linescope.report import grids
from linescope.study import Study
from linescope.topics.topic import Topic
from linescope.words import Loud, Words
from linescope.words.table import Table

MOST_ROWS, SECTIONS = 30, 10
"""Above so many rows the bays of a long line are put together in so many sections."""


def by_bay(topic: Topic, study: Study, words: Words, *, every: bool = False) -> Table | None:
    """A row for each bay, or for several: a column for each record with all its brief figures.

    Parameters
    ----------
    topic : Topic
    study : Study
    words : Words
    every : bool
        No sections, however long the line is.
    """
    group = topic.bays
    records = group.records(study) if group is not None else ()
    if group is None or not records:
        return None
    figures = [figure for figure in group.figures if figure.brief]
    values = [[np.asarray(figure.value(record.result, study)) for figure in figures] for record in records]
    units = [[_unit(figure, each, words) for figure, each in zip(figures, found, strict=True)] for found in values]
    layout = study.planned.layout
    edges = np.concatenate(([0.0], np.cumsum(study.standing.bays.length)))
    cut = words.unit(layout.bays_backup, "length")

    def row(bays: Sequence[int]) -> list[str]:
        tapes = [words.named("tapes-family", layout.tapes[bay].family) for bay in bays if bay < len(layout.tapes)]
        tapes += [words.say("bay-anchor-b")] if bays[-1] == len(layout.tapes) else []
        loops = layout.bays_backup[bays]
        cells = [
            _joined([
                grids.cell(figure, each[bays], words, unit)
                for figure, each, unit in zip(figures, found, one, strict=True)
            ])
            for found, one in zip(values, units, strict=True)
        ]
        return [
            ", ".join(dict.fromkeys(tapes)), words.range(float(loops.min()), float(loops.max()), "length", unit=cut),
            *cells,
        ]

    together: list[tuple[list[int], list[str]]] = []
    for bay in range(len(edges) - 1):
        cells = row([bay])
        if together and together[-1][1] == cells:
            together[-1][0].append(bay)
        else:
            together.append(([bay], cells))
    sections = len(together) > MOST_ROWS and not every
    if sections:
        parts = [part.tolist() for part in np.array_split(np.arange(len(edges) - 1), SECTIONS)]
        together = [(part, row(part)) for part in parts]
    named = topic.values(study)
    heads = [", ".join(words.value(label) for _, label in record.labels) for record in records]
    return Table(
        title=words.say(group.title, **named),
        columns=(
            words.say("bay"), words.say("from-anchor-a"), words.say("bay-tapes" if sections else "bay-tape"),
            words.say("bay-cut"), *heads,
        ),
        rows=tuple(
            (_numbers(bays, words), words.between(float(edges[bays[0]]), float(edges[bays[-1] + 1])), *cells)
            for bays, cells in together
        ),
    )


def _joined(parts: Sequence[str]) -> str:
    """Figures of one record in one cell; loud where one of them is."""
    text = ", ".join(parts)
    return Loud(text) if any(isinstance(part, Loud) for part in parts) else text


def _numbers(bays: Sequence[int], words: Words) -> str:
    first, last = words.count(bays[0] + 1), words.count(bays[-1] + 1)
    return first if len(bays) == 1 else words.say("bays-from-to", first=first, last=last)


def _unit(figure: Figure, values: Any, words: Words) -> str:
    shown = values[values >= 0.0] if figure.signed and (values >= 0.0).any() else values
    return words.unit(np.abs(shown).tolist(), figure.dimension)
