"""One file for all that is known of a site: binary glTF 2.0 with the pieces of ground, their pictures and provenance.

Anybody's viewer shows it; what only linescope reads stands in `extras`.  Coordinates are the local frame's, turned as
glTF has them: x east, y up, z south; single precision, which a kilometre from A is less than a tenth of a millimetre.

References
----------
.. [1] Khronos Group, *glTF 2.0 Specification*, version 2.0.1, 2021, sections 3.6 (buffers), 3.7 (meshes), 4.4 (GLB).
"""

from __future__ import annotations

import json
import struct
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from linescope.atomic import write_bytes
from linescope.errors import TerrainError
from linescope.notes import Note, Quantity, Severity, Value, Verbatim
from linescope.terrain.geo import Origin
from linescope.terrain.meshes import joined
from linescope.terrain.model import Terrain, Texture
from linescope.terrain.notes import GroundNote

Floats = NDArray[np.float64]

MARK = "linescope-site"
VERSION = 1
_JSON, _BIN = 0x4E4F534A, 0x004E4942
_FLOAT, _UINT = 5126, 5125
_TO_GLTF = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]])
"""Rows x, y, z of the local frame to columns of glTF."""


@dataclass(frozen=True, eq=False, kw_only=True)
class SiteFile:
    """What a site file holds.

    Attributes
    ----------
    pieces : tuple of Terrain
    anchors : (2, 3) array
        A and B. [m]
    origin : Origin or None
        Where the local frame has its zero; None where nothing is known of that.
    system : str
        Of the coordinates that it was brought from.
    heights : str
        Name of the datum of its heights; empty where no file tells.
    provenance : dict
        Plain data: files, their digests, what was asked for.
    """

    pieces: tuple[Terrain, ...]
    anchors: Floats
    origin: Origin | None = None
    system: str = ""
    heights: str = ""
    provenance: dict[str, Any] = field(default_factory=dict)


def write_site(path: Path, site: SiteFile) -> None:
    """Write a site file, whole or not at all.

    Parameters
    ----------
    path : Path
    site : SiteFile

    Raises
    ------
    OutputError
    """
    buffer = _Buffer()
    meshes, nodes, materials, images, textures = [], [], [], [], []
    for piece in site.pieces:
        primitive: dict[str, Any] = {"mode": 4}
        if piece.texture is None:
            corners, faces = piece.vertices, piece.faces
        else:
            corners = piece.vertices[piece.faces].reshape(-1, 3)
            faces = np.arange(len(corners)).reshape(-1, 3)
            places = piece.texture.corners.reshape(-1, 2) * np.array([1.0, -1.0]) + np.array([0.0, 1.0])
            primitive["attributes"] = {"TEXCOORD_0": buffer.add(places.astype("<f4"), "VEC2", _FLOAT)}
            images.append({"mimeType": piece.texture.kind, "bufferView": buffer.view(piece.texture.image)})
            textures.append({"source": len(images) - 1})
            materials.append({"pbrMetallicRoughness": {
                "baseColorTexture": {"index": len(textures) - 1}, "metallicFactor": 0.0,
            }})
            primitive["material"] = len(materials) - 1
        points = (corners @ _TO_GLTF).astype("<f4")
        primitive.setdefault("attributes", {})["POSITION"] = buffer.add(points, "VEC3", _FLOAT, bounds=True)
        primitive["indices"] = buffer.add(faces.astype("<u4").ravel(), "SCALAR", _UINT)
        meshes.append({"primitives": [primitive]})
        nodes.append({
            "mesh": len(meshes) - 1, "name": piece.name or piece.role,
            "extras": {
                "role": piece.role, "kind": piece.kind, "source": piece.source, "survey_error": piece.survey_error,
                "notes": [_note_out(note) for note in piece.notes],
            },
        })
    origin = site.origin
    data: dict[str, Any] = {
        "asset": {"version": "2.0", "generator": "linescope"},
        "scene": 0, "scenes": [{"nodes": list(range(len(nodes)))}], "nodes": nodes, "meshes": meshes,
        "buffers": [{"byteLength": 0}], "bufferViews": buffer.views, "accessors": buffer.accessors,
        "extras": {MARK: {
            "version": VERSION, "anchors": site.anchors.tolist(), "system": site.system,
            "heights": site.heights,
            "origin": None if origin is None else [origin.latitude, origin.longitude, origin.height],
            "provenance": site.provenance,
        }},
    }
    data |= {"materials": materials, "images": images, "textures": textures} if images else {}
    body = buffer.bytes()
    data["buffers"][0]["byteLength"] = len(body)
    head = json.dumps(data, separators=(",", ":"), allow_nan=False).encode()
    head += b" " * (-len(head) % 4)
    length = 12 + 8 + len(head) + 8 + len(body)
    write_bytes(path, b"".join([
        struct.pack("<4sII", b"glTF", 2, length), struct.pack("<II", len(head), _JSON), head,
        struct.pack("<II", len(body), _BIN), body,
    ]))


class _Buffer:
    """The binary part, with its views and accessors."""

    def __init__(self) -> None:
        self._parts: list[bytes] = []
        self._length = 0
        self.views: list[dict[str, Any]] = []
        self.accessors: list[dict[str, Any]] = []

    def view(self, data: bytes) -> int:
        self.views.append({"buffer": 0, "byteOffset": self._length, "byteLength": len(data)})
        padded = data + b"\0" * (-len(data) % 4)
        self._parts.append(padded)
        self._length += len(padded)
        return len(self.views) - 1

    def add(self, values: NDArray[Any], kind: str, component: int, *, bounds: bool = False) -> int:
        accessor = {
            "bufferView": self.view(values.tobytes()), "componentType": component, "count": len(values), "type": kind,
        }
        if bounds:
            accessor |= {"min": values.min(axis=0).tolist(), "max": values.max(axis=0).tolist()}
        self.accessors.append(accessor)
        return len(self.accessors) - 1

    def bytes(self) -> bytes:
        return b"".join(self._parts)


