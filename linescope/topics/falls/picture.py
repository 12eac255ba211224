"""Where nobody must fall: the hanging body and its lowest bound at every place, over the ground, and as zones."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from linescope.clearance import Finding, RunReach
from linescope.clearance.ranked import EVENTS
from linescope.events.fall import LeashFallSweep
from linescope.notes import Bound, Quantity, Spot, Stretches, Term
from linescope.stage import feet, ground, paper, person, side, tapes, worst
from linescope.stage.items import Frame, Label, LegendEntry, Panel, Stage, Surface, Symbols, TextBox, Wire
from linescope.stage.page import LOW, Brief, furnish
from linescope.statics.assemble import G
from linescope.ties import nearest
from linescope.topics.falls import picture_near as near
from linescope.topics.falls.picture_zones import (
    HIT,
    KEPT,
    NEAR,
    UNKNOWN,
    WORSE,
    Zone,
    left_over,
    needed,
    zones_of,
    zones_running,
)
from linescope.words import Words

Floats = NDArray[np.float64]
BODIES = 6
HEAD, TALL = 38.0, 32.0  # Room over the strips, and height of one [px].


def build(brief: Brief) -> Stage:
    """Elevation with swept bodies above, zones in metres from each anchor below, figures in a table."""
    sweep, stated, rig = brief.study.fall_sweep, brief.study.fall_places, brief.study.rig
    assert sweep
    assert stated
    assert rig.walker is not None
    brief = brief.showing(brief.study.taped, *stated.notes)
    sweep, stated = brief.study.lower(sweep), brief.study.lower(stated)
    low, high = 0.522, 0.688
    gaps = left_over(brief, sweep)
    zones = zones_of(brief, sweep.at, gaps)
    running = brief.study.running
    runs = feet.lower_edge(running.floor_foot) if running else None
    whole: Frame = (0.0, brief.top, 1.0, low)
    top = _swept(brief, sweep, stated, runs, whole, bodies=True)
    close: tuple[Panel, ...] = ()
    per_pixel = top.camera.metres_per_pixel(brief.panel_size(whole))
    if rig.walker.height / per_pixel < person.SEEN_HANGING:  # Bodies as ticks tell nobody where he hangs.
        middle = brief.top + 0.58 * (low - brief.top)
        places = near.places(stated, left_over(brief, stated))
        top = _swept(brief, sweep, stated, runs, (0.0, brief.top, 1.0, middle), bodies=False, places=places)
        close = near.panels(brief, sweep, stated, runs, places, (0.0, middle + 0.004, 1.0, low))
    words = brief.measures
    rows = [(words.say("falls-picture-stays"), zones)]
    if runs is not None:
        rows.append((words.say("falls-picture-runs"), zones_running(brief, runs)))
    strip = _strip(brief, (0.0, low + 0.006, 1.0, high), rows, top)
    boxes = (
        TextBox(
            name="zones",
            frame=(0.015, high + 0.004, 0.985, LOW - 0.008),
            lines=(*_said(brief, sweep, zones), *_running(brief, runs)),
        ),
    )
    return furnish(
        brief,
        view="no-fall",
        question=words.say("falls-question"),
        panels=(top, *close, strip),
        boxes=boxes,
        legend=(*_legend(words), *worst.legend(numbered(brief), brief.study.clearance or None, words)),
        state=words.say("falls-picture-state"),
        base=False,
    )


def numbered(brief: Brief) -> tuple[Finding, ...]:
    """The worst places of bodies that hang or fall on the leash; those of a lost main have a picture of their own."""
    return tuple(
        finding
        for finding in worst.places(brief.study.clearance or None)
        if finding.kind == "body" and EVENTS.get(finding.why.kind) != "gone"
    )


def _swept(
    brief: Brief,
    sweep: LeashFallSweep,
    stated: LeashFallSweep,
    runs: Floats | None,
    frame: Frame,
    *,
    bodies: bool,
    places: tuple[int, ...] = (),
) -> Panel:
    rig, theme = brief.solution.rig, brief.theme
    assert rig.walker is not None
    chord = side.chord_of(brief)
    size = brief.panel_size(frame)
    camera = side.camera(
        brief,
        frame,
        np.concatenate([chord, sweep.low.foot, sweep.ring_standing, *(() if runs is None else (runs,))]),
        (0.05, 92.0 / size[1], 0.05, 46.0 / size[1]),  # Words of two lines stand over the discs.
    )
    cut, edge = side.cut_open(brief, camera)
    level, heights = side.levels(brief, camera, size)
    forwards = ground.plan_direction(rig)
    surfaces: list[Surface] = [*cut]
    wires: list[Wire] = [Wire(name="chord", points=chord, colour="quiet", width=theme.thin, dashed=True), *edge, *level]
    toward = camera.axes()[2]
    for k in _bodies(sweep) if bodies else ():
        for name, ring, longer, colour, lift in (
            ("hang", sweep.ring_standing[k], rig.walker.compliance * rig.walker.mass * G, "walker", 0.1),
            ("lowest", sweep.low.ring[k], float(sweep.low.stretch[k]), "alarm", 0.0),
        ):
            man = rig.walker.stretched(longer)
            body, leash = person.hanging(man, ring + toward * lift, forwards, rig.main, name=name, colour=colour)
            surfaces += body
            wires += leash
    wires += [
        Wire(name="feet standing", points=sweep.ring_standing, colour="main", width=theme.main_width),
        Wire(name="foot hanging", points=sweep.hang.foot, colour="walker", width=2.6, dashed=True, front=True),
        Wire(name="foot lowest", points=sweep.low.foot, colour="alarm", width=4.0, front=True),
    ]
    if runs is not None:
        wires.append(Wire(name="foot, ring runs", points=runs, colour="alarm", width=3.2, dashed=True, front=True))
    found = numbered(brief)
    measures, words = brief.measures, brief.measures
    deep = Quantity(float(rig.below_anchors(stated.low.foot[stated.lowest])), "length", "up")
    labels = [
        Label(
            text=words.say("falls-picture-lowest", depth=deep, at=Spot(float(stated.at[stated.lowest]))),
            at=stated.low.foot[stated.lowest],
            towards=(0.0, -1.0),
            rank=1,
            must=True,
            strong=True,
            offset=14.0,
        ),
        *heights,
        *near.names(brief, stated, places),
    ]
    wires += near.rods(stated, places)
    if runs is not None:
        deepest = runs[np.argmax(sweep.rig.below_anchors(runs))]
        text = words.say("falls-picture-runs-lowest")
        labels.append(Label(text=text, at=deepest, towards=(0.0, -1.0), rank=2, must=True, colour="alarm"))
    here = nearest(stated.at, rig.walker.at)
    most = float(stated.low.peak_main_tension[here])
    caption = words.say(
        "falls-picture-caption", bodies="here" if bodies else "below",
        force=Quantity(float(stated.low.peak_force[here]), "force"), at=Spot(float(stated.at[here])),
        main=Quantity(most, "force"), share=Quantity(most / rig.main.strength, "ratio"),
        known_main=Term("strength-new" if rig.main.aged_strength is None else "strength-aged"),
    )
    return Panel(
        name="swept",
        frame=frame,
        camera=camera,
        surfaces=tuple(surfaces),
        wires=tuple(wires),
        symbols=(*tapes.anchors(brief.solution), *worst.symbols(found, camera, size, chord)),
        labels=tuple(labels),
        dimensions=worst.dimensions(found, measures),
        caption=caption,
        scale_bar=True,
        sky=True,
    )


def _bodies(sweep: LeashFallSweep) -> list[int]:
    """The places whose bodies are drawn: spread over the line, the lowest among them."""
    spread = np.linspace(0, len(sweep.at) - 1, BODIES + 2)[1:-1].round().astype(int)
    spread[np.argmin(np.abs(spread - sweep.lowest))] = sweep.lowest
    return sorted({int(k) for k in spread})


def _borders(zones: tuple[Zone, ...]) -> list[tuple[float, Bound]]:
    """Where each border lies from A, and which way it is rounded: the worse of two zones is widened, as in words."""
    borders: list[tuple[float, Bound]] = [(zones[0].start, "down")]
    for before, after in pairwise(zones):
        worse = WORSE.index(before.kind) < WORSE.index(after.kind)
        borders.append((before.end, "up" if worse else "down"))
    return [*borders, (zones[-1].end, "up")]


def _strip(brief: Brief, frame: Frame, rows: list[tuple[str, tuple[Zone, ...]]], above: Panel) -> Panel:
    """The line as a strip for each behaviour of the ring, metres from A over it and from B under it."""
    size = brief.panel_size(frame)
    rig, measures = brief.solution.rig, brief.measures
    ends = above.camera.project(side.chord_of(brief), brief.panel_size(above.frame))[:, 0]
    pitch = (size[1] - HEAD) / len(rows)

    def x(place: float) -> float:
        return float(ends[0] + (ends[1] - ends[0]) * place / rig.span)

    surfaces, wires, labels, marks = [], [], [], []
    for row, (name, zones) in enumerate(rows):
        middle = HEAD + (row + 0.5) * pitch
        top, bottom = middle - 0.5 * TALL, middle + 0.5 * TALL
        for zone in zones:
            left, right = x(zone.start), x(zone.end)
            surfaces.append(paper.box(zone.kind, left, top, right, bottom, zone.kind))
            if zone.kind == NEAR:
                wires += paper.hatch("hatch", left, top, right, bottom, "on_zone")
            corners = [(left, top), (right, top), (right, bottom), (left, bottom), (left, top)]
            wires.append(paper.line("rim", corners, "ink", 1.6, nearer=3.0, quiet=True))
        widest = max(zones, key=lambda zone: zone.end - zone.start)
        labels.append(
            Label(
                text=name,
                at=paper.xy(x((widest.start + widest.end) / 2), middle + 0.6 * brief.theme.body),
                towards=(0.0, 1.0),
                rank=1,
                must=True,
                strong=True,
                offset=0.0,
            )
        )
        for border, outward in _borders(zones):
            inward: Bound = "down" if outward == "up" else "up"
            for y, towards, value, rank, bound in (
                (top, 1.0, border, 2, outward), (bottom, -1.0, rig.span - border, 3, inward)
            ):
                labels.append(
                    Label(
                        text=measures.place(max(value, 0.0), bound).split(" ")[0],
                        at=paper.xy(x(border), y),
                        towards=(0.0, towards),
                        rank=rank,
                        offset=3.0,
                        size="small",
                        strong=True,
                    )
                )
        marks += [
            Symbols(
                name=f"anchor {letter}",
                points=paper.xy(spot, middle, 5.0)[None],
                symbol="disc",
                colour="state",
                size=34.0,
                text=letter,
            )
            for letter, spot in (("A", ends[0] - 26), ("B", ends[1] + 26))
        ]
    return Panel(
        name="strip",
        frame=frame,
        camera=paper.camera(size),
        surfaces=tuple(surfaces),
        wires=tuple(wires),
        symbols=tuple(marks),
        labels=tuple(labels),
        caption=measures.say("falls-picture-strip", system=measures.system),
    )


def _said(brief: Brief, sweep: LeashFallSweep, zones: tuple[Zone, ...]) -> tuple[str, ...]:
    words, span = brief.measures, brief.solution.rig.span

    def stretches(*kinds: str) -> str:
        joined: list[list[float]] = []
        for zone in zones:
            if zone.kind in kinds:
                if joined and abs(joined[-1][1] - zone.start) < 1e-9:
                    joined[-1][1] = zone.end
                else:
                    joined.append([zone.start, zone.end])
        return "; ".join(
            words.say("falls-zone-both", from_a=Stretches(((a, b),)), from_b=Stretches(((span - b, span - a),)))
            for a, b in joined
        )

    said = []
    wanted = needed(brief)
    if stretches(HIT):
        said.append(words.say("falls-zone-hit", stretches=stretches(HIT)))
    if wanted and stretches(HIT, NEAR):
        asked = Quantity(wanted, "length", "up")
        said.append(words.say("falls-zone-near", needed=asked, stretches=stretches(HIT, NEAR)))
    if stretches(UNKNOWN):
        said.append(words.say("falls-zone-unknown", stretches=stretches(UNKNOWN)))
    if not wanted:
        said.append(words.say("falls-zone-not-asked"))
    how = "space" if brief.study.fall_gaps else "below"
    said.append(words.say("falls-zone-basis", how=how, height=Quantity(sweep.free_fall, "length")))
    return tuple(said)


def _running(brief: Brief, runs: Floats | None) -> tuple[str, ...]:
    """What a ring that runs along the main changes; `runs` is how low feet get then."""
    if runs is None:
        return ()
    words, found = brief.measures, brief.study.clearance or None
    if found is not None and found.runs is not None and needed(brief):
        said = "; ".join(_reached(words, reach) for reach in found.runs)
        return (words.say("falls-runs-near", stretches=said) if said else words.say("falls-runs-clear"),)
    clear = feet.clear_stretches(brief, runs)
    if clear is None:
        return (words.say("falls-runs-unknown"),)
    if not clear:
        return (words.say("falls-runs-everywhere"),)
    return (words.say("falls-runs-only", stretches=Stretches(clear)),)


def _reached(words: Words, reach: RunReach) -> str:
    """One stretch, and from where a fall gets there."""
    over, falls = Stretches((reach.from_a,)), Stretches(reach.falls)
    if not reach.strikes:
        return words.say("falls-runs-stretch", over=over, falls=falls)
    return words.say("falls-runs-stretch-hit", over=over, falls=falls, strikes=Stretches(reach.strikes))


def _legend(words: Words) -> tuple[LegendEntry, ...]:
    return (
        LegendEntry(text=words.say("falls-legend-standing"), colour="main", width=5.0),
        LegendEntry(text=words.say("falls-legend-hang"), colour="walker", width=2.6, dashed=True),
        LegendEntry(text=words.say("falls-legend-lowest"), colour="alarm", width=4.0),
        LegendEntry(text=words.say("falls-legend-runs"), colour="alarm", width=3.2, dashed=True),
        LegendEntry(text=words.say("falls-legend-hit"), colour=HIT, symbol="block"),
        LegendEntry(text=words.say("falls-legend-near"), colour=NEAR, symbol="block"),
        LegendEntry(text=words.say("falls-legend-kept"), colour=KEPT, symbol="block"),
    )
