"""What every surface says and no topic owns: which state, which inputs, how well solved, what to beware of."""

from __future__ import annotations

import numpy as np

from linescope.notes import Quantity, Term, Verbatim
from linescope.rig import InputNote, InputPhrase, Inputs, Rig
from linescope.statics.solution import Solution
from linescope.webbing import Webbing
from linescope.words import Words
from linescope.words.inputs import input_text, input_value, most_doubtful


def state_label(solution: Solution, words: Words) -> str:
    """Which state, and where the walker stands."""
    state, where = Term(f"frame-state-{solution.state.replace(' ', '-')}"), _where(solution, words)
    if solution.rig.wind is None:
        return words.say("frame-state", state=state, where=where)
    blown = bool(np.any(np.abs(solution.loads[:, :2]) > 1e-9))
    return words.say(
        "frame-state-air", state=state, where=where, air=Term("frame-in-wind" if blown else "frame-still-air")
    )


def where_label(solution: Solution, words: Words, *, slides: bool) -> str:
    """The same of the rig as taped in plain words: who is on the line, and what has not moved, where it could."""
    return words.say("crew-state", where=_where(solution, words), slides="yes" if slides else "no")


def _where(solution: Solution, words: Words) -> str:
    walker = solution.rig.walker
    return words.say("frame-nobody") if walker is None else words.say("frame-walker-at", place=words.place(walker.at))


def all_cautions(words: Words) -> tuple[str, ...]:
    """Every caution, for surfaces that have room."""
    return cautions(words, "plan", "model", "rig", "anchors", "again", "local")


def balance(solution: Solution, words: Words) -> str:
    """How well the state was solved."""
    return words.say("frame-balance", parts=words.count(solution.proof.parts))


def step(words: Words) -> str:
    """To what places along the line are shown."""
    return words.tick(0.1 if words.system == "metric" else 1.0, words.long_unit)


def cautions(words: Words, *names: str) -> tuple[str, ...]:
    """What must be known before anything here is used; the same words on every surface."""
    return tuple(words.say(f"frame-caution-{name}") for name in names or ("plan", "model", "rig"))


def known(given: Inputs, value: str, words: Words, *keys: str) -> str:
    """A value with the most doubtful way inputs with these keys are known, unless they were just stated."""
    doubt = most_doubtful(given.known(*keys))
    return value if doubt == "stated" else words.say("frame-known", value=value, known=Term(f"frame-known-{doubt}"))


def _line(given: Inputs, key: str, kind: Webbing, words: Words) -> str:
    whole = given.get(f"{key}.webbing")
    elongation = given.get(f"{key}.webbing.stretch.elongation")
    width = words.width(kind.width)
    if elongation is None and whole is not None and whole.value == Verbatim("as main"):
        return words.say("frame-line-as-main", width=width)
    name = known(given, words.verbatim(kind.name), words, f"{key}.webbing")
    mass = known(given, words.of(kind.mass, "line mass"), words, f"{key}.webbing.mass")
    text = words.say("frame-line-rope" if kind.is_rope else "frame-line", name=name, width=width, mass=mass)
    if elongation is None or given.get(f"{key}.webbing.stretch.at") is None:
        return text
    force, stretch = float(kind.stretch.tension[-1]), words.share(float(kind.stretch.strain[-1]))
    return words.say(
        "frame-line-stretch", line=text, stretch=known(given, stretch, words, elongation.key), force=words.force(force)
    )


NAMED = 3
"""Tried values that are named where there is little room; more are counted."""

OF_TAPES = ("tape", "main.webbing", "backup.webbing")
"""How keys begin from which a tape card follows: how a strip is wound does not change with tension or wind."""


def tried(given: Inputs, words: Words, room: int | None = None, of: tuple[str, ...] = ()) -> str:
    """One sentence for the head of whatever is shown: what was tried, beside what the file says; "" for nothing.

    Parameters
    ----------
    given : Inputs
    words : Words
    room : int, optional
        Letters that it should have at most: fewer values are named, but always one.
    of : tuple of str
        Only values whose key begins so; all when empty.
    """
    notes = tuple(note for note in given.tried if not of or note.key.startswith(of))
    if not notes:
        return ""
    said = ""
    for count in range(min(NAMED, len(notes)), 0, -1):
        values = "; ".join(_beside_file(note, words) for note in notes[:count])
        if count < len(notes):
            values = words.say("frame-tried-more", values=values, count=len(notes) - count)
        kept = "frame-tried-kept" if given.variant else "frame-tried"
        said = words.say(kept, values=values, variant=Verbatim(given.variant))
        if room is None or len(said) <= room:
            break
    return said


def _beside_file(note: InputNote, words: Words) -> str:
    """A tried value beside what stands in the file, or what is assumed where nothing does."""
    key, value, file = Verbatim(note.key), input_value(note.value, note.unit, words), note.file
    if file is None:
        return words.say("frame-tried-new", key=key, value=value)
    if file.value == Verbatim(""):  # A table, such as a webbing's without a name.
        return words.say("frame-tried-table", key=key, value=value)
    message = "frame-tried-assumed" if file.known == "assumed" else "frame-tried-one"
    return words.say(message, key=key, value=value, file=input_value(file.value, file.unit, words))


