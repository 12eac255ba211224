"""Painting the page's picture, part by part, where a processor draws: CPU seconds of the browser for each frame.

CPU and not wall, since what else the machine does changes wall several times over. A part is painted alone, frame after
frame, so each row holds what putting any change on the screen costs, which is the row of the page alone.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from tests.app.rigs import hundred_tapes, shipped, written
from tests.benchmarks.timing import Row, Timing

SIZE = {"width": 1440, "height": 900}
FRAMES, ROUNDS = 12, 3
PARTS = {
    "page alone": "document.querySelector('#caution').style.opacity = 1 - 0.01 * (k % 2);",
    "walker dragged": "app.now.at = app.model.span * (0.3 + 0.03 * k); app.rough = true; app.paint();",
    "eye turned": "app.camera.position.x += 0.1; app.rough = true; app.paint();",
    "picture at rest": "app.rough = false; app.paint();",
    "WebGL in haste": "stage.coarse = true; stage.draw(app.camera, undefined, app.tall);",
    "WebGL in haste, ground anew": "stage.coarse = true; stage.last = ''; stage.draw(app.camera, undefined, app.tall);",
    "WebGL at rest": "stage.coarse = false; stage.draw(app.camera, undefined, app.tall);",
    "lens": "stage.coarse = true; stage.lens(app.lens.camera, 232);"
            "app.lens.draw(app.shape, 232, 1, app.canvas, () => '');",
    "strip": "app.footer();",
}  # fmt: skip
SCRIPT = """async (count) => {
  const app = linescope, { stage } = app, part = (k) => { %s };
  for (let k = 0; k < count; k++) {
    await new Promise(requestAnimationFrame);
    clearTimeout(app.settling);
    part(k);
  }
}"""


def rows() -> Iterator[Row]:
    from tests.browser.app.served import Seen, browsing, serving

    with tempfile.TemporaryDirectory() as name:
        scenes = {
            "98 tapes": written(Path(name), hundred_tapes()),
            "larkspur_ledge": shipped(Path(name), "larkspur_ledge"),
        }
        for what, scene in scenes.items():
            with serving(scene) as (url, _), browsing() as browser:
                tab = browser.new_page(viewport=SIZE, reduced_motion="reduce")
                Seen(tab, url).known("all")
                for part, script in PARTS.items():
                    seconds = []
                    for _ in range(ROUNDS):
                        tab.wait_for_timeout(800)  # What was asked for before is painted.
                        before = _cpu()
                        tab.evaluate(SCRIPT % script, FRAMES)
                        tab.wait_for_timeout(800)
                        seconds.append((_cpu() - before) / FRAMES)
                    yield Row(what=f"painting: {part}, {what}, CPU a frame", ours=Timing(np.array(seconds)))


def _cpu() -> float:
    """CPU seconds of every browser's process that descends from this one, by Linux's `/proc`."""
    parents, spent = {}, {}
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            try:
                fields = (entry / "stat").read_text().rpartition(")")[2].split()
                named = "chrom" in (entry / "cmdline").read_text()
            except OSError:  # It has just ended.
                continue
            parents[int(entry.name)] = int(fields[1])
            spent[int(entry.name)] = (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK") if named else 0.0

    def ours(process: int) -> bool:
        while process in parents and process != os.getpid():
            process = parents[process]
        return process == os.getpid()

    return sum(used for process, used in spent.items() if ours(process))
