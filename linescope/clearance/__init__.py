"""Clearance from ground and rock: exact distances, and the worst place of every sweep."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from linescope.clearance.along import Approach, Chords, minima, minimum_along
    from linescope.clearance.at_places import Measurand, Remainder, measurand_of, measured_at
    from linescope.clearance.distance import GroundIndex
    from linescope.clearance.finding import (
        AnchorZone,
        Cause,
        Clearance,
        Envelope,
        Finding,
        NoFallZone,
        RunReach,
        Verdict,
    )
    from linescope.clearance.first import FirstAnswer, FirstClearance, first_clearance
    from linescope.clearance.sweep import find_clearance
    from linescope.clearance.vertical import Drop, lowest
    from linescope.clearance.zones import no_fall_zones
else:
    from linescope.lazy import lazy

    __getattr__ = lazy(__name__, {
        "linescope.clearance.along": ("Approach", "Chords", "minima", "minimum_along"),
        "linescope.clearance.at_places": ("Remainder", "Measurand", "measured_at", "measurand_of"),
        "linescope.clearance.distance": ("GroundIndex",),
        "linescope.clearance.finding": (
            "AnchorZone", "Cause", "Clearance", "Envelope", "Finding", "NoFallZone", "RunReach", "Verdict",
        ),
        "linescope.clearance.first": ("FirstAnswer", "FirstClearance", "first_clearance"),
        "linescope.clearance.sweep": ("find_clearance",),
        "linescope.clearance.vertical": ("Drop", "lowest"),
        "linescope.clearance.zones": ("no_fall_zones",),
    })

__all__ = [
    "AnchorZone",
    "Approach",
    "Cause",
    "Chords",
    "Clearance",
    "Drop",
    "Envelope",
    "Finding",
    "FirstAnswer",
    "FirstClearance",
    "GroundIndex",
    "Measurand",
    "NoFallZone",
    "Remainder",
    "RunReach",
    "Verdict",
    "find_clearance",
    "first_clearance",
    "lowest",
    "measurand_of",
    "measured_at",
    "minima",
    "minimum_along",
    "no_fall_zones",
]
