"""All messages of a language with made-up values, as the Fluent library reads them."""

from __future__ import annotations

import datetime
import importlib.resources
import itertools
from collections.abc import Iterator
from functools import cache
from typing import Any

from fluent.runtime import FluentResource
from fluent.syntax import ast
from fluent.syntax.visitor import Visitor

DAY = datetime.date(2026, 3, 1)


@cache
def resource(language: str, stem: str) -> Any:
    """One message file, parsed by the library."""
    file = importlib.resources.files("linescope.words") / language / f"{stem}.ftl"
    return FluentResource(file.read_text(encoding="utf-8"))


class _Names(Visitor):  # type: ignore[misc, unused-ignore]
    def __init__(self) -> None:
        self.names: set[str] = set()
        self.choices: dict[str, set[str]] = {}
        self.references: list[str] = []

    def visit_VariableReference(self, node: Any) -> None:
        self.names.add(node.id.name)

    def visit_MessageReference(self, node: Any) -> None:
        self.references.append(node.id.name)

    visit_TermReference = visit_FunctionReference = visit_MessageReference

    def visit_SelectExpression(self, node: Any) -> None:
        keys = {v.key.name if isinstance(v.key, ast.Identifier) else v.key.value for v in node.variants}
        self.choices.setdefault(node.selector.id.name, set()).update(keys)
        self.generic_visit(node)


def patterns(language: str, stem: str) -> Iterator[tuple[str, str, Any, _Names]]:
    """Message, attribute, pattern and what it names, of a file."""
    for entry in resource(language, stem).body:
        if isinstance(entry, ast.Message):
            every = [("", entry.value)] if entry.value else []
            every += [(each.id.name, each.value) for each in entry.attributes]
            for attribute, pattern in every:
                names = _Names()
                names.visit(pattern)
                yield entry.id.name, attribute, pattern, names


def made_up(names: _Names) -> Iterator[dict[str, Any]]:
    """Values for every choice there is: text where a message only writes, numbers for plurals, ids for words."""
    plural = {"zero", "one", "two", "few", "many", "other"}
    kinds = []
    for name in sorted(names.names):
        keys = names.choices.get(name)
        if keys is None:
            kinds.append([f"<{name}>"])
        elif keys <= plural:
            kinds.append([1, 2, 5, 21])
        else:
            kinds.append([int(key) if key.isdigit() else key for key in sorted(keys)])
    for values in itertools.product(*kinds):
        yield dict(zip(sorted(names.names), values, strict=True))
