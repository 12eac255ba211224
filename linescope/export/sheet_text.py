"""What stands on the briefing sheet and no computation gives: which roles, words, steps and questions, in their order.

Their messages are `sheet-...`; all of it is common practice without a source, and the crew's own rules win.
"""

from __future__ import annotations

ROLES = ("lead", "anchor-a", "anchor-b", "backup", "eyes", "spotter", "rescue", "first-aid", "airspace")
COMMS = ("stop", "slack", "tension", "off")
HOLDS = (False, False, False, False, True, False, True, False, True, False)
"""Which of the steps of rigging are hold points."""
WIND_RULE = ("wind-stop", "wind-empty", "wind-who")
NOTICE = ("notice-height", "notice-told", "notice-markers", "notice-landowner")
RESCUE = ("rescue-plan", "rescue-phone", "rescue-escape")
BUILT = ("built-tension", "built-later", "built-loops", "built-changes", "built-falls")
