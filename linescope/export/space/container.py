"""Binary glTF while it is put together: meshes for every reader, and long arrays of numbers beside them.

glTF has y up and metres.  Points are written as (x, z, -y) in a frame along the line (`stage.relief.LineFrame`), so
that 32 bits are enough anywhere on a map; the root node carries them into the rig's own frame.

References
----------
.. [1] Khronos Group, *glTF 2.0 Specification*, version 2.0.1, 2021: section 3.4 (coordinate system), 3.6.2 (accessors),
   3.7 (meshes), 4 (GLB container).
"""

from __future__ import annotations

import json
import struct
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from linescope import __version__
from linescope.stage.items import Surface, Wire
from linescope.stage.relief import LineFrame
from linescope.stage.theme import Theme

Floats = NDArray[np.float64]

LINES, TRIANGLES = 1, 4  # Pairs of points, which more readers know than strips; triangles.
COMPONENTS = {"|u1": 5121, "<i2": 5122, "<u2": 5123, "<u4": 5125, "<f4": 5126}
ARRAY, ELEMENTS = 34962, 34963
_TO_Y_UP = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])
BAKED = "baked"
"""Name of the material whose colours are in the corners."""
NOWHERE = np.iinfo(np.int16).min
"""Stands for what is not known in a packed array."""


def to_y_up(points: Floats) -> Floats:
    """(n, 3) points with z up as points with y up: (x, z, -y)."""
    return np.asarray(points @ _TO_Y_UP.T)


def linear(colours: NDArray[Any]) -> Floats:
    """Linear light (0 to 1) of sRGB colours from 0 to 255."""
    srgb = np.asarray(colours) / 255.0
    return np.asarray(np.where(srgb <= 0.04045, srgb / 12.92, ((srgb + 0.055) / 1.055) ** 2.4))


