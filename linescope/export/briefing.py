"""A whole briefing in one folder: crew pictures and their sheets, a page, and on demand workshop, record and tables."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from linescope import atomic, stage
from linescope.clearance.notes import ClearanceNote
from linescope.errors import InputError, OutputError
from linescope.events.excess import LoopsNote
from linescope.export import driver, manifest
from linescope.export.brief import left_out, write_brief
from linescope.export.crew import ABOVE, SHOWN, names, write_above, write_crew, write_workshop
from linescope.export.page_file import write_page
from linescope.export.picture_size import check_dpi, check_size
from linescope.export.sheet import Paper, check_paper, write_sheet
from linescope.export.space import space, write_space
from linescope.export.tables import write_tables
from linescope.export.tape_cards import TICKS, write_cards, write_ticks
from linescope.export.true_size import NAMES as AR
from linescope.export.true_size import write_ar
from linescope.notes import Term
from linescope.rig import Rig, RigSource, checked_rig
from linescope.stage import brief_of
from linescope.stage.ground import site
from linescope.stage.theme import theme_named
from linescope.study import Study
from linescope.topics.clearance.text import alarms
from linescope.units import System, checked_system
from linescope.words import Words, frame

Progress = Callable[[float, str], None]

# Above so many tapes a crossing with friction takes longer than a briefing should, and must be asked for; and the
# settled state is shown among the friction states only.
CROSSING_TAPES = 60
# Said on the sheet, the page and in pictures of falls and of worst places, not in every picture.
CARD = 2000  # Of a tape card, at most [px].
ELSEWHERE = (
    ClearanceNote.DRAGGED, ClearanceNote.NOT_ASKED, ClearanceNote.SHORT,
)
CREW = (
    "standing", "taped", "excess", "wind", "let_go", "meter", "index", "fall_sweep", "fall_places", "deeper",
    "place_gaps", "fall_gaps", "running", "main_gone_sweep", "clearance", "fall_in_time",
)
"""What the crew pictures show."""
COMPUTED = (
    "standing", "taped", "settled", "excess", "wind", "let_go", "meter", "touch", "touch_states", "walked", "index",
    "fall_sweep", "fall_places", "deeper", "place_gaps", "gone_places", "fall_gaps", "running", "main_gone",
    "main_gone_sweep", "clearance", "crossing_low", "crossing_high", "wear", "compare",
    "fall_in_time", "main_gone_in_time", "bounce_in_time", "gust_in_time", "readings",
)
"""What pictures, sheet and page show, in the order in which it is computed."""

PAGE = ("settled", "main_gone", "gone_places", "touch", "fall_course", "gone_course", "gust_course")
"""What the page shows besides: states, where the lines lie on each other, and one course of each thing in time."""


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """What a briefing holds.

    Attributes
    ----------
    workshop : bool
        Also the pictures of friction, of where lines touch and rub, of wind and of every style; rub takes its time.
    record : bool
        Also every picture there is, the view from above and the sheet with all tables (`sheet.pdf`).
    crossings : bool or None
        Friction states of both; None: where the line is short enough to be quick.
    rub, in_time, in_draws : bool
        Rub along both lines; what is expected of falls and the loss of the main in time; in how many draws required
        clearances are kept: all take their time.
    advise : bool
        For each place that is short, the one change that would mend it, on the page; takes its time.
    sheet, page : bool
        The PDFs, the HTML page.
    tables, mesh : bool
        CSV tables; a glTF file, with a JSON file of what it shows.
    ar : bool
        The rig at true size for a telephone's own viewer, as glTF and USDZ.
    """

    workshop: bool = False
    record: bool = False
    crossings: bool | None = None
    rub: bool = False
    in_time: bool = False
    in_draws: bool = False
    advise: bool = False
    sheet: bool = True
    page: bool = True
    tables: bool = False
    mesh: bool = False
    ar: bool = False


def write_briefing(
    rig: Rig | RigSource,
    out_dir: str | Path,
    *,
    wanted: Wanted = Wanted(),
    size: tuple[int, int] = stage.PAGE,
    theme: str = "light",
    units: System = "metric",
    paper: Paper = "A4",
    dpi: float | None = None,
    author: str = "",
    progress: Progress | None = None,
    notice: Callable[[str], None] | None = None,
) -> tuple[list[Path], tuple[str, ...]]:
    """Compute a rig and write its briefing.

    Parameters
    ----------
    rig : RigSource or Rig
        A scene; of a rig alone no inputs are known.
    out_dir : str or Path
        Made when missing.
    wanted : Wanted
    size : (width, height)
        Of every picture; the crew's are as wide, and as high as they need.  [px]
    theme : {"light", "dark"}
    units : {"metric", "feet"}
    paper : {"A4", "Letter"}
    dpi : float, optional
        Noted in the pictures.  [1/inch]
    author : str
        Who made it, on the sheet of a record; empty leaves a line to write on.
    progress : callable, optional
        Told the share done, 0 to 1, and what is being done.
    notice : callable, optional
        Told, in a sentence each, which files of an earlier briefing in that folder were removed because this one does
        not hold them, and which were left because they may not be its own.

    Returns
    -------
    files : list of Path
        The last one lists the others, for the next briefing in that folder.
    missing : tuple of str
        Pictures left out, and why.

    Raises
    ------
    InputError, SolveError, OutputError, SystemPackageError
        Each file is whole or absent.

    Examples
    --------
    >>> import linescope
    >>> files, left_out = linescope.write_briefing(linescope.load("scenes/heron_gap.toml"), folder / "briefing")
    >>> {file.suffix for file in files} >= {".png", ".pdf"}
    True
    """

    def part(start: float, end: float) -> Progress:
        return lambda share, what: None if progress is None else progress(start + share * (end - start), what)

    scene, rig, units, look = rig, checked_rig(rig), checked_system(units), theme_named(theme)
    if not isinstance(wanted, Wanted):
        raise InputError("this does not say what is wanted", key="wanted", found=wanted, allowed="a Wanted")
    check_size(size)
    check_dpi(dpi)
    check_paper(paper)
    study = _study(scene, wanted, part(0.0, 0.4))  # Before a folder is made: a rig that cannot be laid out.
    folder = _place(out_dir, rig, wanted)
    driver.begin()  # It takes a second, and nothing of this process.
    everything = wanted.record or wanted.workshop
    study.run((*(COMPUTED if everything or wanted.tables else CREW), *(PAGE if wanted.page else ()),
               *(("drawn_needs",) if wanted.in_draws else ()), *(("mends",) if wanted.advise else ())))
    place = site(study.ground, rig) if study.ground else None
    crew = brief_of(study.taped, theme=look, ground=place, size=size, system=units, study=study)
    files = write_crew(folder, crew, dpi=dpi, sheets=wanted.sheet)
    if wanted.record:
        files.append(write_above(folder, crew, dpi=dpi))
    missing = left_out(study.taped, study=study, ground=place) if everything else {}
    if wanted.workshop:
        files += write_workshop(folder, crew, [name for name in SHOWN if name not in missing], dpi=dpi)
    if wanted.record:
        short = len(study.planned.layout.tapes) <= CROSSING_TAPES
        states = [study.taped, *([study.settled] if study.slides and short else [])]
        pictures = write_brief(
            states, _findings(study, units), folder, size, look, part(0.4, 0.85), ground=place, system=units, dpi=dpi,
            study=study,
        )
        files += pictures
        if wanted.sheet:
            files.append(write_sheet(
                folder / "sheet.pdf", study, pictures, ground=place, paper=paper, units=units, author=author,
                progress=part(0.85, 0.92),
            ))
    else:
        missing = {view: why for view, why in missing.items() if view in SHOWN}
    files += write_cards(
        folder, study.cuts, Words(units), width=min(size[0], CARD), slips=False,
        tried=frame.tried(study.inputs, Words(units), of=frame.OF_TAPES),
    )
    if wanted.sheet:
        tried = frame.tried(study.inputs, Words(units))
        files.append(write_ticks(folder / TICKS, study.cuts, Words(units), name=rig.name, tried=tried))
    if wanted.page:
        files.append(write_page(
            folder / "page.html", study, ground=place, units=units, progress=part(0.92, 0.98),
        ))
    if wanted.tables:
        files += write_tables(folder, study)
    if wanted.mesh:
        films = wanted.in_time or len(study.planned.layout.tapes) <= CROSSING_TAPES
        made = space(study, Words(units), ground=place, detail="whole", films=films)
        files += write_space(folder / "rig.glb", made)
    if wanted.ar:
        files += write_ar(folder, study, Words(units))
    tidied, listing = manifest.tidy(folder, files)
    files.append(listing)
    if notice is not None:
        for said in manifest.words(tidied):
            notice(said)
    if progress is not None:
        progress(1.0, "done")
    return files, tuple(f"{view}: {why}" for view, why in missing.items())


def study_for_page(scene: Rig | RigSource, progress: Progress | None = None) -> Study:
    """A study in which everything is computed that a page shows; a page alone asks for nothing that takes longer.

    Parameters
    ----------
    scene : RigSource or Rig
    progress : callable, optional
        Told the share done, 0 to 1, and what is being done.

    Raises
    ------
    InputError, SolveError
    """
    study = _study(scene, Wanted(), progress)
    study.run((*CREW, *PAGE))
    return study


def _place(out_dir: str | Path, rig: Rig, wanted: Wanted) -> Path:
    """The output folder, once nothing stands in the way of what will be written there."""
    folder = atomic.folder(out_dir)
    ground = None if rig.ground is None else rig.ground.path
    record = wanted.record and wanted.sheet
    written = {".pdf": wanted.sheet, ".html": wanted.page, ".csv": wanted.tables, ".glb": wanted.mesh or wanted.ar}
    if ground is not None and written.get(ground.suffix) and ground.exists() and ground.parent.samefile(folder):
        raise OutputError(
            "the ground's file lies in the output folder, where files of its kind are written", file=ground,
            allowed="another output folder",
        )
    for name, asked in (
        ("sheet.pdf", record), (ABOVE, wanted.record), (TICKS, wanted.sheet), ("page.html", wanted.page),
        ("rig.glb", wanted.mesh), ("rig.json", wanted.mesh),
        *((name, wanted.ar) for name in AR),
        *((name, wanted.workshop) for name in SHOWN.values()),
        *((name, wanted.sheet or not name.endswith(".pdf")) for name in names()),
    ):
        if asked:
            atomic.refuse_early(folder / name)
    atomic.refuse_early(folder / manifest.NAME)
    for picture in sorted(folder.glob("[0-9][0-9]-*.png")):
        atomic.refuse_early(picture)
    return folder


def _study(scene: Rig | RigSource, wanted: Wanted, progress: Progress | None) -> Study:
    """What is computed for a briefing: all that takes seconds, and of what takes longer what was asked for."""
    first = Study(scene)
    planned = first.planned
    short = len(planned.layout.tapes) <= CROSSING_TAPES
    usual = short and (wanted.workshop or wanted.record)
    crossings = first.slides and (usual if wanted.crossings is None else wanted.crossings)
    rub = wanted.rub or wanted.workshop
    leave = {"bands", "crossing_value", *(() if rub else ("wear", "compare", "touch_states"))}
    leave |= set() if crossings else {"crossing_low", "crossing_high"}
    return Study(scene, leave=leave, in_time=wanted.in_time, progress=progress, given={"planned": planned})


def _findings(study: Study, units: System) -> tuple[str, ...]:
    """What must be read with every picture."""
    ground = alarms(study, Words(units), leave=ELSEWHERE)
    always = (LoopsNote.NEGATIVE_SLACK, LoopsNote.NEGATIVE)
    excess = [
        note for note in study.excess.notes
        if note.kind in always and note.values["state"] in (Term("loops-state-slack"), Term("loops-state-standing"))
    ]
    return (*Words(units).notes(excess), *ground)
