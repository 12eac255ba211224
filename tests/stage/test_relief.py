"""Ground to look at: its light, its contours, its refined triangles, and where danger is painted."""

from __future__ import annotations

import dataclasses
from types import SimpleNamespace

import numpy as np
import pytest

from linescope.clearance.finding import AnchorZone, Envelope
from linescope.stage import relief
from linescope.stage.ground import Site, site
from linescope.stage.theme import DARK, GREY, LIGHT
from linescope.terrain import Terrain
from linescope.terrain.areas import area_of
from linescope.terrain.spec import NamedArea
from tests.stage import rigs


def dome(radius: float = 10.0, count: int = 41) -> tuple[np.ndarray, np.ndarray]:
    """A grid on the cap of a ball: heights in closed form."""
    x, y = np.meshgrid(np.linspace(-6.0, 6.0, count), np.linspace(-6.0, 6.0, count), indexing="ij")
    points = np.column_stack([x.ravel(), y.ravel(), np.sqrt(radius**2 - x**2 - y**2).ravel()])
    index = np.arange(count * count).reshape(count, count)
    a, b, c, d = (part.ravel() for part in (index[:-1, :-1], index[1:, :-1], index[1:, 1:], index[:-1, 1:]))
    return points, np.concatenate([np.column_stack([a, b, c]), np.column_stack([a, c, d])])


def test_a_contour_of_a_ball_is_a_circle() -> None:
    """Closed form: at height h a ball of radius r is cut in a circle of radius sqrt(r^2 - h^2)."""
    points, faces = dome()
    for height in (8.5, 9.0, 9.5):
        found = relief.crossings(points[:, 2], points, faces, height)
        wide = np.sqrt(100.0 - height**2)
        assert len(found) % 2 == 0 and len(found) > 80
        np.testing.assert_allclose(found[:, 2], height, atol=1e-9)
        np.testing.assert_allclose(np.hypot(found[:, 0], found[:, 1]), wide, atol=0.02)
        length = np.linalg.norm(found[::2] - found[1::2], axis=1).sum()
        assert length == pytest.approx(2 * np.pi * wide, rel=0.01)


def test_normals_of_a_ball_point_away_from_its_middle() -> None:
    points, faces = dome()
    inner = np.hypot(points[:, 0], points[:, 1]) < 4.0
    away = points / np.linalg.norm(points, axis=1, keepdims=True)
    cosine = (relief.corner_normals(points, faces) * away).sum(axis=1)
    assert cosine[inner].min() > 0.9995


def test_refined_triangles_lose_no_ground_and_leave_no_cracks() -> None:
    """Against trimesh: the same area, and as many open edges as lie on the border of the square."""
    trimesh = pytest.importorskip("trimesh")
    points, faces = dome(count=6)
    fine, split = relief.refined(points, faces, 0.6, 100_000)
    ends = np.concatenate([split[:, [0, 1]], split[:, [1, 2]], split[:, [2, 0]]])
    assert np.linalg.norm(fine[ends[:, 0]] - fine[ends[:, 1]], axis=1).max() <= 0.6
    before, after = (trimesh.Trimesh(p, f, process=False) for p, f in ((points, faces), (fine, split)))
    assert after.area == pytest.approx(before.area, rel=1e-12)
    _, count = np.unique(np.sort(ends, axis=1), axis=0, return_counts=True)
    assert count.max() == 2
    open_edges = np.unique(np.sort(ends, axis=1), axis=0)[count == 1]
    assert np.abs(fine[open_edges][..., :2]).max(axis=2) == pytest.approx(6.0)


def test_so_many_triangles_and_no_more() -> None:
    points, faces = dome(count=6)
    assert len(relief.refined(points, faces, 1e-3, 2000)[1]) <= 2000


@pytest.mark.parametrize(("height", "unit"), [(24.0, 1.0), (66.0, 1.0), (66.0, 0.3048), (0.4, 1.0), (900.0, 1.0)])
def test_contours_are_round_and_not_too_many(height: float, unit: float) -> None:
    step = relief.contour_step(height, unit)
    digits = f"{step / unit:.3e}"
    assert float(digits[:5]) in (1.0, 2.0, 5.0)
    assert 7 <= height / step <= relief.TONES + 1e-9


def profile_site(rig: object) -> object:
    """A ravine as a surveyed profile, drawn out to both sides."""
    x, z = np.array([-8.0, 0.5, 4.0, 24.0, 44.0, 47.5, 56.0]), np.array([-0.6, -0.6, -20.0, -26.0, -20.0, -0.6, -0.6])
    vertices = np.array([(a, y, b) for a, b in zip(x, z, strict=True) for y in (-15.0, 15.0)])
    faces = [f for k in range(len(x) - 1) for f in ((2 * k, 2 * k + 2, 2 * k + 1), (2 * k + 1, 2 * k + 2, 2 * k + 3))]
    return site(Terrain(vertices=vertices, faces=np.array(faces), source="invented", kind="profile"), rig)


