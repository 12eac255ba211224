"""What callers hand over as a rig is one, or something that has one, or the mistake is named."""

from __future__ import annotations

from linescope.errors import InputError
from linescope.rig.inputs import Inputs, RigSource
from linescope.rig.model import Rig


def checked_rig(rig: object) -> Rig:
    """The rig itself, or that of a scene.

    Raises
    ------
    InputError
        When it is something else, such as the path of a scene.
    """
    if isinstance(rig, Rig):
        return rig
    if isinstance(rig, RigSource):
        return rig.rig
    found = rig if isinstance(rig, str) else type(rig).__name__
    raise InputError(
        "a rig is needed", key="rig", found=found, allowed="a Scene, as linescope.load gives it, or its Rig"
    )


def inputs_of(rig: Rig | RigSource) -> Inputs:
    """What is known of the inputs: nothing of a rig made or changed in Python."""
    return rig.inputs if isinstance(rig, RigSource) else Inputs()
