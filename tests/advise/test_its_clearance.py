"""What an advice says of the clearance of its plans is what the clearance says of them when they are kept."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from linescope.advise import Advice, AdviceVerdict, Ask, advise
from linescope.advise.checked import is_worse, others_short
from linescope.advise.wished import counted_of
from linescope.clearance import find_clearance
from linescope.clearance.finding import Verdict
from linescope.cli import main
from linescope.scene import Scene
from linescope.study import Study
from linescope.topics.advise import TOPIC as ADVICE
from linescope.topics.advise import AdviceNote
from linescope.topics.advise.text import advice_text
from linescope.words import Words
from tests.advise.lines import scene_of, wish

SHELF = """
[ground]
kind = "profile"
half_width = "10 m"
profile = [["-3 m", "-0.75 m"], ["1.3 m", "-0.75 m"], ["1.5 m", "-40 m"], ["22 m", "-40 m"], ["22.6 m", "-0.9 m"],
           ["28 m", "-0.9 m"]]

[clearance]
line = "0.5 m"
loop = "0.5 m"
body = "1 m"
survey_error = "0 m"
margin = "0 m"

[limits]
pull = ["2 kN", "2 kN"]
bay = ["3 m", "3 m"]
leash = ["1.6 m", "1.6 m"]
"""


@pytest.fixture(scope="module")
def scene() -> Scene:
    """More excess is wished for, and with it the loop next to A comes down into the shelf there."""
    return scene_of(wish("excess standing", "6 %"), SHELF, excess="1 %")


@pytest.fixture(scope="module")
def advised_well(scene) -> Advice:
    return advise(scene, Ask(draws=0, most=1))


@pytest.fixture(scope="module")
def into_rock(scene) -> dict[str, str]:
    """What would be tried if nobody looked at its clearance."""
    return advise(scene, Ask(draws=0, most=1, check=False)).options[0].tried


@pytest.fixture(scope="module")
def found(scene, advised_well, into_rock) -> tuple[Scene, Advice]:
    """An advice of a plan whose clearance is short all the same."""
    rig = scene.what_if(into_rock).rig
    check = find_clearance(rig)
    option = replace(
        advised_well.options[0], clearance=check, short=others_short(check, rig), verdict=Verdict.SHORT, is_worse=True,
    )
    return scene, replace(advised_well, options=(option,))


def advised(scene: Scene, advice: Advice) -> Study:
    return Study(scene, advise=True, given={"advice": advice})


def kept(scene: Scene, tried: dict[str, str], file: Path) -> Path:
    file.write_text(scene.text, encoding="utf-8")
    before = Scene.read(file)
    before.what_if(tried).keep("advised").save(before)
    return file


def test_a_plan_passes_when_its_file_is_loaded_and_its_clearance_run(scene, advised_well, into_rock, tmp_path, capsys):
    """By the command itself; and the plan that would be taken without looking is told to be in rock by it."""
    assert advised_well.verdict is AdviceVerdict.FOUND and advised_well.now.verdict is Verdict.KEPT
    option = advised_well.options[0]
    assert option.is_met and not option.is_worse and option.verdict is Verdict.KEPT and not option.short
    assert option.tried != into_rock and advised_well.exit_status == 0
    assert main(["clearance", str(kept(scene, option.tried, tmp_path / "well.toml")), "--variant", "advised"]) == 0
    capsys.readouterr()
    assert main(["clearance", str(kept(scene, into_rock, tmp_path / "rock.toml")), "--variant", "advised"]) == 3
    assert "in rock" in capsys.readouterr().out


def test_figures_are_no_better_than_what_the_clearance_finds(scene, advised_well):
    """Wherever its worst walker stands: against the sweep of the plan as loaded, finding by finding."""
    option = advised_well.options[0]
    check = find_clearance(scene.what_if(option.tried).rig)
    told = {each.wish.figure: each.least for each in option.wishes}
    for cause in check.causes:
        figure = {
            "line/rig": "line over ground", "loop/rig": "loops over ground",
            "body/gone-floor/nothing-holds": "feet over ground if the main goes",
        }.get(f"{cause.kind}/{cause.family}")
        if figure is not None:
            assert told[figure] <= cause.distance + 0.005


def test_its_headline_row_and_data_say_it(found):
    scene, advice = found
    study = advised(scene, advice)
    said = re.sub(r"\s+", " ", advice_text(study, Words("metric", "en")))
    verdict = "! One plan keeps all that is wished, as solved; its clearance is not kept"
    assert f"{verdict}: see there." in said
    assert "that of the line as planned now is: the plan makes it worse" in said
    assert "its clearance kept not kept: loop" in said
    assert "in rock" in said and "checked by the clearance" not in said
    kinds = [note.kind for note in ADVICE.notes(study)]
    assert AdviceNote.NOT_CLEAR in kinds and AdviceNote.UNCHECKED not in kinds


@pytest.mark.parametrize(("plan", "now", "worse"), [
    (Verdict.SHORT, Verdict.KEPT, True), (Verdict.UNKNOWN, Verdict.KEPT, True), (Verdict.SHORT, Verdict.UNKNOWN, True),
    (Verdict.KEPT, Verdict.SHORT, False), (Verdict.KEPT, Verdict.KEPT, False), (None, Verdict.KEPT, False),
    (Verdict.SHORT, Verdict.SHORT, False),
])
def test_which_clearance_is_worse_and_what_the_exit_status_is(found, plan, now, worse):
    _, advice = found
    option = replace(advice.options[0], verdict=plan)
    assert is_worse(option, replace(advice.now, verdict=now, short=option.short)) is worse
    told = replace(advice, options=(option,))
    assert told.exit_status == (3 if plan in (Verdict.SHORT, Verdict.UNKNOWN) else 0)
    assert replace(told, verdict=AdviceVerdict.NOT_FOUND).exit_status == 3


def test_deeper_in_rock_is_worse(found):
    _, advice = found
    option = advice.options[0]
    less = replace(option.short[0], distance=option.short[0].distance + 0.02)
    assert is_worse(option, replace(advice.now, verdict=Verdict.SHORT, short=(less,)))


def test_no_words_call_kept_what_is_not_known(found):
    scene, advice = found
    for verdict, text in ((Verdict.UNKNOWN, "not shown to be kept"), (None, "as solved.")):
        told = replace(advice, options=(replace(advice.options[0], verdict=verdict, short=()),))
        said = re.sub(r"\s+", " ", advice_text(advised(scene, told), Words("metric", "en")))
        assert text in said and "is kept as well" not in said


@pytest.mark.parametrize(("kept", "said"), [(29, False), (28, True), (0, True)])
def test_a_plan_kept_in_fewer_than_nine_of_ten_draws_is_said_not_to_be_held(found, kept, said):
    """29 of 32 are 90.6 %, 28 are 87.5 %."""
    scene, advice = found
    option = advice.options[0]
    wishes = tuple(replace(each, draws=32, share=1.0) for each in option.wishes)
    wishes = (replace(wishes[0], share=(kept + 2) / 32), *wishes[1:])
    told = replace(advice, draws=32, options=(replace(option, share=kept / 32, wishes=wishes),))
    notes = [note for note in ADVICE.notes(advised(scene, told)) if note.kind is AdviceNote.NOT_HELD]
    assert bool(notes) is said and all(note.leads and note.values["kept"] == kept for note in notes)
    if said:
        text = re.sub(r"\s+", " ", advice_text(advised(scene, told), Words("metric", "en")))
        assert f"{kept} of 32" in text
        assert f"Missed most: excess, nobody on the line, kept in {kept + 2}." in text


def test_wishes_say_over_which_stretch_they_are_counted(found):
    """Outside the anchor zones: 5 m, or less where a scene or a short span asks for less."""
    scene, advice = found
    zone = advice.now.clearance.anchor_zone
    feet = next(each for each in advice.wishes if each.figure == "feet over ground in a leash fall")
    assert counted_of(scene.rig, feet) == pytest.approx((zone, 24.0 - zone))
    own = next(each for each in advice.wishes if each.figure == "excess standing")
    assert counted_of(scene.rig, own) == (0.0, 24.0)
    said = re.sub(r"\s+", " ", advice_text(advised(scene, advice), Words("metric", "en")))
    assert re.search(r"feet over the ground in a leash fall, at least 1\.0 m, from [\d.]+ m to [\d.]+ m", said)
    assert "counted outside the anchor zones" in said
    zones = advice.options[0].clearance.no_fall_zones
    assert zones and "Nobody may fall into the leash at 0 to " in said
