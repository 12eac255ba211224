"""Ground as riggers have it, brought under a line: the same relief in many forms gives the same distance.

Peers: trimesh and scipy for the distance itself, pyproj for the frame.
"""

from __future__ import annotations

import json
import math
import struct

import numpy as np
import pytest

from linescope.clearance import GroundIndex, minimum_along
from linescope.cli import main
from linescope.errors import TerrainError
from linescope.terrain import GroundSpec, load_ground
from linescope.terrain.anchors import Fix, read_anchors
from linescope.terrain.bring import Bring, bring
from linescope.terrain.geo import Origin
from linescope.terrain.located import located
from linescope.terrain.model import together
from linescope.terrain.notes import GroundNote
from linescope.terrain.site_file import is_site, read_site, write_site
from tests.terrain import relief

pytest.importorskip("rasterio")
# What rasterio does inside with the matrix of a raster, in its own writing of tiles for these tests.
pytestmark = pytest.mark.filterwarnings("ignore:Use `@` matmul:PendingDeprecationWarning")
FEET = 1200.0 / 3937.0
STATE_PLANE = "EPSG:2274"  # Tennessee, US survey feet.


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("relief")


@pytest.fixture(scope="module")
def ends(folder):
    return read_anchors(relief.waypoints(folder / "anchors.gpx"))


def line(a, b, sag=4.0, points=81):
    """A parabola between the anchors."""
    t = np.linspace(0.0, 1.0, points)[:, None]
    return a + t * (b - a) - np.array([0.0, 0.0, 4.0 * sag]) * t * (1.0 - t)


def distance(site, low=8, high=-8):
    """From the middle of the line, away from the anchors, to the ground. [m]"""
    ground = together([piece for piece in site.pieces if piece.role == "ground"])
    return minimum_along(GroundIndex(ground), line(*site.anchors)[low:high]).distance


@pytest.fixture(scope="module")
def plain(folder):
    """The tile as it is."""
    return relief.tile(folder / "plain.tif")


@pytest.fixture(scope="module")
def reference(plain, ends):
    """Its site, and the distance over it."""
    site = bring([plain], ends)
    return site, distance(site)


def test_distance_is_that_of_trimesh_on_the_whole_tile(reference):
    """Points of the line every metre against triangles of heights as they stand, in UTM; the scale there is 0.9996."""
    import trimesh
    from scipy.spatial import cKDTree

    _, found = reference
    z = relief.heights().astype(np.float64)
    y, x = np.mgrid[0 : z.shape[0], 0 : z.shape[1]]
    corners = np.stack([relief.X0 + x.ravel() + 0.5, relief.Y0 - y.ravel() - 0.5, z.ravel()], 1)
    a, b = relief.anchors()
    curve = line(a, b, points=801)[80:-80]
    nearest = curve[int(np.argmin(cKDTree(corners).query(curve)[0]))]
    near = np.linalg.norm(corners - nearest, axis=1) < 40.0
    number = np.full(len(corners), -1)
    number[near] = np.arange(near.sum())
    i = (np.arange(z.shape[0] - 1)[:, None] * z.shape[1] + np.arange(z.shape[1] - 1)).ravel()
    w = z.shape[1]
    faces = np.concatenate([np.stack([i, i + 1, i + w], 1), np.stack([i + 1, i + w + 1, i + w], 1)])
    faces = faces[near[faces].all(axis=1)]
    mesh = trimesh.Trimesh(corners[near], number[faces], process=False)
    some = curve[np.linalg.norm(curve - nearest, axis=1) < 8.0]
    want = trimesh.proximity.closest_point(mesh, some)[1].min()
    # Grid metres against true ones: 4e-4, of a distance of tens of metres.
    assert found == pytest.approx(want, abs=0.05)


FORMS = {
    "lzw": lambda path: relief.tile(path, compress="lzw", tiled=True),
    "lzw, predictor 2": lambda path: relief.tile(path, compress="lzw", predictor=2),
    "deflate, predictor 2": lambda path: relief.tile(path, compress="deflate", predictor=2, tiled=True),
    "deflate, predictor 3": lambda path: relief.tile(path, compress="deflate", predictor=3, tiled=True),
    "zstd": lambda path: relief.tile(path, compress="zstd"),
    "geographic": lambda path: relief.warped(path, "EPSG:4326", 9e-6, compress="lzw"),
    "US survey feet": lambda path: relief.warped(path, STATE_PLANE, 1.0 / FEET, factor=FEET, compress="deflate"),
    "rotated": lambda path: relief.warped(path, relief.UTM, 1.0, turn=30.0, compress="lzw"),
}


