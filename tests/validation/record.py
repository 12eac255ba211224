"""Outside checks: asserted, recorded, and written as the table of EVIDENCE.md.

A test asks for the fixture `agrees` and calls `agrees(what, ours, printed, ...)`.  The call asserts, and keeps a row.
`python -m tests.validation` runs every such test and writes the rows to `tests/data/validation.json`, in full figures,
and from there to the page.  In every other run a test that passed must have made just the rows that stand there.
"""

from __future__ import annotations

import functools
import json
import math
import tomllib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from linescope.atomic import write_text
from tests.evidence_page import read_section, write_section

ROOT = Path(__file__).parents[2]
ROWS = ROOT / "tests" / "data" / "validation.json"
PUBLISHED = ROOT / "tests" / "data" / "checks.toml"
COMMAND = "python -m tests.validation"
RECORDING = pytest.StashKey[list["Row"]]()  # Set while the command runs: where rows go instead of being compared.
SAME = 0.5  # Of what is allowed: how far a figure may lie from the page's, another machine or peer version later.

AREAS = (
    "statics", "sliding and friction", "falls", "loss of the main", "wind and air", "rub", "tape lengths", "clearance",
    "peers",
)  # fmt: skip
KNOWN = {
    "read": "the print was seen",
    "from memory": "a print quoted from memory, not seen; an independent recomputation agrees with it",
    "recomputed": "no print: a closed form by hand, or a computation of another kind in the test itself",
    "script": "figures of a plain script, made before this program and apart from it, two digits, unpublished",
    "common practice": "common practice, no source",
    "peer": "another program or library, on the same problem in the same run",
    "rejected": "the print is wrong: we must not agree with it",
}


@dataclass(frozen=True, kw_only=True)
class Row:
    """One outside check, or the worst of several numbers that one call compared.

    `low` and `high` are how far below and above `printed` we may lie.
    """

    test: str
    area: str
    source: str
    what: str
    unit: str
    known: str
    printed: float
    ours: float
    low: float
    high: float
    points: int
    check: str = ""

    @property
    def badness(self) -> float:
        """Difference as a share of what is allowed."""
        gap = self.ours - self.printed
        room = self.high if gap > 0.0 else self.low
        return 0.0 if gap == 0.0 else abs(gap) / room if room > 0.0 else math.inf

    @property
    def key(self) -> tuple[str, str, str, str, str, str, int, str]:
        """All that has to be the same, to the letter, on every machine."""
        return self.test, self.area, self.source, self.what, self.unit, self.known, self.points, self.check


# A row that compares with the recomputed figures of prints, which have more digits than the prints themselves.
DIGITS = {"source": "Recomputations of the prints here", "known": "recomputed"}
BEYOND = "digits beyond the prints, by mpmath or scipy"


