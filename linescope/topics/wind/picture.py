"""Wind: loops in still air, blown out, in a gust and after a sudden one; bays whose loops can come above the main."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from linescope.events.wind import WindCase, WindNote, WindResult
from linescope.notes import Bays, Quantity, Verbatim
from linescope.stage import dimensions, ground, lines, paper, tapes
from linescope.stage.board import EDGE, WIDE, Board
from linescope.stage.camera import perspective_fit
from linescope.stage.items import Frame, Label, LegendEntry, Panel, Stage, Surface, TextBox, Wire
from linescope.stage.page import LOW, Brief, furnish
from linescope.stage.workshop import TOP, paneled

Floats = NDArray[np.float64]
UP = np.array([0.0, 0.0, 1.0])
SHOWN = 4
TILT, LEVEL = math.radians(17.0), 0.0  # From how far above loops are seen: level, what is above the main looks so.
SPLIT = 0.36  # Between the cross-section and the strip of bays, as a share of the page.
STEADY, GUST, SUDDEN = "sky", "purple", "alarm"


def build(brief: Brief) -> Stage:
    """Near view with ghosts above; a cross-section, the bays as a strip, and the figures below."""
    wind = brief.study.wind
    assert wind
    case = wind.case("empty", "as given")
    brief = brief.showing(brief.study.standing, *wind.notes)
    low = 0.640
    boxes = (
        TextBox(name="wind", frame=(SPLIT + 0.012, low + 0.006, 0.985, LOW - 0.008), lines=_said(brief, wind, case)),
    )
    words = brief.measures
    speed, gust = (Quantity(v, "speed") for v in _speeds(wind))
    return furnish(
        brief,
        view="wind",
        question=words.say("wind-question"),
        panels=_panels(brief, wind, case, brief.top, low, LOW - 0.008),
        boxes=boxes,
        legend=(*_legend(brief, wind), *tapes.legend(brief.solution, words)),
        base=False,
        state=words.say("wind-picture-state", speed=speed, gust=gust),
    )


def board(brief: Brief) -> Board:
    """The same panels; the message is what a gust does to the loops."""
    wind = brief.study.wind
    assert wind
    case = wind.case("empty", "as given")
    brief = replace(brief, solution=brief.study.standing)
    words, low, end = brief.measures, 0.640, 0.80
    wrap, above = (
        tuple(sorted({bay for each in wind.cases for bay in getattr(each, name)})) for name in ("wrap", "above")
    )
    speed, gust = (Quantity(v, "speed") for v in _speeds(wind))
    bays, total = wrap or above, len(brief.solution.bays.excess)
    title = words.say(
        "wind-title", what="wrap" if wrap else "above" if above else "none", bays=Bays(bays), count=len(bays),
        every="yes" if len(bays) == total else "no", gust=gust, level=Quantity(wind.level_speed, "speed", "down"),
    )
    return paneled(
        brief, name="wind", title=title, loud=bool(wrap),
        panels=_panels(brief, wind, case, TOP, low, end, titled=True),
        said=(((SPLIT + 0.012, low + 0.006, 1.0, end), "", _said(brief, wind, case, titled=True)),), height=end + 0.01,
        under=words.say("wind-under", name=Verbatim(brief.solution.rig.name), speed=speed, gust=gust),
        key=_legend(brief, wind),
    )


def _panels(
    brief: Brief, wind: WindResult, case: WindCase, top: float, low: float, end: float, *, titled: bool = False
) -> tuple[Panel, ...]:
    """Those of a record's picture, or of one whose title is its verdict: between margins, with short captions."""
    middle, side, tilt, short = (0.455, EDGE / WIDE, LEVEL, "-short") if titled else (0.455, 0.0, TILT, "")
    return (
        _near(brief, case, (side, top, 1.0 - side, middle), tilt),
        _end_on(brief, case, (side, middle + 0.006, SPLIT, end), short),
        _bays(brief, wind, (SPLIT + 0.004, middle + 0.006, 1.0 - side, low), short),
    )


def _legend(brief: Brief, wind: WindResult) -> tuple[LegendEntry, ...]:
    words = brief.measures
    speed, gust = (Quantity(v, "speed") for v in _speeds(wind))
    return (
        LegendEntry(text=words.say("wind-picture-main-still"), colour="main", width=brief.theme.main_width * 1.3),
        LegendEntry(text=words.say("wind-picture-backup-still"), colour="backup", width=brief.theme.backup_width * 1.2),
        LegendEntry(text=words.say("wind-picture-steady", speed=speed), colour=STEADY, width=3.4),
        LegendEntry(text=words.say("wind-picture-gust", gust=gust), colour=GUST, width=3.4),
        LegendEntry(text=words.say("wind-picture-sudden"), colour=SUDDEN, width=3.4, dashed=True),
    )


def _speeds(wind: WindResult) -> tuple[float, float]:
    return wind.wind.speed, wind.wind.speed * wind.wind.gust_factor