@pytest.mark.parametrize("form", FORMS)
def test_every_raster_gives_the_same_distance(folder, ends, reference, form):
    """Interpolating a smooth relief anew at 1 m moves it by centimetres where it is steepest (1 m a cell)."""
    path = FORMS[form](folder / f"{form.replace(', ', '_').replace(' ', '_')}.tif")
    site = bring([path], ends)
    same = "predictor" in form or form in ("lzw", "zstd")
    assert distance(site) == pytest.approx(reference[1], abs=1e-9 if same else 0.08)
    np.testing.assert_allclose(site.anchors, reference[0].anchors, atol=0.01)
    kinds = {note.kind for note in site.pieces[0].notes}
    assert (GroundNote.HEIGHTS_AS_PLAN in kinds) == (form == "US survey feet")


def test_heights_in_another_unit_are_told_by_the_user_or_guessed(folder, ends, reference):
    path = FORMS["US survey feet"](folder / "feet.tif")
    told = bring([path], ends, Bring(unit=FEET))
    assert distance(told) == pytest.approx(reference[1], abs=0.08)
    assert GroundNote.HEIGHTS_AS_PLAN not in {note.kind for note in told.pieces[0].notes}


def test_holes_stay_open_and_are_told(folder, ends, reference):
    z = relief.heights().copy()
    z[76:92, 80:120] = np.nan
    site = bring([relief.tile(folder / "holes.tif", z, compress="lzw")], ends)
    assert any(note.kind is GroundNote.HOLES for note in site.pieces[0].notes)
    assert len(site.pieces[0].faces) < len(reference[0].pieces[0].faces)
    assert distance(site) >= reference[1] - 1e-9


def test_a_line_beside_the_tile_and_a_missing_system_are_refused(folder, plain, ends):
    away = tuple(Fix(name=fix.name, x=fix.x + 1.0, y=fix.y, height=fix.height, geographic=True) for fix in ends)
    with pytest.raises(TerrainError, match="beside this raster"):
        bring([plain], away)
    from rasterio.transform import from_origin

    bare = relief.write_raster(folder / "bare.tif", relief.heights(), from_origin(relief.X0, relief.Y0, 1, 1), None)
    with pytest.raises(TerrainError, match="latitude and longitude") as caught:
        bring([bare], ends)
    assert caught.value.key == "crs"
    assert distance(bring([bare], ends, Bring(crs=relief.UTM))) > 0.0


def test_a_classified_cloud_is_told_apart(folder, ends, reference):
    """120,000 points: trees are no ground, noise is nothing; the ground between random points is that of the tile.

    Points are 0.6 m apart in the mean: joined straight they lie within decimetres of a relief as steep as 1 in 1.
    """
    pytest.importorskip("laspy")
    site = bring([relief.cloud(folder / "cloud.laz", 120_000)], ends)
    roles = {piece.role: piece for piece in site.pieces}
    assert set(roles) == {"ground", "vegetation"}
    assert distance(site) == pytest.approx(reference[1], abs=0.25)
    notes = {note.kind: note for note in roles["ground"].notes}
    assert notes[GroundNote.NOISE].values["count"] > 40
    assert notes[GroundNote.CLASSES].values["vegetation"] == len(roles["vegetation"].faces)
    lowest = minimum_along(GroundIndex(roles["vegetation"]), line(*site.anchors)).distance
    assert lowest > 0.0


def test_a_textured_mesh_keeps_its_picture(folder, ends, reference):
    """In metres from the tile's corner, with anchors in the same; the picture survives the file."""
    a, b = relief.anchors() - np.array([relief.X0, relief.Y0, 0.0])
    local = tuple(
        Fix(name=name, x=x, y=y, height=z, geographic=False) for name, (x, y, z) in (("A", a), ("B", b))
    )
    site = bring([relief.mesh(folder / "scan.obj")], local)
    (piece,) = site.pieces
    assert piece.texture is not None and piece.texture.corners.shape == (len(piece.faces), 3, 2)
    # Grid metres are taken as metres here: 4e-4 of a distance of tens of metres.
    assert distance(site) == pytest.approx(reference[1], abs=0.05)
    write_site(folder / "scan.glb", site)
    again = read_site(folder / "scan.glb")
    assert again.pieces[0].texture.image == piece.texture.image and again.origin is None
    assert distance(again) == pytest.approx(distance(site), abs=1e-4)
    # Every corner has its own place in the picture: u grows with x, v with y.
    corners = again.pieces[0].vertices[again.pieces[0].faces].reshape(-1, 3) + a
    places = again.pieces[0].texture.corners.reshape(-1, 2)
    z = relief.heights()
    np.testing.assert_allclose(places[:, 0], (corners[:, 0] - 0.5) / (z.shape[1] - 1), atol=1e-4)
    np.testing.assert_allclose(places[:, 1], 1.0 + (corners[:, 1] + 0.5) / (z.shape[0] - 1), atol=1e-4)


