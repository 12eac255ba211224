"""Where main and backup touch, and where rub collects: intervals, ledgers, styles side by side."""

from linescope.contact.archard import rate_from_mass_loss, wear_coefficient, wear_rate, worn_volume
from linescope.contact.compare import compare
from linescope.contact.find import Rub, find_rub
from linescope.contact.ledger import Ledger
from linescope.contact.places import Place
from linescope.contact.rub import Pairs, slide_rub, swing_rub
from linescope.contact.styles import Comparison, Style
from linescope.contact.touching import Touch, Touching, WindTouching, find_touches, find_wind_touches

__all__ = [
    "Comparison",
    "Ledger",
    "Pairs",
    "Place",
    "Rub",
    "Style",
    "Touch",
    "Touching",
    "WindTouching",
    "compare",
    "find_rub",
    "find_touches",
    "find_wind_touches",
    "rate_from_mass_loss",
    "slide_rub",
    "swing_rub",
    "wear_coefficient",
    "wear_rate",
    "worn_volume",
]