def shown_bays(case: WindCase) -> range:
    """A few bays round the one whose loop rises highest, or the middle."""
    n = len(case.sudden_above)
    # The first of those that rise alike: rounding must not choose between them.
    highest = np.flatnonzero(case.sudden_above >= 0.999 * case.sudden_above.max())
    middle = int(highest[0]) if case.sudden_above.max() > 0 else n // 2
    start = int(np.clip(middle - SHOWN // 2, 0, max(0, n - SHOWN)))
    return range(start, min(n, start + SHOWN))


def ghosts(case: WindCase, bays: range) -> list[tuple[str, str, Floats]]:
    """Name, colour and points of every blown loop.  [m]"""
    found = []
    for name, colour, loops in (
        ("steady", STEADY, dimensions.by_bay(case.steady.backup, 30)),
        ("gust", GUST, dimensions.by_bay(case.gust.backup, 30)),
        ("sudden", SUDDEN, list(case.swung)),
    ):
        found += [(f"{name} {bay + 1}", colour, np.asarray(loops[bay])) for bay in bays]
    return found


def _near(brief: Brief, case: WindCase, frame: Frame, tilt: float) -> Panel:
    solution, theme = brief.solution, brief.theme
    bays = shown_bays(case)
    blown = ghosts(case, bays)
    still = dimensions.loops(solution)
    mains = [
        ("main in gust", GUST, dimensions.by_bay(case.gust.main, 12)),
        ("main in steady wind", STEADY, dimensions.by_bay(case.steady.main, 12)),
    ]
    camera = perspective_fit(
        np.concatenate([*(points for _, _, points in blown), *(still[bay].points for bay in bays)]),
        look=ground.direction(brief.solution.rig, turn=math.radians(30), tilt=tilt),
        up=UP,
        angle=math.radians(20),
        aspect=brief.aspect(frame),
        margin=(0.04, 0.20, 0.04, 0.10),
    )
    wires = [
        Wire(name=name, points=points, colour=colour, width=2.6, dashed=name.startswith("sudden"))
        for name, colour, points in blown
    ]
    wires += [
        Wire(name=name, points=np.concatenate([parts[bay] for bay in bays]), colour=colour, width=2.6)
        for name, colour, parts in mains
    ]
    words = brief.measures
    first, last = (words.place(round(float(np.sum(solution.bays.length[:k])), 1)) for k in (bays.start, bays.stop))
    side = words.say("wind-picture-from-left" if _from_left(brief, case) else "wind-picture-from-right")
    return Panel(
        name="ghosts",
        frame=frame,
        camera=camera,
        surfaces=lines.ribbons(solution, per_segment=30),
        wires=(*lines.centre_lines(solution, theme, per_segment=30), *wires),
        symbols=tapes.symbols(solution, theme, scale=1.1),
        labels=(
            *(
                Label(
                    text=brief.measures.say("wind-picture-bay", bay=bay + 1),
                    at=still[bay].points[len(still[bay].points) // 2],
                    size="small",
                    towards=(0.0, -1.0),
                    rank=3,
                    offset=16.0,
                )
                for bay in bays
            ),
        ),
        caption=words.say(
            "wind-picture-near", first=bays.start + 1, last=bays.stop, start=first, end=last, **{"from": side}
        ),
        sky=True,
    )


def _from_left(brief: Brief, case: WindCase) -> bool:
    """Whether the wind comes from the left, facing B."""
    along = ground.plan_direction(brief.solution.rig)
    return float(np.cross(UP, along) @ case.gust_load.towards) <= 0


def _end_on(brief: Brief, case: WindCase, frame: Frame, short: str) -> Panel:
    """One bay seen along the line from A: the loop as a pendulum about its tapes."""
    width, height = brief.panel_size(frame)
    bay = shown_bays(case)[len(shown_bays(case)) // 2]
    depth = float(brief.solution.bays.loop_depth[bay])
    words = brief.measures
    sign = 1.0 if _from_left(brief, case) else -1.0
    angles = [0.0, *(float(a[bay]) for a in (case.steady_swing, case.gust_swing, case.sudden_swing))]
    reach = 0.66 * min(0.42 * width, 0.40 * height)
    x0, y0 = width / 2, 0.50 * height
    wires, labels = [], []
    for name, colour, angle in zip(
        ("still", "steady", "gust", "sudden"), ("backup", STEADY, GUST, SUDDEN), angles, strict=True
    ):
        tip = (x0 + sign * reach * math.sin(angle), y0 + reach * math.cos(angle))
        wires.append(paper.line(f"end {name}", [(x0, y0), tip], colour, 5.0, dashed=name == "sudden"))
        text = words.say(f"wind-picture-{name}-angle", angle=Quantity(angle, "angle", "up" if name == "sudden" else ""))
        away = (sign * math.sin(angle), -math.cos(angle))
        labels.append(
            Label(text=text, at=paper.xy(*tip), towards=away, rank=1, must=True, strong=name == "sudden", offset=12.0)
        )
    turns = np.linspace(0.0, angles[-1], 40)
    arc = [(x0 + sign * 0.8 * reach * math.sin(t), y0 + 0.8 * reach * math.cos(t)) for t in turns]
    wires.append(paper.line("swing", arc, "quiet", 1.6, dashed=True, quiet=True))
    level = [(x0 - 0.44 * width, y0), (x0 + 0.44 * width, y0)]
    wires.append(paper.line("level", level, "rule", 1.6, quiet=True))
    labels.append(
        Label(
            text=words.say("wind-picture-level"),
            at=paper.xy(x0 - sign * 0.30 * width, y0),
            size="small",
            towards=(0.0, 1.0),
            rank=4,
            colour="quiet",
            offset=4.0,
        )
    )
    tail = x0 - sign * 0.44 * width
    for y in (y0 - 0.8 * reach, y0 - 0.6 * reach):
        head = tail + sign * 0.20 * width
        barb = head - sign * 12
        wires.append(paper.line("arrow", [(tail, y), (head, y)], "ink", 2.6))
        wires.append(paper.line("arrow", [(barb, y - 8), (head, y), (barb, y + 8)], "ink", 2.6))
    labels.append(
        Label(
            text=words.say("wind-picture-wind"),
            at=paper.xy(tail + sign * 0.10 * width, y0 - 0.8 * reach),
            towards=(0.0, 1.0),
            rank=3,
            offset=6.0,
        )
    )
    dot = [(x0 + 7 * math.cos(t), y0 + 7 * math.sin(t)) for t in np.linspace(0, 2 * math.pi, 17)]
    surfaces: tuple[Surface, ...] = (paper.area("main end on", dot, "main", 6.0),)
    return Panel(
        name="end on",
        frame=frame,
        camera=paper.camera((width, height)),
        surfaces=surfaces,
        wires=tuple(wires),
        labels=tuple(labels),
        caption=words.say(f"wind-picture-end-on{short}", bay=bay + 1, depth=Quantity(depth, "length")),
    )


def _bays(brief: Brief, wind: WindResult, frame: Frame, short: str) -> Panel:
    """All bays as a strip: in which the loops can come above the main, in which they can lie round it."""
    width, height = brief.panel_size(frame)
    stations = np.concatenate([[0.0], np.cumsum(brief.solution.bays.length)])
    left, right = 60.0, width - 60.0
    above = {bay for case in wind.cases for bay in case.above}
    wrap = {bay for case in wind.cases for bay in case.wrap}
    top, bottom = 0.46 * height, 0.68 * height
    surfaces, wires, labels = [], [], []
    x = left + (right - left) * stations / stations[-1]
    for bay in range(1, len(stations)):
        colour = "zone_hit" if bay in wrap else "zone_near" if bay in above else "zone_kept"
        a, b = float(x[bay - 1]), float(x[bay])
        surfaces.append(paper.box(f"bay {bay} {colour}", a, top, b, bottom, colour))
        if colour == "zone_near":
            wires += paper.hatch("hatch", a, top, b, bottom, "on_zone")
        wires.append(paper.line("edge", [(b, top), (b, bottom)], "paper", 1.6, nearer=3.0))
    every = max(1, math.ceil(30.0 / max((right - left) / (len(stations) - 1), 1e-9)))
    every = every if every <= 2 else 5 * math.ceil(every / 5)
    for bay in range(1, len(stations)):
        if bay % every == 0 or bay == 1:
            labels.append(
                Label(
                    text=str(bay),
                    at=paper.xy(float(x[bay - 1] + x[bay]) / 2, bottom),
                    size="small",
                    towards=(0.0, -1.0),
                    rank=2,
                    offset=5.0,
                )
            )
    for name, place in (("A", left - 24), ("B", right + 24)):
        labels.append(
            Label(
                text=name,
                at=paper.xy(place, (top + bottom) / 2 + 12),
                towards=(0.0, 1.0),
                rank=1,
                strong=True,
                must=True,
                offset=0.0,
            )
        )
    return Panel(
        name="bays",
        frame=frame,
        camera=paper.camera((width, height)),
        surfaces=tuple(surfaces),
        wires=tuple(wires),
        labels=tuple(labels),
        caption=brief.measures.say("wind-picture-strip-short", wraps="yes" if wrap else "no") if short
        else brief.measures.say("wind-picture-strip"),
    )


def _said(brief: Brief, wind: WindResult, case: WindCase, *, titled: bool = False) -> tuple[str, ...]:
    """What stands beside the panels; without what the title says, where that is the verdict."""
    words = brief.measures
    steady, gust = Quantity(case.offset_steady, "length"), Quantity(case.offset_gust, "length")
    title = (WindNote.WRAP, WindNote.ABOVE) if titled else ()
    quiet = [note for note in wind.notes if not note.leads and note.kind not in title][:2]
    basis = [note for note in wind.assumed if note.kind in (WindNote.STRIP, WindNote.SWING)]
    return (*words.notes(quiet), words.say("wind-picture-main", steady=steady, gust=gust), *words.notes(basis))
