"""What comes over the socket is looked at before anything is called with it: which arguments, and of what kind."""

from __future__ import annotations

import inspect
import math
import types
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Union, get_args, get_origin, get_type_hints

from linescope.errors import InputError


def fitting(function: Callable[..., Any], arguments: Sequence[Any], named: Mapping[str, Any]) -> inspect.BoundArguments:
    """The arguments of a call, if the function can be called with them.

    Parameters
    ----------
    function : callable
        Annotated in full, with types that JSON has.
    arguments, named
        As they came.

    Returns
    -------
    inspect.BoundArguments

    Raises
    ------
    InputError
        When one is missing, one too many, or one of another kind; numbers have to be finite.
    """
    try:
        bound = inspect.signature(function).bind(*arguments, **{str(name): value for name, value in named.items()})
    except TypeError as error:
        raise InputError("this cannot be asked for so", found=str(error), allowed="the arguments it has") from error
    kinds = get_type_hints(function)
    for name, value in bound.arguments.items():
        if not _is(kinds[name], value):
            raise InputError("this cannot be asked for so", key=name, found=value, allowed=str(kinds[name]))
    return bound


def _is(kind: Any, value: object) -> bool:
    if get_origin(kind) in (Union, types.UnionType):
        return any(_is(each, value) for each in get_args(kind))
    if get_origin(kind) is list:
        (each,) = get_args(kind)
        return isinstance(value, list) and all(_is(each, one) for one in value)
    if kind is float:
        return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
    if kind is int:
        return isinstance(value, int) and not isinstance(value, bool)
    return isinstance(value, kind)
