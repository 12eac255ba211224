"""Advice: every plan keeps its wishes when it is loaded afresh, what is planted is found, and nothing is called
impossible lightly.

Plans are checked with the events themselves, at places of this file, and with closed forms: the depth of a shallow
loop over its bay is sqrt(3 e / 8) for an excess e (Irvine, *Cable Structures*, 1981, section 2.2: length of a shallow
parabola, 8 d^2 / (3 S)).
"""

from __future__ import annotations

import dataclasses
import math
import re
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

import linescope
from linescope.advise import Advice, AdviceVerdict, Ask, Option, advise
from linescope.advise.advice import _Advising
from linescope.advise.case import AdvisedRig
from linescope.advise.hands import hand_bands
from linescope.advise.levers import instead, levers_of, tried_for
from linescope.advise.search import PlanSearch, Terms
from linescope.advise.wished import watched_of, wishes_of
from linescope.clearance import GroundIndex
from linescope.errors import InputError
from linescope.events.fall import leash_fall_sweep
from linescope.events.main_gone import main_gone
from linescope.events.moved import moved
from linescope.events.rig_draws import frozen
from linescope.rig import Wish
from linescope.scene import Scene
from linescope.statics import plan, solve
from linescope.terrain import load_ground
from linescope.topics.advise.text import changes
from linescope.words import Words
from tests.advise.lines import GROUND, scene_of, wish

SCENES = Path(__file__).parents[2] / "scenes"
QUICK = Ask(draws=0, check=False, most=3)
WISHES = (
    wish("excess with the walker", "1 %"), wish("loops under the walker", "28 cm", "40 cm"),
    wish("ring if the main goes", at_most="8 m"), wish("excess in a leash fall", "0 %"),
)


@pytest.fixture(scope="module")
def found() -> tuple[Scene, Advice]:
    scene = scene_of(*WISHES)
    return scene, advise(scene, QUICK)


def afresh(scene: Scene, option: Option, folder) -> Scene:
    """The plan kept in a file, and loaded from there."""
    file = folder / "wished.toml"
    file.write_text(scene.text, encoding="utf-8")
    before = Scene.read(file)
    before.what_if(option.tried).keep("advised").save(before)
    assert file.read_text(encoding="utf-8").startswith(scene.text)
    return linescope.load(file, "advised")


def test_plans_keep_their_wishes_when_their_file_is_loaded(found, tmp_path):
    scene, advice = found
    assert advice.verdict is AdviceVerdict.FOUND and len(advice.options) >= 2
    assert not advice.now.is_met
    for option in advice.options:
        rig = afresh(scene, option, tmp_path).rig
        planned = plan(rig)
        edges = np.concatenate(([0.0], planned.layout.tape_main, [planned.layout.main_length]))
        middles = 0.5 * (edges[1:] + edges[:-1]) / edges[-1] * rig.span
        # In the middle of the bay next to the middle of the line.
        at = float(middles[np.argmin(np.abs(middles - 0.5 * rig.span))])
        walked = solve(rig.with_walker_at(at), planned=planned)
        bay = int(np.argmin(np.abs(0.5 * (walked.bays.start + walked.bays.end) - at)))
        assert walked.bays.excess.min() >= 0.01
        assert 0.28 <= walked.bays.loop_depth[bay] <= 0.40
        gone = main_gone(rig, [rig.walker.at], points=1, most=False, run=False)
        assert gone.nothing_holds.lowest.depth[0] <= 8.0
        fall = leash_fall_sweep(rig, [0.25 * rig.span, 0.5 * rig.span], risen=False)
        assert fall.low.least_excess.min() >= 0.0


