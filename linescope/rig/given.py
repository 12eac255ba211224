"""What callers hand over as a rig is one, or the mistake is named."""

from __future__ import annotations

from linescope.errors import InputError
from linescope.rig.model import Rig


def checked_rig(rig: object) -> Rig:
    """The rig itself.

    Raises
    ------
    InputError
        When it is something else, such as the path of a scene.
    """
    if isinstance(rig, Rig):
        return rig
    found = rig if isinstance(rig, str) else type(rig).__name__
    raise InputError("a rig is needed", key="rig", found=found, allowed="a Rig, as linescope.load gives it")
