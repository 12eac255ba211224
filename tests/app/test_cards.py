"""How tapes are made, as the page shows it."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import unquote
from xml.etree import ElementTree

from linescope.app.cards import cards
from linescope.app.session import Session

SCENE = Path(__file__).parents[2] / "scenes" / "ptarmigan_step.toml"


def test_every_kind_in_use_has_its_steps_and_slips_as_pictures_that_hold_themselves() -> None:
    session = Session(SCENE)
    job = session.job("first")
    assert job is not None
    session.accept(job, session.engine("first").run(job.scene, job.asked))
    picture = session.variant.picture
    assert picture is not None
    found = cards(picture, session.measures)
    kinds = {(tape.family, tape.holds) for tape in picture.planned.layout.tapes}
    assert len(found) == 2 * len(kinds)
    for card in found:
        head, _, text = card["image"].partition(",")
        assert head == "data:image/svg+xml"
        assert ElementTree.fromstring(unquote(text)).tag == "{http://www.w3.org/2000/svg}svg"
        assert "<script" not in unquote(text)
    assert any("Strip between the lines" in card["told"] for card in found)
    assert cards(picture, session.measures)[0] is found[0]  # Drawn once.
