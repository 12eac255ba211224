"""The line on a map: what is written lies where it lies, by formulas of others.

Peer: pyproj for the places on the Earth; the standard library's XML and JSON readers for the files.
"""

from __future__ import annotations

import csv
import io
import json
import math
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from xml.etree import ElementTree

import numpy as np
import pytest

from linescope import load
from linescope.clearance import find_clearance
from linescope.clearance.ranked import places
from linescope.errors import InputError, OutputError
from linescope.export.map_file import check_map, profile_csv, write_map
from linescope.statics import plan
from linescope.terrain.geo import Origin
from linescope.terrain.site_file import SiteFile, write_site
from linescope.words import Words

SCENES = Path(__file__).parents[2] / "scenes"
LATITUDE, LONGITUDE, HEIGHT = 46.5, 7.9, 2300.0
KML = "{http://www.opengis.net/kml/2.2}"


@pytest.fixture(scope="module")
def study(tmp_path_factory):
    """Heron Gap, empty, put on a place of the Earth that is invented for it."""
    from linescope.terrain import GroundSpec, load_ground

    rig = replace(load(SCENES / "heron_gap.toml").rig, wind=None)
    site = tmp_path_factory.mktemp("site") / "site.glb"
    write_site(site, SiteFile(
        pieces=(load_ground(rig.ground, rig.main_a, rig.main_b),), anchors=np.stack([rig.main_a, rig.main_b]),
        origin=Origin(latitude=math.radians(LATITUDE), longitude=math.radians(LONGITUDE), height=HEIGHT),
    ))
    rig = replace(rig, ground=GroundSpec(path=site, kind="site"))
    planned = plan(rig)
    return SimpleNamespace(rig=rig, planned=planned, clearance=find_clearance(rig, planned=planned, positions=12))


@pytest.fixture(scope="module")
def here():
    """Longitude, latitude [degrees] and height of local points, by PROJ's topocentric and cart."""
    pyproj = pytest.importorskip("pyproj")
    to = pyproj.Transformer.from_pipeline(
        "+proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad +step +proj=cart +ellps=WGS84 "
        f"+step +proj=topocentric +ellps=WGS84 +lon_0={LONGITUDE} +lat_0={LATITUDE} +h_0={HEIGHT}"
    )

    def local(places):
        lon, lat, height = np.asarray(places).reshape(-1, 3).T
        return np.stack(to.transform(lon, lat, height), axis=1)

    return local


def test_geojson_lies_where_the_line_lies(study, here, tmp_path):
    listed = json.loads(write_map(tmp_path / "map.geojson", study, Words()).read_text())["features"]
    by_kind: dict[str, list] = {}
    for one in listed:
        by_kind.setdefault(one["properties"]["kind"], []).append(one)
    a, b = (here(one["geometry"]["coordinates"])[0] for one in by_kind["anchor"])
    np.testing.assert_allclose([a, b], [study.rig.main_a, study.rig.main_b], atol=2e-3)
    (line,) = by_kind["line"]
    points = here(line["geometry"]["coordinates"])
    np.testing.assert_allclose(points[[0, -1]], [study.rig.main_a, study.rig.main_b], atol=2e-3)
    # A parabola of two webbings, 62 g/m each, at 1.8 kN: q L^2 / 8 H; they lie along x.
    assert -points[:, 2].min() == pytest.approx(0.124 * 9.81 * 48.0**2 / (8.0 * 1800.0), rel=0.03)
    assert np.abs(points[:, 1]).max() < 2e-3
    found = study.clearance
    causes = [place.worst for place in places(found)]
    assert causes and found.no_fall_zones
    for one, cause in zip(by_kind["worst"], causes, strict=True):
        np.testing.assert_allclose(here(one["geometry"]["coordinates"])[0], cause.nearest, atol=2e-3)
        assert one["properties"]["remainder"] == cause.remainder
    for one, zone in zip(by_kind["no-fall"], found.no_fall_zones, strict=True):
        stations = np.linalg.norm(here(one["geometry"]["coordinates"]) - study.rig.main_a, axis=1)
        np.testing.assert_allclose(stations, zone.from_a, atol=2e-3)


def test_kml_holds_the_same(study, here, tmp_path):
    listed = json.loads(write_map(tmp_path / "map.geojson", study, Words()).read_text())["features"]
    root = ElementTree.parse(write_map(tmp_path / "map.kml", study, Words())).getroot()
    marks = root.findall(f".//{KML}Placemark")
    assert [mark.find(f"{KML}name").text for mark in marks] == [one["properties"]["name"] for one in listed]
    styles = {style.get("id") for style in root.findall(f".//{KML}Style")}
    for mark, one in zip(marks, listed, strict=True):
        assert mark.find(f"{KML}styleUrl").text.removeprefix("#") in styles
        assert mark.find(f".//{KML}altitudeMode").text == "absolute"
        corners = [[float(x) for x in each.split(",")] for each in mark.find(f".//{KML}coordinates").text.split()]
        np.testing.assert_array_equal(np.ravel(corners), np.ravel(one["geometry"]["coordinates"]))


def test_profile_follows_the_ground_below_the_line(study, here):
    """Heights of the scene's own profile, interpolated between the stations as they stand in the file."""
    rows = list(csv.DictReader(io.StringIO(profile_csv(study))))
    station = np.array([float(row["station_m"]) for row in rows])
    assert station[0] == 0.0 and station[-1] == 48.0 and np.diff(station).max() <= 1.0
    profile = np.array(
        [[-8, -0.4], [0, -0.4], [1.2, -0.5], [1.6, -9], [6, -22], [14, -33], [24, -38], [33, -34], [42, -21],
         [46.2, -8], [47, -0.6], [56, -0.3]]
    )  # fmt: skip
    want = np.interp(station, *profile.T)
    places = [[float(row[key]) for key in ("longitude_deg", "latitude_deg", "ground_height_m")] for row in rows]
    local = here(places)
    np.testing.assert_allclose(local[:, 0], station, atol=0.01)  # Written to 1e-9 degrees, at the chord's plan place.
    np.testing.assert_allclose(local[:, 2], want, atol=2e-3)
    lowest = np.array([float(row["lowest_line_height_m"]) for row in rows])
    assert (lowest <= HEIGHT + 1e-3).all() and lowest.min() < HEIGHT - 1.0


def test_no_map_without_a_place_on_the_earth(tmp_path):
    rig = load(SCENES / "heron_gap.toml").rig
    with pytest.raises(InputError, match="where on the Earth"):
        check_map(tmp_path / "map.kml", rig)
    with pytest.raises(OutputError, match="KML or GeoJSON"):
        check_map(tmp_path / "map.shp", rig)
    rows = profile_csv(SimpleNamespace(
        rig=rig, planned=None, clearance=find_clearance(replace(rig, wind=None, walker=None))
    )).splitlines()
    assert rows[0] == "station_m,ground_height_m,lowest_line_height_m,lowest_body_height_m"
    assert rows[1].startswith("0.000,-0.400,") and rows[1].endswith(",")
