"""What is said of one tape: the messages of its family and of how its strip begins, with its numbers."""

from __future__ import annotations

import math
from collections.abc import Mapping

from linescope.notes import Quantity, Ruled, Term, Value
from linescope.taping import CutList, Enclosing, Finish, Holds, LaidTape, Lead, Patch, Tab, lay_whole_wraps
from linescope.taping.remarks import body_term
from linescope.taping.section import lines_of
from linescope.taping.slips import SKEWS, Slip, SlipKind
from linescope.words import Words

BEGUN = {Lead: "lead", Enclosing: "enclosing", Tab: "tab", Patch: "patch"}
HOLDS = {Holds.BOTH: "tapes-both", Holds.MAIN: "tapes-main", Holds.BACKUP: "tapes-backup"}
SIDES = ("slides", "costs", "wrong", "torn")


def values_of(tape: LaidTape) -> Mapping[str, Value]:
    """What the messages of its steps and labels name."""
    held, sliding = lines_of(tape.holds)
    beginning = tape.winding.beginning
    turned = tape.holds is not Holds.BACKUP
    return {
        "family": Term(tape.family.message), "held": body_term(held), "sliding": body_term(sliding),
        "first": Ruled(tape.first), "piece": Ruled(tape.piece_length), "length": Ruled(tape.cut_length),
        "zone": Ruled(beginning.zone if isinstance(beginning, Patch) else 0.0),
        "tuck": Ruled(beginning.tuck if isinstance(beginning, Tab) else 0.0),
        "turns": Quantity(tape.turns, "number"), "edge": Ruled(tape.finish.to_edge),
        "lies": Term(f"tapes-lies-{tape.finish.face}"), "turned": "yes" if turned else "no",
    }


def begun(tape: LaidTape) -> str:
    """How its strip begins, as its messages have it."""
    return BEGUN[type(tape.winding.beginning)]


def _steps(tape: LaidTape, words: Words) -> list[str]:
    """Messages of its steps: those of how it begins, and where the end lies."""
    found: list[str] = []
    while words.has(name := f"tapes-step-{begun(tape)}-{len(found) + 1}"):
        found.append(name)
    return found if tape.coverage is None else [*found, "tapes-step-last"]


def part_name(tape: LaidTape, kind: str, words: Words) -> str:
    """What a part of the strip is called; what is laid first is a short end where a line slides."""
    name = "short" if kind == "lead" and tape.coverage is not None else kind
    return words.say(f"tapes-part-{name}", **values_of(tape))


def step_count(tape: LaidTape, words: Words) -> int:
    """How many steps it takes."""
    return len(_steps(tape, words))


def step(tape: LaidTape, number: int, words: Words) -> str:
    """One step, counted from 1."""
    return words.say(_steps(tape, words)[number - 1], **values_of(tape))


def steps(tape: LaidTape, words: Words) -> list[str]:
    """How to make it."""
    return [step(tape, k + 1, words) for k in range(step_count(tape, words))]


def hints(tape: LaidTape, words: Words) -> list[str]:
    """What to try by hand, and what spoils it."""
    values, cover = values_of(tape), tape.coverage
    found = [words.say("tapes-try", count=0 if cover is None else 1, **values)]
    if cover is not None:
        name = {"tab": "tapes-spoil-tab", "patch": "tapes-spoil-patch"}.get(begun(tape), "tapes-spoil")
        left = Quantity(max(0.0, cover.spare), "length", "down")
        found.append(words.say(name, left=left, skew=Quantity(SKEWS[1], "angle"), **values))
    return found


def first_strip(tape: LaidTape, words: Words) -> str:
    """That a first tape is wound and looked at, and why: what moves an end, and how much room it has."""
    half = 0.5 * tape.section.face_length("backup")
    return words.say(
        "tapes-first-strip", room=Ruled(max(0.0, half - tape.finish.clear)), webbing=Quantity(1e-4, "length"),
        tape=Quantity(1e-5, "length"), pull=Quantity(0.01, "ratio"), low=Ruled(0.001), high=Ruled(0.003),
    )


def sides(tape: LaidTape, words: Words) -> list[tuple[str, str]]:
    """What slides, what it costs, what goes wrong, when it tears: heading and text."""
    return [
        (words.say(f"tapes-plan-{side}"), words.say(f"{tape.family.message}-{side}")) for side in SIDES
    ]


def card_title(tape: LaidTape, words: Words) -> str:
    """Its name, and the line it grips where that can be either."""
    if len(tape.family.can_hold) == 1:
        return words.say(tape.family.message)
    values = values_of(tape)
    return words.say("tapes-card", family=values["family"], held=values["held"])


