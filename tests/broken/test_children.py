"""As a process: told to end at any moment, without room, without rights, without streams."""

from __future__ import annotations

import os
import re
import resource
import signal
import socket
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from linescope import console
from linescope.errors import SolveError
from tests.advise.lines import scene_of
from tests.broken import child, grounds, meshes, scaffold
from tests.broken.case import contents
from tests.broken.texts import GOOD
from tests.long import rest_is_long

SCENES = Path(__file__).parents[2] / "scenes"
HERON = str(SCENES / "heron_gap.toml")
LEDGE = str(SCENES / "larkspur_ledge.toml")
MOMENTS = [
    *((("film", HERON, "-o", "OUT/f.gif", "--frames", "20", "--size", "480x270"), after) for after in (0.1, 1.5, 3)),
    *((("brief", LEDGE, "-o", "OUT", "--tables", "--mesh"), after) for after in (0.1, 0.4, 3)),
    (("clearance", LEDGE), 0.3), (("compare", HERON), 0.5), (("tapes", HERON, "--print", "OUT/f.pdf"), 0.2),
    (("figures", HERON, "--full"), 0.6),
]  # fmt: skip
# Both signals soon after the beginning; the one of Ctrl-C at all moments.
ENDED = [
    *((*moment, signal.SIGINT) for moment in MOMENTS),
    *((*moment, signal.SIGTERM) for moment in sorted(MOMENTS, key=lambda moment: moment[1])),
]
needs_root = pytest.mark.skipif(
    sys.platform != "linux" or os.geteuid() != 0, reason="rights are taken from root's children"
)


PROGRESS = re.compile(r"linescope: \d+ % after \d+ s: .*\n")


def complaint(said: str) -> None:
    """One line of words; before it, on a busy machine, how far a long command had come."""
    said = PROGRESS.sub("", said)
    assert said.startswith("linescope: ")
    assert said.count("\n") == 1
    assert "Traceback" not in said
    assert "fault of linescope" not in said


def in_short(case: tuple[tuple[str, ...], float, signal.Signals]) -> str:
    return f"{case[0][0]}, {case[1]} s, {case[2].name}"


@pytest.mark.parametrize("case", rest_is_long(ENDED, *ENDED[: len(MOMENTS) + 3]), ids=in_short)
def test_told_to_end_at_any_moment(case: tuple[tuple[str, ...], float, signal.Signals], tmp_path: Path) -> None:
    arguments, after, number = case
    for name in ("f.gif", "f.pdf", "sheet.pdf", "page.html", "rig.glb", "loops.csv"):
        (tmp_path / name).write_text("old")
    status, said, early = child.stopped([each.replace("OUT", str(tmp_path)) for each in arguments], number, after)
    if not early:
        pytest.skip("the command was done before the signal came")
    if status == 0:  # It came when all was done.
        return
    assert status == 128 + number
    complaint(said)
    assert "interrupted" in said
    files = contents(tmp_path)
    assert not [name for name in files if name.startswith(".")], "a half-written file was left"
    for name, content in files.items():
        assert content == b"old" or (name.endswith(".png") and bytes(content)[-8:-4] == b"IEND")  # type: ignore[call-overload]


# Each command is broken off at a place where Python itself would have more to say, or nothing at all.
BROKEN_OFF = {
    "another process was being started": """
        child = subprocess.Popen(["sleep", "0.1"], stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        signal.raise_signal(signal.SIGINT)
    """,
    "a file was open": """
        file = open(__file__)
        signal.raise_signal(signal.SIGINT)
    """,
    "nothing could be raised": """
        class Deleted:
            def __del__(self):
                signal.raise_signal(signal.SIGINT)
        Deleted()
        time.sleep(60)
    """,
    "another library heard it and went on": """
        try:
            signal.raise_signal(signal.SIGINT)
        except BaseException:
            pass
        time.sleep(60)
    """,
    "what it leaves was being cleared away": """
        try:
            signal.raise_signal(signal.SIGINT)
        finally:
            signal.raise_signal(signal.SIGINT)
            try:
                signal.raise_signal(signal.SIGINT)
                raise ValueError
            except ValueError:
                time.sleep(0.3)
            print("cleared away")
    """,
    "a drawing library was calling back": """
        from vtkmodules.util.vtkAlgorithm import VTKPythonAlgorithmBase
        class Drawn(VTKPythonAlgorithmBase):
            def RequestData(self, *asked):
                signal.raise_signal(signal.SIGINT)
                return 1
        Drawn(nInputPorts=0).Update()
        time.sleep(60)
    """,
}


@pytest.mark.parametrize("where", BROKEN_OFF)
def test_interrupted_where_python_has_words_of_its_own(where: str, tmp_path: Path) -> None:
    script = tmp_path / "script.py"
    script.write_text(
        "import signal, subprocess, sys, time\nfrom linescope import console\ndef command():\n"
        f"{BROKEN_OFF[where]}\n        return 0\nsys.exit(console.run(command, as_process=True))\n"
    )
    done = child.python("-W", "error", str(script))
    assert done.returncode == 128 + signal.SIGINT, done.stderr
    complaint(done.stderr)
    assert "interrupted" in done.stderr
    assert ("cleared away" in done.stdout) == ("cleared away" in where)


