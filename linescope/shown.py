"""How results show themselves to a programmer: in three lines at most, and as tables and plots in a notebook.

What a notebook draws is made in `linescope.notebook`, which stands last.  It is found by its name when it is first
asked for, as a library for plotting is; nothing that computes imports it.
"""

from __future__ import annotations

import dataclasses
import importlib
from collections.abc import Collection, Mapping
from typing import TYPE_CHECKING, Any, ClassVar

import numpy as np
from numpy.typing import ArrayLike

if TYPE_CHECKING:
    import pandas
    import pyvista
    import xarray
    from matplotlib.axes import Axes

    from linescope.units import System

WIDTH, LINES = 100, 3


def si(value: float, unit: str = "") -> str:
    """A number in four digits, with its SI unit."""
    return f"{value:.4g} {unit}".rstrip()


def spread(values: ArrayLike, unit: str = "") -> str:
    """The least and the most of some numbers, with their SI unit; "none" of none that is finite."""
    found = np.asarray(values, dtype=float)
    found = found[np.isfinite(found)]
    return f"{found.min():.4g}…{found.max():.4g} {unit}".rstrip() if found.size else "none"


def brief(value: object) -> str:
    """One value in a few characters: an array by its shape, a result by its name."""
    if isinstance(value, np.ndarray):
        return f"{value.shape} array"
    if isinstance(value, float):
        return si(value)
    if isinstance(value, str):
        text = repr(value)
        return text if len(text) <= 40 else f"{text[:37]}…{text[0]}"
    if isinstance(value, Mapping):
        return f"{len(value)} by name"
    if isinstance(value, Collection):
        return str(len(value)) if len(value) > 3 or any(map(dataclasses.is_dataclass, value)) else repr(value)
    if dataclasses.is_dataclass(value):
        name = getattr(value, "name", None)
        return f"{type(value).__name__}({name!r})" if isinstance(name, str) and name else type(value).__name__
    text = repr(value)
    return text if len(text) <= 40 else type(value).__name__


class Outlined:
    """Has a `repr` of three lines at most."""

    def _outline(self) -> dict[str, str]:
        """Names and texts of what its repr shows, what matters first."""
        values = {item.name: getattr(self, item.name) for item in dataclasses.fields(self)}  # type: ignore[arg-type]
        empty = (None, ())
        return {name: brief(value) for name, value in values.items() if not any(value is each for each in empty)}

    def __repr__(self) -> str:
        start = f"{type(self).__name__}("
        lines, line = [], start
        for name, text in self._outline().items():
            part = f"{name}={text}"
            if len(line) + len(part) > WIDTH and line.strip() and line != start:
                lines.append(line.rstrip())
                line = " " * len(start)
            line += f"{part}, "
        whole = "\n".join([*lines[: LINES - 1], lines[LINES - 1] if len(lines) >= LINES else line]).rstrip().rstrip(",")
        return f"{whole}, …)" if len(lines) >= LINES else f"{whole})"


def notebook() -> Any:
    """What draws in notebooks."""
    return importlib.import_module("linescope.notebook")


class Shown(Outlined):
    """Shows itself in a notebook: figures, alarms and one picture."""

    def _repr_html_(self) -> str:
        return str(notebook().html(self))

    def view(self, *, height: int = 760, units: System = "metric") -> Any:
        """The rig to be turned, walked on and asked in a cell of a notebook; it stays so in the saved notebook.

        It is the page of a brief, whole in the cell's output (about 0.6 MB): no server, no network and no kernel.  Of a
        study it shows what the study does not leave out.

        Parameters
        ----------
        height : int
            Of the frame.  [px]
        units : {"metric", "feet"}

        Returns
        -------
        CellPage
            Shows itself as the last value of a cell; its `page` is the HTML.

        Raises
        ------
        InputError
            When the ground cannot be read.
        SolveError
            When a state that is shown does not converge.

        Examples
        --------
        >>> import linescope
        >>> study = linescope.Study(linescope.load("scenes/ptarmigan_step.toml"), leave=linescope.Study.SLOW)
        >>> shown = study.view(height=600)
        >>> "<iframe" in shown._repr_html_()
        True
        """
        return notebook().view(self, height=height, units=units)


class Tabled(Outlined):
    """Arrays of one length that can be taken away as a table."""

    UNITS: ClassVar[Mapping[str, str]]
    ROWS: ClassVar[str]

    def to_frame(self) -> pandas.DataFrame:
        """As a pandas table: a row for each entry, numbered from 1 at anchor A; SI, units in `attrs["units"]`.

        Raises
        ------
        SystemPackageError
            Without pandas.
        """
        found: pandas.DataFrame = notebook().to_frame(self)
        return found


class Drawn(Shown):
    """A state that can be plotted, and taken away as data or as a mesh."""

    def plot_side(self, ax: Axes | None = None) -> Axes:
        """Both lines, tapes and walker from the side, heights drawn larger than lengths.

        Parameters
        ----------
        ax : matplotlib Axes, optional
            Drawn on; default a figure of its own.
        """
        found: Axes = notebook().plot_side(self, ax)
        return found

    def plot_loops(self, ax: Axes | None = None) -> Axes:
        """Depth of the loop in every bay; a bay without slack is marked.  `ax` as in `plot_side`."""
        found: Axes = notebook().plot_loops(self, ax)
        return found

    def plot_tension(self, ax: Axes | None = None) -> Axes:
        """Tension along main and backup.  `ax` as in `plot_side`."""
        found: Axes = notebook().plot_tension(self, ax)
        return found

    def mesh(self, *, ground: bool = False) -> pyvista.MultiBlock:
        """Both lines, tapes, ring and walker to scale, as blocks of their names; their colours as "colour".  [m]

        Parameters
        ----------
        ground : bool
            The ground of its rig as well, as far as it is known.
        """
        found: pyvista.MultiBlock = notebook().mesh(self, ground=ground)
        return found

    def plotter(self, *, ground: bool = False, **options: Any) -> pyvista.Plotter:
        """A pyvista plotter with the state in it, to add to and to show.

        Parameters
        ----------
        ground : bool
            As in `mesh`.
        **options
            Handed to `pyvista.Plotter`.
        """
        found: pyvista.Plotter = notebook().plotter(self, ground=ground, **options)
        return found

    def to_dataset(self) -> xarray.Dataset:
        """All its figures as an xarray dataset: axes "bay", "tape" and "xyz", units and meanings in attributes.

        Raises
        ------
        SystemPackageError
            Without xarray.
        """
        found: xarray.Dataset = notebook().to_dataset(self)
        return found
