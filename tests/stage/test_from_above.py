"""The plan view: north, coordinates and places where they are.

Peer: pyproj for coordinates on the Earth and for the direction of north; plain formulas for the page.
"""

from __future__ import annotations

import dataclasses
import functools
import math
import re
from pathlib import Path

import numpy as np
import pyproj
import pytest

from linescope.export import driver, layout
from linescope.export.crew import ABOVE, names, write_above
from linescope.rig import Rig
from linescope.stage import brief_of, crew
from linescope.stage.board import Board
from linescope.stage.ink import Area, Bitmap, Disc, Drawing, Row, Text
from linescope.stage.labels import Box
from linescope.stage.page import Brief
from linescope.study import Study
from linescope.terrain import GroundSpec, Terrain
from linescope.terrain.geo import Origin
from linescope.terrain.located import Located, located
from linescope.terrain.site_file import SiteFile, write_site
from linescope.topics.clearance import picture_above as picture
from tests.export import gathered
from tests.stage import rigs

LATITUDE, LONGITUDE, HEIGHT = -33.4, -70.2, 2150.0  # South and west, so that a sign that is lost shows.
SCENE = np.array([5.0, 8.0, 60.0])


@pytest.fixture(autouse=True, scope="module")
def _driver() -> None:
    driver.probe()


def origin() -> Origin:
    return Origin(latitude=math.radians(LATITUDE), longitude=math.radians(LONGITUDE), height=HEIGHT)


@functools.cache
def computed() -> Study:
    """With all that the picture asks for, so that no brief computes it anew."""
    study = rigs.changed(rigs.study("incline"), clearance=gathered.clearance())
    assert study.fall_gaps
    return study


def brief(system: str = "metric", known: bool = True) -> Brief:
    """The rising line, which bears 59.8 degrees, over its gorge with invented findings."""
    return _brief(system, known)


@functools.cache
def _brief(system: str, known: bool) -> Brief:
    solution, study = rigs.solved("incline"), computed()
    rig = study.rig
    if known:
        rig = dataclasses.replace(rig, ground=GroundSpec(path=Path("invented.tif"), kind="grid", origin=origin()))
    study = rigs.changed(study, rig=rig)
    return brief_of(
        solution, ground=rigs.gorge(solution.rig), study=study, system=system,  # type: ignore[arg-type]
    )


def made(system: str = "metric", known: bool = True) -> tuple[Board, Drawing]:
    return _made(system, known)


@functools.cache
def _made(system: str, known: bool) -> tuple[Board, Drawing]:
    told = brief(system, known)
    board = crew.from_above(told)
    (page,) = crew.pictures((board,), told)
    return board, layout.laid_out(page, crew.fitted(told).theme)


def said(drawing: Drawing) -> str:
    return " ".join(text.text for text, _ in layout.boxes(drawing.ink))


def listed(board: Board) -> list[str]:
    return [text.text for item in board.ink if isinstance(item, Row) and item.down for _, _, text in item.entries]


def ends(rig: Rig) -> np.ndarray:
    return np.array([rig.main_a, rig.main_b])


def outside(points: np.ndarray) -> np.ndarray:
    """Longitude, latitude and height of local points, by PROJ's topocentric and cart."""
    to = pyproj.Transformer.from_pipeline(
        "+proj=pipeline +step +inv +proj=topocentric +ellps=WGS84 "
        f"+lon_0={LONGITUDE} +lat_0={LATITUDE} +h_0={HEIGHT} "
        "+step +inv +proj=cart +ellps=WGS84 +step +proj=unitconvert +xy_in=rad +xy_out=deg"
    )
    return np.stack(to.transform(*points.T), axis=1)