@pytest.mark.parametrize("arguments", rest_is_long(
    [("figures", HERON), ("keys",), ("schema",), ("start",), ("tapes", HERON, "--json")], ("figures", HERON), ("keys",),
))
def test_no_room_on_standard_output(arguments: tuple[str, ...]) -> None:
    full = os.open("/dev/full", os.O_WRONLY)
    try:
        done = child.run(*arguments, stdout=full)
    finally:
        os.close(full)
    assert done.returncode == 2
    complaint(done.stderr)
    assert "standard output cannot be written" in done.stderr


def test_no_standard_output_or_error_at_all() -> None:
    done = child.run("keys", before=lambda: os.close(1))
    assert done.returncode == 2
    complaint(done.stderr)
    assert child.run("figures", HERON, before=lambda: os.close(2)).returncode == 0


@pytest.mark.parametrize("encoding", rest_is_long(["ascii", "latin-1", "utf-8"], "ascii", "utf-8"))
def test_a_terminal_of_any_encoding(encoding: str, tmp_path: Path) -> None:
    scene = tmp_path / "a\udcff.toml"
    scene.write_text(GOOD.replace("My line", "Gr\u00fcn \u7dda"), encoding="utf-8")
    done = child.run("tapes", str(scene), PYTHONIOENCODING=f"{encoding}:strict")
    assert (done.returncode, done.stderr) == (0, "")
    scene.write_text("title = 3\n")
    done = child.run("figures", str(scene), PYTHONIOENCODING=f"{encoding}:strict")
    assert done.returncode == 2
    complaint(done.stderr)
    assert r"a\udcff.toml: key 'title'" in done.stderr


@pytest.mark.parametrize("arguments", rest_is_long(
    [("keys",), ("schema",), ("figures", HERON, "--json")], ("keys",), ("figures", HERON, "--json"),
))
def test_a_reader_that_leaves(arguments: tuple[str, ...]) -> None:
    read, write = os.pipe()
    os.close(read)
    try:
        done = child.run(*arguments, stdout=write)
    finally:
        os.close(write)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize(
    ("arguments", "room"),
    [
        (("film", "OUT/small.toml", "-o", "OUT/f.gif", "--frames", "5", "--size", "480x270"), 9000),
        (("tapes", HERON, "--csv", "OUT/f.csv"), 200), (("tapes", HERON, "--print", "OUT/f.pdf"), 5000),
        (("brief", "OUT/small.toml", "-o", "OUT", "--pictures-only", "--no-crossings"), 9000),
        (("start", "level", "-o", "OUT/f.toml"), 300),
    ],
)  # fmt: skip
def test_a_full_disk(arguments: tuple[str, ...], room: int, tmp_path: Path) -> None:
    """The kernel refuses bytes beyond a limit as a full disk does."""
    for name in ("f.gif", "f.csv", "f.pdf"):
        (tmp_path / name).write_text("old")
    (tmp_path / "small.toml").write_text(scene_of().text)
    before = contents(tmp_path)
    done = child.run(
        *(each.replace("OUT", str(tmp_path)) for each in arguments), before=child.limit(resource.RLIMIT_FSIZE, room),
        LP_NUM_THREADS="0", MESA_SHADER_CACHE_DISABLE="true",
    )
    assert done.returncode == 2, done.stderr
    complaint(done.stderr)
    assert str(tmp_path) in done.stderr
    assert "cannot be written" in done.stderr
    assert contents(tmp_path) == before


def test_more_ground_than_memory(tmp_path: Path) -> None:
    with (tmp_path / "g.npy").open("wb") as stream:
        stream.write(grounds.npy_header("(49000000, 3)"))
        stream.truncate(128 + 49_000_000 * 24)
    scene = scaffold.scene_with(("ground", "file")) | {"ground": {"kind": "points", "file": "g.npy"}}
    (tmp_path / "scene.toml").write_text(scaffold.document(scene))
    done = child.run(
        "clearance", str(tmp_path / "scene.toml"), before=child.limit(resource.RLIMIT_AS, 2_000_000_000),
        OPENBLAS_NUM_THREADS="1",
    )
    assert done.returncode == 2, done.stderr
    complaint(done.stderr)
    assert "g.npy" in done.stderr


@pytest.mark.parametrize("kilobytes", [150_000, 180_000, 200_000, 300_000])
def test_less_memory_than_numerical_libraries_need_to_start(kilobytes: int, tmp_path: Path) -> None:
    """They wait for memory for ever, deaf to every signal; so they are not loaded."""
    done = child.run(
        "tapes", HERON, "--print", str(tmp_path / "f.pdf"), before=child.limit(resource.RLIMIT_AS, kilobytes * 1024),
    )
    assert done.returncode == 2, done.stderr
    complaint(done.stderr)
    assert "more memory" in done.stderr
    assert contents(tmp_path) == {}


