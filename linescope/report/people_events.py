"""What happens to a rig, as text for people: sliding, catches, wind, and what is not known well."""

from __future__ import annotations

import numpy as np

from linescope.events.catch import STATIC_STRETCH
from linescope.events.crossing import Crossing
from linescope.events.let_go import SEEN
from linescope.report.gather import Results
from linescope.report.sliding import HOLD, let_go_words, loops_words
from linescope.report.strength import share_of_strength, strength_name
from linescope.report.text import columns
from linescope.report.writer import Writer
from linescope.units import System, format_si
from linescope.webbing import Webbing

RIGID = "bound: leash and body rigid"
SIDES = {
    "nothing holds": "nothing holds (no tape or tie between the anchors keeps the backup with the main)",
    "ties hold": "ties hold",
}


class EventsWriter(Writer):
    """Writes of the events of one rig.

    Parameters
    ----------
    results : Results
    system : {"metric", "feet"}
    """

    def __init__(self, results: Results, system: System) -> None:
        super().__init__(system)
        self.results = results

    def sliding(self) -> None:
        """What lets go by itself, where slope alone is enough for that, and what a crossing does."""
        results = self.results
        if not results.slides:
            return
        self.title("sliding")
        first, *others = let_go_words(results, self.system)
        self.say(first, "! " if first[:8].isupper() else "  ")
        for sentence in others:
            self.say(sentence)
        for zone in results.creep.zones:
            self.say(
                f"Creep zone: tapes {zone.first} to {zone.last}, {self.span(zone.start, zone.end, 'length')} from "
                f"A; main as steep as {self.show(zone.steepest, 'angle')}: slope alone starts clean sliders there "
                "(walker where he stands, hold as given).", "! "
            )
        if not results.creep.zones:
            self.say("Nowhere is the main steep enough for slope alone to start a clean slider.")
        for crossing in (results.crossing_low, results.crossing_value, results.crossing_high):
            if crossing is not None:
                self.crossing(crossing)

    def crossing(self, crossing: Crossing) -> None:
        """One walk over and back."""
        name = f"One crossing and back, {HOLD[crossing.level].removeprefix('the ')}"
        if crossing.total_slip.max(initial=0.0) < SEEN:
            self.say(f"{name}: no line slides; loops of the empty line {loops_words(crossing.after, self.system)}.")
            return
        self.say(
            f"{name}: line that slides through a tape on the way, both ways added and without what let go before, "
            f"{self.show(crossing.total_slip.mean(), 'length')} on average, "
            f"{self.most(crossing.total_slip.max(), 'length')} at the most; it ends at the most "
            f"{self.most(abs(crossing.after.tape_slip).max(), 'length')} from as taped; friction work "
            f"{self.show(crossing.total_work.sum(), 'energy')}; loops of the empty line afterwards "
            f"{loops_words(crossing.after, self.system)}."
        )

    def catches(self) -> None:
        """A leash fall and the loss of the main: bounds, with what they are of each line's strength."""
        results = self.results
        if results.fall is None or results.gone is None:
            return
        fall, gone, rig = results.fall.figures, results.gone, results.rig
        self.title(f"catches at {self.show(fall.at[0], 'length')} from A: bounds, no damping, no line inertia")
        deeper = fall.dip[0] - fall.dip_held[0] >= 5e-3
        held = f" (with free sliders; {self.show(fall.dip_held[0], 'length')} if tapes hold)" if deeper else ""
        foot = fall.ring_standing[0, 2] - fall.low_foot[0, 2]
        self.say(
            f"Leash fall: ring {self.most(fall.dip[0], 'length')} below where he stood{held}, lowest foot "
            f"{self.most(foot, 'length')} below where he stood; {self.most(fall.peak_force[0], 'force')} on the ring "
            f"({RIGID}), {self.peak(fall.peak_main_tension[0], rig.main)} in the main, "
            f"{self.peak(fall.peak_backup_tension[0], rig.backup)} in the backup."
        )
        for side in (gone.nothing_holds, gone.ties_hold) if gone.tied else (gone.nothing_holds,):
            feet = rig.walker.leash + rig.walker.hang if rig.walker else 0.0
            rest = "" if np.isnan(side.main_share[0]) else (
                f", in what is left of the main at most {self.most(side.main_share[0], 'ratio')} of its "
                f"{strength_name(rig.main)}"
            )
            self.say(
                f"Main gone, {SIDES[side.name]}: ring rests {self.show(side.rest_depth[0], 'length')} below the "
                f"straight line, at the lowest {self.most(side.lowest_depth[0], 'length')}; feet "
                f"{self.most(feet, 'length')} lower; {self.peak(side.peak_tension[0], rig.backup)} in the backup{rest}."
                f" At most {self.peak(side.most_tension[0], rig.backup)}, with the ring "
                f"{self.most(side.most_depth[0], 'length')} down, if all that the lost main has stored went into the "
                f"catch and its weight hung on the backup (bound)."
            )
        sweep = results.fall_sweep
        if sweep is not None:
            main, backup = int(np.argmax(sweep.peak_main_tension)), int(np.argmax(sweep.peak_backup_tension))
            self.say(
                f"Leash falls all along the line: largest force on the ring "
                f"{self.most(sweep.peak_force.max(), 'force')} ({RIGID}) at "
                f"{self.show(sweep.at[sweep.hardest], 'length')} from A; in the main "
                f"{self.peak(sweep.peak_main_tension[main], rig.main)} at {self.show(sweep.at[main], 'length')}; in "
                f"the backup {self.peak(sweep.peak_backup_tension[backup], rig.backup)} at "
                f"{self.show(sweep.at[backup], 'length')}; lowest foot at "
                f"{self.show(sweep.at[sweep.lowest], 'length')}."
            )
        if results.gone_sweep is not None:
            side = results.gone_sweep.nothing_holds
            most = int(np.argmax(side.peak_tension))
            self.say(
                f"Main gone anywhere, {SIDES[side.name]}: ring as low as "
                f"{self.most(side.lowest_depth.max(), 'length')} below the straight line, with the walker at "
                f"{self.show(results.gone_sweep.at[side.deepest], 'length')}; at most "
                f"{self.peak(side.peak_tension[most], rig.backup)} in the backup, with him at "
                f"{self.show(results.gone_sweep.at[most], 'length')}."
            )
        self.say(STATIC_STRETCH)
        self.loud(dict.fromkeys((*gone.notes[:1], *(fall.notes[:1] if fall.least_excess[0] < 0.0 else ()))))

    def peak(self, tension: float, line: Webbing) -> str:
        """A peak with what it is of the line's strength."""
        share = share_of_strength(float(tension), line, system=self.system)
        return f"{self.most(tension, 'force')} ({share})"

    def wind(self) -> None:
        """Every case of wind."""
        wind = self.results.wind
        if wind is None:
            return
        self.title("wind")
        for case in wind.cases:
            self.say(
                f"{'Empty' if case.loaded == 'empty' else 'With the walker'}, {case.side} side: loops swing "
                f"{self.show(float(np.median(case.steady_swing)), 'angle')} steady, "
                f"{self.show(float(np.median(case.gust_swing)), 'angle')} in the gust, up to "
                f"{self.most(case.sudden_swing.max(), 'angle')} when it comes suddenly (bound); main "
                f"{self.show(case.offset_steady, 'length')} sideways, {self.show(case.offset_gust, 'length')} in the "
                f"gust."
            )
        self.loud(wind.notes)

    def bands(self) -> None:
        """The main results with their low and high."""
        bands = self.results.bands
        if bands is None:
            return
        self.title("bands: what is not known well")
        rows: list[tuple[str, ...]] = [("result", "low", "as given", "high", "matters most")]
        for band in bands.results:
            dimension, values = band.outcome.dimension, (band.low, band.value, band.high)
            unit = self.unit(values, dimension)
            rows.append((
                band.outcome.title,
                *(
                    format_si(v, dimension, system=self.system, unit=unit, towards="up" if band.outcome.is_bound
                              else "nearest")
                    for v in values
                ),
                band.effects[0].input if band.effects else "",
            ))
        self.lines += ["  " + line for line in columns(rows, right=(1, 2, 3))]
        if bands.ranking:
            name, share = bands.ranking[0]
            known = next((n.known for n in self.results.rig.inputs if n.key == name), "")
            said = f" ({known})" if known in ("guess", "assumed") else ""
            self.say(
                f"The input that matters most: {name}{said}, {100.0 * share:.0f} % of these bands on average."
            )
        for note in bands.notes:
            self.say(note)
