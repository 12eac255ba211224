"""How much is touched when the program grows, tried on a copy of it: a figure, and an event with its picture."""

from __future__ import annotations

import filecmp
import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.copies import PACKAGE, environment_of, package_copied

TESTS = Path(__file__).parent


@pytest.fixture
def copied(tmp_path: Path) -> Path:
    """A copy of the package, and of the tests that make rigs for it."""
    package_copied(tmp_path / "linescope")
    not_needed = shutil.ignore_patterns("__pycache__", "images", "broken", "browser")
    shutil.copytree(TESTS, tmp_path / "tests", ignore=not_needed)
    return tmp_path


def put(file: Path, before: str, text: str) -> None:
    """Put a text before the only place of another."""
    found = file.read_text(encoding="utf-8")
    assert found.count(before) == 1, (file, before)
    file.write_text(found.replace(before, text + before), encoding="utf-8")


def changed(copy: Path) -> set[str]:
    """Files of the copy that are new, or unlike those of the package."""
    files = {str(file.relative_to(copy)) for file in copy.rglob("*") if file.is_file() and file.suffix != ".pyc"}
    return {
        name for name in files
        if not (PACKAGE / name).is_file() or not filecmp.cmp(copy / name, PACKAGE / name, shallow=False)
    }


def run(folder: Path, script: str) -> dict[str, object]:
    """What a script prints as JSON when the copy is imported instead of the package."""
    environment = {**environment_of(folder / "linescope"), "PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=folder, env=environment, capture_output=True, text=True, timeout=300,
    )
    assert done.returncode == 0, done.stderr[-3000:]
    found: dict[str, object] = json.loads(done.stdout)
    return found


FIGURE_SEEN = """
import base64, gzip, html, json, re, tempfile
from pathlib import Path
from linescope.export.page_file import write_page
from linescope.export.sheet_events import topic
from linescope.export.tables import write_tables
from linescope.report.figures import figures_json
from linescope.report.keys import documentation
from linescope.report.people import figures_text
from linescope.study import Study
from linescope.words import Words
from tests.export import gathered

rig = gathered.windy()
study = Study(rig, places=3, leave=Study.SLOW | {"bands", "touch", "fall_sweep", "fall_gaps"})
with tempfile.TemporaryDirectory() as folder:
    folder = Path(folder)
    page = write_page(folder / "p.html", study).read_text()
    scene = re.search(r'id="scene">(.*?)<', page)[1]
    page += gzip.decompress(base64.b64decode(scene)).decode()
    csv = {file.name: file.read_text() for file in write_tables(folder, study)}
case = study.wind.case("walker", "as given")
from linescope.app import parts
table = topic("wind", study, Words())
print(json.dumps({
    "value": case.gust.tension_b,
    "text": figures_text(study),
    "keys": documentation(),
    "data": [case["gust_at_b"] for case in figures_json(study)["wind"]["cases"]],
    "csv": csv["wind.csv"].splitlines()[0],
    "sheet": [list(row) for row in (table.columns, *table.rows)],
    "page": html.unescape(page),
    "served": dict(parts.parts(study, Words()))["wind"]["head"],
}))
"""


def test_a_figure_is_two_files_and_stands_on_every_surface(copied, built):
    package = copied / "linescope"
    put(package / "topics" / "wind" / "__init__.py", '    Figure(\n        key="above", brief=True', """    Figure(
        key="gust_at_b", dimension="force", brief=True, meaning="Main tension at B in the gust.",
        get=lambda case, study: case.gust.tension_b,
    ),
""")
    title = "wind-cases-gust-at-b = pull of the main at B, gust\n    .head = main at B, gust\n"
    put(package / "words" / "en" / "wind.ftl", "wind-cases-above = ", title)
    assert len(changed(package)) == 2
    seen = run(copied, FIGURE_SEEN)
    told = f"{seen['value'] / 1000:.1f} kN"
    assert "pull of the main at B, gust" in seen["text"] and told in seen["text"]
    assert "gust_at_b" in seen["keys"] and "Main tension at B in the gust." in seen["keys"]
    assert seen["value"] in seen["data"]
    assert "gust_at_b [N]" in seen["csv"]
    assert "main at B, gust" in seen["sheet"][0]
    assert told in [row[seen["sheet"][0].index("main at B, gust")] for row in seen["sheet"][1:]]
    assert "main at B, gust" in seen["page"] and "pull of the main at B, gust" in seen["page"]
    assert "main at B, gust" in seen["served"]


