"""What a GLB or glTF file must be before its reader sees it: whole, of finite size, and its data beside it."""

from __future__ import annotations

import json
import struct
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from linescope.errors import TerrainError
from linescope.terrain.files import read_text
from linescope.terrain.model import MAX_TRIANGLES

_JSON_CHUNK = 0x4E4F534A


class FilesBeside:
    """Gives the reader of a mesh the files that lie beside it and may be its data, and nothing else.

    Parameters
    ----------
    path : Path
        Of the mesh.
    """

    def __init__(self, path: Path) -> None:
        self.path = path

    def get(self, name: str) -> bytes:
        """The bytes of a plain file beside the mesh; TerrainError for anything else."""
        return _beside(self.path, name).read_bytes()

    __getitem__ = get


def check_glb(path: Path) -> None:
    """Refuse a GLB file that is cut off or contradicts itself (TerrainError)."""
    size = path.stat().st_size
    with path.open("rb") as stream:
        head = stream.read(20)
        if len(head) < 20 or head[:4] != b"glTF":
            raise TerrainError("not a GLB file", file=path, allowed="binary glTF 2.0")
        version, length, chunk, kind = struct.unpack("<IIII", head[4:])
        if version != 2:
            raise TerrainError("not a GLB file of version 2", file=path, found=version, allowed="binary glTF 2.0")
        if length != size:
            raise TerrainError("the file is cut off", file=path, found=f"{size} bytes", allowed=f"{length} bytes")
        if kind != _JSON_CHUNK or chunk > size - 20:
            raise TerrainError("a part is longer than the file", file=path, found=chunk, allowed=f"up to {size - 20}")
        text = stream.read(chunk)
    _check_tree(_tree(text, path), path)


def check_gltf(path: Path) -> None:
    """Refuse a glTF file that is not whole, contradicts itself, or lacks a file it needs (TerrainError)."""
    _check_tree(_tree(read_text(path), path), path)


def _tree(text: str | bytes, path: Path) -> dict[str, Any]:
    try:
        tree = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise TerrainError("not a whole glTF file", file=path, allowed="JSON of glTF 2.0") from error
    if not isinstance(tree, dict):
        raise TerrainError("not a whole glTF file", file=path, found=tree, allowed="JSON of glTF 2.0")
    return tree


def _check_tree(tree: dict[str, Any], path: Path) -> None:
    if tree.get("extensionsRequired"):
        raise TerrainError(
            "the mesh needs an extension of glTF that is not read", file=path, key="extensionsRequired",
            found=tree["extensionsRequired"], allowed="plain glTF 2.0, without compression",
        )
    for buffer in _tables(tree, "buffers", path):
        name = buffer.get("uri")
        if isinstance(name, str) and name.startswith("data:"):
            continue
        if name is not None:
            _beside(path, name)
    for accessor in _tables(tree, "accessors", path):
        count = accessor.get("count")
        if isinstance(count, bool) or not isinstance(count, int) or not 0 <= count <= 3 * MAX_TRIANGLES:
            raise TerrainError(
                "no such count of numbers", file=path, key="accessors.count", found=count,
                allowed=f"0 to {3 * MAX_TRIANGLES}",
            )
    _check_nodes([node.get("children", []) for node in _tables(tree, "nodes", path)], path)


def _tables(tree: dict[str, Any], name: str, path: Path) -> list[dict[str, Any]]:
    listed = tree.get(name, [])
    if not isinstance(listed, list) or not all(isinstance(each, dict) for each in listed):
        raise TerrainError("this is not a list of tables", file=path, key=name, found=listed, allowed="glTF 2.0")
    return listed


def _check_nodes(children: list[Any], path: Path) -> None:
    """Every node has one parent at most, and none is inside itself (glTF 2.0, 3.5.2: strict trees)."""
    parent: dict[int, int] = {}
    for number, below in enumerate(children):
        for child in below if isinstance(below, list) else [below]:
            if isinstance(child, bool) or not isinstance(child, int) or not 0 <= child < len(children):
                raise TerrainError(
                    "a node names a node that is not there", file=path, key=f"nodes[{number}].children", found=child
                )
            if child in parent:
                key = f"nodes[{child}]"
                raise TerrainError("a node has two parents", file=path, key=key, allowed="a tree of nodes")
            parent[child] = number
    for number in _in_rings(parent, len(children)):
        raise TerrainError("a node is inside itself", file=path, key=f"nodes[{number}]", allowed="a tree of nodes")


def _in_rings(parent: dict[int, int], count: int) -> Iterator[int]:
    """Nodes from which the way up never ends."""
    ends: set[int] = set()
    for number in range(count):
        way: list[int] = []
        node: int | None = number
        passed: set[int] = set()
        while node is not None and node not in ends:
            if node in passed:
                yield node
                return
            passed.add(node)
            way.append(node)
            node = parent.get(node)
        ends.update(way)


def _beside(path: Path, name: object) -> Path:
    """A file that belongs to the mesh and lies beside it or below."""
    allowed = "an ordinary file beside it"
    key = "buffers.uri"
    if not isinstance(name, str) or not name or name.startswith(("/", "\\")) or ":" in name or "\0" in name:
        raise TerrainError("this names no file beside the mesh", file=path, key=key, found=name, allowed=allowed)
    if ".." in name.replace("\\", "/").split("/"):
        raise TerrainError("this path leads away from the mesh", file=path, key=key, found=name, allowed=allowed)
    try:
        there = (path.parent / name).is_file()
    except OSError:
        there = False
    if not there:
        raise TerrainError(
            "a file that belongs to it is missing", file=path, key=key, found=name, allowed=allowed
        )
    return path.parent / name
