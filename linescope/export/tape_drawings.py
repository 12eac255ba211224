"""Drawings of one tape for paper: the section with the tape's path, and the strip laid out, at 1:1.

Both draw on a reportlab canvas in points and take metres.  Shades and hatching read in black and white.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from linescope.notes import Ruled
from linescope.taping import LaidTape, Section, Segment
from linescope.taping.remarks import body_term
from linescope.taping.section import Body, lines_of
from linescope.topics.tapes import messages
from linescope.words import Words

POINT = 0.0254 / 72.0
"""One point of paper. [m]"""

FONT, BOLD = "Vera", "VeraBd"
_STICKY, _DRY = 0.86, 1.0
_GLUED = ("short", "tail", "fold", "tab")
"""Parts that are stuck to each other, sticky to sticky."""


def points(metres: float) -> float:
    """Metres on paper in points."""
    return metres / POINT


def ruler(canvas: Any, x: float, y: float, words: Words) -> None:
    """A check ruler of 100 mm (and of 4 in for feet), its left end at `x`, `y` [points]."""
    canvas.saveState()
    canvas.setLineWidth(0.6)
    canvas.setFont(FONT, 6)
    canvas.line(x, y, x + points(0.1), y)
    for k in range(101):
        tall = 7.0 if k % 10 == 0 else 5.0 if k % 5 == 0 else 3.0
        canvas.line(x + points(k / 1000), y, x + points(k / 1000), y + tall)
    for k in range(0, 101, 20):
        canvas.drawCentredString(x + points(k / 1000), y + 9, str(k))
    told = words.say("tapes-plan-ruler", length=Ruled(0.1) if words.system == "metric" else Ruled(0.1016))
    canvas.drawString(x + points(0.1) + 8, y + 2, told)
    if words.system == "feet":
        canvas.line(x, y - 3, x + 288, y - 3)
        for k in range(33):
            canvas.line(x + 9 * k, y - 3, x + 9 * k, y - 3 - (7 if k % 8 == 0 else 5 if k % 4 == 0 else 3))
        canvas.drawString(x + 294, y - 9, "4 in")
    canvas.restoreState()


def _lines(canvas: Any, section: Section, scale: float, x: float, y: float, sliding: str | None) -> None:
    """Both lines, midway between them at `x`, `y`; the sliding one is left white."""
    canvas.setLineWidth(0.5)
    bodies: tuple[Body, Body] = ("main", "backup")
    for body in bodies:
        canvas.setFillGray(1.0 if sliding == body else 0.8)
        inner, outer = (points(level) * scale for level in section.levels(body))
        half = points(0.5 * section.width_of(body)) * scale
        if section.is_round(body):
            canvas.circle(x, y + 0.5 * (inner + outer), half, fill=1)
        else:
            canvas.rect(x - half, y + min(inner, outer), 2 * half, abs(outer - inner), fill=1)
    canvas.setFillGray(0.0)


def draw_section(canvas: Any, tape: LaidTape, scale: float, x: float, y: float, words: Words) -> None:
    """The section and the tape's path, `scale` times life size, where the lines meet at `x`, `y` [points].

    Where the sliding line runs on dry strip is the thick line, the beginning a ring, the end a filled triangle.
    """
    section = tape.winding.section
    held, sliding = lines_of(tape.holds)
    canvas.saveState()
    _lines(canvas, section, scale, x, y, sliding if tape.coverage else None)
    thick = points(tape.tape.thickness) * scale
    runs = [(run, run.points / POINT * scale + np.array([x, y])) for run in tape.path()]
    for run, at in sorted(runs, key=lambda each: each[0].is_dry):
        canvas.setLineWidth(max(1.2, 1.6 * thick) if run.is_dry else min(0.5, 0.6 * thick))
        line = canvas.beginPath()
        line.moveTo(*at[0])
        for point in at[1:]:
            line.lineTo(*point)
        canvas.drawPath(line, stroke=1, fill=0)
    shown = np.concatenate([at for run, at in runs if run.kind != "piece"])
    size = 1.5 if scale <= 1.0 else 3.0
    canvas.setLineWidth(0.8)
    canvas.setFillGray(1.0)
    canvas.circle(*shown[0], size, fill=1)
    _end_marker(canvas, shown, size * 1.6)
    if scale > 1.0:
        _section_words(canvas, tape, scale, x, y, held, shown, words)
    canvas.restoreState()


def _end_marker(canvas: Any, shown: Any, size: float) -> None:
    """A filled triangle outside the last layer, its tip on the strip's end."""
    tip = shown[-1]
    along = shown[-1] - shown[-2]
    along = along / (np.hypot(*along) or 1.0)
    out = np.array([along[1], -along[0]])
    canvas.setFillGray(0.0)
    corner = canvas.beginPath()
    corner.moveTo(*tip)
    corner.lineTo(*(tip + size * (1.8 * out + 0.7 * along)))
    corner.lineTo(*(tip + size * (1.8 * out - 0.7 * along)))
    corner.close()
    canvas.drawPath(corner, fill=1, stroke=0)


