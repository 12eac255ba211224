"""What can stand on a stage: plain frozen data that knows nothing of any drawing library.

World coordinates are metres in the rig's frame (or in the panel's own paper frame, where a view says so).
Sizes that must stay readable at any distance are pixels of a page 2000 px wide; colours are roles of a theme.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from linescope.stage.camera import Camera
from linescope.stage.theme import Symbol, Theme
from linescope.words import Words

Floats = NDArray[np.float64]
Size = Literal["small", "body", "figure"]
Frame = tuple[float, float, float, float]
"""Left, top, right, bottom as shares of the page."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Surface:
    """Triangles with a colour for each, such as a ribbon with two faces, ground, a body.

    Attributes
    ----------
    name : str
        What it is: "main", "backup", "tape 3", "ground", "walker", …
    points : (n, 3) array
        [m]
    triangles : (t, 3) int array
    colours : tuple of str
        The roles in use.
    colour : (t,) int array
        Index into `colours` for every triangle.
    smooth : bool
        Shade as a rounded body.
    lit : bool
        Shade by a light; False for flat colour.
    opacity : float
        1 hides what is behind; less lets it through.  [-]
    baked : (n, 3) array or None
        Red, green and blue of every corner, 0 to 255, light included: they stand in place of `colours`.  [-]
    """

    name: str
    points: Floats
    triangles: NDArray[np.int64]
    colours: tuple[str, ...]
    colour: NDArray[np.int64]
    smooth: bool = False
    lit: bool = True
    opacity: float = 1.0
    baked: NDArray[np.uint8] | None = None


@dataclass(frozen=True, eq=False, kw_only=True)
class Wire:
    """A polyline of constant width on the page.

    Attributes
    ----------
    name : str
    points : (n, 3) array
        [m]
    colour : str
    width : float
        [px]
    dashed : bool
    front : bool
        Drawn over everything instead of hidden behind ground and bodies.
    quiet : bool
        A thin guide on which text may stand.
    pairs : bool
        Each two points are a stroke of their own, instead of all points one polyline.
    """

    name: str
    points: Floats
    colour: str
    width: float
    dashed: bool = False
    front: bool = False
    quiet: bool = False
    pairs: bool = False


@dataclass(frozen=True, eq=False, kw_only=True)
class Symbols:
    """Symbols of constant size on the page, one at each point.

    Attributes
    ----------
    name : str
    points : (n, 3) array
        [m]
    symbol : str
    colour : str
    size : float
        [px]
    text : str
        A letter inside, for anchors.
    """

    name: str
    points: Floats
    symbol: Symbol
    colour: str
    size: float
    text: str = ""


@dataclass(frozen=True, eq=False, kw_only=True)
class Label:
    """Text that belongs to a point, placed near it where there is room.

    Attributes
    ----------
    text : str
    at : (3,) array
        [m]
    size : {"small", "body", "figure"}
    colour : str
    towards : (2,) tuple
        Preferred direction on the page, x to the right and y up.
    rank : int
        Low numbers are placed first; with `must` False a label without room is left out.
    must : bool
    strong : bool
    offset : float
        Gap between the point and the text.  [px]
    """

    text: str
    at: Floats
    size: Size = "body"
    colour: str = "ink"
    towards: tuple[float, float] = (0.0, -1.0)
    rank: int = 5
    must: bool = False
    strong: bool = False
    offset: float = 8.0


@dataclass(frozen=True, eq=False, kw_only=True)
class DimensionLine:
    """A measured distance between two points, drawn with end ticks and its figure.

    Attributes
    ----------
    name : str
    start, end : (3,) array
        [m]
    value : float
        What it says.  [m]
    text : str
    towards : (2,) tuple
        Where the text goes, seen from the middle.
    rank : int
    """

    name: str
    start: Floats
    end: Floats
    value: float
    text: str
    towards: tuple[float, float] = (1.0, 0.0)
    rank: int = 1


@dataclass(frozen=True, eq=False, kw_only=True)
class Panel:
    """One drawing on the page: a window into the world through a camera.

    Attributes
    ----------
    name : str
    frame : (4,) tuple
        Left, top, right, bottom as shares of the page.
    camera : Camera
    surfaces, wires, symbols, labels, dimensions : tuple
    caption : str
        One sentence above the drawing.
    scale_bar : bool
        Only cameras without perspective can have a true one across the panel; others say how long one bay is.
    sky : bool
        A graded background instead of plain paper.
    stretch : float
        How many times too large heights are drawn; stated on the picture when it is not 1.  [-]
    """

    name: str
    frame: Frame
    camera: Camera
    surfaces: tuple[Surface, ...] = ()
    wires: tuple[Wire, ...] = ()
    symbols: tuple[Symbols, ...] = ()
    labels: tuple[Label, ...] = ()
    dimensions: tuple[DimensionLine, ...] = ()
    caption: str = ""
    scale_bar: bool = False
    sky: bool = False
    stretch: float = 1.0


@dataclass(frozen=True, kw_only=True)
class LegendEntry:
    """One line of the legend: a symbol or a stroke with its meaning, as pale as what it stands for.

    A stroke lies, or stands where it is `upright`.
    """

    text: str
    colour: str
    symbol: Symbol | None = None
    width: float = 0.0
    dashed: bool = False
    opacity: float = 1.0
    upright: bool = False


@dataclass(frozen=True, kw_only=True)
class TextBox:
    """Text in a fixed frame of the page: wrapped, and made smaller until it fits.

    Attributes
    ----------
    name : str
    frame : (4,) tuple
        Left, top, right, bottom as shares of the page.
    heading : str
    lines : tuple of str
    legend : tuple of LegendEntry
        Drawn after the lines.
    table : tuple of rows
        Each row a tuple of cells, the first row the head.
    rest : str
        Stands at the end when not all lines have room.
    colour : str
    """

    name: str
    frame: Frame
    heading: str = ""
    lines: tuple[str, ...] = ()
    legend: tuple[LegendEntry, ...] = ()
    table: tuple[tuple[str, ...], ...] = ()
    rest: str = "…"
    colour: str = "ink"


@dataclass(frozen=True, eq=False, kw_only=True)
class Stage:
    """One picture, complete but not drawn.

    Attributes
    ----------
    view : str
    title, question, state : str
        Name of the rig; what this picture answers; which state it shows.
    alarms : tuple of str
        What must be read first, worst first.
    panels : tuple of Panel
    boxes : tuple of TextBox
    footer : str
    theme : Theme
    measures : Words
        Units of the scale bars.
    metadata : mapping of str to str
        Written into the picture file.
    message : str
        Colour role of a title that is the verdict in one sentence; then the question is the line under it, and there
        is neither a state beside it nor an alarm below.  "" where the title names the rig.
    key : tuple of LegendEntry
        What is not labelled in the picture, in one line at its foot.
    """

    view: str
    title: str
    question: str
    state: str
    alarms: tuple[str, ...]
    panels: tuple[Panel, ...]
    boxes: tuple[TextBox, ...]
    footer: str
    theme: Theme
    measures: Words
    metadata: Mapping[str, str] = field(default_factory=dict)
    message: str = ""
    key: tuple[LegendEntry, ...] = ()

    def panel(self, name: str) -> Panel:
        """The panel called `name` (KeyError when there is none)."""
        return {panel.name: panel for panel in self.panels}[name]