class Container:
    """One glTF file.

    Parameters
    ----------
    theme : Theme
        Colours of the materials.
    frame : LineFrame
        Every point is given in the rig's frame and written in this one.
    """

    def __init__(self, theme: Theme, frame: LineFrame) -> None:
        self.theme, self.frame = theme, frame
        self.data = bytearray()
        self.views: list[dict[str, Any]] = []
        self.accessors: list[dict[str, Any]] = []
        self.materials: list[dict[str, Any]] = []
        self.meshes: list[dict[str, Any]] = []
        self.nodes: list[dict[str, Any]] = []
        self.images: list[dict[str, Any]] = []
        self.loose: set[int] = set()
        self._material: dict[tuple[str, bool], int] = {}
        self._taken: set[str] = set()

    # Arrays

    def view(self, raw: bytes, target: int | None = None) -> int:
        """Bytes as a view of the buffer, at a multiple of 4; its number."""
        self.data += b"\0" * (-len(self.data) % 4)
        entry: dict[str, Any] = {"buffer": 0, "byteOffset": len(self.data), "byteLength": len(raw)}
        self.views.append(entry if target is None else entry | {"target": target})
        self.data += raw
        return len(self.views) - 1

    def accessor(
        self, array: NDArray[Any], kind: str = "SCALAR", target: int | None = None, *, shares: bool = False
    ) -> int:
        """An array as an accessor; its number.

        Parameters
        ----------
        array : (n,) or (n, k) array
            Little-endian, of one of the types in `COMPONENTS`; rows of 4 where they are bytes.  [any]
        kind : {"SCALAR", "VEC2", "VEC3", "VEC4"}
        target : int, optional
            What the view is for, by the numbers of glTF.
        shares : bool
            Whole numbers stand for shares of the largest.
        """
        entry: dict[str, Any] = {
            "bufferView": self.view(np.ascontiguousarray(array).tobytes(), target),
            "componentType": COMPONENTS[array.dtype.str], "count": len(array), "type": kind,
        }
        if shares:
            entry["normalized"] = True
        if kind == "VEC3":
            entry |= {"min": array.min(axis=0).tolist(), "max": array.max(axis=0).tolist()}
        self.accessors.append(entry)
        return len(self.accessors) - 1

    def packed(self, values: NDArray[Any], step: float, *, rows: bool = False) -> dict[str, Any]:
        """Numbers as whole steps, differences of neighbours, which are small and repeat: they are zipped well.

        Parameters
        ----------
        values : (f, n) or (f, n, c) array
            f frames of n points or items; nan where it is not known.  [any]
        step : float
            Values are rounded to it.  [any]
        rows : bool
            Differences are taken from point to point too, for points of a line.

        Returns
        -------
        dict
            Number of the accessor, shape, step, axes of the differences: as `unpacked` reads it.
        """
        values = np.asarray(values, dtype=float)
        shape = list(values.shape)
        cube = values.reshape(shape[0], -1, shape[2] if len(shape) > 2 else 1).transpose(2, 0, 1)
        known = np.isfinite(cube)
        whole = np.rint(np.where(known, cube, 0.0) / step).astype(np.int64)
        if not known.all():  # Differences would lose what is missing.
            whole = np.where(known, np.clip(whole, NOWHERE + 1, -NOWHERE - 1), NOWHERE)
            return self._stored(whole, shape, step, "")
        axes = "pn" if rows else "p"
        steps = np.diff(whole, axis=1, prepend=0)
        if rows:
            steps = np.diff(steps, axis=2, prepend=0)
        return self._stored(steps, shape, step, axes)

    def _stored(self, whole: NDArray[np.int64], shape: list[int], step: float, axes: str) -> dict[str, Any]:
        flat = whole.ravel()
        found: dict[str, Any] = {"shape": shape, "q": step} | ({"d": axes} if axes else {"nan": NOWHERE})
        if flat.size and not (flat.min() >= NOWHERE and flat.max() <= -NOWHERE - 1):
            return found | {"a": self.accessor(flat.astype("<f4"))}
        # Small numbers of either sign become small ones, 0, -1, 1, -2 ... as 0, 1, 2, 3 ..., and all lower bytes stand
        # before all upper ones, which are nearly all 0: zipped, a fifth smaller.
        folded = ((flat << 1) ^ (flat >> 15)).astype("<u2")
        return found | {"a": self.accessor(folded.view("|u1").reshape(-1, 2).T.ravel()), "bytes": 2}

    def indexed(self, index: NDArray[Any]) -> dict[str, Any]:
        """Whole numbers from 0, such as classes, or numbers of texts in a list.

        Parameters
        ----------
        index : (f,) or (f, n) array
            [-]
        """
        index = np.asarray(index)
        kind = "|u1" if not index.size or index.max() < 256 else "<u2"
        return {"a": self.accessor(index.ravel().astype(kind)), "shape": list(index.shape)}

    # Meshes

    def positions(self, points: Floats) -> int:
        """Points of the rig's frame as positions."""
        local = to_y_up(self.frame.local(np.asarray(points, dtype=float)))
        return self.accessor(local.astype("<f4"), "VEC3", ARRAY)

    def corners(self, index: NDArray[Any]) -> int:
        """Corners of triangles, or ends of lines."""
        flat = np.asarray(index).ravel()
        return self.accessor(flat.astype("<u2" if not flat.size or flat.max() < 65535 else "<u4"), "SCALAR", ELEMENTS)

    def colours(self, colours: NDArray[Any], opacity: Floats | None = None) -> int:
        """sRGB colours of corners, 0 to 255, and how much each hides, 0 to 1."""
        alpha = np.ones(len(colours)) if opacity is None else opacity
        light = np.column_stack([linear(colours), alpha])
        return self.accessor(np.rint(255.0 * light).astype("|u1"), "VEC4", ARRAY, shares=True)

    def material(self, role: str, lit: bool = False) -> int:
        """The number of a colour role's material; glTF colours are linear."""
        if (role, lit) not in self._material:
            light = np.ones(3) if role == BAKED else linear(np.array(self.theme.rgb(role)))
            self._material[role, lit] = self.add_material(role, {"baseColorFactor": [*light.tolist(), 1.0]}, lit)
        return self._material[role, lit]

    def add_material(self, name: str, more: Mapping[str, Any], lit: bool = False) -> int:
        """A material; its number."""
        entry: dict[str, Any] = {
            "name": name, "doubleSided": True,
            "pbrMetallicRoughness": {"metallicFactor": 0.0, "roughnessFactor": 0.9, **more},
        }
        if not lit:
            entry["extensions"] = {"KHR_materials_unlit": {}}
        self.materials.append(entry)
        return len(self.materials) - 1

    def surface(self, surface: Surface, **more: int) -> None:
        """A surface: one primitive for each of its colours, or one with colours in its corners.

        Parameters
        ----------
        surface : Surface
            In the rig's frame.
        **more : int
            Accessors of further attributes, by name.
        """
        positions = self.positions(surface.points)
        if surface.baked is not None:
            attributes = {"POSITION": positions, "COLOR_0": self.colours(surface.baked), **more}
            self.node(surface.name, [self.triangles(attributes, surface.triangles, self.material(BAKED))])
            return
        self.node(surface.name, self.coloured(surface, positions, more))

    def coloured(self, surface: Surface, positions: int, more: Mapping[str, int] | None = None) -> list[dict[str, Any]]:
        """Primitives of a surface, one a colour."""
        found = []
        for role in dict.fromkeys(surface.colours):
            numbers = [k for k, one in enumerate(surface.colours) if one == role]
            chosen = surface.triangles[np.isin(surface.colour, numbers)]
            if len(chosen):
                attributes = {"POSITION": positions, **(more or {})}
                found.append(self.triangles(attributes, chosen, self.material(role, surface.lit)))
        return found

    def triangles(self, attributes: Mapping[str, int], triangles: NDArray[Any], material: int) -> dict[str, Any]:
        """A primitive of triangles."""
        return {
            "attributes": dict(attributes), "indices": self.corners(triangles), "material": material,
            "mode": TRIANGLES,
        }

    def wire(self, wire: Wire) -> None:
        """A polyline, or strokes, as pairs of points."""
        count = len(wire.points)
        start = np.arange(0, count - 1, 2 if wire.pairs else 1)
        self.node(wire.name, [{
            "attributes": {"POSITION": self.positions(wire.points)},
            "indices": self.corners(np.column_stack([start, start + 1])),
            "material": self.material(wire.colour), "mode": LINES,
        }])

    def node(self, name: str, primitives: list[dict[str, Any]], *, loose: bool = False) -> None:
        """A mesh with its node; `loose` stands nowhere, to be put somewhere by who reads it."""
        unique, number = name, 2
        while unique in self._taken:
            unique, number = f"{name} {number}", number + 1
        self._taken.add(unique)
        self.meshes.append({"name": unique, "primitives": primitives})
        self.nodes.append({"name": unique, "mesh": len(self.meshes) - 1})
        if loose:
            self.loose.add(len(self.nodes) - 1)

    def picture(self, image: bytes, kind: str) -> int:
        """An image as a texture; its number."""
        self.images.append({"mimeType": kind, "bufferView": self.view(image)})
        return len(self.images) - 1

    def bytes(self, notes: Mapping[str, Any] | None = None) -> bytes:
        """The whole file.

        Parameters
        ----------
        notes : mapping, optional
            For the file's `asset.extras`.
        """
        turn = np.column_stack([self.frame.along, self.frame.left, [0.0, 0.0, 1.0]])  # From the line's frame.
        matrix = np.eye(4)
        matrix[:3, :3] = _TO_Y_UP @ turn @ _TO_Y_UP.T
        matrix[:3, 3] = to_y_up(self.frame.origin[None])[0]
        children = [k for k in range(len(self.nodes)) if k not in self.loose]
        root: dict[str, Any] = {"name": "linescope", "matrix": matrix.T.ravel().tolist()}
        root |= {"children": children} if children else {}
        document: dict[str, Any] = {
            "asset": {"version": "2.0", "generator": f"linescope {__version__}", "extras": dict(notes or {})},
            "scene": 0,
            "scenes": [{"name": "rig", "nodes": [len(self.nodes)]}],
            "nodes": [*self.nodes, root],
            "meshes": self.meshes,
            "materials": self.materials,
            "accessors": self.accessors,
            "bufferViews": self.views,
            "buffers": [{"byteLength": len(self.data)}],
        }
        if self.images:
            document |= {"images": self.images, "textures": [{"source": k} for k in range(len(self.images))]}
        if any("extensions" in material for material in self.materials):
            document["extensionsUsed"] = ["KHR_materials_unlit"]
        document = {name: value for name, value in document.items() if value != []}  # Lists may not be empty.
        text = json.dumps(document, ensure_ascii=False, separators=(",", ":"), allow_nan=False).encode()
        text += b" " * (-len(text) % 4)
        data = bytes(self.data) + b"\0" * (-len(self.data) % 4)
        chunks = struct.pack("<II", len(text), 0x4E4F534A) + text + struct.pack("<II", len(data), 0x004E4942) + data
        return struct.pack("<III", 0x46546C67, 2, 12 + len(chunks)) + chunks


