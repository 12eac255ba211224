"""Rub: what a day wears on which face, at which tape, from what."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from linescope.contact.ledger import Face, Ledger, RubCause
from linescope.figures import Figure, Get, Group, Record
from linescope.notes import Bays, Missing, Note, Quantity, Spot, Stretches, Term, Value
from linescope.study import LEVELS, Study
from linescope.topics.topic import Picture, Topic

if TYPE_CHECKING:
    from linescope.contact.wear import Effect, InspectedPlace, Wear, WornTape

LINE_ENERGY = "line energy"


def face_term(face: Face) -> Term:
    """A face in words."""
    return Term(f"wear-face-{face.value.replace(' ', '-')}")


def cause_term(cause: RubCause) -> Term:
    """A cause in words."""
    return Term(f"wear-cause-{cause.value}")


def _peaks(wear: Wear, face: Face, cause: RubCause | None = None) -> Mapping[str, float]:
    ends = wear.day if cause is None else wear.causes[cause]
    return {level: ends.of(level).faces[face].peak for level in LEVELS}


class FaceDay:
    """What one face takes in the day.

    Parameters
    ----------
    wear : Wear
    face : Face
    """

    def __init__(self, wear: Wear, face: Face) -> None:
        self.face = str(face)
        self.ledger: Ledger = wear.day.value.faces[face]
        self.crossing = wear.crossing.faces[face].peak
        self.peak, self.total = self.ledger.peak, self.ledger.total
        peaks = _peaks(wear, face)
        self.low, self.high = min(peaks["low"], self.peak), max(peaks["high"], self.peak)
        self.half_of_work_on = self.ledger.half_length()
        self.causes = {cause: wear.causes[cause].value.faces[face].peak for cause in RubCause}


def _cause_figure(cause: RubCause) -> Figure:
    return Figure(
        key=cause.value, dimension=LINE_ENERGY, meaning=f"Largest work per metre of the cause '{cause.value}' alone.",
        get=lambda face, study: face.causes[cause],
    )


FACE: tuple[Figure, ...] = (
    Figure(key="face", meaning="Line and side: main top, main underside, backup top, backup underside."),
    Figure(
        key="crossing", dimension=LINE_ENERGY, brief=True,
        meaning="Largest work per metre of the first crossing, slides and ring.",
    ),
    Figure(key="peak", dimension=LINE_ENERGY, brief=True, meaning="Largest work per metre of everything counted."),
    Figure(key="low", dimension=LINE_ENERGY, brief=True, meaning="The same with every guess at its low end."),
    Figure(key="high", dimension=LINE_ENERGY, brief=True, meaning="The same with every guess at its high end."),
    Figure(key="total", dimension="energy", brief=True, meaning="Work on the whole face."),
    Figure(key="half_of_work_on", dimension="length", meaning="Shortest length of line that takes half of it."),
    *(_cause_figure(cause) for cause in RubCause),
    Figure(key="bin", dimension="length", meaning="Width of a bin.", get=lambda face, study: face.ledger.bin),
    Figure(
        key="bins", axes=("point",), meaning="Every bin with work: where it starts [m] and its work [J].",
        get=lambda face, study: _bins(face.ledger),
    ),
)


def _moved(moment: int) -> Get:
    """How far a tape has moved at one of the moments of `WornTape.places`."""
    return lambda tape, study: tape.places[moment] - tape.places[0]


def _bins(ledger: Ledger) -> Any:
    rubbed = np.flatnonzero(ledger.work > 0.0)
    return np.column_stack((ledger.edges[rubbed], ledger.work[rubbed]))


def _end(name: str, end: int) -> Get:
    """Of the first or the last of a place's tapes."""
    return lambda place, study: getattr(place, name)[end]


PLACE: tuple[Figure, ...] = (
    Figure(key="face", meaning="Line and side.", get=lambda place, study: str(place.face)),
    Figure(key="tape", meaning="The nearest tape as taped, from 1 at A."),
    *(
        Figure(
            key=f"{which}_tape", meaning=f"The {which} of the tapes in a row beside which it rubs alike.",
            get=_end("tapes", k),
        )
        for k, which in ((0, "first"), (-1, "last"))
    ),
    Figure(key="at", dimension="length", meaning="Unstretched metres from A along this line."),
    Figure(key="from_a", dimension="length", meaning="The same from A along the straight line, the rig standing."),
    *(
        Figure(
            key=f"{which}_from_a", dimension="length", meaning=f"The same beside the {which} of its tapes.",
            get=_end("reach", k),
        )
        for k, which in ((0, "first"), (-1, "last"))
    ),
    Figure(key="start", dimension="length", meaning="From where it rubs, along this line."),
    Figure(key="end", dimension="length", meaning="To where."),
    Figure(key="peak", dimension=LINE_ENERGY, brief=True, meaning="Largest work per metre there."),
    Figure(key="low", dimension=LINE_ENERGY, brief=True, meaning="The same with every guess at its low end."),
    Figure(key="high", dimension=LINE_ENERGY, brief=True, meaning="The same with every guess at its high end."),
    Figure(key="work", dimension="energy", meaning="Work on all of the place."),
    Figure(
        key="cause", meaning="What rubs most there: slide, sway, strain, ring, fall, wrap.",
        get=lambda place, study: str(place.cause),
    ),
    Figure(
        key="share", dimension="ratio", brief=True, meaning="Its part of the peak.",
        get=lambda place, study: place.shares[place.cause],
    ),
)

