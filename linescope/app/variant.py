"""One version of the rig at the page: its text, its last good picture, and why there may be no newer one."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from linescope.app.engine import Attempt, Engine, SolvedRig, StateAsked
from linescope.errors import InputError, LinescopeError
from linescope.scene import Scene
from linescope.scene.document import Document
from linescope.shown import Outlined

if TYPE_CHECKING:
    from linescope.advise import Foreteller

Json = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class Job:
    """What is to be solved: one variant as it was at one moment."""

    name: str
    revision: int
    plan: int
    scene: Scene
    asked: StateAsked


@dataclass(kw_only=True, repr=False)
class Variant(Outlined):
    """One version of the rig.

    Attributes
    ----------
    document : Document
    engine : Engine
    revision, solved : int
        Counts edits and looks; the revision the picture (or the reason) belongs to.
    plan : int
        Counts edits alone: what takes longer does not depend on where the walker is looked at.
    picture : SolvedRig or None
        The last good one.
    error : LinescopeError or None
        Why the present text gives no picture.
    before : dict
        Figures before the change that was made last, by key.
    gesture : str
        Name of the drag that change belongs to; "" for none.
    study : dict
        Parts of the longer answers by name, each with the plan it belongs to.
    studied : int
        The plan whose parts are all there, -1 for none.
    advised : Scene or None
        The scene that the plans among the answers are of.
    foreteller : Foreteller or None
        What tells at once what other settings of their levers would give.
    whole : dict
        The picture with all that takes longer, as the page takes it, by the name it has there: the newest one.
    """

    document: Document
    engine: Engine = field(default_factory=Engine)
    revision: int = 0
    solved: int = -1
    plan: int = 0
    picture: SolvedRig | None = None
    error: LinescopeError | None = None
    before: dict[str, str] = field(default_factory=dict)
    gesture: str = ""
    study: Json = field(default_factory=dict)
    studied: int = -1
    advised: Scene | None = None
    foreteller: Foreteller | None = None
    whole: dict[str, bytes] = field(default_factory=dict)

    @property
    def is_advised(self) -> bool:
        """Whether the plans among the answers are of the file's values as they are now, whatever is tried or kept."""
        asked = self.advised
        return asked is not None and asked.has_values_of(self.document.scene)

    @property
    def is_old(self) -> bool:
        """Whether the picture is of an older text, since the present one is not right."""
        return self.error is not None and self.picture is not None

    @property
    def reason(self) -> str:
        """Why there is no newer picture, without the path of the file, which the page names anyway; "" for none."""
        error = self.error
        if isinstance(error, InputError):
            return str(InputError(error.problem, key=error.key, found=error.found, allowed=error.allowed))
        return "" if error is None else str(error)

    @property
    def walker_share(self) -> float:
        """Where the walker of the picture stands, as a share of the straight line from A; the middle without one."""
        if self.picture is None or self.picture.rig.walker is None:
            return 0.5
        return self.picture.rig.walker.at / self.picture.rig.span

    def job(self, name: str, asked: StateAsked) -> Job | None:
        """What is to be solved under a variant's name; None when its picture is up to date."""
        if self.solved == self.revision:
            return None
        return Job(name=name, revision=self.revision, plan=self.plan, scene=self.document.scene, asked=asked)

    def accept(self, job: Job, attempt: Attempt) -> bool:
        """Take what a job gave; False for attempts older than the one shown, or of another file."""
        if self.solved > job.revision or self.document.path != job.scene.path:
            return False
        self.solved, self.error = job.revision, attempt.error
        if attempt.picture is not None:
            self.picture = attempt.picture
        return True

    def within(self, picked: tuple[str, int] | None) -> tuple[str, int] | None:
        """A loop or tape that the picture has, nearest to the one asked for; None when it has none of the kind."""
        if picked is None or self.picture is None:
            return picked
        kind, index = picked
        count = len(self.picture.solution.bays.excess) - (kind == "tape")
        return (kind, min(max(index, 0), count - 1)) if count > 0 else None
