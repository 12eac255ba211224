"""How the viewer gets into the wheel: what the lock file holds, and a wheel where there is no registry."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from linescope import viewer
from linescope.errors import MissingViewerError
from linescope.viewer import ROOM, build, bundle


def test_the_lock_file_holds_hashes_and_no_addresses() -> None:
    packages = json.loads((ROOM / "package-lock.json").read_text(encoding="utf-8"))["packages"]
    found = {name: entry for name, entry in packages.items() if name}
    assert len(found) > 10
    for name, entry in found.items():
        assert re.fullmatch(r"sha512-[A-Za-z0-9+/]{86}==", entry["integrity"]), name
        assert "resolved" not in entry, name


def test_versions_are_fixed() -> None:
    wanted = json.loads((ROOM / "package.json").read_text(encoding="utf-8"))
    for version in (wanted["dependencies"] | wanted["devDependencies"]).values():
        assert re.fullmatch(r"\d+\.\d+\.\d+", version)


def test_the_bundle_is_one_script_and_one_style_that_ask_for_nothing(built: viewer.Bundle) -> None:
    assert 300_000 < len(built.script) < 800_000
    assert len(built.style) < 120_000
    assert "font/woff2;base64" in built.style
    assert not re.search(r"url\((?!\"?data:)", built.style)
    assert not re.search(r"https?://[^\s\"'`]+\.(js|css|woff2?)", built.script)
    assert "SPDX-License-Identifier: MIT" in built.script  # three.js keeps its notice


def test_where_nothing_was_built_that_is_said(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(viewer, "folder", lambda: tmp_path)
    with pytest.raises(MissingViewerError):
        bundle()


def test_a_registry_that_cannot_be_reached_is_named_and_leaves_nothing(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("npm_config_registry", "http://127.0.0.1:9/")
    monkeypatch.setenv("npm_config_cache", str(tmp_path / "empty"))
    with pytest.raises(build.NotBuiltError, match=r"ECONNREFUSED|127\.0\.0\.1"):
        build.build(tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_other_sources_are_another_bundle(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    for name in (*viewer.SOURCES, "letters.py"):
        (tmp_path / name).write_bytes((ROOM / name).read_bytes())
    (tmp_path / "src").mkdir()
    (tmp_path / "src" / "main.js").write_text("1", encoding="utf-8")
    monkeypatch.setattr(viewer, "ROOM", tmp_path)
    first = viewer.fingerprint()
    (tmp_path / "src" / "main.js").write_text("2", encoding="utf-8")
    assert viewer.fingerprint() != first