TAPE: tuple[Figure, ...] = (
    Figure(key="number", meaning="From 1 at A."),
    Figure(key="family", meaning="Taping family."),
    Figure(key="holds", meaning="main, backup or both.", get=lambda tape, study: tape.holds.value),
    Figure(key="work", dimension="energy", brief=True, meaning="Friction work on its strip."),
    Figure(key="low", dimension="energy", brief=True, meaning="The same with every guess at its low end."),
    Figure(key="high", dimension="energy", brief=True, meaning="The same with every guess at its high end."),
    Figure(key="dry", dimension="area", meaning="Of the strip that the sliding line can rub on."),
    Figure(key="slip", dimension="length", brief=True, meaning="Stretched length through it in all crossings."),
    Figure(key="slip_low", dimension="length", meaning="The least with the ends of its hold."),
    Figure(key="slip_high", dimension="length", brief=True, meaning="The most with the ends of its hold."),
    Figure(key="stroke", dimension="length", meaning="The same in the last crossing walked."),
    Figure(key="reach", dimension="length", meaning="Farthest that the sliding line was from where it was taped."),
    Figure(key="tab", dimension="length", meaning="Of a tucked tab between the lines."),
    Figure(
        key="places", dimension="length", axes=("moment",),
        meaning="Where on the sliding line it is, as from A: as taped, after one, five and all crossings.",
        get=lambda tape, study: np.array(tape.places),
    ),
    *(
        Figure(
            key=key, dimension="length", brief=True, data=False, meaning=f"Where on the sliding line it is {when}.",
            get=_moved(k),
        )
        for k, key, when in (
            (1, "moved_one", "after one crossing"), (2, "moved_five", "after five"), (3, "moved_all", "after all"),
        )
    ),
    Figure(key="fretting", dimension="number", meaning="Cycles that slip too little to be counted as work."),
)

GUESS: tuple[Figure, ...] = (
    Figure(key="guess", meaning="What had to be guessed.", get=lambda effect, study: str(effect.guess)),
    Figure(key="given", meaning="Whether the scene gives it; else it is assumed."),
    Figure(key="band", meaning="Its low, value and high [SI]; none for the hold, which each tape has its own.",
           get=lambda effect, study: _band(effect)),
    Figure(
        key="low", dimension=LINE_ENERGY, brief=True, meaning="Largest work per metre with it alone at its low end."
    ),
    Figure(
        key="high", dimension=LINE_ENERGY, brief=True, meaning="Largest work per metre with it alone at its high end."
    ),
)


def _band(effect: Effect) -> Any:
    return None if effect.band is None else [effect.band.low, effect.band.value, effect.band.high]


HISTORY: tuple[Figure, ...] = (
    Figure(key="crossings", meaning="How many were asked for."),
    Figure(key="walked", meaning="How many were walked; the last stands for those that follow."),
    Figure(key="per_bay", meaning="Steps in each bay."),
    Figure(key="changed", dimension="ratio", meaning="What halving the steps still changed; none where not halved."),
    Figure(key="work", dimension="energy", axes=("crossing",), meaning="Of each crossing walked."),
    Figure(key="slip", dimension="length", axes=("tape",), meaning="Through each tape in all crossings."),
    Figure(key="lines_pressed", dimension="ratio", meaning="Work of the first done with the lines pressed together."),
    Figure(key="over_tape", dimension="force", meaning="Largest force along the line over any tape."),
)

WHOLE: tuple[Figure, ...] = (
    Figure(key="crossings", meaning="Counted, there and back each.", get=lambda wear, study: wear.use.crossings),
    Figure(
        key="wind_time", dimension="time", meaning="Of wind counted.",
        get=lambda wear, study: 3600.0 * wear.use.wind_hours,
    ),
    Figure(
        key="bounce_time", dimension="time", meaning="Of bouncing counted.",
        get=lambda wear, study: 3600.0 * wear.use.bounce_hours,
    ),
    Figure(
        key="falls", dimension="length", axes=("fall",), meaning="Where falls are counted, from A.",
        get=lambda wear, study: np.array(wear.use.falls),
    ),
    Figure(
        key="wrapped", meaning="Bays left wrapped.", get=lambda wear, study: [each.bay for each in wear.use.wrapped],
    ),
    Figure(key="use_assumed", meaning="Whether nobody gave this use.", get=lambda wear, study: wear.use.assumed),
    Figure(key="wind_speed", dimension="speed", meaning="That blew.", get=lambda wear, study: wear.wind.speed),
    Figure(key="wind_assumed", meaning="Whether the scene has no wind."),
    Figure(
        key="sway", dimension="angle", axes=("bay",), meaning="Turned by each loop in an hour, beyond the play.",
        get=lambda wear, study: wear.sway.path[:, 1, 1],
    ),
    Figure(key="assumed", dimension="notes", meaning="What was assumed."),
    Figure(key="notes", dimension="notes", meaning="What must be said beside these figures."),
)