def _section_words(
    canvas: Any, tape: LaidTape, scale: float, x: float, y: float, held: str, shown: Any, words: Words
) -> None:
    """Names of the lines at the right; "begins" and "ends" beyond the last layer, either side of their
    markers."""
    section = tape.winding.section
    canvas.setFillGray(0.0)
    canvas.setFont(FONT, 7)
    right = x + points(0.5 * max(section.main_width, section.backup_width)) * scale + 12
    bodies: tuple[Body, Body] = ("main", "backup")
    for body in bodies:
        role = "slides" if tape.coverage and body != held else "held"
        up = 0.5 * sum(section.levels(body))
        name = words.say(f"tapes-plan-line-{role}", line=body_term(body))
        canvas.drawString(right, y + points(up) * scale - 2.5, name)
    canvas.setLineWidth(0.3)
    marked = ((shown[0], words.say("tapes-label-begins"), -6.0), (shown[-1], words.say("tapes-label-ends"), 8.0))
    for at, word, shift in marked:
        level = shown[:, 1].max() + 6 if at[1] >= y - 0.1 else shown[:, 1].min() - 12
        canvas.setDash(1, 1.5)
        canvas.line(at[0], at[1], at[0], level + 2.5)
        canvas.setDash()
        (canvas.drawRightString if shift < 0.0 else canvas.drawString)(at[0] + shift, level, word)


def _hatch(canvas: Any, x: float, y: float, width: float, height: float, gap: float, *, both: bool) -> None:
    """Slanted lines inside a box."""
    canvas.saveState()
    box = canvas.beginPath()
    box.rect(x, y, width, height)
    canvas.clipPath(box, stroke=0, fill=0)
    canvas.setLineWidth(0.3)
    for k in range(math.ceil((width + height) / gap)):
        at = x + k * gap
        canvas.line(at, y, at - height, y + height)
        if both:
            canvas.line(at - height, y, at, y + height)
    canvas.restoreState()


def strip_rows(tape: LaidTape, width: float) -> list[tuple[float, float]]:
    """The strip cut into rows that fit `width` [m] of paper: (from, to) along the strip. [m]"""
    count = max(1, math.ceil(tape.cut_length / width - 1e-9))
    # Whole centimetres a row, so that ticks go on from row to row.
    each = min(width, math.ceil(tape.cut_length / count * 100.0 - 1e-9) / 100.0)
    return [(k * each, min((k + 1) * each, tape.cut_length)) for k in range(count) if k * each < tape.cut_length]


