"""The checked model of a rig, which everything downstream reads."""

from linescope.rig.given import checked_rig
from linescope.rig.model import Rig
from linescope.rig.parts import (
    BackupPlan,
    Band,
    ClearanceNeeds,
    Hold,
    InputNote,
    Joint,
    Known,
    MainPlan,
    Spacing,
    TapeZone,
    Taping,
    Walker,
    Weather,
    Wind,
)
from linescope.rig.unlikely import unlikely

__all__ = [
    "BackupPlan",
    "Band",
    "ClearanceNeeds",
    "Hold",
    "InputNote",
    "Joint",
    "Known",
    "MainPlan",
    "Rig",
    "Spacing",
    "TapeZone",
    "Taping",
    "Walker",
    "Weather",
    "Wind",
    "checked_rig",
    "unlikely",
]
