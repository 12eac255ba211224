"""The rig as one glTF file for general 3-D viewers: ribbons, tapes, body and ground as surfaces, lines as lines.

glTF has y up and metres.  Points are written as (x, z, -y) relative to anchor A, so that 32 bits are enough anywhere
on a map; the file's root node carries anchor A, so that they come back in the rig's frame.

References
----------
.. [1] Khronos Group, *glTF 2.0 Specification*, version 2.0.1, 2021: section 3.4 (coordinate system), 3.7 (meshes),
   4 (GLB container).
"""

from __future__ import annotations

import json
import struct
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from linescope import __version__
from linescope.atomic import write_bytes
from linescope.stage import ground as stage_ground
from linescope.stage import lines, relief
from linescope.stage.ground import Ground, Site
from linescope.stage.items import Surface, Wire
from linescope.stage.rig import rig_surfaces
from linescope.stage.theme import Theme, theme_named
from linescope.statics import Solution
from linescope.words import Words, frame

Floats = NDArray[np.float64]

_LINES, _TRIANGLES = 1, 4  # Pairs of points, which more readers know than strips; triangles.
_FLOAT, _WHOLE = 5126, 5125
_TO_Y_UP = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])


def to_y_up(points: Floats) -> Floats:
    """(n, 3) points with z up as points with y up: (x, z, -y)."""
    return np.asarray(points @ _TO_Y_UP.T)


def write_gltf(
    path: str | Path, solution: Solution, *, ground: Ground | Site | None = None, theme: str | Theme = "light"
) -> Path:
    """Write a solved state as binary glTF (.glb), whole or not at all.

    Parameters
    ----------
    path : str or Path
    solution : Solution
    ground : Ground or Site, optional
        Written as it is; of a `Site`, the thinned one.
    theme : str or Theme
        Colours.

    Raises
    ------
    InputError
        Unknown theme.
    OutputError
        When the file cannot be written.
    """
    rig = solution.rig
    surfaces, leash = rig_surfaces(solution)
    look = theme_named(theme)
    if isinstance(ground, Site):
        surfaces += relief.lit(ground, rig, look)
    elif ground is not None:
        surfaces.append(stage_ground.surface(ground))
    wires: list[Wire] = [*lines.centre_lines(solution, look, ring=True), *leash]
    wires.append(Wire(name="chord", points=np.array([rig.main_a, rig.main_b]), colour="quiet", width=look.thin))
    notes = {
        "scene": rig.name,
        "state": frame.state_label(solution, Words("metric", "en")),
        "units": "m",
        "caution": "Plan, not permission. Model result; measure on the real line.",
        "axes": "x, z up and -y of the rig's frame, from anchor A",
    }
    return write_bytes(path, glb(surfaces, wires, look, origin=rig.main_a, notes=notes))


def glb(
    surfaces: Iterable[Surface],
    wires: Iterable[Wire],
    theme: Theme,
    *,
    origin: Floats,
    notes: dict[str, str] | None = None,
) -> bytes:
    """Stage items as the bytes of a GLB file.

    Parameters
    ----------
    surfaces, wires : iterables of Surface, Wire
        In metres, z up.  Each becomes a node of its name; wires have " line" added where a surface has that name.
    theme : Theme
    origin : (3,) array
        Where the root node is put.  [m]
    notes : dict, optional
        Texts for the file's `asset.extras`.
    """
    file = _File(theme)
    taken: set[str] = set()
    for surface in surfaces:
        name = _free(surface.name, taken)
        file.surface(name, surface, origin)
    for wire in wires:
        name = _free(f"{wire.name} line" if wire.name in taken else wire.name, taken)
        file.wire(name, wire, origin)
    return file.bytes(origin, notes or {})


def _free(name: str, taken: set[str]) -> str:
    """The name, or with a number behind it when it is in use."""
    result, number = name, 2
    while result in taken:
        result, number = f"{name} {number}", number + 1
    taken.add(result)
    return result


def _linear(colours: NDArray[Any]) -> Floats:
    """Linear light (0 to 1) of sRGB colours from 0 to 255."""
    srgb = colours / 255.0
    return np.asarray(np.where(srgb <= 0.04045, srgb / 12.92, ((srgb + 0.055) / 1.055) ** 2.4))


