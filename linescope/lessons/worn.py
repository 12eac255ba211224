"""The lesson of rub: which face of which line wears, style by style, crossing after crossing in a wind that blows."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np

from linescope.contact.hung_holds import standing_at
from linescope.contact.ledger import Face, RubCause, Tracks
from linescope.contact.slides import slide_tracks
from linescope.contact.styles import with_style
from linescope.contact.wear import Wear, find_wear
from linescope.lessons.shots import LessonRow, Rub, ranges_of, shot
from linescope.lessons.takes import PER_BAY, STYLES, Play, Told, every_take, needs_bays, needs_walker
from linescope.lessons.takes import Tracks as Rows
from linescope.rig import Rig, Use
from linescope.statics import plan

CROSSINGS = 10
"""There and back each. [-]"""
HOURS = (0.0, 2.0, 5.0, 10.0, 20.0)
"""Of wind on the empty line. [h]"""
HOUR = 3600.0
BAYS = 4
"""That are shown. [-]"""
DIFFERS = 1.25
"""A face is told to wear more where another style spares it so many times. [-]"""


def who_wears(rig: Rig, told: Told, most: int) -> Play:
    """What ten crossings rub on each face in the three styles, for several hours of wind."""
    needs_walker(rig)
    needs_bays(rig)
    wears = []
    for count, (family, holds) in enumerate(STYLES):
        use = Use(crossings=CROSSINGS, wind_hours=1.0)
        wears.append((holds, find_wear(with_style(rig, family, holds), use, levels=("value",), per_bay=PER_BAY)))
        told(0.8 * (count + 1) / len(STYLES), "crossings")
    plans = {holds: plan(wear.rig) for holds, wear in wears}
    states = {
        holds: [shot(standing_at(plans[holds], wear.history.after(k))) for k in range(wear.history.walked + 1)]
        for holds, wear in wears
    }

    def run(blows: float, whole: bool) -> Rows:
        found = []
        for holds, wear in wears:
            counts = range(CROSSINGS + 1) if whole else (CROSSINGS,)
            shots = tuple(
                replace(
                    states[holds][min(count, wear.history.walked)],
                    rub=near_tapes(wear, worn(wear, count, blows / HOUR)),
                )
                for count in counts
            )
            ranges = ranges_of([(-1, each.depth) for each in shots])
            found.append(LessonRow(name=holds.value, holds=holds, planned=plans[holds], shots=shots, ranges=ranges))
        return tuple(found)

    own = HOUR * rig.use.wind_hours
    stops = sorted({*(HOUR * hours for hours in HOURS), own})
    takes = every_take("who-wears", stops, most, lambda blows: blows == own, told, "faces", run)
    first = next(k for k, take in enumerate(takes) if take.own)
    _, main, backup = (track.shots[-1].rub for track in takes[first].tracks)
    bays = len(wears[0][1].layout.tapes) + 1
    share = min(1.0, BAYS / bays)
    shows = backup is not None and main is not None and backup.most[0] > DIFFERS * main.most[0]
    return Play(
        name="who-wears",
        rig=rig,
        knob="time",
        takes=takes,
        first=first,
        window=(0.5 - 0.5 * share, 0.5 + 0.5 * share),
        shows=shows,
    )


def worn(wear: Wear, crossings: int, hours: float) -> Tracks:
    """What so many crossings and as large a share of so many hours of wind rub.

    Parameters
    ----------
    wear : Wear
        Of `CROSSINGS` crossings and one hour of wind.
    crossings : int
        Up to `CROSSINGS`; those that were not walked count as the last one that was.
    hours : float
        Of all crossings.  [h]
    """
    history, share = wear.history, crossings / wear.use.crossings
    total = wear.causes[RubCause.SWAY].value.times(share * hours / wear.use.wind_hours)
    for cause in (RubCause.RING, RubCause.STRAIN):
        total = total.plus(wear.causes[cause].value, share)
    for lap in history.laps[:crossings]:
        total = total.plus(slide_tracks(wear.layout, wear.between, lap))
    left = crossings - history.walked
    if left > 0:
        total = total.plus(history.last, history.times * left / (wear.use.crossings - history.walked))
    return total


def near_tapes(wear: Wear, tracks: Tracks) -> Rub:
    """The largest rub of every face beside each tape, and what there is of it everywhere."""
    layout, faces = wear.layout, list(Face)
    peaks, places = (np.zeros((len(faces), len(layout.tapes))) for _ in range(2))
    even = np.zeros(len(faces))
    for row, face in enumerate(faces):
        ledger = tracks.faces[face]
        density, middles = ledger.per_metre, ledger.middles
        made = layout.tape_main if face.line == "main" else layout.tape_backup
        even[row] = float(np.median(density))
        edges = np.concatenate(([0.0], 0.5 * (made[:-1] + made[1:]), [ledger.length]))
        for tape, (low, high) in enumerate(itertools.pairwise(edges)):
            inside = np.flatnonzero((middles >= low) & (middles < high))
            best = inside[int(np.argmax(density[inside]))]
            peaks[row, tape], places[row, tape] = density[best], middles[best]
    return Rub(peaks=peaks, places=places, even=even, strips=np.asarray(tracks.tapes, dtype=float))