def draw_strip_row(canvas: Any, tape: LaidTape, row: tuple[float, float], x: float, y: float, words: Words) -> None:
    """A part of the strip at 1:1, its lower left corner at `x`, `y` [points]; sticky side towards the
    reader."""
    first, last = row
    height = points(tape.tape.width)
    over = points(0.5 * max(0.0, tape.piece_length - tape.tape.width))
    canvas.saveState()
    for segment in tape.segments:
        low, high = max(segment.start, first), min(segment.end, last)
        if high > low:
            _segment(canvas, tape, segment, (low, high), x + points(low - first), y, height, words)
    if tape.pieces:
        _patch(canvas, tape, row, x, y, height, over)
    canvas.setLineWidth(0.8)
    canvas.rect(x, y, points(last - first), height, fill=0)
    canvas.setFont(FONT, 6)
    for k in range(math.ceil(first * 1000 - 1e-6), math.floor(last * 1000 + 1e-6) + 1):
        at = x + points(k / 1000 - first)
        canvas.setLineWidth(0.25)
        canvas.line(at, y - over, at, y - over - (4 if k % 10 == 0 else 2))
        if k % 20 == 0:
            canvas.drawCentredString(at, y - over - 11, str(k))
    for mark in tape.marks:
        if first - 1e-9 <= mark.at <= last + 1e-9:
            at = x + points(mark.at - first)
            canvas.setLineWidth(0.4 if mark.kind == "turn" else 1.0)
            canvas.setDash(*((1, 2) if mark.kind == "turn" else (4, 2)))
            canvas.line(at, y, at, y + height + over + 5)
            canvas.setDash()
            name = "short" if mark.kind == "lead" and tape.coverage is not None else mark.kind
            word = words.say(f"tapes-mark-{name}", number=mark.number)
            canvas.drawCentredString(at, y + height + over + 7, word)
    for at, ends in ((first, first == 0.0), (last, last >= tape.cut_length - 1e-9)):
        if not ends:
            canvas.setLineWidth(1.6)
            canvas.setStrokeGray(1.0)
            canvas.line(x + points(at - first), y + 1, x + points(at - first), y + height - 1)
            canvas.setStrokeGray(0.0)
    canvas.restoreState()


def _segment(
    canvas: Any, tape: LaidTape, segment: Segment, reach: tuple[float, float], x: float, y: float, height: float,
    words: Words,
) -> None:
    width = points(reach[1] - reach[0])
    shade = _DRY if segment.kind == "dry" else _STICKY
    canvas.setFillGray(shade)
    canvas.setLineWidth(0.4)
    canvas.rect(x, y, width, height, fill=1)
    if segment.kind in _GLUED:
        _hatch(canvas, x, y, width, height, 9.0, both=True)
    elif segment.kind != "dry":
        _hatch(canvas, x, y, width, height, 7.0, both=False)
    part = messages.part_name(tape, segment.kind, words)
    parts = (part, messages.part_lengths(tape, words)[tape.segments.index(segment)])
    text = " ".join(parts)
    lines = [text] if canvas.stringWidth(text, BOLD, 7) < width - 6 else [*_halved(part), parts[1]]
    wide = max(canvas.stringWidth(line, BOLD, 7) for line in lines)
    if wide > width:
        canvas.setFillGray(0.0)
        return
    middle = y + 0.5 * height
    canvas.setFillGray(shade)
    canvas.rect(x + 0.5 * (width - wide) - 2, middle - 4.5 * len(lines), wide + 4, 9 * len(lines), stroke=0, fill=1)
    canvas.setFillGray(0.0)
    canvas.setFont(BOLD, 7)
    for k, line in enumerate(lines):
        canvas.drawCentredString(x + 0.5 * width, middle + 4.5 * len(lines) - 7 - 9 * k, line)


def _halved(text: str) -> list[str]:
    """A few words in two lines, broken at the space nearest to the middle."""
    spaces = [k for k, letter in enumerate(text) if letter == " "]
    if not spaces:
        return [text]
    at = min(spaces, key=lambda k: abs(k - 0.5 * len(text)))
    return [text[:at], text[at + 1 :]]


def _patch(
    canvas: Any, tape: LaidTape, row: tuple[float, float], x: float, y: float, height: float, over: float
) -> None:
    """Outlines of the cross pieces, which reach over both edges of the strip."""
    start = next(s.start for s in tape.segments if s.kind == "dry")
    canvas.setDash(3, 1.5)
    canvas.setLineWidth(0.8)
    for k in range(tape.pieces):
        low = max(start + k * tape.tape.width, row[0])
        high = min(start + (k + 1) * tape.tape.width, row[1])
        if high > low:
            canvas.rect(x + points(low - row[0]), y - over, points(high - low), height + 2 * over, fill=0)
    canvas.setDash()
