"""Broken ground: meshes, grids, point clouds and profiles that cannot be what is below a line."""

from __future__ import annotations

import io
import os
import struct
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from tests.broken import meshes, scaffold
from tests.broken.case import Case
from tests.broken.meshes import CORNERS, Content, Listed


def cases() -> Iterator[Case]:
    """All of them."""
    for kind, ending, listed in (
        ("mesh", "obj", meshes.obj()), ("mesh", "stl", meshes.stl()),
        ("mesh", "ply", meshes.ply()), ("mesh", "glb", meshes.glb_files()),
        ("mesh", "gltf", meshes.gltf_files()), ("grid", "asc", _asc()),
        ("grid", "npy", _npy()), ("grid", "npz", _npz()),
        ("grid", "tif", _tif()), ("points", "csv", _points()), ("points", "npy", _npy_points()),
        ("points", "las", _las()), ("profile", "csv", _profile()),
    ):
        for name, content, words in listed:
            yield ground(kind, f"g.{ending}", content, words, name=f"{ending} {kind}: {name}")
        if ending not in ("npy",):
            yield from _not_that_at_all(kind, ending)
    yield from _paths()


def ground(
    kind: str, written: str, content: Content, words: tuple[str, ...] = (), *, name: str, key: str = "",
    said: str = "", **more: Any,
) -> Case:
    """A scene whose ground is that file, looked at by a command that reads it."""

    def make(folder: Path) -> list[str]:
        if callable(content):
            content(folder / written)
        else:
            data = content.encode() if isinstance(content, str) else content
            (folder / written).write_bytes(data)
        scene = scaffold.scene_with(("ground", "file"))
        scene["ground"] = {"kind": kind, "file": written} | more
        (folder / "scene.toml").write_text(scaffold.document(scene), encoding="utf-8")
        return ["clearance", str(folder / "scene.toml")]

    return Case(kind="grounds", name=name, make=make, file=said or written, key=key, words=words)


