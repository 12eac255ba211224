"""Webbings: section, mass, strength, stretch, and a small library of generic classes."""

from linescope.webbing.stretch import StretchCurve
from linescope.webbing.webbing import Webbing

__all__ = ["StretchCurve", "Webbing"]
