"""A cut list with every kind of tape there is, for tests of what is made of it."""

from __future__ import annotations

import functools

import numpy as np

from linescope.taping import FAMILIES, CutList, Section, TapeStock, make_cut_list


@functools.cache
def one_of_every_kind(section: Section | None = None, width: float = 0.025, most: int | None = None) -> CutList:
    """An invented line of 40 m with one tape of every kind, or of so many at most, of thin tape of a width [m]."""
    kinds = [(key, holds) for key, family in FAMILIES.items() for holds in family.can_hold][:most]
    marks = np.linspace(0.0, 40.0, len(kinds) + 2)[1:-1]
    return make_cut_list(
        section=section
        or Section(main_width=0.025, main_thickness=0.0024, backup_width=0.025, backup_thickness=0.0024),
        stock=TapeStock(width=width),
        main_mark=marks,
        backup_mark=1.05 * marks,
        rigged=1.02 * marks,
        main_length=40.0,
        backup_length=42.0,
        rigged_length=40.8,
        family=[key for key, _ in kinds],
        holds=[holds for _, holds in kinds],
    )
