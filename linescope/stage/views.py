"""The table of views: the pictures of all topics, each in its place.

A picture is a module in its topic's folder and a `Picture` in its `Topic`.
"""

from __future__ import annotations

import importlib
from collections.abc import Iterable
from types import MappingProxyType

from linescope.stage.items import Stage
from linescope.stage.page import Brief, PictureKind
from linescope.topics import TOPICS, Picture


def _view(picture: Picture) -> PictureKind:
    def build(brief: Brief) -> Stage:
        made: Stage = importlib.import_module(picture.module).build(brief)
        return made

    return PictureKind(build=build, needs=picture.needs, per_state=picture.per_state)


def _in_order(pictures: Iterable[Picture]) -> tuple[Picture, ...]:
    """Each behind the picture it follows; what follows none of them comes last, but for the first of all."""
    left, placed = list(pictures), [""]
    found: dict[str, Picture] = {}
    while left:
        ready = [picture for picture in left if picture.after in placed]
        for picture in ready or left:
            spot = placed.index(picture.after) + 1 if picture.after in placed else len(placed)
            placed.insert(spot, picture.name)
            found[picture.name] = picture
            left.remove(picture)
            break
    return tuple(found[name] for name in placed[1:])


PICTURES = _in_order(picture for topic in TOPICS.values() for picture in topic.pictures)
VIEWS: MappingProxyType[str, PictureKind] = MappingProxyType({picture.name: _view(picture) for picture in PICTURES})
"""Name -> how it is built, and what it needs.  Names and their order make the file names of a brief."""
