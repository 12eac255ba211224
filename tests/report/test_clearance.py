"""The ranked list for people and the figures for programs, from findings made by hand."""

from __future__ import annotations

import csv
import io
import json
import re

import numpy as np
import pytest

from linescope.clearance import AnchorZone, Cause, Clearance, Finding, NoFallZone, RunReach, Verdict
from linescope.clearance.notes import ClearanceNote
from linescope.clearance.why import CauseKind, Why
from linescope.notes import Note, Severity, Stretches
from linescope.report import grids
from linescope.study import Study
from linescope.topics.clearance import CAUSES, CLEARANCE, LISTED
from linescope.topics.clearance.text import alarms, clearance_json, clearance_text
from linescope.words import PSEUDO, Words
from tests.stage import rigs

POINT = np.array([9.3, 0.0, -2.9])
WALKER = Why(kind=CauseKind.RIG)
FALL = Why(kind=CauseKind.FALL)
ALL = ("line", "loop", "leash", "body")


def gust(side):
    return Why(kind=CauseKind.RIG, air="gust", side=side)


def cause(distance, why=WALKER, **changes):
    given = {
        "kind": "loop", "why": why, "family": "rig", "distance": distance, "vertical": distance + 0.01, "required": 0.5,
        "needed": 2.0, "station": 9.34, "walker": 10.55, "point": POINT,
        "nearest": POINT - np.array([0, 0, distance]), "vertical_station": 9.4, "vertical_walker": 10.6,
        "vertical_point": POINT, "vertical_ground": POINT,
    }  # fmt: skip
    return Cause(**(given | changes))


def finding(rank, distance, *others, **changes):
    return Finding(rank=rank, causes=(cause(distance, **changes), *others))


def study(findings, **changes):
    """A study that knows this clearance and nothing else."""
    given = {
        "findings": tuple(findings), "no_fall_zones": (), "holes": np.zeros((0, 2)), "survey_error": 0.5, "margin": 1.0,
        "source": "an invented profile", "notes": (Note(kind=ClearanceNote.STILL_ONLY, severity=Severity.LIMIT),),
        "compared": ALL, "expected": ALL, "walkers": np.array([4.0, 10.55]), "span": 92.0,
    }  # fmt: skip
    return Study(rigs.heron(), given={"clearance": Clearance(**(given | changes))})


def text_of(known, system="metric", language="en"):
    return clearance_text(known, Words(system, language))


def words_of(known, system="metric"):
    return " ".join(text_of(known, system).split())


SHORT = study(
    [
        finding(1, -0.046, cause(0.05, gust("left")), cause(0.06, gust("right")), cause(0.07, FALL), cause(0.08, FALL),
                cause(9.0, FALL), inside=0.4),
        finding(2, 3.0, kind="body", why=FALL, vertical=np.nan, walker=None),
    ],
    no_fall_zones=(NoFallZone(from_a=(0.0, 32.0), from_b=(60.0, 92.0), worst=-6.6, worst_at=25.2),),
    strikes=(NoFallZone(from_a=(22.8, 27.4), from_b=(64.6, 69.2), worst=-2.1, worst_at=25.2),),
    runs=(
        RunReach(
            from_a=(5.0, 33.3), from_b=(58.7, 87.0), worst=-6.9, worst_at=24.9, distance=-2.4, falls=((0.0, 92.0),),
            strikes=((0.0, 55.7),),
        ),
    ),
    holes=np.array([[26.0, 32.0]]),
    zones=(
        AnchorZone(
            anchor="A", length=5.0, asked=5.0, within=(cause(0.3, kind="line", station=1.1),),
            border=(cause(2.0, FALL, needed=4.5, kind="body", station=5.0, family="fall"),),
        ),
        AnchorZone(anchor="B", length=5.0, asked=5.0, within=(cause(-0.1, inside=0.7, kind="line", station=91.0),)),
    ),
)


def test_the_list_says_place_cause_walker_and_what_is_left():
    text, words = text_of(SHORT), words_of(SHORT)
    first, then = text.splitlines()[1:3]
    assert first.startswith("! Without any fall, the rig reaches the ground at 91 m and 9.3 m")
    assert then.startswith("! What is asked for is not kept at 2 places")
    row = next(line for line in text.splitlines() if line.strip().startswith("2 "))
    # 2 m needed and 4.6 cm inside: 2.046 m short, rounded up.
    for part in ("loop", "9.3 m", "10.6 m", "2.0 m", "40 cm in rock, 4.6 cm deep", "short by 2.1 m", "3.6 cm below it"):
        assert part in row
    # What lies 4.3 m off, at the border of A's zone, is of the same ground: a body, which comes before lines.
    assert "walker on the line, still air short there too: body, leash fall, at its lowest (bound): 2.0 m" in words
    assert "loop, walker on the line, gust from the left: 5.0 cm" in words
    assert "and 2 more causes" in words  # Five are short besides the first; the sixth is not.
    second = next(line for line in text.splitlines() if line.strip().startswith("3 "))
    assert "body" in second and "unknown" in second and "1.0 m" in second and "nobody" in second
    assert "plus 50 cm survey error, plus 1.0 m margin" in words