class _File:
    """A glTF document while it is put together."""

    def __init__(self, theme: Theme) -> None:
        self.theme = theme
        self.data = bytearray()
        self.views: list[dict[str, Any]] = []
        self.accessors: list[dict[str, Any]] = []
        self.materials: list[dict[str, Any]] = []
        self.meshes: list[dict[str, Any]] = []
        self.nodes: list[dict[str, Any]] = []
        self._material: dict[tuple[str, bool], int] = {}

    def _accessor(self, array: NDArray[Any], kind: str, component: int, target: int) -> int:
        raw = np.ascontiguousarray(array).tobytes()
        self.data += b"\0" * (-len(self.data) % 4)
        self.views.append({"buffer": 0, "byteOffset": len(self.data), "byteLength": len(raw), "target": target})
        self.data += raw
        entry: dict[str, Any] = {
            "bufferView": len(self.views) - 1,
            "componentType": component,
            "count": len(array),
            "type": kind,
        }
        if kind == "VEC3":
            entry |= {"min": array.min(axis=0).tolist(), "max": array.max(axis=0).tolist()}
        self.accessors.append(entry)
        return len(self.accessors) - 1

    def _positions(self, points: Floats, origin: Floats) -> int:
        local = to_y_up(np.asarray(points, dtype=float) - origin).astype("<f4")
        return self._accessor(local, "VEC3", _FLOAT, 34962)

    def material(self, role: str, lit: bool) -> int:
        """The number of a colour role's material; glTF colours are linear."""
        if (role, lit) not in self._material:
            linear = _linear(np.array(self.theme.rgb(role)))
            entry: dict[str, Any] = {
                "name": role,
                "doubleSided": True,
                "pbrMetallicRoughness": {
                    "baseColorFactor": [*linear.tolist(), 1.0],
                    "metallicFactor": 0.0,
                    "roughnessFactor": 0.9,
                },
            }
            if not lit:
                entry["extensions"] = {"KHR_materials_unlit": {}}
            self.materials.append(entry)
            self._material[role, lit] = len(self.materials) - 1
        return self._material[role, lit]

    def surface(self, name: str, surface: Surface, origin: Floats) -> None:
        """A surface: one primitive for each of its colours."""
        positions = self._positions(surface.points, origin)
        if surface.baked is not None:
            self._node(name, [self._baked(surface, surface.baked, positions)])
            return
        primitives = []
        for role in dict.fromkeys(surface.colours):
            numbers = [k for k, one in enumerate(surface.colours) if one == role]
            chosen = surface.triangles[np.isin(surface.colour, numbers)]
            if len(chosen):
                index = self._accessor(chosen.astype("<u4").ravel(), "SCALAR", _WHOLE, 34963)
                primitives.append(
                    {
                        "attributes": {"POSITION": positions},
                        "indices": index,
                        "material": self.material(role, surface.lit),
                        "mode": _TRIANGLES,
                    }
                )
        self._node(name, primitives)

    def _baked(self, surface: Surface, colours: NDArray[np.uint8], positions: int) -> dict[str, Any]:
        """A primitive whose light is in its corners' colours."""
        shown = np.concatenate([_linear(colours), np.ones((len(colours), 1))], axis=1).astype("<f4")
        return {
            "attributes": {"POSITION": positions, "COLOR_0": self._accessor(shown, "VEC4", _FLOAT, 34962)},
            "indices": self._accessor(surface.triangles.astype("<u4").ravel(), "SCALAR", _WHOLE, 34963),
            "material": self.material("casing", False),
            "mode": _TRIANGLES,
        }

    def wire(self, name: str, wire: Wire, origin: Floats) -> None:
        """A polyline: its points in order, joined in pairs."""
        start = np.arange(len(wire.points) - 1)
        pairs = np.column_stack([start, start + 1]).ravel().astype("<u4")
        primitive = {
            "attributes": {"POSITION": self._positions(wire.points, origin)},
            "indices": self._accessor(pairs, "SCALAR", _WHOLE, 34963),
            "material": self.material(wire.colour, False),
            "mode": _LINES,
        }
        self._node(name, [primitive])

    def _node(self, name: str, primitives: list[dict[str, Any]]) -> None:
        self.meshes.append({"name": name, "primitives": primitives})
        self.nodes.append({"name": name, "mesh": len(self.meshes) - 1})

    def bytes(self, origin: Floats, notes: dict[str, str]) -> bytes:
        """The whole file."""
        root = {
            "name": "linescope",
            "translation": to_y_up(np.asarray(origin, dtype=float)[None])[0].tolist(),
            "children": list(range(len(self.nodes))),
        }
        used = any("extensions" in material for material in self.materials)
        document: dict[str, Any] = {
            "asset": {
                "version": "2.0",
                "generator": f"linescope {__version__}",
                "extras": notes,
            },
            "scene": 0,
            "scenes": [{"name": "rig", "nodes": [len(self.nodes)]}],
            "nodes": [*self.nodes, root],
            "meshes": self.meshes,
            "materials": self.materials,
            "accessors": self.accessors,
            "bufferViews": self.views,
            "buffers": [{"byteLength": len(self.data)}],
        }
        if used:
            document["extensionsUsed"] = ["KHR_materials_unlit"]
        text = json.dumps(document, ensure_ascii=False, separators=(",", ":")).encode()
        text += b" " * (-len(text) % 4)
        data = bytes(self.data) + b"\0" * (-len(self.data) % 4)
        chunks = struct.pack("<II", len(text), 0x4E4F534A) + text + struct.pack("<II", len(data), 0x004E4942) + data
        return struct.pack("<III", 0x46546C67, 2, 12 + len(chunks)) + chunks
