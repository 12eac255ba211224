"""Webbings: section, mass, strength, stretch, and a small library of generic classes."""

from linescope.webbing.library import LibraryClass, Ratio, from_library, library
from linescope.webbing.stretch import StretchCurve
from linescope.webbing.webbing import Webbing

__all__ = ["LibraryClass", "Ratio", "StretchCurve", "Webbing", "from_library", "library"]
