"""What was measured on a first strip: strips wound on lines that are not as given come out right."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import linescope
from linescope.errors import InputError, SceneError
from linescope.statics import cut_list, plan
from linescope.taping import FAMILIES, Enclosing, FirstStrip, Holds, Lead, lay, lay_whole_wraps, wind
from linescope.taping.measured import corrected, factor
from tests.taping.test_winding import KINDS, PAIR, STOCK, THIN

SCENES = Path(__file__).parents[2] / "scenes"


def test_a_measured_turn_is_the_way_round_the_bare_pair() -> None:
    """k P + pi tt by hand; a turn by the sizes corrects nothing."""
    assert factor(PAIR, STOCK) == 1.0
    by_size = float(wind(PAIR, THIN, Holds.BOTH, Lead(length=0.02)).used(PAIR.outline.round))
    assert factor(PAIR, replace(STOCK, measured_turn=by_size)) == pytest.approx(1.0, abs=1e-12)
    soft = replace(STOCK, measured_turn=0.0570)
    assert factor(PAIR, soft) == pytest.approx((0.0570 - 3.14159265 * 0.00013) / 0.0596)
    assert corrected(PAIR, soft).perimeter == pytest.approx(0.0570 - 3.14159265 * 0.00013)


def test_edges_rounded_by_half_the_thickness_are_seen_in_the_turn() -> None:
    """Edges of radius t/2 shorten the bare way by (2 - pi/2) t/2 at each corner of the stack: 57.5 for 59.6 mm.

    Outline by hand: a stadium of the whole stack's corners, four of radius 1.2 mm.
    """
    bare = 0.0596 - 4 * (2.0 - 3.14159265 / 2) * 0.0012
    assert 1e3 * bare == pytest.approx(57.5, abs=0.06)
    measured = replace(STOCK, measured_turn=bare + 3.14159265 * THIN)
    assert corrected(PAIR, measured).perimeter == pytest.approx(bare, rel=1e-7)


@settings(max_examples=30, deadline=None)
@given(st.sampled_from(KINDS), st.floats(0.9, 1.08), st.floats(-0.006, 0.006))
def test_a_first_strip_finds_the_lines_it_was_wound_on(kind: tuple[str, Holds], k: float, past: float) -> None:
    """Wound on lines k times as large, cut where it ends so far beyond the middle: those found take one as long."""
    family = FAMILIES[kind[0]]
    tape = family.tape(STOCK)
    beginning = family.recipe(PAIR, tape, STOCK, kind[1])
    wound = wind(PAIR.scaled(k), tape.thickness, kind[1], beginning)
    meant = lay(family, PAIR, STOCK, kind[1])
    passing = wound.passing(0.0, wound.start)
    places = [passing + n * wound.turn for n in range(8)]
    length = min((float(wound.used(u)) for u in places), key=lambda used: abs(used - meant.cut_length)) + past
    if abs(length - past - meant.cut_length) > 0.025:  # So far off that another turn would end nearer.
        return
    stock = replace(STOCK, first=FirstStrip(family=kind[0], holds=kind[1], length=length, past=past))
    found = factor(PAIR, stock)
    again = wind(PAIR.scaled(found), tape.thickness, kind[1], beginning)
    ends = [float(again.used(again.passing(0.0, again.start) + n * again.turn)) for n in range(8)]
    assert min(abs(end - (length - past)) for end in ends) < 2e-5
    # Half a layer where a strip comes out is not told from the lines.  Under the end of a cross piece, lines of two
    # sizes take strips of one length, so with cloth the length alone can come back.
    if not family.of_cloth:
        assert found == pytest.approx(k, abs=4e-5)


def test_a_first_strip_stands_above_a_measured_turn_and_corrects_other_families() -> None:
    first = FirstStrip(family="fixed wrap", holds=Holds.BOTH, length=0.245, past=0.008)
    stock = replace(STOCK, measured_turn=0.055, first=first)
    shorter = factor(PAIR, stock)
    assert shorter == pytest.approx(1.0 - 0.008 / (4 * 0.0596), abs=2e-3)
    for key, holds in KINDS:
        assert lay(FAMILIES[key], PAIR, stock, holds).cut_length < lay(FAMILIES[key], PAIR, STOCK, holds).cut_length
        assert lay(FAMILIES[key], PAIR, stock, holds).finish.is_underneath


def test_what_belongs_to_other_lines_is_refused() -> None:
    with pytest.raises(InputError, match=r"measured_turn.*one turn.*45 to 75 mm"):
        factor(PAIR, replace(STOCK, measured_turn=0.122))
    wrong = FirstStrip(family="fixed wrap", holds=Holds.BOTH, length=0.090, past=0.0)
    with pytest.raises(InputError, match=r"first\.strip"):
        factor(PAIR, replace(STOCK, first=wrong))


TAPE = '''thickness = "0.15 mm"
measured_turn = "60 mm"
short_end = "48 mm"
cloth_width = "50 mm"
first = { style = "main-held slider", strip = "302 mm", past_middle = "-4 mm" }
'''


def scene_with(folder: Path, lines: str) -> Path:
    text = (SCENES / "ptarmigan_step.toml").read_text(encoding="utf-8")
    file = folder / "scene.toml"
    file.write_text(f"{text}\n[tape]\n{lines}\n", encoding="utf-8")
    return file


def test_a_scene_says_what_was_measured(tmp_path: Path) -> None:
    plain, told = linescope.load(SCENES / "ptarmigan_step.toml").rig, linescope.load(scene_with(tmp_path, TAPE)).rig
    stock = told.taping.stock
    assert (stock.thickness, stock.measured_turn, stock.short_end, stock.cloth_width) == (
        pytest.approx(0.00015), pytest.approx(0.060), pytest.approx(0.048), pytest.approx(0.050)
    )
    assert stock.first == FirstStrip(
        family="main-held slider", holds=Holds.MAIN, length=pytest.approx(0.302), past=pytest.approx(-0.004)  # type: ignore[arg-type]
    )
    key = ("main-held slider", Holds.MAIN)
    tape = cut_list(plan(told)).tapes[key]
    assert tape.cut_length != pytest.approx(cut_list(plan(plain)).tapes[key].cut_length, abs=1e-3)
    # The same strip as was measured, 4 mm longer, ends in the middle.
    beginning = Enclosing(short=0.048)
    wound = wind(corrected(told.section, stock), 0.00015, Holds.MAIN, beginning)
    assert float(wound.used(wound.passing(0.0, wound.reached(0.306) - 0.01))) == pytest.approx(0.306, abs=1e-6)


@pytest.mark.parametrize(
    ("lines", "problem"),
    [('measured_turn = "12 cm"', "tape.measured_turn"), ('short_end = "5 mm"', "tape.short_end"),
     ('first = {style="main-held slider", holds="backup", strip="30 cm", past_middle="0 mm"}', "tape.first.holds"),
     ('first = { style = "fixed wrap", strip = "9 cm", past_middle = "0 mm" }', "tape.first.strip"),
     ('first = { style = "fixed wrap", strip = "245 mm" }', "tape.first.past_middle")],
)
def test_slips_in_a_scene_are_named(lines: str, problem: str, tmp_path: Path) -> None:
    file = scene_with(tmp_path, lines)
    with pytest.raises(SceneError, match=problem.replace(".", r"\.")):
        linescope.load(file).rig  # noqa: B018


def test_whole_wraps_follow_too() -> None:
    soft = replace(STOCK, measured_turn=0.0560)
    family = FAMILIES["fixed wrap"]
    less = lay_whole_wraps(family, PAIR, STOCK).cut_length - lay_whole_wraps(family, PAIR, soft).cut_length
    assert less == pytest.approx(4 * (0.0596 - (0.0560 - 3.14159265 * 0.00013)), abs=1e-6)
