"""Docstrings against the code they stand beside: what can be checked by a machine is.

Every public function and class says what it is; its *Parameters* are those of its signature in their order, its
*Attributes* are its fields; a float or an array names its unit, an array its shape; *Raises* names errors there are.
"""

from __future__ import annotations

import builtins
import dataclasses
import importlib
import inspect
import pkgutil
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest

import linescope
import linescope.errors
from tests.test_layers import ROOMS

SECTIONS = ("Parameters", "Attributes", "Returns", "Yields", "Raises", "References", "Notes", "Examples")


@dataclass(frozen=True)
class Entry:
    """One entry of a section: its names, its type, and all its text."""

    names: tuple[str, ...]
    kind: str
    text: str


def sections(thing: Any) -> dict[str, list[str]]:
    """Lines of each section of a docstring."""
    found: dict[str, list[str]] = {}
    lines = (inspect.getdoc(thing) or "").splitlines()
    name = ""
    for k, line in enumerate(lines):
        if line in SECTIONS and k + 1 < len(lines) and re.fullmatch("-+", lines[k + 1]):
            name = line
            found[name] = []
        elif name and not re.fullmatch("-+", line):
            found[name].append(line)
    return found


def entries(thing: Any, section: str) -> list[Entry]:
    """Entries of a section, such as ``low, high : float`` with the indented lines below it."""
    found: list[Entry] = []
    for line in sections(thing).get(section, []):
        if line and not line.startswith(" "):
            names, _, kind = line.partition(" : ")
            found.append(Entry(tuple(name.strip() for name in names.split(",")), kind, line))
        elif found:
            last = found[-1]
            found[-1] = Entry(last.names, last.kind, f"{last.text} {line.strip()}")
    return found


def modules() -> Iterator[Any]:
    """Every module of the package that can be loaded here."""
    for info in pkgutil.walk_packages(linescope.__path__, "linescope."):
        if info.name.endswith("__main__"):
            continue
        try:
            yield importlib.import_module(info.name)
        except ImportError as error:  # The page's packages are an extra.
            if not info.name.startswith(("linescope.app", "linescope.export")):
                raise error


def public() -> dict[str, Any]:
    """Public functions, classes and methods by their place, each where it is defined."""
    found: dict[str, Any] = {}
    for module in modules():
        for name, thing in vars(module).items():
            if name.startswith("_") or getattr(thing, "__module__", "") != module.__name__:
                continue
            if not (inspect.isfunction(thing) or inspect.isclass(thing)):
                continue
            found[f"{module.__name__}.{name}"] = thing
            for part, member in vars(thing).items() if inspect.isclass(thing) else ():
                inner = member.fget if isinstance(member, property) else getattr(member, "__func__", member)
                if not part.startswith("_") and inspect.isfunction(inner):
                    found[f"{module.__name__}.{name}.{part}"] = inner
    return found


PUBLIC = public()


def fields(thing: Any) -> tuple[str, ...]:
    named = dataclasses.fields(thing) if dataclasses.is_dataclass(thing) else ()
    return tuple(field.name for field in named if not field.name.startswith("_"))


def arguments(thing: Any) -> tuple[str, ...]:
    return tuple(name for name in inspect.signature(thing).parameters if name not in ("self", "cls") and name[0] != "_")


def test_there_is_something_to_check() -> None:
    assert len(PUBLIC) > 500
    assert sum(bool(entries(thing, "Parameters")) for thing in PUBLIC.values()) > 150


@pytest.mark.parametrize("room", ROOMS)
def test_what_a_room_hands_out_is_documented(room: str) -> None:
    module = importlib.import_module(f"linescope.{room}")
    assert module.__doc__
    for name in getattr(module, "__all__", ()):
        thing = getattr(module, name)
        if inspect.isfunction(thing) or inspect.isclass(thing):
            assert (thing.__doc__ or "").strip() and not (thing.__doc__ or "").startswith(f"{name}("), name


@pytest.mark.parametrize("room", ROOMS)
def test_what_a_room_hands_out_tells_of_its_arguments_and_fields(room: str) -> None:
    module = importlib.import_module(f"linescope.{room}")
    for name in getattr(module, "__all__", ()):
        thing, told = getattr(module, name), sections(getattr(module, name))
        if inspect.isfunction(thing):
            assert len(arguments(thing)) < 2 or "Parameters" in told, name
        elif dataclasses.is_dataclass(thing):
            assert "Attributes" in told or "Parameters" in told, name


def problems_of(check: Any) -> list[str]:
    return [f"{place}: {problem}" for place, thing in PUBLIC.items() for problem in check(place, thing)]


def undocumented(place: str, thing: Any) -> Iterator[str]:
    text = inspect.getdoc(thing) or ""  # That of the base class for a method that says nothing itself.
    if not text.strip() or text.startswith(f"{thing.__name__}("):  # A dataclass without one gets its signature.
        yield "says nothing"


def wrong_parameters(place: str, thing: Any) -> Iterator[str]:
    """*Parameters* are the signature's, in its order."""
    told = tuple(name.lstrip("*") for entry in entries(thing, "Parameters") for name in entry.names)
    if told and told != arguments(thing):
        yield f"tells of {told}, takes {arguments(thing)}"


def wrong_attributes(place: str, thing: Any) -> Iterator[str]:
    """*Attributes* are all the fields of a dataclass, and attributes there are."""
    if not inspect.isclass(thing) or "Attributes" not in sections(thing):
        return
    told = [name for entry in entries(thing, "Attributes") for name in entry.names]
    by_base = [name for base in thing.__mro__[1:] for name in fields(base)]
    if missing := [name for name in fields(thing) if name not in (*told, *by_base)]:
        yield f"does not tell of {missing}"
    if dataclasses.is_dataclass(thing):
        there = {*fields(thing), *dir(thing)}
        if extra := [name for name in told if name not in there]:
            yield f"tells of {extra}, which are not there"


def without_unit(place: str, thing: Any) -> Iterator[str]:
    """Floats and arrays of them name their unit in brackets; arrays their shape."""
    for section in ("Parameters", "Attributes"):
        for entry in entries(thing, section):
            kind = entry.kind
            array, plain = "array" in kind, re.match(r"float\b", kind) is not None
            number = array or plain or re.search(r"\bfloat\b", kind) is not None
            number = number and not re.search(r"bool|int|str|callable|mapping", kind)
            if number and not re.search(r"\[[^\]]+\]", entry.text):
                yield f"{', '.join(entry.names)} : {kind}: no unit"
            of_all = re.search("(?i)arrays are|every array is", inspect.getdoc(thing) or "")
            if array and not of_all and not re.search(r"\([^)]*\)", kind):
                yield f"{', '.join(entry.names)} : {kind}: no shape"


def unknown_errors(place: str, thing: Any) -> Iterator[str]:
    for entry in entries(thing, "Raises"):
        for name in entry.names:
            known = getattr(linescope.errors, name, None) or getattr(builtins, name, None)
            module = inspect.getmodule(thing)
            known = known or getattr(module, name, None)
            if not (inspect.isclass(known) and issubclass(known, BaseException)):
                yield f"raises {name}, which is no error"


@pytest.mark.parametrize("check", [undocumented, wrong_parameters, wrong_attributes, without_unit, unknown_errors])
def test_docstrings(check: Any) -> None:
    found = problems_of(check)
    assert not found, "\n".join(found)
