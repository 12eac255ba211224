"""The clearance of whole rigs: closed forms, single solved states, and the planning note of Larkspur Ledge.

The note's figures are common practice, no source: computed there with a plain script of elastic catenaries without
the coupling of loops and main, and given to two figures.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from linescope.clearance import GroundIndex, Verdict, find_clearance, minimum_along
from linescope.clearance.fall_gaps import fall_gaps
from linescope.clearance.notes import ClearanceNote
from linescope.clearance.why import CauseKind
from linescope.errors import InputError
from linescope.events.fall import leash_fall, leash_fall_sweep
from linescope.events.wind import find_wind
from linescope.rig import ClearanceNeeds, Wind
from linescope.scene import load
from linescope.statics import plan, solve
from linescope.terrain import Terrain, load_ground
from linescope.words import Words
from tests.events.test_slid import unlike

OUTSIDE = {"area": "clearance", "source": "Trade notes: Larkspur Ledge", "known": "script"}
SCENES = Path(__file__).parents[2] / "scenes"
NEEDS = ClearanceNeeds(line=1.0, loop=0.5, body=3.0, survey_error=0.5, margin=1.0)


def sheet_of(x, y, z):
    """Level or sloping rectangle through four corners, as a mesh."""
    vertices = np.array([[a, b, z[i][j]] for i, a in enumerate(x) for j, b in enumerate(y)], dtype=float)
    return Terrain(vertices=vertices, faces=[[0, 2, 1], [1, 2, 3]], source="a rectangle", kind="profile")


def floor(depth):
    return sheet_of((-300.0, 300.0), (-300.0, 300.0), [[-depth] * 2] * 2)


@pytest.fixture(scope="module")
def larkspur():
    rig = load(SCENES / "larkspur_ledge.toml").rig
    return rig, find_clearance(rig, positions=46)


@pytest.fixture(scope="module")
def heron():
    rig = load(SCENES / "heron_gap.toml").rig
    return replace(rig, ground=None, wind=None, needs=replace(NEEDS, anchor_zone=2.0))


def said(cause):
    """What put it there, in words."""
    return Words("metric").note(cause.why.note)


def told(notes):
    """Notes in words."""
    return Words("metric").notes(notes)


def everything(found):
    """Causes of all findings, and what is compared at the borders of the anchor zones."""
    return [*found.causes, *(cause for zone in found.zones for cause in zone.border)]


def at_anchors(found):
    """What is within the anchor zones."""
    return [cause for zone in found.zones for cause in zone.within]


def _of(found, kind, cause, low=-np.inf, high=np.inf):
    """Causes of a kind and name whose nearest ground lies between two stations."""
    return [
        finding
        for finding in everything(found)
        if finding.kind == kind and cause in said(finding) and low <= finding.nearest[0] <= high
    ]


def _dip(rig, x):
    """Depth of the main below the chord under a walker at x: elastic string, parabolas of its weight and the backup's.

    A plain script: strain as the tension's rise over EA, geometry to second order, loops as weight only.
    """
    length = rig.span
    weight, load = rig.walker.mass * 9.80665, 9.80665 * (rig.main.mass + rig.backup.mass * 1.035)
    stiffness = 10e3 / rig.main.stretch.strain_at(10e3)

    def slack(h, point):
        """Arc over chord, for a point load and a spread one."""
        at = (weight if point else 0.0) * np.array([1 - x / length, x / length])
        left, right = (at[0] + load * (x / 2 + length / 2 - x / 2)), (at[1] + load * length / 2)
        s = np.linspace(0.0, length, 4001)
        shear = left - load * s - np.where(s > x, (weight if point else 0.0), 0.0)
        assert right > 0.0
        return float(np.mean(0.5 * (shear / h) ** 2))

    cut = (1.0 + slack(3000.0, False)) / (1.0 + 3000.0 / stiffness)  # unstretched over chord
    low, high = 1000.0, 20000.0
    for _ in range(100):
        h = 0.5 * (low + high)
        low, high = (h, high) if (1.0 + slack(h, True)) / (1.0 + h / stiffness) > cut else (low, h)
    return weight * x * (length - x) / (length * h) + load * x * (length - x) / (2.0 * h)


def test_larkspur_loops_lie_on_the_shelf_with_the_walker_beside_it(larkspur, agrees):
    """The note: with the walker at 9.7 m the line is 2.05 m under the chord, loop and all 0.26 m onto the shelf.

    The note adds the full loop depth under the kink; the loop in fact hangs from tapes to either side of it, which
    lie up to 0.2 m higher, so it only just touches.
    """
    rig, found = larkspur
    (loop,) = _of(found, "loop", "walker on the line", 7.0, 10.1)
    assert loop.walker == pytest.approx(9.7, abs=1.0)
    assert -0.26 < loop.distance < 0.0
    assert loop.distance == pytest.approx(loop.vertical, abs=0.02)
    assert found.exit_status == 3 and not loop.is_met
    (line,) = _of(found, "line", "walker on the line", 7.0, 10.1)
    assert line.walker == pytest.approx(9.7, abs=1.0)
    # Shelf 2.2 m below the chord, from the survey; the line's depth from a script of the test's own.
    hand = {"known": "recomputed", "source": "Elastic string of parabolas: Larkspur Ledge", "unit": "m"}
    agrees("line over the shelf under the walker", 2.2 - line.vertical, _dip(rig, line.walker), abs=0.08, **hand)
    assert _dip(rig, 9.7) == pytest.approx(2.05, abs=0.1)


def test_larkspur_seen_at_mid_span_alone_would_clear_the_shelf(larkspur, agrees):
    """The note: with the walker at mid-span the loops clear the shelf by 0.7 m."""
    rig, _ = larkspur
    middle = find_clearance(rig, positions=[0.5 * rig.span], wind=False)
    loops = [f for f in everything(middle) if f.kind == "loop" and said(f).startswith("walker")]
    assert all(finding.distance > 0.4 for finding in loops)
    (loop,) = [finding for finding in loops if 7.0 <= finding.nearest[0] <= 10.1]
    agrees("loops over the shelf with the walker at mid-span", loop.vertical, 0.7, abs=0.3, unit="m")


def test_larkspur_falls_strike_the_rib(larkspur, agrees):
    """The note: feet 9.7 m below the chord at the rib, whose top is 7.5 m below: 2.2 m too deep; zone about 15-35 m."""
    rig, found = larkspur
    (fall,) = [f for f in _of(found, "body", "leash fall, at its lowest", 21.0, 27.0) if f.family == "fall"]
    agrees("feet over the rib in a leash fall", fall.vertical, 7.5 - 9.7, abs=0.3, unit="m")
    assert 20.0 < fall.walker < 28.0
    zone = next(zone for zone in found.no_fall_zones if zone.from_a[0] < fall.walker < zone.from_a[1])
    assert zone.from_a[0] < 15.0
    clear = [at for at in np.arange(28.0, 45.0, 0.5).tolist() if _body_left(rig, at) > 0.0]
    agrees("end of the stretch from where feet come too near", clear[0], 35.0, abs=5.0, unit="m")
    assert zone.from_a[1] > clear[0] - 0.5
    np.testing.assert_allclose(zone.from_b, rig.span - np.array(zone.from_a)[::-1])
    # The body itself touches rock only beside and above the rib.
    (strike,) = [strike for strike in found.strikes if 20.0 < strike.worst_at < 30.0]
    assert 21.0 < strike.from_a[0] < 24.0 < strike.from_a[1] < 28.5
    # Seen from outside the sweep: the foot of one fall, over the rib's top at that station.
    one = leash_fall(rig, 24.0).figures
    top = np.interp(one.low.foot[0, 0], [22.0, 26.0], [-9.18, -9.48])
    assert one.low.foot[0, 2] < top - 1.5


def _body_left(rig, at):
    """Of one fall, outside the sweep: what it leaves to the ground, less what is needed.  [m]"""
    index = GroundIndex(load_ground(rig.ground, rig.main_a, rig.main_b))
    return fall_gaps(leash_fall(rig, at).figures, index).lowest[0] - rig.needs.needed("body")


def test_larkspur_falls_drag_the_main_over_the_ledge(larkspur):
    """A line with weight hangs no higher than a straight string from A to the ring, and hardly lower: w L^2 / 8 T."""
    rig, found = larkspur
    (drag,) = found.drags
    shelf, error = np.array([10.0, -2.96]), rig.needs.survey_error  # The edge of the scene's shelf.
    weight, least = 9.81 * 0.15, 3000.0  # More weight of both lines, and less tension, than a catch on this line has.
    for at, on_it in ((15.0, True), (25.0, True), (40.0, True), (45.0, True), (56.0, False), (70.0, False)):
        low = leash_fall(rig, at).figures.low
        string = shelf[0] * low.ring[0, 2] / low.ring[0, 0] - shelf[1]
        sag = weight * low.ring[0, 0] ** 2 / (8.0 * least)
        assert (string < error) if on_it else (string - sag > error)
        assert (drag.from_a[0] < at < drag.from_a[1]) == on_it
    (note,) = [note for note in found.notes if note.kind is ClearanceNote.DRAGGED]
    assert note.values["stretches"].ends == (drag.from_a,)
    assert any(zone.from_a[0] <= drag.from_a[0] and drag.from_a[1] <= zone.from_a[1] for zone in found.no_fall_zones)


def test_larkspur_loss_of_the_main_strikes_the_rib(larkspur):
    """The note: at the rib 14.6 m down at rest, against a rib 7.5 m down."""
    _, found = larkspur
    struck = _of(found, "body", "main gone, nothing holds: feet no lower", 21.0, 27.0)
    assert struck and struck[0].distance < -3.0 and struck[0].vertical < -7.1


def test_the_worst_place_is_found_to_centimetres(larkspur):
    """Loops over the shelf, walker every 2 cm, each state solved on its own: none is lower than what was found."""
    rig, found = larkspur
    (loop,) = _of(found, "loop", "walker on the line", 7.0, 10.1)
    index, planned = GroundIndex(load_ground(rig.ground, rig.main_a, rig.main_b)), plan(rig)
    tried = {}
    for at in np.arange(loop.walker - 0.3, loop.walker + 0.3, 0.02):
        curve = solve(rig.with_walker_at(float(at)), planned=planned).backup.sample(60)
        beyond = (curve.points[:, 0] > 6.0) & (curve.points[:, 0] < 12.0)
        first, last = np.flatnonzero(beyond)[[0, -1]]
        tried[at] = minimum_along(index, curve.points[first : last + 1], curve.sagitta[first:last]).distance
    best = min(tried, key=tried.get)
    assert loop.distance == pytest.approx(tried[best], abs=0.005)
    assert loop.walker == pytest.approx(best, abs=0.08)


def test_an_empty_level_line_over_a_floor_by_closed_form(heron, agrees):
    """Sag of the main w L²/8T (parabola, to 1 % here), taken from 20 m; the distance found is a lower bound."""
    rig = replace(heron, walker=None)
    found = find_clearance(rig, terrain=floor(20.0))
    solved = solve(rig)
    weight = 9.80665 * (rig.main.mass + rig.backup.mass * solved.bays.loop_length.sum() / solved.bays.length.sum())
    sag = weight * rig.span**2 / (8.0 * solved.tension_a)
    (line,) = [finding for finding in everything(found) if finding.kind == "line"]
    agrees(
        "empty level line over a floor", line.distance, 20.0 - sag, abs=0.01 * sag + 2e-3, unit="m", known="recomputed",
        source="Closed form: parabola's sag",
    )
    assert line.distance <= 20.0 + solved.main.sample(50).points[:, 2].min() + 1e-9
    assert line.station == pytest.approx(24.0, abs=0.1) and line.walker is None
    np.testing.assert_allclose(line.nearest[2], -20.0)
    np.testing.assert_allclose(line.vertical_point - line.vertical_ground, [0.0, 0.0, line.vertical], atol=0.01)
    assert found.no_fall_zones == () and len(found.walkers) == 0
    assert found.exit_status == 0 and found.is_met
    assert any(note.kind is ClearanceNote.NO_WALKER for note in found.notes)


def test_wind_from_both_sides_beside_a_wall(heron):
    """A wall 3 m to the left: wind from the right brings the lines nearer, as far as `find_wind` blows them out."""
    rig = replace(heron, wind=Wind(speed=9.0, towards=(0.0, 1.0)))
    wall = Terrain(
        vertices=[[-99.0, 3.0, -60], [150.0, 3.0, -60], [-99.0, 3.0, 40], [150.0, 3.0, 40]],
        faces=[[0, 1, 2], [1, 3, 2]], source="a wall",
    )
    found = find_clearance(rig, terrain=wall, positions=[24.0])
    carried = [finding for finding in everything(found) if finding.family == "rig"]
    (line,) = [finding for finding in carried if finding.kind == "line"]
    (loop,) = [finding for finding in carried if finding.kind == "loop"]
    assert "gust from the right" in said(line) and "from the right" in said(loop)
    blown = find_wind(rig.with_walker_at(24.0))
    gusts = [case for case in blown.cases if case.gust_load.towards[1] > 0.0]
    assert line.distance == pytest.approx(3.0 - max(case.offset_gust for case in gusts), abs=5e-3)
    reach = max(max(case.swung[..., 1].max(), case.gust.backup.nodes[:, 1].max()) for case in gusts)
    assert loop.distance <= 3.0 - reach + 1e-3
    # The other side's mirror image lies as far beyond; what is over 1 m farther off is not listed with it.
    assert max(case.offset_gust for case in gusts) > 0.5
    assert not any(why.side == "left" and why.air == "gust" for why, _ in line.also)


def test_mirror_images_are_the_same_as_solving_both_sides(heron):
    """Backup anchors a millionth of a metre aside forbid mirroring: the figures stay."""
    wall = sheet_of((-99.0, 150.0), (-40.0, 40.0), [[-40.0, 0.0]] * 2)
    rig = replace(heron, wind=Wind(speed=6.0, towards=(0.2, 0.98)))
    aside = replace(rig, anchors=replace(rig.anchors, backup_a=rig.backup_a + np.array([0.0, 1e-6, 0.0])))
    for one, other in zip(
        *(everything(find_clearance(each, terrain=wall, positions=[11.0, 30.0])) for each in (rig, aside)), strict=True
    ):
        assert one.distance == pytest.approx(other.distance, abs=1e-4)
        assert (one.kind, one.why) == (other.kind, other.why)


def test_every_state_of_sliders_is_looked_at():
    rig = load(SCENES / "ptarmigan_step.toml").rig
    found = find_clearance(rig, positions=6)
    whys = {f.why for f in everything(found)} | {why for f in everything(found) for why, _ in f.also}
    causes = told(why.note for why in whys)
    for words in (
        "as taped", "sliders settled", "slid in a crossing, low hold", "slid in a crossing, high hold",
        "steady wind from the left", "gust from the right", "sudden gust", "nobody on the line",
    ):  # fmt: skip
        assert any(words in cause for cause in causes), words


def test_settled_states_are_those_of_the_solver():
    """Walker moved along without friction, against settling afresh at every place tried: the same lowest loop.

    Loops gather to 7 m of depth here, so to 5 cm: the bound on their sag between points, and states a little apart.
    """
    rig = replace(load(SCENES / "sable_tarn.toml").rig, wind=None, needs=None)
    ground, at = floor(150.0), 0.7 * rig.span
    found = find_clearance(rig, terrain=ground, positions=[0.5 * rig.span, 0.6 * rig.span, at], wind=False)
    loop = next(one for one in everything(found) if one.kind == "loop" and one.family == "rig")
    known = {why.id: distance for why, distance in (*loop.also, (loop.why, loop.distance))}
    lowest = []
    for place in found.walkers:
        solved = solve(rig.with_walker_at(float(place)), "settled", look_for_others=False)
        lowest.append(150.0 + solved.backup.sample(60).points[:, 2].min())
    assert known["rig/walker/still/settled"] == pytest.approx(min(lowest), abs=0.05)


def test_falls_on_sliding_tapes_count_with_the_lower_of_both_ends():
    """Sliders over bays of unlike excess, 60 m over a floor: the lowest foot of free sliders, not of held ones."""
    rig = unlike(0.0, 0.12, at=15.0, mass=0.06)
    found = find_clearance(rig, terrain=floor(60.0), positions=[15.0])
    fall = leash_fall(rig).figures
    body = next(finding for finding in everything(found) if finding.kind == "body" and finding.family == "fall")
    assert body.distance == pytest.approx(60.0 + fall.low.foot[0, 2], abs=1e-6)
    assert body.distance < 60.0 + fall.low.foot[0, 2] + (fall.low.dip[0] - fall.low.dip_held[0]) - 0.1
    assert any(finding.why.kind is CauseKind.FALL_LINE_SLID for finding in everything(found))


def lip(depth):
    """Level rock below the anchors out to 1.5 m, and then nothing for 60 m."""
    return Terrain(
        vertices=[
            [x, y, z] for y in (-30.0, 30.0) for x, z in ((-9, -depth), (1.5, -depth), (1.6, -60.0), (70.0, -60.0))
        ],
        faces=[[0, 1, 4], [1, 5, 4], [1, 2, 5], [2, 6, 5], [2, 3, 6], [3, 7, 6]], source="a lip", kind="profile",
    )


def test_anchor_zones_are_measured_but_not_compared(heron):
    """Falls reach a lip 0.9 m below the anchor: without a zone nothing could ever be met."""
    heron = replace(heron, wind=None)
    low = replace(heron.needs, body=0.2, loop=0.1, line=0.2, survey_error=0.0, margin=0.1)
    far = find_clearance(replace(heron, needs=replace(low, anchor_zone=6.0)), terrain=lip(0.9), positions=24)
    assert far.exit_status == 0 and far.anchor_zone == 6.0
    assert all(finding.station >= 6.0 - 1e-6 or finding.walker >= 6.0 for finding in far.causes)
    assert min(finding.distance for finding in at_anchors(far)) < 0.0
    # The zone ends where falls do not come within reach of the lip any more, found to 1 cm; a metre beyond the anchor
    # zone none can.
    assert far.no_fall_zones[0].from_a[0] == 0.0 and far.no_fall_zones[0].from_a[1] < 7.0
    near = find_clearance(replace(heron, needs=replace(low, anchor_zone=0.0)), terrain=lip(0.9), positions=24)
    assert near.exit_status == 3 and at_anchors(near) == []


def test_a_line_that_a_walker_treads_onto_the_lip_is_not_kept(heron):
    """The same lip 0.5 m down: the line meets its edge as he leaves, within the zone, and that is told."""
    heron = replace(heron, wind=None)
    low = replace(heron.needs, body=0.2, loop=0.1, line=0.2, survey_error=0.0, margin=0.1, anchor_zone=6.0)
    found = find_clearance(replace(heron, needs=low), terrain=lip(0.5), positions=24)
    assert found.verdict is Verdict.SHORT and found.exit_status == 3
    line = next(cause for cause in found.zones[0].in_rock if cause.kind == "line")
    assert line.station < 1.5 and line.inside > 0.0 and line.distance < 0.0


def test_holes_open_meshes_and_missing_needs_are_said(heron):
    steps = np.array([[0.0, -30.0], [20.0, -30.0], [24.0, -30.0], [60.0, -30.0]])
    vertices = [[x, y, z] for y in (-30.0, 30.0) for x, z in steps + np.array([-8.0, 0.0])]
    faces = [[0, 1, 4], [1, 5, 4], [2, 3, 6], [3, 7, 6]]
    open_mesh = Terrain(vertices=vertices, faces=faces, source="with a hole")
    found = find_clearance(replace(heron, needs=None), terrain=GroundIndex(open_mesh), positions=[24.0])
    np.testing.assert_allclose(found.holes, [[12.0, 16.0]], atol=1e-9)
    assert any(note.kind is ClearanceNote.NOT_ASKED for note in found.notes)
    assert any(note.kind is ClearanceNote.ONE_SHEET for note in found.notes)
    assert any(note.kind is ClearanceNote.RING for note in found.notes)
    assert found.exit_status == 0 and found.anchor_zone == 0.0


def test_the_envelope_holds_the_line_and_the_falls(larkspur):
    rig, found = larkspur
    envelope = found.envelope
    assert envelope is not None and envelope.bodies is not None
    assert envelope.lines.shape == (len(envelope.station), 8, 3) == envelope.bodies.shape
    inner = slice(1, -1)
    assert np.isfinite(envelope.lines[inner]).all()
    along = (rig.main_b - rig.main_a) / rig.span
    stations = (envelope.lines[inner] - rig.main_a) @ along
    np.testing.assert_allclose(stations, np.broadcast_to(envelope.station[inner, None], stations.shape), atol=1e-6)
    middle = len(envelope.station) // 2
    lowest, left, top, right = (envelope.lines[middle, k] for k in (0, 2, 4, 6))
    assert left[1] > 0.0 > right[1] and top[2] > lowest[2] and left[1] == pytest.approx(-right[1], abs=0.05)
    assert envelope.bodies[middle, 0, 2] < lowest[2] - 2.0


def test_what_cannot_be_used_is_refused(heron):
    with pytest.raises(InputError, match="no ground") as caught:
        find_clearance(heron)
    assert caught.value.key == "ground"
    for positions in (0, [], [48.0], [-1.0, 3.0], [np.nan]):
        with pytest.raises(InputError) as caught:
            find_clearance(heron, terrain=floor(20.0), positions=positions)
        assert caught.value.key == "positions"


def test_progress_runs_from_nothing_to_one(heron):
    told = []
    find_clearance(heron, terrain=floor(30.0), positions=[20.0], progress=told.append)
    assert told == sorted(told) and told[0] >= 0.0 and told[-1] == 1.0


def test_thin_ribs_between_walker_positions_are_struck(heron):
    """Five ribs 20 cm wide under positions 2 m apart, nothing asked for: every fall onto a rib is in a strike.

    Which falls end on a rib is told by falls from every 10 cm, seen from outside the sweep.
    """
    ribs, x, z = np.array([9.0, 15.0, 21.0, 28.0, 36.0]), [-60.0], [-30.0]
    for middle in ribs:
        x += [middle - 0.11, middle - 0.1, middle + 0.1, middle + 0.11]
        z += [-30.0, -5.5, -5.5, -30.0]
    x, z = [*x, 110.0], [*z, -30.0]
    vertices = [[a, side, b] for a, b in zip(x, z, strict=True) for side in (-30.0, 30.0)]
    faces = [face for k in range(0, 2 * len(x) - 2, 2) for face in ([k, k + 2, k + 1], [k + 1, k + 2, k + 3])]
    ground = Terrain(vertices=vertices, faces=faces, source="ribs", kind="profile")
    planned = plan(heron)
    found = find_clearance(replace(heron, needs=None), planned=planned, terrain=ground, positions=24, wind=False)
    tried = leash_fall_sweep(heron, np.arange(5.0, 43.0, 0.1), planned=planned)
    struck = np.abs(tried.low.foot[:, :1] - ribs) < 0.05
    assert struck.any(axis=0).all() and np.all(tried.low.foot[struck.any(axis=1), 2] < -5.6)
    for at in tried.at[struck.any(axis=1)]:
        assert any(zone.from_a[0] < at < zone.from_a[1] for zone in found.strikes), at


def test_a_fall_beside_a_shelf_drags_the_line_onto_it():
    """Larkspur: a fall from 20 m pulls the main over the shelf at 7 to 10 m, though the body itself clears the rock.

    Recomputed here from the fall's own lowest state: the main's height over the shelf's top, 2.2 m under the chord.
    """
    rig = load(SCENES / "larkspur_ledge.toml").rig
    planned = plan(rig)
    state = leash_fall(rig, 20.0, planned=planned).bottom
    points = state.main.sample(40).points
    above = points[(points[:, 0] > 7.5) & (points[:, 0] < 9.5)]
    chord = rig.main_a[2] + above[:, 0] * (rig.main_b - rig.main_a)[2] / (rig.main_b - rig.main_a)[0]
    assert np.min(above[:, 2] - (chord - 2.2)) < -0.5
    found = find_clearance(rig, planned=planned, positions=[20.0], wind=False)
    (line,) = [f for f in everything(found) if f.kind == "line" and f.why.kind is CauseKind.FALL_LINE]
    assert line.distance < -0.3
    assert any(note.kind is ClearanceNote.DRAGGED for note in found.notes)


def test_what_is_asked_for_is_met_only_where_ground_is_known(heron):
    """A floor far below with a gap across the line; gaps within the anchor zones or narrower than 1 m do not count."""
    def gapped(low, high):
        strips = [(-30.0, low), (high, 90.0)]
        corners = np.array([[x, y, -60.0] for strip in strips for x in strip for y in (-60.0, 60.0)])
        faces = [[0, 2, 3], [0, 3, 1], [4, 6, 7], [4, 7, 5]]
        return Terrain(vertices=corners, faces=faces, source="a floor with a gap", kind="grid")

    for low, high, status in ((20.0, 30.0, 3), (20.0, 20.9, 0), (-1.0, 2.9, 0), (-1.0, 6.5, 3)):
        found = find_clearance(heron, terrain=gapped(low, high), positions=[24.0], wind=False)
        assert all(finding.is_met for finding in everything(found))
        assert found.exit_status == status
        np.testing.assert_allclose(found.unknown, [[max(low, 2.0), high]] if status else np.zeros((0, 2)), atol=1e-9)
    assert found.is_known_at(7.0) and not found.is_known_at(6.0)
    free = find_clearance(replace(heron, needs=None), terrain=gapped(20.0, 30.0), positions=[24.0], wind=False)
    assert free.exit_status == 0 and len(free.unknown) == 1


def test_few_positions_look_beside_the_anchors(heron):
    """A ledge 2 m below anchor A that ends at 3 m: three positions, the first at 8 m, still find the falls onto it."""
    section = ((-50.0, -2.0), (3.0, -2.0), (3.5, -60.0), (99.0, -60.0))
    ledge = Terrain(
        vertices=[[x, y, z] for x, z in section for y in (-50.0, 50.0)],
        faces=[[k, k + 2, k + 1] if k % 2 == 0 else [k, k + 1, k + 2] for k in range(6)],
        source="a ledge", kind="profile",
    )
    rig = replace(heron, needs=replace(NEEDS, anchor_zone=0.0))
    found = find_clearance(rig, terrain=ledge, positions=3, wind=False)
    assert found.walkers.min() < 0.01 * rig.span and found.walkers.max() > 0.99 * rig.span
    assert found.strikes[0].from_a[0] == found.no_fall_zones[0].from_a[0] == 0.0
    # Beyond the ledge by no more than the 4.5 m that a body needs, and the way the ring goes in the fall.
    assert 3.0 < found.strikes[0].from_a[1] < 9.0
    # Or as far as a straight string from A to the ring at its lowest still lies on the ledge's end, 2 m down at 3 m.
    end = found.drags[0].from_a[1]
    assert end == found.no_fall_zones[0].from_a[1]
    inside, beyond = (leash_fall(rig, at).figures.low.ring[0] for at in (end - 0.5, end + 0.5))
    assert 3.0 * inside[2] / inside[0] < -2.0 + NEEDS.survey_error + 0.05
    assert 3.0 * beyond[2] / beyond[0] > -2.0 + NEEDS.survey_error - 0.05