def test_a_library_that_cannot_be_loaded_for_want_of_memory(capsys: pytest.CaptureFixture[str]) -> None:
    def load() -> int:
        raise ImportError("libx.so: failed to map segment from shared object")

    assert console.run(load, as_process=False) == 2
    assert "more memory" in capsys.readouterr().err


DEAF = """
import sys, time
from linescope import console
def command():
    try:
        print("ready", flush=True)
        time.sleep(600)
    except BaseException:
        sys.stdout.write("heard\\n"), sys.stdout.flush(), sum(range(10**15))  # No line of Python runs any more.
sys.exit(console.run(command, as_process=True))
"""


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_second_signal_always_ends_the_process(number: signal.Signals, tmp_path: Path) -> None:
    script = tmp_path / "script.py"
    script.write_text(DEAF)
    with child.started(str(script)) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "ready\n"
        process.send_signal(number)
        assert process.stdout.readline() == "heard\n"
        process.send_signal(number)
        assert process.wait(child.LONGEST) != 0


def test_an_interrupt_before_the_command_has_begun_ends_it_without_a_word(tmp_path: Path) -> None:
    """As in a process started for the command: the signal comes while its modules are being loaded."""
    script = tmp_path / "script.py"
    script.write_text(
        "import runpy, signal, sys\n"
        "class Finder:\n"
        "    def find_spec(self, name, path=None, target=None):\n"
        "        if name == 'linescope.cli':\n"
        "            signal.raise_signal(signal.SIGINT)\n"
        "sys.meta_path.insert(0, Finder())\n"
        "runpy.run_module('linescope', run_name='__main__')\n"
    )
    done = child.python(str(script))
    assert (done.returncode, done.stdout, done.stderr) == (-signal.SIGINT, "", "")


@pytest.fixture
def foreign(tmp_path: Path) -> Iterator[Path]:
    """A folder into which may be looked, and nothing written."""
    (tmp_path / "scene.toml").write_text(GOOD)
    (tmp_path / "g.obj").write_text(meshes.obj_text())
    (tmp_path / "out").mkdir()
    (tmp_path / "out").chmod(0o555)
    tmp_path.chmod(0o555)
    yield tmp_path
    tmp_path.chmod(0o755)


@needs_root
@pytest.mark.parametrize(
    "arguments",
    [
        ("film", "IN/scene.toml", "-o", "IN/out/f.gif"), ("brief", "IN/scene.toml", "-o", "IN/out"),
        ("brief", "IN/scene.toml", "-o", "IN/new"), ("tapes", "IN/scene.toml", "--csv", "IN/out/f.csv"),
        ("tapes", "IN/scene.toml", "--depth", "40 cm", "--print", "IN/out/f.pdf"),
        ("start", "level", "-o", "IN/f.toml"),
    ],
)  # fmt: skip
def test_a_folder_of_somebody_else(arguments: tuple[str, ...], foreign: Path) -> None:
    before = contents(foreign)
    done = child.run(*(each.replace("IN", str(foreign)) for each in arguments), before=child.without_rights)
    assert done.returncode == 2, done.stderr
    complaint(done.stderr)
    assert str(foreign) in done.stderr
    assert contents(foreign) == before


@needs_root
def test_files_that_may_not_be_read(foreign: Path) -> None:
    scene = scaffold.scene_with(("ground", "file")) | {"ground": {"kind": "mesh", "file": "g.obj"}}
    (foreign / "scene.toml").write_text(scaffold.document(scene))
    (foreign / "g.obj").chmod(0)
    done = child.run("clearance", str(foreign / "scene.toml"), before=child.without_rights)
    assert done.returncode == 2
    complaint(done.stderr)
    assert "g.obj: cannot be opened (Permission denied)" in done.stderr
    (foreign / "scene.toml").chmod(0)
    done = child.run("figures", str(foreign / "scene.toml"), before=child.without_rights)
    assert done.returncode == 2
    complaint(done.stderr)
    assert "scene.toml: the file cannot be read (Permission denied)" in done.stderr


def test_a_port_that_is_taken() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        done = child.run("stage", HERON, "--no-browser", "--port", port)
    assert done.returncode == 2, done.stderr
    assert "Traceback" not in done.stderr
    assert port in done.stderr


def test_memory_errors_and_own_faults_have_words(capsys: pytest.CaptureFixture[str]) -> None:
    def fail(error: BaseException) -> int:
        raise error

    for error, status, word in (
        (MemoryError(), 2, "memory"), (KeyError("x"), 1, "fault of linescope"),
        (KeyboardInterrupt(), 130, "interrupted"),
        (BrokenPipeError(), 0, ""), (SolveError("a b.", advice="c"), 4, "Try: c"),
    ):
        assert console.run(lambda error=error: fail(error), as_process=False) == status
        assert word in capsys.readouterr().err


def test_a_fault_of_our_own_can_be_looked_into(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(console.SHOW_TRACEBACK, "1")
    with pytest.raises(ZeroDivisionError):
        console.run(lambda: 1 // int(np.zeros(1)[0]), as_process=False)
