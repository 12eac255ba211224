"""The checked model of a rig, which everything downstream reads."""

from linescope.rig.model import (
    BackupPlan,
    Band,
    ClearanceNeeds,
    Hold,
    InputNote,
    Joint,
    MainPlan,
    Rig,
    Spacing,
    TapeZone,
    Taping,
    Walker,
    Weather,
    Wind,
)

__all__ = [
    "BackupPlan",
    "Band",
    "ClearanceNeeds",
    "Hold",
    "InputNote",
    "Joint",
    "MainPlan",
    "Rig",
    "Spacing",
    "TapeZone",
    "Taping",
    "Walker",
    "Weather",
    "Wind",
]
