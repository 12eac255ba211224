"""What is printed with every figure."""

from __future__ import annotations

CAUTIONS: tuple[str, ...] = (
    "Model results from the inputs listed: a plan, not a permission. Measure tension and loop depth on the real line "
    "before anyone is on it.",
    "Static and quasi-static: no damping, no line inertia, no twist, no creep of webbing; walker a point load, anchors "
    "rigid. Catches are bounds, not predictions.",
    "Tapes position the backup; they hold no fall. Ring on both lines, backup closed, buddy check, nobody below.",
    "Local codes and the judgement of competent riggers on the spot come first.",
)
