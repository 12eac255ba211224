"""One person's work at a rig: documents, variants, what is looked at, the last good picture, and the answers.

Nothing here knows of browsers.  A page takes a `Job`, has it solved wherever it likes, and hands the attempt back.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from linescope.app import beside, edits, form, hands
from linescope.app.compared import difference
from linescope.app.engine import AIRS, SIDES, STATES, Attempt, Engine, StateAsked
from linescope.app.sentences import sentences
from linescope.app.variant import Job, Variant
from linescope.errors import InputError, LinescopeError, SceneError
from linescope.notes import Quantity, Value, Verbatim
from linescope.rig import Rig
from linescope.scene import Scene
from linescope.scene.document import Document
from linescope.scene.tried import with_tried
from linescope.scenefile.load import text_of
from linescope.units import System
from linescope.words import Words

if TYPE_CHECKING:
    from linescope.advise import Foreteller

Json = dict[str, Any]

FIRST, SECOND = "first", "second"
"""Names of the variants; A and B are anchors."""


class Session:
    """A rig being worked at.

    Parameters
    ----------
    path : str, Path or Scene
        The scene file, or a scene with what is tried; it need not be right, only TOML.

    Raises
    ------
    SceneError
        When the file cannot be read or is not TOML.
    """

    def __init__(self, path: str | Path | Scene) -> None:
        document = Document.of(path) if isinstance(path, Scene) else Document.read(path)
        self.variants: dict[str, Variant] = {FIRST: Variant(document=document)}
        self.active = FIRST
        self.asked = StateAsked()
        self.system: System = "metric"
        self.picked: tuple[str, int] | None = None
        self.message = ""
        self.opened = 0
        """How often another scene was opened: what was sent of the one before is of no use then."""

    # What is worked at

    @property
    def variant(self) -> Variant:
        """The variant being edited."""
        return self.variants[self.active]

    @property
    def document(self) -> Document:
        """Its document."""
        return self.variant.document

    @property
    def measures(self) -> Words:
        """How figures are written."""
        return Words(system=self.system)

    @property
    def is_dirty(self) -> bool:
        """Whether any variant has something to save."""
        return any(variant.document.is_dirty for variant in self.variants.values())

    # Edits

    def edit(self, path: str, text: str, gesture: str = "") -> None:
        """A value as typed; several edits of one gesture (a drag) are undone together."""
        self._begin(gesture)
        if path == "walker.at":
            self.asked = replace(self.asked, walker=None)  # He is looked at where he was just put.
        edits.typed(self.document, path, text, gesture)
        document, words = self.document, self.measures
        if path in document.tried:
            self.message = words.say(
                "inputs-what-if", key=words.verbatim(edits.label(path)), value=words.verbatim(document.tried[path]),
                file=form.in_file(document.data, path, words),
            )
        self._changed()

    def use_variant(self, name: str) -> None:
        """Try what is kept in the file under a name; "" goes back to the file's own values."""
        self._begin()
        self.document.use_variant(name)
        self._changed()

    def adopt(self, plan: str) -> None:
        """Try a plan of those among the answers, by its letter, and keep it in the text as a variant.

        Raises
        ------
        InputError
            When there is none of that letter, or the scene has other values of its own by now.
        """
        variant, words = self.variant, self.measures
        plans = {each["name"]: each for each in variant.study.get("advice", {}).get("plans", [])}
        if plan not in plans:
            raise InputError("there is no such plan", found=plan, allowed=", ".join(plans) or "none was sought")
        if variant.advised is None or not variant.is_advised:
            raise InputError("the scene was changed since plans were sought", found=plan, allowed="plans sought anew")
        self._begin()
        name = self.document.adopt({**variant.advised.tried, **plans[plan]["tried"]}, "advised")
        self.message = words.say("page-adopted", plan=plan, variant=words.verbatim(name))
        self._changed()

    def foretell(self, values: list[float]) -> Json:
        """What surfaces say of a setting of the levers, at once: an estimate, nothing is solved.

        Parameters
        ----------
        values : list of float
            Of the levers.  [N, -, count or m]

        Returns
        -------
        dict
            values (as hands can set them), sets (in words), rows (what is wished, about what it comes to, what surfaces
            miss), short (of each row, whether it is short).

        Raises
        ------
        InputError
            When there are no such levers.
        """
        from linescope.topics.advise.text import foretold_rows, setting

        foreteller, rig, words = *self._foreteller(values), self.measures
        here = foreteller.rounded(values)
        found = foreteller.at(here)
        return {
            "values": list(here), "rows": foretold_rows(found, rig, words),
            "short": [not each.is_met for each in found],
            "sets": [setting(lever, value, words) for lever, value in zip(foreteller.levers, here, strict=True)],
        }

    def adopt_levers(self, values: list[float]) -> None:
        """Try a setting of the levers, and keep it in the text as a variant.

        Parameters
        ----------
        values : list of float
            Of the levers.  [N, -, count or m]

        Raises
        ------
        InputError
            When there are no such levers, the scene has other values of its own by now, or nothing differs.
        """
        from linescope.advise.levers import tried_for

        foreteller, _ = self._foreteller(values)
        variant = self.variant
        if variant.advised is None or not variant.is_advised:
            raise InputError("the scene was changed since plans were sought", allowed="plans sought anew")
        keys = tried_for(variant.advised, foreteller.levers, foreteller.rounded(values))
        self._begin()
        name = self.document.adopt({**variant.advised.tried, **keys}, "advised")
        self.message = self.measures.say("page-adopted-levers", variant=self.measures.verbatim(name))
        self._changed()

    def _foreteller(self, values: list[float]) -> tuple[Foreteller, Rig]:
        variant = self.variant
        found = variant.foreteller
        if found is None or variant.advised is None:
            raise InputError("there are no levers to turn", allowed="plans sought first")
        if len(values) != len(found.levers) or not all(_is_length(each) for each in values):
            raise InputError("these are no levers", found=f"{values}", allowed=f"{len(found.levers)} values")
        return found, variant.advised.rig

    def set_known(self, path: str, how: str) -> None:
        """How a value is known."""
        self._begin()
        edits.known(self.document, path, how)
        self._changed()

    def set_limit(self, path: str, name: str, text: str) -> None:
        """Low or high of a value."""
        self._begin()
        edits.limit(self.document, path, name, text)
        self._changed()

    def choose(self, path: str, name: str) -> None:
        """Give a thing by another key that excludes this one, at the value it has now."""
        self._begin()
        edits.chosen(self.document, path, name, self.variant.picture)
        self._changed()

    def add(self, path: str) -> None:
        """Put in a table, a zone or a joint."""
        self._begin()
        edits.added(self.document, path)
        self._changed()

    def remove(self, path: str) -> None:
        """Take out a table, a zone or a joint."""
        self._begin()
        edits.removed(self.document, path)
        self._changed()

    def move_walker(self, share: float, gesture: str = "") -> None:
        """Move the walker to a share of the straight line from A to B."""
        span = self.variant.picture.rig.span if self.variant.picture is not None else 1.0
        self._begin(gesture)
        self.asked = replace(self.asked, walker=None)
        edits.walker_to(self.document, share, span, gesture)
        self._changed()

    def restyle(self, tape: int, style: str) -> None:
        """Give the tapes of one tape's zone (from 0) another style."""
        self._begin()
        hands.restyled(self.document, self.variant.picture, tape, style)
        self._changed()

    def respace(self, tape: int, every: str) -> None:
        """Give the zone of a tape (from 0) an even spacing."""
        self._begin()
        hands.respaced(self.document, self.variant.picture, tape, every)
        self._changed()

    def move_tape(self, tape: int, at: float, gesture: str = "") -> None:
        """Move a tape (from 0) to a place on the level, from A.  [m]"""
        self._begin(gesture)
        hands.moved(self.document, self.variant.picture, tape, at, gesture)
        self._changed()

    def deepen(self, bay: int, depth: float, gesture: str = "") -> None:
        """Bring a loop (from 0) to a depth.  [m]"""
        self._begin(gesture)
        hands.deepened(self.document, self.variant.picture, bay, depth, gesture)
        self._changed()

    def lift(self, anchor: str, by: float, gesture: str = "") -> None:
        """Lift anchor "A" or "B".  [m]"""
        self._begin(gesture)
        hands.lifted(self.document, self.variant.picture, anchor, by, self.system, gesture)
        self._changed()

    def measured(self, here: list[float], there: list[float]) -> list[str]:
        """The distance of two points, on the level and up or down, in words.

        Parameters
        ----------
        here, there : list of float
            Along the line, to its left, up.  [m]

        Raises
        ------
        InputError
            When these are no points.
        """
        points = [point for point in (here, there) if len(point) == 3 and all(_is_length(each) for each in point)]
        if len(points) != 2:
            raise InputError("these are no two points", found=f"{here}, {there}", allowed="three lengths each")
        apart = [b - a for a, b in zip(*points, strict=True)]
        words, level = self.measures, math.hypot(apart[0], apart[1])
        return [
            words.length(math.hypot(level, apart[2])),
            words.say("stage-measured", level=Quantity(level, "length"), height=Quantity(abs(apart[2]), "length")),
        ]

    def take_mesh(self, path: str) -> None:
        """Use a mesh that the user names as the ground."""
        self._begin()
        edits.ground_from(self.document, path)
        self._changed()

    def undo(self) -> None:
        """Take back the last edit."""
        self._begin()
        self.message = self._stepped("undone", self.document.undo())
        self._changed()

    def redo(self) -> None:
        """Bring back what was taken back last."""
        self._begin()
        self.message = self._stepped("redone", self.document.redo())
        self._changed()

    def _stepped(self, way: str, what: Value | None) -> str:
        words = self.measures
        return words.say(f"page-nothing-{way}") if what is None else words.say(f"page-{way}", what=what)

    def _begin(self, gesture: str = "") -> None:
        """Keep the figures as they are, to show what this change does to them."""
        variant = self.variant
        self.message = ""
        if not (gesture and gesture == variant.gesture) and variant.picture is not None:
            variant.before = {row["key"]: row["value"] for row in beside.rows(variant.picture, self.measures)}
        variant.gesture = gesture

    def _changed(self) -> None:
        self.variant.revision += 1
        self.variant.plan += 1

    # What is looked at

    def ask(self, *, state: str = "", air: str = "", side: str = "") -> None:
        """Look at another state of the sliders, or at another air.

        Raises
        ------
        InputError
            When there is no such choice.
        """
        for name, value, allowed in (("state", state, STATES), ("air", air, AIRS), ("side", side, SIDES)):
            if value and value not in allowed:
                raise InputError("no such choice", key=name, found=value, allowed=", ".join(allowed))
        self._begin()
        changes = {k: v for k, v in (("state", state), ("air", air), ("side", side)) if v}
        slid = bool(state) and state != self.asked.state  # Wind and excess are worked out for that state.
        self.asked = replace(self.asked, **changes)  # type: ignore[arg-type]
        for variant in self.variants.values():
            variant.revision += 1
            variant.plan += slid

    def use_units(self, system: str) -> None:
        """Show figures in metres or in feet; what was typed stays as typed.

        Raises
        ------
        InputError
            When it is neither "metric" nor "feet".
        """
        if system not in ("metric", "feet"):
            raise InputError("no such system of units", found=system, allowed="metric, feet")
        self.system = "feet" if system == "feet" else "metric"
        for variant in self.variants.values():
            variant.before, variant.studied = {}, -1
            variant.revision += 1
            variant.plan += 1

    def pick(self, kind: str, index: int) -> None:
        """Look at one loop or one tape (from 0); a kind of "" picks nothing.

        Raises
        ------
        InputError
            When it is neither.
        """
        if kind not in ("", "loop", "tape"):
            raise InputError("no such thing to pick", found=kind, allowed="loop, tape")
        self.picked = None
        if kind and self.variant.picture is not None:
            self.picked = self.variant.within((kind, int(index)))

    def preview_walker(self, share: float | None) -> None:
        """Look at the walker elsewhere without changing the scene; None goes back to where the scene puts him."""
        self._begin("preview")
        self.asked = replace(self.asked, walker=None if share is None else float(share))
        for variant in self.variants.values():
            variant.revision += 1

    # Variants

    def compare(self, on: bool) -> None:
        """Put a second variant beside the first, beginning as a copy of it; or drop the one not being edited."""
        if on and len(self.variants) == 1:
            source = self.variant
            other = Variant(
                document=source.document.copy(), picture=source.picture, error=source.error, revision=source.revision,
                solved=source.solved, plan=source.plan, study=source.study, studied=source.studied, whole=source.whole,
            )
            self.variants = {FIRST: source, SECOND: other}
            self.active = SECOND
        elif not on and len(self.variants) == 2:
            self.variants = {FIRST: self.variant}
            self.activate(FIRST)

    def activate(self, name: str) -> None:
        """Edit the other variant.

        Raises
        ------
        InputError
            When there is none of that name.
        """
        if name not in self.variants:
            raise InputError("there is no such variant", found=name, allowed=", ".join(self.variants))
        self.active = name
        self.picked = self.variant.within(self.picked)

    # Files

    def save(self, name: str = "") -> Path:
        """Write what is being edited to its file, and what is tried under a name beside the file's own values.

        Parameters
        ----------
        name : str
            Of the variant kept in the file; "" takes a free one.

        Raises
        ------
        OutputError
        InputError
            When it is not right: a file that does not load is not written; or a measured value would be lost.
        """
        self._refuse_wrong()
        path = self.document.save(name.strip())
        for variant in self.variants.values():
            if variant.document.path == path:
                variant.document.saved_text = self.document.text
        self.message = self.measures.say("page-saved", file=Verbatim(path.name))
        if self.document.variant:
            words = self.measures
            kept = words.verbatim(self.document.variant)
            self.message = words.say("inputs-kept", file=words.verbatim(path.name), variant=kept)
        return path

    def save_as(self, path: str) -> Path:
        """Write the variant being edited to a new file and go on with that.

        Raises
        ------
        OutputError
        InputError
            When no name is given, or the scene is not right.
        """
        self._refuse_wrong()
        if not path.strip():
            raise InputError("a name is needed", allowed="such as my_line.toml")
        target = Path(path).expanduser()
        folder = self.document.path.parent
        written = self.document.save_as(target if target.is_absolute() else folder / target)
        self.message = self.measures.say("page-saved-as", file=Verbatim(written.name))
        self._changed()
        return written

    def _refuse_wrong(self) -> None:
        self.settle()
        if self.variant.error is not None:
            raise InputError(f"not saved, since the scene is not right: {self.variant.error}")

    def open(self, path: str) -> None:
        """Go to another scene; variants and undo begin anew.

        Raises
        ------
        SceneError
            When it cannot be read; everything is as before.
        """
        target = Path(path).expanduser()
        target = target if target.is_absolute() else self.document.path.parent / target
        if target.suffix.lower() != ".toml":
            raise SceneError("a scene file ends in .toml", file=target, found=target.suffix, allowed=".toml")
        try:
            document = Document.read(target)
        except SceneError as error:  # What is in a file that is no scene is nobody's business here.
            raise SceneError(error.problem, file=error.file, key=error.key, allowed=error.allowed) from error
        self.variants = {FIRST: Variant(document=document)}
        self.active, self.picked, self.asked = FIRST, None, StateAsked()
        self.opened += 1
        self.message = self.measures.say("page-opened", file=Verbatim(document.path.name))

    def look_at_disk(self) -> str:
        """Whether the file changed on disk: "" for no, "reloaded", or "conflict" when there are edits to lose."""
        document = self.document
        try:
            text = text_of(document.path)
        except LinescopeError:
            return "gone"
        if text == document.saved_text:
            return ""
        if document.is_dirty and text != document.text:
            return "conflict"
        return self.reload()

    def reload(self) -> str:
        """Take the file as it is on disk; edits can be brought back by undo."""
        self._begin()
        try:
            changed = self.document.reload()
        except InputError as error:
            self.message = self.measures.say("page-not-toml", error=Verbatim(str(error)))
            return "wrong"
        if not changed:
            return ""
        self._changed()
        self.message = self.measures.say("page-read-again", file=Verbatim(self.document.path.name))
        return "reloaded"

    # Solving

    def job(self, name: str) -> Job | None:
        """What is to be solved for a variant; None when its picture is up to date, or there is no such variant."""
        variant = self.variants.get(name)
        return None if variant is None else variant.job(name, self.asked)

    def engine(self, name: str) -> Engine:
        """The engine that solves a variant's jobs, one at a time."""
        return self.variants[name].engine

    def accept(self, job: Job, attempt: Attempt) -> None:
        """Show a job's result even if newer edits are pending; a result older than the one shown is discarded."""
        variant = self.variants.get(job.name)
        if variant is not None and variant.accept(job, attempt) and job.name == self.active:
            self.picked = variant.within(self.picked)

    def settle(self) -> None:
        """Solve what is to be solved, here and now."""
        for name in self.variants:
            job = self.job(name)
            if job is not None:
                self.accept(job, self.engine(name).run(job.scene, job.asked))

    # What the page shows

    def sentences(self) -> list[str]:
        """The rig of the variant being edited in words, with slots for what can be edited."""
        document = self.document
        try:
            data = with_tried(document.data, document.tried)
        except InputError:
            data = document.data
        return sentences(data, self.measures)

    def form(self, name: str = "") -> list[Json]:
        """The form of a variant."""
        variant = self.variants[name or self.active]
        document = variant.document
        notes = variant.picture.inputs.notes if variant.picture is not None else ()
        blamed = variant.error if isinstance(variant.error, InputError) else None
        return form.form_of(
            document.data, saved=document.saved_data, notes=notes, blamed=blamed, tried=document.tried,
            words=self.measures,
        )

    def answers(self, name: str = "") -> Json:
        """Figures of the last good picture of a variant."""
        name = name or self.active
        variant = self.variants[name]
        if variant.picture is None:
            return {}
        picked = self.picked if name == self.active else None
        found = beside.answers_of(variant.picture, self.measures, variant.before, picked)
        first, second = (self.variants[each].picture if each in self.variants else None for each in (FIRST, SECOND))
        if first is not None and second is not None:
            found["compared"] = beside.compared(first, second, self.measures)
            found["difference"] = difference(self.variants, self.measures)
        return found

    def status(self) -> Json:
        """What is up to date, what may be undone, and what must be said."""
        document, variant = self.document, self.variant
        error = variant.error
        return {
            "title": str(document.data.get("title", "")),
            "file": document.path.name,
            "folder": str(document.path.parent),
            "dirty": document.is_dirty,
            "undo": "" if document.undo_label is None else self.measures.value(document.undo_label),
            "redo": "" if document.redo_label is None else self.measures.value(document.redo_label),
            "variants": list(self.variants),
            "kept": list(document.scene.variants),
            "kept_as": document.variant,
            "tried": len(document.tried),
            "active": self.active,
            "old": {name: v.is_old for name, v in self.variants.items()},
            "blank": variant.picture is None,
            "reason": variant.reason,
            "reasons": {name: v.reason for name, v in self.variants.items()},
            "blamed": error.key if isinstance(error, InputError) and error.key else "",
            "state": self.asked.state,
            "air": self.asked.air,
            "side": self.asked.side,
            "system": self.system,
            "has_wind": variant.picture is not None and variant.picture.rig.wind is not None,
            "has_walker": variant.picture is not None and variant.picture.rig.walker is not None,
            "preview": self.asked.walker is not None,
            "revision": variant.solved,
            "plan": variant.plan,
            "walker_share": variant.walker_share,
            "picked": list(self.picked) if self.picked is not None else [],
            "message": self.message,
        }


def _is_length(value: object) -> bool:
    """Whether a value that came is a finite number."""
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
