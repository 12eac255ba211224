"""The served page's scripts hold no words of their own: all are messages, and every message they ask for is there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import linescope
from linescope.words import PSEUDO, Words

DATA = Path(linescope.__file__).parent / "app" / "data"
SCRIPTS = ("page.js", "stage.js", "fields.js", "answers.js")


def templates(text: str) -> list[str]:
    return re.findall(r"template: `(.*?)`,?\n\s*};", text, re.S)


@pytest.mark.parametrize("name", SCRIPTS)
def test_templates_have_no_bare_words(name):
    found = templates((DATA / name).read_text(encoding="utf-8"))
    assert found
    for template in found:
        text = re.sub(r"=\"[^\"]*\"", "=", template)  # Code and ids; what is read out is looked at below.
        nodes = re.findall(r">([^<>]*)<", re.sub(r"\{\{.*?\}\}", "", text, flags=re.S))
        assert not [node for node in nodes if re.search(r"[A-Za-z]{2}", node) and not node.strip().startswith("&")]
        read_out = r"(?<![:\w-])(?:aria-label|aria-valuetext|caption|title|placeholder)=\"([^\"]*)\""
        for label in re.findall(read_out, template):
            assert re.fullmatch(r"[\w/]+\.(toml|obj)", label), label


@pytest.mark.parametrize("language", ["en", PSEUDO, "de"])
def test_every_message_that_is_asked_for_is_there_with_its_values(language):
    known = Words(language=language).open("page-ui-")
    asked = set()
    for name in SCRIPTS:
        text = (DATA / name).read_text(encoding="utf-8")
        asked |= set(re.findall(r"\bt\((?:[\w.$ ='!&|]*\? ?)?['\"]([a-z-]+)['\"]", text))
        asked |= set(re.findall(r"\bt\([^()]*\? ['\"][a-z-]+['\"] : ['\"]([a-z-]+)['\"]", text))
        for message, values in re.findall(r"\bt\(['\"]([a-z-]+)['\"], \{([^{}]*)\}", text):
            given = set(re.findall(r"(?:^|,)\s*(\w+)", values))
            assert set(re.findall(r"\{ \$(\w+) \}", known[message])) <= given, message
    assert len(asked) > 80
    assert not {message for message in asked if not message.endswith("-")} - known.keys()