def test_plans_keep_their_wishes_all_along_the_line(found, tmp_path):
    """At places of this test's own: lines stood up one by one, falls and losses of the main by their own events; loops
    in the bay that the walker is in by where its tapes are, not by what is nearest."""
    scene, advice = found
    for option in advice.options:
        rig = afresh(scene, option, tmp_path).rig
        planned = plan(rig)
        golden = np.sort((np.arange(1, 72) * 0.6180339887498949) % 1.0)
        at = np.concatenate(([0.5], 0.5 + golden * (rig.span - 1.0), [rig.span - 0.5]))
        for place in at.tolist():
            walked = solve(rig.with_walker_at(place), planned=planned)
            assert walked.bays.excess.min() >= 0.01, place
            here = rig.along_chord(walked.walker_point)
            bay = int(np.clip(np.searchsorted(walked.bays.end, here), 0, len(walked.bays.end) - 1))
            inside = min(here - walked.bays.start[bay], walked.bays.end[bay] - here)
            if inside > 0.1:  # Beside a tape it may be either bay.
                assert 0.28 <= walked.bays.loop_depth[bay] <= 0.40, place
        gone = main_gone(rig, at, points=1, most=False, run=False)
        assert gone.nothing_holds.lowest.depth.max() <= 8.0
        inner = at[(at >= 0.06 * rig.span) & (at <= 0.94 * rig.span)]
        assert leash_fall_sweep(rig, inner, risen=False).low.least_excess.min() >= 0.0


def test_a_place_between_those_looked_at_first_is_handed_back():
    """A wish that is missed next to an anchor alone, where nobody looks to begin with; said where and by how much."""
    scene = scene_of(wish("ring if the main goes", at_most="7.5 m"), pull="3 kN", excess="5 %")
    rig = scene.rig
    ends = main_gone(rig, [0.5, 12.0, 23.5], points=1, most=False, run=False).nothing_holds.lowest.depth
    most = 0.5 * (float(ends[1]) + float(ends[[0, 2]].max()))
    assert ends[1] < most < ends[0]
    asked = scene_of(wish("ring if the main goes", at_most=f"{most} m"), pull="3 kN", excess="5 %")
    advice = advise(asked, dataclasses.replace(QUICK, most=1))
    now = advice.now.wishes[0]
    assert not now.is_met and min(now.at, rig.span - now.at) == pytest.approx(0.5, abs=0.01)
    assert now.left == pytest.approx(most - float(ends[[0, 2]].max()), abs=1e-6)
    assert advice.verdict is AdviceVerdict.FOUND
    kept = asked.what_if(advice.options[0].tried).rig
    again = main_gone(kept, [0.5, 3.0, 12.0, 21.0, 23.5], points=1, most=False, run=False)
    assert again.nothing_holds.lowest.depth.max() <= most


def test_what_is_said_of_a_plan_is_what_its_scene_gives(found):
    scene, advice = found
    for option in advice.options:
        rig = scene.what_if(option.tried).rig
        planned, taped = plan(rig), solve(rig)
        assert option.price.backup == pytest.approx(planned.layout.backup_length, rel=1e-12)
        assert option.price.tapes == len(planned.layout.tapes)
        assert option.price.pull == pytest.approx(rig.main_plan.tension, rel=1e-8)
        assert option.price.sag == pytest.approx(rig.below_anchors(taped.walker_point), abs=1e-9)


def test_values_are_those_that_hands_can_set(found):
    scene, advice = found
    for option in advice.options:
        for each in option.levers:
            if each.moved:
                assert each.value / each.lever.step == pytest.approx(round(each.value / each.lever.step), abs=1e-6)
                assert each.lever.low - 1e-9 <= each.value <= each.lever.high + 1e-9
        assert option.tried == tried_for(scene, [s.lever for s in option.levers], [s.value for s in option.levers])


def test_the_fewest_levers_come_first_and_plans_are_unlike(found):
    _, advice = found
    moved = [sum(each.moved for each in option.levers) for option in advice.options]
    assert moved[0] == min(moved)
    shares = [np.array([each.lever.share(each.value) for each in option.levers]) for option in advice.options]
    for k, one in enumerate(shares):
        assert all(np.max(np.abs(one - other)) > 0.1 for other in shares[:k])


def test_the_parts_of_a_change_add_up_to_it(found):
    _, advice = found
    for option in advice.options:
        for number, kept in enumerate(option.wishes):
            change = sum(part.by for part in kept.parts)
            if kept.wish.figure == "ring if the main goes":
                assert change == pytest.approx(kept.most - advice.now.wishes[number].most, abs=1e-9)
            rest = [part.by for part in kept.parts if part.lever is None]
            assert len(rest) == 1


