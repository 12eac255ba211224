"""A line as it was built, or as it is taped by zone, to be kept beside its plan."""

from __future__ import annotations

from collections.abc import Mapping

from linescope.rig import Rig
from linescope.scene.scene import Scene
from linescope.taping import FAMILIES

NAME = "as built"


def kept_as_built(scene: Scene, built: Rig, values: Mapping[str, float], name: str = NAME) -> Scene:
    """A scene with the line as built written behind it under a name; nothing is written to disk, see `Scene.save`.

    Its tapes are listed where they were laid, so that no other tension lays another number of them.

    Parameters
    ----------
    scene : Scene
        Whose readings were fitted.
    built : Rig
        Its tapes listed.
    values : mapping of str to float
        What the crew's work came to, by key.  [SI]
    name : str

    Raises
    ------
    InputError
        When the name cannot be had.

    Examples
    --------
    >>> import linescope
    >>> from linescope.scene.built import kept_as_built
    >>> scene = linescope.load("scenes/heron_gap.toml")
    >>> kept_as_built(scene, scene.rig, {"main.tension": 1900.0}).variants
    {'as built': {'main.tension': '1900.0 N'}}
    """
    tried = {key: _typed(scene, key, value) for key, value in values.items()}
    for number, zone in enumerate(built.taping.zones, 1):
        if zone.spacing.kind == "listed" and zone.spacing.values:
            tried[f"taping.zones[{number}].spacing.listed"] = ", ".join(
                f"{max(round(at, 3), zone.start):.3f} m" for at in zone.spacing.values
            )
    return scene.what_if(tried).keep(name)


def with_excess(scene: Scene, by_zone: Mapping[int, float]) -> Scene:
    """A scene with one excess tried in each of some tape zones.

    Parameters
    ----------
    scene : Scene
    by_zone : mapping of int to float
        By the zone's number from 1.  [-]

    Raises
    ------
    InputError

    Examples
    --------
    >>> import linescope
    >>> from linescope.scene.built import with_excess
    >>> with_excess(linescope.load("scenes/heron_gap.toml"), {1: 0.052}).tried
    {'backup.excess': '5.200 %'}
    """
    zones = scene.rig.taping.zones
    alone = len(zones) == 1 and zones[0].excess is None
    keys = {number: "backup.excess" if alone else f"taping.zones[{number}].excess" for number in by_zone}
    return scene.what_if({keys[number]: _typed(scene, keys[number], value) for number, value in by_zone.items()})


def style_keys(rig: Rig, by_zone: Mapping[int, str]) -> dict[str, str]:
    """Keys of a scene and their values that tape some zones in other styles; nothing for a zone that has its style.

    A zone whose tapes hold what the new style cannot holds what that one usually does.

    Parameters
    ----------
    rig : Rig
    by_zone : mapping of int to str
        Keys of `FAMILIES`, by the zone's number from 1.
    """
    keys: dict[str, str] = {}
    for number, style in by_zone.items():
        zone, family = rig.taping.zones[number - 1], FAMILIES[style]
        if zone.family == style:
            continue
        keys[f"taping.zones[{number}].style"] = style
        if zone.holds not in family.can_hold:
            keys[f"taping.zones[{number}].holds"] = family.can_hold[0].value
    return keys


def _typed(scene: Scene, key: str, value: float) -> str:
    if key.endswith(".stiffness_factor"):
        band, note = scene.inputs.bands.get(key), scene.inputs.get(key)
        if band is None and note is not None:  # Then it is told over the file's.
            value *= float(getattr(note.value, "value", 1.0))
        return f"{100.0 * value:.2f} %"
    if key.endswith("excess"):
        return f"{100.0 * value:.3f} %"
    return f"{value:.1f} N" if key == "main.tension" else f"{value:.4f} m"