def _wear(study: Study) -> Wear | None:
    found = study.wear
    return None if isinstance(found, Missing) else found


def _faces(study: Study) -> tuple[Record, ...]:
    wear = _wear(study)
    return () if wear is None else tuple(
        Record(result=FaceDay(wear, face), id=(face.value,), labels=(("wear-face", face_term(face)),)) for face in Face
    )


def spot(place: InspectedPlace) -> Value:
    """Where a place is, or from where to where."""
    return Spot(place.from_a) if len(place.tapes) == 1 else Stretches((place.reach,))


def place_values(place: InspectedPlace) -> dict[str, Value]:
    """What a sentence on a place needs."""
    return {
        "face": face_term(place.face), "place": spot(place), "tapes": len(place.tapes),
        "peak": Quantity(place.peak, LINE_ENERGY), "cause": cause_term(place.cause),
    }


def _place_record(place: InspectedPlace) -> Record:
    return Record(result=place, id=(place.face.value, str(place.tape)), labels=(
        ("wear-face", face_term(place.face)), ("wear-at", spot(place)), ("wear-tape", Bays(place.tapes)),
        ("wear-cause", cause_term(place.cause)),
    ))


def _places(study: Study) -> tuple[Record, ...]:
    wear = _wear(study)
    return () if wear is None else tuple(_place_record(place) for place in wear.places)


def _tape_record(tape: WornTape) -> Record:
    return Record(
        result=tape, id=(str(tape.number),),
        labels=(("wear-tape", tape.number), ("wear-family", Term(f"wear-holds-{tape.holds.value}"))),
    )


def _tapes(study: Study) -> tuple[Record, ...]:
    wear = _wear(study)
    worn = () if wear is None else tuple(tape for tape in wear.tapes if tape.work > 0.0 or tape.slip > 0.0)
    return tuple(_tape_record(tape) for tape in worn)


def _guesses(study: Study) -> tuple[Record, ...]:
    wear = _wear(study)
    if wear is None:
        return ()
    return tuple(
        Record(result=effect, id=(effect.guess.value,), labels=(
            ("wear-guess", Term(f"wear-guess-{effect.guess.value.replace(' ', '-')}")),
            ("wear-guess-ends", ends(effect)),
        ))
        for effect in wear.effects
    )


def ends(effect: Effect) -> Value:
    """Low and high of a guess."""
    if effect.band is None:
        return Term("wear-guess-each-tape")
    band = effect.band
    return (Quantity(band.low, effect.dimension), Quantity(band.high, effect.dimension))


def _histories(study: Study) -> tuple[Record, ...]:
    wear = _wear(study)
    return () if wear is None else tuple(
        Record(result=history, name=level, id=(level,)) for level, history in wear.histories.items()
    )


def _whole(study: Study) -> tuple[Record, ...]:
    wear = _wear(study)
    return () if wear is None else (Record(result=wear),)


def _values(study: Study) -> Mapping[str, Value]:
    use = study.rig.use
    return {
        "crossings": use.crossings, "wind": Quantity(3600.0 * use.wind_hours, "time"),
        "bounce": Quantity(3600.0 * use.bounce_hours, "time"), "falls": len(use.falls), "wrapped": len(use.wrapped),
    }


def _notes(study: Study) -> tuple[Note, ...]:
    wear = study.wear
    return (wear.note,) if isinstance(wear, Missing) else (*wear.notes, *wear.assumed)


FACES = Group(name="wear-faces", path="wear.faces[]", figures=FACE, records=_faces)
PLACES = Group(name="wear-places", path="wear.places[]", figures=PLACE, records=_places)
TAPES = Group(name="wear-tapes", path="wear.tapes[]", figures=TAPE, records=_tapes)
GUESSES = Group(name="wear-guesses", path="wear.guesses[]", figures=GUESS, records=_guesses)
HISTORIES = Group(name="wear-history", path="wear_history.<hold>", figures=HISTORY, records=_histories)
WEAR = Topic(
    name="wear",
    groups=(
        FACES, PLACES, TAPES, GUESSES, HISTORIES,
        Group(name="wear", path="wear", figures=WHOLE, records=_whole),
    ),
    here=FACES, along=PLACES, csv={"wear": PLACES, "wear_tapes": TAPES}, values=_values, notes=_notes,
    more=(PLACES, TAPES, GUESSES),
    pictures=(
        Picture(name="wear", module="linescope.topics.wear.picture", needs=("wear",), after="touch", section=13),
    ),
)
