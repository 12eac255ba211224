"""Message files: every message stands where it is looked for, and reads as the Fluent library reads it."""

from __future__ import annotations

import importlib
import pkgutil

import pytest
from fluent.runtime import FluentBundle
from fluent.syntax import ast

import linescope
from linescope.errors import InputError
from linescope.notes import Kind
from linescope.study import Study
from linescope.words import PSEUDO, Words, files
from tests.words.messages import made_up, patterns, resource

LANGUAGES = files.languages()
FILES = [
    (language, stem) for language in LANGUAGES for stem in sorted(files.stems()) if files.messages(language, stem)
]


def test_english_has_every_file_and_another_language_has_none_beside():
    assert "en" in LANGUAGES and "de" in LANGUAGES
    assert {stem for _, stem in FILES} == files.stems()


@pytest.mark.parametrize(("language", "stem"), FILES)
def test_the_library_reads_the_file_without_leaving_anything_over(language, stem):
    wrong = [entry.content for entry in resource(language, stem).body if isinstance(entry, ast.Junk)]
    assert not wrong
    names = [(name, attribute) for name, attribute, _, _ in patterns(language, stem)]
    assert len(names) == len(set(names)), "a message stands twice"
    assert set(files.messages(language, stem)) == set(names)


@pytest.mark.parametrize(("language", "stem"), FILES)
def test_a_message_stands_in_the_file_its_name_begins_with(language, stem):
    for name, _, _, names in patterns(language, stem):
        assert files.stem_of(name) == stem, name
        assert not names.references, f"{name}: a message takes its words as values"


@pytest.mark.parametrize(("language", "stem"), FILES)
def test_every_message_reads_as_the_library_says_it(language, stem):
    """Peer: fluent.runtime, with all of a file in one bundle and counts as text."""
    bundle = FluentBundle([language], use_isolating=False)
    bundle.add_resource(resource(language, stem))
    words, pseudo = Words("metric", language), Words("feet", PSEUDO)
    for name, attribute, _, names in patterns(language, stem):
        for values in made_up(names):
            message = bundle.get_message(name)
            pattern = message.attributes[attribute] if attribute else message.value
            expected, errors = bundle.format_pattern(pattern, values)
            assert not errors
            assert words.say(name, attribute, **values) == expected, name
            left = expected
            for value in values.values():
                left = left.replace(str(value), "")
            assert not left.strip() or "⟦" in pseudo.say(name, attribute, **values)


@pytest.mark.parametrize(("language", "stem"), [each for each in FILES if each[0] != "en"])
def test_a_translation_names_the_values_of_its_original_and_no_others(language, stem):
    english = {key: pattern.names for key, pattern in files.messages("en", stem).items()}
    for key, pattern in files.messages(language, stem).items():
        assert key in english and pattern.names <= english[key]


def kinds() -> list[type[Kind]]:
    for module in pkgutil.walk_packages(linescope.__path__, "linescope."):
        if module.name.split(".")[1] not in ("app", "export", "stage", "__main__", "cli"):
            importlib.import_module(module.name)
    return Kind.__subclasses__()


def test_every_kind_of_note_has_its_message():
    found = kinds()
    assert len(found) >= 3
    for kind in found:
        for each in kind:
            assert Words().has(each.value), each


def test_every_result_has_words_for_being_computed():
    words = Words()
    assert [name for name in Study.RESULTS if words.named("doing", name) == name] == []


def test_what_is_missing_raises():
    with pytest.raises(InputError, match="no such message"):
        Words().say("wind-nothing-of-that-name")
    with pytest.raises(InputError, match=r"value of this message is missing.*gust"):
        Words().say("wind-above", count=1, bays="1")
    with pytest.raises(InputError, match="without a dimension"):
        Words().say("list-and", first=0.5, last="x")
    with pytest.raises(InputError, match="language"):
        Words(language="xx")


def test_a_language_is_taken_from_the_environment(monkeypatch):
    monkeypatch.setenv("LINESCOPE_LANGUAGE", "de")
    assert Words().language == "de"
    assert Words(language="en").language == "en"


def test_english_stands_in_where_a_language_lacks_a_message():
    assert not files.messages("de", "main_gone")
    assert Words(language="de").say("main-gone-short") == Words(language="en").say("main-gone-short")


def test_what_the_user_typed_is_marked_in_the_pseudo_language():
    words = Words(language=PSEUDO)
    assert words.verbatim("Heron") == "⟪Heron⟫"
    assert words.say("list-and", first="1 m", last=words.say("none")) == "1 m⟦ and ⟧⟦none⟧"


def test_one_topic_is_whole_in_german():
    assert not set(files.messages("en", "wind")) - set(files.messages("de", "wind"))
