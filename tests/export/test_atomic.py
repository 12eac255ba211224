"""A file is written whole or not at all."""

from __future__ import annotations

import os
import resource
import signal
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from linescope import atomic
from linescope.errors import OutputError


def test_writes_the_whole_file_and_leaves_nothing_else(tmp_path: Path) -> None:
    assert atomic.write_text(tmp_path / "a.txt", "Δ ≤ 3\n") == tmp_path / "a.txt"
    assert (tmp_path / "a.txt").read_bytes() == "Δ ≤ 3\n".encode()
    assert os.listdir(tmp_path) == ["a.txt"]


@pytest.mark.parametrize("name", ["a\x1b[31m.csv", "x.gif\n.mp4", "a\x00b", "\x7f.png"])
def test_a_name_that_a_terminal_would_obey_is_refused(tmp_path: Path, name: str) -> None:
    for refuse in (atomic.refuse_early, atomic.folder):
        with pytest.raises(OutputError, match="control characters") as caught:
            refuse(tmp_path / name)
        assert str(caught.value).isprintable()
    assert os.listdir(tmp_path) == []


def test_permissions_follow_the_umask(tmp_path: Path) -> None:
    old = os.umask(0o027)
    try:
        atomic.write_bytes(tmp_path / "a.bin", b"1")
    finally:
        os.umask(old)
    assert stat.S_IMODE((tmp_path / "a.bin").stat().st_mode) == 0o640


def test_an_error_while_writing_keeps_the_old_file(tmp_path: Path) -> None:
    target = tmp_path / "a.txt"
    target.write_text("old")
    with pytest.raises(RuntimeError, match="half way"), atomic.whole_file(target) as draft:
        draft.write_text("new, but only ha")
        raise RuntimeError("half way")
    assert target.read_text() == "old"
    assert os.listdir(tmp_path) == ["a.txt"]


def test_a_full_disk_is_an_output_error_and_keeps_the_old_file(tmp_path: Path) -> None:
    target = tmp_path / "a.bin"
    target.write_bytes(b"old")
    limit = resource.getrlimit(resource.RLIMIT_FSIZE)
    ignored = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (1000, limit[1]))  # the kernel then refuses as a full disk does
    try:
        with pytest.raises(OutputError, match="cannot be written") as caught:
            atomic.write_bytes(target, b"x" * 100_000)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, limit)
        signal.signal(signal.SIGXFSZ, ignored)
    assert str(target) in str(caught.value)
    assert target.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["a.bin"]


def test_a_missing_folder_is_named(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="nowhere"):
        atomic.write_text(tmp_path / "nowhere" / "a.txt", "x")


def test_a_file_in_the_way_of_the_folder_is_named(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("I am a file")
    with pytest.raises(OutputError, match="output folder cannot be made"):
        atomic.folder(tmp_path / "out")
    assert atomic.folder(tmp_path / "deep" / "er").is_dir()


def test_a_killed_process_leaves_the_old_file_whole(tmp_path: Path) -> None:
    target = tmp_path / "a.txt"
    target.write_text("old")
    script = (
        "import sys, time\nfrom linescope.atomic import whole_file\n"
        "with whole_file(sys.argv[1]) as draft:\n"
        "    draft.write_text('new, but only ha')\n    print('writing', flush=True)\n    time.sleep(60)\n"
    )
    child = subprocess.Popen([sys.executable, "-c", script, str(target)], stdout=subprocess.PIPE, text=True)
    assert child.stdout is not None
    assert child.stdout.readline() == "writing\n"
    child.kill()
    child.wait()
    child.stdout.close()
    assert target.read_text() == "old"
