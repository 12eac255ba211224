"""OBJ files of millions of triangles: numbers taken out of the text in one go, and the picture that belongs to them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from linescope.terrain.model import Texture

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_KINDS = {".png": "image/png", ".jpg": "image/jpeg", ".jpeg": "image/jpeg"}
_LARGEST = 64_000_000  # Bytes of a picture.


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
    lines = path.read_bytes().split(b"\n")
    vertices = _numbers([line[2:] for line in lines if line[:2] == b"v "])
    if vertices is None or vertices.shape[1] < 3 or not np.isfinite(vertices).all():
        return None
    rows = [line[2:] for line in lines if line[:2] == b"f "]
    if not rows:
        return None
    marks = rows[0].split()[0].count(b"/")
    joined = b"\n".join(rows)
    if joined.count(b"/") != 3 * marks * len(rows) or b"-" in joined:
        return None
    if b"//" in joined:
        joined = joined.replace(b"//", b" 0 ")
    corners = _numbers(joined.replace(b"/", b" ").split(b"\n"))
    if corners is None or corners.shape[1] != 3 * (marks + 1):
        return None
    if not np.all((corners == np.floor(corners)) & (np.abs(corners) < 2**53)):
        return None
    each = corners.reshape(-1, 3, marks + 1).astype(np.int64)
    faces = each[:, :, 0] - 1
    if faces.min() < 0 or faces.max() >= len(vertices):
        return None
    texture = None
    if marks >= 1 and each[:, :, 1].min() > 0:
        places = _numbers([line[3:] for line in lines if line[:3] == b"vt "])
        libraries = [line[7:].strip() for line in lines if line[:7] == b"mtllib "]
        if places is not None and places.shape[1] >= 2 and each[:, :, 1].max() <= len(places):
            texture = _texture(path, libraries, places[each[:, :, 1] - 1][:, :, :2])
    return np.ascontiguousarray(vertices[:, :3]), np.ascontiguousarray(faces), texture


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


def _texture(path: Path, libraries: list[bytes], corners: Floats) -> Texture | None:
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
    return Texture(image=picture.read_bytes(), kind=kind, corners=corners.astype(np.float32))
