"""Broken ground: meshes, grids, point clouds and profiles that cannot be what is below a line."""

from __future__ import annotations

import io
import json
import os
import struct
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np

from tests.broken import scaffold
from tests.broken.case import Case

Content = bytes | str | Callable[[Path], object]

# A quadrilateral of ground under the scaffold's line, which runs 50 m along x at height 0.
CORNERS = ((-5.0, -20.0, -30.0), (60.0, -20.0, -30.0), (60.0, 20.0, -31.0), (-5.0, 20.0, -29.0))
FACES = ((0, 1, 2), (0, 2, 3))


def cases() -> Iterator[Case]:
    """All of them."""
    for kind, ending, listed in (
        ("mesh", "obj", _obj()), ("mesh", "stl", _stl()), ("mesh", "ply", _ply()), ("mesh", "glb", _glb()),
        ("mesh", "gltf", _gltf()), ("grid", "asc", _asc()), ("grid", "npy", _npy()), ("grid", "npz", _npz()),
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
    obj = obj_text()
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


def obj_text(vertices: Any = CORNERS, faces: Any = FACES) -> str:
    return "".join(f"v {x} {y} {z}\n" for x, y, z in vertices) + "".join(
        "f " + " ".join(str(i + 1) for i in face) + "\n" for face in faces
    )


Listed = Iterator[tuple[str, Content, tuple[str, ...]]]


def _obj() -> Listed:
    good = obj_text()
    first = good.split("\n", 1)[0]
    for name, line in (
        ("not a number", "v x 0 0"), ("NaN", "v nan 0 0"), ("infinite", "v inf 0 0"), ("two coordinates", "v 1 2"),
        ("a comma", "v 1,5 0 0"), ("beyond floats", "v 1e999 0 0"), ("hexadecimal", "v 0x1p4 0 0"),
    ):
        yield name, good.replace(first, line), ("line 1",)
    yield "absurdly far", good.replace(first, "v 1e12 0 0"), ("large",)
    for name, face in (
        ("a vertex that is not there", "f 1 2 9"), ("vertex 0", "f 0 1 2"), ("too far back", "f -1 -2 -9"),
        ("half a vertex", "f 1.5 2 3"), ("two corners", "f 1 2"), ("words", "f a b c"),
        ("an absurd number", "f 1 2 " + "9" * 30),
        ("a number of 5000 digits", "f 1 2 " + "9" * 5000), ("a slash and nothing", "f /1 /2 /3"),
    ):
        yield name, f"{good}{face}\n", ()
    yield "all corners the same", obj_text(faces=((0, 0, 0), (1, 1, 1))), ("without area",)
    yield "no faces", obj_text(faces=()), ("no faces",)
    yield "no vertices", "f 1 2 3\n", ("not there",)
    yield "only comments", "# nothing\n" * 50, ("no faces",)
    yield "cut inside a number", good[:-3], ()
    yield "a NUL", good.replace("v", "v\0", 1), ("not text",)


def binary_stl(count: int | None = None, vertices: Any = CORNERS, faces: Any = FACES) -> bytes:
    rows = b"".join(struct.pack("<12fH", 0, 0, 1, *(c for i in face for c in vertices[i]), 0) for face in faces)
    return b"\0" * 80 + struct.pack("<I", len(faces) if count is None else count) + rows


def _stl() -> Listed:
    good = binary_stl()
    yield "a claim of 4 thousand million triangles", binary_stl(2**32 - 1), ("cut off",)
    yield "one triangle too few", good[:-50], ("cut off",)
    yield "one byte too many", good + b"x", ("cut off",)
    yield "no triangles", binary_stl(faces=()), ("no triangles",)
    yield "NaN", binary_stl(vertices=((float("nan"), 0, 0), *CORNERS[1:])), ("not finite",)
    yield "infinite", binary_stl(vertices=((float("inf"), 0, 0), *CORNERS[1:])), ("not finite",)
    yield "absurdly far", binary_stl(vertices=((1e30, 0, 0), *CORNERS[1:])), ("large",)
    yield "text cut off", "solid a\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\n", ("cut off",)
    for name, corners, words in (
        ("text without numbers", ("", "", ""), ()), ("text with words", ("a b c", "1 0 0", "0 1 0"), ()),
        ("text with two vertices", ("1 0 0", "0 1 0"), ("not whole",)),
        ("text of NaN", ("nan 0 0", "1 0 0", "0 1 0"), ()),
    ):
        rows = "".join(f"vertex {corner}\n" for corner in corners)
        yield name, f"solid a\nfacet normal 0 0 1\nouter loop\n{rows}endloop\nendfacet\nendsolid a\n", words


def ply_text(header: str = "", rows: str | None = None) -> str:
    header = header or (
        "ply\nformat ascii 1.0\nelement vertex 4\nproperty float x\nproperty float y\nproperty float z\n"
        "element face 2\nproperty list uchar int vertex_indices\nend_header\n"
    )
    if rows is None:
        rows = "".join(f"{x} {y} {z}\n" for x, y, z in CORNERS) + "".join(f"3 {a} {b} {c}\n" for a, b, c in FACES)
    return header + rows


def _ply() -> Listed:
    good = ply_text()
    for name, old, new in (
        ("a million million triangles", "face 2", "face 1000000000000"),
        ("a million million vertices", "vertex 4", f"vertex {10**12}"),
        ("a count of 5000 digits", "face 2", "face " + "9" * 5000), ("a negative count", "face 2", "face -2"),
        ("no count", "face 2", "face"), ("half a triangle", "face 2", "face 1.5"),
        ("no format", "format ascii 1.0\n", ""),
        ("a format of nothing", "format ascii 1.0", "format"), ("an unknown format", "ascii", "binary_middle_endian"),
        ("no end of the header", "end_header\n", ""), ("a list of nothing", "uchar int vertex_indices", "uchar"),
        ("an unknown type", "float x", "quaternion x"), ("no x", "property float x\n", ""),
        ("a vertex that is not there", "3 0 1 2", "3 0 1 9"), ("a negative vertex", "3 0 1 2", "3 0 1 -9"),
        ("NaN", "-5.0 -20.0", "nan -20.0"), ("a word", "-5.0 -20.0", "five -20.0"),
        ("infinite", "-5.0 -20.0", "inf -20.0"),
        ("a corner count beyond the row", "3 0 1 2", "300 0 1 2"),
        ("no property", "property float x\nproperty float y\nproperty float z\n", ""),
        ("binary that is text", "ascii", "binary_little_endian"),
        ("a face named otherwise", "vertex_indices", "corners"),
        ("an absurd element besides", "element face 2", f"element camera {10**15}\nelement face 2"),
        ("an element of nothing", "element face 2", "element\nelement face 2"),
    ):
        assert old in good
        yield name, good.replace(old, new, 1), ()
    yield "cut off", good[:-30], ("cut off",)
    yield "nothing but the first word", "ply\n", ("header",)
    yield "the header alone", good[: good.index("end_header") + 11], ("cut off",)


def glb(tree: Any, data: bytes | None = None, *, raw: bytes | None = None, length: int | None = None) -> bytes:
    text = json.dumps(tree).encode() if raw is None else raw
    text += b" " * (-len(text) % 4)
    data = mesh_bytes() if data is None else data
    body = struct.pack("<I4s", len(text), b"JSON") + text + struct.pack("<I4s", len(data), b"BIN\0") + data
    return b"glTF" + struct.pack("<II", 2, 12 + len(body) if length is None else length) + body


def mesh_bytes() -> bytes:
    return np.asarray(CORNERS, dtype="<f4")[:, [0, 2, 1]].tobytes() + np.asarray(FACES, dtype="<u4").tobytes()


def tree(uri: str | None = None) -> dict[str, Any]:
    """A whole glTF of the quadrilateral."""
    buffer: dict[str, Any] = {"byteLength": len(mesh_bytes())}
    return {
        "asset": {"version": "2.0"}, "scene": 0, "scenes": [{"nodes": [0]}], "nodes": [{"mesh": 0}],
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}]}],
        "buffers": [buffer | ({"uri": uri} if uri else {})],
        "bufferViews": [{"buffer": 0, "byteOffset": 0, "byteLength": 48}, {"buffer": 0, "byteOffset": 48,
            "byteLength": 24}],
        "accessors": [
            {"bufferView": 0, "componentType": 5126, "count": 4, "type": "VEC3", "min": [-5, -31, -20], "max": [60,
                -29, 20]},
            {"bufferView": 1, "componentType": 5125, "count": 6, "type": "SCALAR"},
        ],
    }


