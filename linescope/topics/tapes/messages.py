"""What is said of one tape: the messages of its family and of how its strip begins, with its numbers."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from linescope.notes import Quantity, Ruled, Term, Value
from linescope.taping import CutList, Enclosing, Finish, Holds, LaidTape, Lead, Patch, Tab, lay_whole_wraps
from linescope.taping.remarks import body_term
from linescope.taping.section import Body, lines_of
from linescope.taping.slips import SKEWS, Slip, SlipKind, find_slips
from linescope.words import Words

BEGUN = {Lead: "lead", Enclosing: "enclosing", Tab: "tab", Patch: "patch"}
HOLDS = {Holds.BOTH: "tapes-both", Holds.MAIN: "tapes-main", Holds.BACKUP: "tapes-backup"}
SIDES = ("slides", "costs", "wrong", "torn")
MIDDLE = 0.002
"""An end that is no farther from the middle of a face is said to be in it. [m]"""


@dataclass(frozen=True, kw_only=True)
class Manner:
    """How somebody tapes; lengths are the same however it is done.

    Attributes
    ----------
    hand : {"right", "left"}
        For the other hand pictures are mirrored, left to right.
    held : {"on top", "underneath"}
        Where the held line lies; a tape that holds both is always begun with the main on top.
    """

    hand: Literal["right", "left"] = "right"
    held: Literal["on top", "underneath"] = "on top"

    def below(self, tape: LaidTape) -> bool:
        """Whether the held line lies underneath."""
        return self.held == "underneath" and tape.holds is not Holds.BOTH

    def turned(self, tape: LaidTape) -> bool:
        """Whether both lines are rolled over at the end, for the end to be seen: on the backup's outer face it is."""
        return (tape.holds is not Holds.BACKUP) is not self.below(tape)


USUAL = Manner()


def turns_of(turns: float) -> Quantity:
    """A number of turns; a whole one is told as one."""
    return Quantity(turns, "number", digits=1 if abs(turns - round(turns)) < 0.05 and turns < 9.5 else 2)


def values_of(tape: LaidTape, manner: Manner = USUAL) -> Mapping[str, Value]:
    """What the messages of its steps and labels name."""
    held, sliding = lines_of(tape.holds)
    beginning = tape.winding.beginning
    return {
        "family": Term(tape.family.message), "held": body_term(held), "sliding": body_term(sliding),
        "first": Ruled(tape.first), "piece": Ruled(tape.piece_length), "length": Ruled(tape.cut_length),
        "zone": Ruled(beginning.zone if isinstance(beginning, Patch) else 0.0),
        "tuck": Ruled(beginning.tuck if isinstance(beginning, Tab) else 0.0),
        "turns": turns_of(tape.turns), "turned": "yes" if manner.turned(tape) else "no",
        "below": "yes" if manner.below(tape) else "no",
    }


def where_it_ends(tape: LaidTape, words: Words) -> str:
    """Where the end lies, for who looks at it."""
    finish = tape.finish
    name = "middle" if abs(finish.past - finish.rest) <= 2.0 * MIDDLE else "past"
    return words.say(f"tapes-end-{name}", lies=Term(f"tapes-lies-{finish.face}"), past=Ruled(finish.past))


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


def step(tape: LaidTape, number: int, words: Words, manner: Manner = USUAL) -> str:
    """One step, counted from 1."""
    return words.say(_steps(tape, words)[number - 1], **values_of(tape, manner), end=where_it_ends(tape, words))


def steps(tape: LaidTape, words: Words, manner: Manner = USUAL) -> list[str]:
    """How to make it."""
    return [step(tape, k + 1, words, manner) for k in range(step_count(tape, words))]


def part_lengths(tape: LaidTape, words: Words) -> list[str]:
    """Lengths of the parts of its strip, as they add up to the length it is cut to."""
    return words.ruled_parts([part.end for part in tape.segments])


def hints(tape: LaidTape, words: Words) -> list[str]:
    """What to try by hand, what spoils it, and what is left over."""
    values, cover = values_of(tape), tape.coverage
    found = [words.say("tapes-try", count=0 if cover is None else 1, **values)]
    if cover is not None:
        name = {"tab": "tapes-spoil-tab", "patch": "tapes-spoil-patch"}.get(begun(tape), "tapes-spoil")
        left = Quantity(max(0.0, cover.spare), "length", "down")
        spoilt = [slip.amount for slip in find_slips(tape) if slip.kind is SlipKind.SKEW and slip.becomes == "glued"]
        skew = Quantity(min(spoilt, default=SKEWS[-1]), "angle", digits=1)
        found += [words.say(f"{name}{more}", left=left, skew=skew, **values) for more in ("", "-left")]
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


def line_words(tape: LaidTape, body: Body, words: Words) -> str:
    """The given size of a line."""
    lines = tape.lines
    name = "rope" if lines.is_round(body) else "flat"
    return words.say(
        f"tapes-card-{name}", width=Ruled(lines.width_of(body)), thickness=Quantity(lines.thickness_of(body), "length")
    )


def under(tape: LaidTape, words: Words) -> str:
    """What a tape is made of, and for which lines."""
    return words.say(
        "tapes-card-under", width=Ruled(tape.tape.width), thickness=Quantity(tape.tape.thickness, "length"),
        length=Ruled(tape.cut_length), pieces=tape.pieces, piece=Ruled(tape.piece_length), turns=turns_of(tape.turns),
        main=line_words(tape, "main", words), backup=line_words(tape, "backup", words),
    )


def drawn(words: Words, manner: Manner = USUAL) -> str:
    """How pictures are meant."""
    return words.say("tapes-card-drawn", side="left" if manner.hand == "right" else "right")


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
        return words.say("tapes-slip-skew", angle=Quantity(slip.amount, "angle", digits=1))
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
    return words.value(Quantity(slip.left, "length", "down") if slip.left > 1e-9 else Ruled(0.0))


def _slip_glue(slip: Slip, words: Words) -> str:
    least, most = (Quantity(width, "length", "up") for width in slip.glue)
    if slip.glue[1] > 0.0:
        name = "strip" if slip.glue[0] == slip.glue[1] else "wedge"
        return words.say(f"tapes-slip-glue-{name}", least=least, most=most, length=Ruled(slip.glue_length))
    if slip.left < -1e-9:
        return words.say("tapes-slip-glue-end", most=Quantity(-slip.left, "length", "up"))
    if slip.kind is SlipKind.LEAST:
        return words.say("tapes-slip-glue-least")
    return words.say("tapes-slip-glue-none")


def _slip_end(slip: Slip, words: Words) -> str:
    finish = slip.finish
    if finish.is_underneath:
        return words.say("tapes-slip-end-clear")
    if finish.face == "underside":
        return words.say("tapes-slip-end-not", edge=Ruled(finish.to_edge))
    return words.say("tapes-slip-end-off", face=Term(f"tapes-{finish.face}"))


