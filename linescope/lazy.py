"""Packages that load their names when these are first used, so that a command imports what it needs."""

from __future__ import annotations

import importlib
import sys
from collections.abc import Callable, Mapping
from typing import Any


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
