"""Words that several events use."""

from __future__ import annotations

from collections.abc import Iterable


def listed(bays: Iterable[int]) -> str:
    """Bay numbers as people write them: 1-4, 7, 9-12."""
    runs: list[list[int]] = []
    for bay in sorted(bays):
        if runs and bay == runs[-1][1] + 1:
            runs[-1][1] = bay
        else:
            runs.append([bay, bay])
    return ", ".join(f"{first}" if first == last else f"{first}-{last}" for first, last in runs)
