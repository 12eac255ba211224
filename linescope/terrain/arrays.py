"""Arrays out of NumPy files: the sizes that a header states are checked before memory is set aside for them."""

from __future__ import annotations

import ast
import math
import zipfile
from pathlib import Path
from typing import IO, BinaryIO

import numpy as np
from numpy.typing import NDArray

from linescope.errors import TerrainError
from linescope.terrain.files import foreign_words
from linescope.terrain.model import MAX_TRIANGLES

Floats = NDArray[np.float64]

_LONGEST_HEADER = 10_000  # Bytes; NumPy itself reads no longer one.


def load_numpy(path: Path) -> dict[str, NDArray[np.generic]]:
    """The arrays of a .npy (under the name "") or .npz file.

    Parameters
    ----------
    path : Path

    Returns
    -------
    dict of str to array

    Raises
    ------
    TerrainError
        Not NumPy's, cut off, larger than any ground, or holding something else than numbers.
    """
    try:
        with path.open("rb") as stream:
            _check_sizes(stream, path)
            stream.seek(0)
            loaded = np.load(stream, allow_pickle=False)
            if isinstance(loaded, np.ndarray):
                return {"": loaded}
            with loaded:
                return {key: array for key in loaded.files if isinstance(array := loaded[key], np.ndarray)}
    except TerrainError:
        raise
    except Exception as error:  # broken headers raise anything from TokenError to MemoryError
        raise TerrainError(
            f"cannot be read as NumPy data ({foreign_words(error)})", file=path, allowed="a whole .npy or .npz"
        ) from error


def _check_sizes(stream: BinaryIO, path: Path) -> None:
    """Refuse arrays whose headers state more than any ground holds, before memory is set aside for them."""
    if not zipfile.is_zipfile(stream):
        stream.seek(0)
        _check_size(stream, path, "")
        return
    with zipfile.ZipFile(stream) as archive:
        for name in archive.namelist():
            with archive.open(name) as member:
                _check_size(member, path, name.removesuffix(".npy"))


def _check_size(stream: IO[bytes], path: Path, name: str) -> None:
    if stream.read(6) != b"\x93NUMPY":
        if name:  # Something else in an archive, which is not read.
            return
        raise TerrainError("this is not a NumPy file", file=path, allowed="a whole .npy or .npz")
    version = stream.read(2)
    length = int.from_bytes(stream.read(2 if version[0] == 1 else 4), "little")
    if length > _LONGEST_HEADER:
        raise TerrainError("the file's header has no end", file=path, key=name, allowed="a whole .npy or .npz")
    header = ast.literal_eval(stream.read(length).decode("latin-1").strip())
    shape = header["shape"]
    if "O" in str(header["descr"]):
        raise TerrainError("these are Python objects, not numbers", file=path, key=name, allowed="integers or floats")
    if math.prod(shape) > 3 * MAX_TRIANGLES:
        allowed = f"{MAX_TRIANGLES} triangles"
        raise TerrainError("the array is too large", file=path, key=name, found=shape, allowed=allowed)


def numeric(array: NDArray[np.generic], path: Path, key: str) -> Floats:
    """An array as floats, or an error naming it.

    Parameters
    ----------
    array : (...) array
        [unit of the file]
    path : Path
    key : str
        Name of the array, for the message.

    Returns
    -------
    array of float

    Raises
    ------
    TerrainError
        When what it holds is no real number.
    """
    if array.dtype.kind not in "iuf":
        raise TerrainError("not numbers", file=path, key=key, found=str(array.dtype), allowed="integers or floats")
    return array.astype(np.float64)
