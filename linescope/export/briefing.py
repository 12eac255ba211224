"""A whole briefing in one folder: pictures, sheet, page, and on demand tables and a mesh file."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from linescope import atomic, stage
from linescope.clearance import GroundIndex, find_clearance
from linescope.contact import find_rub, find_touches
from linescope.errors import InputError, OutputError
from linescope.export import manifest
from linescope.export.brief import left_out, write_brief
from linescope.export.mesh_file import write_gltf
from linescope.export.page_file import write_page
from linescope.export.picture_size import check_dpi, check_size
from linescope.export.sheet import Paper, check_paper, write_sheet
from linescope.export.tables import write_tables
from linescope.report.clearance import clearance_alarms
from linescope.rig import Rig, RigSource, checked_rig
from linescope.stage.evidence import Evidence, find_evidence
from linescope.stage.ground import site
from linescope.stage.theme import theme_named
from linescope.statics import plan
from linescope.statics.walked import walk
from linescope.terrain import load_ground
from linescope.units import System, checked_system

Progress = Callable[[float, str], None]

# Above so many tapes a crossing with friction takes longer than a briefing should, and must be asked for; and the
# settled state is shown among the friction states only.
CROSSING_TAPES = 60
FALLS = ("LEASH FALLS", "NO DISTANCE")  # Said on the sheet, the page and in pictures of falls, not in every picture.
RUB_STEPS = 9  # Steps in each bay when rub is drawn for a briefing.


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """What a briefing holds.

    Attributes
    ----------
    crossings : bool or None
        Friction states; None: where the line is short enough to be quick.
    rub : bool
        Rub along both lines, which takes its time.
    sheet, page : bool
        The PDF sheet, the HTML page.
    tables, mesh : bool
        CSV tables, a glTF file.
    """

    crossings: bool | None = None
    rub: bool = False
    sheet: bool = True
    page: bool = True
    tables: bool = False
    mesh: bool = False


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
        Of every picture.  [px]
    theme : {"light", "dark"}
    units : {"metric", "feet"}
    paper : {"A4", "Letter"}
    dpi : float, optional
        Noted in the pictures.  [1/inch]
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
    """

    def part(start: float, end: float) -> Progress:
        return lambda share, what: None if progress is None else progress(start + share * (end - start), what)

    scene, rig, units, look = rig, checked_rig(rig), checked_system(units), theme_named(theme)
    if not isinstance(wanted, Wanted):
        raise InputError("this does not say what is wanted", key="wanted", found=wanted, allowed="a Wanted")
    check_size(size)
    check_dpi(dpi)
    check_paper(paper)
    short = len(plan(rig).layout.tapes) <= CROSSING_TAPES  # Before a folder is made: a rig that cannot be laid out.
    folder = _place(out_dir, rig, wanted)
    terrain = None if rig.ground is None else load_ground(rig.ground, rig.main_a, rig.main_b)
    index = None if terrain is None else GroundIndex(terrain)
    if wanted.crossings is None:
        wanted = replace(wanted, crossings=short)
    evidence = _evidence(scene, index, wanted, part(0.0, 0.4))
    results = evidence.results
    assert results is not None
    place = None if terrain is None else site(terrain, rig)
    states = [results.taped, *([results.settled] if results.slides and short else [])]
    files = write_brief(
        states, _findings(evidence, units), folder, size, look, part(0.4, 0.85), ground=place, system=units, dpi=dpi,
        evidence=evidence,
    )
    pictures = list(files)
    walked = walk(results.planned) if wanted.sheet or wanted.page or wanted.tables else ()
    if wanted.sheet:
        files.append(write_sheet(
            folder / "sheet.pdf", results, pictures, evidence=evidence, ground=place, walked=walked, paper=paper,
            units=units, progress=part(0.85, 0.92),
        ))
    if wanted.page:
        files.append(write_page(
            folder / "page.html", results, evidence=evidence, ground=place, walked=walked, units=units,
            progress=part(0.92, 0.98),
        ))
    if wanted.tables:
        files += write_tables(
            folder, results, clearance=evidence.clearance, touching=evidence.touching, rub=evidence.rub, walked=walked
        )
    if wanted.mesh:
        files.append(write_gltf(folder / "rig.glb", results.taped, ground=place))
    tidied, listing = manifest.tidy(folder, files)
    files.append(listing)
    if notice is not None:
        for said in manifest.words(tidied):
            notice(said)
    missing = left_out(results.taped, evidence=evidence, ground=place)
    if progress is not None:
        progress(1.0, "done")
    return files, tuple(f"{view}: {why}" for view, why in missing.items())


def _place(out_dir: str | Path, rig: Rig, wanted: Wanted) -> Path:
    """The output folder, once nothing stands in the way of what will be written there."""
    folder = atomic.folder(out_dir)
    ground = None if rig.ground is None else rig.ground.path
    written = {".pdf": wanted.sheet, ".html": wanted.page, ".csv": wanted.tables, ".glb": wanted.mesh}
    if ground is not None and written.get(ground.suffix) and ground.exists() and ground.parent.samefile(folder):
        raise OutputError(
            "the ground's file lies in the output folder, where files of its kind are written", file=ground,
            allowed="another output folder",
        )
    for name, asked in (("sheet.pdf", wanted.sheet), ("page.html", wanted.page), ("rig.glb", wanted.mesh)):
        if asked:
            atomic.refuse_early(folder / name)
    atomic.refuse_early(folder / manifest.NAME)
    for picture in sorted(folder.glob("[0-9][0-9]-*.png")):
        atomic.refuse_early(picture)
    return folder


def _evidence(scene: Rig | RigSource, index: GroundIndex | None, wanted: Wanted, tell: Progress) -> Evidence:
    rig = checked_rig(scene)
    evidence = find_evidence(
        scene, index, crossings=bool(wanted.crossings), progress=lambda share, what: tell(0.6 * share, what)
    )
    results = evidence.results
    assert results is not None
    evidence = replace(evidence, touching=find_touches(results.taped))
    if index is not None:
        # All walker positions that `linescope clearance` tries: a crew gets one list of places.
        clearance = find_clearance(
            rig, planned=results.planned, terrain=index, progress=lambda share: tell(0.6 + 0.4 * share, "clearance")
        )
        evidence = replace(evidence, clearance=clearance)
    if wanted.rub and rig.walker is not None:
        evidence = replace(evidence, rub=find_rub(rig, most=RUB_STEPS, planned=results.planned, progress=tell))
    return evidence


def _findings(evidence: Evidence, units: System) -> tuple[str, ...]:
    """What must be read with every picture."""
    results = evidence.results
    if results is None:
        return ()
    ground = () if evidence.clearance is None else clearance_alarms(evidence.clearance, units)
    excess = tuple(note for note in results.excess.notes if "standing" in note or "slack" in note)
    return (*excess, *(said for said in ground if not said.startswith(FALLS)))