def _trees() -> Iterator[tuple[str, dict[str, Any]]]:
    def changed(name: str, *path: Any, value: Any) -> tuple[str, dict[str, Any]]:
        whole = tree()
        scaffold.replaced(whole, path, value)
        return name, whole

    big = 10**12
    yield changed("a million million vertices", "accessors", 0, "count", value=big)
    yield changed("a million million corners", "accessors", 1, "count", value=big)
    yield changed("a count below zero", "accessors", 1, "count", value=-6)
    yield changed("a count that is text", "accessors", 1, "count", value="6")
    yield changed("half a count", "accessors", 1, "count", value=5.5)
    yield changed("no view, so a million million zeros", "accessors", 0,
                  value={"componentType": 5126, "count": big, "type": "VEC3"})
    yield changed("an unknown number type", "accessors", 0, "componentType", value=1)
    yield changed("an unknown shape", "accessors", 0, "type", value="VEC9")
    yield changed("a view beyond the data", "bufferViews", 1, "byteLength", value=10**9)
    yield changed("a view that begins beyond the data", "bufferViews", 1, "byteOffset", value=10**9)
    yield changed("a view before the data", "bufferViews", 1, "byteOffset", value=-48)
    yield changed("a buffer that is not there", "bufferViews", 0, "buffer", value=7)
    yield changed("a view that is not there", "accessors", 0, "bufferView", value=7)
    yield changed("an accessor that is not there", "meshes", 0, "primitives", 0, "indices", value=9)
    yield changed("a mesh that is not there", "nodes", 0, "mesh", value=9)
    yield changed("a node that is not there", "scenes", 0, "nodes", value=[9])
    yield changed("a scene that is not there", "scene", value=9)
    yield changed("no meshes", "meshes", value=[])
    yield changed("no nodes", "nodes", value=[])
    yield changed("meshes of words", "meshes", value=["x"])
    yield changed("nodes of words", "nodes", value="x")
    yield changed("buffers of words", "buffers", value="x")
    yield changed("accessors of words", "accessors", value={"a": 1})
    yield changed("a node inside itself", "nodes", value=[{"mesh": 0, "children": [0]}])
    yield changed("a ring of nodes", "nodes", value=[{"mesh": 0, "children": [1]}, {"children": [0]}])
    yield changed("a node under two parents", "nodes",
                  value=[{"children": [1, 2]}, {"children": [3]}, {"children": [3]}, {"mesh": 0}])
    doubled = [{"children": [i + 1, i + 1]} for i in range(40)]
    yield changed("nodes that double forty times", "nodes", value=[*doubled, {"mesh": 0}])
    chain = [{"children": [i + 1]} for i in range(5000)]
    chain[-1] = {"mesh": 0}
    chain[0] = {"children": [0]}
    yield changed("a long chain that bites its tail", "nodes", value=chain)
    yield changed("a matrix of words", "nodes", 0, value={"mesh": 0, "matrix": ["x"] * 16})
    yield changed("a matrix of nine", "nodes", 0, value={"mesh": 0, "matrix": [1.0] * 9})
    yield changed("an infinite shift", "nodes", 0, value={"mesh": 0, "translation": [1e999, 0, 0]})
    yield changed("lines for triangles", "meshes", 0, "primitives", 0, "mode", value=1)
    yield changed("points for triangles", "meshes", 0, "primitives", 0, "mode", value=0)
    yield changed("no positions", "meshes", 0, "primitives", 0, "attributes", value={})


