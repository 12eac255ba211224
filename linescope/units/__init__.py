"""Units live here and at the edges only: text with a unit in, SI numbers out, and back.

One pint registry serves the whole program, and is built only when a unit outside the short tables below is
met.  The factors of the tables are tested against that registry.  Inside the package every number is SI:
m, kg, s, N, rad.
"""

from linescope.units.reading import (
    DIMENSIONS,
    LONGEST,
    NUMBER,
    UNIT,
    Dimension,
    from_si,
    registry,
    system_of,
    to_si,
)
from linescope.units.shown import (
    RULER,
    Side,
    System,
    at_least,
    at_most,
    checked_system,
    column_unit,
    format_si,
    on_ruler,
    significant,
)

__all__ = [
    "DIMENSIONS",
    "LONGEST",
    "NUMBER",
    "RULER",
    "UNIT",
    "Dimension",
    "Side",
    "System",
    "at_least",
    "at_most",
    "checked_system",
    "column_unit",
    "format_si",
    "from_si",
    "on_ruler",
    "registry",
    "significant",
    "system_of",
    "to_si",
]
