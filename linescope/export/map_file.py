"""The line on the user's own map: anchors, line, no-fall zones and worst places as KML or GeoJSON, its profile as CSV.

References
----------
.. [1] H. Butler et al., *The GeoJSON Format*, RFC 7946, 2016: longitude, latitude [degrees, WGS 84], height [m].
.. [2] Open Geospatial Consortium, *OGC KML 2.3*, 12-007r2, 2015: sections 9.1 (altitudeMode), 16.1 (styles, aabbggrr).
"""

from __future__ import annotations

import csv
import io
import json
import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any, cast
from xml.etree import ElementTree

import numpy as np
from numpy.typing import NDArray

from linescope.atomic import write_text
from linescope.clearance import Cause, Clearance
from linescope.clearance.notes import KIND
from linescope.clearance.ranked import places
from linescope.errors import InputError, OutputError
from linescope.notes import Quantity, Spot
from linescope.rig import Rig
from linescope.statics.results import line_shapes
from linescope.study import Study
from linescope.terrain import PlumbIndex, load_ground
from linescope.terrain.located import Located, located
from linescope.words import Words

Floats = NDArray[np.float64]

ENDINGS = (".kml", ".geojson")
EVERY = 1.0
"""Along the profile. [m]"""
_POINTS = 8
"""Of each piece of the line."""
_COLOURS = {"line": "ff2f6fd8", "no-fall": "ff3030d0", "worst": "ff3030d0", "anchor": "ff404040"}
"""Of lines and marks, aabbggrr."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Feature:
    """One thing on the map.

    Attributes
    ----------
    kind : {"anchor", "line", "no-fall", "worst"}
    name : str
        What people read.
    points : (n, 3) array
        One point, or a line, in the rig's frame. [m]
    values : dict
        For programs: SI, full precision.
    """

    kind: str
    name: str
    points: Floats
    values: dict[str, Any]


def features(study: Study, words: Words) -> list[Feature]:
    """What is put on the map.

    Parameters
    ----------
    study : Study
        With a clearance.
    words : Words
    """
    rig, found = study.rig, cast(Clearance, study.clearance)
    along = (rig.main_b - rig.main_a) / rig.span
    main = line_shapes(study.planned.standing.state)[0].sample(_POINTS).points
    result = [
        Feature(kind="anchor", name=words.say("map-anchor", anchor=name), points=end[None], values={"anchor": name})
        for name, end in (("A", rig.main_a), ("B", rig.main_b))
    ]
    result.append(Feature(
        kind="line", name=words.say("map-line", span=Quantity(rig.span, "length", digits=3)),
        points=main, values={"span": rig.span},
    ))
    for stretch in found.no_fall_zones:
        stations = np.array(stretch.from_a)
        result.append(Feature(
            kind="no-fall", name=words.say("map-no-fall", low=Spot(stretch.from_a[0]), high=Spot(stretch.from_a[1])),
            points=rig.main_a + stations[:, None] * along,
            values={"from_a": list(stretch.from_a), "short_by": -stretch.worst, "worst_at": stretch.worst_at},
        ))
    for place in places(found):
        said = "map-worst" if place.is_met else "map-worst-short"
        result.append(_worst(place.worst, words.say(said, rank=place.rank, **_values(place.worst))))
    return result


def _values(cause: Cause) -> dict[str, Any]:
    left = Quantity(abs(cause.remainder), "length", "down" if cause.is_met else "up")
    return {"kind": KIND[cause.kind], "cause": cause.why.note, "left": left}


def _worst(cause: Cause, name: str) -> Feature:
    return Feature(kind="worst", name=name, points=cause.nearest[None], values={
        "what": cause.kind, "cause": cause.why.id, "distance": cause.distance, "needed": cause.needed,
        "remainder": cause.remainder, "is_met": cause.is_met, "station": cause.station, "walker": cause.walker,
    })


def write_map(path: str | Path, study: Study, words: Words) -> Path:
    """Write the line, no-fall zones and worst places for a map; whole or not at all.

    Parameters
    ----------
    path : str or Path
        Ends in .kml or .geojson.
    study : Study
        With a clearance.
    words : Words

    Raises
    ------
    OutputError
        When the name ends otherwise, or nothing can be written there.
    InputError
        When nothing in the scene says where on the Earth it lies.
    """
    ending = check_map(path, study.rig)
    here = cast(Located, located(study.rig.ground, study.rig.origin))
    placed = [(one, here.degrees(one.points)) for one in features(study, words)]
    return write_text(path, _kml(placed, study, words) if ending == ".kml" else _geojson(placed))


def check_map(path: str | Path, rig: Rig) -> str:
    """The ending of a map's name, once it is sure that a map can be made.

    Parameters
    ----------
    path : str or Path
    rig : Rig

    Raises
    ------
    OutputError
        When the name ends otherwise.
    InputError
        When nothing in the scene says where on the Earth it lies.
    """
    ending = Path(path).suffix.lower()
    if ending not in ENDINGS:
        raise OutputError("maps are KML or GeoJSON", file=path, allowed="a name that ends in .kml or .geojson")
    if located(rig.ground, rig.origin) is None:
        raise InputError(
            "nothing in this scene says where on the Earth it lies", key="ground.origin",
            allowed="an origin of its ground, or a site file that `linescope ground` brought from a coordinate system",
        )
    return ending


def _geojson(placed: list[tuple[Feature, Floats]]) -> str:
    listed = []
    for one, where in placed:
        corners = [[round(x, 9), round(y, 9), round(z, 3)] for x, y, z in where.tolist()]
        single = len(corners) == 1
        listed.append({
            "type": "Feature", "properties": {"kind": one.kind, "name": one.name, **one.values},
            "geometry": {"type": "Point" if single else "LineString", "coordinates": corners[0] if single else corners},
        })
    return json.dumps({"type": "FeatureCollection", "features": listed}, indent=1, allow_nan=False) + "\n"


def _kml(placed: list[tuple[Feature, Floats]], study: Study, words: Words) -> str:
    root = ElementTree.Element("kml", xmlns="http://www.opengis.net/kml/2.2")
    document = ElementTree.SubElement(root, "Document")
    ElementTree.SubElement(document, "name").text = study.rig.name
    ElementTree.SubElement(document, "description").text = words.say("map-basis")
    for kind, colour in _COLOURS.items():
        style = ElementTree.SubElement(document, "Style", id=kind)
        for part, width in (("LineStyle", "4"), ("IconStyle", "")):
            own = ElementTree.SubElement(style, part)
            ElementTree.SubElement(own, "color").text = colour
            if width:
                ElementTree.SubElement(own, "width").text = width
    for one, where in placed:
        mark = ElementTree.SubElement(document, "Placemark")
        ElementTree.SubElement(mark, "name").text = one.name
        ElementTree.SubElement(mark, "styleUrl").text = f"#{one.kind}"
        shape = ElementTree.SubElement(mark, "Point" if len(where) == 1 else "LineString")
        ElementTree.SubElement(shape, "altitudeMode").text = "absolute"
        corners = ((round(x, 9), round(y, 9), round(z, 3)) for x, y, z in where.tolist())
        ElementTree.SubElement(shape, "coordinates").text = " ".join(",".join(map(str, each)) for each in corners)
    ElementTree.indent(root)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ElementTree.tostring(root, encoding="unicode") + "\n"


def write_profile(path: str | Path, study: Study) -> Path:
    """Write the ground below the straight line, and how low line and bodies get over it, as CSV in metres.

    Parameters
    ----------
    path : str or Path
    study : Study
        With a clearance.

    Raises
    ------
    OutputError
    """
    return write_text(path, profile_csv(study))


def profile_csv(study: Study) -> str:
    """The profile as CSV; latitude and longitude [degrees] and heights above the datum where the scene lies on the
    Earth, heights of its own frame else.

    Parameters
    ----------
    study : Study
        With a clearance.
    """
    rig, found = study.rig, cast(Clearance, study.clearance)
    assert rig.ground is not None and found.envelope is not None
    span = rig.span
    station = np.linspace(0.0, span, math.ceil(span / EVERY) + 1)
    chord = rig.main_a + station[:, None] * ((rig.main_b - rig.main_a) / span)
    position, _, z, _ = PlumbIndex(load_ground(rig.ground, rig.main_a, rig.main_b)).over(chord[:, :2])
    ground = np.full(len(station), -np.inf)
    # The highest ground that is not above the line; a roof over it is none.
    below = z <= chord[position, 2]
    np.maximum.at(ground, position[below], z[below])
    skin = found.envelope
    lines = np.interp(station, skin.station, skin.lines[:, 0, 2])
    bodies = np.full(len(station), np.nan) if skin.bodies is None else np.interp(
        station, skin.station, skin.bodies[:, 0, 2]
    )
    place = located(rig.ground, rig.origin)
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    heads = ["station_m", "ground_height_m", "lowest_line_height_m", "lowest_body_height_m"]
    rows.writerow([*heads, "latitude_deg", "longitude_deg"] if place else heads)
    for k, at in enumerate(station.tolist()):
        heights = np.array([ground[k] if np.isfinite(ground[k]) else np.nan, lines[k], bodies[k]])
        where: list[str] = []
        if place is None:
            heights = heights + rig.origin[2]
        else:
            points = np.column_stack([np.tile(chord[k, :2], (3, 1)), np.where(np.isnan(heights), 0.0, heights)])
            degrees = place.degrees(points)
            heights = np.where(np.isnan(heights), np.nan, degrees[:, 2])
            where = [f"{degrees[1, 1]:.9f}", f"{degrees[1, 0]:.9f}"]
        rows.writerow([f"{at:.3f}", *("" if np.isnan(one) else f"{one:.3f}" for one in heights.tolist()), *where])
    return out.getvalue()
