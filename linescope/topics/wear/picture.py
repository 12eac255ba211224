"""What a day rubs: all four faces of the rig on one scale, what to look at first, which tapes to replace first."""

from __future__ import annotations

from dataclasses import replace

from linescope.contact.ledger import Face, RubCause
from linescope.contact.wear import Wear, alike
from linescope.notes import Bays, Quantity, Range, Term, Verbatim
from linescope.stage import faces
from linescope.stage.board import Board
from linescope.stage.items import Frame, LegendEntry, Panel, Stage, TextBox
from linescope.stage.page import LOW, Brief, furnish
from linescope.stage.workshop import FACE, TOP, paneled
from linescope.topics.touch import picture as touch
from linescope.topics.wear import cause_term, face_term, place_values, spot

ROWS = 9
LISTED = 5  # Places on a picture for a workshop.


def build(brief: Brief) -> Stage:
    """The four faces along the line, the list of places and the list of tapes."""
    wear = brief.study.wear
    assert wear
    brief = replace(brief, theme=faces.shaded(brief.theme))
    words = brief.measures
    split = brief.top + 0.56 * (LOW - brief.top)
    panel, most = _faces(brief, wear, (0.0, brief.top, 1.0, split))
    boxes = (
        TextBox(
            name="places", frame=(0.015, split + 0.006, 0.44, LOW - 0.006), heading=words.say("wear-picture-look"),
            table=_places(brief, wear),
        ),
        TextBox(
            name="tapes", frame=(0.45, split + 0.006, 0.755, LOW - 0.006), heading=words.say("wear-picture-replace"),
            table=_tapes(brief, wear),
        ),
        TextBox(
            name="said", frame=(0.765, split + 0.006, 0.985, LOW - 0.006), heading=words.say("wear-picture-read"),
            lines=_read(brief, wear),
        ),
    )
    return furnish(
        brief, view="wear", question=words.say("wear-question"), panels=(panel,), boxes=boxes,
        legend=faces.legend(words, [wear], most), state=state_words(brief, wear), base=False,
    )


def board(brief: Brief) -> Board:
    """The four faces, the places in words, and where the lines touch beside a tape; the message is where to look."""
    wear, touching = brief.study.wear, brief.study.touch
    assert wear
    words = brief.measures
    split, low, end, left, middle = 0.50, 0.515, 0.84, 0.40, 0.70
    strips, most = _faces(brief, wear, (0.0, TOP, 1.0, split), FACE)
    number = touch.shown_tape(touching)
    gap = touch.gaps(brief, touching, number, (left + 0.01, low, middle, end), short=True)
    title = words.say("wear-title", places=len(wear.places), **(place_values(wear.places[0]) if wear.places else {}))
    return paneled(
        brief, name="wear", title=title, panels=(strips, gap), height=end + 0.01,
        under=words.say(
            "wear-under", name=Verbatim(wear.rig.name), state=state_words(brief, wear),
            most=Quantity(most, "line energy"),
        ),
        said=(
            ((0.0, low, left, end), words.say("wear-picture-look"), _listed(brief, wear)),
            ((middle + 0.01, low, 1.0, end), words.say("wear-picture-read"), _read(brief, wear)),
        ),
        key=(
            *faces.key(words, [wear]),
            LegendEntry(text=words.say("wear-key-touching"), colour=faces.TOUCHING, width=14.0),
        ),
    )


def _faces(brief: Brief, wear: Wear, frame: Frame, least: float = faces.LEAST) -> tuple[Panel, float]:
    """The four faces along the line, and the largest rub on any.  [J/m]"""
    peaks = {face: wear.peak(face) for face in Face}
    worst = max(peaks, key=lambda face: peaks[face])
    caption = brief.measures.say("wear-picture-caption", face=face_term(worst))
    strips = faces.strips(brief, wear, frame, peaks=peaks, name="faces", caption=caption, least=least)
    return strips, peaks[worst]


def _read(brief: Brief, wear: Wear) -> tuple[str, ...]:
    """What is to be read beside it."""
    words = brief.measures
    lead, _ = words.lead(wear.notes)
    return (
        *(each.text for each in lead), *(words.note(note) for note in wear.notes if note.kind.value in SHOWN),
        words.say("wear-picture-chalk"),
    )


def _listed(brief: Brief, wear: Wear) -> tuple[str, ...]:
    """The worst places in words."""
    words = brief.measures
    ends = wear.causes[RubCause.RING]
    ring = [each.faces[Face.MAIN_TOP].peak for each in (ends.low, ends.value, ends.high)]
    rings = (words.say("wear-picture-ring", peak=Quantity(ring[1], "line energy"),
                       band=Range(ring[0], ring[2], "line energy", band=True)),) if ring[1] > 0.0 else ()  # fmt: skip
    return tuple(
        words.say(
            "wear-picture-place", rank=words.count(rank), face=face_term(place.face), at=spot(place),
            peak=Quantity(place.peak, "line energy"), cause=cause_term(place.cause),
            band=Range(place.low, place.high, "line energy", band=True),
        )
        for rank, place in enumerate(wear.places[:LISTED], 1)
    ) + rings


def state_words(brief: Brief, wear: Wear) -> str:
    """What was counted, in short."""
    use, words = wear.use, brief.measures
    return words.say(
        "wear-picture-state", crossings=use.crossings, wind=words.of(3600.0 * use.wind_hours, "time"),
        falls=len(use.falls), assumed="yes" if use.assumed else "no",
    )


SHOWN = ("wear-ranks", "wear-left-out", "wear-no-slip", "wear-wind-assumed")
"""Notes that stand on the picture itself."""


def _places(brief: Brief, wear: Wear) -> tuple[tuple[str, ...], ...]:
    words = brief.measures
    heads = ("wear-face", "wear-at", "wear-tape", "wear-places-peak", "wear-cause")
    rows = [("", *(words.say(name) for name in heads))]
    for rank, place in enumerate(wear.places[:ROWS], 1):
        rows.append((
            words.count(rank), words.value(face_term(place.face)), words.value(spot(place)),
            words.value(Bays(place.tapes)),
            words.say(
                "with-band", value=words.of(place.peak, "line energy"),
                band=words.band(place.low, place.high, "line energy"),
            ),
            words.say(
                "wear-picture-share", cause=cause_term(place.cause), share=words.share(place.shares[place.cause])
            ),
        ))
    return tuple(rows)


def _tapes(brief: Brief, wear: Wear) -> tuple[tuple[str, ...], ...]:
    words = brief.measures
    heads = ("wear-tape", "wear-family", "wear-tapes-work", "wear-tapes-slip-high")
    rows = [tuple(words.say(name) for name in heads)]
    for group in alike([each for each in wear.tapes if each.work > 0.0 or each.slip_high > 0.0])[:ROWS]:
        work, low, high = (pick(getattr(tape, name) for tape in group) for pick, name in (
            (max, "work"), (min, "low"), (max, "high")))
        rows.append((
            words.value(Bays(tuple(sorted(tape.number for tape in group)))),
            words.value(Term(f"wear-holds-{group[0].holds.value}")),
            words.say("with-band", value=words.of(work, "energy"), band=words.band(low, high, "energy")),
            words.length(max(tape.slip_high for tape in group)),
        ))
    return tuple(rows)