def _not_that_at_all(kind: str, ending: str) -> Iterator[Case]:
    """Things that no reader of any kind can take."""
    for name, content in (
        ("empty", b""), ("one byte", b"x"), ("a newline", b"\n"), ("blanks", b" " * 1000), ("zero bytes", b"\0" * 1000),
        ("noise", np.random.default_rng(7).bytes(2000)), ("UTF-16", "v 0 0 0\n".encode("utf-16")),
        ("latin-1", "# Gr\u00fcn\nv 0 0 0\n".encode("latin-1")),
        ("HTML", b"<!doctype html><html><body>404</body></html>"),
        ("a pointer of a large file store", b"version https://git-lfs.github.com/spec/v1\nsize 12345\n"),
        ("a picture", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" + b"\0" * 50), ("a zip archive", b"PK\3\4" + b"\0" * 60),
    ):
        yield ground(kind, f"g.{ending}", content, name=f"{ending} {kind}: {name}")
    yield ground(kind, f"g.{ending}", lambda path: path.mkdir(), ("folder",), name=f"{ending} {kind}: a folder")
    yield ground(kind, f"g.{ending}", os.mkfifo, ("ordinary",), name=f"{ending} {kind}: a FIFO")
    yield ground(kind, f"g.{ending}", lambda path: path.symlink_to("/dev/zero"), ("ordinary",),
                 name=f"{ending} {kind}: a link to a device")
    yield ground(kind, f"g.{ending}", lambda path: path.symlink_to(path.name),
        name=f"{ending} {kind}: a link to itself")
    yield ground(kind, f"g.{ending}", lambda path: _sparse(path, 5_000_000_000), ("large",),
                 name=f"{ending} {kind}: five gigabytes")
    yield ground(kind, f"g.{ending}", lambda path: _sparse(path, 2_000_000_000),
                 name=f"{ending} {kind}: two gigabytes of zero bytes")


def _sparse(path: Path, size: int) -> None:
    with path.open("wb") as stream:
        stream.truncate(size)


def _paths() -> Iterator[Case]:
    obj = meshes.obj_text()
    for name, file in (
        ("absolute", "/etc/hostname"), ("two steps up", "../../x.obj"), ("up inside", "a/../../../x.obj"),
        ("backslashes", "..\\..\\x.obj"), ("a drive", "C:/x.obj"), ("an address", "file:///etc/passwd"),
        ("a web address", "https://example.invalid/x.obj"), ("nothing there", "nowhere.obj"), ("a folder", "."),
        ("the folder above", ".."), ("a home", "~/x.obj"), ("a variable", "$HOME/x.obj"), ("a pattern", "*.obj"),
        ("a file as a folder", "scene.toml/x.obj"), ("a name too long", "n" * 280 + ".obj"), ("a blank", " x.obj"),
    ):
        yield ground("mesh", "g.obj", obj, name=f"path: {name}", key="ground.file", said="scene.toml",
                     file=file)
    yield ground("mesh", "g.obj", obj, name="path: a NUL", key="ground.file", said="scene.toml", file="a\0.obj")
    for ending in ("dae", "blend", "3mf", "off", "zip", "exe", "", "obj~", "toml"):
        name = f"g.{ending}" if ending else "g"
        yield ground("mesh", name, obj, ("ending",), name=f"path: ending {ending!r}")
    for kind, file in (("grid", "g.obj"), ("points", "g.obj"), ("profile", "g.obj"), ("mesh", "g.asc"),
    ("profile", "g.asc")):
        yield ground(kind, file, obj, ("ending",), name=f"path: {file} as {kind}")
    yield ground("mesh", "scene.obj", obj.replace("-3", "3"), ("above",), name="place: above the line")
    yield ground("mesh", "g.obj", obj, ("under the line",), name="place: beside the line", shift=["0 m", "5 km", "0 m"])
    yield ground("mesh", "g.obj", obj, ("below",), name="place: far below", shift=["0 m", "0 m", "-50 km"])
    yield ground("mesh", "g.obj", obj, ("wide",), name="place: in kilometres", unit="km")
    yield ground("mesh", "g.obj", obj, ("wide",), name="place: in millimetres", unit="mm")
    yield ground("mesh", "g.obj", obj, name="place: upright", up="x")


ASC = """ncols 4
nrows 3
xllcorner -5
yllcorner -20
cellsize 20
NODATA_value -9999
-25 -26 -27 -28
-29 -20 -21 -22
-23 -24 -25 -26
"""


def _asc() -> Listed:
    for name, old, new in (
        ("no columns", "ncols 4\n", ""), ("no rows", "nrows 3\n", ""), ("no cell size", "cellsize 20\n", ""),
        ("no place", "xllcorner -5\n", ""), ("a place misspelt", "xllcorner", "xlcorner"),
        ("columns twice", "ncols 4", "ncols 4\nncols 5"),
        ("a thousand million columns", "ncols 4", "ncols 1000000000"),
        ("absurdly many columns", "ncols 4", "ncols 1e300"),
        ("columns beyond floats", "ncols 4", "ncols 1e999"), ("negative columns", "ncols 4", "ncols -4"),
        ("half a column", "ncols 4", "ncols 4.5"), ("no number of columns", "ncols 4", "ncols NaN"),
        ("words for columns", "ncols 4", "ncols four"), ("one row", "nrows 3", "nrows 1"),
        ("cells of no size", "cellsize 20", "cellsize 0"),
        ("negative cells", "cellsize 20", "cellsize -20"), ("infinite cells", "cellsize 20", "cellsize inf"),
        ("cells of a size that is none", "cellsize 20", "cellsize nan"),
        ("a place that is none", "xllcorner -5", "xllcorner nan"),
        ("a word among the heights", "-29", "deep"), ("an infinite height", "-29", "inf"), ("a comma", "-29", "-29,5"),
        ("one height too many", "-29", "-29 -29"), ("one height too few", "-29 ", ""),
        ("an absurd height", "-29", "1e30"),
        ("every height missing", ASC[ASC.index("-25 -26"):], "-9999 " * 12),
        ("no heights", ASC[ASC.index("-25 -26"):], ""),
        ("too few neighbours", ASC[ASC.index("-25 -26"):], "-25 -9999 -27 -9999 " * 3),
        ("an absurd cell", "cellsize 20", "cellsize 1e300"),
        ("degrees", "cellsize 20", "cellsize 0.001"), ("an unknown key", "NODATA_value", "nothing_value"),
    ):
        assert old in ASC
        yield name, ASC.replace(old, new, 1), ()


def saved(**arrays: Any) -> bytes:
    stream = io.BytesIO()
    np.savez(stream, **arrays)
    return stream.getvalue()


def saved_one(array: Any) -> bytes:
    stream = io.BytesIO()
    np.save(stream, array)
    return stream.getvalue()


def npy_header(shape: str, kind: str = "<f8", data: bytes = b"") -> bytes:
    text = f"{{'descr': '{kind}', 'fortran_order': False, 'shape': {shape}, }}".encode()
    text += b" " * (-(len(text) + 11) % 64) + b"\n"
    return b"\x93NUMPY\1\0" + struct.pack("<H", len(text)) + text + data


Z = -20.0 - np.arange(12.0).reshape(3, 4)


def _npy() -> Listed:
    for name, shape in (
        ("a million million heights", "(1000000, 1000000)"), ("heights without end", "(9999999999999, 9999999999)"),
        ("a negative shape", "(-3, 4)"), ("a shape of words", "('a', 4)"), ("no shape", "()"),
        ("code", "__import__('os')"),
        ("a deep shape", "(" * 500 + ")" * 500),
    ):
        yield name, npy_header(shape, data=b"\0" * 96), ()
    yield "cut off", saved_one(Z)[:-20], ()
    yield "objects", npy_header("(3, 4)", "|O", b"\x80\x04N." * 12), ()
    yield "numbers with halves of imagination", saved_one(Z + 1j), ()
    yield "times", saved_one(Z.astype("datetime64[s]")), ()
    yield "words", saved_one(Z.astype(str)), ()
    yield "yes and no", saved_one(Z > -22), ()
    yield "one row of them", saved_one(Z[0]), ()
    yield "a block of them", saved_one(np.stack([Z, Z])), ()
    yield "none", saved_one(np.zeros((0, 4))), ()
    yield "another version", b"\x93NUMPY\x09\0" + saved_one(Z)[8:], ()
    yield "no spacing told", saved_one(Z), ("cell",)
    yield "a header that never ends", b"\x93NUMPY\2\0" + struct.pack("<I", 2**31 - 1) + b" " * 500, ()


def _npz() -> Listed:
    x, y = np.array([-5.0, 15, 35, 55]), np.array([20.0, 0, -20])
    for name, arrays in (
        ("no heights", {"heights": Z}), ("nothing", {}), ("no spacing", {"elevation": Z}),
        ("x too short", {"elevation": Z, "x": x[:3], "y": y}),
        ("x out of order", {"elevation": Z, "x": x[[0, 2, 1, 3]], "y": y}),
        ("x not finite", {"elevation": Z, "x": x * np.nan, "y": y}),
        ("heights infinite", {"elevation": Z * np.inf, "x": x, "y": y}),
        ("heights all missing", {"elevation": Z * np.nan, "x": x, "y": y}),
        ("heights of words", {"elevation": Z.astype(str), "x": x, "y": y}),
        ("a spacing of zero", {"elevation": Z, "dx": 0.0, "dy": 1.0}),
        ("a negative spacing", {"elevation": Z, "dx": -1.0, "dy": 1.0}),
        ("two spacings", {"elevation": Z, "dx": [1.0, 2.0], "dy": 1.0}),
        ("a spacing that is none", {"elevation": Z, "dx": np.nan, "dy": 1.0}),
        ("one row", {"elevation": Z[:1], "x": x, "y": y[:1]}),
        ("borders at one place", {"elevation": Z, "xmin": 0.0, "xmax": 0.0, "ymin": 0.0, "ymax": 9.0}),
        ("x of three dimensions", {"elevation": Z, "x": np.zeros((2, 2, 2)), "y": y}),
        ("absurd heights", {"elevation": Z * 1e30, "x": x, "y": y}),
        ("imaginary heights", {"elevation": Z * 1j, "x": x, "y": y}),
    ):
        yield name, saved(**arrays), ()

    def bomb(path: Path, shape: str, zeros: int) -> None:
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive, archive.open("elevation.npy", "w") as stream:
            stream.write(npy_header(shape))
            for _ in range(zeros):
                stream.write(b"\0" * 1_000_000)

    yield "a bomb that claims little", lambda path: bomb(path, "(3, 4)", 50), ()
    yield "a bomb that claims much", lambda path: bomb(path, "(100000, 100000)", 20), ("large",)
    yield "cut off", saved(elevation=Z, x=x, y=y)[:-30], ()
    yield "a word inside", lambda path: zipfile.ZipFile(path, "w").writestr("elevation.npy", "words"), ()
    yield "a text inside", lambda path: zipfile.ZipFile(path, "w").writestr("elevation", "words"), ()
    yield "a path that climbs", lambda path: zipfile.ZipFile(path, "w").writestr("../../elevation.npy",
        saved_one(Z)), ()


def _tif() -> Listed:
    try:
        import tifffile
    except ImportError:
        return

    def tif(z: Any, scale: Any = (20.0, 20.0, 0.0), tie: Any = (0.0, 0.0, 0.0, -5.0, 20.0, 0.0),
        missing: str = "") -> bytes:
        tags: list[Any] = []
        if scale is not None:
            tags.append((33550, "d", len(scale), tuple(scale), False))
        if tie is not None:
            tags.append((33922, "d", len(tie), tuple(tie), False))
        if missing:
            tags.append((42113, "s", 0, missing, False))
        stream = io.BytesIO()
        tifffile.imwrite(stream, z, extratags=tags, photometric="minisblack")
        return stream.getvalue()

    good = Z.astype(np.float32)
    nan = float("nan")
    for name, data in (
        ("no place", tif(good, tie=None)), ("no scale", tif(good, scale=None)),
        ("a scale of zero", tif(good, scale=(0.0, 0.0, 0.0))),
        ("a scale that is none", tif(good, scale=(nan, nan, 0.0))),
        ("a place that is none", tif(good, tie=(0, 0, 0, nan, nan, 0))),
        ("a scale of one number", tif(good, scale=(20.0,))), ("a missing value of words", tif(good, missing="lots")),
        ("every height missing", tif(np.full((3, 4), -9999, np.float32), missing="-9999")),
        ("infinite", tif(good * np.inf)),
        ("imaginary", tif(good.astype(np.complex64))), ("one row", tif(good[:1])), ("cut off", tif(good)[:-300]),
        ("cut off in the header", tif(good)[:20]),
        ("a ring of pages", tif(good)[:4] + struct.pack("<I", 4) + tif(good)[8:]),
    ):
        yield name, data, ()
    data = bytearray(tif(good))
    begin = struct.unpack("<I", data[4:8])[0]
    for i in range(struct.unpack("<H", data[begin : begin + 2])[0]):
        at = begin + 2 + 12 * i
        if struct.unpack("<H", data[at : at + 2])[0] in (256, 257):
            data[at + 2 : at + 12] = struct.pack("<HII", 4, 1, 1_000_000)
    yield "a million million heights", bytes(data), ("large",)


def _points() -> Listed:
    good = "x,y,z\n" + "".join(f"{x},{y},{z}\n" for x, y, z in CORNERS)
    for name, text in (
        ("only a heading", "x,y,z\n"), ("two points", "0,0,-5\n1,1,-5\n"),
        ("all in one line", "".join(f"{i},0,-5\n" for i in range(9))),
        ("all at one place", "1,1,-5\n" * 9), ("NaN", good.replace("60.0", "nan", 1)),
        ("infinite", good.replace("60.0", "inf", 1)),
        ("a word", good.replace("60.0", "sixty", 1)), ("a row too short", good + "1,2\n"),
        ("decimal commas", good.replace(".", ",")),
        ("decimal commas and semicolons", good.replace(",", ";").replace(".", ",")), ("two headings", "x,y,z\n" + good),
        ("beyond floats", good.replace("60.0", "1e999", 1)), ("absurdly far", good.replace("60.0", "1e15", 1)),
        ("columns that are missing", good + ",,\n"), ("degrees and minutes", good + "47\u00b030',8\u00b0,400\n"),
    ):
        yield name, text, ()


def _npy_points() -> Listed:
    yield "rows of two", saved_one(np.zeros((9, 2))), ()
    yield "not finite", saved_one(np.full((9, 3), np.nan)), ("not finite",)
    yield "none", saved_one(np.zeros((0, 3))), ()
    yield "a million million rows", npy_header("(1000000000000, 3)", data=b"\0" * 96), ()
    yield "objects", npy_header("(9, 3)", "|O", b"\0" * 96), ()


def _las() -> Listed:
    try:
        import laspy
    except ImportError:
        return
    header = laspy.LasHeader(point_format=0, version="1.2")
    header.scales, header.offsets = np.full(3, 0.01), np.zeros(3)
    cloud = laspy.LasData(header)
    cloud.x, cloud.y, cloud.z = np.array(CORNERS).T
    stream = io.BytesIO()
    cloud.write(stream, do_compress=False)
    good = stream.getvalue()
    yield "cut off in the header", good[:100], ()
    yield "cut off in the points", good[:-30], ()
    yield "no points", good[:107] + struct.pack("<I", 0) + good[111:227], ()
    yield "a claim of 4 thousand million points", good[:107] + struct.pack("<I", 2**32 - 1) + good[111:], ()
    yield "a point format that is none", good[:104] + b"\x63" + good[105:], ()
    yield "points of no length", good[:105] + b"\0\0" + good[107:], ()
    yield "data that begins beyond the file", good[:96] + struct.pack("<I", 2**31) + good[100:], ()
    yield "four thousand million records besides", good[:100] + struct.pack("<I", 2**32 - 1) + good[104:], ()
    yield "a scale that is none", good[:131] + struct.pack("<d", float("nan")) + good[139:], ()
    yield "an infinite offset", good[:155] + struct.pack("<d", float("inf")) + good[163:], ()
    yield "said to be compressed", good[:104] + b"\x80" + good[105:], ()


def _profile() -> Listed:
    for name, text in (
        ("only a heading", "station,height\n"), ("one point", "0,-5\n"), ("going back", "0,-5\n50,-5\n20,-5\n"),
        ("a point twice", "0,-5\n0,-5\n50,-5\n"), ("all at one place", "5,-5\n5,-6\n"),
        ("a row too short", "0,-5\n50\n"),
        ("NaN", "0,-5\n50,nan\n"), ("infinite", "0,-5\ninf,-5\n"), ("a word", "0,-5\n50,deep\n"),
        ("units in it", "0 m,-5 m\n50 m,-5 m\n"),
        ("a heading and words", "station,height\nnear,low\n"),
        ("a NUL", "0,-5\n50,\0-5\n"),
        ("beyond floats", "0,-5\n50,-1e999\n"), ("absurdly deep", "0,-5\n50,-1e15\n"),
        ("above the line", "0,50\n50,50\n"),
        ("somewhere else", "5000,-5\n6000,-5\n"),
    ):
        yield name, text, ()
    for name, text, words in (
        ("decimal commas", "0;-5,5\n50;-5,5\n", ("decimal comma", "-5.5")),
        ("decimal commas from the first number on", "0,2;-5\n50,2;-5\n", ("decimal comma", "0.2")),
        ("decimal commas between commas", "0,0,-5,5\n50,0,-5,5\n", ("decimal commas?", "line 1")),
        ("three coordinates", "x,y,z\n0,0,-5\n50,1,-5\n", ("x,y,z", "station", "height", "line 1")),
        ("three columns", "0,0,-5\n50,1,-5\n", ("3 columns", "station", "height", "line 1")),
        ("headings that nobody knows", "far,deep\n0,-5\n50,-5\n", ("far,deep", "station", "height")),
        ("units in the headings", "station (ft),height (ft)\n0,-5\n50,-5\n", ("station (ft)", "station, height")),
    ):
        yield name, text, words
