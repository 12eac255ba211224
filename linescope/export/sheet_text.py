"""Words of the briefing sheet that no computation gives: forms to fill in, hold points, cautions, limits.

All of it is common practice without a source unless it says otherwise; the crew's own rules win.
"""

from __future__ import annotations

PLAN = "PLAN, NOT PERMISSION"

PRACTICE = "Common practice, no source; the crew's own rules win."

ROLES = (
    "Lead", "Anchor A, tension", "Anchor B", "Backup man (closes it)", "Second pair of eyes", "Spotter below",
    "Rescue lead", "First aid", "Airspace, landowner",
)  # fmt: skip

COMMS = (
    ("stop", "everybody, at once, from anyone"),
    ("slack", "let out at the named anchor"),
    ("tension", "take in at the named anchor"),
    ("off", "nobody on the line, nobody under it"),
)

STEPS = (
    (False, "Anchors and their back-up looked at by two people; padding on every edge the backup could reach."),
    (False, "Lines laid out, taping checked by number, no twist every tenth tape, far end goes out first."),
    (False, "Pull across with the loops clear of bushes and lip; nobody below."),
    (False, "Main into the lock at A and B; backup into its own at the marks of section 7."),
    (True, "HOLD: backup closed at both ends and checked by a second person before anybody is on the line."),
    (False, "Tension to the standing figure of section 6, read at the anchor's side of any pulley."),
    (True, "HOLD: tension written down; loops at five stations against section 10. No slack anywhere: stop."),
    (False, "Wait for the webbing to relax, read again; look at the lines by metre (section 13)."),
    (True, "HOLD: ring on both lines, knot of the tie-in checked by a buddy at the anchor, every time."),
    (False, "First walk with the spotter watching the worst places of section 11; then read tension again."),
)
"""(hold point, words), in order."""

CAUTIONS = (
    "Figures come from a model with the inputs listed; measure tension and loop depth on the real line before use.",
    "Not a certificate, not an anchor check. Peaks are bounds, not predictions.",
    "Tapes position, they do not hold. Ring on both lines. Backup closed. Buddy check of the knot, every time.",
    "Nobody under the line. Pad every edge the backup could reach after failure.",
    "Re-check after wind, rain, 24 h or any hard fall. Ask the airspace authority.",
)

LIMITS = (
    "Limits of the model: static or quasi-static; no damping, no torsion, no creep of webbing; the walker is a point "
    "load; tapes ideal; anchors rigid; fall peaks are energy bounds; air drag simplified. A main that breaks recoils: "
    "not computed."
)

BANDS = (
    "ranges of sag, loops, falls and loss of the main, from the low and high of every input, are printed by "
    "`linescope figures`."
)

WIND_RULE = (
    "Stop for people at (usual 8 to 12 m/s in gusts, from memory, no source):",
    "Watch or take down the empty line at (usual 15 m/s, from memory, no source):",
    "Who measures, where, how often:",
)

NOTICE = (
    "Height of the line above ground and water, highest point:",
    "Airspace authority told on, by, reference (thresholds differ by country: ask):",
    "Markers: kind, spacing, lights:",
    "Landowner, wildlife closures:",
)

RESCUE = (
    "Rescue plan (who goes, from which anchor, with what, how long):",
    "Phone, emergency number, place as told to rescuers:",
    "Escape from the line, nearest road:",
)

SITE = "Draw: access, hazards below, people and roads, power lines, escape and rescue path, where nobody stands."
