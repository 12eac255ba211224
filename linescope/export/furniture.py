"""Text in fixed frames of the page: header, alarms, inputs, legend, tables, footer."""

from __future__ import annotations

from dataclasses import dataclass, field

from linescope.export.pen import Pen, narrowed, text_size, wrap
from linescope.stage.items import LegendEntry, Stage, TextBox
from linescope.stage.labels import Box
from linescope.stage.theme import ROLES, Theme

LINE = 1.30  # Height of a line of text over its size.
SMALLEST = 0.80  # How far text may shrink to fit its frame: 7 points on A4 (21 px of 2000 are 8.8).


@dataclass(frozen=True, kw_only=True)
class Word:
    """A line of text with its place, to be written once the page has its final size."""

    text: str
    box: Box
    size: float
    colour: str
    strong: bool = False
    halo: str | None = None


@dataclass
class Furnished:
    """What has been laid out so far.  In final pixels; `unit` is pixels for one of a 2000 px wide page."""

    width: int
    height: int
    unit: float
    theme: Theme
    pen: Pen
    words: list[Word] = field(default_factory=list)

    def write(
        self,
        at: tuple[float, float],
        text: str,
        size: float,
        colour: str,
        *,
        strong: bool = False,
        halo: str | None = None,
    ) -> Box:
        """Note a line of text with its top left corner at a point, and return its rectangle."""
        width, height = text_size(text, size, strong)
        box = Box(left=at[0], top=at[1], right=at[0] + width, bottom=at[1] + height)
        self.words.append(Word(text=text, box=box, size=size, colour=colour, strong=strong, halo=halo))
        return box

    def frame(self, shares: tuple[float, float, float, float]) -> Box:
        """A frame given in shares of the page, in pixels."""
        left, top, right, bottom = shares
        return Box(
            left=left * self.width,
            top=top * self.height,
            right=right * self.width,
            bottom=bottom * self.height,
        )


def line_height(size: float) -> float:
    """Height of a line of text, never less than its rectangle (font sizes are whole pixels)."""
    return max(LINE * size, text_size("X", size)[1] + 0.5)


def header(sheet: Furnished, stage: Stage) -> float:
    """Title, state and question on top; returns where the next thing may start.  [px]"""
    if stage.message:
        return _verdict(sheet, stage)
    unit, theme = sheet.unit, sheet.theme
    pad, top = 30 * unit, 20 * unit
    state_size = 27 * unit
    state_width, state_height = text_size(stage.state, state_size, True)
    left_edge = sheet.width - pad - state_width - 36 * unit
    sheet.pen.pill(
        (left_edge, top + 2 * unit, sheet.width - pad, top + state_height + 18 * unit),
        theme.rgb("state"),
        12 * unit,
    )
    sheet.write((left_edge + 18 * unit, top + 9 * unit), stage.state, state_size, "on_state", strong=True)
    room = left_edge - 2 * pad
    size = narrowed(stage.title, theme.heading * unit, room, 0.4 * theme.heading * unit, True, by=0.95)
    title = wrap(stage.title, size, room, True)[0]
    box = sheet.write((pad, top - 4 * unit), title, size, "ink", strong=True)
    under = max(box.bottom, top + state_height + 20 * unit)
    question = wrap(stage.question, 24 * unit, sheet.width - 2 * pad)
    bottom = under
    if question:
        bottom = sheet.write((pad, under), question[0], 24 * unit, "quiet").bottom
    return bottom + 8 * unit


def _verdict(sheet: Furnished, stage: Stage) -> float:
    """The verdict in one sentence, in two lines at most, and a quiet line under it."""
    unit, theme = sheet.unit, sheet.theme
    pad, size = 60 * unit, theme.heading * unit
    room = sheet.width - 2 * pad
    lines = wrap(stage.title, size, room, True, whole=True)
    while len(lines) > 2 and size > theme.body * unit:
        size *= 0.95
        lines = wrap(stage.title, size, room, True, whole=True)
    y = 34 * unit
    for line in lines[:2]:
        y = sheet.write((pad, y), line, size, stage.message, strong=True).bottom
    small = theme.small * unit
    under = wrap(stage.question, small, room)
    return sheet.write((pad, y + 4 * unit), under[0] if under else "", small, "quiet").bottom


