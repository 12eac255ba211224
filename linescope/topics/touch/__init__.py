"""Touch: where the lines lie on each other, and who presses on whom."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from linescope.figures import Figure, Get, Group, Record
from linescope.notes import Bays, Note, Quantity, Severity, Stretches, Term, Value
from linescope.study import Study
from linescope.topics.topic import Picture, Topic

if TYPE_CHECKING:
    from linescope.contact.touching import Touch, Touching, TouchState


def _end(line: str, end: int) -> Get:
    """One end of a touch on one line."""
    return lambda touch, study: getattr(touch, line)[end]


FIGURES: tuple[Figure, ...] = (
    Figure(key="cause", meaning="tape, anchor, tight bay, shallow loop, pressed, over the main."),
    Figure(key="tape", meaning="Number of the tape at which it lies, from 1 at A."),
    Figure(key="first_bay", meaning="Counted from 1 at A.", get=lambda touch, study: touch.bays[0]),
    Figure(key="last_bay", meaning="Likewise.", get=lambda touch, study: touch.bays[1]),
    *(
        Figure(
            key=f"{line}_{name}", dimension="length", meaning=f"{name.capitalize()} where on the {line}, from A.",
            get=_end(line, end),
        )
        for line in ("main", "backup") for end, name in enumerate(("from", "to"))
    ),
    Figure(key="length", dimension="length", brief=True, meaning="Unstretched backup in contact."),
    Figure(key="carried", dimension="force", brief=True, meaning="What hangs in the strip there."),
    Figure(key="pressed", dimension="force", brief=True, meaning="What presses the lines on each other."),
    Figure(key="bare", dimension="ratio", brief=True, meaning="Share of the width in which line lies on line."),
    Figure(key="how", meaning="How the force was found.", get=lambda touch, study: str(touch.how)),
)


def _touch_record(touch: Touch) -> Record:
    where: Value = touch.tape if touch.tape is not None else Stretches((touch.main,))
    name = "touch-where-tape" if touch.tape is not None else "touch-where"
    cause = Term(f"touch-cause-{touch.cause.replace(' ', '-')}")
    return Record(result=touch, id=(name, str(touch.bays[0])), labels=(("touch-where", where), ("touch-why", cause)))


def _touches(study: Study) -> tuple[Record, ...]:
    found = study.get("touch")
    return tuple(_touch_record(touch) for touch in found.touches) if found else ()


def touch_notes(touching: Touching) -> tuple[Note, ...]:
    """Who presses on whom."""
    from linescope.contact.touching import TouchNote

    tapes = [touch for touch in touching.touches if touch.cause == "tape"]
    pressed = [touch for touch in tapes if touch.pressed > 0.0]
    notes = []
    if tapes:
        notes.append(Note(kind=TouchNote.STRIP, severity=Severity.LIMIT, values={
            "count": sum(touch.carried > 0.0 for touch in tapes), "total": len(tapes),
            "most": Quantity(max(touch.carried for touch in tapes), "force"),
        }))
    if pressed:
        worst = max(pressed, key=lambda touch: touch.pressed)
        notes.append(Note(kind=TouchNote.LINES, severity=Severity.LIMIT, weight=0.5, values={
            "count": len(pressed), "tape": worst.tape or 0, "most": Quantity(worst.pressed, "force"),
        }))
    return tuple(notes)


def _states(study: Study) -> tuple[Record, ...]:
    found = study.get("touch_states")
    return tuple(
        Record(result=state, id=(state.name,), labels=(("touch-state", Term(f"touch-state-{state.name}")),))
        for state in found
    ) if found else ()


def _between(study: Study) -> tuple[Record, ...]:
    """What lies on each other away from the tapes, state by state."""
    found = study.get("touch_states")
    return tuple(
        Record(
            result=touch, id=(state.name, str(touch.bays[0]), str(number)),
            labels=(
                ("touch-state", Term(f"touch-state-{state.name}")), ("touch-where", Stretches((touch.main,))),
                ("touch-why", Term(f"touch-cause-{touch.cause.replace(' ', '-')}")),
            ),
        )
        for state in found for number, touch in enumerate(state.touching.touches, 1)
        if touch.cause not in ("tape", "anchor")
    ) if found else ()


def state_notes(states: Sequence[TouchState]) -> tuple[Note, ...]:
    """Where loops may come to lie on the main."""
    from linescope.contact.touching import TouchNote

    return tuple(
        Note(kind=kind, severity=Severity.LIMIT, weight=0.6, values={
            "bays": Bays(tuple(sorted({touch.bays[0] for touch in state.over}))), "count": len(state.over),
            "most": Quantity(max(touch.pressed for touch in state.over), "force", "up"),
        })
        for state in states if state.over
        for kind in (TouchNote.THROWN if state.name == "thrown" else TouchNote.LIES_OVER,)
    )


def _notes(study: Study) -> tuple[Note, ...]:
    found = study.get("touch")
    states = study.get("touch_states")
    basis = dict.fromkeys(note for state in states for note in state.touching.assumed) if states else ()
    return (*touch_notes(found), *(state_notes(states) if states else ()), *(basis or found.assumed)) if found else ()


def _whole(study: Study) -> tuple[Record, ...]:
    found = study.get("touch")
    return (Record(result=found),) if found else ()


def _most(kind: str) -> Get:
    return lambda touching, study: max((getattr(touch, kind) for touch in touching.touches), default=0.0)


def _count(kind: str) -> Get:
    return lambda touching, study: sum(
        touch.cause == "tape" and getattr(touch, kind) > 0.0 for touch in touching.touches
    )


WHOLE: tuple[Figure, ...] = (
    Figure(key="reach", dimension="length", brief=True, meaning="Gap of the centre lines that counts as touching."),
    Figure(key="hanging", brief=True, meaning="Tapes in whose strip the loops hang.", get=_count("carried")),
    Figure(
        key="most_carried", dimension="force", brief=True, meaning="The most that hangs in one.", get=_most("carried")
    ),
    Figure(key="pressing", brief=True, meaning="Tapes at which the loops press on the main.", get=_count("pressed")),
    Figure(
        key="most_pressed", dimension="force", brief=True, meaning="The most that presses lines on each other.",
        get=_most("pressed"),
    ),
)
def _of(kind: str) -> Get:
    return lambda state, study: max((getattr(touch, kind) for touch in state.touching.touches), default=0.0)


STATE: tuple[Figure, ...] = (
    Figure(
        key="hanging", brief=True, meaning="Tapes in whose strip the loops hang.",
        get=lambda state, study: _count("carried")(state.touching, study),
    ),
    Figure(
        key="most_carried", dimension="force", brief=True, meaning="The most that hangs in one.", get=_of("carried")
    ),
    Figure(
        key="pressing", brief=True, meaning="Tapes at which the loops press on the main.",
        get=lambda state, study: _count("pressed")(state.touching, study),
    ),
    Figure(
        key="most_pressed", dimension="force", brief=True, meaning="The most that presses lines on each other.",
        get=_of("pressed"),
    ),
    Figure(
        key="between", brief=True, meaning="Places between tapes where the lines press on each other.",
        get=lambda state, study: len(state.lying),
    ),
    Figure(
        key="lying_over", brief=True, meaning="How many loops may come to lie on the main from above.",
        get=lambda state, study: len(state.over),
    ),
    Figure(
        key="over", meaning="Their bays, counted from 1 at A.",
        get=lambda state, study: [touch.bays[0] for touch in state.over],
    ),
)
STATES = Group(name="touch-states", path="touch.states[]", figures=STATE, records=_states)
BETWEEN = Group(
    name="touch-between", path="touch.between[]", figures=FIGURES, records=_between,
)
HERE = Group(name="touch", path="touch", figures=WHOLE, records=_whole)
TOUCHES = Group(name="touch-touches", path="touch.touches[]", figures=FIGURES, records=_touches)
TOUCH = Topic(
    name="touch", groups=(HERE, TOUCHES, STATES, BETWEEN), here=STATES, along=TOUCHES,
    csv={"touches": TOUCHES, "touches_between": BETWEEN}, values=lambda study: {}, notes=_notes,
    pictures=(
        Picture(name="touch", module="linescope.topics.touch.picture", needs=("touch",), after="wind", section=13),
    ),
)
