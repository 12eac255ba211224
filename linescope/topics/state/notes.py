"""What must be said beside the states of rest."""

from __future__ import annotations

from linescope.events.excess import LoopsNote
from linescope.notes import Kind, Note, Severity
from linescope.rig import unlikely
from linescope.statics.results import StateNote
from linescope.study import Study


class StateBasis(Kind):
    """What the states are."""

    SLIDES = "state-basis-slides"
    FIXED = "state-basis-fixed"
    PROOF = "state-basis-proof"


def notes(study: Study) -> tuple[Note, ...]:
    """Of inputs hardly meant so, and of the states and how they balance; what notes of loops say better is theirs."""
    negative = any(note.kind is LoopsNote.NEGATIVE for note in study.excess.notes)
    states = (study.standing, study.taped, study.settled)
    found = [note for state in states for note in state.notes]
    if negative:
        found = [note for note in found if note.kind is not StateNote.TIGHT]
    parts = min(state.proof.parts for state in states)
    slides = StateBasis.SLIDES if study.slides else StateBasis.FIXED
    return (
        *unlikely(study.rig),
        *found,
        Note(kind=slides, severity=Severity.BASIS),
        Note(kind=StateBasis.PROOF, severity=Severity.BASIS, values={"parts": parts}),
    )
