"""Meter and stop rules: readings to expect with room to write, a dial of wind, the bays to look at."""

from __future__ import annotations

import math

import numpy as np

from linescope.clearance import Finding
from linescope.clearance.ranked import event_of, is_only_run, places
from linescope.events.wind import WindResult
from linescope.notes import Bays, Quantity, Range, Spot, Verbatim
from linescope.stage.board import BODY, EDGE, FIGURE, HEAD, NOTE, WIDE, Board
from linescope.stage.ink import Area, Ink, Line, Row, Text
from linescope.stage.page import Brief
from linescope.topics.advise.text import mend_at_rest_text
from linescope.topics.clearance.leading import named, onto, unnamed
from linescope.topics.state import picture_overview as overview
from linescope.topics.tension import loading
from linescope.units import from_si

TALL = 684.0  # [px]
DIAL, LOOK = 1040.0, 1460.0  # Where the dial begins, and the list [px].
TOP = 20.0  # Of the dial [m/s].
BESIDES = 4  # Places beside those that the first picture names, at most; alike ones share a sentence.
STOP = (8.0, 12.0)  # Usual gusts at which people stop: from memory, no source [m/s].


def board(brief: Brief) -> Board:
    """A table, a dial and a list."""
    words, strip = brief.measures, brief.study.meter
    first = strip.value[0]
    title = words.say(
        "tension-stop-title", a=Quantity(float(first[0]), "force"), b=Quantity(float(first[1]), "force"),
    )
    rule = brief.theme.colours["rule"]
    ink: list[Ink] = [
        *_table(brief),
        *(Line(points=((x - 30.0, HEAD + 6.0), (x - 30.0, TALL - 16.0)), colour=rule, width=1.5, quiet=True)
          for x in (DIAL, LOOK)),
        *_dial(brief),
        *_look(brief),
    ]  # fmt: skip
    return Board(
        name="meter-and-stop-rules", title=title, loud=False, height=TALL,
        under=words.say("tension-stop-under", name=Verbatim(brief.study.rig.name)),
        ink=tuple(ink),
    )


def _table(brief: Brief) -> list[Ink]:
    """Rows of loadings, for each anchor what to expect, from what to what, and a box to write in."""
    words, theme, strip = brief.measures, brief.theme, brief.study.meter
    black, quiet, rule = (theme.colours[role] for role in ("ink", "quiet", "rule"))
    columns = {"value-a": 288.0, "read-a": 502.0, "value-b": 650.0, "read-b": 864.0}
    right = 994.0
    ink: list[Ink] = []

    def text(at: tuple[float, float], said: str, size: float = NOTE, *, strong: bool = False, colour: str = black,
             wide: float = 0.0) -> None:  # fmt: skip
        ink.append(Text(text=said, at=at, size=size, strong=strong, colour=colour, width=wide, centred=True,
                        most=2 if wide else 1))  # fmt: skip

    y = HEAD + 26.0
    for name, x in columns.items():
        text((x, y), words.say(f"tension-stop-{name}"), strong=not name.startswith("read"))
    pitch = min(112.0, (TALL - 40.0 - HEAD - 56.0) / len(strip.states))
    y = HEAD + 56.0
    for row, state in enumerate(strip.states):
        ink.append(Line(points=((EDGE, y), (right, y)), colour=rule, width=1.5, quiet=True))
        middle = y + 0.5 * pitch
        zoned = state.rig.walker is not None and _is_no_fall(brief, state.rig.walker.at)
        at = words.note(loading(state.rig))
        text((EDGE, middle), words.say("tension-stop-zone", at=Verbatim(at)) if zoned else at, wide=220.0)
        for end, name in enumerate("ab"):
            x = columns[f"value-{name}"]
            low, high = float(strip.low[row, end]), float(strip.high[row, end])
            value, ranged = words.force(float(strip.value[row, end])), words.band(low, high, "force")
            banded = ranged != value
            text((x, middle - (18.0 if banded else 0.0)), value, FIGURE, strong=True)
            if banded:
                text((x, middle + 22.0), ranged, colour=quiet)
            box = columns[f"read-{name}"]
            low_, high_ = y + 12.0, y + pitch - 12.0
            corners = ((box, low_), (box + 130.0, low_), (box + 130.0, high_), (box, high_))
            ink.append(Line(points=(*corners, corners[0]), colour=black, width=2.0))
        y += pitch
    ink.append(Line(points=((EDGE, y), (right, y)), colour=rule, width=1.5, quiet=True))
    return ink


