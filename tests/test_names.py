"""One name, one meaning: no two classes share a name, and no public function is named by a filler word."""

from __future__ import annotations

import ast
import re
from collections import defaultdict
from pathlib import Path

import linescope

PACKAGE = Path(linescope.__file__).parent
FILLERS = {"at", "found", "give", "gone", "nothing", "of", "one", "said", "told"}
NO_CONTENT = {"common", "helpers", "misc", "util", "utils", "answers", "longer", "sending"}


def definitions():
    for path in sorted(PACKAGE.rglob("*.py")):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, (ast.ClassDef, ast.FunctionDef)) and not node.name.startswith("_"):
                yield path.relative_to(PACKAGE), node


def test_a_class_has_a_name_of_its_own():
    homes = defaultdict(list)
    for path, node in definitions():
        if isinstance(node, ast.ClassDef):
            homes[node.name].append(str(path))
    twice = {name: paths for name, paths in homes.items() if len(paths) > 1}
    assert len(homes) > 300 and not twice


def test_a_function_says_what_it_gives():
    empty = [(str(path), node.name) for path, node in definitions() if node.name in FILLERS]
    assert not empty
    assert not [path.name for path in PACKAGE.rglob("*.py") if path.stem in NO_CONTENT]


def test_every_word_of_the_glossary_is_explained_once():
    text = (PACKAGE.parent / "assets" / "GLOSSARY.md").read_text("utf-8")
    rows = re.findall(r"^\| ([^|]+) \| ([^|]+) \|$", text, re.M)
    words = [word.strip() for name, meaning in rows if meaning.strip("- ") != "meaning" for word in name.split(",")]
    words = [word for word in words if word.strip("-")]
    assert len(words) > 40 and len(words) == len(set(words))
