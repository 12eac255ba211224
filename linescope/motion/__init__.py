"""Motion in time of the pair: falls, the loss of the main, bouncing, gusts.

Statics says where a rig comes to rest; this room says what happens on the way.  Both lines are chains of masses on
pieces that pull along their own curves, stiffer and with loss when they are pulled fast; air pushes on what moves
through it; the ring and tapes that slide run with friction; tapes go at a strength; leash and body give.
"""

from linescope.motion.bounce import Bounce, bounce
from linescope.motion.falls import InTime, leash_fall_in_time, main_gone_in_time, recoil
from linescope.motion.ground import Touchable
from linescope.motion.gust import Gust, gust
from linescope.motion.inputs import MotionInputs, RunInputs
from linescope.motion.outcome import Outcome
from linescope.motion.run import Account, Motion, TimeSeries

__all__ = [
    "Account",
    "Bounce",
    "Gust",
    "InTime",
    "Motion",
    "MotionInputs",
    "Outcome",
    "RunInputs",
    "TimeSeries",
    "Touchable",
    "bounce",
    "gust",
    "leash_fall_in_time",
    "main_gone_in_time",
    "recoil",
]  # fmt: skip
