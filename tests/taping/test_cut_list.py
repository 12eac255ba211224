"""Cut lists: sums done by hand on an invented line, marks from both ends and the middle."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from linescope.errors import InputError
from linescope.taping import TIE, CutList, Holds, Section, TapeStock, make_cut_list

SECTION = Section(main_width=0.025, main_thickness=0.0024, backup_width=0.025, backup_thickness=0.0024)
STOCK = TapeStock(
    width=0.025, thickness=0.00013, roll=1.0, cloth_width=0.05, cloth_roll=0.4, waste=0.25, pace_fixed=40.0,
    pace_slider=100.0, pace_patch=200.0,
)


def plan(**changes: Any) -> CutList:
    """An invented line of 12 m with a fixed tape, two sliders and a tie."""
    given: dict[str, Any] = {
        "section": SECTION,
        "stock": STOCK,
        "main_mark": [2.0, 4.0, 7.0, 9.0],
        "backup_mark": [2.1, 4.2, 7.4, 9.5],
        "rigged": [2.04, 4.08, 7.14, 9.18],
        "main_length": 12.0,
        "backup_length": 12.6,
        "rigged_length": 12.24,
        "family": ["fixed wrap", "main-held slider", TIE, "cloth-patch slider"],
        "holds": [Holds.BOTH, Holds.MAIN, Holds.BOTH, Holds.BACKUP],
        "zone": ["end", "end", "joint", "middle"],
        "lying_strain": 0.01,
    }
    return make_cut_list(**{**given, **changes})


def test_marks_from_the_end_and_from_the_middle() -> None:
    cut = plan()
    assert cut.main_from_middle == pytest.approx([-4.0, -2.0, 1.0, 3.0])
    assert cut.backup_from_middle == pytest.approx([-4.2, -2.1, 1.1, 3.2])
    assert cut.lying == pytest.approx([2.02, 4.04, 7.07, 9.09])


def test_sums_by_hand() -> None:
    cut = plan()
    strips = [
        cut.tapes[k].cut_length
        for k in (
            ("fixed wrap", Holds.BOTH),
            ("main-held slider", Holds.MAIN),
            ("cloth-patch slider", Holds.BACKUP),
        )
    ]
    assert cut.strip == pytest.approx([strips[0], strips[1], 0.0, strips[2]])
    assert cut.count() == 3
    assert (cut.piece_count, cut.piece_total) == (1, pytest.approx(0.05 + 2 * 0.009))
    assert cut.tape_of(cloth=False) == pytest.approx(1.25 * sum(strips[:2]))
    assert cut.tape_of(cloth=True) == pytest.approx(1.25 * (strips[2] + 0.068))
    assert cut.tape_total == pytest.approx(1.25 * (sum(strips) + 0.068))
    assert (cut.rolls_of(cloth=False), cut.rolls_of(cloth=True), cut.rolls) == (1, 2, 3)
    assert cut.time == pytest.approx(40.0 + 100.0 + 200.0)


def test_from_the_other_end() -> None:
    cut, back = plan(), plan().reversed()
    assert (back.from_end, list(back.number)) == ("B", [4, 3, 2, 1])
    assert back.main_mark == pytest.approx([3.0, 5.0, 8.0, 10.0])
    assert back.backup_mark == pytest.approx([3.1, 5.2, 8.4, 10.5])
    assert back.rigged == pytest.approx([3.06, 5.10, 8.16, 10.20])
    assert back.zone == ("middle", "joint", "end", "end")
    assert back.tape_total == pytest.approx(cut.tape_total)
    again = back.reversed()
    assert again.from_end == "A"
    assert np.allclose(again.main_mark, cut.main_mark)


def test_results_cannot_be_written_into() -> None:
    with pytest.raises(ValueError, match="read-only"):
        plan().main_mark[0] = 1.0


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"main_mark": [2.0, 4.0, 7.0, 12.5]}, "outside its line"),
        ({"backup_mark": [2.1, 4.2, 4.0, 9.5]}, "ascend"),
        ({"rigged": [1.0, 2.0]}, "every tape needs one"),
        ({"holds": [Holds.BOTH]}, "every tape needs one"),
        ({"main_mark": [2.0, float("nan"), 7.0, 9.0]}, "outside its line"),
        ({"family": ["fixed wrap", "knot", TIE, "fixed wrap"]}, "no such taping family"),
    ],
)
def test_wrong_arrays_are_refused_by_name(changes: dict[str, Any], words: str) -> None:
    with pytest.raises(InputError, match=words):
        plan(**changes)
