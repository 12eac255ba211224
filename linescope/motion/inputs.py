"""What motion depends on besides the rig: each with its range, and as one choice out of all ranges for one run."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from linescope.rig.parts import Band

# Mass of the leash ring itself; a walker's mass is given with it [kg].
RING_MASS = 0.25
# Half a person, upright or hanging, in air moving past: drag coefficient x area [m^2]; from memory.
BODY_AREA = 0.5


@dataclass(frozen=True, kw_only=True)
class Choice:
    """The inputs of one run.

    Attributes
    ----------
    stiffness_factor : float
        Stiffness of webbing pulled fast over that of its own slow curve.  [-]
    air : float
        Drag coefficient of a strip in motion.  [-]
    tape_strength : float
        Force between the lines at which a tape goes.  [N]
    leash_modulus : float
        Force per strain of the leash.  [N]
    body_stiffness : float
        Of body and harness.  [N/m]
    leaving : float
        How long his weight takes to leave the line; 0: at once.  [s]
    ring_friction : float
        [-]
    viscosity : float
        nu: part of the method, spreads what the mesh cannot carry.  [-]
    leash_damping : float
        Share of critical, of body on leash.  [-]
    body_area : float
        Drag coefficient x area of the body.  [m^2]
    """

    stiffness_factor: float = 1.6
    air: float = 1.2
    tape_strength: float = 600.0
    leash_modulus: float = 24e3
    body_stiffness: float = 30e3
    leaving: float = 0.1
    ring_friction: float = 0.1
    viscosity: float = 0.1
    leash_damping: float = 0.1
    body_area: float = BODY_AREA

    def undamped(self) -> Choice:
        """Without loss but the mesh's own viscosity: what energy bounds are compared with."""
        return replace(
            self, stiffness_factor=1.0, air=0.0, tape_strength=float("inf"), leaving=0.0, ring_friction=0.0,
            leash_damping=0.0, body_area=0.0,
        )


@dataclass(frozen=True, kw_only=True)
class MotionInputs:
    """The ranges; `Choice` says what each is.

    Attributes
    ----------
    stiffness_factor : Band
        A first slow pull is the softest; 1.3 to 2.2 times stiffer in motion.  [-]
    air : Band
        [-]
    tape_strength : Band
        Four wraps of tape: a guess.  [N]
    leash_modulus : Band
        24 kN is a rope that gives 9 kN at a fall factor of 1.77 with 80 kg, as on the bench of EN 892.  [N]
    body_stiffness : Band
        From memory.  [N/m]
    leaving : Band
        [s]
    ring_friction : Band
        [-]
    """

    stiffness_factor: Band = field(default_factory=lambda: Band(low=1.3, value=1.6, high=2.2))
    air: Band = field(default_factory=lambda: Band(low=0.8, value=1.2, high=2.0))
    tape_strength: Band = field(default_factory=lambda: Band(low=300.0, value=600.0, high=1200.0))
    leash_modulus: Band = field(default_factory=lambda: Band(low=15e3, value=24e3, high=40e3))
    body_stiffness: Band = field(default_factory=lambda: Band(low=20e3, value=30e3, high=40e3))
    leaving: Band = field(default_factory=lambda: Band(low=0.0, value=0.1, high=0.3))
    ring_friction: Band = field(default_factory=lambda: Band(low=0.05, value=0.1, high=0.2))

    def expected(self) -> Choice:
        """The middle of everything."""
        return Choice(**{name: getattr(self, name).value for name in RANGES})


RANGES = (
    "stiffness_factor", "air", "tape_strength", "leash_modulus", "body_stiffness", "leaving", "ring_friction",
)  # fmt: skip
