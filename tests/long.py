"""Of many cases alike a few run always, and the rest when all is asked for: `pytest --long`."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pytest


def rest_is_long(cases: Iterable[Any], *always: Any) -> list[Any]:
    """Cases of `pytest.mark.parametrize`: those that run always as they are, the rest marked `long`.

    Parameters
    ----------
    cases : iterable
    *always : object
        Of the cases: the most telling ones.
    """
    cases = list(cases)
    assert all(each in cases for each in always), "there is no such case"
    return [each if each in always else pytest.param(each, marks=pytest.mark.long) for each in cases]
