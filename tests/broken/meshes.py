"""Broken meshes: OBJ, STL, PLY, GLB and glTF files, each with a name and words of the message it must give."""

from __future__ import annotations

import json
import os
import struct
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np

from tests.broken import scaffold

Content = bytes | str | Callable[[Path], object]
Listed = Iterator[tuple[str, Content, tuple[str, ...]]]

# A quadrilateral of ground under the scaffold's line, which runs 50 m along x at height 0.
CORNERS = ((-5.0, -20.0, -30.0), (60.0, -20.0, -30.0), (60.0, 20.0, -31.0), (-5.0, 20.0, -29.0))
FACES = ((0, 1, 2), (0, 2, 3))


def obj_text(vertices: Any = CORNERS, faces: Any = FACES) -> str:
    return "".join(f"v {x} {y} {z}\n" for x, y, z in vertices) + "".join(
        "f " + " ".join(str(i + 1) for i in face) + "\n" for face in faces
    )



def obj() -> Listed:
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


def stl() -> Listed:
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


def ply() -> Listed:
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


def glb_files() -> Listed:
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


def gltf_files() -> Listed:
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
