"""Values of a scene's keys tried one after the other, and what becomes of some figures."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from linescope.errors import InputError, LinescopeError
from linescope.figures import Figure, Group
from linescope.notebook.asking import source
from linescope.notebook.tables import library, si_unit
from linescope.scene import Scene
from linescope.scene.tried import value_at
from linescope.scenefile.fields import Either
from linescope.scenefile.quantities import Measure
from linescope.study import Study
from linescope.topics import TOPICS
from linescope.units import DIMENSIONS

if TYPE_CHECKING:
    import pandas

HERE = "states.as taped"
"""What a figure is of that is named without a path."""
_ITEM = re.compile(r"\[(\d+)\]$")


def sweep(
    scene: Scene | str | Path,
    values: Mapping[str, Sequence[Any]],
    of: Sequence[str] = ("tension_a", "sag", "loop_depth"),
    *,
    progress: Callable[[float], None] | None = None,
) -> pandas.DataFrame:
    """Try every combination of some values, and compute figures of each.

    Parameters
    ----------
    scene : Scene, or the name of a scene file
    values : mapping of str to sequence
        Dotted path of a key to the values to try: text such as "1.8 kN", or numbers in SI, such as
        {"main.tension": [1500, 1800], "walker.at": ["25 %", "50 %"]}.
    of : sequence of str
        Figures, as `linescope keys` lists them with the path before: "wind.<key>", "states.settled.loop_depth",
        "wind.cases[0].<key>".  A name without a path is of the state as taped with the walker.
    progress : callable, optional
        Told the share done, 0 to 1.

    Returns
    -------
    DataFrame
        A row for each combination, and for each bay, tape or place where a figure has one for each.  Values tried stand
        in columns of their keys, in SI where all of a key are of one dimension, else as typed; `attrs["units"]` has
        the unit of every column.

    Raises
    ------
    InputError
        For a key, a value or a figure that there is not, and figures that run along different axes.
    SolveError
        When a combination finds no equilibrium; its note names it.
    SystemPackageError
        Without pandas.

    Examples
    --------
    >>> import linescope
    >>> linescope.sweep("scenes/heron_gap.toml", {"main.tension": [1500, 2000, 2500]}, of=["sag"])
       main.tension       sag
    ...
    """
    tables = library("pandas")
    given = source(scene)
    if not isinstance(given, Scene):
        raise InputError("a rig has no keys to try: give its scene", key="scene", found=type(given).__name__)
    if isinstance(of, str) or not all(isinstance(each, str) for each in of):
        raise InputError("a list of names of figures is needed", key="of", found=of)
    asked = [_asked(each) for each in of]
    texts = {key: [_text(key, each) for each in _listed(key, some)] for key, some in values.items()}
    combinations = [dict(zip(texts, each, strict=True)) for each in itertools.product(*texts.values())]
    frames, axis, read = [], "", list[dict[str, Any]]()
    for number, tried in enumerate(combinations):
        try:
            changed = given.what_if(tried)
            study = Study(changed)
            found = {one.name: one.value(study) for one in asked}
        except LinescopeError as error:
            error.add_note(f"tried: {', '.join(f'{key} = {text}' for key, text in tried.items()) or 'nothing'}")
            raise
        axis = _axis(asked, found)
        read.append({key: _tried(changed, key) for key in tried})
        columns: dict[str, Any] = dict(tried)
        count = max((len(each) for each in found.values() if isinstance(each, np.ndarray)), default=1)
        if axis:
            columns[axis] = np.arange(1, count + 1)
        frames.append(tables.DataFrame(columns | found, index=range(count)))
        if progress is not None:
            progress((number + 1) / len(combinations))
    frame: pandas.DataFrame = tables.concat(frames, ignore_index=True)
    rows = [len(each) for each in frames]
    units = {}
    for key in texts:
        # "25 %" of the span is a share and "12 m" a length: only values of one dimension are numbers of one column.
        dimensions = {getattr(each[key], "dimension", None) for each in read}
        units[key] = si_unit(next(iter(dimensions)) or "") if len(dimensions) == 1 else ""
        if len(dimensions) == 1 and None not in dimensions:
            frame[key] = np.repeat([each[key].value for each in read], rows)
    units |= {one.name: si_unit(one.figure.dimension) for one in asked}
    frame.attrs["units"] = units | ({axis: ""} if axis else {})
    return frame


class _Asked:
    """One figure of one record of one group."""

    def __init__(self, name: str, group: Group, figure: Figure, record: str) -> None:
        self.name, self.group, self.figure, self.record = name, group, figure, record

    def value(self, study: Study) -> Any:
        """A number, text, or an array along the figure's axis; nan where it was not computed."""
        records = self.group.records(study)
        if self.record.isdigit():
            records = records[int(self.record) : int(self.record) + 1]
        elif self.record:
            records = [each for each in records if each.name == self.record]
        if not records:
            return np.nan
        value = self.figure.value(records[0].result, study)
        return np.nan if value is None else np.array(value) if self.figure.axes else value