def one_go(held: str, words: Words) -> str:
    """How a whole line is taped in one go."""
    return words.say("tapes-one-go", held=body_term(held))


def end_words(finish: Finish, words: Words) -> str:
    """Where an end lies."""
    return words.say("tapes-end-on", face=Term(f"tapes-{finish.face}"), edge=Ruled(finish.to_edge))


def whole_words(tape: LaidTape, cuts: CutList, words: Words) -> str:
    """What the stock's number of turns would take, where that ends, and what moves the end underneath."""
    whole = lay_whole_wraps(tape.family, cuts.section, cuts.stock, tape.holds)
    finish, length = whole.finish, Ruled(whole.cut_length)
    end = end_words(finish, words)
    if finish.is_underneath:
        return words.say("tapes-stays", length=length, end=end)
    if math.isnan(finish.cut):
        return words.say("tapes-only-add", length=length, end=end, add=Ruled(finish.add))
    return words.say("tapes-cut-or-add", length=length, end=end, cut=Ruled(finish.cut), add=Ruled(finish.add))


def dry_words(tape: LaidTape, words: Words) -> str:
    """What its dry part leaves over."""
    cover = tape.coverage
    if cover is None:
        return words.say("tapes-nothing-slides")
    _, sliding = lines_of(tape.holds)
    line = body_term(sliding)
    if not cover.covers:
        return words.say("tapes-not-covered", left=Ruled(-cover.spare), sliding=line)
    left = Quantity(cover.spare, "length", "down")
    if cover.keeps_margin:
        return words.say("tapes-covered", left=left, sliding=line)
    return words.say("tapes-less-than-asked", left=left, sliding=line, margin=Ruled(cover.margin))


def between_words(tape: LaidTape, words: Words) -> str:
    """What lies between the lines."""
    between = tape.between
    if between.layers == 0:
        return words.say("tapes-between-none")
    if between.lines_touch:
        return words.say("tapes-between-part", covered=Quantity(between.covered, "ratio"))
    return words.say("tapes-between-layer", layers=between.layers)


def pieces_words(tape: LaidTape, words: Words) -> str:
    """Its cross pieces."""
    if not tape.pieces:
        return words.say("none")
    return words.say("tapes-pieces", count=tape.pieces, length=Ruled(tape.piece_length))


def slip_rows(tape: LaidTape, slips: tuple[Slip, ...], words: Words) -> list[tuple[str, ...]]:
    """What is wrong, dry strip left, glue, where it ends, and what the tape is then."""
    return [
        (_slip_name(tape, slip, words), _slip_left(slip, words), _slip_glue(slip, words), _slip_end(slip, words),
         words.say(f"tapes-slip-{slip.becomes.replace(' ', '-')}", margin=Ruled(slip.margin)))
        for slip in slips
    ]


def _slip_name(tape: LaidTape, slip: Slip, words: Words) -> str:
    if slip.kind is SlipKind.SKEW:
        return words.say("tapes-slip-skew", angle=Quantity(slip.amount, "angle"))
    name = slip.kind.value
    if slip.kind in (SlipKind.FIRST, SlipKind.LEAST):
        name = {"lead": "lead", "tab": "fold"}.get(begun(tape), "short")
    elif slip.kind is SlipKind.ALONG and tape.pieces:
        name = "centre"
    if slip.kind is SlipKind.LEAST:
        name = f"least-{name}"
    return words.say(f"tapes-slip-{name}", length=Ruled(slip.amount), meant=Ruled(tape.first))


def _slip_left(slip: Slip, words: Words) -> str:
    if math.isnan(slip.left):
        return "-"
    return words.value(Quantity(max(0.0, slip.left), "length", "down"))


def _slip_glue(slip: Slip, words: Words) -> str:
    least, most = (Quantity(width, "length", "up") for width in slip.glue)
    if slip.glue[1] > 0.0:
        name = "strip" if slip.glue[0] == slip.glue[1] else "wedge"
        return words.say(f"tapes-slip-glue-{name}", least=least, most=most, length=Ruled(slip.glue_length))
    if slip.left < -1e-9:
        return words.say("tapes-slip-glue-end", most=Quantity(-slip.left, "length", "up"))
    return words.say("tapes-slip-glue-none")


def _slip_end(slip: Slip, words: Words) -> str:
    finish = slip.finish
    if finish.is_underneath:
        return words.say("tapes-slip-end-clear")
    if finish.face == "underside":
        return words.say("tapes-slip-end-not", edge=Ruled(finish.to_edge))
    return words.say("tapes-slip-end-off", face=Term(f"tapes-{finish.face}"))


