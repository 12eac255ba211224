"""The ranked list for people and the figures for programs, from findings made by hand."""

from __future__ import annotations

import json
import re

import numpy as np
import pytest

from linescope.clearance import Clearance, Finding, NoFallZone, RunReach
from linescope.report.clearance import MOST, clearance_json, clearance_text

POINT = np.array([9.3, 0.0, -2.9])


def finding(rank, distance, **changes):
    given = {
        "rank": rank, "kind": "loop", "cause": f"walker on the line, cause {rank}", "distance": distance,
        "vertical": distance + 0.01, "required": 0.5, "needed": 2.0, "station": 9.34, "walker": 10.55, "point": POINT,
        "nearest": POINT - np.array([0, 0, distance]), "vertical_station": 9.4, "vertical_walker": 10.6,
        "vertical_point": POINT, "vertical_ground": POINT,
    }  # fmt: skip
    return Finding(**(given | changes))


def clearance(findings, **changes):
    given = {
        "findings": tuple(findings), "no_fall_zones": (), "holes": np.zeros((0, 2)), "survey_error": 0.5, "margin": 1.0,
        "source": "an invented profile", "notes": ("Looked at: still air.",), "anchor_zone": 5.0,
        "walkers": np.array([4.0, 10.55]),
    }  # fmt: skip
    return Clearance(**(given | changes))