def test_zones_holes_and_anchors_are_told():
    words = words_of(SHORT)
    assert "0 to 32 m 60 to 92 m ≤ 6.6 m 25.2 m none 22.8 to 27.4 m" in words
    assert "If the ring runs along the main after a fall (bound, no friction)" in words
    assert "5 to 33.3 m ≤ 6.9 m 0 to 92 m 0 to 55.7 m" in words
    assert "No ground is known in plan at 26 to 32 m from A; nothing is bridged." in words
    assert "1 line 91 m 10.6 m 70 cm in rock, 10 cm deep" in words  # The place of what lies in rock beside B.
    assert "Beside anchor B the line lies in rock: 70 cm of it, up to 10 cm deep" in words
    assert "nearest within, not compared: line, walker on the line, still air: 30 cm" in words
    assert "Still air only" in words and "not permission" in words


def test_one_system_of_units_all_through():
    assert re.search(r"\d (m|cm|mm)\b", text_of(SHORT, "feet")) is None
    assert "30.6 ft" in text_of(SHORT, "feet") or "31 ft" in text_of(SHORT, "feet")


def test_everything_that_is_said_comes_from_messages():
    """What stands outside of ⟦ ⟧ in the pseudo-language is numbers, names and marks."""
    text = text_of(SHORT, language=PSEUDO)
    depth, outside = 0, []
    for letter in text:
        depth += (letter in "⟦⟪") - (letter in "⟧⟫")
        if depth == 0 and letter not in "⟧⟫":
            outside.append(letter)
    assert not re.search(r"[A-Za-z]{4,}", "".join(outside))


def test_at_most_twenty_places():
    many = study([finding(k, 2.0 + 0.1 * k) for k in range(1, 31)])
    rows = [line for line in text_of(many).splitlines() if re.match(r" +\d+  ", line)]
    assert len(rows) == LISTED
    assert "10 places more, none of them short" in text_of(many)
    assert len(clearance_json(many)["findings"]) == 30


@pytest.mark.parametrize("known", [SHORT, study([finding(1, 4.0)]), study([])])
def test_it_never_says_the_forbidden_word_nor_gives_a_tick(known):
    text = text_of(known) + json.dumps(clearance_json(known))
    assert "safe" not in text.lower() and not set("✓✔✅") & set(text)


def test_a_met_list_names_its_bounds():
    known = study([finding(1, 4.0)])
    words = words_of(known)
    assert "What is asked for is kept by these figures, with the bounds and assumptions listed below." in words
    assert "From no place tried does a leash fall come nearer to the ground than needed, if the ring stays" in words
    assert "If the ring runs" not in words
    assert "If the ring runs along the main, feet get nowhere nearer than needed" in words_of(
        study([finding(1, 4.0)], runs=())
    )
    assert "No falls were looked at." in words_of(study([finding(1, 4.0)], walkers=np.zeros(0)))


def test_nothing_compared_is_an_alarm_and_never_kept():
    nothing = study([], compared=())
    assert nothing.clearance.verdict is Verdict.UNKNOWN and nothing.clearance.exit_status == 3
    assert any("Nothing was compared" in text for text in alarms(nothing, Words()))
    some = study([finding(1, 4.0)], compared=("line", "loop"))
    assert some.clearance.exit_status == 3
    assert "Not compared with what is asked for: leash and body" in words_of(some)
    assert "is kept by these figures" not in words_of(some)


def test_json_is_plain_and_complete():
    data = json.loads(json.dumps(clearance_json(SHORT), allow_nan=False))
    first, *others = (row for row in data["causes"] if row["rank"] == 2)
    (second,) = (row for row in data["causes"] if row["rank"] == 3)
    assert (data["exit_status"], data["is_met"], data["verdict"]) == (3, False, "short")
    assert len(others) == 6 and first["inside"] == 0.4 and first["cause"] == "rig/walker/still"
    assert first["distance"] == -0.046 and first["remainder"] == pytest.approx(-2.046) and not first["is_met"]
    assert first["point"] == POINT.tolist() and first["where"] == "place"
    assert data["runs"][0]["strikes"] == [[0.0, 55.7]] and data["runs"][0]["distance"] == -2.4
    assert second["vertical"] is None and second["walker"] is None
    assert data["no_fall_zones"][0]["from_b"] == [60.0, 92.0] and data["strikes"][0]["worst"] == -2.1
    beside = [(row["zone"], row["where"], row["kind"]) for row in data["causes"] if row["rank"] is None]
    assert beside == [("A", "within", "line")]
    placed = {(row["zone"], row["where"]): row["rank"] for row in data["causes"] if row["zone"] and row["rank"]}
    assert placed == {("A", "border"): 2, ("B", "within"): 1}
    assert [(row["rank"], row["zone"]) for row in data["findings"]] == [(1, "B"), (2, ""), (3, "")]
    assert data["holes"] == [[26.0, 32.0]] and data["cautions"] and data["notes"][0]["severity"] == "danger"


