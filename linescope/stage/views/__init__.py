"""The table of views: those of the whole rig, and after them, each in its place, the pictures of the topics.

A topic's picture is a module in its folder and a `Picture` in its `Topic`.
"""

from __future__ import annotations

import importlib
from collections.abc import Iterable
from types import MappingProxyType

from linescope.stage.items import Stage
from linescope.stage.views import (
    closeup,
    elevation,
    friction,
    loops,
    overview,
    strip_map,
    tension,
)
from linescope.stage.views.page import Brief, View
from linescope.topics import TOPICS, Picture


def _of_topic(picture: Picture) -> View:
    def build(brief: Brief) -> Stage:
        made: Stage = importlib.import_module(picture.module).build(brief)
        return made

    return View(build=build, needs=picture.needs, per_state=False)


def _in_order(views: dict[str, View], pictures: Iterable[Picture]) -> dict[str, View]:
    """Views with the pictures of topics after those they follow; one that follows none of them comes last."""
    names, found = list(views), dict(views)
    for picture in pictures:
        names.insert(names.index(picture.after) + 1 if picture.after in names else len(names), picture.name)
        found[picture.name] = _of_topic(picture)
    return {name: found[name] for name in names}


PICTURES = tuple(picture for topic in TOPICS.values() for picture in topic.pictures)
VIEWS: MappingProxyType[str, View] = MappingProxyType(_in_order(
    {
        "overview": View(build=overview.build),
        "elevation": View(build=elevation.build),
        "tension": View(build=tension.build, needs=("meter",), per_state=False),
        "loops-from-a": View(build=loops.build, needs=("standing",), per_state=False),
        "closeup": View(build=closeup.build),
        "tape-map": View(build=strip_map.build, needs=("standing",), per_state=False),
        "friction": View(build=friction.build, needs=("let_go",), per_state=False),
    },
    PICTURES,
))
"""Name -> how it is built, and what it needs.  Names and their order make the file names of a brief."""
