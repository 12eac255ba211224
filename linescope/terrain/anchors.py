"""Where anchors are on the Earth or in the plan: waypoints of GPX, placemarks of KML, rows of CSV."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree

from linescope.errors import TerrainError
from linescope.terrain.files import number, read_text

ENDINGS = (".gpx", ".kml", ".csv")
_LOCAL = re.compile(r"^\{.*\}")
_NAMES = {
    "latitude": ("lat", "latitude"), "longitude": ("lon", "lng", "long", "longitude"),
    "height": ("height", "ele", "elevation", "altitude", "alt", "z", "h"), "x": ("x", "easting", "east", "e"),
    "y": ("y", "northing", "north", "n"), "name": ("name", "anchor", "id"),
}


@dataclass(frozen=True, kw_only=True)
class Fix:
    """One anchor as a file gives it.

    Attributes
    ----------
    name : str
    x, y : float
        Longitude and latitude [degrees] where `geographic`, else plan coordinates.
    height : float
        nan: not told. [m]
    geographic : bool
    """

    name: str
    x: float
    y: float
    height: float
    geographic: bool


def read_anchors(path: Path) -> tuple[Fix, Fix]:
    """Anchors A and B: those that are named so, else the first two.

    Parameters
    ----------
    path : Path
        GPX (waypoints, else points of a route or track: its ends), KML (placemarks with a point, else the ends of a
        line) or CSV with headings.

    Returns
    -------
    a, b : Fix

    Raises
    ------
    TerrainError
        Not such a file, or fewer than two places in it.
    """
    ending = path.suffix.lower()
    if ending not in ENDINGS:
        raise TerrainError("anchors are not read from this", file=path, found=ending, allowed=", ".join(ENDINGS))
    found = {".gpx": _gpx, ".kml": _kml, ".csv": _csv}[ending](path)
    named = {fix.name.strip().lower().removeprefix("anchor").strip(): fix for fix in found}
    if "a" in named and "b" in named:
        return named["a"], named["b"]
    if len(found) < 2:
        raise TerrainError("a line has two anchors", file=path, found=len(found), allowed="two places, named A and B")
    return found[0], found[1]


def _tree(path: Path) -> ElementTree.Element:
    text = read_text(path)
    if "<!DOCTYPE" in text or "<!ENTITY" in text:
        raise TerrainError("this file defines entities, which none of its kind needs", file=path)
    try:
        return ElementTree.fromstring(text)
    except ElementTree.ParseError as error:
        raise TerrainError(f"not well-formed XML ({error})", file=path, allowed="a whole file") from error


def _children(node: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    return [each for each in node.iter() if _LOCAL.sub("", each.tag) == name]


def _text(node: ElementTree.Element, name: str) -> str:
    for each in node:
        if _LOCAL.sub("", each.tag) == name:
            return (each.text or "").strip()
    return ""


def _gpx(path: Path) -> list[Fix]:
    root = _tree(path)
    points = _children(root, "wpt")
    if len(points) < 2:
        run = _children(root, "rtept") or _children(root, "trkpt")
        points = [run[0], run[-1]] if len(run) > 1 else points
    return [
        Fix(
            name=_text(point, "name"), x=_degrees(point.get("lon", ""), path, "lon", 360.0),
            y=_degrees(point.get("lat", ""), path, "lat", 90.0), height=_height(_text(point, "ele"), path),
            geographic=True,
        )
        for point in points
    ]


def _kml(path: Path) -> list[Fix]:
    found: list[Fix] = []
    lines: list[Fix] = []
    for mark in _children(_tree(path), "Placemark"):
        for kind, into in (("Point", found), ("LineString", lines)):
            for shape in _children(mark, kind):
                # Any other mode, and none, says that the height is that of the ground (OGC 12-007r2, 9.1).
                told = _text(shape, "altitudeMode") == "absolute"
                for corner in _text(shape, "coordinates").split():
                    parts = corner.split(",")
                    if len(parts) < 2:
                        raise TerrainError(
                            "a coordinate is not whole", file=path, found=corner, allowed="lon,lat,height"
                        )
                    into.append(Fix(
                        name=_text(mark, "name") if kind == "Point" else "",
                        x=_degrees(parts[0], path, "longitude", 360.0), y=_degrees(parts[1], path, "latitude", 90.0),
                        height=_height(parts[2] if told and len(parts) > 2 else "", path), geographic=True,
                    ))
    return found if len(found) >= 2 or len(lines) < 2 else [lines[0], lines[-1]]


def _csv(path: Path) -> list[Fix]:
    lines = [line for line in read_text(path).splitlines() if line.strip() and not line.startswith("#")]
    if not lines:
        raise TerrainError("the file is empty", file=path, allowed="a row of headings and two rows")
    mark = next((each for each in (";", "\t") if each in lines[0]), ",")
    heads = [word.strip().strip('"').lower() for word in lines[0].split(mark)]
    column = {
        what: next((heads.index(name) for name in names if name in heads), None) for what, names in _NAMES.items()
    }
    geographic = column["latitude"] is not None and column["longitude"] is not None
    x, y = (column["longitude"], column["latitude"]) if geographic else (column["x"], column["y"])
    if x is None or y is None:
        raise TerrainError(
            "these headings do not say where the anchors are", file=path, key="line 1", found=lines[0],
            allowed="name,latitude,longitude,height or name,x,y,height",
        )
    found = []
    for count, line in enumerate(lines[1:], 2):
        words = [word.strip().strip('"') for word in line.split(mark)]
        if len(words) <= max(x, y):
            raise TerrainError("a row is too short", file=path, key=f"line {count}", found=line)
        high = column["height"]
        label = column["name"]
        found.append(Fix(
            name=words[label] if label is not None and label < len(words) else "",
            x=number(words[x], path, f"line {count}"), y=number(words[y], path, f"line {count}"),
            height=_height(words[high] if high is not None and high < len(words) else "", path), geographic=geographic,
        ))
    return found


def _degrees(text: str, path: Path, key: str, most: float) -> float:
    value = number(text, path, key)
    if abs(value) > most:
        raise TerrainError("not degrees", file=path, key=key, found=text, allowed=f"up to {most:g}")
    return value


def _height(text: str, path: Path) -> float:
    return number(text, path, "height") if text else math.nan
