"""Results as pandas tables and xarray datasets: SI, with units and meanings beside every column."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

import numpy as np

from linescope.errors import SystemPackageError
from linescope.shown import Tabled
from linescope.statics import Solution
from linescope.study import Study
from linescope.topics.state import STATE
from linescope.units import DIMENSIONS

if TYPE_CHECKING:
    import pandas
    import xarray


def library(name: str) -> Any:
    """A library that only notebooks need.

    Raises
    ------
    SystemPackageError
        When it is not installed.
    """
    try:
        return importlib.import_module(name)
    except ImportError as error:
        raise SystemPackageError(
            f"this needs {name}, which is not installed: pip install {name}, or pip install 'linescope[notebook]' "
            "(in a copy of the source: pip install '.[notebook]')"
        ) from error


def to_frame(result: Tabled) -> pandas.DataFrame:
    """A row for each entry, numbered from 1 at anchor A; SI, units in `attrs["units"]`.

    Raises
    ------
    SystemPackageError
        Without pandas.
    """
    tables = library("pandas")
    columns = {name: np.array(getattr(result, name)) for name in result.UNITS}
    count = len(next(iter(columns.values())))
    frame: pandas.DataFrame = tables.DataFrame(columns, index=tables.RangeIndex(1, count + 1, name=result.ROWS))
    frame.attrs["units"] = dict(result.UNITS)
    return frame


def to_dataset(solution: Solution) -> xarray.Dataset:
    """All figures of a state along named axes: "bay", "tape", "xyz"; units and meanings in attributes.

    Raises
    ------
    SystemPackageError
        Without xarray.
    """
    arrays = library("xarray")
    study = Study(solution.rig)
    found = {}
    for figure in STATE:
        value = figure.value(solution, study)
        if not figure.data or figure.dimension == "notes" or value is None:
            continue
        attributes = {"units": si_unit(figure.dimension), "long_name": figure.meaning}
        found[figure.key] = (figure.axes, np.array(value) if figure.axes else value, attributes)
    tapes = solution.layout.tapes
    coordinates = {
        "bay": np.arange(1, len(solution.bays.start) + 1),
        "bay_start": ("bay", np.array(solution.bays.start), {"units": "m"}),
        "bay_end": ("bay", np.array(solution.bays.end), {"units": "m"}),
        "tape": [tape.number for tape in tapes],
        "family": ("tape", [tape.family for tape in tapes]),
        "xyz": ["x", "y", "z"],
    }
    dataset: xarray.Dataset = arrays.Dataset(
        found, coords=coordinates, attrs={"rig": solution.rig.name, "state": solution.state}
    )
    return dataset


def si_unit(dimension: str) -> str:
    """The SI unit of a dimension; "" for a pure number and for text."""
    return DIMENSIONS[dimension].si if dimension in DIMENSIONS else ""
