"""What motion depends on besides the rig: each with its range, and as one choice out of all ranges for one run."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from linescope.notes import Quantity, Verbatim
from linescope.rig import Band, InputNote, Inputs, Rig
from linescope.rig.parts import RUNNING_RING_FRICTION

# Mass of the leash ring itself; a walker's mass is given with it [kg].
RING_MASS = 0.25
# Half a person, upright or hanging, in air moving past: drag coefficient x area [m^2]; from memory.
BODY_AREA = 0.5


@dataclass(frozen=True, kw_only=True)
class RunInputs:
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
    ring_stays : bool
        Whether the ring stays where it is on its line, as falls are taken by the energy balance.
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
    ring_friction: float = RUNNING_RING_FRICTION.value
    ring_stays: bool = False
    viscosity: float = 0.1
    leash_damping: float = 0.1
    body_area: float = BODY_AREA

    def undamped(self) -> RunInputs:
        """Without loss but the mesh's own viscosity: what energy bounds are compared with."""
        return replace(
            self, stiffness_factor=1.0, air=0.0, tape_strength=float("inf"), leaving=0.0, ring_friction=0.0,
            leash_damping=0.0, body_area=0.0,
        )


@dataclass(frozen=True, kw_only=True)
class MotionInputs:
    """The ranges; `RunInputs` says what each is.

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
    ring_friction: Band = RUNNING_RING_FRICTION

    def expected(self) -> RunInputs:
        """The middle of everything."""
        return RunInputs(**{name: getattr(self, name).value for name in RANGES})


RANGES = (
    "stiffness_factor", "air", "tape_strength", "leash_modulus", "body_stiffness", "leaving", "ring_friction",
)  # fmt: skip
KEYS = {
    "stiffness_factor": "motion.stiffness_factor", "air": "motion.drag_coefficient",
    "tape_strength": "motion.tape_strength", "leash_modulus": "walker.leash_modulus",
    "body_stiffness": "walker.body_stiffness", "leaving": "motion.leaving", "ring_friction": "motion.ring_friction",
}
"""Scene keys of the ranges."""
DIMENSIONS = {
    "motion.stiffness_factor": "number", "motion.drag_coefficient": "number", "motion.tape_strength": "force",
    "motion.leaving": "time", "motion.ring_friction": "number",
}


def inputs_of_rig(rig: Rig, inputs: Inputs) -> MotionInputs:
    """The ranges of a rig: those of its scene; where it has none, a value that is the usual one has the usual range.

    Parameters
    ----------
    rig : Rig
    inputs : Inputs
    """
    usual, found = MotionInputs(), {}
    for name, key in KEYS.items():
        part = rig.walker if key.startswith("walker.") else rig.motion
        if part is None:
            continue
        value, band = float(getattr(part, key.partition(".")[2])), getattr(usual, name)
        known = inputs.bands.get(key)
        if known is None:
            known = band if value == band.value else Band(low=value, value=value, high=value)
        found[name] = known
    return replace(usual, **found)


def listed(rig: Rig, inputs: Inputs) -> Inputs:
    """The inputs of a scene with those of motion that it does not give, as assumed.

    Parameters
    ----------
    rig : Rig
    inputs : Inputs
    """
    ranges, more = inputs_of_rig(rig, inputs), []
    for name, key in KEYS.items():
        if key in DIMENSIONS and inputs.get(key) is None:
            band = getattr(ranges, name)
            low, value, high = (Quantity(end, DIMENSIONS[key], digits=2) for end in (band.low, band.value, band.high))
            more.append(InputNote(key=key, value=value, known="assumed", low=low, high=high))
    if isinstance(rig.motion.breaks_at, str) and inputs.get("motion.breaks_at") is None:
        more.append(InputNote(key="motion.breaks_at", value=Verbatim(rig.motion.breaks_at), known="assumed"))
    return replace(inputs, notes=(*inputs.notes, *more))