def test_a_profile_is_a_block_cut_before_the_line_whose_far_side_is_paper() -> None:
    rig = rigs.heron()
    made = relief.relief(profile_site(rig), rig, LIGHT)
    (land, face) = made.surfaces
    paper = np.array(LIGHT.rgb("paper"))
    assert land.points[:, 1].min() == pytest.approx(-relief.FRONT * rig.span)
    far = land.points[:, 1] > 14.9
    assert np.abs(land.baked[far].astype(int) - paper).max() == 0
    assert np.abs(land.baked[np.abs(land.points[:, 1]) < 1.0].astype(int) - paper).max(axis=1).min() > 20
    # The face hangs from the inked edge and is paper at its foot: nobody surveyed what is below.
    (edge,) = [wire.points for wire in made.wires if wire.name == "ground edge"]
    foot = face.points.reshape(len(edge), -1, 3)[:, -1]
    np.testing.assert_allclose(edge[:, 2] - foot[:, 2], relief.FADE * rig.span)
    assert np.abs(face.baked.reshape(len(edge), -1, 3)[:, -1].astype(int) - paper).max() == 0


def test_from_above_a_profile_is_paper_on_both_sides_and_not_cut() -> None:
    rig = rigs.heron()
    made = relief.relief(profile_site(rig), rig, LIGHT, above=True, level=-1.0)
    (land,) = made.surfaces
    assert not [wire for wire in made.wires if wire.name == "ground edge"]
    assert (land.points[:, 1].min(), land.points[:, 1].max()) == pytest.approx((-15.0, 15.0))
    paper = np.array(LIGHT.rgb("paper"))
    assert np.abs(land.baked[np.abs(land.points[:, 1]) > 14.9].astype(int) - paper).max() == 0
    assert np.abs(land.baked[np.abs(land.points[:, 1]) < 1.0].astype(int) - paper).max(axis=1).min() > 20
    bold = np.concatenate([wire.points for wire in made.wires if wire.name == "contour bold"])
    count = (bold[:, 2] - 0.02 + 1.0) / (5.0 * made.step)  # Strokes are lifted by 2 cm.
    assert len(bold) and np.abs(count - np.rint(count)).max() < 1e-5



def test_ground_that_was_surveyed_is_not_drawn_on() -> None:
    rig = rigs.heron()
    gorge = rigs.gorge(rig)
    (land,) = relief.relief(site(gorge, rig), rig, LIGHT).surfaces
    np.testing.assert_allclose(land.points.min(axis=0), gorge.vertices.min(axis=0))
    np.testing.assert_allclose(land.points.max(axis=0), gorge.vertices.max(axis=0))


def test_the_side_towards_the_sun_is_lighter_and_a_pit_is_darker() -> None:
    rig = rigs.heron()
    x, y = np.meshgrid(np.linspace(0.0, 48.0, 97), np.linspace(-20.0, 20.0, 81), indexing="ij")

    def land(z: np.ndarray) -> np.ndarray:
        index = np.arange(z.size).reshape(z.shape)
        a, b, c, d = (part.ravel() for part in (index[:-1, :-1], index[1:, :-1], index[1:, 1:], index[:-1, 1:]))
        faces = np.concatenate([np.column_stack([a, b, c]), np.column_stack([a, c, d])])
        ground = SimpleNamespace(vertices=np.column_stack([x.ravel(), y.ravel(), z.ravel()]), faces=faces)
        (surface,) = relief.relief(site(ground, rig), rig, LIGHT).surfaces
        return surface.baked[: z.size].mean(axis=1).reshape(z.shape)

    ridge = land(-20.0 - 0.35 * np.abs(y))  # The sun stands to the right of the line, towards its near side.
    assert ridge[40:60, 25:35].mean() > 1.15 * ridge[40:60, 45:55].mean()
    pit = land(np.where(np.hypot(x - 24.0, y) < 5.0, -40.0, -20.0))
    assert pit[48, 40] < 0.8 * pit[10, 40]


@pytest.mark.parametrize("theme", [LIGHT, DARK, GREY], ids=lambda theme: theme.name)
def test_danger_is_painted_where_it_is_and_nowhere_else(theme) -> None:
    rig = rigs.heron()
    plumb = np.column_stack([np.full(60, 20.0), np.zeros(60), np.linspace(-3.0, -26.0, 60)])
    far = np.array([[40.0, 0.0, 30.0]])
    swept = relief.Swept(bodies=plumb, lines=far, body=4.5, line=2.5, reaches=0.6)
    made = relief.relief(profile_site(rig), rig, theme, swept)
    land = made.surfaces[0]
    assert made.painted == {"ground_hit", "ground_near"}
    distance = np.linalg.norm(land.points[:, None] - plumb[None], axis=2).min(axis=1)
    red = np.abs(land.baked.astype(float) - theme.rgb("ground_hit")).max(axis=1) < 0.24 * max(theme.rgb("ground_hit"))
    assert red[distance < 0.6].all()
    plain = relief.relief(profile_site(rig), rig, theme).surfaces[0]
    untouched = distance > 4.5
    np.testing.assert_array_equal(land.baked[untouched], plain.baked[untouched])
    assert (land.baked[~untouched] != plain.baked[~untouched]).any(axis=1).all()
    rims = [wire.points for wire in made.wires if wire.name == "rim near"]
    assert np.abs(np.linalg.norm(rims[0][:, None] - plumb[None], axis=2).min(axis=1) - 4.5).max() < 0.3