def test_coordinates_are_those_of_pyproj() -> None:
    rig = brief().study.rig
    local = ends(rig) + np.asarray(rig.origin)
    degrees = outside(local)
    utm = pyproj.Transformer.from_crs(4326, 32719, always_xy=True)  # 70.2 W lies in zone 19, south.
    lines = listed(made()[0])
    for k, name in enumerate("AB"):
        start = lines.index(f"Anchor {name}")
        latitude, longitude = (float(x) for x in re.fullmatch(r"(.*)° S, (.*)° W", lines[start + 1]).groups())
        assert (-longitude, -latitude) == pytest.approx(degrees[k, :2], abs=6e-7)
        east, north = (float(x) for x in re.fullmatch(r"(.*) E, (.*) N", lines[start + 2]).groups())
        assert (east, north) == pytest.approx(utm.transform(*degrees[k, :2]), abs=0.051)
        assert float(re.fullmatch(r"Height (.*) m", lines[start + 3])[1]) == pytest.approx(degrees[k, 2], abs=0.051)
    assert "E and N: WGS 84 / UTM zone 19S" in lines


def test_the_bearing_is_that_of_a_geodesic() -> None:
    """Peer: pyproj's geodesic; over 100 m the chord in the plane at A bears the same to a thousandth of a degree."""
    rig = brief().study.rig
    (lon_a, lat_a, _), (lon_b, lat_b, _) = outside(ends(rig) + np.asarray(rig.origin))
    azimuth = pyproj.Geod(ellps="WGS84").inv(lon_a, lat_a, lon_b, lat_b)[0] % 360.0
    (line,) = [each for each in listed(made()[0]) if "bears" in each]
    assert float(re.search(r"([0-9.]+)°", line)[1]) == pytest.approx(azimuth, abs=0.06)


def test_the_arrow_points_where_the_latitude_grows() -> None:
    """From A, 100 m along the arrow: pyproj's latitude grows by 100 m of meridian and its longitude stays."""
    told = brief()
    above = picture.seen(crew.fitted(told))
    dark, pale = [item for item in made()[0].ink if isinstance(item, Area) and len(item.points) == 3]
    tip, tails = np.array(dark.points[0]), np.array([dark.points[1], pale.points[1]])
    arrow = tip - tails.mean(axis=0)
    arrow /= np.linalg.norm(arrow)
    right, up, _ = above.camera.axes()
    way = arrow[0] * right - arrow[1] * up
    rig = told.study.rig
    start = rig.main_a + np.asarray(rig.origin)
    before, after = outside(np.array([start, start + 100.0 * way]))
    azimuth, _, length = pyproj.Geod(ellps="WGS84").inv(*before[:2], *after[:2])
    assert azimuth == pytest.approx(0.0, abs=0.02) and length == pytest.approx(100.0, rel=1e-3)
    letter = next(item for item in made()[0].ink if isinstance(item, Text) and item.text == "N")
    assert (np.array(letter.at) - tip) @ arrow > 0.0


def test_the_page_is_true_to_scale_and_not_mirrored() -> None:
    told = brief()
    above, rig = picture.seen(told), told.study.rig
    along = (rig.main_b - rig.main_a)[:2]
    run = float(np.hypot(*along))
    left = np.array([-along[1], along[0]]) / run
    points = np.array([rig.main_a, rig.main_b, rig.main_a + np.array([*(7.0 * left), -30.0])])
    a, b, beside = above.page(points)
    assert b - a == pytest.approx([above.scale * run, 0.0], abs=1e-6)
    assert beside - a == pytest.approx([0.0, -above.scale * 7.0], abs=1e-6)  # Left of the line is up on the page.