class Agrees:
    """Asserts that our figure agrees with one from outside, and keeps the row.

    Parameters of the call
    ----------------------
    what : str
    ours, printed : float, array, or mapping of names to floats
        The worst of an array is the row; a mapping gives a row for each name, which is added to `what`.
    rel, abs : float or array
        Allowed difference: the larger of `rel * |printed|` and `abs`.
    side : {"both", "above", "below"}
        On which side of the printed figure ours may lie at all.
    unit, area, source, known, check : str
        Default to the test module's `OUTSIDE`; `check` is the id of an entry of `tests/data/checks.toml`.
    entry : mapping, optional
        Of `tests/data/checks.toml`: says that it is used, how it is known, and `rel` when nothing else does.
    """

    def __init__(self, test: str, defaults: Mapping[str, str]) -> None:
        self.test, self.defaults = test, defaults
        self.rows: list[Row] = []

    def __call__(
        self,
        what: str,
        ours: Any,
        printed: Any,
        *,
        rel: Any = None,
        abs: Any = 0.0,
        side: str = "both",
        entry: Mapping[str, Any] | None = None,
        unit: str = "",
        **more: str,
    ) -> None:
        if isinstance(printed, Mapping):
            for name, value in printed.items():
                self(f"{what}{name}", ours[name], value, rel=rel, abs=abs, side=side, entry=entry, unit=unit, **more)
            return
        ours, printed = np.broadcast_arrays(np.asarray(ours, dtype=float), np.asarray(printed, dtype=float))
        if rel is None:
            rel = 0.0 if entry is None or np.any(abs) else entry["rel_tol"]
        room = np.broadcast_to(np.maximum(np.abs(printed) * rel, abs), ours.shape)
        low, high = (np.zeros_like(room) if side == other else room for other in ("above", "below"))
        gap = ours - printed
        share = np.abs(gap) / np.maximum(np.where(gap > 0.0, high, low), 1e-300)
        share = np.where(gap == 0.0, 0.0, share)
        if not ours.size or not np.all(share <= 1.0):
            raise AssertionError(
                f"{what}: ours {ours}, printed {printed}, allowed {-low} to {high}; worst {share.max(initial=0.0):.3g} "
                "times what is allowed"
            )
        worst = np.unravel_index(int(np.argmax(share)), ours.shape)
        told = {"check": "", **self.defaults, **more}
        if entry is not None:
            told = {**self.defaults, "known": how_known(entry), "check": entry["id"], **more}
        row = Row(
            test=self.test, what=what, unit=unit, printed=float(printed[worst]), ours=float(ours[worst]),
            low=float(low[worst]), high=float(high[worst]), points=int(ours.size), **told,
        )
        self._keep(row)

    def refuses(
        self, what: str, ours: float, printed: float, *, entry: Mapping[str, Any], unit: str, **more: str
    ) -> None:
        """Asserts that a wrong print is not met, by three times the half of its last digit at least."""
        digit = 10.0 ** -len(repr(printed).rstrip("0").partition(".")[2])
        if abs(ours - printed) < 1.5 * digit:
            raise AssertionError(f"{what}: ours {ours} agrees with the rejected {printed}")
        row = Row(
            test=self.test, what=what, unit=unit, printed=printed, ours=float(ours), low=0.0, high=0.0, points=1,
            check=entry["id"], **{**self.defaults, **more, "known": "rejected"},
        )
        self._keep(row)

    def _keep(self, row: Row) -> None:
        if row.area not in AREAS or row.known not in KNOWN:
            raise AssertionError(f"unknown area {row.area!r} or kind {row.known!r}")
        if any(row.key == other.key for other in self.rows):
            raise AssertionError(f"two rows of one test are both called {row.what!r}")
        self.rows.append(row)


def how_known(entry: Mapping[str, Any]) -> str:
    """Kind of an entry of `tests/data/checks.toml`."""
    if entry["status"] == "derived":
        return "recomputed"
    return "read" if entry["seen"] else "from memory"


# ------------------------------------------------------------------ kept rows
@functools.cache
def load() -> list[Row]:
    """The rows behind the page; none before the command ran for the first time."""
    if not ROWS.is_file():
        return []
    return [Row(**row) for row in json.loads(ROWS.read_text(encoding="utf-8"))]


def changed(made: Sequence[Row], kept: Sequence[Row]) -> str:
    """What tells two sets of rows apart, in words; empty when nothing does."""
    ours, theirs = ({row.key: row for row in rows} for rows in (made, kept))
    for key in sorted(ours.keys() ^ theirs.keys()):
        return f"{key[3]!r} of {key[0]} is {'not on the page' if key in ours else 'no longer checked'}"
    for key, row in ours.items():
        page = theirs[key]
        told = f"{row.what!r} of {row.test}"
        room = SAME * max(row.low, row.high, page.low, page.high)
        # A peer's own figure may move with its version; and rounding may choose another worst of many.
        fixed = row.known not in ("peer", "recomputed")
        same = abs(row.printed - page.printed) <= (0.0 if fixed else room)
        if row.points == 1 and not same and row.known != "peer":
            return f"{told}: printed is {row.printed!r}, the page has {page.printed!r}"
        if same and abs(row.ours - page.ours) > room and row.known != "peer":
            return f"{told}: ours is {row.ours!r}, the page has {page.ours!r}"
        if row.badness > page.badness + SAME:
            return f"{told}: {row.badness:.2g} of what is allowed, the page has {page.badness:.2g}"
    return ""


def published() -> dict[str, dict[str, Any]]:
    """Entries of `tests/data/checks.toml` by id."""
    entries = tomllib.loads(PUBLISHED.read_text(encoding="utf-8"))
    return {entry["id"]: entry for kind in ("check", "clearance") for entry in entries[kind]}


