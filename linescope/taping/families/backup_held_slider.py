"""The backup-held slider."""

from __future__ import annotations

from linescope.taping.family import TapeFamily
from linescope.taping.holds import Holds
from linescope.taping.recipes import half_turn_slider

FAMILY = TapeFamily(
    key="backup-held slider",
    can_hold=(Holds.BACKUP,),
    summary="Grips the backup; the main slides through a dry zone.",
    recipe=half_turn_slider,
    steps=(
        "Cut the dry piece off the strip's end and stick it on, sticky to sticky, just after the lead.",
        "Stick the lead to the middle of the backup's underside; the dry zone goes round edge, top and edge.",
        "Wind on over the beginning; lay the last turn without pull. The main must run freely by hand.",
    ),
    slides=("The main slides through; loops keep their length while the tapes wander along the main.",),
    costs=(
        "More tape and two to four times the time of a fixed wrap.",
        "The rubbing falls on the tensioned main.",
    ),
    goes_wrong=(
        "Tapes wander to the low point and bunch; where two touch, their loop hangs folded and deep.",
        "A dry zone that is too short or off centre glues itself to the main.",
        "Torn, it hangs on the backup and can work loose and fall.",
    ),
)
