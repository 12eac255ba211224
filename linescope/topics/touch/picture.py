"""Where the lines touch and who presses on whom: at one tape, as the gap beside it, and tape by tape along the line."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from linescope.contact.gap import Gap
from linescope.contact.touching import Touch, Touching
from linescope.notes import Quantity
from linescope.stage import ground, paper, ribbon
from linescope.stage.camera import parallel_fit
from linescope.stage.faces import TOUCHING, metres, points_at, shaded, tape_row
from linescope.stage.ground import UP
from linescope.stage.items import DimensionLine, Frame, Label, LegendEntry, Panel, Stage, Surface, TextBox, Wire
from linescope.stage.page import LOW, Brief, furnish
from linescope.stage.theme import tape_look
from linescope.statics.solution import LineShape
from linescope.topics.touch import touch_notes
from linescope.words import Words

Floats = NDArray[np.float64]
WHOLE = ("tight bay", "shallow loop", "pressed", "over the main")
ROWS = 9


def build(brief: Brief) -> Stage:
    """One tape true to scale, the gap beside it, contact and what presses tape by tape, and the worst in numbers."""
    touching = brief.study.touch
    brief = brief.showing(touching.solution)
    brief = replace(brief, theme=shaded(brief.theme))
    words, number = brief.measures, shown_tape(touching)
    split = brief.top + 0.47 * (LOW - brief.top)
    panels = (
        _near(brief, touching, number, (0.0, brief.top, 0.50, split)),
        gaps(brief, touching, number, (0.503, brief.top, 1.0, split)),
        _along(brief, touching, (0.0, split + 0.004, 0.66, LOW - 0.008)),
    )
    table = TextBox(
        name="touches", frame=(0.665, split + 0.004, 0.985, LOW - 0.008), heading=words.say("touch-picture-hardest"),
        table=_table(brief, touching),
        lines=tuple(words.note(note) for note in (*touch_notes(touching), *touching.assumed)),
    )
    legend = (
        LegendEntry(text=words.say("touch-picture-touching", limit=_small(words, touching.reach)), colour=TOUCHING,
                    width=14.0),
        LegendEntry(text=words.say("touch-picture-main"), colour="main", width=14.0),
        LegendEntry(text=words.say("touch-picture-backup"), colour="backup", width=14.0),
    )
    families = dict.fromkeys(tape.family for tape in brief.solution.layout.tapes)
    symbols = tuple(
        LegendEntry(
            text=words.named("tapes-family", name), colour=tape_look(name).colour, symbol=tape_look(name).symbol
        )
        for name in families
    )
    return furnish(
        brief, view="touch", question=words.say("touch-question"), panels=panels, boxes=(table,),
        legend=(*legend, *symbols), base=False,
    )


def _small(words: Words, value: float) -> str:
    """A length of millimetres.  [m]"""
    return words.width(value)


def shown_tape(touching: Touching) -> int:
    """The tape with the longest contact that does not reach to the next one; the middle one when there is none."""
    tapes = [touch for touch in touching.touches if touch.cause == "tape" and touch.tape]
    free = [touch for touch in tapes if not any(_whole(touching, touch.tape or 1))]
    if not free:
        return max(tapes, key=lambda touch: (touch.pressed, touch.carried)).tape or 1 if tapes else 1
    middle = len(tapes) // 2
    best = max(free, key=lambda touch: (round(touch.length, 4), -abs((touch.tape or 0) - middle)))
    return best.tape or 1


def _whole(touching: Touching, number: int) -> tuple[Touch | None, Touch | None]:
    """The touches of the bays on either side of a tape, where these touch all along."""
    loops = touching.solution.bays.loop_length
    by_bay = {
        touch.bays[0]: touch for touch in touching.touches
        if touch.cause in WHOLE and touch.length >= loops[touch.bays[0] - 1] * (1.0 - 1e-9)
    }
    return by_bay.get(number), by_bay.get(number + 1)


def _reach(touching: Touching, number: int) -> float:
    """How far to both sides of a tape is shown.  [m]"""
    if any(_whole(touching, number)):
        return 0.3
    touch = touching.at_tape(number)
    return float(np.clip(2.2 * max(touch.towards_a, touch.towards_b), 0.03, 1.2))


def _ribbon(
    name: str, shape: LineShape, at: Floats, spans: tuple[float, float], width: float, thickness: float, side: float
) -> Surface:
    """A stretch of a line whose touching part has its own colour."""
    at = np.union1d(at, [value for value in spans if at[0] < value < at[-1]])
    points = points_at(shape, at)
    _, out = ribbon.frames(points)
    strip = ribbon.strip(
        points + out * side * thickness / 2, width=width, thickness=thickness, name=name, top=name,
        under=f"{name}_under",
    )
    middle = 0.5 * (at[:-1] + at[1:])
    inside = np.repeat((middle > spans[0]) & (middle < spans[1]), 4)
    mask = np.concatenate([inside, inside, np.zeros(4, dtype=bool)])
    return replace(strip, colours=(*strip.colours, TOUCHING), colour=np.where(mask, 2, strip.colour))


def _near(brief: Brief, touching: Touching, number: int, frame: Frame) -> Panel:
    solution, rig, measures = brief.solution, brief.solution.rig, brief.measures
    touch = touching.at_tape(number)
    reach = _reach(touching, number)
    before, after = _whole(touching, number)
    first, last = before or touch, after or touch
    centre = solution.tape_points[number - 1]
    surfaces = []
    for name, shape, marks, span, kind, side in (
        ("main", solution.main, solution.tape_main, (first.main[0], last.main[1]), rig.main, 1.0),
        ("backup", solution.backup, solution.tape_backup, (first.backup[0], last.backup[1]), rig.backup, -1.0),
    ):
        at = float(marks[number - 1])
        stretch = np.linspace(max(at - 1.5 * reach, 0.0), min(at + 1.5 * reach, float(shape.coordinate[-1])), 241)
        surfaces.append(_ribbon(name, shape, stretch, span, kind.width, kind.thickness, side))
    lift = UP * (0.5 * rig.main.width + 0.12 * reach)
    along = (rig.main_b - rig.main_a) / rig.span
    shown = np.array([centre + along * x * 1.2 * reach for x in (-1.0, 1.0)])
    low = points_at(solution.backup, np.array([touch.backup[0], touch.backup[1]]))
    camera = parallel_fit(
        np.concatenate([shown, low, touch.points + lift]),
        look=ground.direction(rig, turn=0.0, tilt=math.radians(9)),
        up=UP,
        aspect=brief.aspect(frame), margin=(0.02, 0.26, 0.02, 0.2),
    )
    far = float(np.linalg.norm(touch.points[1] - touch.points[0]))
    dimension = DimensionLine(
        name="contact", start=touch.points[0] + lift, end=touch.points[1] + lift,
        value=far, text=measures.say("touch-picture-touches", length=measures.length(far)),
        towards=(0.0, 1.0),
    )
    return Panel(
        name="near", frame=frame, camera=camera, surfaces=tuple(surfaces),
        dimensions=() if before or after else (dimension,),
        caption=measures.say("touch-picture-tape", number=number, who=who_presses(measures, touch))
        + (measures.say("touch-picture-all-along") if before or after else ""),
        scale_bar=True,
    )


def gaps(brief: Brief, touching: Touching, number: int, frame: Frame, *, short: bool = False) -> Panel:
    """Gap of the centre lines under the main against distance from the tape, to both sides; `short`: its caption."""
    solution, measures = brief.solution, brief.measures
    size = width, height = brief.panel_size(frame)
    touch = touching.at_tape(number)
    reach = _reach(touching, number)
    before, after = _whole(touching, number)
    left, right, top, bottom = 110.0, width - 40.0, 96.0, height - 20.0
    most = 3.0 * touching.reach
    middle = 0.5 * (left + right)
    across, up = (right - left) / (2 * reach), (bottom - top) / most
    gap = Gap(solution, touching.turn)
    wires, labels, surfaces = [], [], []
    for bay, sign in ((number - 1, -1.0), (number, 1.0)):
        length = float(gap.length[bay])
        s = np.linspace(0.0, min(reach, length), 200)
        found = gap.nearest(np.full(len(s), bay), s if sign > 0 else length - s).gap
        keep = found <= most
        points = np.column_stack([middle + sign * s[keep] * across, top + found[keep] * up])
        wires.append(paper.line("gap", points, "backup", 4.0))
    limit = top + touching.reach * up
    wires.append(paper.line("reach", [(left, limit), (right, limit)], "ink", 2.0, dashed=True, quiet=True))
    wires.append(paper.line("main", [(left, top), (right, top)], "main", 4.0))
    surfaces.append(
        paper.box("contact", left if before else middle - touch.towards_a * across, top - 7,
                  right if after else middle + touch.towards_b * across, top + 7, TOUCHING, 3.0)
    )
    text = measures.say("touch-picture-less", limit=_small(measures, touching.reach))
    labels.append(Label(text=text, at=paper.xy(left + 20, limit), towards=(1.0, 1.0), rank=1,
                        must=True, offset=6.0))
    for end, sign, name, whole in (
        (touch.towards_a, -1.0, "A", before), (touch.towards_b, 1.0, "B", after)
    ):
        far = measures.say("touch-picture-whole") if whole else measures.length(end)
        labels.append(
            Label(text=measures.say("touch-picture-towards", far=far, end=name),
                  at=paper.xy(middle + sign * (0.5 * reach if whole else end) * across, top),
                  towards=(sign, 1.0), rank=1, must=True,
                  strong=True, offset=14.0)
        )
    return Panel(
        name="gap", frame=frame, camera=paper.camera(size), surfaces=tuple(surfaces), wires=tuple(wires),
        labels=tuple(labels),
        caption=measures.say(
            "touch-picture-gap-short" if short else "touch-picture-gap", number=number,
            times=Quantity(up / across, "number"),
        ),
    )


def _along(brief: Brief, touching: Touching, frame: Frame) -> Panel:
    """Contact length at every tape as bars; bays that touch all along as blocks on the line.

    Where every bay touches all along, no tape has a contact of its own: then how hard each presses is shown.
    """
    layout, measures = brief.solution.layout, brief.measures
    size = width, height = brief.panel_size(frame)
    left, right, top, bottom = 110.0, width - 40.0, 74.0, height - 84.0
    per_metre = (right - left) / layout.main_length
    tapes = [touch for touch in touching.touches if touch.cause == "tape" and touch.tape]
    pressed = not any(touch.length > 0.0 for touch in tapes)
    values = [touch.carried + touch.pressed if pressed else touch.length for touch in tapes]
    most = max(values, default=0.0)
    surfaces: list[Surface] = []
    wires: list[Wire] = [paper.line("line", [(left, bottom), (right, bottom)], "main", 3.0)]
    labels: list[Label] = []
    for touch, value in zip(tapes, values, strict=True):
        x = left + float(layout.tape_main[(touch.tape or 1) - 1]) * per_metre
        half = float(np.clip(0.2 * per_metre * np.median(layout.bays_main), 1.5, 10.0))
        if value > 0.0:
            y = bottom - (bottom - top) * value / most
            surfaces.append(paper.box("contact", x - half, y, x + half, bottom, TOUCHING, 1.0))
    whole = [touch for touch in touching.touches if touch.cause in WHOLE]
    for touch in whole:
        a, b = (left + place * per_metre for place in touch.main)
        surfaces.append(paper.box("whole bay", a + 1, bottom + 4, max(b - 1, a + 3), bottom + 20, TOUCHING, 1.0))
    if most > 0.0:  # The axis tells the others; only the longest one's figure has nothing over it.
        value, touch = max(zip(values, tapes, strict=True), key=lambda pair: pair[0])
        said = measures.force(value) if pressed else measures.length(value)
        x = left + float(layout.tape_main[(touch.tape or 1) - 1]) * per_metre
        labels.append(
            Label(text=measures.say("touch-picture-longest", number=touch.tape or 1, value=said), at=paper.xy(x, top),
                  towards=(0.0, 1.0), rank=1, must=True, strong=True, offset=8.0)
        )  # fmt: skip
        unit, name = _axis(brief, most, pressed)
        for tick in paper.ticks(0.0, most / unit, 4)[1:]:
            y = bottom - (bottom - top) * tick * unit / most
            wires.append(paper.line("level", [(left - 12.0, y), (right, y)], "rule", 1.4, quiet=True))
            labels.append(
                Label(text=measures.tick(tick, name), at=paper.xy(left - 12.0, y), size="small", towards=(-1.0, 0.0),
                      rank=0, must=True, offset=4.0)
            )  # fmt: skip
    labels += metres(brief, layout.main_length, left, per_metre, height - 36.0)
    caption = measures.say("touch-picture-along-force" if pressed else "touch-picture-along-length")
    if whole:
        caption += measures.say("touch-picture-along-whole", count=len(whole))
    return Panel(
        name="along", frame=frame, camera=paper.camera(size), surfaces=tuple(surfaces), wires=tuple(wires),
        symbols=tape_row(layout, left, per_metre, bottom + 32.0), labels=tuple(labels),
        caption=caption,
    )


def _axis(brief: Brief, most: float, force: bool) -> tuple[float, str]:
    """Unit of the bars' axis and its name."""
    if brief.measures.system == "feet":
        return (4.4482216152605, "lbf") if force else (0.0254, "in")
    if force:
        return 1.0, "N"
    return (0.01, "cm") if most >= 0.01 else (0.001, "mm")


