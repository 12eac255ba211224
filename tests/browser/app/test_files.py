"""Files: save with comments kept, save as, open, mesh, brief with progress, a scene edited on disk."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from linescope.scene import load
from tests.app.rigs import shipped
from tests.browser.app.served import Seen

QUAD = "v -20 -30 -40\nv 120 -30 -40\nv 120 30 -40\nv -20 30 -40\nf 1 2 3\nf 1 3 4\n"


def ask(seen: Seen, label: str, text: str, button: str) -> None:
    if seen.tab.locator("#drawer-file").is_hidden():
        seen.drawer("file")
    seen.tab.get_by_label(label).fill(text)
    seen.tab.get_by_role("button", name=button, exact=True).click()


def test_files_are_saved_opened_and_used_as_ground(seen: Seen, scene: Path, tmp_path: Path) -> None:
    before = scene.read_text(encoding="utf-8").splitlines()
    seen.drawer("rig")
    seen.type("walker.mass", "71 kg")
    assert "not saved" in seen.tab.locator("#file").inner_text()
    seen.tab.keyboard.press("Control+s")
    seen.toml(scene, '"71 kg"')
    after = scene.read_text(encoding="utf-8").splitlines()
    assert [(a, b) for a, b in zip(before, after, strict=True) if a != b] == [('mass = "80 kg"', 'mass = "71 kg"')]
    seen.until("!document.querySelector('#file').innerText.includes('not saved')")
    first = scene.read_text(encoding="utf-8")
    seen.type("walker.mass", "72 kg")
    seen.shut()
    ask(seen, "Save as a new scene", "second.toml", "Save as")
    seen.toml(scene.with_name("second.toml"), '"72 kg"')
    assert scene.read_text(encoding="utf-8") == first
    seen.rest()
    ask(seen, "Save as a new scene", "larkspur_ledge.toml", "Save as")
    seen.until("document.querySelector('#inside-file .alarm').innerText.includes('exists already')")
    (scene.parent / "rock.obj").write_text(QUAD, encoding="utf-8")
    ask(seen, "Mesh as the ground", str(scene.parent / "rock.obj"), "Use mesh")
    seen.rest()
    assert seen.tab.locator("#wrong").is_hidden()
    seen.tab.keyboard.press("Control+s")
    seen.toml(scene.with_name("second.toml"), 'file = "rock.obj"')
    assert load(scene.with_name("second.toml")).rig.ground is not None
    shipped(tmp_path, "ptarmigan_step")
    ask(seen, "Open another scene", "ptarmigan_step.toml", "Open")
    seen.until("document.title.includes('Ptarmigan Step')")
    seen.rest()
    ask(seen, "Open another scene", "nothing.toml", "Open")
    seen.until("document.querySelector('#inside-file .alarm').innerText.includes('no such file')")
    assert seen.problems == []


def test_a_scene_edited_on_disk_reloads_and_takes_no_edits_away(seen: Seen, scene: Path) -> None:
    scene.write_text(scene.read_text(encoding="utf-8").replace('mass = "80 kg"', 'mass = "93 kg"'), encoding="utf-8")
    seen.until("document.querySelector('#drawer-rig [data-path=\"walker.mass\"]').value === '93 kg'")
    seen.drawer("rig")
    seen.type("walker.mass", "64 kg")
    scene.write_text("# theirs\n" + scene.read_text(encoding="utf-8"), encoding="utf-8")
    seen.tab.locator("#wrong button").click()
    seen.until("document.querySelector('#drawer-rig [data-path=\"walker.mass\"]').value === '93 kg'")
    seen.press("Undo")
    assert seen.box("walker.mass").input_value() == "64 kg"


def test_the_brief_is_written_beside_other_work(open_scene: Callable[..., Seen], tmp_path: Path) -> None:
    """While it is written the rig is edited, and Stop is heard; what takes longer is computed all the while."""
    seen = open_scene(shipped(tmp_path, "heron_gap"), alone=True)
    ask(seen, "Write the brief into the folder", "brief", "Write the brief")
    seen.tab.locator("#job progress").wait_for()
    tension = seen.figure("tension_a")
    seen.tab.evaluate("() => { linescopeLive.act('edit', 'walker.mass', '99 kg'); }")
    seen.until(f"linescopeLive.answers.rows[0].value !== {tension!r}")
    assert seen.tab.locator("#job progress").is_visible()
    begun = seen.tab.evaluate("performance.now()")
    seen.tab.locator("#job button").click()
    seen.until("!linescopeLive.job.running")
    assert seen.tab.evaluate("performance.now()") - begun < 60_000
    assert not (tmp_path / "brief").exists() or not [
        file.name for file in (tmp_path / "brief").iterdir() if file.name.startswith(".")
    ]
