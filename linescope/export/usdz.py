"""Meshes as one USDZ file: a layer in text, stored without compression where readers may map it into memory.

References
----------
.. [1] Pixar, *Usdz File Format Specification*, version 1.3: sections "Zip Constraints" and "Layout": no compression, no
   encryption, the data of each file at a multiple of 64 bytes, the layer that is opened first.
.. [2] Pixar, *UsdPreviewSurface Specification*: the material, and how it is bound.
"""

from __future__ import annotations

import io
import re
import struct
import zipfile
from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from linescope.export.space.container import linear, to_y_up
from linescope.stage.items import Surface
from linescope.stage.theme import Theme

Floats = NDArray[np.float64]

ALIGNED = 64  # Multiples at which data begin, by the specification [bytes].
PADDING = 0x1986  # Number of the extra field that fills up; readers pass over what they do not know.
LAYER = "rig.usda"
MILLIMETRES = 4  # Digits behind the point of a place in metres: a tenth of one.


def usdz(surfaces: Sequence[Surface], theme: Theme, about: str) -> bytes:
    """Surfaces at true size, y up, in metres, to be put on a level place.

    Parameters
    ----------
    surfaces : sequence of Surface
        In a frame with z up whose origin is put where the user points.
    theme : Theme
        Colours of their roles.
    about : str
        What is shown and what is not, for whoever opens the file.

    Returns
    -------
    bytes
        The whole file.
    """
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
        _add(archive, out, LAYER, layer(surfaces, theme, about).encode())
    return out.getvalue()


def _add(archive: zipfile.ZipFile, out: io.BytesIO, name: str, data: bytes) -> None:
    """One file whose data begin at a multiple of 64 bytes; the header before them is 30 bytes, name and extra field."""
    entry = zipfile.ZipInfo(name)  # Its date is the earliest that zip knows: the same scene gives the same file.
    filled = -(out.tell() + 30 + len(name.encode()) + 4) % ALIGNED
    entry.extra = struct.pack("<HH", PADDING, filled) + b"\0" * filled
    archive.writestr(entry, data)


def layer(surfaces: Sequence[Surface], theme: Theme, about: str) -> str:
    """The layer as text: a mesh for each colour of each surface, and a material for each colour."""
    roles = dict.fromkeys(role for surface in surfaces for role in surface.colours)
    materials = "\n".join(_material(role, linear(np.array(theme.rgb(role)))) for role in roles)
    taken: set[str] = set()
    meshes = "\n".join(
        _mesh(_name(name, taken), surface, chosen, role)
        for surface in surfaces
        for name, role, chosen in _by_colour(surface)
    )
    return f"""#usda 1.0
(
    defaultPrim = "rig"
    doc = {_quoted(about)}
    metersPerUnit = 1
    upAxis = "Y"
)

def Xform "rig" (
    kind = "component"
)
{{
    uniform token preliminary:anchoring:type = "plane"
    uniform token preliminary:planeAnchoring:alignment = "horizontal"

    def Scope "materials"
    {{
{materials}
    }}

{meshes}
}}
"""


def _by_colour(surface: Surface) -> Iterable[tuple[str, str, NDArray[np.int64]]]:
    """Name, colour role and triangles of what a surface has of each colour."""
    roles = list(dict.fromkeys(surface.colours))
    for role in roles:
        numbers = [k for k, each in enumerate(surface.colours) if each == role]
        chosen = surface.triangles[np.isin(surface.colour, numbers)]
        if len(chosen):
            yield surface.name if len(roles) == 1 else f"{surface.name} {role}", role, chosen


def _material(role: str, colour: Floats) -> str:
    path = f"/rig/materials/{role}"
    return f"""        def Material "{role}"
        {{
            token outputs:surface.connect = <{path}/surface.outputs:surface>

            def Shader "surface"
            {{
                uniform token info:id = "UsdPreviewSurface"
                color3f inputs:diffuseColor = {_row(colour, 4)}
                float inputs:metallic = 0
                float inputs:roughness = 0.9
                token outputs:surface
            }}
        }}"""


def _mesh(name: str, surface: Surface, chosen: NDArray[np.int64], role: str) -> str:
    used, corners = np.unique(chosen, return_inverse=True)
    triangles, points = corners.reshape(-1, 3), to_y_up(np.asarray(surface.points)[used])
    normals = _normals(points, triangles, surface.smooth)
    return f"""    def Mesh "{name}" (
        prepend apiSchemas = ["MaterialBindingAPI"]
    )
    {{
        uniform bool doubleSided = 1
        float3[] extent = {_rows(np.array([points.min(axis=0), points.max(axis=0)]), MILLIMETRES)}
        int[] faceVertexCounts = [{", ".join(["3"] * len(triangles))}]
        int[] faceVertexIndices = [{", ".join(map(str, triangles.ravel().tolist()))}]
        rel material:binding = </rig/materials/{role}>
        normal3f[] normals = {_rows(normals, 2)} (
            interpolation = "faceVarying"
        )
        point3f[] points = {_rows(points, MILLIMETRES)}
        uniform token subdivisionScheme = "none"
    }}"""


def _normals(points: Floats, triangles: NDArray[np.int64], smooth: bool) -> Floats:
    """(3 t, 3) unit vectors out of each corner of each triangle: of the triangle, or of all that meet there."""
    a, b, c = (points[triangles[:, k]] for k in range(3))
    of_face = np.cross(b - a, c - a)
    if smooth:
        at_corner = np.zeros_like(points)
        for k in range(3):
            np.add.at(at_corner, triangles[:, k], of_face)
        found = at_corner[triangles.ravel()]
    else:
        found = np.repeat(of_face, 3, axis=0)
    return np.asarray(found / np.maximum(np.linalg.norm(found, axis=1, keepdims=True), 1e-12))


def _name(text: str, taken: set[str]) -> str:
    """A name of USD: letters, digits and underscores, not a digit first, and none twice."""
    base = re.sub(r"[^A-Za-z0-9_]", "_", text)
    base = base if not base[:1].isdigit() else f"_{base}"
    unique, number = base, 2
    while unique in taken:
        unique, number = f"{base}_{number}", number + 1
    taken.add(unique)
    return unique


def _quoted(text: str) -> str:
    """Text of one line between quotes."""
    plain = "".join(letter if letter.isprintable() else " " for letter in text)
    return '"' + plain.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _row(values: Floats, digits: int) -> str:
    return "(" + ", ".join(f"{value:.{digits}f}" for value in values) + ")"


def _rows(values: Floats, digits: int) -> str:
    return "[" + ", ".join(_row(row, digits) for row in values) + "]"