def test_the_site_file_is_glb_that_others_read(folder, reference):
    """Peer: trimesh reads the triangles, turned as glTF has them (x east, y up, z south)."""
    import trimesh

    write_site(folder / "site.glb", reference[0])
    assert is_site(folder / "site.glb")
    scene = trimesh.load_scene(folder / "site.glb", process=False)
    (mesh,) = scene.geometry.values()
    piece = reference[0].pieces[0]
    assert len(mesh.faces) == len(piece.faces)
    np.testing.assert_allclose(
        mesh.bounds, [[piece.bounds[0, 0], piece.bounds[0, 2], -piece.bounds[1, 1]],
                      [piece.bounds[1, 0], piece.bounds[1, 2], -piece.bounds[0, 1]]], atol=1e-3,
    )
    again = read_site(folder / "site.glb")
    assert again.provenance["files"][0]["name"] == "plain.tif" and len(again.provenance["files"][0]["sha256"]) == 64
    assert again.system.endswith("UTM zone 16N")
    assert [note.kind for note in again.pieces[0].notes] == [note.kind for note in piece.notes]
    assert distance(again) == pytest.approx(reference[1], abs=1e-4)


def test_damaged_site_files_are_refused(folder, reference, tmp_path):
    write_site(tmp_path / "whole.glb", reference[0])
    blob = (tmp_path / "whole.glb").read_bytes()
    for number, bad in enumerate((blob[:-100], blob[:30], b"glTF" + blob[10:], blob[:12] + b"\xff" * 8 + blob[20:])):
        (tmp_path / f"{number}.glb").write_bytes(bad)
        with pytest.raises(TerrainError):
            read_site(tmp_path / f"{number}.glb")
    size = struct.unpack("<I", blob[12:16])[0]
    data = json.loads(blob[20 : 20 + size])
    data["extras"]["linescope-site"]["version"] = 99
    head = json.dumps(data).encode().ljust(size)[:size] if len(json.dumps(data)) <= size else None
    if head is not None:
        (tmp_path / "later.glb").write_bytes(blob[:20] + head + blob[20 + size :])
        with pytest.raises(TerrainError, match="later version"):
            read_site(tmp_path / "later.glb")


def test_the_same_from_the_scene_in_memory(folder, plain, ends, reference):
    """A scene that names the raw tile and where its own zero lies gets the ground of the site file."""
    site, want = reference
    spec = GroundSpec(path=plain, kind="grid", origin=site.origin)
    ground = load_ground(spec, *site.anchors)
    assert minimum_along(GroundIndex(ground), line(*site.anchors)[8:-8]).distance == pytest.approx(want, abs=1e-9)
    write_site(folder / "named.glb", site)
    again = load_ground(GroundSpec(path=folder / "named.glb", kind="site"), *site.anchors)
    assert minimum_along(GroundIndex(again), line(*site.anchors)[8:-8]).distance == pytest.approx(want, abs=1e-4)
    moved = load_ground(GroundSpec(path=folder / "named.glb", kind="site"), site.anchors[0] + 3.0, site.anchors[1])
    assert any(note.kind is GroundNote.OTHER_ANCHORS for note in moved.notes)


def test_the_command_writes_a_site_and_the_lines_for_a_scene(folder, plain, ends, capsys):
    status = main([
        "ground", str(plain), "--anchors", str(folder / "anchors.gpx"), "-o", str(folder / "out.glb"),
    ])
    said = capsys.readouterr().out
    assert status == 0 and is_site(folder / "out.glb")
    assert 'kind = "site"' in said and 'file = "out.glb"' in said and "bears" in said
    assert main(["ground", str(folder / "gone.tif"), "--anchors", str(folder / "anchors.gpx")]) == 2
    assert main(["ground", str(plain), "--anchors", str(folder / "plain.tif")]) == 2


