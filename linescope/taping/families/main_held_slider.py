"""The main-held slider."""

from __future__ import annotations

from linescope.taping.family import TapeFamily
from linescope.taping.holds import Holds
from linescope.taping.recipes import half_turn_slider

FAMILY = TapeFamily(
    key="main-held slider",
    can_hold=(Holds.MAIN,),
    summary="Grips the main; the backup slides through a dry zone.",
    recipe=half_turn_slider,
    steps=(
        "Cut the dry piece off the strip's end and stick it on, sticky to sticky, just after the lead.",
        "Stick the lead to the middle of the main's top; the dry zone goes round edge, underside and edge.",
        "Wind on over the beginning; lay the last turn without pull. The backup must run freely by hand.",
    ),
    slides=("The backup slides through; the tape stays where it is on the main.",),
    costs=(
        "More tape and two to four times the time of a fixed wrap.",
        "Rub is spread over the backup, and over the inside of the tape.",
    ),
    goes_wrong=(
        "Backup collects in the lowest loops or beside the walker: one grows, its neighbours shrink.",
        "A dry zone too short or off centre lets glue touch the backup: the slider holds like a fixed wrap.",
        "Torn, it stays stuck round the main and is not dropped on what is below.",
    ),
)