def key(sheet: Furnished, stage: Stage) -> None:
    """What is not labelled, in one line above the footer; what has no room there goes to a second one above it."""
    unit, size, left = sheet.unit, sheet.theme.small * sheet.unit, 60 * sheet.unit
    rows: list[list[LegendEntry]] = [[]]
    x = left
    for entry in stage.key:
        wide = 2.6 * size + text_size(entry.text, size)[0] + 1.6 * size
        if rows[-1] and x + wide > sheet.width - left:
            rows.append([])
            x = left
        rows[-1].append(entry)
        x += wide
    pitch = line_height(size)
    y = sheet.height - 18 * unit - (len(rows) + 1) * pitch
    for row in rows:
        x = left
        for entry in row:
            wide = 2.6 * size + text_size(entry.text, size)[0]
            _legend(sheet, entry, Box(left=x, top=y, right=x + wide + 2 * unit, bottom=y + pitch), y, size, "paper")
            x += wide + 1.6 * size
        y += pitch


def alarms(sheet: Furnished, stage: Stage, top: float, bottom: float) -> None:
    """What must be read first, on a band of alarm colour, as much as has room."""
    if not stage.alarms:
        return
    unit, theme = sheet.unit, sheet.theme
    pad = 30 * unit
    size = 25 * unit
    sheet.pen.pill((pad, top, sheet.width - pad, bottom), theme.rgb("alarm"), 10 * unit)
    lines: list[tuple[str, bool]] = []
    for k, alarm in enumerate(stage.alarms):
        lines += [(text, k == 0) for text in wrap(alarm, size, sheet.width - 2 * pad - 40 * unit, k == 0)]
    while size > 17 * unit and len(lines) * line_height(size) > bottom - top - 6 * unit:
        size = max(0.93 * size, 17 * unit)
        lines = [
            (text, k == 0)
            for k, alarm in enumerate(stage.alarms)
            for text in wrap(alarm, size, sheet.width - 2 * pad - 40 * unit, k == 0)
        ]
    room = max(1, int((bottom - top - 4 * unit) / line_height(size)))
    shown = lines[:room]
    if len(lines) > room:
        shown[-1] = (f"{shown[-1][0][:-2]} …", shown[-1][1])
    y = (top + bottom) / 2 - len(shown) * line_height(size) / 2
    for text, strong in shown:
        sheet.write((pad + 20 * unit, y), text, size, "on_alarm", strong=strong)
        y += line_height(size)


def footer(sheet: Furnished, stage: Stage) -> None:
    """One small line at the very bottom."""
    size = (sheet.theme.small if stage.message else 17) * sheet.unit
    pad = (60 if stage.message else 30) * sheet.unit
    text = wrap(stage.footer, size, sheet.width - 2 * pad)[0]
    _, height = text_size(text, size)
    sheet.write((pad, sheet.height - height - 8 * sheet.unit), text, size, "quiet")


def text_box(sheet: Furnished, box: TextBox) -> None:
    """Heading, lines, legend and table in a frame; the text shrinks until all of it fits."""
    frame = sheet.frame(box.frame)
    unit, theme = sheet.unit, sheet.theme
    sheet.pen.pill((frame.left, frame.top, frame.right, frame.bottom), theme.rgb("panel"), 10 * unit)
    pad = 16 * unit
    inner = Box(
        left=frame.left + pad,
        top=frame.top + 8 * unit,
        right=frame.right - pad,
        bottom=frame.bottom - 6 * unit,
    )
    size = theme.body * unit
    while size > SMALLEST * theme.body * unit and _needed(box, inner, size) > inner.bottom - inner.top:
        size = max(0.97 * size, SMALLEST * theme.body * unit)
    y = inner.top
    # A legend so long that its last row would leave the frame goes without its heading.
    full = bool(box.legend) and 1.45 * size + len(box.legend) * text_size("X", size)[1] > inner.bottom - inner.top
    while full and len(box.legend) * text_size("X", size)[1] > inner.bottom - inner.top and size > 8.0:
        size -= 1.0
    if box.heading and not full:
        y = sheet.write((inner.left, y), box.heading, size, box.colour, strong=True).bottom + 0.1 * size
    lines = [text for line in box.lines for text in wrap(line, size, inner.right - inner.left)]
    rest = (len(box.legend) + len(box.table)) * line_height(size)
    room = max(0, int((inner.bottom - y - rest) / line_height(size) + 0.05))
    if len(lines) > room:
        lines = lines[:room]
        if lines:
            lines[-1] = lines[-1][: max(0, len(lines[-1]) - len(box.rest))] + box.rest
    for text in lines:
        sheet.write((inner.left, y), text, size, box.colour)
        y += line_height(size)
    # A long legend closes up before it leaves its frame.
    pitch = line_height(size)
    if box.legend and not box.table:
        pitch = min(pitch, max(text_size("X", size)[1], (inner.bottom - y) / len(box.legend)))
    for entry in box.legend:
        _legend(sheet, entry, inner, y, size)
        y += pitch
    _table(sheet, box, inner, y, size)