SHORT = clearance(
    [
        finding(1, -0.046, also=(("gust from the left", 0.05), ("gust from the right", 0.06), ("steady wind", 0.07))),
        finding(2, 3.0, kind="body", cause="leash fall, down to its lowest (bound)", vertical=np.nan, walker=None),
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
    at_anchors=(
        finding(1, 0.3, kind="line", station=1.1, cause="walker on the line, near A"),
        finding(2, 0.4, kind="line", station=91.0, cause="walker on the line, near B"),
    ),
)


def test_the_list_says_place_cause_walker_and_what_is_left():
    text = clearance_text(SHORT)
    assert "NOT MET at 1 place" in text  # 2 m needed and 4.6 cm inside: 2.046 m short, rounded up.
    row = next(line for line in text.splitlines() if "loop of the backup" in line)
    for part in ("9.3 m", "10.6 m", "50 cm", "2.0 m", "4.6 cm INSIDE", "SHORT BY 2.1 m"):
        assert part in row
    assert "walker on the line, cause 1. There too: gust from the left 5.0 cm" in text
    assert "and 1 more cause " in " ".join(text.split())
    body = next(line for line in text.splitlines() if " body " in line)
    assert "unknown" in body and "1.0 m left" in body
    assert "50 cm survey error, plus 1.0 m margin" in text.replace("\n  ", " ")


def test_zones_holes_and_anchors_are_told():
    text = " ".join(clearance_text(SHORT).split())
    assert "NO FALL 0.0 m to 32.0 m from A (60.0 m to 92.0 m from B): short by up to 6.6 m, worst at 25.2 m" in text
    assert "touches the ground from 22.8 m to 27.4 m" in text
    assert "If the ring runs along the main after a fall, feet can get too near (bound, no friction)" in text
    assert "over 5.0 m to 33.3 m from A, short by up to 6.9 m, in falls from 0.0 m to 92.0 m" in text
    assert "THE GROUND ITSELF in falls from 0.0 m to 55.7 m" in text
    assert "NOTHING IS KNOWN at 26.0 m to 32.0 m from A" in text and "nothing is bridged" in text
    assert "line, 1.1 m from A: 30 cm (walker on the line, near A)" in text
    assert "line, 91.0 m from A: 40 cm (walker on the line, near B)" in text
    assert "Looked at: still air." in text and "not a permission" in text


def test_feet_all_through():
    text = clearance_text(SHORT, "feet")
    figures = text[: text.index("ASSUMED")]
    assert re.search(r"\d (m|cm|mm)\b", figures) is None
    assert "30.6 ft" in figures and "105.0 ft" in figures


def test_at_most_twenty_places():
    many = clearance([finding(k, 0.1 * k) for k in range(1, 31)])
    text = clearance_text(many)
    assert f"cause {MOST}" in text and f"cause {MOST + 1}" not in text
    assert "10 places more, 0 of them short" in text
    assert len(clearance_json(many)["findings"]) == 30


@pytest.mark.parametrize("found", [SHORT, clearance([finding(1, 4.0)]), clearance([])])
def test_it_never_says_the_forbidden_word_nor_gives_a_tick(found):
    text = clearance_text(found) + json.dumps(clearance_json(found))
    assert "safe" not in text.lower() and not set("✓✔✅") & set(text)


def test_a_met_list_names_its_bounds():
    text = clearance_text(clearance([finding(1, 4.0)]))
    assert "NOT MET" not in text and "with the bounds and assumptions listed below" in " ".join(text.split())
    words = " ".join(text.split())
    assert "From no place tried does a leash fall come nearer to the ground than needed, if the ring stays" in words
    assert "If the ring runs" not in words
    ran = " ".join(clearance_text(clearance([finding(1, 4.0)], runs=())).split())
    assert "If the ring runs along the main, feet get nowhere nearer than needed" in ran
    assert "Nothing was measured" in clearance_text(clearance([]))
    assert "No falls were looked at." in clearance_text(clearance([finding(1, 4.0)], walkers=np.zeros(0)))


def test_json_is_plain_and_complete():
    data = json.loads(json.dumps(clearance_json(SHORT), allow_nan=False))
    first, second = data["findings"]
    assert (data["exit_status"], data["is_met"]) == (3, False)
    assert first["distance"] == -0.046 and first["remainder"] == pytest.approx(-2.046) and not first["is_met"]
    assert first["point"] == POINT.tolist() and first["also"][0] == {"cause": "gust from the left", "distance": 0.05}
    assert data["runs"][0]["strikes"] == [[0.0, 55.7]] and data["runs"][0]["distance"] == -2.4
    assert second["vertical"] is None and second["walker"] is None
    assert data["no_fall_zones"][0]["from_b"] == [60.0, 92.0] and data["strikes"][0]["worst"] == -2.1
    assert data["holes"] == [[26.0, 32.0]] and len(data["at_anchors"]) == 2 and data["cautions"]


def test_unknown_ground_is_the_headline_and_nothing_counts_as_kept_over_it():
    found = clearance(
        [finding(1, 36.0, station=70.0), finding(2, 40.0, station=20.0)], holes=np.array([[58.3, 92.0]]),
        unknown=np.array([[58.3, 87.0]]), span=92.0, notes=("ANCHOR B IS 21 m BELOW the ground there: look.",),
    )
    assert (found.is_met, found.exit_status) == (False, 3)
    lines = clearance_text(found).splitlines()
    assert lines[1].startswith("! NOTHING IS KNOWN of the ground below the line at 58.3 m to 87.0 m from A")
    words = " ".join(" ".join(lines).split())
    assert words.index("ANCHOR B IS 21 m BELOW") < words.index("WORST PLACES")
    assert words.count("ANCHOR B IS 21 m BELOW") == 1
    assert "Every distance asked for is kept" not in words and "NOT SHOWN TO BE KEPT" in words
    assert "NOT KNOWN 58.3 m to 87.0 m from A" in words and "From no place tried" not in words
    rows = [line for line in lines if "loop of the backup" in line]
    assert rows[0].endswith("NOT KNOWN below") and rows[1].endswith("38 m left")
    data = clearance_json(found)
    assert data["unknown"] == [[58.3, 87.0]] and data["exit_status"] == 3 and len(data["alarms"]) == 2
    nothing_asked = clearance([finding(1, 36.0)], unknown=np.array([[58.3, 87.0]]), is_asked=False)
    assert nothing_asked.exit_status == 0 and "NOTHING IS KNOWN" in clearance_text(nothing_asked)


def test_rock_beside_an_anchor_is_listed_apart():
    found = clearance(
        [finding(1, 5.0)], span=92.0,
        by_edge=(
            finding(1, 3.6, kind="body", station=5.1, needed=4.5, cause="hanging on the leash"),
            finding(2, 3.9, kind="body", station=5.2, needed=4.5, cause="standing"),
            finding(3, 4.1, kind="body", station=86.0, needed=4.5, cause="standing"),
        ),
    )
    words = " ".join(clearance_text(found).split())
    assert found.exit_status == 0 and "except from rock beside the anchors" in words
    part = words[words.index("BY THE CLIFF EDGE") :]
    assert "body, 5.1 m from A: 3.6 m to rock beside it, 4.5 m needed from ground below (hanging on the leash)" in part
    assert "body, 86.0 m from A: 4.1 m" in part and "5.2 m from A" not in part
    assert len(clearance_json(found)["by_edge"]) == 3