def unpacked(glb: bytes, packed: Mapping[str, Any]) -> Floats:
    """Numbers that `Container.packed` or `indexed` has put into a file.

    Parameters
    ----------
    glb : bytes
        The whole file.
    packed : mapping
        As it stands in the JSON.

    Returns
    -------
    array
        Of the shape that was given; nan where nothing is known.  [as given]
    """
    length = struct.unpack_from("<I", glb, 12)[0]
    document = json.loads(glb[20 : 20 + length])
    accessor = document["accessors"][packed["a"]]
    start = 28 + length + document["bufferViews"][accessor["bufferView"]]["byteOffset"]
    kind = next(name for name, number in COMPONENTS.items() if number == accessor["componentType"])
    raw = np.frombuffer(glb, kind, accessor["count"], start).astype(np.int64)
    if "bytes" in packed:
        low, high = raw.reshape(2, -1)
        folded = low | high << 8
        raw = folded >> 1 ^ -(folded & 1)
    shape = packed["shape"]
    cube = raw.reshape(shape[2] if len(shape) > 2 else 1, shape[0], -1)
    missing = cube == packed["nan"] if "nan" in packed else np.zeros(cube.shape, dtype=bool)
    for axis in packed.get("d", ""):
        cube = np.cumsum(cube, axis=1 if axis == "p" else 2)
    found = np.where(missing, np.nan, cube * packed.get("q", 1.0))
    return np.asarray(found.transpose(1, 2, 0).reshape(shape), dtype=float)