def test_a_planted_line_is_found_again():
    """Figures of a known line are wished for within narrow ends, from another pull and excess."""
    hidden = scene_of(pull="3 kN", excess="6 %").rig
    planned = plan(hidden)
    taped = solve(hidden, planned=planned)
    gone = main_gone(hidden, [hidden.walker.at], points=1, most=False, run=False, planned=planned)
    sag, deep = float(hidden.below_anchors(taped.walker_point)), float(gone.nothing_holds.lowest.depth[0])
    scene = scene_of(
        wish("sag with the walker", at_most=f"{sag + 0.02} m", more='from = "11.9 m"\nto = "12.1 m"'),
        wish("ring if the main goes", f"{deep - 0.05} m", f"{deep + 0.05} m", 'from = "11.9 m"\nto = "12.1 m"'),
        wish("tension standing", at_most="3.05 kN"), wish("tapes", "7", "7"),
        '[limits]\nleash = ["1.6 m", "1.6 m"]\nbay = ["3 m", "3 m"]', pull="1.7 kN", excess="2 %",
    )
    advice = advise(scene, QUICK)
    assert advice.verdict is AdviceVerdict.FOUND
    first = {each.lever.name: each.value for each in advice.options[0].levers}
    assert first["pull"] == pytest.approx(3000.0, abs=100.0)
    assert first["excess"] == pytest.approx(0.06, abs=0.002)


def test_what_no_formula_gives_is_impossible_and_by_how_much():
    """In bays of 3 m and with at most 4 % marked no loop is deeper than 3 sqrt(3 x 0.04 / 8) m."""
    wanted, most = 0.60, 3.0 * math.sqrt(3.0 * 0.04 / 8.0)
    scene = scene_of(
        wish("loops standing", f"{wanted} m"), wish("excess standing", "0 %"),
        '[limits]\nexcess = ["1 %", "4 %"]\nbay = ["3 m", "3 m"]\npull = ["1.5 kN", "4 kN"]',
    )
    advice = advise(scene, QUICK)
    assert advice.verdict is AdviceVerdict.IMPOSSIBLE and not advice.options
    gives = {each.wish.figure: each.by for each in advice.gives}
    # Less than the formula's as the main stretches: the loop hangs in a longer bay with less excess.
    assert gives["loops standing"] >= wanted - 1.02 * most
    assert gives["loops standing"] == pytest.approx(wanted - most, abs=0.12)
    assert advice.nearest.wishes[0].least <= 1.02 * most
    assert [each.figure for each in advice.conflict] == ["loops standing"]
    more = {each.lever.name: each.gain for each in advice.more}
    # d depth / d excess = depth / (2 e), by the formula; half a point.
    assert more["excess"] == pytest.approx(most / (2.0 * 0.04) * 0.005, rel=0.35)


def test_bad_surfaces_do_not_make_it_impossible(monkeypatch):
    scene = scene_of(
        wish("loops standing", "60 cm"), '[limits]\nexcess = ["1 %", "4 %"]\nbay = ["3 m", "3 m"]',
    )
    fit = PlanSearch.sample

    def worse(search, tell):
        fit(search, tell)
        search.surfaces = dataclasses.replace(search.surfaces, explained=np.full_like(search.surfaces.explained, 0.5))

    monkeypatch.setattr(PlanSearch, "sample", worse)
    monkeypatch.setattr(PlanSearch, "corners", lambda search: None)
    assert advise(scene, QUICK).verdict is AdviceVerdict.NOT_FOUND


def test_a_second_method_finds_what_surfaces_hide(monkeypatch):
    """With surfaces that say that nothing helps, exact steps from corners of the ranges find a plan all the same."""
    scene = scene_of(wish("excess with the walker", "2 %"))

    def blind(search, aim, **kinds):
        return None

    monkeypatch.setattr(PlanSearch, "seek", blind)
    advice = advise(scene, QUICK)
    assert advice.verdict is not AdviceVerdict.IMPOSSIBLE
    assert advice.verdict is AdviceVerdict.FOUND and advice.options[0].is_met


PULLS, EXCESSES = np.arange(1700, 2201, 50), np.arange(30, 51) / 1000.0
"""All that hands can set of two levers, within limits; others stay.  [N, -]"""
SAG, LOOSE = 1.48, 0.01