def is_site(path: Path) -> bool:
    """Whether a file is one of these."""
    try:
        with path.open("rb") as stream:
            head = stream.read(20)
            if len(head) < 20 or head[:4] != b"glTF":
                return False
            length = struct.unpack("<I", head[12:16])[0]
            return f'"{MARK}"'.encode() in stream.read(min(length, 50_000_000))
    except OSError:
        return False


def read_site(path: Path) -> SiteFile:
    """Read a site file.

    Parameters
    ----------
    path : Path

    Raises
    ------
    TerrainError
        Cut off, of a later version, or not such a file.
    """
    try:
        return _read(path)
    except (KeyError, IndexError, TypeError, ValueError, struct.error) as error:
        raise TerrainError(
            "this site file is cut off or damaged", file=path, allowed="what `linescope ground` wrote, whole"
        ) from error
    except OSError as error:
        raise TerrainError(f"cannot be read ({error.strerror})", file=path, allowed="a readable file") from error


def _read(path: Path) -> SiteFile:
    blob = path.read_bytes()
    mark, version, length = struct.unpack("<4sII", blob[:12])
    size, kind = struct.unpack("<II", blob[12:20])
    if mark != b"glTF" or version != 2 or length != len(blob) or kind != _JSON:
        raise ValueError("no GLB")
    data = json.loads(blob[20 : 20 + size])
    own = data["extras"][MARK]
    if own["version"] > VERSION:
        raise TerrainError(
            "this site file is of a later version", file=path, found=own["version"], allowed=str(VERSION)
        )
    start = 20 + size + 8

    def view(number: int) -> bytes:
        each = data["bufferViews"][number]
        begin = start + each["byteOffset"]
        if begin + each["byteLength"] > len(blob):
            raise ValueError("cut off")
        return blob[begin : begin + each["byteLength"]]

    def values(number: int) -> NDArray[Any]:
        accessor = data["accessors"][number]
        kind = "<f4" if accessor["componentType"] == _FLOAT else "<u4"
        found = np.frombuffer(view(accessor["bufferView"]), dtype=kind)
        width = {"SCALAR": 1, "VEC2": 2, "VEC3": 3}[accessor["type"]]
        return found.reshape(accessor["count"], width) if width > 1 else found

    pieces = []
    for node in data["nodes"]:
        (primitive,) = data["meshes"][node["mesh"]]["primitives"]
        extras = node["extras"]
        corners = values(primitive["attributes"]["POSITION"]).astype(np.float64) @ _TO_GLTF.T
        faces = values(primitive["indices"]).astype(np.int64).reshape(-1, 3)
        texture = None
        if "material" in primitive:
            places = values(primitive["attributes"]["TEXCOORD_0"]) * np.array([1, -1], "f4") + np.array([0, 1], "f4")
            picture = data["images"][data["textures"][primitive["material"]]["source"]]
            texture = Texture(
                image=view(picture["bufferView"]), kind=picture["mimeType"],
                corners=places[faces].astype(np.float32),
            )
            corners, faces = joined(corners, faces)
        pieces.append(Terrain(
            vertices=corners, faces=faces, source=extras["source"], kind=extras["kind"], role=extras["role"],
            survey_error=extras["survey_error"], texture=texture,
            name="" if node["name"] == extras["role"] else node["name"],
            notes=tuple(_note_in(note) for note in extras["notes"]),
        ))
    origin = own["origin"]
    return SiteFile(
        pieces=tuple(pieces), anchors=np.array(own["anchors"], dtype=np.float64).reshape(2, 3), system=own["system"],
        heights=str(own.get("heights", "")),
        origin=None if origin is None else Origin(latitude=origin[0], longitude=origin[1], height=origin[2]),
        provenance=own["provenance"],
    )


def _note_out(note: Note) -> dict[str, Any]:
    return {
        "kind": note.kind.value, "severity": int(note.severity),
        "values": {name: _value_out(value) for name, value in note.values.items()},
    }


def _value_out(value: Value) -> Any:
    if isinstance(value, Quantity):
        return {"value": value.value, "dimension": value.dimension, "bound": value.bound, "digits": value.digits}
    if isinstance(value, Verbatim):
        return {"text": value.text}
    return value


def _note_in(data: dict[str, Any]) -> Note:
    return Note(
        kind=GroundNote(data["kind"]), severity=Severity(data["severity"]),
        values={name: _value_in(value) for name, value in data["values"].items()},
    )


def _value_in(value: Any) -> Value:
    if isinstance(value, dict):
        return Verbatim(str(value["text"])) if "text" in value else Quantity(**value)
    return value if isinstance(value, int) else str(value)


def named(site: SiteFile, path: Path) -> tuple[Terrain, ...]:
    """Its pieces, with where they were read from."""
    return tuple(
        replace(piece, notes=(*piece.notes, Note(
            kind=GroundNote.FROM_SITE, severity=Severity.BASIS,
            values={"file": Verbatim(path.name), "source": Verbatim(Path(piece.source).name)},
        )))
        for piece in site.pieces
    )
