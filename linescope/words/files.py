"""Message files: found by the beginning of a message's name, read when the first of them is asked for.

The files are Fluent.  A file is cut into its messages as text, in a millisecond; a message that holds nothing but text
and values is written from there, and only one that chooses (plurals, words of a fixed set) is handed to the library.
"""

from __future__ import annotations

import functools
import importlib.resources
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

COMMON = "common"
SHOWN = "shown_"
"""Before the name of a value where it is written; without it, where it is chosen by."""

_ENTRY = re.compile(r"([A-Za-z][\w-]*)[ ]*=")
_ATTRIBUTE = re.compile(r"\s+\.([A-Za-z][\w-]*)[ ]*=")
_VALUE = re.compile(r"\{\s*\$([A-Za-z][\w-]*)\s*\}")
_NAMED = re.compile(r"\$([A-Za-z][\w-]*)")


@dataclass(frozen=True, slots=True)
class Pattern:
    """What stands behind one name or attribute.

    Attributes
    ----------
    source : str
        As in the file.
    language : str
        Of the file: its plural rules count.
    parts : tuple of str
        Text, name, text, ... of a message without choices; empty for one that the library must read.
    names : frozenset of str
        Values that it names.
    """

    source: str
    language: str
    parts: tuple[str, ...]
    names: frozenset[str]


@functools.cache
def stems() -> frozenset[str]:
    """Names of the message files, without ending; English has all of them."""
    folder = importlib.resources.files("linescope.words") / "en"
    return frozenset(file.name.removesuffix(".ftl") for file in folder.iterdir() if file.name.endswith(".ftl"))


@functools.cache
def stem_of(name: str) -> str:
    """The file of a message: the longest whose name the message's own begins with, else the common one."""
    words = name.split("-")
    found = ("_".join(words[:count]) for count in range(len(words), 0, -1))
    return next((stem for stem in found if stem in stems()), COMMON)


@functools.cache
def languages() -> tuple[str, ...]:
    """Languages that have message files."""
    folder = importlib.resources.files("linescope.words")
    return tuple(sorted(each.name for each in folder.iterdir() if each.is_dir() and not each.name.startswith("_")))


@functools.cache
def messages(language: str, stem: str) -> Mapping[tuple[str, str], Pattern]:
    """All patterns of one file by message and attribute ("" for the message itself); empty when there is no file."""
    file = importlib.resources.files("linescope.words") / language / f"{stem}.ftl"
    return cut(file.read_text(encoding="utf-8"), language) if file.is_file() else {}


def cut(text: str, language: str) -> dict[tuple[str, str], Pattern]:
    """The text of a message file as patterns by message and attribute."""
    lines: dict[tuple[str, str], list[str]] = {}
    name, here = "", None
    for line in text.splitlines():
        if line[:1] not in ("", " ", "\t", "}", "#"):
            entry = _ENTRY.match(line)
            if entry is None:
                raise ValueError(f"no message begins so: {line!r}")
            name = entry[1]
            here = lines.setdefault((name, ""), [])
            line = line[entry.end() :]
        elif line.startswith("#"):
            here = None
        elif attribute := _ATTRIBUTE.match(line):
            here = lines.setdefault((name, attribute[1]), [])
            line = line[attribute.end() :]
        if here is not None:
            here.append(line)
    return {key: _pattern("\n".join(found), language) for key, found in lines.items() if "".join(found).strip()}


def _pattern(source: str, language: str) -> Pattern:
    parts = tuple(_VALUE.split(source.strip()))
    plain = "\n" not in source.strip() and not any("{" in text or "}" in text for text in parts[::2])
    return Pattern(
        source=source.strip("\n"), language=language, parts=parts if plain else (),
        names=frozenset(_NAMED.findall(source)),
    )


def find(language: str, name: str, attribute: str) -> Pattern | None:
    """The pattern of a message in a language, with English where it has none; None when there is no such message."""
    stem = stem_of(name)
    for tongue in dict.fromkeys((language, "en")):
        found = messages(tongue, stem).get((name, attribute))
        if found is not None:
            return found
    return None


@functools.cache
def _bundle(language: str) -> Any:
    from fluent.runtime import FluentBundle

    return FluentBundle([language], use_isolating=False)


@functools.cache
def _read(pattern: Pattern) -> Any:
    """A pattern as the library reads it, its written values apart from those it chooses by."""
    from fluent.runtime import FluentBundle, FluentResource

    source = _VALUE.sub(rf"{{ ${SHOWN}\1 }}", pattern.source)
    source = "\n".join(f"    {line}" if line.startswith("}") else line for line in source.split("\n"))
    bundle = FluentBundle([pattern.language], use_isolating=False)
    bundle.add_resource(FluentResource(f"it ={source}"))
    return bundle.get_message("it").value


def choose(pattern: Pattern, values: Mapping[str, Any]) -> str:
    """The text of a pattern that chooses.

    Raises
    ------
    LookupError
        When a value is missing.
    """
    text, wrong = _bundle(pattern.language).format_pattern(_read(pattern), dict(values))
    if wrong:
        raise LookupError(str(wrong[0]))
    return str(text)
