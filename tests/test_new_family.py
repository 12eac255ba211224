"""A new tape family is one file, one line in a table and its messages: a copy of the package with those runs whole.

The family is invented here.  Nothing else of the copy is changed, so whatever lists families by hand fails here.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.copies import environment_of, package_copied

FAMILY = '''
"""An invented family."""

from linescope.taping.family import TapeFamily
from linescope.taping.holds import Holds
from linescope.taping.recipes import enclosing

FAMILY = TapeFamily(
    key="invented ladder wrap",
    can_hold=(Holds.BACKUP, Holds.MAIN),
    recipe=enclosing,
)
'''
MESSAGES = """
tapes-family-invented-ladder-wrap = invented ladder wrap
tapes-family-invented-ladder-wrap-slides = Invented note on what slides.
tapes-family-invented-ladder-wrap-costs = Invented note on what it costs.
tapes-family-invented-ladder-wrap-wrong = Invented note on what goes wrong.
tapes-family-invented-ladder-wrap-torn = Invented note on a torn one.
"""
NAME = "invented ladder wrap"
SCENE = """
title = "Exercise"

[anchors]
a = ["0 m", "0 m", "0 m"]
b = ["20 m", "0 m", "-1 m"]

[main]
webbing = "nylon 25 mm"
tension = "2 kN"

[backup]
webbing = "as main"
excess = "8 %"

[taping]
measured_on = "tensioned"

[[taping.zones]]
to = "10 m"
style = "fixed wrap"
spacing = { every = "2 m" }

[[taping.zones]]
style = "invented ladder wrap"
holds = "main"
spacing = { every = "2 m" }

[walker]
mass = "75 kg"
at = "60 %"

[wind]
speed = "6 m/s"
from = "90 deg"
"""

RUN = '''
import json, sys
from pathlib import Path

import linescope
from linescope.app import form, live
from linescope.app.session import Session
from linescope.contact import compare, find_touches
from linescope.export.page_file import write_page
from linescope.export.sheet import write_sheet
from linescope.export.tape_sheet import write_csv, write_pdf
from linescope.topics.tapes.text import tape_text
from linescope.topics.tapes.tables import tape_rows
from linescope.report.people import topic_text
from linescope.scenefile.schema import schema
from linescope.stage import build
from linescope.stage.theme import tape_look
from linescope.statics import cut_list, plan
from linescope.study import Study
from linescope.taping import FAMILIES, Holds
from linescope.topics import STYLES
from linescope.words import Words

scene, name = Path(sys.argv[1]), sys.argv[2]
out = scene.parent
rig = linescope.load(scene).rig
solution = linescope.solve(rig, "settled")
cuts = cut_list(plan(rig))
found = compare(rig, levels=("value",), per_bay=3)
session = Session(scene)
session.settle()
fields = [field for section in session.form() for field in section["fields"]]
styles = {field["path"]: field for field in fields if field["path"].endswith(".style")}
session.edit("taping.zones[1].style", name)
session.settle()
known = {"compare": found, "wear": found.behaviour(Holds.MAIN).wear, "touch": find_touches(solution)}
study = Study(rig, leave=Study.SLOW | {"bands"}, given=known)
views = ("overview", "elevation", "closeup", "tape-map", "loops-from-a", "touch", "wear", "styles")
stages = {view: str(vars(build(solution, view=view, study=study))) for view in views}
told = {
    "package": linescope.__file__,
    "residual": solution.proof.relative_residual,
    "schema": json.dumps(schema()),
    "families": cuts.family,
    "strips": cuts.strip.tolist(),
    "kinds": str(tape_rows(cuts, Words())),
    "text": tape_text(cuts, rig.name, Words()),
    "looks": [[key, tape_look(key).symbol, tape_look(key).colour] for key in (*FAMILIES, "tie")],
    "stages": stages,
    "compared": [
        [made.family, made.holds and made.holds.value, made.failed is None]
        for style in found.styles for made in style.made
    ],
    "comparison": topic_text(STYLES, Study(rig, given={"compare": found}), Words()),
    "options": [field["options"] for field in styles.values()],
    "edited": session.variant.reason,
    "frame": live.picture_of(session.variant.picture, session.measures).data["tapes"],
    "files": [
        write_csv(out / "t.csv", cuts).name, write_pdf(out / "t.pdf", cuts).name,
        write_sheet(out / "s.pdf", study).name, write_page(out / "p.html", study).name,
    ],
    "csv": (out / "t.csv").read_text(),
    "html": (out / "p.html").read_text(),
}
print(json.dumps(told))
'''


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """What the copy with one more family says of a scene that uses it."""
    folder = tmp_path_factory.mktemp("family")
    copy = folder / "copy" / "linescope"
    package_copied(copy)
    (copy / "taping/families/invented_ladder_wrap.py").write_text(FAMILY, encoding="utf-8")
    (copy / "words/en/tapes_family_invented_ladder_wrap.ftl").write_text(MESSAGES, encoding="utf-8")
    table = copy / "taping/families/__init__.py"
    before = table.read_text(encoding="utf-8")
    after = before.replace("from linescope.taping.families import (", "from linescope.taping.families import (\n    "
                           "invented_ladder_wrap,").replace("_MODULES = (", "_MODULES = (invented_ladder_wrap, ")
    table.write_text(after, encoding="utf-8")
    scene = folder / "exercise.toml"
    scene.write_text(SCENE, encoding="utf-8")
    environment = {**environment_of(copy), "OMP_NUM_THREADS": "1"}
    done = subprocess.run(
        [sys.executable, "-c", RUN, str(scene), NAME], capture_output=True, text=True, env=environment, cwd=folder,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    assert Path(found["package"]).is_relative_to(copy)
    return found


def test_it_loads_solves_and_is_in_the_schema(told: dict[str, Any]) -> None:
    assert told["residual"] < 1e-8
    assert f'"{NAME}"' in told["schema"]


def test_the_cut_list_has_its_strips(told: dict[str, Any]) -> None:
    strips = {strip for family, strip in zip(told["families"], told["strips"], strict=True) if family == NAME}
    assert len(strips) == 1 and min(strips) > 0.1
    assert NAME in told["kinds"] and NAME in told["csv"]


def test_its_steps_are_those_of_how_it_begins_and_its_notes_are_its_own(told: dict[str, Any]) -> None:
    text = " ".join(told["text"].split())
    assert NAME.upper() in text and "Invented note on a torn one." in text
    assert "5. Roll both lines over" in text and "short end, 45 mm" not in text.partition(NAME.upper())[0]


def test_pictures_give_it_a_symbol_of_its_own(told: dict[str, Any]) -> None:
    looks = {family: symbol for family, symbol, _ in told["looks"]}
    assert list(looks.values()).count(looks[NAME]) == 1
    for view, stage in told["stages"].items():
        if view != "overview":  # From afar a tape is a tick, whatever its style.
            assert NAME in stage, view
    assert NAME in told["html"]


def test_it_is_compared_with_the_others_both_ways(told: dict[str, Any]) -> None:
    assert [NAME, "main", True] in told["compared"] and [NAME, "backup", True] in told["compared"]
    assert NAME in told["comparison"]


def test_the_page_offers_it_and_draws_it(told: dict[str, Any]) -> None:
    assert told["options"] and all(NAME in options for options in told["options"])
    assert told["edited"] == ""
    assert {tape["family"] for tape in told["frame"] if tape["kind"] == "tape"} == {NAME}
    assert told["files"] == ["t.csv", "t.pdf", "s.pdf", "p.html"]