def _is_no_fall(brief: Brief, at: float) -> bool:
    """Whether a fall at a place reaches ground, or drags the main onto it."""
    clearance = brief.study.clearance or None
    zones = () if clearance is None else clearance.reached_from
    return any(zone.from_a[0] <= at <= zone.from_a[1] for zone in zones)


def _dial(brief: Brief) -> list[Ink]:
    """Half a dial of gusts, with what happens from where on."""
    words, theme, wind = brief.measures, brief.theme, brief.study.wind or None
    black = theme.colours["ink"]
    wide = LOOK - 60.0 - DIAL
    x, y, r = DIAL + 0.5 * wide, HEAD + 202.0, 128.0
    unit = words.unit((TOP,), "speed")
    ink: list[Ink] = [Text(text=words.say("tension-stop-wind"), at=(DIAL, HEAD + 6.0), size=BODY, strong=True,
                           colour=black, width=wide, most=1)]  # fmt: skip
    gust = wind.wind.speed * wind.wind.gust_factor if wind is not None else math.inf
    usual = gust >= STOP[0]  # More wind than the plan reckons with: nothing here holds.
    least, most = STOP if usual else (gust, gust)
    level = min(wind.level_speed, least) if wind is not None else least
    parts = [(0.0, level, "zone_kept"), (level, most, "zone_near"), (most, TOP, "zone_hit")]

    def point(speed: float, radius: float) -> tuple[float, float]:
        turn = math.pi * (1.0 - min(speed, TOP) / TOP)
        return x + radius * math.cos(turn), y - radius * math.sin(turn)

    for low, high, role in (part for part in parts if part[0] < part[1]):
        outer = [point(v, r) for v in np.linspace(low, high, 25).tolist()]
        inner = [point(v, 0.72 * r) for v in np.linspace(high, low, 25).tolist()]
        ink.append(Area(points=(*outer, *inner), colour=theme.colours[role], edge=black, width=1.5))
        if role != "zone_kept":
            for v in np.arange(low + 0.5, high, 0.7 if role == "zone_hit" else 1.0).tolist():
                ink.append(Line(points=(point(v, 0.72 * r), point(v + 0.35, r)), quiet=True, width=2.0,
                                colour=theme.colours["on_hit" if role == "zone_hit" else "on_zone"]))  # fmt: skip
    for speed in (*STOP, TOP) if usual else (gust, TOP):
        a, b = point(speed, 1.17 * r)
        shown = words.tick(float(f"{from_si(speed, unit, 'speed'):.2g}"))
        low = 20.0 if speed == TOP else 0.0
        at = (a - 1.4 * low, b + low)
        ink.append(Text(text=shown, at=at, size=NOTE, align="middle", centred=True, colour=black))
    at = (x, y - 16.0)
    ink.append(Text(text=words.unit_name(unit), at=at, size=NOTE, align="middle", centred=True, colour=black))
    people = words.say("tension-stop-people", own=Quantity(gust, "speed", "down"), first="usual" if usual else "ours")
    blank = Line(points=((150.0, 29.0), (wide, 29.0)), colour=black, width=2.0, quiet=True)
    entries = [
        _entry(people, theme.colours["alarm"], strong=True),
        *([_entry(words.say("tension-stop-usual", speed=Range(*STOP, "speed")), black)] if usual else []),
        _entry(words.say("tension-stop-ours"), theme.colours["alarm"], (blank,), strong=True),
    ]
    if wind is None:
        entries.append(_entry(words.say("study-no-wind"), black))
    for speed, role, text in _wind_words(brief, wind, gust) if wind is not None else ():
        mark = Line(points=((9.0, 2.0), (9.0, 28.0)), colour=theme.colours[role], width=6.0, quiet=True)
        entries.append(_entry(text, black, (mark,), 30.0))
        if math.isfinite(speed) and speed <= TOP:
            ends = (point(speed, 0.60 * r), point(speed, 1.03 * r))
            ink += [Line(points=ends, colour=theme.colours[role_], width=width)
                    for role_, width in (("casing", 11.0), (role, 6.0))]  # fmt: skip
    return [*ink, Row(frame=(DIAL, y + 44.0, DIAL + wide, TALL), entries=tuple(entries), down=True, gap=10.0)]