def _table(brief: Brief, touching: Touching) -> tuple[tuple[str, ...], ...]:
    measures = brief.measures
    heads = ("touch-where", "touch-why", "touch-touches-length", "touch-picture-who")
    rows = [tuple(measures.say(name) for name in heads)]
    for touch in sorted(touching.touches, key=lambda touch: (-touch.pressed, -touch.carried))[:ROWS]:
        far = measures.length(touch.length)
        contact = measures.say("touch-picture-its-bays") if touch.cause == "tape" and touch.length == 0.0 else far
        where = measures.say(
            "touch-picture-at-tape" if touch.tape else "touch-picture-in-bay", number=touch.tape or touch.bays[0]
        )
        cause = measures.say(f"touch-cause-{touch.cause.replace(' ', '-')}")
        rows.append((where, cause, contact, who_presses(measures, touch)))
    return tuple(rows)


def who_presses(words: Words, touch: Touch) -> str:
    """What carries or presses there, and how hard."""
    if touch.pressed > 0.0:
        name = "touch-picture-lines" if touch.bare > 0.5 else "touch-picture-lines-strip"
        return words.say(name, force=words.force(touch.pressed))
    if touch.carried > 0.0:
        name = "touch-picture-anchor" if touch.cause == "anchor" else "touch-picture-strip"
        return words.say(name, force=words.force(touch.carried))
    return words.say("none")
