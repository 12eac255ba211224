"""Wind on the pair: blow-out angles, mirror symmetry, swings, loops above the main."""

from __future__ import annotations

import functools
import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from linescope.errors import InputError
from linescope.events.air import SOAKED_NYLON, AirNote, ice_sleeve, soaked
from linescope.events.drag import wind_load
from linescope.events.swing import swing_angles, swing_in_gust, turn_about_chords
from linescope.events.wind import WindNote, WindResult, find_wind
from linescope.notes import Bays
from linescope.rig import Anchors, BackupPlan, Band, Hold, MainPlan, Rig, Spacing, TapeZone, Taping, Walker, Wind
from linescope.rig.layout import loop_length_for_depth
from linescope.statics import solve
from linescope.taping import Holds
from linescope.webbing import StretchCurve, Webbing
from linescope.words import Words

OUTSIDE = {"area": "wind and air", "source": "Closed form: drag over weight", "known": "recomputed"}
G = 9.80665
ACROSS = Wind(speed=8.0, towards=(0.0, 1.0))


def strip(ea: float = 62.5e3, **more: object) -> Webbing:
    """Invented nylon-like webbing: 16 % at 10 kN unless told otherwise."""
    values = {"name": "strip", "width": 0.025, "thickness": 0.0024, "mass": 0.062, "breaking_strength": 26e3}
    return Webbing(**(values | {"stretch": StretchCurve.linear(ea)} | more))


def rig(
    excess: float = 0.08,
    end: tuple[float, float, float] = (48.0, 0.0, 0.0),
    walker: bool = False,
    line: Webbing | None = None,
    tension: float = 1800.0,
) -> Rig:
    """Invented: 48 m, bays of 3 m, fixed wraps, marked slack."""
    line = strip() if line is None else line
    zone = TapeZone(
        start=0.0,
        end=math.inf,
        family="fixed wrap",
        holds=Holds.BOTH,
        spacing=Spacing(kind="even", every=3.0),
    )
    one = Band(low=0.1, value=0.2, high=0.3)
    return Rig(
        name="test",
        anchors=Anchors(main_a=(0, 0, 0), main_b=end),
        main=line,
        backup=line,
        main_plan=MainPlan(tension=tension),
        backup_plan=BackupPlan(given_by="excess", value=excess),
        taping=Taping(zones=(zone,), measured_on="slack"),
        hold=Hold(drag=one, friction=one),
        walker=Walker(mass=75.0, at=20.0) if walker else None,
        wind=ACROSS,
    )


@functools.cache
def blown(walker: bool = False) -> WindResult:
    return find_wind(rig(walker=walker))


def plane_angle(points: np.ndarray) -> float:
    """Angle of a loop's own plane (fitted to its points) from the vertical, about a nearly level chord."""
    chord = points[-1] - points[0]
    normal = np.linalg.svd(points - points.mean(axis=0))[2][2]
    vertical = np.cross(chord, [0.0, 0.0, 1.0])
    vertical /= np.linalg.norm(vertical)
    return math.acos(min(abs(float(normal @ vertical)), 1.0))


def test_solved_loop_lies_at_drag_over_weight(agrees) -> None:
    """tan(theta) = drag / weight: a level piece of line in side wind (statics).  Source: vector sum of
    vertical and lateral line load, Grigsby (ed.), Electric Power Generation, Transmission, and Distribution,
    ch.  14."""
    case = blown().case()
    drag = 0.5 * 1.225 * 8.0**2 * 2.0 * 0.7 * 0.025
    expected = math.atan(drag / (0.062 * G))
    middle = len(case.steady_swing) // 2
    angle = plane_angle(case.steady.loop(middle))
    agrees("plane of a blown-out loop: atan(drag / weight)", angle, expected, rel=1e-4, unit="rad")
    assert case.steady_swing[middle] == pytest.approx(expected, rel=1e-4)
    assert case.steady_load.backup_angle == pytest.approx(expected, rel=1e-12)


