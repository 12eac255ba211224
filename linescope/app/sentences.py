"""The rig in words: what its inputs say, as sentences with a slot for each value that can be edited."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from linescope.notes import Verbatim
from linescope.words import Words

OPEN, CLOSE = "\ue000", "\ue001"
"""Round the path of the value that stands in a slot; no text has these letters of its own."""
PLANS = {"every": "every", "pattern": "pattern", "listed": "listed"}
LOOPS = ("excess", "loop_length", "loop_depth", "total_length")


def sentences(data: Mapping[str, Any], words: Words) -> list[str]:
    """Sentences in the order in which a rigger would say them.

    Parameters
    ----------
    data : mapping
        The scene as it is seen now, with what is tried.
    words : Words

    Returns
    -------
    list of str
        With `OPEN` path `CLOSE` where a value stands.
    """
    return [_said(name, slots, words) for name, slots in _told(data)]


def _said(name: str, slots: Mapping[str, Any], words: Words) -> str:
    """Slots are put into the message as it stands open, so that what the user typed cannot be taken for one."""
    text = words.say(name, **{
        slot: path if isinstance(path, int) else Verbatim(f"{slot}-slot") for slot, path in slots.items()
    })
    for slot, path in slots.items():
        if not isinstance(path, int):
            text = text.replace(words.verbatim(f"{slot}-slot"), f"{OPEN}{path}{CLOSE}", 1)
    return text


def _told(data: Mapping[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    yield "stage-rig-anchors", {"a": "anchors.a", "b": "anchors.b"}
    main, backup = _table(data, "main"), _table(data, "backup")
    if "length" in main:
        yield "stage-rig-main-length", {"webbing": "main.webbing", "length": "main.length"}
    else:
        yield "stage-rig-main", {"webbing": "main.webbing", "tension": "main.tension", "end": "main.end"}
    given = next((name for name in LOOPS if name in backup), "excess")
    yield f"stage-rig-backup-{given.replace('_', '-')}", {"webbing": "backup.webbing", "loops": f"backup.{given}"}
    taping = _table(data, "taping")
    zones = taping.get("zones")
    zones = zones if isinstance(zones, list) else []
    for number, zone in enumerate(zones, 1):
        zone = zone if isinstance(zone, Mapping) else {}
        path, spacing = f"taping.zones[{number}]", _table(zone, "spacing")
        given = next((name for name in PLANS if name in spacing), "every")
        slots = {"style": f"{path}.style", "spacing": f"{path}.spacing.{given}"}
        if len(zones) == 1:
            yield f"stage-rig-tapes-{given}", slots
        elif "to" in zone:
            yield f"stage-rig-zone-{given}", {"number": number, "to": f"{path}.to", **slots}
        else:
            yield f"stage-rig-last-{given}", {"number": number, **slots}
        if "excess" in zone:
            yield "stage-rig-zone-excess", {"excess": f"{path}.excess"}
    yield "stage-rig-measured", {"state": "taping.measured_on"}
    yield "stage-rig-hold", {"drag": "hold.drag", "friction": "hold.friction"}
    if "walker" in data:
        yield "stage-rig-walker", {"mass": "walker.mass", "at": "walker.at", "leash": "walker.leash"}
    if "wind" in data:
        yield "stage-rig-wind", {"speed": "wind.speed", "from": "wind.from"}
    if "clearance" in data:
        yield "stage-rig-clearance", {"line": "clearance.line", "loop": "clearance.loop", "body": "clearance.body"}


def _table(data: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    found = data.get(name)
    return found if isinstance(found, Mapping) else {}