# ------------------------------------------------------------------ the page
def merged(rows: Sequence[Row]) -> list[Row]:
    """One row for each thing compared, the worst of its numbers, by area and then as tests stand."""
    found: dict[tuple[str, ...], Row] = {}
    for row in rows:
        key = (row.area, row.source, row.what, row.known)
        before = found.get(key)
        if before is not None:
            worst = row if row.badness > before.badness else before
            row = replace(worst, points=row.points + before.points)
        found[key] = row
    sources = list(dict.fromkeys(row.source for row in rows))
    return sorted(found.values(), key=lambda row: (AREAS.index(row.area), sources.index(row.source)))


def _figure(value: float, room: float) -> str:
    """As many digits as what is allowed can tell, one more, and no more than ten."""
    if value == 0.0 or not math.isfinite(value):
        return f"{value:g}"
    digits = 7 if room <= 0.0 else 2 + math.ceil(math.log10(abs(value) / room)) if room < abs(value) else 2
    text = f"{value:.{min(max(digits, 3), 10)}g}"
    return text if "e" not in text or abs(value) < 1e-3 or abs(value) >= 1e9 else f"{value:.0f}"


def _share(gap: float, printed: float, unit: str) -> str:
    """A difference, as a share of the printed figure, or in its unit when that is zero."""
    if gap == 0.0:
        return "0"
    if printed == 0.0:
        return f"{gap:.2g} {unit}".rstrip()
    share = gap / abs(printed)
    if abs(share) < 5e-5:
        return f"{share:.1e}"
    return f"{100.0 * share:.2g} %" if abs(share) < 1.0 else f"{100.0 * share:.0f} %"


def _line(row: Row) -> str:
    room = max(row.low, row.high)
    many = f" (worst of {row.points})" if row.points > 1 else ""
    unit = f" [{row.unit}]" if row.unit else ""
    allowed = _share(room, row.printed, row.unit)
    if row.low != row.high:
        allowed = f"+{allowed}, −0" if row.high > row.low else f"+0, −{allowed}"
    printed = _figure(row.printed, room) if row.known in ("peer", "recomputed") else f"{row.printed:.10g}"
    cells = (
        row.source, f"{row.what}{unit}{many}", printed,
        _figure(row.ours, room), _share(row.ours - row.printed, row.printed, row.unit), allowed, row.known,
    )
    return "| " + " | ".join(cell.replace("|", "/") for cell in cells) + " |"


def render(rows: Sequence[Row]) -> str:
    """The page: what the kinds mean, the tables, the rejected prints, and the entries that no test uses."""
    good = merged([row for row in rows if row.known != "rejected"])
    counted = Counter(row.known for row in good)
    out = [
        f"Made by `{COMMAND}`, not by hand; {len(good)} rows over {sum(row.points for row in good)} compared numbers.",
        "Each row is asserted by a test. *Difference* and *allowed* are shares of the outside figure, or in its unit",
        "where that is zero. Where a row stands for several numbers it shows the worst. How the outside figure is",
        "known:",
        "",
    ]
    out += [f"- **{kind}** ({counted[kind]} rows): {KNOWN[kind]}." for kind in KNOWN if counted[kind]]
    head = "| source | what | theirs | ours | difference | allowed | how known |\n|---|---|--:|--:|--:|--:|---|"
    for area in AREAS:
        lines = [_line(row) for row in good if row.area == area]
        if lines:
            out += ["", f"**{area[0].upper()}{area[1:]}**", "", head, *lines]
    entries = published()
    refused = [row for row in rows if row.known == "rejected"]
    if refused:
        out += ["", "**Rejected: the print is wrong, and a test sees to it that we differ**", ""]
        out += ["| source | what | printed | ours | why |", "|---|---|--:|--:|---|"]
        for row in refused:
            unit = f" [{row.unit}]" if row.unit else ""
            cells = (row.source, row.what + unit, f"{row.printed:.10g}", f"{row.ours:.7g}", entries[row.check]["notes"])
            out.append("| " + " | ".join(cells) + " |")
    unused = [entry for entry in entries.values() if "not_used" in entry]
    if unused:
        out += ["", "**On file and used by no test**", ""]
        out += [f"- {entry['source']}: {entry['not_used']}" for entry in unused]
    return "\n".join(out)


def on_page() -> str:
    """What stands in EVIDENCE.md now."""
    return read_section("validation")


def write(rows: Sequence[Row]) -> None:
    """Rows and page, each whole or not at all."""
    read_section("validation")  # A missing mark is told before anything is written.
    lines = ",\n".join(json.dumps(asdict(row), ensure_ascii=False) for row in rows)
    write_text(ROWS, f"[\n{lines}\n]\n")
    write_section("validation", render(rows))
