"""Commands from cold: import, `figures`, `brief` and the like, each in a process of its own with its peak memory.

linescope is built and installed into a folder of its own first, so that what is timed is what a user runs.  "Cold" is
a new process; the files may be in the system's cache.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from tests.benchmarks.children import ROOT, Ran, called, run
from tests.benchmarks.timing import Row, Timing, within

SCENES = ("heron_gap", "larkspur_ledge", "ptarmigan_step", "sable_tarn")
IMPORT, FIGURES, BRIEF = 0.3, 1.5, 20.0  # Targets [s].
STARTS = 9  # Runs of what takes little.
PEER = "import numpy, scipy.optimize, pint"
USED = "from linescope import Study, figures_text, load, solve"
CHECK = "import linescope, sys; print(linescope.__file__)"
UNMET = 3  # Exit status of `linescope clearance` where a distance asked for is not kept.


def install(folder: Path) -> Path:
    """Install the working tree, without what git ignores, into a folder, without its dependencies."""
    source, target = folder / "source", folder / "installed"
    wanted = ["git", "ls-files", "-co", "--exclude-standard", "linescope", "scenes", "pyproject.toml", "README.md"]
    listed = subprocess.run(wanted, cwd=ROOT, capture_output=True, text=True, check=True).stdout.split()
    for name in filter(lambda one: (ROOT / one).exists(), listed):
        copy = source / name
        copy.parent.mkdir(parents=True, exist_ok=True)
        copy.write_bytes((ROOT / name).read_bytes())
    pip = [sys.executable, "-m", "pip", "install", "-q", "--no-deps", "--no-build-isolation"]
    subprocess.run([*pip, "--disable-pip-version-check", "--target", str(target), str(source)], check=True)
    if not Path(run([sys.executable, "-c", CHECK], path=target).output.decode().strip()).is_relative_to(target):
        raise RuntimeError("the installed copy is not the one that is imported")
    return target


def _timing(runs: list[Ran]) -> Timing:
    return Timing(np.array([one.seconds for one in runs]))


def _memory(runs: list[Ran]) -> float:
    return max(one.memory for one in runs)


def imports(target: Path) -> Iterator[Row]:
    """Ours, a bare interpreter and what any program of this kind imports, in turn."""
    bare, plain, used, peer = [], [], [], []
    for _ in range(STARTS):
        for runs, script in ((bare, "pass"), (plain, "import linescope"), (used, USED), (peer, PEER)):
            runs.append(run([sys.executable, "-c", script], path=target))
    start = _timing(bare).median
    for what, runs in (("import linescope", plain), (USED, used)):
        ours, theirs = (Timing(_timing(taken).seconds - start) for taken in (runs, peer))
        yield within(
            f"`{what}`, less {1e3 * start:.0f} ms of a bare Python, peer `{PEER}`", ours, IMPORT, peer=theirs,
            ratio=theirs.median / ours.median, memory=_memory(runs),
        )


def figures(target: Path, scenes: Path) -> Iterator[Row]:
    """`linescope figures` from cold."""
    ours, peer = [], []
    for _ in range(STARTS):
        ours.append(_command(target, "figures", str(scenes / "heron_gap.toml")))
        peer.append(run([sys.executable, "-c", PEER], path=target))
    theirs = _timing(peer)
    yield within(
        f"`linescope figures` heron_gap from cold, peer `python -c '{PEER}'`", _timing(ours), FIGURES, peer=theirs,
        ratio=theirs.median / _timing(ours).median, memory=_memory(ours),
    )
    for name in SCENES[1:]:
        runs = [_command(target, "figures", str(scenes / f"{name}.toml")) for _ in range(3)]
        yield Row(what=f"`linescope figures` {name} from cold", ours=_timing(runs), memory=_memory(runs))


def briefs(target: Path, folder: Path, scenes: Path) -> Iterator[Row]:
    """Pictures, sheet and page of every shipped scene, and of one above a million triangles."""
    for scene in (*(scenes / f"{name}.toml" for name in SCENES), million(folder)):
        ran = _command(target, "brief", str(scene), "-o", str(folder / "briefing"))
        yield within(f"`linescope brief` {scene.stem} from cold", _timing([ran]), BRIEF, memory=ran.memory)


def million(folder: Path) -> Path:
    """Heron Gap above a rough grid of 1,000,000 triangles with the same section, invented."""
    text = (ROOT / "scenes/heron_gap.toml").read_text(encoding="utf-8")
    profile = tomllib.loads(text)["ground"]["profile"]
    station, height = np.array([[float(value.removesuffix(" m")) for value in point] for point in profile]).T
    x, y = np.linspace(-8.0, 56.0, 1001), np.linspace(-15.0, 15.0, 501)
    rough = np.random.default_rng(0).normal(0.0, 0.02, (len(y), len(x)))
    np.savez(folder / "million.npz", x=x, y=y, z=np.interp(x, station, height) + 0.01 * np.abs(y)[:, None] + rough)
    begin, end = text.index("[ground]"), text.index("[clearance]")
    scene = folder / "a_million_triangles.toml"
    ground = '[ground]\nkind = "grid"\nfile = "million.npz"\n\n'
    scene.write_text(text[:begin] + ground + text[end:], encoding="utf-8")
    return scene


def others(target: Path, scenes: Path) -> Iterator[Row]:
    """Commands of which only time and memory are told."""
    heron, ledge = str(scenes / "heron_gap.toml"), str(scenes / "larkspur_ledge.toml")
    for what, arguments in (
        ("`linescope figures --full` heron_gap", ("figures", heron, "--full")),
        ("`linescope clearance` larkspur_ledge", ("clearance", ledge)),
        ("`linescope tapes` larkspur_ledge", ("tapes", ledge)),
    ):
        ran = _command(target, *arguments)
        yield Row(what=f"{what} from cold", ours=_timing([ran]), memory=ran.memory)
    _, ran = called(page_session, heron)
    what = "page: a session of heron_gap, 200 changes, without a browser"
    yield Row(what=what, ours=_timing([ran]), memory=ran.memory)


def page_session(scene: str) -> None:
    """200 changes of the tension in the page's session."""
    from linescope.app.live import packed, picture_of
    from linescope.app.session import Session
    from linescope.words import Words

    session = Session(Path(scene))
    session.settle()
    for k in range(200):
        session.edit("main.tension", f"{1.6 + 0.01 * (k % 40):.2f} kN")
        session.settle()
        picture = session.variant.picture
        assert picture is not None
        packed(picture_of(picture, Words()), {"kind": "now"})


def _command(target: Path, *arguments: str) -> Ran:
    return run([str(target / "bin" / "linescope"), *arguments], path=target, allowed=(0, UNMET))


def rows() -> Iterator[Row]:
    """All rows of the commands."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        target, scenes = install(folder), ROOT / "scenes"
        yield from imports(target)
        yield from figures(target, scenes)
        yield from briefs(target, folder, scenes)
        yield from others(target, scenes)
