"""What every picture has in common: title, state, alarms, inputs, legend, cautions, date and version."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from linescope import __version__
from linescope.notes import Missing, Note
from linescope.rig import Inputs, Rig
from linescope.stage import alarms, lines, tapes
from linescope.stage.camera import Camera
from linescope.stage.ground import Site
from linescope.stage.items import Frame, LegendEntry, Panel, Stage, TextBox
from linescope.stage.theme import Theme
from linescope.statics.solution import Solution
from linescope.study import Study
from linescope.words import Words, frame

LOW = 0.795  # Where the row of text boxes starts, as a share of the page.
END = 0.968


@dataclass(frozen=True, eq=False, kw_only=True)
class Brief:
    """What a view is built from.

    Attributes
    ----------
    solution : Solution
    ground : Site or None
    theme : Theme
    measures : Words
    study : Study
        Of the same rig: results beside the solved state.
    page : (width, height)
        Size of the picture.  [px]
    date : datetime.date
        Printed on the picture.
    findings : tuple of str
        Sentences from other results that must be read with the picture.
    """

    solution: Solution
    ground: Site | None
    theme: Theme
    measures: Words
    study: Study
    page: tuple[int, int]
    date: datetime.date
    findings: tuple[str, ...] = ()

    @property
    def inputs(self) -> Inputs:
        """What is known of the rig's inputs."""
        return self.study.inputs

    def showing(self, solution: Solution, *said: Note) -> Brief:
        """The same brief with another state, and with what must be read first said before everything else."""
        first, _ = self.measures.lead(said)
        loud = tuple(dict.fromkeys((*(each.text for each in first), *self.findings)))
        return replace(self, solution=solution, findings=loud)

    @property
    def alarms(self) -> tuple[str, ...]:
        """What must be read first."""
        return (*alarms.alarms(self.solution, self.measures), *self.findings)

    @property
    def top(self) -> float:
        """Where panels may start, as a share of the page."""
        return 0.139 if self.alarms else 0.092

    def panel_size(self, frame: Frame) -> tuple[float, float]:
        """Width and height of a frame in pixels of a page 2000 px wide."""
        unit = min(self.page[0] / 2000, self.page[1] / 1414)
        left, top, right, bottom = frame
        return (right - left) * self.page[0] / unit, (bottom - top) * self.page[1] / unit

    def line_pixels(self, camera: Camera, frame: Frame) -> float:
        """Length of the whole line as a camera shows it.  [px]"""
        rig = self.solution.rig
        ends = camera.project(np.array([rig.main_a, rig.main_b]), self.panel_size(frame))[:, :2]
        return float(np.linalg.norm(ends[1] - ends[0]))

    def aspect(self, frame: Frame) -> float:
        """Width over height of a frame."""
        width, height = self.panel_size(frame)
        return width / height


@dataclass(frozen=True, kw_only=True)
class PictureKind:
    """One kind of picture.

    Attributes
    ----------
    build : callable
        Brief to Stage.
    needs : tuple of str
        Results of the study that it cannot be drawn without.
    per_state : bool
        Drawn for every solved state; False for pictures of events, drawn once.
    """

    build: Callable[[Brief], Stage]
    needs: tuple[str, ...] = ()
    per_state: bool = True

    def missing(self, brief: Brief) -> str:
        """Why it cannot be drawn; "" when it can."""
        found = (brief.study.get(name) for name in self.needs)
        return next((brief.measures.note(each.note) for each in found if isinstance(each, Missing)), "")


def _no_ground(brief: Brief) -> tuple[str, ...]:
    return () if brief.ground is not None else (brief.measures.say("frame-no-ground"),)


def furnish(
    brief: Brief,
    *,
    view: str,
    question: str,
    panels: tuple[Panel, ...],
    boxes: tuple[TextBox, ...] = (),
    legend: tuple[LegendEntry, ...] = (),
    state: str = "",
    base: bool = True,
    rig: Rig | None = None,
) -> Stage:
    """Put title, state, inputs, legend and cautions round the panels of a view.

    Parameters
    ----------
    brief : Brief
    view, question : str
    panels, boxes, legend : tuple
    state : str
        Default what the brief's solution is.
    base : bool
        Whether the legend begins with the two lines and the tapes.
    rig : Rig, optional
        Whose inputs are listed; default that of the solution.
    """
    solution, measures = brief.solution, brief.measures
    state = state or frame.state_label(solution, measures)
    usual = (*lines.legend(solution, brief.theme, measures), *tapes.legend(solution, measures)) if base else ()
    common = (
        TextBox(
            name="inputs",
            frame=(0.015, LOW, 0.505, END),
            heading=measures.say("frame-inputs"),
            lines=(*frame.inputs(solution, measures, brief.inputs, rig), *_no_ground(brief)),
            rest=measures.say("frame-cut-short"),
        ),
        TextBox(
            name="legend",
            frame=(0.513, LOW, 0.753, END),
            heading=measures.say("frame-legend"),
            legend=(*usual, *legend),
        ),
        TextBox(
            name="cautions", frame=(0.761, LOW, 0.985, END), heading=measures.say("frame-before-use"),
            lines=frame.cautions(measures),
        ),
    )
    return Stage(
        view=view,
        title=measures.verbatim(solution.rig.name),
        question=question,
        state=state,
        alarms=brief.alarms,
        panels=panels,
        boxes=(*common, *boxes),
        footer=measures.say(
            "frame-footer", version=__version__, date=brief.date, balance=frame.balance(solution, measures),
            step=frame.step(measures),
        ),
        theme=brief.theme,
        measures=measures,
        metadata={
            "Software": f"linescope {__version__}",
            "Title": solution.rig.name,
            "Scene": solution.rig.name,
            "State": state,
            "View": view,
            "Date": brief.date.isoformat(),
            "Version": __version__,
        },
    )
