"""Two thousand random changes through the browser while briefs are being written and stopped.

Takes minutes: runs when LINESCOPE_SOAK is set.
"""

from __future__ import annotations

import logging
import os
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.app.changes import ASKS, random_change
from tests.app.rigs import shipped
from tests.browser.app.served import Seen, serving

LOG = logging.getLogger(__name__)
COUNT = int(os.environ.get("LINESCOPE_SOAK") or 0)
LEVELS_OFF = 1.10
"""Memory after the last quarter over memory after the second: no more than a tenth of growth."""


BRIEF = """() => {
  linescopeLive.link.ask("job", ["brief"], { out: "soak-brief" }).then((said) => { window.brief = said; });
}"""
STOP = """async () => {
  const begun = performance.now();
  await linescopeLive.stop();
  const answered = performance.now() - begun;
  for (let k = 0; k < 4000 && linescopeLive.job.running; k++) await new Promise((done) => setTimeout(done, 5));
  return [answered, performance.now() - begun, Boolean(linescopeLive.job.running)];
}"""
STOPS = 12


def resident(pid: int) -> float:
    """Memory of a process.  [MB]"""
    fields = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()
    return int(fields[21]) * os.sysconf("SC_PAGE_SIZE") / 1e6


def asked(draw: random.Random) -> Iterator[list[Any]]:
    for _ in range(COUNT):
        if draw.random() < 0.1:
            yield ["ask", [], draw.choice(ASKS)]
        else:
            name, *arguments = random_change(draw)
            yield [name, arguments, {}]


@pytest.mark.skipif(COUNT == 0, reason="minutes long: set LINESCOPE_SOAK=2000")
def test_memory_levels_off_and_nothing_fails(browser: Any, tmp_path: Path) -> None:
    with serving(shipped(tmp_path, "larkspur_ledge")) as (url, child):
        tab = browser.new_page(viewport={"width": 1200, "height": 800})
        seen = Seen(tab, url)
        draw, levels, stops = random.Random(8), [], []
        for k, (name, arguments, named) in enumerate(asked(draw)):
            result = tab.evaluate(
                "([name, what, named]) => linescopeLive.link.ask('act', [name, ...what], named)",
                [name, arguments, named],
            )
            assert "error" in result or "revision" in result, (name, arguments, result)
            running = tab.evaluate("() => Boolean(linescopeLive.job.running)")
            if running and (k + 1) % max(COUNT // STOPS, 1) == 0:
                stops.append(tab.evaluate(STOP))
                assert not stops[-1][2]
                LOG.warning("Stop: answered after %.0f ms, ended after %.0f ms", *stops[-1][:2])
            elif not running:
                tab.evaluate(BRIEF)
            if (k + 1) % (COUNT // 20) == 0:
                tab.evaluate("() => window.gc && window.gc()")
                heap = tab.evaluate("() => performance.memory ? performance.memory.usedJSHeapSize / 1e6 : 0")
                levels.append((resident(child.pid), heap))
                LOG.warning("%d changes: server %.0f MB, page %.0f MB", k + 1, *levels[-1])
            assert child.poll() is None
        assert stops, "no brief was under way when one was to be stopped"
        tab.evaluate(STOP)
        # Nothing is lost: what was asked last is what both sides hold, and its picture has come.
        for mass in ("61 kg", "87 kg"):
            tab.evaluate("(mass) => linescopeLive.link.ask('act', ['undo']).then(() => "
                         "linescopeLive.link.ask('act', ['edit', 'title', mass]))", mass)
        seen.rest()
        assert tab.evaluate("() => linescopeLive.link.waiting.size") == 0
        assert tab.evaluate("() => linescopeLive.status.title") == "87 kg"
        assert tab.evaluate(
            "() => linescopeLive.status.reason !== '' || "
            "linescopeLive.pieces[linescopeLive.status.active].now.revision === linescopeLive.status.revision"
        )
        assert seen.problems == []
        assert len(seen.pixels()) > 5000
        middle, end = (max(levels[k - 3 : k]) for k in (len(levels) // 2, len(levels)))
        assert end[0] < LEVELS_OFF * middle[0]
        assert end[1] < 2.0 * middle[1] + 20.0
        tab.close()