def test_swing_of_every_loop_is_the_angle_of_its_fitted_plane() -> None:
    case = blown(walker=True).case("walker")
    for bay in range(len(case.gust_swing)):
        assert case.gust_swing[bay] == pytest.approx(plane_angle(case.gust.loop(bay)), abs=2e-6)


def test_swing_about_a_sloping_chord_counts_only_the_weight_across_it() -> None:
    """Closed form: a chord rising by alpha leaves w cos(alpha) across itself."""
    slope = np.radians([0.0, 10.0, 30.0, 60.0])
    chords = np.stack([np.cos(slope), 0.0 * slope, np.sin(slope)], axis=1)
    angles = swing_angles(chords, np.array([0.0, 0.9, -0.6]))
    np.testing.assert_allclose(np.tan(angles), 0.9 / (0.6 * np.cos(slope)), rtol=1e-12)


def test_depth_along_the_load_is_that_of_the_same_loop_in_still_air() -> None:
    """A loop in a tilted plane keeps its shape: Irvine's inextensible loop over the blown-out chord."""
    stiff = rig(excess=0.05, line=strip(ea=5e7), tension=2500.0)
    middle = 8
    for loading_speed in (0.0, 8.0, 14.0):
        case = find_wind(stiff, replace(ACROSS, speed=loading_speed)).case()
        chord = float(np.linalg.norm(np.diff(case.steady.backup.nodes, axis=0)[middle]))
        depth = float(case.steady.bays.loop_depth[middle])
        length = float(case.steady.bays.loop_length[middle])
        assert loop_length_for_depth(chord, depth) == pytest.approx(length, rel=1e-6)


def test_wind_from_the_two_sides_is_a_mirror_image() -> None:
    result = blown(walker=True)
    mirror = np.array([1.0, -1.0, 1.0])
    for loaded in ("empty", "walker"):
        one, other = result.case(loaded), result.case(loaded, "opposite")
        np.testing.assert_allclose(one.gust.backup.nodes * mirror, other.gust.backup.nodes, atol=1e-7)
        np.testing.assert_allclose(one.swung * mirror, other.swung, atol=1e-7)
        np.testing.assert_allclose(one.gust_swing, other.gust_swing, atol=1e-8)
        assert one.above == other.above


def test_anchors_take_all_of_the_drag(agrees) -> None:
    """Global balance: sideways pull on the four anchors = drag on both lines and on the walker."""
    case = blown(walker=True).case("walker")
    gust, load = case.gust, case.gust_load
    pull = sum(line.segments.force_start[0] - line.segments.force_end[-1] for line in (gust.main, gust.backup))
    # Gusts of 1.5 x 8 m/s; C = 2, seven tenths of 25 mm broadside; 0.6 m2 of walker.
    pressure = 0.5 * 1.225 * 12.0**2
    drag = pressure * (2.0 * 0.7 * 0.025 * (gust.layout.main_length + gust.layout.backup_length) + 0.6)
    agrees("anchors against the drag on lines and walker", pull[1], drag, rel=1e-8, unit="N")
    assert load.body == pytest.approx(pressure * 0.6, rel=1e-12)


def test_no_wind_is_still_air() -> None:
    still = solve(rig(walker=True))
    case = find_wind(rig(walker=True), replace(ACROSS, speed=0.0)).case("walker")
    np.testing.assert_allclose(case.gust.main.nodes, still.main.nodes, atol=1e-9)
    assert np.all(case.sudden_swing == 0.0)
    assert case.offset_gust < 1e-9


