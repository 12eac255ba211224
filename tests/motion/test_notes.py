"""What is said of motion in time: alarms only where there is something to act on."""

from __future__ import annotations

import numpy as np
import pytest

from linescope.motion.notes import MotionNote, deeper, reaching, trust
from linescope.notes import Severity, Spot
from linescope.words import Words

AT = np.array([0.5, 5.0, 24.0])


def test_feet_that_come_lower_than_the_balance_are_told_with_their_places():
    (note,) = deeper(AT, np.array([4.5, 5.9, 7.9]), np.array([3.9, 6.1, 7.88]))
    assert note.kind is MotionNote.DEEPER and note.severity is Severity.CHECK
    assert note.values["places"] == (Spot(0.5),)
    assert note.values["by"].value == pytest.approx(0.6)
    assert deeper(AT, np.array([3.9, 5.9, 7.9]), np.array([3.9, 6.1, 7.9])) == ()


def test_ground_is_an_alarm_only_where_feet_come_to_it():
    (note,) = reaching(AT, np.array([np.nan, -0.2, 3.0]))
    assert note.kind is MotionNote.GROUND and note.severity is Severity.DANGER
    assert note.values["places"] == (Spot(5.0),)
    assert reaching(AT, np.array([np.nan, 0.1, 3.0])) == ()


def test_they_read_as_sentences():
    words = Words()
    text = words.note(deeper(AT, np.array([4.5, 6.9, 7.9]), np.array([3.9, 6.1, 7.88]))[0])
    assert "0.5 m" in text and "5 m" in text and "80 cm lower" in text
    assert "30 %" in words.note(trust())
