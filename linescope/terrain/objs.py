"""OBJ files of millions of triangles: numbers taken out of the text in one go, and the picture that belongs to them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from linescope.terrain.model import Texture

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_KINDS = {".png": "image/png", ".jpg": "image/jpeg", ".jpeg": "image/jpeg"}
_LARGEST = 64_000_000  # Bytes of a picture.
_BLOCK = 8_000_000  # Bytes that are taken apart at a time.


def read_plain_obj(path: Path) -> tuple[Floats, Ints, Texture | None] | None:
    """Vertices, triangles and picture of a plain OBJ; None where it is not plain.

    Parameters
    ----------
    path : Path

    Returns
    -------
    vertices : (n, 3) float
    faces : (k, 3) int
    texture : Texture or None

    Notes
    -----
    Plain: every vertex has as many numbers, every face has three corners written alike, and none counts backwards.
    All else is left to a reader that looks at every line.
    """
    vertices: list[Floats] = []
    places: list[Floats] = []
    corners: list[NDArray[np.int32]] = []
    libraries: list[bytes] = []
    for lines in _blocks(path):
        if lines is None:
            return None
        libraries += [line[7:].strip() for line in lines if line[:7] == b"mtllib "]
        for rows, found, least in (
            ([line[2:] for line in lines if line[:2] == b"v "], vertices, 3),
            ([line[3:] for line in lines if line[:3] == b"vt "], places, 2),
        ):
            values = _numbers(rows) if rows else None
            if rows and (values is None or values.shape[1] < least or (found and values.shape[1] != found[0].shape[1])):
                return None
            if values is not None:
                found.append(values)
        each = _corners([line[2:] for line in lines if line[:2] == b"f "])
        if each is None or (corners and len(each) and each.shape[2] != corners[0].shape[2]):
            return None
        if len(each):
            corners.append(each)
    if not vertices or not corners:
        return None
    points, all_corners = np.concatenate(vertices)[:, :3], np.concatenate(corners)
    faces = all_corners[:, :, 0].astype(np.int64) - 1
    if not np.isfinite(points).all() or faces.min() < 0 or faces.max() >= len(points):
        return None
    texture = None
    if all_corners.shape[2] >= 2 and places and all_corners[:, :, 1].min() > 0:
        flat = np.concatenate(places)[:, :2].astype(np.float32)
        if all_corners[:, :, 1].max() <= len(flat):
            texture = _texture(path, libraries, flat, all_corners[:, :, 1] - 1)
    return np.ascontiguousarray(points), faces, texture


def _blocks(path: Path) -> Iterator[list[bytes] | None]:
    """Lines of a file, some megabytes of them at a time; None, and no more, at a line that is longer."""
    with path.open("rb") as stream:
        rest = b""
        while block := stream.read(_BLOCK):
            *lines, rest = (rest + block).split(b"\n")
            if not lines and len(rest) > _BLOCK:  # Else it would be copied once for every block.
                yield None
                return
            yield lines
        yield [rest]


def _corners(rows: list[bytes]) -> NDArray[np.int32] | None:
    """(n, 3, k) numbers of vertex, place in the picture and normal of each corner, from 1; None where not plain."""
    if not rows:
        return np.zeros((0, 3, 1), dtype=np.int32)
    marks = rows[0].split()[0].count(b"/") if rows[0].split() else 0
    joined = b"\n".join(rows)
    if joined.count(b"/") != 3 * marks * len(rows) or b"-" in joined:
        return None
    if b"//" in joined:
        joined = joined.replace(b"//", b" 0 ")
    found = _numbers(joined.replace(b"/", b" ").split(b"\n"))
    if found is None or found.shape[1] != 3 * (marks + 1):
        return None
    if not np.all((found == np.floor(found)) & (np.abs(found) < 2**31)):
        return None
    return found.astype(np.int32).reshape(-1, 3, marks + 1)


def _numbers(rows: list[bytes]) -> Floats | None:
    """Rows of numbers, equally many in each; None where they are not."""
    if not rows:
        return None
    width = len(rows[0].split())
    try:
        values = np.array(b" ".join(rows).split(), dtype=np.float64)
    except ValueError:
        return None
    if width == 0 or len(values) != width * len(rows):
        return None
    return values.reshape(-1, width)


def _texture(
    path: Path, libraries: list[bytes], places: NDArray[np.float32], corners: NDArray[np.int32]
) -> Texture | None:
    """The one picture that the materials beside the file name; None for none or several."""
    pictures = set()
    for library in libraries:
        beside = path.parent / Path(library.decode("utf-8", "replace")).name
        if beside.is_file() and beside.stat().st_size < 1_000_000:
            for line in beside.read_text(encoding="utf-8", errors="replace").splitlines():
                words = line.split()
                if words[:1] == ["map_Kd"] and len(words) > 1:
                    pictures.add(path.parent / Path(words[-1]).name)
    if len(pictures) != 1:
        return None
    picture = pictures.pop()
    kind = _KINDS.get(picture.suffix.lower())
    if kind is None or not picture.is_file() or picture.stat().st_size > _LARGEST:
        return None
    return Texture(image=picture.read_bytes(), kind=kind, corners=places[corners])