@pytest.mark.peer
def test_the_frame_is_that_of_pyproj(peer):
    """Topocentric places of random points within 2 km, and back; peer: PROJ's cart and topocentric."""
    pyproj = peer("pyproj", "the local frame")
    rng = np.random.default_rng(3)
    for latitude, longitude, height in ((46.5, 7.9, 2300.0), (-33.2, -70.1, 4100.0), (68.0, 15.0, 10.0)):
        to = pyproj.Transformer.from_pipeline(
            "+proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad +step +proj=cart +ellps=WGS84 "
            f"+step +proj=topocentric +ellps=WGS84 +lon_0={longitude} +lat_0={latitude} +h_0={height}"
        )
        lon, lat = longitude + rng.uniform(-0.01, 0.01, 50), latitude + rng.uniform(-0.01, 0.01, 50)
        high = height + rng.uniform(-500, 500, 50)
        origin = Origin(latitude=math.radians(latitude), longitude=math.radians(longitude), height=height)
        local = origin.local(np.radians(lon), np.radians(lat), high)
        np.testing.assert_allclose(local, np.stack(to.transform(lon, lat, high), 1), atol=1e-6)
        back = origin.places(local)
        np.testing.assert_allclose(np.degrees(back[0]), lon, atol=1e-11)
        np.testing.assert_allclose(np.degrees(back[1]), lat, atol=1e-11)
        np.testing.assert_allclose(back[2], high, atol=1e-5)


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("a.gpx", '<gpx><wpt lat="46.5" lon="7.9"><ele>2300</ele><name>b</name></wpt>'
                  '<wpt lat="46.6" lon="7.8"><ele>2310</ele><name>Anchor A</name></wpt></gpx>'),
        ("a.kml", "<kml><Placemark><name>A</name><Point><altitudeMode>absolute</altitudeMode>"
                  "<coordinates>7.8,46.6,2310</coordinates></Point></Placemark><Placemark><name>B</name><Point>"
                  "<altitudeMode>absolute</altitudeMode><coordinates>7.9,46.5,2300</coordinates></Point></Placemark></kml>"),
        ("a.csv", "name,lat,lon,ele\nA,46.6,7.8,2310\nB,46.5,7.9,2300\n"),
        ("b.csv", "lon;lat;height;anchor\n7.9;46.5;2300;B\n7.8;46.6;2310;A\n"),
    ],
)
def test_anchors_from_every_file(tmp_path, name, text):
    (tmp_path / name).write_text(text)
    a, b = read_anchors(tmp_path / name)
    assert (a.x, a.y, a.height) == (7.8, 46.6, 2310.0) and (b.x, b.y, b.height) == (7.9, 46.5, 2300.0)
    assert a.geographic and b.geographic


def test_a_placemark_on_the_ground_has_no_height_of_its_own(tmp_path):
    (tmp_path / "a.kml").write_text(
        "<kml><Placemark><LineString><coordinates>7.8,46.6,0 7.85,46.55,0 7.9,46.5,0</coordinates></LineString>"
        "</Placemark></kml>"
    )
    a, b = read_anchors(tmp_path / "a.kml")
    assert (a.x, b.x) == (7.8, 7.9) and math.isnan(a.height) and math.isnan(b.height)


def test_an_anchor_without_a_height_gets_that_of_the_ground(folder, plain, ends, reference):
    bare = (Fix(name="A", x=ends[0].x, y=ends[0].y, height=math.nan, geographic=True), ends[1])
    site = bring([plain], bare)
    a = relief.anchors()[0]
    assert site.origin.height == pytest.approx(a[2] - 4.0, abs=0.6)
    assert any(note.kind is GroundNote.HEIGHT_OF_GROUND for note in site.pieces[0].notes)


@pytest.mark.parametrize(
    ("name", "text", "match"),
    [
        ("a.gpx", "<gpx", "well-formed"), ("a.gpx", "<gpx></gpx>", "two anchors"),
        ("a.gpx", '<!DOCTYPE x [<!ENTITY y "z">]><gpx/>', "entities"),
        ("a.gpx", '<gpx><wpt lat="999" lon="1"/><wpt lat="1" lon="1"/></gpx>', "not degrees"),
        ("a.csv", "p,q\n1,2\n", "where the anchors are"), ("a.csv", "x,y,z\n1,two,3\n", "not a number"),
        ("a.txt", "x", "not read from this"),
    ],
)
def test_broken_anchors_are_told(tmp_path, name, text, match):
    (tmp_path / name).write_text(text)
    with pytest.raises(TerrainError, match=match):
        read_anchors(tmp_path / name)


def test_the_datum_of_heights_is_kept_in_the_site_file(folder, plain, ends):
    """A system with heights (EPSG:5773, EGM96) names theirs; one without names none, and older files hold none."""
    for crs, name in ((f"{relief.UTM}+5773", "EGM96 height"), (relief.UTM, "")):
        site = bring([plain], ends, Bring(crs=crs))
        assert site.heights == name
        write_site(folder / "datum.glb", site)
        assert read_site(folder / "datum.glb").heights == name
        spec = GroundSpec(path=folder / "datum.glb", kind="site")
        assert located(spec, np.zeros(3)).heights == name
    blob = (folder / "datum.glb").read_bytes()
    (folder / "older.glb").write_bytes(blob.replace(b'"heights"', b'"heightz"'))
    assert read_site(folder / "older.glb").heights == ""
