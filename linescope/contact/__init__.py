"""Where main and backup touch, and what rubs where: intervals, ledgers of faces, styles side by side."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from linescope.contact.archard import rate_from_mass_loss, wear_coefficient, wear_rate, worn_volume
    from linescope.contact.ledger import Face, Ledger, RubCause, Tracks
    from linescope.contact.styles import Comparison, Style, compare
    from linescope.contact.touching import (
        Touch,
        Touching,
        TouchState,
        WindTouching,
        find_touch_states,
        find_touches,
        find_wind_touches,
    )
    from linescope.contact.wear import InspectedPlace, Wear, WornTape, find_wear, first_wear
else:
    from linescope.lazy import lazy

    __getattr__ = lazy(__name__, {
        "linescope.contact.archard": ("rate_from_mass_loss", "wear_coefficient", "wear_rate", "worn_volume"),
        "linescope.contact.ledger": ("RubCause", "Face", "Ledger", "Tracks"),
        "linescope.contact.styles": ("Comparison", "Style", "compare"),
        "linescope.contact.touching": (
            "Touch", "TouchState", "Touching", "WindTouching", "find_touch_states", "find_touches", "find_wind_touches",
        ),
        "linescope.contact.wear": ("InspectedPlace", "Wear", "WornTape", "find_wear", "first_wear"),
    })

__all__ = [
    "Comparison",
    "Face",
    "InspectedPlace",
    "Ledger",
    "RubCause",
    "Style",
    "Touch",
    "TouchState",
    "Touching",
    "Tracks",
    "Wear",
    "WindTouching",
    "WornTape",
    "compare",
    "find_touch_states",
    "find_touches",
    "find_wear",
    "find_wind_touches",
    "first_wear",
    "rate_from_mass_loss",
    "wear_coefficient",
    "wear_rate",
    "worn_volume",
]