def slope(rig: Rig, words: Words) -> str:
    """How the line runs from A to B."""
    if abs(rig.slope) < 0.0005:
        return words.say("frame-level")
    return words.say("frame-rising" if rig.slope > 0 else "frame-falling", slope=Quantity(abs(rig.slope), "ratio"))


_MINOR = (
    "anchors.backup",
    "main.stiffness",
    "backup.stiffness",
    "tape.",
    "taping.tape_mass",
    "walker.height",
    "wind.air_density",
    "clearance.",
)
"""Beginnings of inputs that change a picture little, or only say "as given"; they are counted, not listed."""


def _assumed(given: Inputs, words: Words) -> str:
    """The inputs nobody gave that matter here, grouped by where the value came from; the others as a count."""
    groups: dict[str, list[str]] = {}
    minor = 0
    for note in given.assumed:
        if note.key.startswith(_MINOR):
            minor += 1
            continue
        first, _, rest = note.key.partition(".")
        name = rest.removeprefix("webbing.").replace(".", " ").replace("_", " ")
        if note.basis is not None and note.basis.kind is InputPhrase.LIBRARY:
            # The webbing's own line shows what matters; which library tells how far to trust it.
            groups.setdefault(f"{first}, {words.note(note.basis)}", []).append(name)
            continue
        groups.setdefault(first, []).append(f"{name} {input_text(note, words)}".strip())
    found = [
        words.say("frame-inputs-group", what=words.verbatim(first), inputs=words.verbatim(", ".join(items)))
        for first, items in groups.items()
    ]
    return "; ".join([*found, *([words.say("frame-inputs-minor", count=minor)] if minor else [])])


def inputs(solution: Solution, words: Words, given: Inputs, rig: Rig | None = None) -> tuple[str, ...]:
    """What the picture was computed from, with how each is known; of `rig` where the solution lacks its walker."""
    rig = solution.rig if rig is None else rig
    plan = rig.main_plan
    if plan.tension is not None:
        pull = known(given, words.force(plan.tension), words, "main.tension")
        tension = words.say("frame-inputs-tension", tension=pull, end=plan.end)
    else:
        long = known(given, words.place(plan.length or 0.0), words, "main.length")
        tension = words.say("frame-inputs-length", length=long)
    span = known(given, words.place(rig.span), words, "anchors.a", "anchors.b")
    bays = solution.layout.stated_bays
    spacing = [note.key for note in given.notes if ".spacing" in note.key]
    lines = [
        words.say("frame-inputs-span", span=span, slope=slope(rig, words), tension=tension),
        words.say("frame-inputs-main", line=_line(given, "main", rig.main, words)),
        _backup(given, rig, words),
        words.say(
            "frame-inputs-tapes", count=len(solution.layout.tapes),
            bays=known(given, words.range(float(bays.min()), float(bays.max()), "length"), words, *spacing),
            marked=Term(f"frame-marked-{rig.taping.measured_on}"),
        ),
    ]
    acting = []
    if rig.walker is not None:
        mass = known(given, words.of(rig.walker.mass, "mass"), words, "walker.mass")
        leash = known(given, words.length(rig.walker.leash), words, "walker.leash")
        acting.append(words.say("frame-inputs-walker", mass=mass, leash=leash))
    if rig.wind is not None:
        speed = known(given, words.of(rig.wind.speed, "speed"), words, "wind.speed")
        acting.append(words.say("frame-inputs-wind", speed=speed))
    if len(acting) == 2:
        acting = [words.say("frame-inputs-and", first=acting[0], second=acting[1])]
    lines += acting
    if given.tried:
        tried = "; ".join(
            words.say("inputs-equal", key=Verbatim(note.key), value=input_text(note, words)) for note in given.tried
        )
        lines.append(words.say("frame-inputs-tried", count=len(given.tried), inputs=tried))
    if given.assumed:
        lines.append(words.say("frame-inputs-assumed", count=len(given.assumed), inputs=_assumed(given, words)))
    return tuple(lines)


def _backup(given: Inputs, rig: Rig, words: Words) -> str:
    backup, line = rig.backup_plan, _line(given, "backup", rig.backup, words)
    key = backup.given_by.replace(" ", "_")
    dimension = "ratio" if backup.given_by == "excess" else "length"
    amount = known(given, words.of(backup.value, dimension), words, f"backup.{key}")
    return words.say(f"frame-inputs-backup-{backup.given_by.replace(' ', '-')}", line=line, amount=amount)


def summary(solution: Solution, words: Words) -> str:
    """The three numbers a crew asks for, in one sentence."""
    depths, walker, rig = solution.bays.loop_depth, solution.walker_point, solution.rig
    loops = words.say("frame-no-loops")
    if float(depths.max()) >= 0.002:
        loops = words.say("frame-loops", depth=words.range(float(depths.min()), float(depths.max()), "length"))
    text = words.say(
        "frame-summary", a=words.force(solution.tension_a), b=words.force(solution.tension_b), loops=loops
    )
    if walker is None:
        return text
    depth = float(rig.below_anchors(walker))
    return words.say("frame-summary-feet", summary=text, depth=words.length(depth))