@pytest.mark.peer
@pytest.mark.parametrize("push", [0.2, 1.0, 5.0])
def test_sudden_push_swings_a_pendulum_to_twice_its_static_angle(agrees, push: float) -> None:
    """Pendulum under gravity and a constant side force, integrated in time with scipy's DOP853: the energy
    w r (cos(phi) - 1) + d r sin(phi) = 0 is met again at phi = 2 atan(d/w)."""

    def motion(_: float, y: np.ndarray) -> list[float]:
        return [y[1], -math.sin(y[0]) + push * math.cos(y[0])]

    def turns_back(_: float, y: np.ndarray) -> float:
        return float(y[1])

    turns_back.terminal, turns_back.direction = True, -1.0  # type: ignore[attr-defined]
    run = solve_ivp(motion, (0.0, 60.0), [0.0, 0.0], method="DOP853", events=turns_back, rtol=1e-10, atol=1e-12)
    twice = 2.0 * swing_angles(np.array([[1.0, 0.0, 0.0]]), np.array([0.0, push, -1.0]))[0]
    agrees(
        "swing in a sudden gust: twice the blow-out angle", twice, run.y_events[0][-1, 0], rel=1e-6, unit="rad",
        area="peers", known="peer", source="scipy DOP853, pendulum",
    )


def test_a_sudden_gust_swings_further_than_a_slow_one_and_not_to_twice_the_angle() -> None:
    case = blown().case()
    assert np.all(case.sudden_swing < 2.0 * case.gust_swing)
    assert np.all(case.sudden_swing > case.gust_swing)
    assert np.all(case.from_steady_swing < case.sudden_swing)
    assert np.all(case.rising_swing < case.sudden_swing) and np.all(case.rising_swing > case.gust_swing)
    for bay in (0, 7, 15):
        loop, turned = case.gust.loop(bay), case.swung[bay]
        np.testing.assert_allclose(turned[[0, -1]], loop[[0, -1]], atol=1e-9)
        lengths = [np.linalg.norm(np.diff(points, axis=0), axis=1) for points in (loop, turned)]
        np.testing.assert_allclose(*lengths, atol=1e-9)
        # Beyond 90 degrees the fitted plane leans back: its angle is 180 degrees less the swing.
        assert plane_angle(turned) == pytest.approx(math.pi - case.sudden_swing[bay], abs=1e-5)
        assert turned[:, 2].max() > loop[:, 2].max()


@pytest.mark.peer
@pytest.mark.parametrize(
    ("speed", "start", "rise"), [(7.5, 0.0, 0.0), (7.5, 0.0, 1.0), (20.0, 0.0, 0.0), (9.0, 0.6, 0.0)]
)
def test_swing_with_the_strips_own_motion_against_dop853(speed: float, start: float, rise: float) -> None:
    """A loop 0.47 m deep of 52 g/m, 25 mm wide, C = 2 on seven tenths: a turning parabola with drag on the relative
    velocity, integrated by scipy's DOP853 with 400 places along the loop, where ours has 6 and Runge-Kutta steps."""
    depth, per = 0.47, 0.5 * 1.225 * 2.0 * 0.7 * 0.025 / 0.052
    x = (np.arange(400) + 0.5) / 400.0
    r = depth * (1.0 - x**2)
    before = math.sqrt(9.80665 * math.tan(start) / per)

    def motion(time: float, y: np.ndarray) -> list[float]:
        wind = before + (speed - before) * (1.0 if rise == 0.0 else min(time / rise, 1.0))
        across, upward = wind - r * y[1] * math.cos(y[0]), -r * y[1] * math.sin(y[0])
        pushed = per * np.hypot(across, upward) * (across * math.cos(y[0]) + upward * math.sin(y[0]))
        turning = np.mean(r * (pushed - 9.80665 * math.sin(y[0]))) / np.mean(r**2)
        return [y[1], float(turning)]

    peer = solve_ivp(motion, (0.0, 3.0 + rise), [start, 0.0], method="DOP853", rtol=1e-9, atol=1e-9, max_step=0.01)
    static = np.array([math.atan(per * speed**2 / 9.80665)])
    ours = swing_in_gust(static, np.array([depth]), speed, start=np.array([start]), rise=rise)[0]
    assert ours == pytest.approx(float(peer.y[0].max()), abs=math.radians(0.3))


