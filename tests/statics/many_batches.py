"""Two thousand random rigs as a batch and one by one: `python -m tests.statics.many_batches [FIRST [STOP]] [--write]`.

`--write` puts the sums into EVIDENCE.md.
"""

from __future__ import annotations

import sys
import time

import numpy as np

from tests.evidence_page import write_section
from tests.statics.batches import SAME, Compared, alone, compare, pairs_of

CHUNK = 50
LONGEST = 150  # Nodes of a line that is settled one by one, too.
WAYS = {"NumPy": "as taped, arrays", "loops": "as taped, compiled loops", "settled": "settled, compiled loops"}


def summary(first: int, stop: int, counts: dict[str, list[int]], others: dict[str, list[Compared]]) -> str:
    """A table of what was compared."""
    lines = [
        f"Random rigs {first} to {stop - 1}, loaded; places of nodes and slides of tapes, batch against one by one.",
        "",
        "| state, way | rigs | open in the batch or alone | apart by less than 1e-9 m | by more, within two such steps "
        "| by more than that |", "|---|--:|--:|--:|--:|--:|",
    ]
    for way, (total, left, apart, bad) in counts.items():
        lines.append(f"| {WAYS[way]} | {total} | {left} | {total - left - apart} | {apart - bad} | {bad} |")
    if any(others.values()):
        lines += ["", "Apart by more than that, each found in balance both ways:", ""]
    for way, some in others.items():
        lines += [
            f"- rig {each.seed}, {WAYS[way]}: {each.apart:.2g} m; the batch's state has "
            f"{abs(each.lower):.2g} J {'less' if each.lower > 0.0 else 'more'}" for each in some
        ]
    return "\n".join(lines)


def main(first: int, stop: int, write: bool = False) -> int:
    """Print a line a chunk; 1 where one differs by more than the solver itself is unsure of."""
    counts: dict[str, list[int]] = {}
    others: dict[str, list[Compared]] = {}
    wrong = 0
    for low in range(first, stop, CHUNK):
        pairs = pairs_of(range(low, min(low + CHUNK, stop)))
        short = {seed: pair for seed, pair in pairs.items() if pair.n <= LONGEST}
        for ways, some, settled in ((("NumPy", "loops"), pairs, False), (("settled",), short, True)):
            begin = time.process_time()
            by_themselves = alone(some, settled=settled)
            took = time.process_time() - begin
            for way in ways:
                begin = time.process_time()
                compared = compare(some, way, by_themselves)
                mine = time.process_time() - begin
                apart = np.array([each.apart for each in compared])
                limit = np.array([max(SAME, 2.0 * each.unsure) for each in compared])
                bad = [each for each, off in zip(compared, apart > limit, strict=True) if off]
                wrong += len(bad)
                others.setdefault(way, []).extend(bad)
                total = counts.setdefault(way, [0, 0, 0, 0])
                for k, more in enumerate((len(apart), int(np.isnan(apart).sum()), int((apart > SAME).sum()), len(bad))):
                    total[k] += more
                print(  # noqa: T201
                    f"{low}: {way}, {mine:.2f} s for {took:.2f} s one by one; so far {total[0]} rigs, {total[1]} open, "
                    f"{total[2]} apart by more than 1e-9 m, {total[3]} of them more than the solver is unsure of",
                    *bad, flush=True,
                )
    text = summary(first, stop, counts, others)
    print(text)  # noqa: T201
    if write:
        write_section("batches", text)
    return int(wrong > 0)


if __name__ == "__main__":
    bounds = [int(each) for each in sys.argv[1:] if each != "--write"]
    sys.exit(main(*(bounds + [0, 2000][len(bounds):]), write="--write" in sys.argv))