def two_levers() -> Scene:
    """Less sag in the middle takes more pull, which takes excess: neither lever alone does it."""
    return scene_of(
        wish("sag with the walker", at_most=f"{SAG} m", more='from = "11.9 m"\nto = "12.1 m"'),
        wish("excess with the walker", f"{100 * LOOSE} %"),
        '[limits]\npull = ["1.7 kN", "2.2 kN"]\nexcess = ["3 %", "5 %"]\nbay = ["3 m", "3 m"]',
        pull="1.7 kN", excess="3 %",
    )


@pytest.fixture(scope="module")
def brute() -> np.ndarray:
    """(pulls, excesses) what is kept, of every candidate solved by itself, with no search: sag with the walker in the
    middle, and the least excess of any bay with him there, in mid-bay beside it and at a quarter."""
    scene, kept = two_levers(), np.zeros((len(PULLS), len(EXCESSES)), dtype=bool)
    for i, pull in enumerate(PULLS.tolist()):
        for j, excess in enumerate(EXCESSES.tolist()):
            rig = scene.what_if({"main.tension": f"{pull} N", "backup.excess": f"{100.0 * excess:.10g} %"}).rig
            planned = plan(rig)
            middle = solve(rig.with_walker_at(12.0), planned=planned)
            if rig.below_anchors(middle.walker_point) > SAG:
                continue
            least = [solve(rig.with_walker_at(at), planned=planned).bays.excess.min() for at in (6.0, 10.5)]
            kept[i, j] = min(middle.bays.excess.min(), *least) >= LOOSE
    return kept


def test_the_planted_optimum_is_found_from_any_points(brute):
    """Of all candidates that keep the wishes, the first plan is the one that moves the levers least, to a step of
    each, whichever points the surfaces are laid through: so plans of different points agree as well."""
    assert brute.any() and not brute[0].any() and not brute[:, 0].any()  # Neither lever alone does it.
    i, j = np.nonzero(brute)
    shares = np.column_stack([(PULLS[i] - PULLS[0]) / np.ptp(PULLS), (EXCESSES[j] - EXCESSES[0]) / np.ptp(EXCESSES)])
    change = np.sum(shares**2, axis=1)
    best = int(np.argmin(change))
    one_step = np.array([50.0 / np.ptp(PULLS), 0.001 / np.ptp(EXCESSES)])
    for seed in (0, 5, 11):
        advice = advise(two_levers(), dataclasses.replace(QUICK, seed=seed, most=1))
        assert advice.verdict is AdviceVerdict.FOUND
        at = {each.lever.name: each for each in advice.options[0].levers}
        assert {name for name, each in at.items() if each.moved} == {"pull", "excess"}
        mine = np.array([each.lever.share(each.value) for each in (at["pull"], at["excess"])])
        # A hair is asked for beyond the wishes, which may cost a step.
        assert np.all(np.abs(mine - shares[best]) <= 1.001 * one_step), (seed, mine, shares[best])
        k = round((mine[0]) / one_step[0]), round(mine[1] / one_step[1])
        assert brute[k] and float(mine @ mine) >= change[best] - 1e-9


def share_of(scene: Scene, option: Option, count: int = 50) -> float:
    """Share of draws in which a plan keeps its wishes: random ones, not from the points that advice draws, each solved
    by itself with the events, at places of this test's own."""
    tried = scene.what_if(option.tried)
    bands = hand_bands(tried)
    assert {"main.tension", "backup.excess", "walker.leash"} <= bands.keys()
    rng, base, kept = np.random.default_rng(3), frozen(plan(tried.rig)), 0
    for _ in range(count):
        rig = moved(base, {key: float(rng.uniform(band.low, band.high)) for key, band in bands.items()}, bands)
        planned, good = plan(rig), True
        for at in (0.5, 6.0, 10.5, 12.0, 12.7, 18.0, 23.5):
            walked = solve(rig.with_walker_at(at), planned=planned)
            good &= bool(walked.bays.excess.min() >= 0.01 and rig.below_anchors(walked.walker_point) <= 1.4)
        fall = leash_fall_sweep(rig, [1.6, 6.0, 12.0, 18.0, 22.4], risen=False, planned=planned)
        kept += good and bool(fall.low.least_excess.min() >= 0.0)
    return kept / count


