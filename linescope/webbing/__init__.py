"""Webbings: section, mass, strength, stretch, and a small library of generic classes."""

from linescope.webbing.library import LibraryClass, from_library, library
from linescope.webbing.stretch import StretchCurve
from linescope.webbing.webbing import Webbing

__all__ = ["LibraryClass", "StretchCurve", "Webbing", "from_library", "library"]
