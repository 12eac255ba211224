"""Files: save with comments kept, save as, open, mesh, brief with progress, a scene edited on disk."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from linescope.scene import load
from tests.app.rigs import shipped
from tests.browser.app.served import Seen

QUAD = "v -20 -30 -40\nv 120 -30 -40\nv 120 30 -40\nv -20 30 -40\nf 1 2 3\nf 1 3 4\n"


def dialog(seen: Seen, label: str, text: str, button: str) -> None:
    seen.tab.get_by_role("button", name="Files and brief").click()
    seen.tab.get_by_label(label).fill(text)
    seen.tab.get_by_role("button", name=button, exact=True).click()


def test_saving_keeps_comments_and_changes_one_value(seen: Seen, scene: Path) -> None:
    before = scene.read_text(encoding="utf-8").splitlines()
    seen.type("walker.mass", "71 kg")
    seen.tab.keyboard.press("Control+s")
    seen.toml(scene, '"71 kg"')
    after = scene.read_text(encoding="utf-8").splitlines()
    assert [(a, b) for a, b in zip(before, after, strict=True) if a != b] == [('mass = "80 kg"', 'mass = "71 kg"')]
    seen.until("!document.querySelector('h1').innerText.includes('not saved')")


def test_save_as_new_leaves_the_first_file(seen: Seen, scene: Path) -> None:
    first = scene.read_text(encoding="utf-8")
    seen.type("walker.mass", "72 kg")
    dialog(seen, "Save as a new scene", "second.toml", "Save as")
    seen.until("document.querySelector('h1').innerText.includes('second.toml')")
    seen.toml(scene.with_name("second.toml"), '"72 kg"')
    assert scene.read_text(encoding="utf-8") == first
    dialog(seen, "Save as a new scene", "larkspur_ledge.toml", "Save as")
    seen.until("document.querySelector('dialog .ls-error').innerText.includes('exists already')")
    assert scene.read_text(encoding="utf-8") == first


def test_open_another_scene_and_a_missing_one(seen: Seen, tmp_path: Path) -> None:
    shipped(tmp_path, "ptarmigan_step")
    dialog(seen, "Open another scene", "ptarmigan_step.toml", "Open")
    seen.until("document.querySelector('h1').innerText.includes('Ptarmigan Step')")
    dialog(seen, "Open another scene", "nothing.toml", "Open")
    seen.until("document.querySelector('dialog .ls-error').innerText.includes('no such file')")
    assert "Ptarmigan Step" in seen.tab.locator("h1").inner_text()


def test_a_mesh_by_path_becomes_the_ground(seen: Seen, scene: Path) -> None:
    (scene.parent / "rock.obj").write_text(QUAD, encoding="utf-8")
    seen.press("ground")
    picture = seen.pixels()
    dialog(seen, "Mesh as the ground", str(scene.parent / "rock.obj"), "Use mesh")
    seen.rest()
    assert seen.pixels() != picture
    assert seen.tab.locator(".ls-oldmark").count() == 0
    seen.press("Save")
    seen.toml(scene, 'file = "rock.obj"')
    assert load(scene).rig.ground is not None


def test_a_scene_edited_on_disk_reloads(seen: Seen, scene: Path) -> None:
    scene.write_text(scene.read_text(encoding="utf-8").replace('mass = "80 kg"', 'mass = "93 kg"'), encoding="utf-8")
    seen.until("document.querySelector('[data-path=\"walker.mass\"] > input').value === '93 kg'")
    seen.until("document.querySelector('.ls-say').innerText.includes('read again')")
    scene.write_text("title = ", encoding="utf-8")
    seen.until("document.querySelector('.ls-say').innerText.includes('not TOML')")
    assert len(seen.pixels()) > 5000


def test_a_change_on_disk_does_not_take_edits_away(seen: Seen, scene: Path) -> None:
    seen.type("walker.mass", "64 kg")
    scene.write_text("# theirs\n" + scene.read_text(encoding="utf-8"), encoding="utf-8")
    banner = seen.tab.get_by_role("alert")
    banner.get_by_role("button").wait_for()
    assert seen.box("walker.mass").input_value() == "64 kg"
    banner.get_by_role("button").click()
    seen.until("document.querySelector('[data-path=\"walker.mass\"] > input').value === '80 kg'")
    seen.press("Undo")
    assert seen.box("walker.mass").input_value() == "64 kg"


def test_the_brief_is_written_with_progress(open_scene: Callable[..., Seen], tmp_path: Path) -> None:
    seen = open_scene(shipped(tmp_path, "heron_gap"))
    dialog(seen, "Write the brief into the folder", "brief", "Write the brief")
    seen.tab.wait_for_selector("dialog progress")
    seen.until("document.querySelector('dialog .ls-error') !== null",)
    assert "Files written" in seen.tab.locator("dialog .ls-error").inner_text()
    files = sorted(file.name for file in (tmp_path / "brief").iterdir())
    assert len(files) >= 2
    assert not [name for name in files if name.startswith(".")]
    assert {file.name for file in tmp_path.iterdir()} == {"heron_gap.toml", "brief"}
