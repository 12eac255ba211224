"""Names of packages that are loaded when first used; names of results that were others a version before."""

from __future__ import annotations

import importlib
import sys
import warnings
from collections.abc import Callable, Mapping
from operator import attrgetter
from typing import Any, ClassVar


def lazy(package: str, homes: Mapping[str, tuple[str, ...]]) -> Callable[[str], Any]:
    """What a package does when it is asked for a name that it has not got yet: its `__getattr__`.

    Parameters
    ----------
    package : str
        Name of the package.
    homes : mapping of str to tuple of str
        Modules, to the names they hold.
    """
    home = {name: module for module, names in homes.items() for name in names}

    def get(name: str) -> Any:
        if name not in home:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        found = getattr(importlib.import_module(home[name]), name)
        setattr(sys.modules[package], name, found)
        return found

    return get


class Renamed:
    """A result some of whose attributes have got other names: the old ones are read for one version more, and warn.

    Attributes
    ----------
    OLD : mapping of str to str
        Old names to where the value is read now, "rest.ring".
    """

    OLD: ClassVar[Mapping[str, str]] = {}

    def __getattr__(self, name: str) -> Any:
        now = type(self).OLD.get(name)
        if now is None:
            raise AttributeError(f"{type(self).__name__!r} object has no attribute {name!r}")
        warnings.warn(f"{type(self).__name__}.{name} is {now} now", DeprecationWarning, stacklevel=2)
        return attrgetter(now)(self)