EVENT = '''"""A calm day: how far the main sags."""

from __future__ import annotations

from dataclasses import dataclass

from linescope.notes import Kind, Note, Severity
from linescope.statics import Solution


class CalmNote(Kind):
    """What is said of it."""

    STILL = "calm-still"


@dataclass(frozen=True, eq=False, kw_only=True)
class Calm:
    """The sag.

    Attributes
    ----------
    sag : float
        [m]
    notes : tuple of Note
    """

    sag: float
    notes: tuple[Note, ...]


def calm(standing: Solution) -> Calm:
    """The sag of a standing line."""
    sag = float(standing.rig.below_anchors(standing.main.sample(8).points).max())
    return Calm(sag=sag, notes=(Note(kind=CalmNote.STILL, severity=Severity.BASIS),))
'''
TOPIC = '''"""A calm day."""

from __future__ import annotations

from linescope.events.calm import Calm
from linescope.figures import Figure, Group, Record
from linescope.topics.topic import Picture, Topic

HERE = Group(
    name="calm", path="calm", records=lambda study: (Record(result=study.calm),),
    figures=(Figure(key="sag", dimension="length", brief=True, meaning="Sag of the empty main."),),
)
CALM = Topic(
    name="calm", groups=(HERE,), here=HERE, along=HERE, csv={}, values=lambda study: {},
    notes=lambda study: study.calm.notes,
    pictures=(
        Picture(name="calm", module="linescope.topics.calm.picture", needs=("calm",), after="wind", section=12),
    ),
)
'''
PICTURE = '''"""A calm day, drawn."""

from linescope.topics.state.picture_elevation import build as elevation


def build(brief):
    """The line from the side."""
    import dataclasses

    return dataclasses.replace(elevation(brief), view="calm", question=brief.measures.say("calm-question"))
'''
WORDS = """calm = A calm day
calm-question = How far does the line sag on a calm day?
calm-sag = sag of the empty main
calm-still = Nothing moves.
"""
RESULT = '''    @result[Any](weight=0.1)
    def calm(self) -> Any:
        """A calm day."""
        from linescope.events.calm import calm

        return calm(self.standing)

'''
EVENT_SEEN = """
import json
from linescope.export.brief import file_name
from linescope.export.sheet_sections import SECTION_OF
from linescope.report.figures import figures_json
from linescope.report.people import figures_text
from linescope.stage import VIEWS, build
from linescope.study import Study
from tests.export import gathered

study = Study(gathered.windy(), places=3, leave=Study.SLOW | {"bands", "touch", "fall_sweep", "fall_gaps"})
print(json.dumps({
    "value": study.calm.sag, "text": figures_text(study), "data": figures_json(study)["calm"]["sag"],
    "views": list(VIEWS), "section": SECTION_OF["calm"], "file": file_name("calm", study.taped),
    "question": build(study.taped, view="calm", study=study).question,
}))
"""


def test_an_event_with_a_picture_is_six_files(copied):
    package = copied / "linescope"
    folder = package / "topics" / "calm"
    folder.mkdir()
    (folder / "__init__.py").write_text(TOPIC, encoding="utf-8")
    (folder / "picture.py").write_text(PICTURE, encoding="utf-8")
    (package / "events" / "calm.py").write_text(EVENT, encoding="utf-8")
    (package / "words" / "en" / "calm.ftl").write_text(WORDS, encoding="utf-8")
    put(package / "study.py", "    @result[Any](weight=0.5)\n    def ground(self)", RESULT)
    table = package / "topics" / "table.py"
    text = table.read_text(encoding="utf-8")
    text, count = re.subn(r",?\s*\)\}\n(?=GROUPS)", ", CALM)}\n", text)
    assert count == 1
    imported = "from linescope.topics.calm import CALM\nfrom linescope.topics.falls"
    table.write_text(text.replace("from linescope.topics.falls", imported, 1), encoding="utf-8")
    assert len(changed(package)) == 6
    seen = run(copied, EVENT_SEEN)
    assert seen["data"] == seen["value"]
    assert "sag of the empty main" in seen["text"] and f"{seen['value']:.1f} m" in seen["text"]
    assert seen["views"].index("calm") == seen["views"].index("wind") + 1
    assert seen["section"] == 12 and seen["file"].endswith("calm.png")
    assert seen["question"] == "How far does the line sag on a calm day?"
