"""Archard's wear equation, an optional translation of rub into volume; no coefficient for webbing is published.

References
----------
.. [1] J. F. Archard, "Contact and rubbing of flat surfaces", J. Appl. Phys. 24 (1953) 981-988 (from memory):
   worn volume per sliding distance Q = K W / H.
"""

from __future__ import annotations

from linescope.errors import InputError


def _positive(**values: float) -> None:
    for name, value in values.items():
        if not value > 0.0:
            raise InputError("Archard's equation needs a positive value here", key=name, found=value, allowed="> 0")


def wear_rate(load: float, hardness: float, coefficient: float) -> float:
    """Worn volume per sliding distance, Q = K W / H.

    Parameters
    ----------
    load : float
        Normal force.  [N]
    hardness : float
        Of the softer side.  [Pa]
    coefficient : float
        Archard's K.  [-]

    Returns
    -------
    float
        [m^3/m]
    """
    _positive(load=load, hardness=hardness, coefficient=coefficient)
    return coefficient * load / hardness


def rate_from_mass_loss(mass_loss: float, density: float, sliding: float) -> float:
    """Worn volume per sliding distance from a weighed test.

    Parameters
    ----------
    mass_loss : float
        [kg]
    density : float
        [kg/m^3]
    sliding : float
        Sliding distance.  [m]

    Returns
    -------
    float
        [m^3/m]
    """
    _positive(mass_loss=mass_loss, density=density, sliding=sliding)
    return mass_loss / density / sliding


def wear_coefficient(rate: float, load: float, hardness: float) -> float:
    """Archard's K from a measured wear rate.

    Parameters
    ----------
    rate : float
        [m^3/m]
    load : float
        [N]
    hardness : float
        [Pa]
    """
    _positive(rate=rate, load=load, hardness=hardness)
    return rate * hardness / load


def worn_volume(work: float, friction: float, hardness: float, coefficient: float) -> float:
    """Worn volume for friction work W_f = friction x load x way: K W_f / (friction H).

    Parameters
    ----------
    work : float
        Friction work of a ledger; with J/m the result is m^3 per metre of line.  [J]
    friction : float
        Coefficient of friction that went into it.  [-]
    hardness : float
        [Pa]
    coefficient : float
        Archard's K, of a test on this very pair of webbings.  [-]

    Returns
    -------
    float
        [m^3]
    """
    _positive(friction=friction, hardness=hardness, coefficient=coefficient)
    return coefficient * work / (friction * hardness)
