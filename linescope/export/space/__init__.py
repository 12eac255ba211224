"""The rig in space, for everything that shows it in three dimensions."""

from __future__ import annotations

from linescope.export.space.build import Space, space, write_space
from linescope.export.space.container import unpacked

__all__ = ["Space", "space", "unpacked", "write_space"]
