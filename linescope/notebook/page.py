"""What a result shows of itself as the last value of a cell: alarms, figures, one picture."""

from __future__ import annotations

import base64
import io
from html import escape

import numpy as np

from linescope.errors import LinescopeError
from linescope.figures import Record
from linescope.notebook import plots
from linescope.report.grids import cell, title
from linescope.rig import Rig, RigSource, unlikely
from linescope.statics import Solution, solve
from linescope.study import Study
from linescope.topics import TOPICS
from linescope.topics.state import STATE
from linescope.words import Words
from linescope.words.frame import cautions, state_label

SIZE, RESOLUTION = (9.0, 7.0), 100  # [in], [dpi]


def html(result: object) -> str:
    """A solution, or the rig of a scene, a study or itself as taped, as HTML.

    A rig that finds no equilibrium shows the error instead: a cell that shows a result never fails on it.
    """
    words = Words()
    try:
        solution = _solution(result)
    except LinescopeError as error:
        return f"<pre>{escape(str(error))}</pre>"
    first, rest = words.lead((*unlikely(solution.rig), *solution.notes))
    parts = [f"<h4>{escape(solution.rig.name)}: {escape(state_label(solution, words))}</h4>"]
    parts += [f'<p style="font-weight:bold">{escape(said.text)}</p>' for said in first]
    rows = "".join(
        f'<tr><th style="text-align:left;font-weight:normal">{escape(name)}</th>'
        f'<td style="text-align:left">{escape(value)}</td></tr>'
        for name, value in _figures(solution, words)
    )
    parts += [f"<table>{rows}</table>", _picture(solution, words)]
    parts += [f"<p>{escape(said.text)}</p>" for said in rest]
    parts.append(f"<p><small>{escape(' '.join(cautions(words)))}</small></p>")
    return f"<div>{''.join(parts)}</div>"


def _solution(result: object) -> Solution:
    if isinstance(result, Solution):
        return result
    if isinstance(result, Study):
        return result.taped
    if isinstance(result, (Rig, RigSource)):
        return solve(result)
    raise TypeError(f"nothing to show of {type(result).__name__}")


def _figures(solution: Solution, words: Words) -> list[tuple[str, str]]:
    study = Study(solution.rig)
    group = TOPICS["state"].here
    record = Record(result=solution)
    return [
        (title(group, figure, words, {}), cell(figure, figure.value(record.result, study), words))
        for figure in STATE
        if figure.brief
    ]


def _picture(solution: Solution, words: Words) -> str:
    return f'<img alt="{escape(words.say("notebook-picture"))}" src="data:image/png;base64,{still(solution)}">'


def still(solution: Solution) -> str:
    """Both lines from the side, loops and tension under one another: a PNG in base 64."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=SIZE, layout="constrained")
    side, loops, tension = np.ravel(figure.subplots(3, 1, sharex=True)).tolist()
    plots.plot_side(solution, side)
    plots.plot_loops(solution, loops)
    plots.plot_tension(solution, tension)
    for axes in (side, loops):
        axes.set_xlabel("")
    for axes in (loops, tension):
        axes.set_title("")
    out = io.BytesIO()
    figure.savefig(out, format="png", dpi=RESOLUTION)
    return base64.b64encode(out.getvalue()).decode("ascii")
