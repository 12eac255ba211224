"""The topics in their order."""

from __future__ import annotations

from linescope.topics.clearance import CLEARANCE
from linescope.topics.falls import FALLS
from linescope.topics.loops import TOPIC as LOOPS
from linescope.topics.main_gone import MAIN_GONE
from linescope.topics.motion import MOTION
from linescope.topics.readings import TOPIC as READINGS
from linescope.topics.sliding import TOPIC as SLIDING
from linescope.topics.state import TOPIC as STATE
from linescope.topics.styles import STYLES
from linescope.topics.tapes import TAPES
from linescope.topics.tension import TOPIC as TENSION
from linescope.topics.topic import Topic
from linescope.topics.touch import TOUCH
from linescope.topics.wear import WEAR
from linescope.topics.wind import WIND

TOPICS: dict[str, Topic] = {topic.name: topic for topic in (
    STATE, TENSION, LOOPS, SLIDING, CLEARANCE, FALLS, MAIN_GONE, MOTION, WIND, TOUCH, WEAR, STYLES, TAPES,
    READINGS,
)}
GROUPS = tuple(group for topic in TOPICS.values() if topic is not CLEARANCE for group in topic.groups)
"""Of `linescope figures`; distances to the ground have a command of their own."""

__all__ = [
    "CLEARANCE", "FALLS", "GROUPS", "LOOPS", "MAIN_GONE", "MOTION", "READINGS", "SLIDING", "STATE", "STYLES", "TAPES",
    "TENSION", "TOPICS", "TOUCH", "WEAR", "WIND",
]  # fmt: skip