def test_what_is_painted_does_not_stop_between_two_places_that_were_tried() -> None:
    rings = np.full((21, 8, 3), np.nan)
    for k in (0, 10, 20):
        rings[k] = [[k, 0.0, -10.0 if turn in relief.DOWNWARDS else -1.0] for turn in range(8)]
    filled = relief.bridged(rings)
    assert np.isfinite(filled).all()
    np.testing.assert_allclose(filled[:, 0], np.column_stack([np.arange(21.0), np.zeros(21), np.full(21, -10.0)]))
    # Never raised, and nothing is put in beyond the outermost.
    rings[0] = rings[20] = np.nan
    assert np.isnan(relief.bridged(rings)[[0, 20]]).all()


def test_what_is_swept_fills_the_envelope_of_every_cause_outside_the_anchor_zones() -> None:
    """The envelope has the outermost points of all that was tried; what is painted reaches from its top to its foot."""
    study = rigs.study("heron")
    span = study.rig.span
    station = np.linspace(0.0, span, 121)
    around = [(0.0, -1.0), (0.7, -0.7), (1.0, 0.0), (0.7, 0.7), (0.0, 1.0), (-0.7, 0.7), (-1.0, 0.0), (-0.7, -0.7)]
    bodies = np.array([[(x, 0.5 * y, -6.0 + 5.0 * z) for y, z in around] for x in station])
    envelope = Envelope(station=station, lines=np.full((121, 8, 3), np.nan), bodies=bodies)
    zones = tuple(AnchorZone(anchor=end, length=length, asked=length) for end, length in (("A", 6.0), ("B", 4.0)))
    found = dataclasses.replace(study.clearance, envelope=envelope, zones=zones)
    swept = relief.swept(rigs.changed(study, clearance=found))
    assert swept is not None
    assert not len(swept.lines)
    assert swept.bodies[:, 0].min() >= 6.0
    assert swept.bodies[:, 0].max() <= span - 4.0
    plumb = np.column_stack([np.full(21, 20.0), np.zeros(21), np.linspace(-11.0, -1.0, 21)])
    nearest = np.linalg.norm(swept.bodies[:, None] - plumb[None], axis=2).min(axis=0)
    assert nearest.max() <= 0.8 * swept.reaches  # No gap through which ground would stay unpainted.
    assert relief.swept(rigs.changed(study, clearance=dataclasses.replace(found, envelope=None))) is None


def test_rock_beside_the_line_in_an_anchor_zone_is_asked_for_less() -> None:
    rig = rigs.heron()
    plumb = np.column_stack([np.full(60, 8.0), np.zeros(60), np.linspace(-1.0, -20.0, 60)])
    beside = relief.Beside(frame=relief.LineFrame.of(rig), low=6.0, high=44.0, needed=1.5)
    given = {"bodies": plumb, "lines": np.zeros((0, 3)), "body": 4.5, "line": 2.5, "reaches": 0.6}
    points = np.array([[5.0, 0.0, -10.0], [11.0, 0.0, -10.0], [5.0, 0.0, -30.0]])
    assert (relief.Swept(**given).paint(points).near < 0.0).tolist() == [True, True, False]
    assert (relief.Swept(**given, beside=beside).paint(points).near < 0.0).tolist() == [False, True, False]


def test_borders_of_areas_lie_on_what_is_drawn_of_the_ground() -> None:
    """None before a block's cut, none where its width has faded to paper; all of them on other ground."""
    rig = rigs.solved("incline").rig
    bare = rigs.gorge(rig)
    whole = Terrain(vertices=bare.vertices, faces=bare.faces, source="invented")
    strip = NamedArea(name="path", kind="path", stations=np.array([0.3, 0.4]) * rig.span)
    piece = area_of(strip, whole, rig.main_a, rig.main_b, None)
    frame = relief.LineFrame.of(rig)
    for kind in ("profile", "mesh"):
        near = dataclasses.replace(whole, kind=kind)
        (wire,) = relief.borders(Site(near=near, picture=whole, areas=(piece,)), rig)
        y = frame.local(wire.points)[:, 1]
        at = (wire.points - rig.main_a)[:, :2] @ (rig.main_b - rig.main_a)[:2]
        at /= np.linalg.norm((rig.main_b - rig.main_a)[:2])
        assert np.all((np.abs(at - 0.3 * rig.span) < 1e-6) | (np.abs(at - 0.4 * rig.span) < 1e-6))
        back = frame.local(np.asarray(whole.vertices))[:, 1].max()
        if kind == "profile":
            assert y.min() == pytest.approx(-relief.FRONT * rig.span) and y.max() < 0.7 * back
        else:
            assert y.max() == pytest.approx(back, rel=0.2)
