"""What goes to the page's picture, as bytes: the JSON and the binary glTF of a rig in space, one behind the other."""

from __future__ import annotations

import json
import struct
from collections.abc import Mapping
from typing import Any

from linescope.app.beside import air
from linescope.app.engine import SolvedRig
from linescope.export.space import Space
from linescope.export.space.part import now
from linescope.notes import Term
from linescope.words import Words


def packed(made: Space, more: Mapping[str, Any]) -> bytes:
    """One message: four bytes with the length of its JSON, the JSON, filled to a multiple of four, the glTF.

    Parameters
    ----------
    made : Space
    more : mapping
        What the message is, beside the data: kind and more.
    """
    text = json.dumps({**more, "data": made.data}, ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode()
    text += b" " * (-len(text) % 4)
    return struct.pack("<I", len(text)) + text + made.glb


def stamped(message: bytes, more: Mapping[str, Any]) -> bytes:
    """The message with more said of it; its data and its glTF are not taken apart."""
    length = struct.unpack_from("<I", message)[0]
    head = json.dumps(dict(more), ensure_ascii=False, separators=(",", ":")).encode()
    text = message[4 : 4 + length].rstrip()[:-1] + b"," + head[1:]  # Of a name that stands twice the last one counts.
    text += b" " * (-len(text) % 4)
    return struct.pack("<I", len(text)) + text + message[4 + length :]


def picture_of(picture: SolvedRig, words: Words) -> Space:
    """The state that was just solved, in space."""
    return now(picture.study, words, picture.solution, title_of(picture, words))


def title_of(picture: SolvedRig, words: Words) -> str:
    """Which state a picture shows: where the walker is when nothing else was asked for, else the state and the air."""
    asked, solution = picture.asked, picture.solution
    if asked.state == "as taped" and asked.air == "still":
        return words.say("space-title-empty" if solution.walker_point is None else "space-title-walker")
    state = Term(f"frame-state-{solution.state.replace(' ', '-')}")
    where = words.say("frame-nobody")
    if picture.rig.walker is not None:
        where = words.say("frame-walker-at", place=words.place(picture.rig.walker.at))
    return words.say("page-state", state=state, where=where, air=air(picture, words))