def _groups() -> Iterator[Group]:
    return (group for topic in TOPICS.values() for group in topic.groups)


def _asked(name: str) -> _Asked:
    path, _, key = (name if "." in name else f"{HERE}.{name}").rpartition(".")
    item = _ITEM.search(path)
    bare = path[: item.start()] if item else path
    keys: list[str] = []
    for group in _groups():
        head, _, last = group.path.partition(".")
        if last.startswith("<"):
            fits, record = bare.partition(".")[0] == head, bare.partition(".")[2]
        else:
            fits, record = bare == group.path.removesuffix("[]"), item[1] if item else "0"
        if fits:
            plain = [each for each in group.figures if len(each.axes) < 2 and each.dimension != "notes"]
            keys += [each.key for each in plain]
            for figure in plain:
                if figure.key == key:
                    return _Asked(name, group, figure, record)
    near = get_close_matches(key, keys, n=1)
    paths = ", ".join(dict.fromkeys(group.path for group in _groups()))
    raise InputError(
        "there is no such figure" + (f"; did you mean '{near[0]}'?" if near else ""), key="of", found=name,
        allowed=", ".join(keys) if keys else f"a path of {paths}",
    )


def _axis(asked: Sequence[_Asked], found: Mapping[str, Any]) -> str:
    axes = {one.figure.axes[0] for one in asked if isinstance(found[one.name], np.ndarray)}
    if len(axes) > 1:
        raise InputError(
            "these figures run along different axes and make no table together", key="of",
            found=", ".join(f"{one.name} ({one.figure.axes[0]})" for one in asked if one.figure.axes),
        )
    return axes.pop() if axes else ""


def _listed(key: str, values: object) -> Sequence[Any]:
    if isinstance(values, str) or not hasattr(values, "__iter__"):
        raise InputError("a list of values to try is needed", key=key, found=values)
    found = list(values)
    if not found:
        raise InputError("there is no value to try", key=key, found=found)
    return found


def _quantity(key: str) -> Measure | None:
    kind = value_at(key)
    while isinstance(kind, Either):
        kind = kind.first if isinstance(kind.first, Measure) else kind.second
    return kind if isinstance(kind, Measure) else None


def _unit(key: str) -> str:
    kind = _quantity(key)
    return "" if kind is None else si_unit(kind.dimension)


def _text(key: str, value: Any) -> str:
    """A value as it would be typed: a number gets the SI unit of its key."""
    kind = _quantity(key)
    if isinstance(value, (str, bool)) or kind is None:
        return value if isinstance(value, str) else str(value).lower()
    try:
        number = float(value)
    except (TypeError, ValueError):
        raise InputError("this is no value", key=key, found=value, allowed="text or a number in SI") from None
    return repr(number) if DIMENSIONS[kind.dimension].bare else f"{number!r} {_unit(key)}"


def _tried(scene: Scene, key: str) -> Any:
    """The value as the rig has it: a quantity in SI, or something else."""
    note = scene.inputs.get(key)
    return note.value if note is not None else None
