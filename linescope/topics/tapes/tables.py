"""The cut list as tables of text: places in laying order, kinds of tape, totals, and what a slip leaves."""

from __future__ import annotations

from linescope.notes import Paced, Quantity, Ruled, Term
from linescope.taping import FAMILIES, TIE, CutList, LaidTape
from linescope.taping.slips import find_slips
from linescope.topics.tapes import messages
from linescope.topics.tapes.messages import HOLDS
from linescope.words import Words
from linescope.words.table import Table

OTHER_END = {"A": "B", "B": "A"}


def family_name(key: str, words: Words) -> str:
    """A family's name, or that of a tie."""
    return words.say("tapes-list-tie" if key == TIE else FAMILIES[key].message)


def tape_rows(cut_list: CutList, words: Words) -> dict[str, Table]:
    """All tables of a cut list.

    Parameters
    ----------
    cut_list : CutList
    words : Words

    Returns
    -------
    dict of str to Table
        ``"tapes"`` (one row per place in laying order), ``"kinds"`` (one row per kind of tape), ``"totals"``.
    """
    return {"tapes": _listed(cut_list, words), "kinds": _kinds(cut_list, words), "totals": _totals(cut_list, words)}


def _listed(cut_list: CutList, words: Words) -> Table:
    """Every place in laying order, and the far anchor."""
    end, far = cut_list.from_end, OTHER_END[cut_list.from_end]
    strain = Quantity(cut_list.lying_strain, "ratio", digits=3)
    spots = {
        "main-slack": (cut_list.main_mark, "main_m"), "main-lying": (cut_list.lying, "main_lying_m"),
        "main-rigged": (cut_list.rigged, "rigged_m"), "main-middle": (cut_list.main_from_middle, "main_from_middle_m"),
        "backup-slack": (cut_list.backup_mark, "backup_m"),
        "backup-middle": (cut_list.backup_from_middle, "backup_from_middle_m"),
    }
    if cut_list.lying_strain == 0.0:
        del spots["main-lying"]
    heads = [
        words.say("tapes-list-unit", name=words.say(f"tapes-list-{name}", end=end, strain=strain), unit=words.long_unit)
        for name in spots
    ]
    marks = far_marks(cut_list)

    def shown(name: str, value: float) -> str:
        return ("+" if "middle" in name and value > 0.0 else "") + words.mark(value)

    rows = []
    for i, number in enumerate(cut_list.number):
        key, holds = cut_list.family[i], cut_list.holds[i]
        strip = words.say("tapes-list-no-tape") if key == TIE else _ruled(float(cut_list.strip[i]), words)
        kind = (str(number), family_name(key, words), words.say(HOLDS[holds]), words.verbatim(cut_list.zone[i]))
        rows.append((*kind, *(shown(name, float(spot[i])) for name, (spot, _) in spots.items()), strip))
    anchor = words.say("tapes-list-anchor", end=far)
    rows.append((far, anchor, "-", "-", *(shown(name, marks[key]) for name, (_, key) in spots.items()), "-"))
    first = (words.say(f"tapes-list-{name}") for name in ("number", "tape", "holds", "zone"))
    return Table(
        title=words.say("tapes-list", **{"from": end, "to": far}),
        columns=(*first, *heads, words.say("tapes-list-strip")), rows=tuple(rows),
    )


def _ruled(value: float, words: Words) -> str:
    return words.value(Ruled(value))


def far_marks(cut_list: CutList) -> dict[str, float]:
    """Where the far anchor is on both lines, by the names of `tape_json`.  [m]"""
    main, backup = cut_list.main_length, cut_list.backup_length
    return {
        "main_m": main, "main_lying_m": main * (1.0 + cut_list.lying_strain), "rigged_m": cut_list.rigged_length,
        "main_from_middle_m": 0.5 * main, "backup_m": backup, "backup_from_middle_m": 0.5 * backup,
    }


def length_words(cut_list: CutList, words: Words) -> str:
    """What to cut both lines by and how much tape that is, in one sentence."""
    return words.say(
        "tapes-lengths", backup=Paced(cut_list.backup_length), main=Paced(cut_list.main_length), count=cut_list.count(),
        rolls=cut_list.rolls,
    )


def _kinds(cut_list: CutList, words: Words) -> Table:
    rows = tuple(
        (
            family_name(key, words), words.say(HOLDS[holds]), str(cut_list.count(key, holds)),
            _ruled(tape.cut_length, words), messages.pieces_words(tape, words),
            words.value(messages.turns_of(tape.turns)), messages.end_words(tape.finish, words),
            messages.whole_words(tape, cut_list, words), messages.dry_words(tape, words),
            messages.between_words(tape, words),
        )
        for (key, holds), tape in cut_list.tapes.items()
    )
    heads = ("family", "holds", "count", "strip", "pieces", "turns", "end", "whole", "dry", "between")
    return Table(
        title=words.say("tapes-kinds"), columns=tuple(words.say(f"tapes-kinds-{head}") for head in heads), rows=rows
    )


def _totals(cut_list: CutList, words: Words) -> Table:
    stock = cut_list.stock

    def long(value: float) -> Quantity:
        return Quantity(value, "length")

    waste = Quantity(stock.waste, "ratio")
    rows = [
        (words.say("tapes-total-tapes"), str(cut_list.count())),
        (words.say("tapes-total-strips"), words.value(long(cut_list.strip_total))),
    ]
    if cut_list.piece_count:
        rows.append((
            words.say("tapes-total-pieces"),
            words.say("tapes-total-pieces-value", count=cut_list.piece_count, length=long(cut_list.piece_total)),
        ))
    for name, cloth, roll in (("strong", False, stock.roll), ("cloth", True, stock.cloth_roll)):
        if cut_list.tape_of(cloth=cloth) > 0.0:
            amount = words.say(
                "tapes-total-rolls", length=long(cut_list.tape_of(cloth=cloth)), count=cut_list.rolls_of(cloth=cloth),
                roll=long(roll),
            )
            rows.append((words.say(f"tapes-total-{name}", waste=waste), amount))
    paces = {"fixed": stock.pace_fixed, "slider": stock.pace_slider, "patch": stock.pace_patch}
    rows += [
        (words.say("tapes-total-time", **{name: Quantity(value, "time") for name, value in paces.items()}),
         words.value(Quantity(cut_list.time, "time"))),
        (words.say("tapes-total-backup"), words.value(Paced(cut_list.backup_length))),
        (words.say("tapes-total-main"), words.value(Paced(cut_list.main_length))),
    ]
    if assumed := stock.assumed_defaults:
        names = ", ".join(words.value(Term(f"tapes-default-{name}")) for name in assumed)
        rows.append((words.say("tapes-total-default"), names))
    heads = (words.say("tapes-total-what"), words.say("tapes-total-much"))
    return Table(title=words.say("tapes-totals"), columns=heads, rows=tuple(rows))


def slip_table(tape: LaidTape, words: Words) -> Table:
    """A tape wound wrongly by a little: what is left of it."""
    heads = ("what", "left", "glue", "end", "style")
    title = f"{words.say('tapes-slips')}: {messages.card_title(tape, words)}"
    return Table(
        title=title, columns=tuple(words.say(f"tapes-slips-{head}") for head in heads),
        rows=tuple(messages.slip_rows(tape, find_slips(tape), words)),
    )
