"""Motion in time of the pair: falls, the loss of the main, bouncing, gusts.

Statics says where a rig comes to rest; this room says what happens on the way.  Both lines are chains of masses on
pieces that pull along their own curves, stiffer and with loss when they are pulled fast; air pushes on what moves
through it; the ring and tapes that slide run with friction; tapes go at a strength; leash and body give.
"""

from linescope.motion.bounce import Bounce, bounce
from linescope.motion.falls import Ground, InTime, leash_fall_in_time, main_gone_in_time, recoil
from linescope.motion.gust import Gust, gust
from linescope.motion.inputs import Choice, MotionInputs
from linescope.motion.outcome import Outcome
from linescope.motion.run import Account, History, Motion

__all__ = [
    "Account", "Bounce", "Choice", "Ground", "Gust", "History", "InTime", "Motion", "MotionInputs", "Outcome", "bounce",
    "gust", "leash_fall_in_time", "main_gone_in_time", "recoil",
]  # fmt: skip
