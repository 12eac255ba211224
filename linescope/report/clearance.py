"""Distances to the ground as a ranked list for people, and in full figures for programs."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterable
from typing import Any

from linescope.clearance import Clearance, Finding, NoFallZone
from linescope.clearance.finding import NARROWEST_HOLE
from linescope.report.keys import plain
from linescope.report.text import WIDTH, columns, in_system, is_loud
from linescope.units import System, at_least, at_most, column_unit, from_si
from linescope.words import Words, frame

MOST = 20
MOST_ALSO = 2
_WHAT = {"line": "line", "loop": "loop of the backup", "leash": "leash", "body": "body"}


def clearance_alarms(clearance: Clearance, system: System = "metric") -> tuple[str, ...]:
    """What must be read before any distance: where no ground is known, and what is odd about the ground.

    Parameters
    ----------
    clearance : Clearance
    system : {"metric", "feet"}

    Returns
    -------
    tuple of str
        Sentences that begin in capitals.
    """
    writer = _Writer(system)
    said = []
    if len(clearance.unknown):
        listed = ", ".join(writer.places(float(low), float(high)) for low, high in clearance.unknown[:MOST])
        more = f" and {len(clearance.unknown) - MOST} more" if len(clearance.unknown) > MOST else ""
        kept = "no distance asked for is shown to be kept there" if clearance.is_asked else "nothing is bridged"
        said.append(f"NOTHING IS KNOWN of the ground below the line at {listed}{more} from A: {kept}.")
    return (*said, *(in_system(note, system) for note in clearance.notes if is_loud(note)))


def clearance_text(clearance: Clearance, system: System = "metric") -> str:
    """The worst places, no-fall zones, holes and what was assumed.

    Parameters
    ----------
    clearance : Clearance
    system : {"metric", "feet"}

    Returns
    -------
    str
        At most `MOST` places, those with the least left first.
    """
    writer = _Writer(system)
    short = [finding for finding in clearance.findings if not finding.is_met]
    writer.lines.append(f"Distances to the ground: {clearance.source}")
    alarms = clearance_alarms(clearance, system)
    for alarm in alarms:
        writer.say(alarm, "! ")
    if short:
        writer.say(f"NOT MET at {_counted(len(short), 'place')}; worst first.", "! ")
    elif clearance.findings and len(clearance.unknown):
        writer.say(
            "Where ground is known, what was measured keeps the distances asked for, with the bounds and assumptions "
            "listed below; for the whole line they are NOT SHOWN TO BE KEPT."
        )
    elif clearance.findings:
        beside = ", except from rock beside the anchors (listed apart)" if clearance.by_edge else ""
        writer.say(
            f"Every distance asked for is kept by these figures{beside}, with the bounds and assumptions listed below."
        )
    else:
        writer.say("Nothing was measured: the whole line lies within the anchor zones.", "! ")
    writer.say(
        f"Needed: what is asked for, plus {writer.show(clearance.survey_error)} survey error, plus "
        f"{writer.show(clearance.margin)} margin. Distances are lower bounds in space, from centre lines and feet."
    )
    writer.findings(clearance)
    writer.zones(clearance)
    writer.edges(clearance)
    writer.anchors(clearance)
    writer.holes(clearance)
    writer.title("assumed and noted")
    for note in dict.fromkeys((*clearance.notes, *frame.all_cautions(Words(system)))):
        if not is_loud(note):  # Those stand on top.
            writer.say(in_system(note, system))
    return "\n".join(writer.lines) + "\n"


def _counted(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"


class _Writer:
    def __init__(self, system: System) -> None:
        self.system = system
        self.lines: list[str] = []

    def show(self, value: float, unit: str | None = None) -> str:
        """What is asked for, or missing: rounded up."""
        return at_most(float(value), "length", system=self.system, unit=unit)

    def gap(self, value: float, unit: str | None = None) -> str:
        """A distance; what lies below ground is said in words."""
        if math.isnan(value):
            return "unknown"
        if value < 0.0:
            return f"{self.show(-value, unit)} INSIDE"
        return at_least(value, "length", system=self.system, unit=unit)

    def place(self, value: float | None) -> str:
        """A place on the line, to a tenth of the unit."""
        if value is None:
            return "-"
        unit = "m" if self.system == "metric" else "ft"
        return f"{from_si(value, unit, 'length'):.1f} {unit}"

    def places(self, low: float, high: float) -> str:
        return f"{self.place(low)} to {self.place(high)}"

    def title(self, text: str) -> None:
        self.lines += ["", text.upper()]

    def say(self, text: str, mark: str = "  ") -> None:
        self.lines += textwrap.wrap(
            text, WIDTH, initial_indent=mark, subsequent_indent=" " * len(mark), break_long_words=False
        )

    def left(self, finding: Finding, clearance: Clearance) -> str:
        value = finding.remainder
        if value >= 0.0 and not clearance.is_known_at(finding.station):
            return "NOT KNOWN below"
        left = at_least(value, "length", system=self.system)
        return f"{left} left" if value >= 0.0 else f"SHORT BY {self.show(-value)}"

    def findings(self, clearance: Clearance) -> None:
        listed = clearance.findings
        if not listed:
            return
        self.title("worst places")
        head = ("", "what", "from A", "walker", "asked", "needed", "measured", "straight down", "")
        asked, needed, near, down = (
            column_unit([getattr(finding, name) for finding in listed[:MOST]], "length", system=self.system)
            for name in ("required", "needed", "distance", "vertical")
        )
        rows = [head] + [
            (
                f"{finding.rank}", _WHAT[finding.kind], self.place(finding.station), self.place(finding.walker),
                self.show(finding.required, asked), self.show(finding.needed, needed),
                self.gap(finding.distance, near), self.gap(finding.vertical, down), self.left(finding, clearance),
            )
            for finding in listed[:MOST]
        ]
        first, *others = columns(rows, right=(0, 2, 3, 4, 5, 6, 7))
        self.lines.append("  " + first)
        for finding, line in zip(listed[:MOST], others, strict=True):
            self.lines.append("  " + line)
            self.say(finding.cause + self.also(finding), " " * 6)
        if len(listed) > MOST:
            rest = listed[MOST:]
            short = sum(not finding.is_met for finding in rest)
            more = _counted(len(rest), "place")
            self.say(f"{more} more, {short} of them short; all are in the figures for programs.")

    def also(self, finding: Finding) -> str:
        if not finding.also:
            return ""
        near = "; ".join(f"{cause} {self.gap(distance)}" for cause, distance in finding.also[:MOST_ALSO])
        more = len(finding.also) - MOST_ALSO
        return f". There too: {near}" + (f"; and {_counted(more, 'more cause')}" if more > 0 else "")

    def zones(self, clearance: Clearance) -> None:
        self.title("where nobody may fall into the leash")
        if len(clearance.walkers) == 0:
            self.say("No falls were looked at.")
        elif not clearance.no_fall_zones and not len(clearance.unknown):
            self.say(
                "From no place tried does a leash fall come nearer to the ground than needed, if the ring stays where "
                "he falls."
            )
        for low, high in clearance.unknown[: MOST if len(clearance.walkers) else 0]:
            self.say(
                f"NOT KNOWN {self.places(float(low), float(high))} from A: nobody may count on a clear fall there.",
                "! ",
            )
        for zone in clearance.no_fall_zones:
            self.say(
                f"NO FALL {self.places(*zone.from_a)} from A ({self.places(*zone.from_b)} from B): short by up to "
                f"{self.show(-zone.worst)}, worst at {self.place(zone.worst_at)} from A."
                f"{self.strikes(zone, clearance)}",
                "! ",
            )
        self.runs(clearance)

    def runs(self, clearance: Clearance) -> None:
        """Over what a ring that runs can carry feet too near."""
        if clearance.runs is None:
            return
        if not clearance.runs:
            self.say(
                "If the ring runs along the main, feet get nowhere nearer than needed outside the anchor zones"
                f"{', where ground is known' if len(clearance.unknown) else ''} (bound, no friction)."
            )
            return
        self.say("If the ring runs along the main after a fall, feet can get too near (bound, no friction):", "! ")
        for reach in clearance.runs:
            hit = ""
            if reach.distance <= 0.0:
                hit = f"; THE GROUND ITSELF in falls from {self.listed(reach.strikes)}"
            self.say(
                f"over {self.places(*reach.from_a)} from A, short by up to {self.show(-reach.worst)}, in falls from "
                f"{self.listed(reach.falls)}{hit}.",
                "!   ",
            )

    def listed(self, stretches: Iterable[tuple[float, float]]) -> str:
        return ", ".join(self.places(low, high) for low, high in stretches)

    def strikes(self, zone: NoFallZone, clearance: Clearance) -> str:
        low, high = zone.from_a
        inside = [strike for strike in clearance.strikes if low <= strike.worst_at <= high]
        if not inside:
            return ""
        listed = ", ".join(self.places(*strike.from_a) for strike in inside)
        return f" The body or the way it falls touches the ground from {listed}."

    def edges(self, clearance: Clearance) -> None:
        """The nearest of each kind at each anchor."""
        if not clearance.by_edge:
            return
        self.title("near an anchor, by the cliff edge: beside it, not below; measured, not compared")
        middle = max(finding.station for finding in clearance.by_edge) / 2.0 if math.isnan(clearance.span) else (
            clearance.span / 2.0
        )
        nearest: dict[tuple[bool, str], Finding] = {}
        for finding in sorted(clearance.by_edge, key=lambda one: one.distance):
            nearest.setdefault((finding.station > middle, finding.kind), finding)
        for _, finding in sorted(nearest.items(), key=lambda item: item[0]):
            self.say(
                f"{_WHAT[finding.kind]}, {self.place(finding.station)} from A: {self.gap(finding.distance)} to rock "
                f"beside it, {self.show(finding.needed)} needed from ground below ({finding.cause})."
            )

    def anchors(self, clearance: Clearance) -> None:
        if not clearance.at_anchors:
            return
        self.lines += ["", f"WITHIN {self.show(clearance.anchor_zone)} OF THE ANCHORS: MEASURED, NOT COMPARED"]
        nearest: dict[tuple[str, bool], Finding] = {}
        middle = max(abs(finding.station) for finding in clearance.at_anchors) / 2.0
        for finding in clearance.at_anchors:
            key = (finding.kind, finding.station > middle)
            if key not in nearest or finding.distance < nearest[key].distance:
                nearest[key] = finding
        for _, finding in sorted(nearest.items(), key=lambda item: (item[0][1], item[0][0])):
            self.say(
                f"{_WHAT[finding.kind]}, {self.place(finding.station)} from A: {self.gap(finding.distance)} "
                f"({finding.cause})."
            )

    def holes(self, clearance: Clearance) -> None:
        if len(clearance.holes):
            self.title("holes in the ground below the line")
            listed = ", ".join(self.places(float(low), float(high)) for low, high in clearance.holes[:MOST])
            more = f" and {len(clearance.holes) - MOST} more" if len(clearance.holes) > MOST else ""
            self.say(f"NOTHING IS KNOWN at {listed}{more} from A, in plan; nothing is bridged.", "! ")
            self.say(
                f"Holes narrower than {self.show(NARROWEST_HOLE)} and those within the anchor zones do not count "
                "against the distances asked for."
            )


def clearance_json(clearance: Clearance) -> dict[str, Any]:
    """Everything found, as plain data.

    Parameters
    ----------
    clearance : Clearance

    Returns
    -------
    dict
        Lengths and places in metres, full figures; points are [x, y, z]; null: not known.
    """
    data = {
        "source": clearance.source,
        "is_met": clearance.is_met,
        "exit_status": clearance.exit_status,
        "survey_error": clearance.survey_error,
        "margin": clearance.margin,
        "anchor_zone": clearance.anchor_zone,
        "findings": [_finding(finding) for finding in clearance.findings],
        "at_anchors": [_finding(finding) for finding in clearance.at_anchors],
        "by_edge": [_finding(finding) for finding in clearance.by_edge],
        "no_fall_zones": [_zone(zone) for zone in clearance.no_fall_zones],
        "strikes": [_zone(zone) for zone in clearance.strikes],
        "runs": None if clearance.runs is None else [vars(reach) for reach in clearance.runs],
        "holes": clearance.holes,
        "unknown": clearance.unknown,
        "is_asked": clearance.is_asked,
        "alarms": list(clearance_alarms(clearance)),
        "walkers": clearance.walkers,
        "notes": list(clearance.notes),
        "cautions": list(frame.all_cautions(Words())),
    }
    result: dict[str, Any] = plain(data)
    return result


def _finding(finding: Finding) -> dict[str, Any]:
    names = (
        "rank", "kind", "cause", "distance", "vertical", "required", "needed", "remainder", "is_met", "station",
        "walker", "point", "nearest", "vertical_station", "vertical_walker", "vertical_point", "vertical_ground",
    )  # fmt: skip
    also = [{"cause": cause, "distance": distance} for cause, distance in finding.also]
    return {name: getattr(finding, name) for name in names} | {"also": also}


def _zone(zone: NoFallZone) -> dict[str, Any]:
    return {"from_a": zone.from_a, "from_b": zone.from_b, "worst": zone.worst, "worst_at": zone.worst_at}
