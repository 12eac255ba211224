"""Dotted paths of keys, spelled as the loader spells them: taping.zones[1].spacing.every counts from 1."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from linescope.errors import InputError

KeyStep = str | int
_STEP = re.compile(r"([A-Za-z_][A-Za-z0-9_]*)((?:\[[1-9][0-9]{0,4}\])*)")
LONGEST = 200  # Characters.


def steps_of(path: str) -> tuple[KeyStep, ...]:
    """A path as names and places counted from 0: ("taping", "zones", 0, "spacing", "every").

    Raises
    ------
    InputError
        When it is not a path.
    """
    steps: list[KeyStep] = []
    for part in path.split(".") if len(path) <= LONGEST else [""]:
        found = _STEP.fullmatch(part)
        if found is None:
            raise InputError("this is not the path of a key", found=path, allowed="such as main.tension")
        steps.append(found[1])
        steps += [int(number) - 1 for number in re.findall(r"[0-9]+", found[2])]
    return tuple(steps)


def value_in(data: object, steps: Sequence[KeyStep]) -> Any:
    """What stands at a path; None where there is nothing."""
    for step in steps:
        if isinstance(step, int):
            if not isinstance(data, Sequence) or isinstance(data, str) or step >= len(data):
                return None
            data = data[step]
        else:
            if not isinstance(data, Mapping) or step not in data:
                return None
            data = data[step]
    return data


def covers(path: str, key: str) -> bool:
    """Whether `key` is `path` or lies inside it."""
    return key == path or key.startswith((f"{path}.", f"{path}["))
