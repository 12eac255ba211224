"""Statics of the pair: elastic catenaries joined by tapes, solved to equilibrium."""

from linescope.statics.assemble import Loading
from linescope.statics.cut_list import cut_list
from linescope.statics.plan import Plan, plan
from linescope.statics.solution import BayResults, Curve, LineShape, Proof, Solution
from linescope.statics.solve import solve

__all__ = ["BayResults", "Curve", "LineShape", "Loading", "Plan", "Proof", "Solution", "cut_list", "plan", "solve"]