@pytest.mark.parametrize(("static", "depth", "speed"), [(1.564, 0.02, 20.0), (1.567, 0.02, 30.0), (1.4, 0.05, 20.0)])
def test_a_shallow_loop_in_a_strong_gust_against_lsoda(static: float, depth: float, speed: float) -> None:
    """Drag that takes a swing away in milliseconds, by scipy's LSODA, at the same six places along the loop."""
    x, weights = np.polynomial.legendre.leggauss(6)
    r, weights = depth * (1.0 - x**2), 0.5 * weights

    def motion(time: float, y: np.ndarray) -> list[float]:
        cos, sin = math.cos(y[0]), math.sin(y[0])
        across, upward = speed - r * y[1] * cos, -r * y[1] * sin
        drag = np.sum(weights * r * np.hypot(across, upward) * (across * cos + upward * sin))
        pull = math.tan(static) / speed**2 * drag - np.sum(weights * r) * sin
        return [y[1], G * pull / np.sum(weights * r**2)]

    end = 2.0 * math.pi * math.sqrt(depth / G)
    peer = solve_ivp(motion, (0.0, end), [0.0, 0.0], method="LSODA", rtol=1e-9, atol=1e-10, max_step=end / 300)
    ours = swing_in_gust(np.array([static]), np.array([depth]), speed)[0]
    assert ours == pytest.approx(float(peer.y[0].max()), abs=math.radians(1.0))


def test_drag_alone_wraps_nothing() -> None:
    """At 20 m/s at once no loop comes to 150 degrees, so no alarm of wraps; twice the static angle would be 170."""
    case = find_wind(rig(), replace(ACROSS, speed=20.0, gust_factor=1.0)).case()
    assert 2.0 * case.gust_swing.min() > math.radians(160.0)
    assert case.sudden_swing.max() < math.radians(150.0)
    assert case.wrap == ()


def test_quarter_turn_of_a_hanging_loop() -> None:
    loop = np.array([[[0.0, 0, 0], [1.0, 0.0, -0.5], [2.0, 0, 0]]])
    turned = turn_about_chords(loop, np.array([0.0, 1.0, -1.0]), np.array([0.5 * math.pi]))
    np.testing.assert_allclose(turned[0, 1], [1.0, 0.5, 0.0], atol=1e-12)


def test_loops_rise_above_the_main_only_from_the_level_speed_on(agrees) -> None:
    """Some way beyond drag = weight, since a strip that swings feels less wind.  Trade figure: side drag = own weight
    at 4-6 m/s for 12-25 mm webbing face-on (common practice, no source)."""
    result = find_wind(rig(), replace(ACROSS, exposure=1.0, drag_coefficient=1.6))
    agrees(
        "wind at which drag is the weight, 4 to 6 m/s", result.balanced_speed, 5.0, abs=1.0, unit="m/s",
        known="common practice", source="Trade rule",
    )
    below = find_wind(rig(), replace(ACROSS, speed=0.9 * blown().level_speed, gust_factor=1.0))
    beyond = find_wind(rig(), replace(ACROSS, speed=1.1 * blown().level_speed, gust_factor=1.0))
    assert below.case().above == () and below.case().sudden_above.max() == 0.0
    assert beyond.case().above == tuple(range(1, 17))
    assert blown().level_speed > 1.15 * blown().balanced_speed
    above = next(note for note in beyond.notes if note.kind is WindNote.ABOVE)
    assert not above.leads and above.values["bays"] == Bays(tuple(range(1, 17)))
    for result in (below, beyond):
        assert not any(note.kind is WindNote.WRAP for note in result.notes)


def test_a_taut_loop_is_too_short_to_wrap() -> None:
    """Lever: a loop must be longer than twice the way from tape to the far side of the main (common
    practice)."""
    tight = find_wind(rig(excess=0.031)).case()
    loose = blown().case()
    assert loose.turns.min() > 0.5
    chord = float(np.linalg.norm(np.diff(loose.gust.backup.nodes, axis=0)[8]))
    length = float(loose.gust.backup.stretched_length[8])
    assert loose.reach[8] == pytest.approx(math.sqrt((0.5 * length) ** 2 - (0.5 * chord) ** 2))
    assert tight.turns.max() < loose.turns.min()
    walked = find_wind(rig(excess=0.03, walker=True)).case("walker")
    assert walked.turns.max() < 0.5


