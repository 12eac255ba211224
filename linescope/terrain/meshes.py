"""Triangle meshes from OBJ, PLY, STL, GLB and glTF files, checked before and after they are read."""

from __future__ import annotations

import json
import logging
import struct
import warnings
from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from linescope.errors import TerrainError
from linescope.terrain.files import read_text, shortened
from linescope.terrain.model import MAX_TRIANGLES

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def read_mesh(path: Path) -> tuple[Floats, Ints]:
    """Vertices and triangles of a mesh file, in its own unit and axes; equal vertices joined.

    Parameters
    ----------
    path : Path
        With an ending of `CHECKS`.

    Returns
    -------
    vertices : (n, 3) float
        [unit of the file]
    faces : (k, 3) int

    Raises
    ------
    TerrainError
        Truncated, unreadable, without triangles, or with vertices that are not finite.
    """
    ending = path.suffix.lower()
    CHECKS[ending](path)
    import trimesh

    logging.getLogger("trimesh").addHandler(logging.NullHandler())  # its complaints come as our error

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            scene = trimesh.load_scene(path, process=False)
            loaded = scene.to_mesh() if len(scene.geometry) else None
    except Exception as error:  # readers of foreign formats raise anything; the user gets one clear sentence
        raise TerrainError(
            f"cannot be read as {ending[1:].upper()} ({shortened(error)})",
            file=path,
            allowed="a whole, valid file",
        ) from error
    if loaded is None or not hasattr(loaded, "faces") or len(loaded.faces) == 0:
        raise TerrainError("the mesh has no triangles", file=path, allowed="at least one triangle")
    vertices = np.asarray(loaded.vertices, dtype=np.float64)
    faces = np.asarray(loaded.faces, dtype=np.int64)
    if faces.ndim != 2 or faces.min() < 0 or faces.max() >= len(vertices):
        raise TerrainError(
            "a face names a vertex that is not there",
            file=path,
            found=int(faces.max()),
            allowed=f"0 to {len(vertices) - 1}",
        )
    bad = int((~np.isfinite(vertices).all(axis=1)).sum())
    if bad:
        raise TerrainError(f"{bad} of {len(vertices)} vertices are not finite", file=path, allowed="finite coordinates")
    return joined(vertices, faces)


def joined(vertices: Floats, faces: Ints) -> tuple[Floats, Ints]:
    """The same triangles with vertices of exactly equal coordinates made one.

    Parameters
    ----------
    vertices : (n, 3) float
        [unit of the file]
    faces : (k, 3) int

    Returns
    -------
    vertices : (m, 3) float
    faces : (k, 3) int
    """
    order = np.lexsort(vertices.T)
    ordered = vertices[order]
    new = np.concatenate([[True], (np.diff(ordered, axis=0) != 0.0).any(axis=1)])
    number = np.empty(len(vertices), dtype=np.int64)
    number[order] = np.cumsum(new) - 1
    return ordered[new], number[faces]


def _check_obj(path: Path) -> None:
    vertices, faces, largest = 0, 0, 0
    for line_number, line in enumerate(read_text(path).splitlines(), start=1):
        words = line.split("#", 1)[0].split()
        if not words or words[0] not in ("v", "f"):
            continue
        key = f"line {line_number}"
        if len(words) < 4:
            raise TerrainError(
                "a vertex or face is cut short",
                file=path,
                key=key,
                found=line.strip(),
                allowed="three entries",
            )
        try:
            if words[0] == "v":
                values = [float(word) for word in words[1:4]]
                if not np.all(np.isfinite(values)):
                    raise TerrainError(
                        "a vertex is not finite",
                        file=path,
                        key=key,
                        found=line.strip(),
                        allowed="finite coordinates",
                    )
                vertices += 1
                continue
            corners = [int(word.split("/", 1)[0]) for word in words[1:]]
        except ValueError:
            raise TerrainError("not a number", file=path, key=key, found=line.strip(), allowed="numbers") from None
        faces += 1
        if 0 in corners or min(corners) < -vertices:
            raise TerrainError(
                "a face names a vertex that is not there",
                file=path,
                key=key,
                found=line.strip(),
                allowed="1 and up",
            )
        largest = max(largest, *corners)
    if largest > vertices:
        raise TerrainError(
            "a face names a vertex that is not there (is the file cut off?)",
            file=path,
            found=largest,
            allowed=f"1 to {vertices}",
        )
    if faces == 0:
        raise TerrainError("the mesh has no faces", file=path, allowed="at least one line starting with f")