def _glb() -> Listed:
    good = glb(tree())
    for name, whole in _trees():
        yield name, glb(whole), ()
    yield "another version", good[:4] + struct.pack("<I", 1) + good[8:], ()
    yield "a length that is wrong", glb(tree(), length=99), ("cut off",)
    yield "cut off", good[:-10], ("cut off",)
    yield "a chunk longer than the file", good[:12] + struct.pack("<I", 2**31) + good[16:], ()
    yield "no JSON in it", glb(None, raw=b"{{{{"), ()
    yield "a list for a tree", glb([]), ()
    yield "a number for a tree", glb(7), ()
    yield "deeply nested JSON", glb(None, raw=b"[" * 100_000), ()
    yield "no data", glb(tree(), b""), ()
    yield "NaN", glb(tree(), struct.pack("<f", float("nan")) + mesh_bytes()[4:]), ("not finite",)
    yield "a vertex that is not there", glb(tree(), mesh_bytes()[:-4] + struct.pack("<I", 99)), ()
    yield "compressed in a way not read", glb(tree() | {"extensionsRequired": ["KHR_draco_mesh_compression"]}), ()


def _gltf() -> Listed:
    for name, whole in _trees():
        yield name, _with_buffer(whole), ()
    yield "not JSON", "{", ("glTF",)
    yield "a list", "[]", ("glTF",)
    yield "a word", '"x"', ("glTF",)
    yield "deeply nested", "[" * 100_000, ("glTF",)
    yield "a number of 5000 digits", '{"a": ' + "9" * 5000 + "}", ()
    yield "keys twice and no mesh", '{"asset": {"version": "2.0"}, "asset": 1}', ()
    for name, uri in (
        ("missing", "lost.bin"), ("above", "../../x.bin"), ("absolute", "/etc/hostname"), ("a device", "/dev/zero"),
        ("an address", "https://example.invalid/x.bin"), ("the file itself", "g.gltf"), ("a number", 7), ("empty", ""),
        ("not base64", "data:application/octet-stream;base64,!!!"), ("too short", "data:;base64,AAAA"),
        ("a NUL", "a\0"),
        ("a folder", "."), ("a name too long", "n" * 300),
    ):
        whole = tree()
        whole["buffers"][0]["uri"] = uri
        yield f"a buffer that is {name}", json.dumps(whole), ()

    def pipe(path: Path) -> None:
        os.mkfifo(path.with_name("pipe.bin"))
        path.write_text(json.dumps(tree("pipe.bin")))

    yield "a buffer that is a FIFO", pipe, ()


def _with_buffer(whole: dict[str, Any]) -> Callable[[Path], None]:
    def write(path: Path) -> None:
        path.with_name("data.bin").write_bytes(mesh_bytes())
        buffers = whole.get("buffers")
        if isinstance(buffers, list) and buffers:
            buffers[0]["uri"] = "data.bin"
        path.write_text(json.dumps(whole))

    return write


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
        ("decimal commas", "0;-5,5\n50;-5,5\n"), ("a heading and words", "station,height\nnear,low\n"),
        ("a NUL", "0,-5\n50,\0-5\n"),
        ("beyond floats", "0,-5\n50,-1e999\n"), ("absurdly deep", "0,-5\n50,-1e15\n"),
        ("above the line", "0,50\n50,50\n"),
        ("somewhere else", "5000,-5\n6000,-5\n"),
    ):
        yield name, text, ()
