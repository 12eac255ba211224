"""Where a file of the package formats numbers or holds sentences; errors, docstrings and names are none."""

from __future__ import annotations

import ast
import re
from pathlib import Path

FORMATTING = {"format_si", "at_most", "at_least", "column_unit", "significant", "format", "show", "show_length"}
ERRORS = re.compile(r"(Error|Exception|Equilibrium|NotSolved|NotReached|NotBounded|Warning|Stopped|_fault|refuse)$")
OF_AN_ERROR = re.compile(r"(^|_)(allowed|problem|wish)$", re.IGNORECASE)
# Four words in a row; names and keys have fewer.
SENTENCE = re.compile(r"[A-Za-z]{2,}[,;:]? [a-z]{1,}[,;:]? [a-z]{2,} [a-z]{2,}")


def _name(node: ast.expr) -> str:
    return node.id if isinstance(node, ast.Name) else node.attr if isinstance(node, ast.Attribute) else ""


class _Finder(ast.NodeVisitor):
    def __init__(self) -> None:
        self.formatted: list[int] = []
        self.sentences: list[int] = []
        self.excused = 0

    def _within(self, node: ast.AST) -> None:
        self.excused += 1
        self.generic_visit(node)
        self.excused -= 1

    def visit_Raise(self, node: ast.Raise) -> None:
        self._within(node)

    def visit_Assert(self, node: ast.Assert) -> None:
        self._within(node)

    def visit_Assign(self, node: ast.Assign) -> None:
        # Parts of an error, put together before it is raised.
        if all(isinstance(target, ast.Name) and OF_AN_ERROR.search(target.id) for target in node.targets):
            self._within(node)
        else:
            self.generic_visit(node)

    def visit_Expr(self, node: ast.Expr) -> None:
        if not (isinstance(node.value, ast.Constant) and isinstance(node.value.value, str)):
            self.generic_visit(node)

    def visit_Call(self, node: ast.Call) -> None:
        name = _name(node.func)
        if ERRORS.search(name):
            self._within(node)
            return
        if name in FORMATTING and not self.excused:
            self.formatted.append(node.lineno)
        self.generic_visit(node)

    def visit_FormattedValue(self, node: ast.FormattedValue) -> None:
        if node.format_spec is not None and not self.excused:
            self.formatted.append(node.lineno)
        self.visit(node.value)

    def visit_JoinedStr(self, node: ast.JoinedStr) -> None:
        text = "".join(part.value if isinstance(part, ast.Constant) else "x" for part in node.values)
        if SENTENCE.search(text) and not self.excused:
            self.sentences.append(node.lineno)
        for part in node.values:
            if isinstance(part, ast.FormattedValue):
                self.visit(part)

    def visit_Constant(self, node: ast.Constant) -> None:
        if isinstance(node.value, str) and SENTENCE.search(node.value) and not self.excused:
            self.sentences.append(node.lineno)


def formatting_and_sentences(file: Path) -> tuple[list[int], list[int]]:
    """Lines that format a number for people, and lines that hold words in a row."""
    finder = _Finder()
    finder.visit(ast.parse(file.read_text(encoding="utf-8")))
    return finder.formatted, finder.sentences
