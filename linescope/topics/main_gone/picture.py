"""What if the main goes: both sides of the bracket with rest, energy floor and body, true to scale over the ground."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.events.main_gone import SIDES, MainGone, Release, height_rule
from linescope.notes import Kind, Note, Quantity, Severity, Stretches, Term
from linescope.stage import feet, ground, person, side, tapes
from linescope.stage.items import DimensionLine, Frame, Label, LegendEntry, Panel, Stage, Surface, Symbols, Wire
from linescope.stage.page import LOW, Brief, furnish
from linescope.words import Words

Floats = NDArray[np.float64]


class PictureNote(Kind):
    """Whether feet can come down to the ground."""

    UNKNOWN = "main-gone-ground-unknown"
    CLEAR = "main-gone-feet-clear"
    EVERYWHERE = "main-gone-feet-everywhere"
    REACH = "main-gone-feet-reach"


FAR = 1.0  # Of the height that feet pass through: ground further below the lowest foot is not brought into the picture.


def build(brief: Brief) -> Stage:
    """One panel for each side of the bracket; a single one when nothing ties main and backup."""
    gone, sweep, stated = brief.study.main_gone, brief.study.main_gone_sweep, brief.study.gone_places
    assert gone
    assert sweep
    assert stated
    reach = _reach(brief, feet.lower_edge(sweep.nothing_holds.floor.most_foot))
    brief = brief.showing(brief.study.taped, *(() if gone.tied else (reach,)), *stated.notes)
    words = brief.measures
    top, low = brief.top, LOW - 0.008
    panels: tuple[Panel, ...]
    if gone.tied:
        middle = (top + low) / 2
        panels = (
            _panel(brief, gone, gone.nothing_holds, sweep.nothing_holds, (0.0, top, 1.0, middle - 0.003)),
            _panel(brief, gone, gone.ties_hold, sweep.ties_hold, (0.0, middle + 0.003, 1.0, low)),
        )
    else:
        panels = (_panel(brief, gone, gone.nothing_holds, sweep.nothing_holds, (0.0, top, 1.0, low)),)
    return furnish(
        brief,
        view="main-gone",
        question=words.say("main-gone-question"),
        panels=panels,
        legend=(*_legend(words), *person.sign_legend(panels[0].symbols, words)),
        state=words.say("main-gone-picture-state", place=words.place(round(float(gone.at[0]), 1))),
        base=False,
    )


def _panel(brief: Brief, gone: MainGone, release: Release, anywhere: Release, frame: Frame) -> Panel:
    rig, theme, measures = brief.solution.rig, brief.theme, brief.measures
    assert rig.walker is not None
    chord = side.chord_of(brief)
    # Both panels of a bracket keep one scale, that of the deeper side.
    deepest = gone.nothing_holds.floor.most_foot[0]
    shown = [chord, deepest]
    bottom = _ground_under(brief, gone.nothing_holds)
    if bottom is not None and gone.nothing_holds.lowest.foot[0, 2] - bottom[2] < FAR * float(np.ptp(deepest[:, 2])):
        shown.append(bottom[None])
    camera = side.camera(brief, frame, np.concatenate(shown), (0.05, 0.17, 0.05, 0.17))
    measured, reached = _left(brief, release, _ground_under(brief, release))
    size = brief.panel_size(frame)
    forwards = ground.plan_direction(rig)
    edge_low = feet.lower_edge(anywhere.floor.most_foot)
    cut, edge = side.cut_open(brief, camera)
    level, heights = side.levels(brief, camera, size)
    surfaces: list[Surface] = [*cut]
    wires: list[Wire] = [
        Wire(name="chord", points=chord, colour="quiet", width=theme.thin, dashed=True),
        *edge,
        *level,
        Wire(
            name="main before",
            points=np.array([rig.main_a, gone.ring_standing[0], rig.main_b]),
            colour="main",
            width=theme.thin,
            dashed=True,
        ),
        Wire(name="floor", points=release.floor.most_foot[0], colour="alarm", width=3.0, dashed=True, front=True),
        Wire(name="envelope", points=edge_low, colour="alarm", width=1.6, front=True),
    ]
    toward = camera.axes()[2]
    signs: list[Symbols] = []
    for name, line, ring, foot, colour, width in (
        ("rest", release.rest.line[0], release.rest.ring[0], release.rest.foot[0], "backup", theme.backup_width * 1.2),
        (
            "lowest", release.lowest.line[0], release.lowest.ring[0], release.lowest.foot[0], "alarm",
            theme.backup_width * 0.8,
        ),
    ):
        man = rig.walker.stretched(float(ring[2] - foot[2]) - rig.walker.leash - rig.walker.hang)
        wires.append(Wire(name=f"line {name}", points=line, colour=colour, width=width))
        body, leash = person.hanging(
            man,
            ring + toward * (0.3 if name == "rest" else 0.0),
            forwards,
            rig.backup,
            name=name,
            colour="walker" if name == "rest" else "alarm",
        )
        surfaces += body
        wires += leash
        signs += person.hanging_sign(
            man, ring, camera.metres_per_pixel(size), name=name, colour="walker" if name == "rest" else "alarm"
        )
    low = float(gone.rig.below_anchors(release.lowest.foot[0]))
    labels = [
        Label(
            text=measures.say(
                "main-gone-picture-rest", depth=Quantity(float(release.rest.depth[0]), "length"),
                tension=Quantity(float(release.rest.tension[0]), "force"),
            ),
            at=release.rest.ring[0],
            towards=(1.0, 0.5),
            rank=1,
            must=True,
            strong=True,
            offset=22.0,
        ),
        Label(
            text=measures.say("main-gone-picture-lowest", depth=Quantity(low, "length", "up")),
            at=release.lowest.foot[0],
            towards=(-0.6, -1.0),
            rank=1,
            must=True,
            strong=True,
            offset=16.0,
        ),
        *reached,
        *heights,
    ]
    return Panel(
        name=release.name,
        frame=frame,
        camera=camera,
        surfaces=tuple(surfaces),
        wires=tuple(wires),
        symbols=(*tapes.anchors(brief.solution), *_ties(brief), *signs),
        labels=tuple(labels),
        dimensions=measured,
        caption=_caption(brief, gone, release, edge_low),
        scale_bar=True,
        sky=True,
    )


def _ground_under(brief: Brief, release: Release) -> Floats | None:
    """The ground straight under the lowest foot there can be; None where it is not known.  [m]"""
    if brief.ground is None:
        return None
    foot = release.most.foot[0]
    ring = np.array([foot[0], foot[1], release.lowest.ring[0, 2] + release.lowest.depth[0]])
    z = float(ground.height_below(brief.ground.near, ring[None])[0])
    return np.array([foot[0], foot[1], z]) if np.isfinite(z) else None


def _left(brief: Brief, release: Release, under: Floats | None) -> tuple[tuple[DimensionLine, ...], tuple[Label, ...]]:
    """What is left under the lowest foot there can be, as a measuring line, or words that the ground is reached."""
    if under is None:
        return (), ()
    foot = release.most.foot[0]
    left = float(foot[2] - under[2])
    if left > 0.0:
        text = brief.measures.say("main-gone-picture-left", height=Quantity(left, "length", "down"))
        return (DimensionLine(name="left", start=foot, end=under, value=left, text=text, rank=2),), ()
    text = brief.measures.say("main-gone-picture-into", depth=Quantity(-left, "length", "up"))
    said = Label(text=text, at=under, towards=(1.0, -0.6), rank=2, must=True, strong=True, colour="alarm", offset=14.0)
    return (), (said,)


def _ties(brief: Brief) -> tuple[Symbols, ...]:
    solution = brief.solution
    chosen = [tape.kind == "tie" for tape in solution.layout.tapes]
    if not any(chosen):
        return ()
    return (
        Symbols(
            name="tie",
            points=solution.tape_points[np.array(chosen)],
            symbol="bow",
            colour="alarm",
            size=brief.theme.symbol,
        ),
    )


def _reach(brief: Brief, edge: Floats) -> Note:
    """Where the energy suffices to bring feet to the ground."""
    reached = feet.reached_stretches(brief, edge)
    if reached is None:
        return Note(kind=PictureNote.UNKNOWN, severity=Severity.CHECK)
    if not reached:
        return Note(kind=PictureNote.CLEAR, severity=Severity.BASIS)
    if not feet.clear_stretches(brief, edge):
        return Note(kind=PictureNote.EVERYWHERE, severity=Severity.DANGER, weight=2.0)
    values = {"stretches": Stretches(reached)}
    return Note(kind=PictureNote.REACH, severity=Severity.DANGER, values=values, weight=1.0)


def _caption(brief: Brief, gone: MainGone, release: Release, edge: Floats) -> str:
    words, strength = brief.measures, brief.solution.rig.backup.aged_strength
    side = SIDES[release.name].replace("side-", "main-gone-picture-") if gone.tied else "main-gone-picture-not-tied"
    rule = Quantity(height_rule(brief.solution.rig.span), "length")
    return words.say(
        "main-gone-picture-caption",
        side=Term(side),
        spare=Quantity(float(release.spare[0]), "length"),
        peak=Quantity(float(release.lowest.tension[0]), "force"),
        share=Quantity(float(release.lowest.share[0]), "ratio"),
        most=Quantity(float(release.most.tension[0]), "force"),
        known=Term("strength-new" if strength is None else "strength-aged"),
        more=words.note(_reach(brief, edge)) if gone.tied else words.say(
            "main-gone-picture-rule", height=rule, plus=Quantity(3.0, "length")
        ),
    )


def _legend(words: Words) -> tuple[LegendEntry, ...]:
    return tuple(
        LegendEntry(text=words.say(f"main-gone-picture-legend-{name}"), colour=colour, width=width, dashed=dashed)
        for name, colour, width, dashed in (
            ("rest", "backup", 4.0, False), ("lowest", "alarm", 2.6, False), ("feet", "alarm", 3.0, True),
            ("anywhere", "alarm", 1.6, False), ("before", "main", 1.6, True),
        )
    )