def _needed(box: TextBox, inner: Box, size: float) -> float:
    width = inner.right - inner.left
    lines = sum(len(wrap(line, size, width)) for line in box.lines)
    used = (lines + len(box.legend) + len(box.table)) * line_height(size) + (1.35 * size if box.heading else 0.0)
    widest = max(
        [text_size(entry.text, size)[0] + 3.0 * size for entry in box.legend]
        + ([sum(_columns(box, size))] if box.table else [])
        + [0.0]
    )
    return used if widest <= width else float("inf")


def _columns(box: TextBox, size: float) -> list[float]:
    return [
        max(text_size(row[k], size, r == 0)[0] for r, row in enumerate(box.table)) + 0.9 * size
        for k in range(len(box.table[0]))
    ]


def _legend(
    sheet: Furnished, entry: LegendEntry, inner: Box, y: float, size: float, behind: str = "panel"
) -> None:
    theme = sheet.theme
    middle = y + line_height(size) * 0.48
    x = inner.left
    role = ROLES.get(entry.colour)
    if entry.symbol == "block" and role is not None and role.pattern:
        box = (x, middle - 0.42 * size, x + 2.1 * size, middle + 0.42 * size)
        sheet.pen.pattern(box, theme.rgb(entry.colour), theme.rgb(role.casing), role.pattern, 0.45 * size)
    elif entry.symbol is not None:
        sheet.pen.symbol(
            entry.symbol,
            (x + 1.1 * size, middle),
            0.8 * size,
            _paler(theme, entry),
            theme.rgb("outline"),
            theme.rgb(behind),
        )
    elif entry.upright:
        x_, half = x + 1.05 * size, 0.4 * size
        sheet.pen.line([(x_, middle - half), (x_, middle + half)], theme.rgb(entry.colour), entry.width * sheet.unit)
    elif entry.width > 0:
        ends = [(x, x + 0.8 * size), (x + 1.3 * size, x + 2.1 * size)] if entry.dashed else [(x, x + 2.1 * size)]
        for start, end in ends:
            sheet.pen.line([(start, middle), (end, middle)], theme.rgb(entry.colour), entry.width * sheet.unit)
    text = wrap(entry.text, size, inner.right - x - 2.6 * size)
    sheet.write((x + 2.6 * size, y), text[0], size, "ink")


def _paler(theme: Theme, entry: LegendEntry) -> tuple[int, int, int]:
    """A legend's colour as it comes out over the sky."""
    pairs = zip(theme.rgb(entry.colour), theme.rgb("sky_low"), strict=True)
    red, green, blue = (round(entry.opacity * own + (1.0 - entry.opacity) * sky) for own, sky in pairs)
    return red, green, blue


def _table(sheet: Furnished, box: TextBox, inner: Box, y: float, size: float) -> None:
    if not box.table:
        return
    widths = _columns(box, size)
    spare = max(0.0, (inner.right - inner.left - sum(widths)) / len(widths))
    for r, row in enumerate(box.table):
        x = inner.left
        for k, cell in enumerate(row):
            width, _ = text_size(cell, size, r == 0)
            column = widths[k] + spare
            start = x if k == 0 else x + column - width - 0.3 * size
            sheet.write((start, y), cell, size, "ink", strong=r == 0)
            x += column
        y += line_height(size)
        sheet.pen.line(
            [(inner.left, y - 0.1 * size), (inner.right, y - 0.1 * size)],
            sheet.theme.rgb("rule"),
            (2.0 if r == 0 else 1.0) * sheet.unit,
        )