def test_a_reserve_holds_in_other_draws():
    """A plan just right is lost in the hands of many; the one that its draws ask for is kept by nine of ten."""
    scene = scene_of(
        wish("sag with the walker", at_most="1.4 m"), wish("excess with the walker", "1 %"),
        wish("excess in a leash fall", "0 %"),
    )
    bare = advise(scene, Ask(draws=0, check=False, most=1)).options[0]
    assert bare.is_met and share_of(scene, bare) < 0.9
    held = advise(scene, Ask(draws=32, check=False, most=1)).options[0]
    assert held.is_met and held.is_held and held.tried != bare.tried
    spread = math.sqrt(0.9 * 0.1 / 50)
    assert share_of(scene, held) >= 0.9 - 2.0 * spread


def test_the_clearance_hands_its_worst_place_back():
    """Over a knoll the search looks at few places; what it calls kept is kept where the clearance looks as well."""
    scene = scene_of(
        wish("feet over ground in a leash fall", "0.3 m"), '[limits]\nraise_a = "2 m"\nraise_b = "2 m"', GROUND,
        excess="5 %",
    )
    advice = advise(scene, Ask(draws=0, most=1))
    assert advice.verdict is AdviceVerdict.FOUND
    option = advice.options[0]
    falls = [cause for cause in option.clearance.causes if cause.family == "fall" and cause.kind == "body"]
    assert min(cause.distance for cause in falls if 3.0 <= cause.walker <= 21.0) >= 0.3 - 1e-6
    first = watched_of(scene.rig, scene.rig.wishes[0])
    assert not any(8.0 < at < 10.0 for at in first.places)  # Nobody looked there to begin with.
    assert not advice.now.is_met and 8.0 < advice.now.wishes[0].at < 10.0


def test_required_clearances_become_wishes_and_a_scene_says_otherwise():
    needs = '[clearance]\nline = "1 m"\nloop = "0.5 m"\nbody = "3 m"\nsurvey_error = "0.5 m"\nmargin = "1 m"'
    made = {each.figure: each for each in wishes_of(scene_of(needs, GROUND).rig)}
    assert made["line over ground"].at_least == pytest.approx(2.5)
    assert made["loops over ground"].at_least == pytest.approx(2.0)
    assert made["feet over ground in a leash fall"].at_least == pytest.approx(4.5)
    assert made["line over ground"].origin == "clearance"
    own = wish("feet over ground in a leash fall", "1 m")
    mine = {each.figure: each for each in wishes_of(scene_of(needs, own, GROUND).rig)}
    assert mine["feet over ground in a leash fall"].at_least == 1.0
    assert mine["feet over ground in a leash fall"].origin == "scene"
    assert [each.origin for each in wishes_of(scene_of().rig)] == ["itself"]


def test_what_is_kept_already_is_said_to_be():
    advice = advise(scene_of(wish("tapes", at_most="9")), Ask(draws=0, check=False))
    assert advice.now.wishes[0].is_met


def test_limits_hold():
    scene = scene_of(
        *WISHES, '[limits]\npull = ["1.5 kN", "2.1 kN"]\nexcess = "9 %"\nties = 0\nbackup = "27 m"\ntaping = "1 h"',
    )
    levers = {lever.name: lever for lever in levers_of(scene, scene.rig.wishes)}
    assert (levers["pull"].low, levers["pull"].high) == (1500.0, 2100.0)
    assert levers["excess"].high == pytest.approx(0.09)
    assert {"raise-a", "raise-b", "ties"}.isdisjoint(levers)
    figures = {each.figure: each.at_most for each in wishes_of(scene.rig)}
    assert (figures["backup length"], figures["taping time"]) == (27.0, 3600.0)


def test_levers_and_their_ranges_turn_back():
    for lever in levers_of(scene_of(*WISHES, GROUND, wish("feet over ground if the main goes, ties hold", "1 m")),
                           (*scene_of(*WISHES).rig.wishes,
                            Wish(figure="feet over ground if the main goes, ties hold", at_least=1.0))):
        for share in (0.0, 0.3, 1.0):
            assert lever.share(lever.value(share)) == pytest.approx(share, abs=1e-12)
        assert lever.share(lever.high) == pytest.approx(1.0)