def test_only_the_part_across_the_line_pushes() -> None:
    """Cross-flow principle (Hoerner 1965, from memory): pressure of the part across, sin^2 of the bearing."""
    square = wind_load(rig(), ACROSS, 8.0)
    oblique = wind_load(rig(), replace(ACROSS, towards=(math.cos(0.5), math.sin(0.5))), 8.0)
    along = wind_load(rig(), replace(ACROSS, towards=(1.0, 0.0)), 8.0)
    assert oblique.main == pytest.approx(square.main * math.sin(0.5) ** 2, rel=1e-12)
    np.testing.assert_allclose(oblique.towards, [0.0, 1.0, 0.0], atol=1e-12)
    assert along.main == 0.0 and along.backup_angle == 0.0


def test_ice_and_water(agrees) -> None:
    """Sleeve by an independent count: annulus of a rope, pi/4 ((d + 2t)^2 - d^2) x density."""
    rope = strip(width=0.010, thickness=0.010, is_rope=True)
    iced = ice_sleeve(replace(rig(), backup=rope), 0.004)
    annulus = 900.0 * math.pi / 4 * (0.018**2 - 0.010**2)
    agrees(
        "ice on a rope, 4 mm all round", iced.weather.backup_added, annulus, rel=1e-12, unit="kg/m",
        source="Closed form: annulus",
    )
    assert iced.note is not None and iced.note.kind is AirNote.ICE
    calm = find_wind(rig(), coating=ice_sleeve(rig(), 0.003))
    dry = blown()
    assert calm.case().steady_load.main == pytest.approx(dry.case().steady_load.main * 31.0 / 25.0, rel=1e-12)
    assert calm.case().gust_swing.max() < dry.case().gust_swing.min()
    assert calm.assumed[-1].kind is AirNote.ICE
    assert Words("feet").note(calm.assumed[-1]).startswith("Both lines carry ice 0.12 in thick all round")
    wet = soaked(rig(), SOAKED_NYLON.high)
    assert wet.weather.main_added == pytest.approx(0.3 * 0.062)
    heavier = find_wind(rig(), coating=wet)
    assert heavier.balanced_speed == pytest.approx(dry.balanced_speed * math.sqrt(1.3), rel=1e-12)
    np.testing.assert_allclose(heavier.case().gust.loads[1, 2], -1.3 * 0.062 * G, rtol=1e-12)


def test_ropes_are_round_and_say_so() -> None:
    rope = strip(width=0.010, thickness=0.010, is_rope=True)
    result = find_wind(replace(rig(), backup=rope))
    assert result.case().steady_load.backup == pytest.approx(0.5 * 1.225 * 64.0 * 1.2 * 0.010, rel=1e-12)
    assert any(note.kind is WindNote.ROPE for note in result.assumed)


@pytest.mark.parametrize(
    ("wind", "key"),
    [
        (replace(ACROSS, speed=-1.0), "wind.speed"),
        (replace(ACROSS, speed=math.nan), "wind.speed"),
        (replace(ACROSS, gust_factor=0.5), "wind.gust_factor"),
        (replace(ACROSS, towards=(0.0, 0.0)), "wind.from"),
    ],
)
def test_bad_winds_are_refused_by_key(wind: Wind, key: str) -> None:
    with pytest.raises(InputError, match=key):
        find_wind(rig(), wind)


def test_a_rig_without_wind_or_walker_says_so() -> None:
    with pytest.raises(InputError, match=r"\[wind\]"):
        find_wind(replace(rig(), wind=None))
    with pytest.raises(InputError, match="empty, as given"):
        blown().case("walker")
    for coat in (lambda: ice_sleeve(rig(), -0.1), lambda: soaked(rig(), -0.1)):
        with pytest.raises(InputError):
            coat()


def test_results_are_frozen() -> None:
    case = blown().case()
    with pytest.raises(ValueError, match="read-only"):
        case.swung[0, 0, 0] = 1.0
    words = Words()
    assert all("safe" not in words.note(note).lower() for note in (*blown().notes, *blown().assumed))
