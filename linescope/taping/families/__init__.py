"""The table of taping families.  A new family is one file here and one line in `_MODULES`."""

from __future__ import annotations

from types import MappingProxyType

from linescope.taping.families import (
    backup_held_slider,
    cloth_patch_slider,
    fixed_wrap,
    main_held_slider,
    tucked_tab_slider,
)
from linescope.taping.family import TapeFamily

_MODULES = (fixed_wrap, main_held_slider, backup_held_slider, tucked_tab_slider, cloth_patch_slider)

FAMILIES: MappingProxyType[str, TapeFamily] = MappingProxyType(
    {module.FAMILY.key: module.FAMILY for module in _MODULES}
)
