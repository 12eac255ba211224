"""Figures for programs and for people: documented keys, full precision, two significant figures, loud words."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import linescope
from linescope.report import bands, keys
from linescope.report.figures import figures_json
from linescope.report.people import figures_text
from linescope.study import Study
from linescope.topics import GROUPS

SCENES = Path(__file__).parents[2] / "scenes"


@pytest.fixture(scope="module")
def heron() -> Study:
    return Study(linescope.load(SCENES / "heron_gap.toml"), leave=Study.SLOW | {"ground"})


@pytest.fixture(scope="module")
def step() -> Study:
    rig = linescope.load(SCENES / "ptarmigan_step.toml")
    return Study(rig, leave={"ground", "crossing_value"}, places=6)


def test_every_number_is_si_full_precision_and_finite(step: Study) -> None:
    data = json.loads(json.dumps(figures_json(step), allow_nan=False))
    taped = data["states"]["as taped"]
    assert taped["tension_a"] == step.taped.tension_a
    np.testing.assert_array_equal(taped["loop_depth"], step.taped.bays.loop_depth)
    np.testing.assert_array_equal(taped["tape_points"], step.taped.tape_points)
    assert data["main_gone"]["nothing holds"]["rest_depth"] == step.main_gone.nothing_holds.rest.depth.tolist()
    assert data["crossing"]["low"]["total_slip"] == step.crossing_low.total_slip.tolist()
    assert len(data["leash_fall_sweep"]["peak_force"]) == 6


def test_every_emitted_key_is_documented_and_every_documented_key_emitted(step: Study) -> None:
    """What topics declare against the output itself, walked independently."""
    data = figures_json(step)
    text = keys.documentation()
    found: dict[str, set[str]] = {}

    def note(section: str, part: dict[str, Any]) -> None:
        found.setdefault(section, set()).update(part)

    for section, of in (
        ("states.<name>", data["states"]), ("excess.<state>", data["excess"]), ("let_go.<level>", data["let_go"]),
        ("crossing.<level>", data["crossing"]), ("bands.results.<key>", data["bands"]["results"]),
    ):
        for name, part in of.items():
            if (section, name) != ("excess.<state>", "notes"):
                note(section, part)
    for part in data["inputs"]:
        note("inputs[]", part)
    note("excess", {"notes": data["excess"]["notes"]})
    for name in ("rig", "layout", "downhill", "leash_fall", "leash_fall_places", "leash_fall_sweep"):
        note(name, data[name])
    for name in ("main_gone", "main_gone_places", "main_gone_sweep"):
        note(name, {k: v for k, v in data[name].items() if k not in ("nothing holds", "ties hold")})
        for side in ("nothing holds", "ties hold"):
            note(f"{name}.<side>", data[name][side])
    for case in data["wind"]["cases"]:
        note("wind.cases[]", case)
    note("wind", {key: value for key, value in data["wind"].items() if key != "cases"})
    for kind in data["tapes"]["kinds"]:
        note("tapes.kinds[]", kind)
    note("tapes", {key: value for key, value in data["tapes"].items() if key != "kinds"})
    # What commands of their own compute is not in this study; its keys are documented all the same (below).
    found_somewhere = {name.partition(".")[0].rstrip("[]") for name in found}
    here = [group for group in GROUPS if group.path.split(".")[0].rstrip("[]") in found_somewhere]
    documented = {group.path: {f.key for f in group.figures if f.data} for group in here}
    documented["bands.results.<key>"] = {name for name, _ in bands.FIGURES}
    assert found == documented
    for names in (*found.values(), *({f.key for f in group.figures if f.data} for group in GROUPS)):
        for name in names:
            assert name in text


def test_heron_gap_says_the_trap_loudly(heron: Study) -> None:
    text = " ".join(figures_text(heron).split())
    assert "! Negative excess, the backup carries load before the main fails: at the lowest point" in text
    assert "with the walker in 16 of 16 bays" in text
    assert "490 N beside 2.4 kN on the main" in text
    assert "The input that matters most" in text


def test_people_read_two_significant_figures(heron: Study) -> None:
    """Numbers with a unit have at most two significant figures, but for what is measured out on line and strips."""
    text = re.sub(r"(?m)^ *(strip to cut|lead, short end or tab) .*$", "", figures_text(heron))
    body = text.split("Inputs that are guessed")[0]
    places = r"\d+(?:\.\d)? to \d+(?:\.\d)? m|(?:at|walker at|AT|%) +\d+(?:\.\d)? (?:m|M)|^  \d+(?:\.\d)? m "
    lines = [re.sub(places, "", line) for line in body.splitlines()]
    numbers = re.findall(r"(?<![\w.])(\d+(?:\.\d+)?) (?:m|cm|mm|kN|N|%|deg|J)\b", "\n".join(lines))
    assert len(numbers) > 50
    for number in numbers:
        digits = number.replace(".", "").lstrip("0")
        if "." not in number:
            digits = digits.rstrip("0")
        assert len(digits) <= 2, number


def test_feet_show_no_metres(heron: Study) -> None:
    body = figures_text(heron, "feet").split("Inputs that are guessed")[0]
    assert " ft" in body
    assert not re.search(r"\d (?:m|cm|mm|kN|N)\b", body)


def test_text_never_promises(heron: Study, step: Study) -> None:
    for study in (heron, step):
        text = figures_text(study).lower()
        assert "safe" not in text
        assert "≤" in text
        assert "assumed" in text
        assert "local rules" in text


def test_bays_alike_share_a_row_and_long_lines_are_put_together(heron: Study) -> None:
    assert re.search(r"^  2–15 ", figures_text(heron), re.MULTILINE)
    tarn = Study(linescope.load(SCENES / "sable_tarn.toml"), leave=Study.SLOW | {"ground", "bands"})
    short, every = figures_text(tarn), figures_text(tarn, every_bay=True)
    assert len(every.splitlines()) - len(short.splitlines()) > 80


def test_bands_contain_the_value_and_name_their_inputs(heron: Study) -> None:
    assert heron.bands is not None
    for band in heron.bands.results:
        assert band.least <= band.low <= band.middle <= band.high <= band.most
        assert band.least <= band.value <= band.most
    tension = next(band for band in heron.bands.results if band.outcome.key == "tension_a")
    assert {share.input for share in tension.shares} >= {"main.tension", "main.stiffness_factor"}
    assert tension.low < tension.value < tension.high
    assert sum(share for _, share in heron.bands.ranking) == pytest.approx(1.0)


def test_a_guess_widens_the_band() -> None:
    """The same rig with its stretch known better has a narrower band."""
    text = (SCENES / "heron_gap.toml").read_text(encoding="utf-8")
    guess, sheet = 'known = "guess", low = "13 %", high = "20 %"', 'known = "sheet", low = "15.5 %", high = "16.5 %"'
    sure = text.replace(guess, sheet)
    assert sure != text
    from linescope.events import find_bands
    from linescope.scenefile import from_text

    def width(scene: str) -> float:
        bands = find_bands(from_text(scene, file="scene", folder=SCENES))
        band = next(band for band in bands.results if band.outcome.key == "tension_a")
        return band.high - band.low

    assert width(sure) < 0.7 * width(text)