def test_places_zones_and_anchors_stand_where_they_are() -> None:
    told, (board, _) = brief(), made()
    rig, clearance = told.study.rig, told.study.clearance
    above = picture.seen(crew.fitted(told), tuple(each.worst for each in clearance.findings))
    run, scale = float(np.hypot(*(rig.main_b - rig.main_a)[:2])), above.scale
    discs = [item for item in board.ink if isinstance(item, Disc)]
    letters = {item.text: item.at for item in board.ink if isinstance(item, Text) and len(item.text) == 1}
    assert np.subtract(letters["B"], letters["A"]) == pytest.approx([scale * run, 0.0], abs=1e-6)
    forwards = (rig.main_b - rig.main_a)[:2] / run
    for finding in clearance.findings:
        away = (finding.worst.point - rig.main_a)[:2]
        station, side = away @ forwards, forwards[0] * away[1] - forwards[1] * away[0]
        wanted = np.array(letters["A"]) + scale * np.array([station, -side])
        assert min(math.dist(item.at, wanted) for item in discs) < 1e-6
        near = np.linalg.norm(np.subtract(letters[str(finding.rank)], wanted))
        assert near <= 170.0  # Its number is led to it.
        assert abs(letters[str(finding.rank)][1] - letters["A"][1]) >= picture.OFF  # And hides no zone.
    zones = picture.along(crew.fitted(told))
    assert {zone.kind for zone in zones} >= {picture.NEAR}
    boxes = [item for item in board.ink if isinstance(item, Area) and len(item.points) == 4
             and abs(item.points[2][1] - item.points[0][1] - picture.STRIP) < 1e-6]  # fmt: skip
    assert len(boxes) == len([zone for zone in zones if scale * run * (zone.end - zone.start) / rig.span >= 1.0])
    for box, zone in zip(boxes, zones, strict=True):
        stations = [(corner[0] - letters["A"][0]) / (scale * run) * rig.span for corner in box.points[:2]]
        assert stations == pytest.approx([zone.start, zone.end], abs=1e-6)


def test_contours_count_from_the_datum() -> None:
    """Bold contours lie at round heights above the datum, as pyproj has it, and are labelled with them."""
    told = crew.fitted(brief())
    view = next(item for item in made()[0].ink if hasattr(item, "panel"))
    bold = np.concatenate([wire.points for wire in view.panel.wires if wire.name == "contour bold"])
    height = outside(bold + np.asarray(told.study.rig.origin))[:, 2]
    step = np.unique(np.rint(height))
    assert len(step) > 1
    apart = np.diff(step).min()
    assert np.abs(height / apart - np.rint(height / apart)).max() * apart < 0.05  # Strokes are lifted by 2 cm.
    labels = [text for text, _ in layout.boxes(made()[1].ink) if text.colour == told.theme.colours["contour"]]
    assert labels
    for text in labels:
        assert float(text.text.removesuffix(" m")) % apart == 0.0


def test_where_north_is_not_known_the_scenes_axes_stand_there() -> None:
    board, drawing = made("metric", False)
    text = said(drawing)
    assert "North is not known" in text and "°" not in text and "bears" not in text
    rig = brief("metric", False).study.rig
    a = rig.main_a + np.asarray(rig.origin)
    assert any(line.startswith(f"A: x {a[0]:g} m, y {a[1]:g} m, z {a[2]:g} m") for line in listed(board))
    letters = {item.text: np.array(item.at) for item in board.ink if isinstance(item, Text) and len(item.text) == 1}
    assert "N" not in letters
    # The line bears 59.8 degrees in the scene's axes: x, turned by -30.2 on the page, then y at +59.8.
    along = (rig.main_b - rig.main_a)[:2]
    turn = math.atan2(along[1], along[0])
    between = letters["y"] - letters["x"]
    wanted = np.array([math.sin(turn) - math.cos(turn), -(math.cos(turn) + math.sin(turn))])
    assert between / np.linalg.norm(between) == pytest.approx(wanted / np.linalg.norm(wanted), abs=1e-6)


@pytest.mark.parametrize("known", [True, False])
@pytest.mark.parametrize("system", ["metric", "feet"])
def test_texts_stand_apart_and_none_is_cut(system: str, known: bool) -> None:
    _, drawing = made(system, known)
    found = layout.boxes(drawing.ink)
    page = Box(left=0.0, top=0.0, right=drawing.size[0], bottom=drawing.size[1])
    for k, (text, box) in enumerate(found):
        assert box.within(page) and text.size >= layout.LEAST, text.text
        assert not text.text.endswith(layout.MORE) or text.text.startswith("A model's plan"), text.text
        for other, second in found[k + 1 :]:
            tight = [dataclasses.replace(each, top=each.top + 5.0, bottom=each.bottom - 5.0) for each in (box, second)]
            assert not tight[0].overlaps(tight[1]), (text.text, other.text)
    anchors = [text.at for text, _ in found if text.text in ("A", "B") and text.strong]
    (left, line), (right, _) = sorted(anchors)
    strip = Box(left=left, top=line - 10.0, right=right, bottom=line + 10.0)
    assert not any(box.overlaps(strip) for text, box in found if " from A" in text.text)  # No zone is hidden.
    if system == "feet":
        assert " ft" in said(drawing) and not re.search(r"\d (m|cm|kN|kg|m/s)\b", said(drawing))


