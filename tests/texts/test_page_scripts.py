"""The live page's scripts hold no words of their own: all are messages, and every message they ask for is there."""

from __future__ import annotations

import re

import pytest

from linescope.viewer import ROOM
from linescope.words import PSEUDO, Words

SCRIPTS = sorted((ROOM / "src" / "live").glob("*.js"))
ASKED = re.compile(r"\bt\(\s*[\"'`]([a-z-]+)[\"'`]\s*(\)|,\s*\{[^{}]*\})?")
EITHER = re.compile(r"\bt\([^()?]*(?:\([^()]*\))?[^()?]*\? \"([a-z-]+)\" : \"([a-z-]+)\"")


@pytest.mark.parametrize("language", ["en", PSEUDO, "de"])
def test_every_message_that_is_asked_for_is_there_with_its_values(language: str) -> None:
    known, asked = Words(language=language).open("stage-say-"), set()
    for script in SCRIPTS:
        text = script.read_text(encoding="utf-8")
        for message, values in ASKED.findall(text):
            asked.add(message)
            if not values:  # They come by a name.
                continue
            given = set(re.findall(r"[{,]\s*(\w+)", values))
            assert set(re.findall(r"\{ \$(\w+) \}", known[message])) <= given, (script.name, message)
        asked |= {message for pair in EITHER.findall(text) for message in pair}
    assert len(asked) > 60
    assert not asked - known.keys()


def test_what_is_put_beside_the_picture_is_no_bare_word() -> None:
    """Children and labels of elements are messages or what the program sent."""
    for script in SCRIPTS:
        text = re.sub(r"/\*.*?\*/|//[^\n]*", "", script.read_text(encoding="utf-8"), flags=re.S)
        for literal in re.findall(r"make\(\"\w+\", \{[^{}]*\}, \"([^\"]+)\"", text):
            assert not re.search(r"[A-Za-z]{2}", literal), (script.name, literal)
        for label in re.findall(r"(?:\"aria-label\"|placeholder|title): \"([^\"]*)\"", text):
            assert not re.search(r"[A-Za-z]{2}", label), (script.name, label)
