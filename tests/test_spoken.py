"""Physics holds no sentences and formats nothing: what people read is said by `words` and the surfaces."""

from __future__ import annotations

import pytest

from tests.spoken import formatting_and_sentences
from tests.test_layers import FILES, PACKAGE, room_of

PHYSICS = (
    "notes", "webbing", "taping", "terrain", "rig", "statics", "motion", "events", "clearance", "contact", "study",
    "figures",
)  # fmt: skip
SHOWN_TO_NOBODY = (
    "taping/families", "terrain/formats.py", "motion/expected.py", "taping/between.py", "rig/wishes.py",
)  # fmt: skip
"""Descriptions that only schema, help and errors print, names of cases, and of figures in scene files."""
FILES_OF_PHYSICS = [file for file in FILES if room_of(file) in PHYSICS]


@pytest.mark.parametrize("file", FILES_OF_PHYSICS, ids=lambda file: str(file.relative_to(PACKAGE)))
def test_physics_formats_no_number(file):
    formatted, _ = formatting_and_sentences(file)
    assert not formatted, f"lines {formatted}"


@pytest.mark.parametrize("file", FILES_OF_PHYSICS, ids=lambda file: str(file.relative_to(PACKAGE)))
def test_physics_holds_no_sentence(file):
    name = str(file.relative_to(PACKAGE))
    if name.startswith(SHOWN_TO_NOBODY):
        return
    _, sentences = formatting_and_sentences(file)
    assert not sentences, f"lines {sentences}"