def _entry(
    text: str, colour: str, swatch: tuple[Ink, ...] = (), indent: float = 0.0, *, strong: bool = False
) -> tuple[tuple[Ink, ...], float, Text]:
    return swatch, indent, Text(text=text, at=(0.0, 0.0), size=NOTE, strong=strong, colour=colour)


def _wind_words(brief: Brief, wind: WindResult, gust: float) -> list[tuple[float, str, str]]:
    """Speeds with a mark on the dial, its colour, and what happens from there on."""
    words = brief.measures
    wrap = {bay for case in wind.cases for bay in case.wrap}
    return [
        (wind.level_speed, "alarm",
         words.say("tension-stop-level", speed=Quantity(wind.level_speed, "speed", "down"))),
        (gust, "main", words.say("tension-stop-gust", gust=Quantity(gust, "speed"), wraps="yes" if wrap else "no")),
    ]  # fmt: skip


def _look(brief: Brief) -> list[Ink]:
    """Which bays and places to look at before each walk, and why: the worst first."""
    words, theme = brief.measures, brief.theme
    wide = WIDE - EDGE - LOOK
    ink: list[Ink] = [Text(text=words.say("tension-stop-look"), at=(LOOK, HEAD + 6.0), size=BODY, strong=True,
                           colour=theme.colours["ink"], width=wide, most=1)]  # fmt: skip
    box = ((0.0, 4.0), (26.0, 4.0), (26.0, 30.0), (0.0, 30.0), (0.0, 4.0))
    tick = Line(points=box, colour=theme.colours["ink"], width=2.0, quiet=True)
    entries = tuple(
        _entry(text, theme.colours["alarm" if loud else "ink"], (tick,), 42.0) for loud, text in _reasons(brief)
    )
    return [*ink, Row(frame=(LOOK, HEAD + 58.0, LOOK + wide, TALL), entries=entries, down=True, gap=16.0)]


def _reasons(brief: Brief) -> list[tuple[bool, str]]:
    """Whether it must lead, and what."""
    words, study = brief.measures, brief.study
    found: list[tuple[bool, str]] = []
    tight = next((state.tight for state in study.excess.states if state.name == "standing"), ())
    if tight:
        found.append((True, words.say("tension-stop-tight", bays=Bays(tight), count=len(tight))))
    told = places(study.clearance or None)
    for place in named(told):
        text = overview.told_in_words(brief, place)
        if place.worst.is_at_rest and place.distance <= 0.0:  # It happens every time: what to do stands beside it.
            text = words.say("tension-stop-mend", place=text, mend=mend_at_rest_text(study, place.worst, words))
        found.append((place.distance <= 0.0, text))
    besides = [place for place in unnamed(told) if place.distance <= 0.0]
    alike: dict[tuple[object, ...], list[Finding]] = {}
    for place in besides[:BESIDES]:
        what = place.worst.kind if place.worst.is_at_rest else ""
        alike.setdefault((event_of(place), is_only_run(place), what, onto(study, [place])), []).append(place)
    found += [(True, overview.told_in_words(brief, *each)) for each in alike.values()]
    more = besides[BESIDES:]
    if more:
        found.append((True, words.say("tension-stop-besides", more=len(more), onto=onto(study, more))))
    wind = study.wind or None
    wrap = tuple(sorted({bay for case in wind.cases for bay in case.wrap})) if wind is not None else ()
    if wrap:
        every = len(wrap) == len(study.standing.bays.excess)
        text = words.say("tension-stop-wrap", bays=Bays(wrap), count=len(wrap), every="yes" if every else "no")
        found.append((False, text))
    ties = tuple(tape.number for tape in study.planned.layout.tapes if tape.kind == "tie")
    if ties:
        found.append((False, words.say("tension-stop-ties", ties=Bays(ties), count=len(ties))))
    for joint in study.rig.joints[:1]:
        found.append((False, words.say("tension-stop-joint", at=Spot(joint.at))))
    found.append((False, words.say("tension-stop-anchors")))
    return found