def _check_stl(path: Path) -> None:
    size = path.stat().st_size
    with path.open("rb") as stream:
        head = stream.read(84)
    count = struct.unpack("<I", head[80:84])[0] if len(head) == 84 else -1
    if size == 84 + 50 * count and count == 0:
        raise TerrainError("the mesh has no triangles", file=path, allowed="at least one triangle")
    if size == 84 + 50 * count:
        return
    if head.lstrip()[:5].lower() == b"solid" and b"\0" not in head:
        text = read_text(path)
        words = text.lower().split()
        if "endsolid" not in words:
            raise TerrainError("the file is cut off", file=path, allowed="text STL ending in 'endsolid'")
        if words.count("vertex") != 3 * words.count("endfacet"):
            raise TerrainError("a facet is not whole", file=path, allowed="three vertices in every facet")
        if words.count("endfacet") == 0:
            raise TerrainError("the mesh has no triangles", file=path, allowed="at least one facet")
        return
    raise TerrainError(
        "the file is cut off or not STL",
        file=path,
        found=f"{size} bytes for {count} triangles" if 0 <= count <= MAX_TRIANGLES else f"{size} bytes",
        allowed="binary STL of 84 + 50 bytes a triangle, or text STL",
    )


_PLY_BYTES = {
    "char": 1,
    "uchar": 1,
    "int8": 1,
    "uint8": 1,
    "short": 2,
    "ushort": 2,
    "int16": 2,
    "uint16": 2,
    "int": 4,
    "uint": 4,
    "int32": 4,
    "uint32": 4,
    "float": 4,
    "float32": 4,
    "double": 8,
    "float64": 8,
}


def _check_ply(path: Path) -> None:
    data = path.read_bytes()
    end = data.find(b"end_header")
    if not data.startswith(b"ply") or end < 0:
        raise TerrainError("no whole PLY header", file=path, allowed="a file from 'ply' to 'end_header' and its data")
    body = data[data.find(b"\n", end) + 1 :]
    binary, least, rows = True, 0, 0
    counts: dict[str, int] = {}
    element = ""
    for line in data[:end].decode("ascii", "replace").splitlines():
        words = line.split()
        if words[:1] == ["format"]:
            binary = words[1] != "ascii"
        elif words[:1] == ["element"]:
            if len(words) != 3 or not words[2].isdigit():
                raise TerrainError("a PLY element has no count", file=path, found=line, allowed="element NAME COUNT")
            element = words[1]
            counts[element] = int(words[2])
            rows += counts[element]
        elif words[:1] == ["property"] and len(words) >= 3:
            a_list = words[1] == "list"
            unit = _PLY_BYTES.get(words[2 if a_list else 1], 1)
            item = 3 * _PLY_BYTES.get(words[3], 1) if a_list and element == "face" else 0
            least += (unit + item) * counts.get(element, 0)
    if counts.get("face", 0) == 0:
        raise TerrainError("the mesh has no faces", file=path, found=counts, allowed="an element face with a count")
    have = len(body) if binary else len([line for line in body.splitlines() if line.strip()])
    need = least if binary else rows
    if have < need:
        raise TerrainError(
            "the file is cut off",
            file=path,
            found=f"{have} {'bytes' if binary else 'rows'} of data",
            allowed=f"at least {need}",
        )


def _check_glb(path: Path) -> None:
    size = path.stat().st_size
    with path.open("rb") as stream:
        head = stream.read(12)
    if len(head) < 12 or head[:4] != b"glTF":
        raise TerrainError("not a GLB file", file=path, allowed="binary glTF 2.0")
    length = struct.unpack("<I", head[8:12])[0]
    if length != size:
        raise TerrainError("the file is cut off", file=path, found=f"{size} bytes", allowed=f"{length} bytes")


def _check_gltf(path: Path) -> None:
    try:
        tree = json.loads(read_text(path))
        names = [buffer.get("uri", "") for buffer in tree.get("buffers", [])]
    except (ValueError, AttributeError) as error:
        raise TerrainError("not a whole glTF file", file=path, allowed="JSON of glTF 2.0") from error
    for name in names:
        if not name.startswith("data:") and not (path.parent / name).is_file():
            raise TerrainError(
                "a file that belongs to it is missing",
                file=path,
                key="buffers.uri",
                found=name,
                allowed="beside it",
            )


CHECKS: dict[str, Callable[[Path], None]] = {
    ".obj": _check_obj,
    ".ply": _check_ply,
    ".stl": _check_stl,
    ".glb": _check_glb,
    ".gltf": _check_gltf,
}
"""File ending -> what is checked before trimesh reads it.  A new format of meshes is one line here."""

Y_UP = (".glb", ".gltf")
"""Endings of files whose y axis points up, as the glTF standard says; z in all others."""