def test_lengths_are_set_in_the_units_of_who_sets_them():
    """5 cm and 10 cm, or 2 and 4 inches: an inch is 25.4 mm by definition."""
    wishes = (Wish(figure="feet over ground in a leash fall", at_least=1.0),)
    for system, leash, up in (("metric", 0.05, 0.1), ("feet", 2 * 0.0254, 4 * 0.0254)):
        found = {lever.name: lever for lever in levers_of(scene_of(GROUND), wishes, system)}
        assert "leash" in found and "raise-a" in found
        for name, step in (("leash", leash), ("raise-a", up)):
            lever = found[name]
            for share in (0.13, 0.37, 0.91):
                steps = lever.rounded(lever.value(share)) / step
                assert lever.rounded(lever.value(share)) == lever.now or steps == pytest.approx(round(steps), abs=1e-9)
                assert lever.low - 1e-9 <= lever.rounded(lever.value(share)) <= lever.high + 1e-9


def test_every_lever_does_what_its_name_says():
    scene = scene_of(wish("feet over ground if the main goes, ties hold", "0 m"), '[limits]\naside = "2 m"', GROUND)
    levers = levers_of(scene, scene.rig.wishes)
    assert [lever.name for lever in levers] == [
        "pull", "excess", "bays", "leash", "raise-a", "raise-b", "aside", "ties"]
    values = [2500.0, 0.05, 6.0, 1.4, 0.5, 1.0, 1.5, 2.0]
    rig = scene.what_if(tried_for(scene, levers, values)).rig
    assert rig.main_plan.tension == pytest.approx(2500.0)
    assert rig.backup_plan.value == pytest.approx(0.05)
    assert rig.walker.leash == pytest.approx(1.4)
    assert rig.main_a == pytest.approx([0.0, 1.5, 0.5]) and rig.main_b == pytest.approx([24.0, 1.5, 1.0])
    assert rig.backup_a == pytest.approx(rig.main_a)
    layout = plan(rig).layout
    tapes = [tape for tape in layout.tapes if tape.kind == "tape"]
    ties = [tape for tape in layout.tapes if tape.kind == "tie"]
    assert len(ties) == 2 and len(tapes) + len(ties) == 5  # Ties take the place of tapes.


def test_another_style_and_webbing_are_tried_where_they_may():
    scene = scene_of(
        wish("sag with the walker", at_most="1.33 m"),
        '[limits]\nwebbing = "high-tenacity polyester 25 mm"\npull = ["1.8 kN", "2.2 kN"]\nleash = ["1.6 m", "1.6 m"]',
    )
    advice = advise(scene, QUICK)
    assert {option.instead for option in advice.options} == {"high-tenacity polyester 25 mm"}
    rig = scene.what_if(advice.options[0].tried).rig
    assert rig.main.name == "high-tenacity polyester 25 mm"
    assert rig.below_anchors(solve(rig).walker_point) <= 1.33 + 0.03


SLIDERS = """
[[taping.zones]]
style = "main-held slider"
to = "12 m"
spacing = { every = "3 m" }

[[taping.zones]]
style = "main-held slider"
from = "12 m"
spacing = { every = "3 m" }
"""


@pytest.mark.long
def test_another_style_is_tried_in_one_zone_alone():
    """Loops of settled sliders are wished shallow in the second zone alone; the first one keeps its sliders."""
    text = scene_of(
        wish("loops settled", at_most="44 cm", more="zone = 2"),
        '[limits]\nstyle = "fixed wrap"\nexcess = ["5 %", "8 %"]\npull = ["1.9 kN", "2.1 kN"]', excess="7 %",
    ).text
    before, _, rest = text.partition("[[taping.zones]]")
    text = before + SLIDERS.lstrip() + "\n[walker]" + rest.partition("[walker]")[2]
    scene = Scene(text=text, path=Path("zones.toml"))
    alone = [(each.name, each.zone, set(each.keys)) for each in instead(scene)]
    one, two = ({f"taping.zones[{zone}].{key}" for key in ("style", "holds")} for zone in (1, 2))
    assert alone == [("", None, set()), ("fixed wrap", None, one | two), ("fixed wrap", 1, one), ("fixed wrap", 2, two)]
    advice = advise(scene, dataclasses.replace(QUICK, most=1))
    chosen = {option.zone for option in advice.options if option.zone is not None}
    assert chosen == {2}  # The first zone's style does nothing for the wish.
    option = next(option for option in advice.options if option.zone == 2)
    rig = scene.what_if(option.tried).rig
    assert [zone.family for zone in rig.taping.zones] == ["main-held slider", "fixed wrap"]
    settled = solve(rig, "settled").bays
    here = 0.5 * (settled.start + settled.end) >= 12.0
    assert settled.loop_depth[here].max() <= 0.44
    changed = re.sub(r"\s+", " ", "; ".join(changes(option, Words("metric", "en"))))
    assert changed.startswith("fixed wrap, zone 2")


