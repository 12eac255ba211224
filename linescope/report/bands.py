"""Bands as a table for people and as data for programs."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from linescope.notes import Bound, Quantity, Verbatim
from linescope.report import grids
from linescope.study import Study
from linescope.topics import TOPICS
from linescope.words import Words, note_data
from linescope.words.table import Table

if TYPE_CHECKING:
    from linescope.events.bands import Bands, ResultBand

FIGURES: tuple[tuple[str, str], ...] = (
    ("value", "With all inputs as given."),
    ("low", "5 % of the draws lie below."),
    ("middle", "Half of the draws lie below."),
    ("high", "95 % of the draws lie below."),
    ("least", "Of all draws."),
    ("most", "Of all draws."),
    ("shares", "Input, and its share of the variance by itself and with others, largest first; none if not foretold."),
    ("solved", "Draws in which it was solved; the others are read off a surface through these."),
    ("error", "What that surface misses, root mean square."),
)
"""Keys of a band and their meanings; SI units of the figure it belongs to."""
_ENDS = ("value", "low", "middle", "high", "least", "most")


def title(band: ResultBand, study: Study, words: Words) -> str:
    """The name of the figure that a band belongs to."""
    for topic in TOPICS.values():
        for figure in topic.here.figures:
            if figure.band == band.outcome.key:
                values = topic.values(study)
                return f"{words.say(topic.here.name, **values)}: {grids.title(topic.here, figure, words, values)}"
    return words.say(f"bands-{band.outcome.key.replace('_', '-')}")


def table(study: Study, words: Words, inputs: int = 1) -> Table | None:
    """A row for each banded figure; None when bands were not computed.

    Parameters
    ----------
    study : Study
    words : Words
    inputs : int
        How many of those that move a figure most are named.
    """
    bands = study.bands
    if not bands:
        return None
    rows = []
    for band in bands.results:
        kind = band.outcome
        unit = words.unit((band.least, band.middle, band.most), kind.dimension)
        sides: tuple[tuple[float, Bound], ...] = ((band.low, "down"), (band.middle, ""), (band.high, "up"))
        cells = (words.of(end, kind.dimension, kind.bound or widened, unit) for end, widened in sides)
        moved = ", ".join(words.verbatim(each.input) for each in band.shares[:inputs]) or words.say("none")
        ends = words.band(band.least, band.most, kind.dimension, kind.bound, unit)
        rows.append((title(band, study, words), *cells, ends, moved))
    heads = ("result", "low", "middle", "high", "ends", "effect")
    return Table(
        title=words.say("bands"), columns=tuple(words.say(f"bands-{head}") for head in heads), rows=tuple(rows)
    )


def band_lines(study: Study, words: Words) -> list[str]:
    """Which input matters most, and what must be known of the bands."""
    bands = study.bands
    if not bands:
        return []
    texts = []
    if bands.ranking:
        name, share = bands.ranking[0]
        known = next((each.known for each in study.inputs.notes if each.key == name), "")
        texts.append(words.say("bands-matters-most", input=Verbatim(name), known=known, share=Quantity(share, "ratio")))
    return [*texts, *words.notes(bands.notes)]


def data(bands: Bands) -> dict[str, Any]:
    """For programs: SI, full precision."""
    words = Words()
    return {
        "results": {
            band.outcome.key: {
                **{end: _finite(getattr(band, end)) for end in _ENDS},
                "shares": [
                    {"input": each.input, "first": each.first, "total": each.total} for each in band.shares
                ],
                "solved": band.solved,
                "error": band.error,
            }
            for band in bands.results
        },
        "draws": bands.draws,
        "lost": bands.lost,
        "ranking": [{"input": name, "share": share} for name, share in bands.ranking],
        "not_varied": list(bands.not_varied),
        "notes": [note_data(note, words) for note in bands.notes],
    }


def _finite(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None
