"""The checked model of a rig, which everything downstream reads."""

from linescope.rig.anchors import Anchors
from linescope.rig.checked import checked_rig, inputs_of
from linescope.rig.inputs import Given, InputNote, InputPhrase, Inputs, InputValue, RigSource, phrase
from linescope.rig.model import Rig
from linescope.rig.parts import (
    BackupPlan,
    Band,
    ClearanceNeeds,
    Hold,
    InMotion,
    Joint,
    Known,
    MainPlan,
    Spacing,
    TapeZone,
    Taping,
    Use,
    Walker,
    Weather,
    Wind,
    WrappedBay,
)
from linescope.rig.readings import Reading
from linescope.rig.unlikely import unlikely
from linescope.rig.wishes import WISHED, Limits, Wish, Wished

__all__ = [
    "WISHED",
    "Anchors",
    "BackupPlan",
    "Band",
    "ClearanceNeeds",
    "Given",
    "Hold",
    "InMotion",
    "InputNote",
    "InputPhrase",
    "InputValue",
    "Inputs",
    "Joint",
    "Known",
    "Limits",
    "MainPlan",
    "Reading",
    "Rig",
    "RigSource",
    "Spacing",
    "TapeZone",
    "Taping",
    "Use",
    "Walker",
    "Weather",
    "Wind",
    "Wish",
    "Wished",
    "WrappedBay",
    "checked_rig",
    "inputs_of",
    "phrase",
    "unlikely",
]
