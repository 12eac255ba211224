"""Where a picture crops the ground there is no floor: nothing is stroked along the edge of a panel.

An outline that is held inside its panel runs along the panel's edge, a few metres under the walker, over a ravine
that is far deeper.  What is looked at here are the pixels that were drawn.
"""

from __future__ import annotations

import dataclasses
import functools

import numpy as np
import pytest

from linescope.export import driver, film_frames, picture
from linescope.export.film_frames import GRAPH, HEAD, frames
from linescope.export.film_motion import motion_reel
from linescope.export.film_shots import Reel, crossing_reel
from linescope.stage import VIEWS, build, relief
from linescope.stage.ground import section, site
from linescope.stage.theme import LIGHT
from linescope.terrain import Terrain
from linescope.words import Words
from tests.stage import rigs

SIZE = (700, 495)
FILM = (960, 540)
LONGEST = 0.04
"""Share of a panel's width: an outline that crosses an edge at a slant is that long on it, one along it longer."""


def along_edge(pixels: np.ndarray, colour: tuple[int, int, int], reach: int = 3) -> int:
    """The longest run of a colour in the rows and columns next to the four edges of a picture.  [px]"""
    alike = np.abs(pixels.astype(int) - colour).max(axis=2) < 24
    longest = 0
    for row in (*alike[:reach], *alike[-reach:], *alike[:, :reach].T, *alike[:, -reach:].T):
        ends = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(int), [0]])))
        longest = max(longest, *(ends[1::2] - ends[::2]), 0)
    return longest


def ravine(floor: float, hole: bool = False) -> Terrain:
    """Rims at the anchors of the 48 m line and a ravine between them; `hole` leaves out its middle."""
    x = np.array([-12.0, 0.5, 2.0, 16.0, 32.0, 46.0, 47.5, 60.0])
    z = np.array([-0.6, -0.6, floor, floor, floor, floor, -0.6, -0.6])
    vertices = np.array([(a, y, b) for a, b in zip(x, z, strict=True) for y in (-20.0, 20.0)])
    faces = [tri for k in range(7) if not (hole and k == 3)
             for tri in ((2 * k, 2 * k + 2, 2 * k + 1), (2 * k + 1, 2 * k + 2, 2 * k + 3))]  # fmt: skip
    return Terrain(vertices=vertices, faces=np.array(faces), source="made", kind="profile")


@functools.cache
def reel(kind: str) -> Reel:
    make = crossing_reel if kind == "crossing" else functools.partial(motion_reel, kind=kind)
    rig = dataclasses.replace(rigs.heron(0.07, measured_on="tensioned"))
    return make(rig, frames=3, theme=LIGHT, measures=Words(), ground=ravine(-60.0))


def side_view(kind: str, ground: Terrain) -> np.ndarray:
    """The view of the whole line of a film's second frame."""
    driver.probe()
    shown = dataclasses.replace(reel(kind), shots=reel(kind).shots[1:2])
    rig = rigs.heron(0.07, measured_on="tensioned")
    look = {"theme": LIGHT, "measures": Words(), "size": FILM, "ground": site(ground, rig)}
    (image,) = frames(shown, rig, **look)
    unit = FILM[1] / 720
    split = HEAD * unit + 0.42 * (FILM[1] - (HEAD + GRAPH) * unit)
    return np.asarray(image)[round(HEAD * unit) + 1 : round(split + 4 * unit)]  # With the gap to the near view.


@pytest.mark.parametrize("kind", ["crossing", "main-gone"])
def test_a_film_draws_no_floor_along_the_edge_of_a_deep_ravine(kind: str) -> None:
    seen = side_view(kind, ravine(-60.0))
    assert along_edge(seen, LIGHT.rgb("ground_edge"), 6) < LONGEST * FILM[0]
    middle = seen[-12:, round(0.35 * FILM[0]) : round(0.65 * FILM[0])]
    filled = np.abs(middle.astype(int) - LIGHT.rgb("ground")).max(axis=2) < 24
    assert filled.mean() < 0.02  # But for the rims of letters.


