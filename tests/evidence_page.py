"""Sections of EVIDENCE.md that commands write: what stands between a section's two marks."""

from __future__ import annotations

from pathlib import Path

from linescope.atomic import whole_file

PAGE = Path(__file__).parent / "EVIDENCE.md"


def _marks(name: str) -> tuple[str, str]:
    return f"<!-- {name}: begin -->", f"<!-- {name}: end -->"


def _parts(name: str) -> tuple[str, str, str]:
    """The page before, in and after a section; the marks belong to what is before and after."""
    begin, end = _marks(name)
    text = PAGE.read_text(encoding="utf-8")
    if text.count(begin) != 1 or text.count(end) != 1 or text.index(begin) > text.index(end):
        raise SystemExit(f"{PAGE.name} must hold {begin} and {end} once each, in this order")
    before, _, rest = text.partition(begin)
    inside, _, after = rest.partition(end)
    return before + begin, inside, end + after


def read_section(name: str) -> str:
    """What a command last wrote, without blank lines around it."""
    return _parts(name)[1].strip("\n")


def write_section(name: str, text: str, behind: str | None = None) -> None:
    """Replace a section, whole or not at all; one that is not there yet comes behind another one, if that is named."""
    body, (begin, end) = text.strip("\n"), _marks(name)
    if behind is not None and begin not in PAGE.read_text(encoding="utf-8"):
        before, inside, after = _parts(behind)
        last = _marks(behind)[1]
        _write(f"{before}{inside}{last}\n\n{begin}\n{body}\n{end}{after.removeprefix(last)}")
        return
    before, _, after = _parts(name)
    _write(f"{before}\n{body}\n{after}")


def drop_section(name: str) -> None:
    """Take a section away, with its marks, if it is there."""
    begin, end = _marks(name)
    if begin in PAGE.read_text(encoding="utf-8"):
        before, _, after = _parts(name)
        _write(before.removesuffix(begin).rstrip("\n") + after.removeprefix(end))


def _write(text: str) -> None:
    with whole_file(PAGE) as draft:
        draft.write_text(text, encoding="utf-8")