def test_csv_has_a_row_for_every_cause():
    rows = list(csv.reader(io.StringIO(grids.csv_text(CAUSES, SHORT))))
    assert len(rows) == 1 + 7 + 3 and len({len(row) for row in rows}) == 1
    row = dict(zip(rows[0], rows[1], strict=True))
    assert row["distance (bound) [m]"] == "-0.046" and row["point z [m]"] == "-2.9" and row["is_met"] == "no"


def test_unknown_ground_is_the_headline_and_nothing_counts_as_kept_over_it():
    known = study(
        [finding(1, 36.0, station=70.0), finding(2, 40.0, station=20.0)], holes=np.array([[58.3, 92.0]]),
        unknown=np.array([[58.3, 87.0]]),
    )
    assert (known.clearance.is_met, known.clearance.exit_status) == (False, 3)
    lines, words = text_of(known).splitlines(), words_of(known)
    assert lines[1].startswith("! Nothing is known of the ground below the line at 58.3 to 87 m from A")
    assert "is kept by these figures" not in words and "it is not shown to be kept" in words
    assert "Ground is not known below 58.3 to 87 m from A" in words and "From no place tried" not in words
    rows = [line for line in lines if re.match(r" +\d+  ", line)]
    assert rows[0].endswith("ground not known below") and rows[1].endswith("38 m")
    assert clearance_json(known)["unknown"] == [[58.3, 87.0]]
    nothing_asked = study([finding(1, 36.0)], unknown=np.array([[58.3, 87.0]]), is_asked=False)
    assert nothing_asked.clearance.exit_status == 0 and "Nothing is known" in words_of(nothing_asked)


def test_alarms_leave_out_what_is_said_elsewhere():
    kinds = {note.kind for note in CLEARANCE.notes(SHORT) if note.leads}
    assert {ClearanceNote.SHORT, ClearanceNote.IN_ROCK} <= kinds
    assert not any("lies in rock" in text for text in alarms(SHORT, Words(), leave=(ClearanceNote.IN_ROCK,)))
    dragged = Note(
        kind=ClearanceNote.DRAGGED, severity=Severity.DANGER, values={"stretches": Stretches(((2.0, 5.0),))}
    )
    (text,) = alarms(study([finding(1, 4.0)], notes=(dragged,)), Words())
    assert text.startswith("Leash falls drag the main onto the ground") and "2 to 5 m" in text


def test_rock_beside_an_anchor_is_listed_apart():
    body = {"kind": "body", "needed": 4.5}
    known = study(
        [finding(1, 5.0)],
        zones=(
            AnchorZone(anchor="A", length=5.0, asked=5.0, beside=(
                cause(3.6, Why(kind=CauseKind.HANGING), station=5.1, **body),
                cause(3.9, Why(kind=CauseKind.STANDING), station=5.2, **body),
            )),
            AnchorZone(anchor="B", length=5.0, asked=5.0, beside=(
                cause(4.1, Why(kind=CauseKind.STANDING), station=86.0, **body),
            )),
        ),
    )
    words = words_of(known)
    assert known.clearance.exit_status == 0
    assert "is kept by these figures, except from rock beside the anchors, which is listed apart" in words
    assert "not compared: body, hanging on the leash: 3.6 m" in words and "body, standing, still air: 4.1 m" in words
    assert "3.9 m" not in words


@pytest.mark.parametrize(("system", "values"), [("metric", ("4.5 kN", "3.0 kN")), ("feet", ("1010 lbf", "674 lbf"))])
def test_what_is_tried_stands_above_the_places(system, values):
    known = study([finding(1, 0.5)])
    assert "Tried" not in text_of(known, system)
    head = text_of(rigs.changed(known, inputs=rigs.TRIED), system).replace("\u00a0", " ").split("\n\n")[0]
    assert "\n! Tried (variant tight), not the file's: main.tension" in head
    assert all(value in head for value in values)
    assert "Tried" not in re.sub("⟦.*⟧", "", text_of(rigs.changed(known, inputs=rigs.TRIED), system, PSEUDO))
