"""The printed tape plan measured as it lies in the printer: pages rastered by poppler, lengths counted in dots."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from linescope.export.tape_sheet import write_pdf
from linescope.taping import Holds
from tests.taping.kinds import one_of_every_kind

DOTS = 508
"""To the inch: 20 to the millimetre."""
MM = DOTS / 25.4
INCH = 72.0

KIND = ("main-held slider", Holds.MAIN)


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> NDArray[np.bool_]:
    """(h, w) array: where the page with the main-held slider's strip at 1:1 is dark."""
    if shutil.which("pdftoppm") is None or shutil.which("pdftotext") is None:
        pytest.skip("pdftoppm and pdftotext (poppler-utils) are not installed")
    folder = tmp_path_factory.mktemp("scale")
    made = one_of_every_kind()
    write_pdf(folder / "t.pdf", made, title="Invented line")
    texts = subprocess.run(
        ["pdftotext", "-layout", str(folder / "t.pdf"), "-"], capture_output=True, text=True, check=True
    ).stdout.split("\f")
    with_strip = [number for number, text in enumerate(texts, 1) if "Strip at 1:1" in text]
    number = with_strip[list(made.tapes).index(KIND)]
    return _dark(folder, number)


def _dark(folder: Path, number: int) -> NDArray[np.bool_]:
    subprocess.run(
        ["pdftoppm", "-r", str(DOTS), "-gray", "-f", str(number), "-l", str(number), "-singlefile",
         str(folder / "t.pdf"), str(folder / "page")],
        check=True,
    )
    data = (folder / "page.pgm").read_bytes()
    _, size, _, dots = data.split(b"\n", 3)
    width, height = (int(part) for part in size.split())
    return np.frombuffer(dots, np.uint8).reshape(height, width) < 90


def _run(row: NDArray[np.bool_]) -> tuple[int, int]:
    """The longest dark run of a row, from and to."""
    ends = np.flatnonzero(np.diff(np.concatenate([[0], row.view(np.int8), [0]])))
    starts, stops = ends[::2], ends[1::2]
    if not len(starts):
        return 0, 0
    best = int(np.argmax(stops - starts))
    return int(starts[best]), int(stops[best])


def _rules(page: NDArray[np.bool_], left: float) -> list[tuple[float, float]]:
    """Horizontal rules longer than 40 mm that begin `left` points from the paper's edge: (height of their middle on
    the page, length), from the top.  [mm]"""
    rows = [(y, *_run(row)) for y, row in enumerate(page)]
    long = [(y, a, b) for y, a, b in rows if b - a > 40 * MM and abs(a / DOTS * INCH - left) < 1.0]
    found: list[list[tuple[int, int, int]]] = []
    for each in long:
        if found and each[0] == found[-1][-1][0] + 1:
            found[-1].append(each)
        else:
            found.append([each])
    return [(float(np.mean([y for y, _, _ in group])) / MM, max(b - a for _, a, b in group) / MM) for group in found]


def test_the_ruler_is_as_long_as_it_says(page: NDArray[np.bool_]) -> None:
    """100 mm; the round ends and width of a rule are 0.2 mm."""
    (_, length), *_ = _rules(page, 42.0)[-1:]
    assert length == pytest.approx(100.0, abs=0.25)


def test_the_strip_is_as_long_and_as_wide_as_it_is_cut(page: NDArray[np.bool_]) -> None:
    """Rows of the strip, outlined by a rule above and below: together 302 mm (common practice, no source: 302 mm
    finish underneath), each as wide as the tape, 25 mm.  A rule is 0.3 mm wide."""
    tape = one_of_every_kind().tapes[KIND]
    rules = _rules(page, 50.0)
    assert len(rules) % 2 == 0
    upper, lower = rules[::2], rules[1::2]
    for (top, first), (below, second) in zip(upper, lower, strict=True):
        assert below - top == pytest.approx(25.0, abs=0.1)
        assert first == pytest.approx(second, abs=0.15)
    total = sum(length - 0.3 for _, length in upper)
    assert total == pytest.approx(1e3 * tape.cut_length, abs=0.5)
    assert total == pytest.approx(302.0, abs=1.0)


def test_the_section_at_1_to_1_is_as_wide_as_the_lines(page: NDArray[np.bool_]) -> None:
    """The small section, left of the enlarged one: lines of 25 mm, three to four layers of 0.13 mm beside them; the
    thickest line is 0.4 mm."""
    part = page[int(30 * MM) : int(50 * MM), : int(48 * MM)]
    tall = [x / MM for x, column in enumerate(part.T) if np.subtract(*_run(column)[::-1]) > 2.2 * MM]
    assert tall[-1] - tall[0] == pytest.approx(25.0 + 2 * 3.5 * 0.13, abs=0.5)
