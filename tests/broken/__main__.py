"""`python -m tests.broken`: how many cases there are of each kind; with a kind, their messages, to be read.

`python -m tests.broken keys 60` shows 60 of them drawn with a fixed seed.
"""

from __future__ import annotations

import random
import sys
import tempfile
from pathlib import Path

from tests.broken import KINDS, case


def main(arguments: list[str]) -> int:
    if not arguments:
        counts = {kind: len(list(cases())) for kind, cases in KINDS.items()}
        for kind, count in {**counts, "together": sum(counts.values())}.items():
            sys.stdout.write(f"{kind:10} {count}\n")
        return 0
    listed = [each for kind in KINDS if arguments[0] in (kind, "all") for each in KINDS[kind]()]
    if len(arguments) > 1:
        listed = random.Random(9).sample(listed, min(int(arguments[1]), len(listed)))
    for each in listed:
        with tempfile.TemporaryDirectory() as folder:
            said = case.run(each.make(Path(folder))).err.replace(folder, "")
        sys.stdout.write(f"{each}\n    {said.strip()}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
