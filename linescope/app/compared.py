"""Two variants against one another: a sentence, what stands over each, and how their walkers differ along the line."""

from __future__ import annotations

import json
import struct
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from linescope.app.engine import SolvedRig
from linescope.app.variant import Variant
from linescope.export.space import unpacked
from linescope.notes import Quantity
from linescope.words import Words

Floats = NDArray[np.float64]
Json = dict[str, Any]

SAME = 0.005
"""Lengths that differ by less are the same for an eye, and forces that differ by less than this share  [m], [-]."""


def difference(variants: Mapping[str, Variant], words: Words) -> Json | None:
    """What the second variant is against the first; None while one of them has no picture.

    Parameters
    ----------
    variants : mapping
        Two, by name.
    words : Words

    Returns
    -------
    dict or None
        "verdict", "higher" (at the walker), "heads" by name, and "curve" over the walker's places, where both are
        known, in the form of a space's curve with its values as they are.
    """
    (one, first), (two, second) = variants.items()
    if first.picture is None or second.picture is None:
        return None
    heads = {
        name: {"name": words.say(f"stage-say-{name}"), "text": _head(picture, words)}
        for name, picture in ((one, first.picture), (two, second.picture))
    }
    heights = [_below(each) for each in (first.picture, second.picture)]
    up = heights[0] - heights[1]
    pull = _pull(second.picture) - _pull(first.picture)
    deeper = _deepest(second.picture) - _deepest(first.picture)
    verdict = words.say(
        "stage-compared", up=_way(up, SAME), height=Quantity(abs(up), "length"),
        more=_way(pull, SAME * _pull(first.picture)), force=Quantity(abs(pull), "force"), deep=_way(deeper, SAME),
        depth=Quantity(abs(deeper), "length"),
    )
    return {
        "verdict": verdict, "heads": heads, "curve": _curve(first, second, words),
        "higher": "" if abs(up) < SAME else words.say(
            "stage-higher", up=_way(up, SAME), height=Quantity(abs(up), "length")),
    }


def _head(picture: SolvedRig, words: Words) -> str:
    return words.say(
        "stage-head", sag=Quantity(_below(picture), "length"), depth=Quantity(_deepest(picture), "length"),
        tapes=len(picture.planned.layout.tapes),
    )


def _below(picture: SolvedRig) -> float:
    """How far the walker's feet, or without him the deepest point of the main, are below the chord.  [m]"""
    solution, rig = picture.solution, picture.rig
    points = solution.main.nodes if solution.walker_point is None else solution.walker_point[None]
    return float(np.max(rig.below_anchors(np.asarray(points))))


def _pull(picture: SolvedRig) -> float:
    return max(picture.solution.tension_a, picture.solution.tension_b)


def _deepest(picture: SolvedRig) -> float:
    bays = picture.solution.bays
    return float(np.max(np.where(bays.excess < 0.0, 0.0, bays.loop_depth)))


def _way(value: float, least: float) -> str:
    return "same" if abs(value) < least else "more" if value > 0.0 else "less"


def _curve(first: Variant, second: Variant, words: Words) -> Json | None:
    """How much higher the walker stands on the line where he mostly stands higher."""
    one, two = _sag(first), _sag(second)
    if one is None or two is None:
        return None
    (at, low), (others, high) = one, two
    up = low - np.interp(at, others, high)
    sign = 1.0 if float(np.sum(up)) >= 0.0 else -1.0
    values = sign * up
    top = float(np.max(np.abs(values), initial=0.01))
    step, _ = words.round_length(top / 2.0)
    ticks = [[float(t), words.of(float(t), "length")] for t in np.arange(0.0, top + 1e-9, step)]
    name = words.say("stage-say-second" if sign > 0.0 else "stage-say-first")
    return {"title": "", "xTicks": [], "need": None, "series": [{
        "key": "left", "plain": True, "title": words.say("stage-curve", name=name), "x": at.tolist(),
        "values": values.tolist(), "text": None, "lowest": float(values.min()), "highest": top, "ticks": ticks,
    }]}


def _sag(variant: Variant) -> tuple[Floats, Floats] | None:
    """Places of the walker and his sag there, from the whole picture; None where that is of an older plan."""
    message = variant.whole.get("message")
    if message is None or variant.picture is None:
        return None
    length = struct.unpack_from("<I", message)[0]
    head = json.loads(message[4 : 4 + length])
    if head["plan"] != variant.plan:
        return None
    found = next((one for one in (head["data"]["curve"] or {"series": []})["series"] if one["key"] == "sag"), None)
    if found is None:
        return None
    return np.asarray(found["x"]), unpacked(message[4 + length :], found["values"]).ravel()
