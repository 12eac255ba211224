"""The page: from a change to a new picture on a rig of a hundred tapes.

Solver and message are timed in this process; the round trip in a headless Chromium (software OpenGL) from the change
leaving the page to the picture being painted.  The peer is what the usual way with trame would send: the same two
ribbons as meshes, taken apart by trame-vtk's own serializer.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from linescope.app.live import packed, picture_of
from linescope.app.session import Session
from linescope.stage import lines
from linescope.stage.ring import ring_of
from linescope.words import Words
from tests.app.rigs import hundred_tapes, written
from tests.benchmarks.timing import Row, Timing, against, within

FAST, ROUND = 0.060, 0.060  # [s]
CHANGES = {
    "tension": lambda k: ("edit", "main.tension", f"{2.3 + 0.01 * (k % 40):.2f} kN"),
    "excess": lambda k: ("edit", "backup.excess", f"{5.0 + 0.1 * (k % 40):.1f} %"),
    "spacing": lambda k: ("edit", "taping.zones[1].spacing.every", f"{1.0 + 0.001 * (k % 40):.3f} m"),
    "walker": lambda k: ("move_walker", 0.2 + 0.01 * (k % 60)),
    "hold": lambda k: ("edit", "hold.drag", f"{0.4 + 0.01 * (k % 40):.2f} N"),
}


def rows() -> Iterator[Row]:
    with tempfile.TemporaryDirectory() as name:
        scene = written(Path(name), hundred_tapes())
        yield from in_process(scene)
        yield geometry_alone(scene)
        yield from round_trips(scene)


def in_process(scene: Path) -> Iterator[Row]:
    """Load, solve and geometry after a change, without a browser."""
    session, measures = Session(scene), Words()
    session.settle()
    for what, change in CHANGES.items():
        seconds = []
        for k in range(25):
            name, *arguments = change(k)
            getattr(session, name)(*arguments)
            job = session.job("first")
            assert job is not None
            start = time.perf_counter()
            outcome = session.engine("first").run(job.scene, job.asked)
            assert outcome.picture is not None, outcome.error
            packed(picture_of(outcome.picture, measures), {"kind": "now"})
            seconds.append(time.perf_counter() - start)
            session.accept(job, outcome)
        timing = Timing(np.array(seconds[3:]))
        yield within(f"page: solver and message, {what}, 98 tapes", timing, FAST)


def geometry_alone(scene: Path) -> Row:
    """The message with lines, tapes, figures and labels against ribbons as meshes through trame-vtk's serializer."""
    import pyvista as pv
    from trame_vtk.modules.vtk.serializers import configure_serializer, initialize_serializers
    from trame_vtk.modules.vtk.serializers.serialize import serialize
    from trame_vtk.modules.vtk.serializers.synchronization_context import SynchronizationContext

    session = Session(scene)
    session.settle()
    picture = session.variant.picture
    assert picture is not None
    ours, theirs = [], []
    initialize_serializers()
    configure_serializer()
    context: Any = SynchronizationContext()
    for _ in range(12):
        ring_of.cache_clear()  # A new picture finds its ring once.
        start = time.perf_counter()
        packed(picture_of(picture, Words()), {"kind": "now"})
        ours.append(time.perf_counter() - start)
        start = time.perf_counter()
        for ribbon in lines.ribbons(picture.solution):
            faces = np.column_stack([np.full(len(ribbon.triangles), 3), ribbon.triangles]).ravel()
            mesh = pv.PolyData(ribbon.points, faces)
            serialize(None, mesh, f"ribbon-{ribbon.name}", context, 1)
            for array in (mesh.points, mesh.faces):
                np.ascontiguousarray(array).tobytes()
        theirs.append(time.perf_counter() - start)
    return against(
        "page: picture ready to send", Timing(np.array(ours[2:])), Timing(np.array(theirs[2:])), 2.0,
        " as ribbons through trame-vtk",
    )


def round_trips(scene: Path) -> Iterator[Row]:
    """In the browser: from asking for a change to its picture being on the canvas."""
    from tests.browser.app.served import Seen, browsing, serving

    script = """async ([name, ...what]) => {
      const begun = performance.now();
      const result = await linescopeLive.act(name, ...what);
      for (let k = 0; k < 600; k++) {
        const last = linescopeLive.log.filter((e) => e.revision >= result.revision).shift();
        if (last) return last.at - begun;
        await new Promise((done) => setTimeout(done, 2));
      }
      return NaN;
    }"""
    with serving(scene) as (url, _), browsing() as browser:
        tab = browser.new_page(viewport={"width": 1280, "height": 800})
        seen = Seen(tab, url)
        seen.known("all")
        for what, change in CHANGES.items():
            seconds = []
            for k in range(20):
                seconds.append(tab.evaluate(script, list(change(k + 3))) / 1e3)
                tab.wait_for_timeout(30)
            timing = Timing(np.array(seconds[3:]))
            yield within(f"page: change to new picture, {what}, 98 tapes", timing, ROUND)