def test_ground_fades_before_the_frame_ends_and_is_absent_where_none_is_known() -> None:
    (bitmap,) = [item for item in made()[1].ink if isinstance(item, Bitmap)]
    rim = [bitmap.pixels[-2:], bitmap.pixels[:2], bitmap.pixels[:, :2], bitmap.pixels[:, -2:]]
    assert all(int(edge.min()) > 235 for edge in rim)
    bare = dataclasses.replace(brief("metric", False), ground=None)
    board = crew.from_above(bare)
    assert not any(isinstance(item, Bitmap) for item in layout.visible(board.ink, bare.theme))
    assert not board.key and picture.along(bare) == ()


def test_the_file_follows_the_other_pictures(tmp_path: Path) -> None:
    assert ABOVE not in names() and max(names()[:-1]) < ABOVE
    assert write_above(tmp_path, dataclasses.replace(brief(), page=(1000, 707))).name == ABOVE


# Where it lies


def test_the_system_of_a_site_file_is_taken_where_it_is_a_projection(tmp_path: Path) -> None:
    flat = Terrain(vertices=np.eye(3), faces=np.array([[0, 1, 2]]), source="invented")
    for system, wanted in (
        ("SIRGAS 2000 / UTM zone 19S", "SIRGAS 2000 / UTM zone 19S"), ("WGS 84", "WGS 84 / UTM zone 19S"),
        ("made up", "WGS 84 / UTM zone 19S"), ("Hartebeesthoek94 / Lo19", "WGS 84 / UTM zone 19S"),
    ):  # The last one counts to the west and to the south.
        path = tmp_path / "site.glb"
        write_site(path, SiteFile(pieces=(flat,), anchors=np.zeros((2, 3)), origin=origin(), system=system))
        shift = np.array([1.0, 2.0, 3.0])
        here = located(GroundSpec(path=path, kind="site", shift=shift), SCENE)
        assert here is not None and here.projection().name == wanted
        assert here.degrees(shift[None]) == pytest.approx(np.array([[LONGITUDE, LATITUDE, HEIGHT]]), abs=1e-8)


def test_the_first_ground_that_knows_is_taken_and_none_is_none() -> None:
    path = Path("invented.tif")
    plain, known = GroundSpec(path=path, kind="grid"), GroundSpec(path=path, kind="grid", origin=origin())
    assert located(None, SCENE) is None and located(plain, SCENE) is None
    here = located(dataclasses.replace(plain, others=(known,)), SCENE)
    assert here is not None
    assert here.degrees(-SCENE[None])[0] == pytest.approx([LONGITUDE, LATITUDE, HEIGHT], abs=1e-8)


@pytest.mark.parametrize("place", [(0.5, 0.5), (59.9, 10.7), (-0.1, -179.9), (20.0, 180.0), (83.0, 179.9)])
def test_the_zone_is_that_whose_area_of_use_holds_the_place(place: tuple[float, float]) -> None:
    """Peer: the registry's areas of use, in pyproj."""
    latitude, longitude = place
    here = Located(
        origin=Origin(latitude=math.radians(latitude), longitude=math.radians(longitude), height=0.0), zero=np.zeros(3),
    )
    area = here.projection().crs.area_of_use
    turned = (longitude + 180.0) % 360.0 - 180.0
    assert area.west <= turned <= area.east and area.south <= latitude <= area.north
    assert here.projection() is not None


def test_there_is_no_zone_at_the_pole() -> None:
    far = Origin(latitude=math.radians(86.0), longitude=0.0, height=0.0)
    assert Located(origin=far, zero=np.zeros(3)).projection() is None