def test_a_floor_at_the_edge_is_noticed() -> None:
    """The look-out itself: a floor that truly lies at the lower edge of the view is found there."""
    rig, unit = rigs.heron(0.07, measured_on="tensioned"), FILM[1] / 720
    shown = dataclasses.replace(reel("crossing"), shots=reel("crossing").shots[1:2])
    camera, tall = film_frames._side(shown, rig, FILM, unit), film_frames._tall(FILM, unit)

    def edge(floor: float) -> float:
        """How far down the page the edge of a floor is drawn.  [px]"""
        ((_, run),) = relief.cut(site(ravine(floor), rig), rig, LIGHT)
        return float(camera.project(run[len(run) // 2][None], (FILM[0], tall))[0, 1])

    level = np.interp(tall - 1.0, [edge(-1.0), edge(-40.0)], [-1.0, -40.0])
    assert along_edge(side_view("crossing", ravine(level)), LIGHT.rgb("ground_edge"), 6) > LONGEST * FILM[0]


def test_a_film_shows_no_far_bank_as_a_floor_under_the_line() -> None:
    """A bank 2 m below the anchors and 40 m or more behind the line, over a ravine of 60 m."""
    alone = dataclasses.replace(ravine(-60.0), kind="mesh")
    bank = np.array([(x, y, -2.0) for x in (-12.0, 60.0) for y in (40.0, 90.0)])
    first = len(alone.vertices)
    with_bank = Terrain(
        vertices=np.concatenate([alone.vertices, bank]), source="made", kind="mesh",
        faces=np.concatenate([alone.faces, first + np.array([[0, 2, 1], [1, 2, 3]])]),
    )
    one, other = (side_view("crossing", ground).astype(int) for ground in (alone, with_bank))
    assert np.abs(one - other).max() < 24
    assert (np.abs(one - LIGHT.rgb("paper")).max(axis=2) > 24).mean() > 0.02  # There is ground to be seen.


def test_a_film_does_not_bridge_ground_that_is_not_known() -> None:
    seen = side_view("crossing", ravine(-4.0, hole=True))
    column = seen[:, FILM[0] // 2].astype(int)
    for role in ("ground", "ground_edge"):
        assert np.abs(column - LIGHT.rgb(role)).max(axis=1).min() > 24
    assert np.abs(side_view("crossing", ravine(-4.0))[:, FILM[0] // 2].astype(int) - LIGHT.rgb("ground")).min() < 24


def test_a_section_has_a_run_for_each_stretch_of_known_ground() -> None:
    rig = rigs.heron()
    runs = section(ravine(-30.0, hole=True), rig, -10.0, 58.0, 681)
    assert [(round(run[0, 0], 1), round(run[-1, 0], 1)) for run in runs] == [(-10.0, 16.0), (32.0, 58.0)]
    assert len(section(ravine(-30.0), rig, -10.0, 58.0, 681)) == 1


@pytest.mark.parametrize("view", ["elevation", "no-fall", "main-gone"])
def test_no_picture_draws_a_floor_along_the_edge_of_a_panel(view: str) -> None:
    driver.probe()
    solution = rigs.solved("heron")
    assert view in VIEWS
    stage = build(solution, view=view, ground=ravine(-60.0), size=SIZE, study=rigs.study("heron"))
    drawn = np.asarray(picture.compose(stage, SIZE).image)
    cropped = 0
    for panel in stage.panels:
        if not any(surface.name == "ground" for surface in panel.surfaces):
            continue
        left, top, right, bottom = (round(e * s) for e, s in zip(panel.frame, (*SIZE, *SIZE), strict=True))
        seen = drawn[top:bottom, left:right]
        assert along_edge(seen, LIGHT.rgb("ground_edge")) < LONGEST * SIZE[0], panel.name
        cropped += 1
    assert cropped
