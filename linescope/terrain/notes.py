"""What was assumed, dropped or found odd on the way from a file to ground."""

from __future__ import annotations

from linescope.notes import Kind, Note, Quantity, Severity, Value


class GroundNote(Kind):
    """What is said of a ground; the value is the id of its message."""

    FLAT = "ground-flat"
    LEFT_OUT = "ground-left-out"
    Y_UP = "ground-y-up"
    UNIT_OR_AXIS = "ground-unit-or-axis"
    FIT_UP = "ground-fit-up"
    HOLES = "ground-grid-holes"
    DEGREES = "ground-degrees"
    BETWEEN_POINTS = "ground-between-points"
    BELOW_ANOTHER = "ground-below-another"
    LONG_EDGES = "ground-long-edges"
    PROFILE = "ground-profile"
    THINNED = "ground-thinned"
    SIEVED = "ground-sieved"
    ODD_WIDE = "ground-odd-wide"
    ODD_NARROW = "ground-odd-narrow"
    ODD_UPRIGHT = "ground-odd-upright"
    ODD_BESIDE = "ground-odd-beside"
    ODD_ABOVE = "ground-odd-above"
    ODD_BELOW = "ground-odd-below"
    ODD_LITTLE = "ground-odd-little"
    ODD_ANCHORS = "ground-odd-anchors"
    ANCHOR_BELOW = "ground-anchor-below"
    ANCHOR_ABOVE = "ground-anchor-above"
    ANCHOR_UNDER = "ground-anchor-under"
    EXCHANGED = "ground-exchanged"
    HEIGHTS_AS_PLAN = "ground-heights-as-plan"
    HEIGHTS_IN_METRES = "ground-heights-in-metres"
    SYSTEM = "ground-system"
    SYSTEM_WITH_HEIGHTS = "ground-system-with-heights"
    NO_SYSTEM = "ground-no-system"
    NOISE = "ground-noise"
    UNCLASSIFIED = "ground-unclassified"
    CLASSES = "ground-classes"
    CROPPED = "ground-cropped"
    HEIGHT_OF_GROUND = "ground-height-of-ground"
    FROM_SITE = "ground-from-site"
    UNKNOWN = "ground-unknown"
    UNUSABLE = "ground-unusable"
    OTHER_ANCHORS = "ground-other-anchors"


ODD = frozenset({
    GroundNote.ODD_WIDE, GroundNote.ODD_NARROW, GroundNote.ODD_UPRIGHT, GroundNote.ODD_BESIDE, GroundNote.ODD_ABOVE,
    GroundNote.ODD_BELOW, GroundNote.ODD_LITTLE, GroundNote.ODD_ANCHORS, GroundNote.ANCHOR_BELOW,
    GroundNote.ANCHOR_ABOVE, GroundNote.UNKNOWN,
})
"""What may come of a wrong unit or axis."""


def ground_note(kind: GroundNote, severity: Severity = Severity.BASIS, **values: Value) -> Note:
    """A note of a ground."""
    return Note(kind=kind, severity=severity, values=values)


def metres(value: float) -> Quantity:
    """A length, to the nearest. [m]"""
    return Quantity(value, "length")