def test_it_can_be_stopped_and_tells_how_far_it_is():
    told: list[float] = []

    class Enough(Exception):
        pass

    def tell(share: float, what: str = "") -> None:
        told.append(share)
        if len(told) == 12:
            raise Enough

    with pytest.raises(Enough):
        advise(scene_of(*WISHES), QUICK, progress=tell)
    assert told == sorted(told) and told[-1] < 0.5


@pytest.mark.parametrize(("tables", "key"), [
    ((wish("line over ground", "1 m"),), "wishes[1].figure"),
])
def test_wishes_that_nothing_can_be_said_of(tables, key):
    with pytest.raises(linescope.errors.InputError) as error:
        advise(scene_of(*tables), QUICK)
    assert error.value.key == key


LEDGE = (
    wish("loops over ground", "30 cm", more='from = "5 m"\nto = "13 m"'),
    wish("feet over ground in a leash fall", "0 m", more='from = "21 m"\nto = "28 m"'),
    wish("feet over ground if the main goes", "3 m", more='from = "40 m"\nto = "52 m"'),
    wish("excess in a leash fall", "1 %"), wish("loops under the walker", at_most="45 cm"),
    wish("feet over ground if the main goes, ties hold", "0 m", more='from = "20 m"\nto = "60 m"'),
)
LEAVE = '[limits]\nleash = ["1.6 m", "1.6 m"]\nbay = ["3.5 m", "3.5 m"]'


def test_what_a_hand_made_plan_gives_is_not_called_impossible():
    """Six wishes on the shipped ledge that pull, excess, bays, leash, both anchors and ties give together."""
    scene = linescope.load(SCENES / "larkspur_ledge.toml")
    text = scene.text.partition("[clearance]")[0] + "\n".join(("", *LEDGE, LEAVE))
    scene = Scene(text=text, path=scene.path)
    levers = levers_of(scene, scene.rig.wishes)
    hand = {"pull": 6000.0, "excess": 0.048, "raise-a": 3.0, "raise-b": 3.0, "ties": 8.0}
    assert set(hand) == {lever.name for lever in levers}
    assert all(lever.low - 1e-9 <= hand[lever.name] <= lever.high + 1e-9 for lever in levers)
    ground = scene.rig.ground
    index = GroundIndex(load_ground(ground, scene.rig.main_a, scene.rig.main_b))
    rig = scene.what_if(tried_for(scene, levers, [hand[lever.name] for lever in levers])).rig
    terms = Terms.of([watched_of(rig, each) for each in rig.wishes])
    assert terms.margins(terms.values(AdvisedRig(rig, index)))[terms.asked].min() >= 0.0
    advice = advise(scene, Ask(draws=0, check=False, most=1), index=index)
    assert advice.verdict is not AdviceVerdict.IMPOSSIBLE
    assert advice.verdict is AdviceVerdict.FOUND and advice.options[0].is_met


def test_what_nothing_comes_near_to_is_no_figure_that_is_not_known():
    scene = scene_of(wish("excess standing", "1 %"))
    search = SimpleNamespace(terms=Terms.of([watched_of(scene.rig, scene.rig.wishes[0])]))
    _Advising._measure(None, search, SimpleNamespace(margins=np.full(1, np.inf)))
    with pytest.raises(InputError, match="excess standing"):
        _Advising._measure(None, search, SimpleNamespace(margins=np.full(1, np.nan)))
