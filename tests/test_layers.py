"""The rooms import one way, and what is not drawing loads no drawing library."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "linescope"
ROOMS = (
    "lazy", "compiled", "errors", "atomic", "units", "preferences", "ties", "shown", "notes", "webbing", "taping",
    "terrain", "rig", "scenefile", "scene", "statics", "motion", "events", "clearance", "contact", "lessons", "advise",
    "words", "study", "figures", "topics", "report", "stage", "viewer", "export", "app", "notebook", "console", "cli",
)  # fmt: skip
# Rooms that may not use one that stands before them, or may use only these.
NEVER = {"scenefile": {"statics"}}
ONLY = {"terrain": {"atomic", "compiled", "lazy", "errors", "shown", "notes", "units"}}
DRAWING = ("vtk", "vtkmodules", "pyvista", "trimesh", "matplotlib", "reportlab")
FILES = sorted(PACKAGE.rglob("*.py"))


def room_of(file: Path) -> str:
    """The folder a file stands in; a topic's pictures are drawn, and its own text is set, whatever folder it is in."""
    if file.match("topics/*/picture*.py"):
        return "stage"
    if file.match("topics/*/text.py"):
        return "report"
    return file.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imported_rooms(file: Path) -> set[str]:
    """Rooms a file imports, inside functions and for type checkers as well."""
    found = set()
    package = ["linescope", *file.relative_to(PACKAGE).parts[:-1]]
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else []
            start = ".".join([*base, *([node.module] if node.module else [])])
            names = [start] if start.count(".") else [f"{start}.{alias.name}" for alias in node.names]
        else:
            continue
        found |= {name.split(".")[1] for name in names if name.startswith("linescope.")}
    return found & set(ROOMS)


def test_every_file_stands_in_a_known_room():
    assert FILES
    assert {room_of(file) for file in FILES} <= {*ROOMS, "__init__", "__main__", "_build"}


@pytest.mark.parametrize("file", FILES, ids=lambda file: str(file.relative_to(PACKAGE)))
def test_rooms_import_only_rooms_before_them(file):
    room = room_of(file)
    if room in ("__init__", "__main__", "_build"):
        return
    allowed = ONLY.get(room, set(ROOMS[: ROOMS.index(room)]) - NEVER.get(room, set())) | {room}
    assert imported_rooms(file) <= allowed


def loaded_by(statement: str) -> list[str]:
    code = f"{statement}\nimport sys\nprint([m for m in {DRAWING} if m in sys.modules])"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=PACKAGE.parent)
    return list(ast.literal_eval(run.stdout))


def test_the_package_loads_no_drawing_library():
    assert loaded_by("import linescope") == []


@pytest.mark.parametrize("room", [room for room in ROOMS if ROOMS.index(room) < ROOMS.index("stage")])
def test_physics_and_reports_load_no_drawing_library(room):
    assert (PACKAGE / room).is_dir() or (PACKAGE / f"{room}.py").is_file()
    assert loaded_by(f"import linescope.{room}") == []


def test_the_check_itself_sees_imports(tmp_path, monkeypatch):
    """A file that imports a later room, in each way Python knows, is caught."""
    monkeypatch.setattr(sys.modules[__name__], "PACKAGE", tmp_path)
    (tmp_path / "rig").mkdir()
    file = tmp_path / "rig" / "bad.py"
    for line in (
        "import linescope.statics.solve", "from linescope.statics import solve", "from linescope import statics",
        "from ..statics import solve", "from .. import statics", "def f():\n    import linescope.statics",
    ):
        file.write_text(line)
        assert imported_rooms(file) == {"statics"}, line
