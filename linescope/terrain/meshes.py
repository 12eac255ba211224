"""Triangle meshes from OBJ, PLY, STL, GLB and glTF files, checked before and after they are read."""

from __future__ import annotations

import logging
import struct
import warnings
from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from linescope.errors import TerrainError
from linescope.terrain import gltf
from linescope.terrain.files import foreign_words, read_text
from linescope.terrain.model import MAX_TRIANGLES, Texture
from linescope.terrain.objs import read_plain_obj

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
    plain = read_plain_obj(path) if ending == ".obj" else None
    if plain is not None:
        return joined(*plain[:2])
    CHECKS[ending](path)
    import trimesh

    logging.getLogger("trimesh").addHandler(logging.NullHandler())  # its complaints come as our error

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            # Materials and textures are no ground: nothing but a glTF's own data is opened besides.
            with path.open("rb") as stream:
                scene = trimesh.load_scene(
                    stream, file_type=ending[1:], resolver=gltf.FilesBeside(path), process=False, skip_materials=True
                )
            loaded = scene.to_mesh() if len(scene.geometry) else None
    except Exception as error:  # readers of foreign formats raise anything; the user gets one clear sentence
        raise TerrainError(
            f"cannot be read as {ending[1:].upper()} ({foreign_words(error)})",
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


def read_textured(path: Path) -> tuple[Floats, Ints, Texture | None]:
    """As `read_mesh`, with the picture that belongs to the mesh where there is one; vertices are not joined.

    Parameters
    ----------
    path : Path

    Returns
    -------
    vertices : (n, 3) float
        [unit of the file]
    faces : (k, 3) int
    texture : Texture or None

    Raises
    ------
    TerrainError
        As `read_mesh`.
    """
    if path.suffix.lower() == ".obj":
        plain = read_plain_obj(path)
        if plain is not None:
            return plain
    vertices, faces = read_mesh(path)
    return vertices, faces, _picture_of(path, len(faces))


def _picture_of(path: Path, count: int) -> Texture | None:
    """The picture inside a GLB that holds one mesh with one."""
    if path.suffix.lower() != ".glb":
        return None
    import io

    import trimesh

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            meshes = list(trimesh.load_scene(path, process=False).geometry.values())
        if len(meshes) != 1 or len(meshes[0].faces) != count:
            return None
        visual = meshes[0].visual
        image = getattr(visual.material, "baseColorTexture", None) or getattr(visual.material, "image", None)
        if visual.uv is None or image is None:
            return None
        stream = io.BytesIO()
        image.save(stream, "PNG")
        corners = np.asarray(visual.uv)[np.asarray(meshes[0].faces)].astype(np.float32)
        return Texture(image=stream.getvalue(), kind="image/png", corners=corners)
    except Exception:  # noqa: BLE001  (a picture that cannot be read is none; the ground is)
        return None


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


_PLY_FORMATS = ("ascii", "binary_little_endian", "binary_big_endian")
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
    with path.open("rb") as stream:
        if stream.read(3) != b"ply":
            raise _no_header(path, "ply")
    data = path.read_bytes()
    end = data.find(b"end_header")
    if end < 0:
        raise _no_header(path, "end_header")
    body = data[data.find(b"\n", end) + 1 :]
    binary, least, rows = True, 0, 0
    counts: dict[str, int] = {}
    element = ""
    for line in data[:end].decode("ascii", "replace").splitlines():
        words = line.split()
        if words[:1] == ["format"]:
            if len(words) < 2 or words[1] not in _PLY_FORMATS:
                raise TerrainError("no such format of PLY", file=path, found=line, allowed=", ".join(_PLY_FORMATS))
            binary = words[1] != "ascii"
        elif words[:1] == ["element"]:
            if len(words) != 3 or not words[2].isdigit() or len(words[2]) > 18:
                raise TerrainError("a PLY element has no count", file=path, found=line, allowed="element NAME COUNT")
            element = words[1]
            counts[element] = int(words[2])
            rows += counts[element]
        elif words[:1] == ["property"]:
            a_list = words[1:2] == ["list"]
            if len(words) != (5 if a_list else 3):
                allowed = "property TYPE NAME, or property list TYPE TYPE NAME"
                raise TerrainError("a PLY property is not whole", file=path, found=line, allowed=allowed)
            kinds = words[2:4] if a_list else words[1:2]
            if not all(kind in _PLY_BYTES for kind in kinds):
                allowed = ", ".join(_PLY_BYTES)
                raise TerrainError("no such type of number in PLY", file=path, found=line, allowed=allowed)
            unit = _PLY_BYTES[kinds[0]]
            item = 3 * _PLY_BYTES[kinds[1]] if a_list and element == "face" else 0
            least += (unit + item) * counts.get(element, 0)
    if counts.get("face", 0) == 0:
        raise TerrainError("the mesh has no faces", file=path, found=counts, allowed="an element face with a count")
    if any(name not in ("vertex", "face") and count > MAX_TRIANGLES for name, count in counts.items()):
        raise TerrainError("a PLY element is too large", file=path, found=counts, allowed=f"up to {MAX_TRIANGLES}")
    lines = [] if binary else [line for line in body.splitlines() if line.strip()]
    have, need = (len(body), least) if binary else (len(lines), rows)
    if have < need:
        raise TerrainError(
            "the file is cut off",
            file=path,
            found=f"{have} {'bytes' if binary else 'rows'} of data",
            allowed=f"at least {need}",
        )
    if not binary and list(counts)[:2] == ["vertex", "face"]:
        for row in lines[counts["vertex"] : counts["vertex"] + counts["face"]]:
            words = row.decode("ascii", "replace").split()
            corners = words[0]
            if not corners.isdigit() or len(corners) > 9 or int(corners) > len(words) - 1:
                allowed = "the count of corners and so many corners"
                raise TerrainError("a face is not whole", file=path, found=" ".join(words), allowed=allowed)


def _no_header(path: Path, missing: str) -> TerrainError:
    return TerrainError(
        f"no whole PLY header: '{missing}' is missing", file=path,
        allowed="a file from 'ply' to 'end_header' and its data",
    )


CHECKS: dict[str, Callable[[Path], None]] = {
    ".obj": _check_obj,
    ".ply": _check_ply,
    ".stl": _check_stl,
    ".glb": gltf.check_glb,
    ".gltf": gltf.check_gltf,
}
"""File ending -> what is checked before trimesh reads it.  A new format of meshes is one line here."""

Y_UP = (".glb", ".gltf")
"""Endings of files whose y axis points up, as the glTF standard says; z in all others."""
