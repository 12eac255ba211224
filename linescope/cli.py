"""The command line: parse, call the same functions as the Python API, set the exit status (`linescope.console`)."""

from __future__ import annotations

import argparse
import contextlib
import json
import sys
from collections.abc import Callable, Collection, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import linescope
from linescope import console
from linescope.console import say
from linescope.errors import InputError, OutputError, SystemPackageError, printable, shortened
from linescope.preferences import PAPERS, START, UNITS, preferences_file, read_preferences

if TYPE_CHECKING:
    from linescope.notes import Note
    from linescope.rig import Rig
    from linescope.scene import Scene
    from linescope.study import Study
    from linescope.units import System

THEMES = ("light", "dark", "grey")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command.

    Parameters
    ----------
    arguments : sequence of str, optional
        Default: those of the process.

    Returns
    -------
    int
        The exit status.
    """

    def command() -> int:
        options = _parser().parse_args(arguments)
        _prefer(options)
        status: int = options.run(options)
        return status

    return console.run(command, as_process=arguments is None)


class _Parser(argparse.ArgumentParser):
    """One that shows what was typed without control characters, and not at any length."""

    def error(self, message: str) -> NoReturn:
        super().error(shortened(printable(message), 400))


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog="linescope",
        description="See a highline's pair of lines before rigging: loops, tensions, clearance, falls.",
        epilog="A plan, not a permission: measure on the real line; local codes and competent riggers come first.",
    )
    parser.add_argument("--version", action="version", version=f"linescope {linescope.__version__}")
    commands = parser.add_subparsers(metavar="COMMAND", required=True)

    def command(name: str, run: Callable[[argparse.Namespace], int], text: str) -> argparse.ArgumentParser:
        sub = commands.add_parser(name, help=text, description=text)
        sub.set_defaults(run=run)
        return sub

    def scene(name: str, run: Callable[[argparse.Namespace], int], text: str) -> argparse.ArgumentParser:
        sub = command(name, run, text)
        sub.add_argument("scene", metavar="SCENE", help="scene file (TOML)")
        return trying(sub)

    def trying(sub: argparse.ArgumentParser) -> argparse.ArgumentParser:
        sub.add_argument("--units", choices=UNITS, help="units shown to people (default: metric)")
        sub.add_argument(
            "--set", action="append", default=[], type=_pair, metavar='KEY="VALUE"',
            help='try a value in place of the file\'s, such as main.tension="6 kN"; may be given several times',
        )
        sub.add_argument("--variant", metavar="NAME", default="", help="try the values kept in the file under a name")
        return sub

    sub = scene("figures", _figures, "Print tensions, loops, excess, catches and bands.")
    sub.add_argument("--json", action="store_true", help="for programs: SI, full precision, documented keys")
    sub.add_argument("--full", action="store_true",
                     help="also the meter's readings, touch, sweeps along the line and crossings with friction")
    sub.add_argument("--every-bay", action="store_true", help="one row for every bay, also on long lines")
    sub.add_argument("--in-time", action="store_true", help="also what is expected of falls in time (a minute)")

    command("keys", _keys, "Explain the keys of `figures --json`.")

    sub = scene("brief", _brief, "Write the briefing: crew pictures (PNG), their two sheets (PDF), a page to turn.")
    sub.add_argument("-o", "--out", metavar="DIR", default="briefing", help="folder to write to (default: briefing)")
    sub.add_argument("--size", metavar="WxH", type=_size, default=(2000, 1414), help="pixels (default: 2000x1414)")
    sub.add_argument("--dpi", type=_within(float, 10, 2400), help="dots per inch noted in the files (10 to 2400)")
    sub.add_argument("--theme", choices=THEMES, default="light", help="for print, a projector, or grey print")
    sub.add_argument("--paper", choices=PAPERS, help="of the sheet (default: A4)")
    sub.add_argument("--workshop", action="store_true", help="also pictures of friction, touch, rub, wind and styles")
    sub.add_argument("--record", action="store_true", help="also every picture, one from above, and the sheet (PDF)")
    sub.add_argument("--pictures-only", action="store_true", help="neither PDF nor page (HTML)")
    sub.add_argument("--tables", action="store_true", help="also CSV tables in full figures")
    sub.add_argument("--mesh", action="store_true", help="also glTF for 3-D viewers, and a JSON of what it shows")
    sub.add_argument("--ar", action="store_true", help="also glTF and USDZ at true size, for a telephone's own viewer")
    sub.add_argument("--rub", action="store_true", help="also what a day rubs, and every tape style (takes longer)")
    sub.add_argument("--in-time", action="store_true", help="also what is expected of falls in time (a minute)")
    sub.add_argument("--in-draws", action="store_true", help="also how often distances are kept (takes longer)")
    sub.add_argument("--advise", action="store_true",
                     help="also the one change that would mend each place that is short (page; takes longer)")
    sub.add_argument(
        "--crossings", action=argparse.BooleanOptionalAction, default=None,
        help="friction states of a crossing (default: on lines of up to 60 tapes)",
    )

    sub = command(
        "ground", _bring, "Bring ground of any kind under a line: cropped, in metres at anchor A, as one small file.",
    )
    sub.add_argument("files", metavar="FILE", nargs="+", help="raster, laser cloud, mesh or points; several in one go")
    sub.add_argument(
        "--anchors", metavar="FILE", required=True,
        help="A and B: GPX waypoints, KML placemarks, or CSV (name,latitude,longitude,height or name,x,y,height)",
    )
    sub.add_argument("-o", "--out", metavar="SITE", default="site.glb", help="file to write (default: site.glb)")
    sub.add_argument("--crs", metavar="EPSG:N", help="coordinate system of files that do not say theirs")
    sub.add_argument("--unit", choices=("m", "ft", "us-ft"), help="unit of heights, where files do not say it")
    sub.add_argument("--up", choices=("z", "y"), help="axis of meshes that points up (default: y for glTF, else z)")
    sub.add_argument("--radius", metavar="LENGTH", help="how far to all sides of the line (default: by the span)")
    sub.add_argument("--max-edge", metavar="LENGTH", help="longest edge that joins points (default: 6 median edges)")
    sub.add_argument("--name", action="append", default=[], metavar="NAME", help="of each file, for findings; in order")
    sub.add_argument("--units", choices=UNITS, help="units shown to people (default: metric)")

    sub = scene("clearance", _clearance, "Smallest distances to the ground, everywhere and in every state, ranked.")
    sub.add_argument("--json", action="store_true", help="for programs: SI, full precision")
    sub.add_argument("--in-draws", action="store_true",
                     help="also in how many draws of all uncertain inputs they are kept (takes longer)")
    sub.add_argument("--map", metavar="FILE", help="write line, no-fall zones and worst places as .kml or .geojson")
    sub.add_argument("--profile", metavar="FILE.csv", help="write the ground below the line as CSV")

    sub = scene("film", _film, "A walker crossing, a fall, the loss of the main, bouncing or a gust, as MP4 or GIF.")
    sub.add_argument("-o", "--out", metavar="FILE", default="film.gif", help="ends in .gif or .mp4 (default: film.gif)")
    sub.add_argument(
        "--kind", choices=("crossing", "leash-fall", "main-gone", "bounce", "gust"), default="crossing",
        help="what happens",
    )
    sub.add_argument("--frames", type=_within(int, 2, 5000), default=100, help="how many (default: 100)")
    sub.add_argument("--fps", type=_within(float, 1, 60), default=12.0, help="frames a second (default: 12)")
    sub.add_argument("--size", metavar="WxH", type=_size, default=(1280, 720), help="pixels (default: 1280x720)")
    sub.add_argument("--theme", choices=THEMES, default="light", help="for print, a projector, or grey print")

    sub = scene("stage", _stage, "Open the rig as a page in the browser: change anything, see it at once.")
    sub.add_argument(
        "--port", type=_within(int, 0, 65535), default=0, help="on the loopback address (default: a free one)"
    )
    sub.add_argument("--no-browser", action="store_true", help="print the address, open nothing")
    sub.add_argument(
        "--share", metavar="ADDRESS",
        help="instead, a page to look at only, on this address of this machine: a QR code for the crew's telephones",
    )

    sub = scene("tapes", _tapes, "Cut list of the tapes, marks on both lines, sections and strips at 1:1.")
    sub.add_argument("--json", action="store_true", help="for programs: SI, full precision")
    sub.add_argument("--csv", metavar="FILE", help="write the cut list as CSV")
    sub.add_argument("--print", metavar="FILE.pdf", dest="pdf", help="write the plan for printing at 100 %%")
    sub.add_argument("--paper", choices=PAPERS, help="of the printed plan (default: A4)")
    sub.add_argument("--card", metavar="FILE.pdf", help="write the tape card: a box to tick for every tape")
    sub.add_argument("--cards", metavar="FOLDER", help="write cards for each kind of tape: its steps, and slips, PNG")
    sub.add_argument("--hand", choices=("right", "left"), default="right", help="pictures of steps for this hand")
    sub.add_argument(
        "--held", choices=("on top", "underneath"), default="on top",
        help="where the held line lies while taping, in pictures and steps (default: on top)",
    )
    sub.add_argument(
        "--depth", metavar="LENGTH", action="append", default=[],
        help='loops this deep under the walker, such as "40 cm": marks out; shorter bays in proportion; '
        'for one tape zone "2: 15 cm", several times',
    )
    sub.add_argument("--wished", action="store_true", help="loops as [[wishes]] of the scene ask for them")
    sub.add_argument(
        "--style", metavar="STYLE", action="append", default=[],
        help='tape in another style, such as "fixed wrap"; for one tape zone "2: main-held slider", several times',
    )
    sub.add_argument(
        "--keep", metavar="NAME",
        help="keep these styles, and one excess a zone that gives such loops, in the scene, as a variant",
    )
    sub.add_argument("--reversed", action="store_true", help="from anchor B")

    sub = scene("wear", _wear, "What a day rubs: which face, which place, which tape first, from what.")
    sub.add_argument("--json", action="store_true", help="for programs: SI, full precision")
    sub.add_argument("--crossings", type=_within(int, 0, 100_000), help="there and back each (default: the scene's)")
    sub.add_argument("--wind-hours", type=_within(float, 0, 10_000), help="of the scene's wind (default: the scene's)")
    sub.add_argument("--bounce-hours", type=_within(float, 0, 10_000), help="of bouncing (default: the scene's)")

    sub = scene("motion", _motion, "Falls, loss of the main and bouncing in time: what is expected, with its range.")
    sub.add_argument("--json", action="store_true", help="for programs: SI, full precision")
    sub.add_argument(
        "--losses-along", action="store_true",
        help="the loss of the main at all stated places, not only where the walker is (three times as long)",
    )
    sub.add_argument("--frames", metavar="FILE", help="also the frames of each run, as JSON for pages")

    sub = scene("compare", _compare, "Every tape style on this rig: loops, slip, rub, force, tape, and what follows.")
    sub.add_argument("--json", action="store_true", help="for programs: SI, full precision")
    sub.add_argument("--quick", action="store_true", help="one hold and coarser steps: rougher figures, sooner")

    sub = scene(
        "readings", _readings, "What was measured on the line: how it was built, what does not fit, what to read next.",
    )
    sub.add_argument("--json", action="store_true", help="for programs: SI, full precision")
    sub.add_argument(
        "--csv", metavar="FILE",
        help="further readings, a row each: what,value and any of error,end,number,weight,at,taken,note",
    )
    sub.add_argument(
        "--keep", metavar="NAME", nargs="?", const="as built", help="keep the line as built in the scene, as a variant"
    )

    sub = scene("advise", _advise, "What to change so that the line is as [[wishes]] and [clearance] ask: plans.")
    sub.add_argument("--json", action="store_true", help="for programs: SI, full precision")
    sub.add_argument(
        "--wish", action="append", default=[], metavar='"FIGURE >= VALUE"',
        help='one more wish, such as "loops under the walker <= 45 cm"; may be given several times',
    )
    sub.add_argument("--keep", metavar="PLAN", help="keep a plan in the scene file as a variant, by its letter")
    sub.add_argument("--name", metavar="NAME", help="of that variant (default: advised 1, advised 2, ...)")
    sub.add_argument("--plans", type=_within(int, 1, 4), default=4, help="how many at most (default: 4)")
    sub.add_argument(
        "--draws", type=_within(int, 0, 512), default=32,
        help="of hands and inputs, in which each plan is tried (default: 32)",
    )
    sub.add_argument("--unchecked", action="store_true", help="sooner: plans are not checked by the clearance")

    sub = scene("keep", _keep, "Keep the values that are tried in the scene file, under a name beside its own values.")
    sub.add_argument("name", metavar="NAME", nargs="?", help="of the variant; without it, list those that are kept")

    sub = command("teach", _teach, "Write a lesson for a workshop: to print, to play or as a film.")
    sub.add_argument("lesson", metavar="LESSON", nargs="?", help="which one; without it, list them")
    sub.add_argument("scene", metavar="SCENE", nargs="?", help="a rig of your own (default: the lesson's)")
    sub.add_argument(
        "-o", "--out", metavar="FILE",
        help="ends in .pdf or .png (to print), .html (to play offline), .mp4 or .gif (a film); default: LESSON.pdf",
    )
    sub.add_argument("--paper", choices=PAPERS, help="of a PDF (default: A4)")
    trying(sub)

    sub = command("start", _start, "Write a commented scene to begin from.")
    sub.add_argument("name", metavar="NAME", nargs="?", help="which one; without it, list them")
    sub.add_argument("-o", "--out", metavar="FILE", help="file to write (default: NAME.toml)")
    for line in ("main", "backup"):
        sub.add_argument(
            f"--{line}", metavar="WEBBING", default="",
            help=f"of the {line}: one of your own (see preferences), written out in the scene, or one of the library",
        )

    sub = command("demo", _demo, "Write the shipped scenes, all invented, and brief one of them.")
    sub.add_argument("name", metavar="NAME", nargs="?", default="larkspur_ledge", help="default: larkspur_ledge")
    sub.add_argument("-o", "--out", metavar="DIR", default="linescope-demo", help="default: linescope-demo")
    sub.add_argument("--units", choices=UNITS, help="units shown to people (default: metric)")

    command("preferences", _preferences, "Say where your file of units, paper, name and webbings is, and what it says.")

    sub = command("completion", _completion, "Print what makes a shell complete commands and options.")
    sub.add_argument("shell", choices=("bash", "zsh", "tcsh"), help="which shell")

    command("doctor", _doctor, "Say what this machine has of what linescope needs, and how to get the rest.")

    command("schema", _schema, "Print the JSON Schema of scene files, for editors.")
    return parser


def _prefer(options: argparse.Namespace) -> None:
    """What was not asked for is as the user prefers it."""
    missing = [name for name in ("units", "paper") if getattr(options, name, "") is None]
    if missing or options.run is _brief:
        preferred = read_preferences()
        for name in missing:
            setattr(options, name, getattr(preferred, name))
        options.club = preferred.club


def _size(text: str) -> tuple[int, int]:
    width, _, height = text.lower().partition("x")
    if not all(side.isascii() and side.isdigit() and len(side) <= 6 for side in (width, height)):
        raise argparse.ArgumentTypeError(f"not WIDTHxHEIGHT in pixels: {text!r}")
    return int(width), int(height)


def _pair(text: str) -> tuple[str, str]:
    """A key and the value tried for it."""
    key, sign, value = text.partition("=")
    if not (key.strip() and sign and value.strip()):
        raise argparse.ArgumentTypeError(f'not KEY="VALUE": {text!r}; such as main.tension="6 kN"')
    return key.strip(), value.strip()


def _within(kind: type[int] | type[float], low: int, high: int) -> Callable[[str], float]:
    """A reader of numbers from low to high."""

    def read(text: str) -> float:
        try:
            value = kind(text) if text.isascii() and len(text) <= 40 else None
        except ValueError:
            value = None
        if value is None or not low <= value <= high:
            name = "whole number" if kind is int else "number"
            raise argparse.ArgumentTypeError(f"not a {name} from {low} to {high}: {text!r}")
        return value

    return read


@contextlib.contextmanager
def _naming(scene: str) -> Iterator[None]:
    """Name the scene file in errors that come from what stands in it but were found later."""
    try:
        yield
    except InputError as error:
        if error.file is None:
            raise error.within(file=scene) from error
        raise


@contextlib.contextmanager
def _naming_option() -> Iterator[None]:
    """Name the option in errors that come from what was asked on the command line."""
    try:
        yield
    except OutputError:
        raise
    except InputError as error:
        key = f"--{error.key}"
        raise InputError(error.problem, key=key, found=error.found, allowed=error.allowed) from error


@contextlib.contextmanager
def _naming_depth() -> Iterator[None]:
    """Name `--depth` in errors that come from the loops it asks for."""
    try:
        yield
    except InputError as error:
        if error.key != "loop depth":
            raise
        raise InputError(error.problem, key="--depth", found=error.found, allowed=error.allowed) from error


def _inputs(scene: str, rig: Rig) -> list[str | Path]:
    """The files a command reads, none of which it may replace."""
    return [scene] if rig.ground is None or rig.ground.path is None else [scene, rig.ground.path]


def _load(options: argparse.Namespace) -> Scene:
    """The scene with what is tried, checked."""
    scene = _tried(options)
    _ = scene.rig
    return scene


def _tried(options: argparse.Namespace) -> Scene:
    """The scene with what is tried; its values need not be right."""
    from linescope.scene import Scene

    scene = Scene.read(options.scene, options.variant)
    if not options.set:
        return scene
    try:
        return scene.what_if(dict(options.set))
    except InputError as error:
        key = f"--set {error.key}"
        raise InputError(error.problem, key=key, found=error.found, allowed=error.allowed) from error


FIGURES = (
    "standing", "taped", "settled", "fall", "fall_places", "main_gone", "gone_places", "excess", "wind", "let_go",
    "fall_sweep", "running", "main_gone_sweep", "crossing_low", "crossing_value", "crossing_high", "bands",
)


IN_TIME = ("fall_in_time", "main_gone_in_time", "bounce_in_time", "gust_in_time")
# What figures leave to the commands that are about the ground.
OVER_GROUND = (
    "clearance", "first_clearance", "place_gaps", "fall_gaps", "drawn_needs", "mends", "rest_mends", "advice",
)  # fmt: skip


def _figures(options: argparse.Namespace) -> int:
    from linescope.report.figures import figures_json
    from linescope.report.people import figures_text
    from linescope.study import Study

    scene = _load(options)
    with _naming(options.scene):
        leave = {"compare", *OVER_GROUND, *(() if options.full else Study.SLOW | {"meter", "walked", "touch"})}
        leave -= set(IN_TIME) if options.in_time else set()
        said, known = _said_of_ground(scene.rig)
        leave |= set() if known else {"ground"}
        study = Study(scene, leave=leave, in_time=options.in_time, progress=console.progress(), given=known)
        study.run(
            name for name in (*FIGURES, *(IN_TIME if options.in_time else ()))
            if study.slides or not name.startswith("crossing")
        )
    if options.json:
        say(json.dumps(figures_json(study, said), indent=1, allow_nan=False))
    else:
        say(figures_text(study, options.units, every_bay=options.every_bay, ground=said))
    return 0


def _keys(options: argparse.Namespace) -> int:
    from linescope.report.keys import documentation

    say(documentation())
    return 0


def _ground(rig: Rig) -> Any:
    if rig.ground is None:
        return None
    from linescope.terrain import load_ground

    return load_ground(rig.ground, rig.main_a, rig.main_b)


HEIGHT_UNITS = {"m": 1.0, "ft": 0.3048, "us-ft": 1200.0 / 3937.0}


def _bring(options: argparse.Namespace) -> int:
    from linescope.atomic import refuse_early
    from linescope.report.site import site_text
    from linescope.terrain.anchors import read_anchors
    from linescope.terrain.bring import Bring, bring
    from linescope.terrain.formats import checked_file
    from linescope.terrain.site_file import write_site
    from linescope.units import to_si
    from linescope.words import Words

    def length(text: str | None, key: str) -> float | None:
        if text is None:
            return None
        value = to_si(text, "length")
        if not 0.1 <= value <= 20_000.0:
            raise InputError("no such length", key=key, found=text, allowed="10 cm to 20 km")
        return value

    out = Path(options.out)
    if out.suffix.lower() != ".glb":
        raise InputError("a site file ends in .glb", key="--out", found=options.out, allowed="such as gorge.glb")
    files = [checked_file(Path(name)) for name in options.files]
    anchors = checked_file(Path(options.anchors))
    refuse_early(out, (*files, anchors))
    wanted = Bring(
        crs=options.crs, unit=None if options.unit is None else HEIGHT_UNITS[options.unit], up=options.up,
        radius=length(options.radius, "--radius"), max_edge=length(options.max_edge, "--max-edge"),
    )
    site = bring(files, read_anchors(anchors), wanted, names=options.name, progress=console.progress())
    write_site(out, site)
    say(site_text(site, out, Words(options.units)))
    return 0


def _said_of_ground(rig: Rig) -> tuple[tuple[Note, ...], dict[str, Any]]:
    """Notes of the ground, and the ground as a result of a study where it can be used: figures can do without."""
    from linescope.notes import Severity, Verbatim
    from linescope.terrain.notes import GroundNote, ground_note

    try:
        terrain = _ground(rig)
    except InputError as error:
        return (ground_note(GroundNote.UNUSABLE, Severity.CHECK, error=Verbatim(str(error))),), {}
    return ((), {}) if terrain is None else (tuple(terrain.notes), {"ground": terrain})


def _brief(options: argparse.Namespace) -> int:
    from linescope.export.briefing import Wanted, write_briefing
    from linescope.export.picture_size import check_size

    with _naming_option():
        check_size(options.size)
    scene = _load(options)
    documents = not options.pictures_only
    wanted = Wanted(
        workshop=options.workshop, record=options.record, crossings=options.crossings, rub=options.rub,
        in_time=options.in_time, in_draws=options.in_draws, advise=options.advise, sheet=documents, page=documents,
        tables=options.tables, mesh=options.mesh, ar=options.ar,
    )
    with _naming(options.scene):
        files, missing = write_briefing(
            scene, options.out, wanted=wanted, size=options.size, theme=options.theme, units=options.units,
            paper=options.paper, dpi=options.dpi, author=options.club, progress=console.progress(),
            notice=console.complain,
        )
    for file in files:
        say(str(file))
    for reason in missing:
        console.complain(f"left out: {reason}")
    return 0


def _needed(study: Study, name: str, key: str, units: System) -> Any:
    """A result that a command is about; InputError where the scene has nothing to compute it from."""
    from linescope.words import Words

    study.run([name])
    found = study.get(name)
    if not found:
        raise InputError(Words(units).note(found.note).rstrip("."), key=key)
    return found


def _clearance(options: argparse.Namespace) -> int:
    from linescope.atomic import refuse_early
    from linescope.export.map_file import check_map, write_map, write_profile
    from linescope.rig import unlikely
    from linescope.study import Study
    from linescope.topics.clearance.text import clearance_json, clearance_text
    from linescope.words import Words, note_data

    scene = _load(options)
    inputs = _inputs(options.scene, scene.rig)
    with _naming(options.scene):
        if options.map is not None:
            check_map(options.map, scene.rig)
    for file in (options.map, options.profile):
        if file is not None:
            refuse_early(file, inputs)
    with _naming(options.scene):
        study = Study(scene, progress=console.progress())
        found = _needed(study, "clearance", "ground", options.units)
        if options.in_draws:
            study.run(["drawn_needs"])
        if options.map is not None:
            write_map(options.map, study, Words(options.units))
        if options.profile is not None:
            write_profile(options.profile, study)
    odd = unlikely(scene.rig)
    if options.json:
        words, data = Words("metric", "en"), clearance_json(study)
        data["notes"] = [*(note_data(note, words) for note in odd), *data["notes"]]
        say(json.dumps(data, indent=1, allow_nan=False))
    else:
        for text in Words(options.units).notes(odd):
            say(f"! {text}")
        say(clearance_text(study, Words(options.units)))
    return int(found.exit_status)


def _film(options: argparse.Namespace) -> int:
    from linescope.atomic import refuse_early
    from linescope.export.film import check, frames_said, write_film
    from linescope.words import Words

    with _naming_option():
        check(options.out, options.kind, options.frames, options.fps, options.size)
    scene = _load(options)
    rig = scene.rig
    refuse_early(options.out, _inputs(options.scene, rig))
    with _naming(options.scene):
        film = write_film(
            options.out, scene, options.kind, ground=_ground(rig), frames=options.frames, fps=options.fps,
            size=options.size, theme=options.theme, units=options.units, progress=console.progress(),
        )
    say(str(film))
    say(frames_said(film, options.frames, options.fps, Words(options.units)))
    return 0


def _share(options: argparse.Namespace) -> int:
    from linescope.app.share import CrewServer, code_text, share
    from linescope.notes import Verbatim
    from linescope.words import Words

    def ready(address: str) -> None:
        code = f"{code_text(address)}\n" if sys.stdout is not None and sys.stdout.isatty() else ""
        say(f"{code}{Words(options.units).say('share-ready', address=Verbatim(address))}")
        sys.stdout.flush()

    scene, server = _load(options), CrewServer(options.share, options.port)
    with _naming(options.scene):
        share(scene, server, units=options.units, progress=console.progress(), ready=ready)
    return 0


def _stage(options: argparse.Namespace) -> int:
    if options.share is not None:
        return _share(options)
    from linescope.app import serve

    def ready(address: str) -> None:
        say(f"The page is at {address} (this machine only). Stop with Ctrl-C.")
        sys.stdout.flush()

    serve(_tried(options), port=options.port, open_browser=not options.no_browser, ready=ready)
    return 0


def _depths(options: argparse.Namespace, rig: Rig) -> float | dict[int, float] | None:
    """Loop depths asked for: one, or some by the numbers of their tape zones.  [m]"""
    by_zone: dict[int, float] = {}
    plain = [text for text in options.depth if ":" not in text]
    if plain and len(options.depth) > 1:
        raise InputError(
            "one depth for all, or one a zone", key="--depth", found=", ".join(options.depth),
            allowed='"40 cm", or "1: 15 cm" and "2: 40 cm"',
        )
    if plain:
        return _depth(plain[0])
    for text in options.depth:
        number, _, depth = text.partition(":")
        zone = _zone(number, rig, by_zone, key="--depth", found=text)
        by_zone[zone] = _depth(depth.strip())
    if options.wished:
        from linescope.events.marks import depths_wished

        by_zone = depths_wished(rig) | by_zone
        if not by_zone:
            raise InputError(
                "no loops are wished for in this scene", key="--wished",
                allowed='[[wishes]] with figure = "loops under the walker", and a zone',
            )
    return by_zone or None


def _styles(options: argparse.Namespace, rig: Rig) -> dict[int, str]:
    """Styles asked for, by the numbers of their tape zones."""
    from linescope.taping import FAMILIES

    by_zone: dict[int, str] = {}
    for text in options.style:
        number, colon, style = text.rpartition(":")
        style = style.strip()
        if style not in FAMILIES:
            raise InputError("there is no such style", key="--style", found=text, allowed=", ".join(FAMILIES))
        if not colon and len(options.style) > 1:
            raise InputError(
                "one style for all, or one a zone", key="--style", found=", ".join(options.style),
                allowed='"fixed wrap", or "1: fixed wrap" and "2: main-held slider"',
            )
        every = range(1, len(rig.taping.zones) + 1)
        by_zone |= dict.fromkeys([_zone(number, rig, by_zone, key="--style", found=text)] if colon else every, style)
    return by_zone


def _zone(number: str, rig: Rig, taken: Collection[int], *, key: str, found: str) -> int:
    """A tape zone by its number from 1, none twice."""
    zone, zones = number.strip(), len(rig.taping.zones)
    if not (zone.isascii() and zone.isdigit() and len(zone) < 5 and 1 <= int(zone) <= zones):
        raise InputError("there is no such tape zone", key=key, found=found, allowed=f"1 to {zones}")
    if int(zone) in taken:
        raise InputError("this zone is asked for twice", key=key, found=found)
    return int(zone)


def _depth(text: str) -> float:
    from linescope.events.marks import DEEPEST, SHALLOWEST
    from linescope.units import to_si

    depth = to_si(text, "length", key="--depth")
    if not SHALLOWEST <= depth <= DEEPEST:
        allowed = f"{SHALLOWEST * 1e3:g} mm to {DEEPEST:g} m"
        raise InputError("no loops of that depth can be asked for", key="--depth", found=text, allowed=allowed)
    return depth


def _tapes(options: argparse.Namespace) -> int:
    from linescope.study import Study
    from linescope.topics.tapes.data import tape_json
    from linescope.topics.tapes.messages import Manner
    from linescope.topics.tapes.tables import length_words
    from linescope.topics.tapes.text import alarm, tape_text
    from linescope.words import Words, frame

    scene: Any = _load(options)
    depth, styles = _depths(options, scene.rig), _styles(options, scene.rig)
    if options.keep is not None and depth is None and not styles:
        raise InputError(
            "there are no loops to keep", key="--keep", found=options.keep, allowed="with --depth or --style"
        )
    file = scene
    if styles:
        from linescope.scene.built import style_keys

        scene = scene.what_if(style_keys(scene.rig, styles))
    rig, typed = scene.rig, scene  # What is marked as tried, whatever loops are asked for.
    given = (options.csv, options.pdf, options.card)
    files, words = [file for file in given if file is not None], Words(options.units)
    if files:
        from linescope.atomic import refuse_early

        for i, file in enumerate(files):
            refuse_early(file, [*_inputs(options.scene, rig), *files[:i]])
        places = [Path(file).absolute() for file in files]
        for i, file in enumerate(files):
            if places.index(places[i]) < i:
                raise OutputError("two outputs would go there", file=file, allowed="a file name for each")
    loops = ""
    if depth is not None:
        from linescope.events.marks import zone_excess
        from linescope.report.people import topic_text
        from linescope.topics.marks import TOPIC as MARKS

        wanted = Study(scene, depth=depth)
        with _naming(options.scene), _naming_depth():
            marks = wanted.marks
            if not marks:
                raise InputError("loops are wanted under a walker, and there is none", key="walker")
            loops = topic_text(MARKS, wanted, words, name=False)
            if options.keep is None:
                scene = marks.rig
            else:
                from linescope.scene.built import with_excess
                from linescope.topics.marks.text import kept_text

                kept = with_excess(scene, zone_excess(marks, depth)).keep(options.keep)
                loops = f"{loops}\n{kept_text(Study(kept), marks, words, options.keep)}"
                kept.save(file)
                scene = typed = kept
    with _naming(options.scene):
        cuts = Study(scene).cuts
    if options.keep is not None and depth is None:
        from linescope.topics.marks.text import kept_styles

        kept = scene.keep(options.keep)
        kept.save(file)
        scene = typed = kept
        loops = kept_styles(kept.rig, styles, words, options.keep)
    cuts = cuts.reversed() if options.reversed else cuts
    manner, tried = Manner(hand=options.hand, held=options.held), frame.tried(typed.inputs, words)
    if files:
        from linescope.export.tape_sheet import write_csv, write_pdf

        if options.csv is not None:
            say(str(write_csv(options.csv, cuts)))
        if options.pdf is not None:
            say(str(write_pdf(options.pdf, cuts, title=rig.name, words=words, paper=options.paper, manner=manner,
                              tried=tried)))
    if options.card is not None:
        from linescope.export.tape_cards import write_ticks

        say(str(write_ticks(options.card, cuts, words, name=rig.name, tried=tried)))
    if options.cards is not None:
        from linescope.export.tape_cards import write_cards

        for card in write_cards(
            options.cards, cuts, words, manner=manner, tried=frame.tried(typed.inputs, words, of=frame.OF_TAPES)
        ):
            say(str(card))
    if options.json:
        say(json.dumps(tape_json(cuts), indent=1, allow_nan=False))
        return 0
    if loops:
        say(loops)
    if files or options.cards is not None:
        say("\n".join([*alarm(tried), length_words(cuts, words)]))
    else:
        say(tape_text(cuts, rig.name, words, manner, tried=tried))
    return 0


def _topic(options: argparse.Namespace, study: Study, result: str, *topics: str) -> int:
    """Compute one result and print its topic, and others that belong to it."""
    from linescope.notes import Missing
    from linescope.report import grids
    from linescope.report.people import topic_text
    from linescope.topics import TOPICS
    from linescope.words import Words

    with _naming(options.scene):
        study.run([result])
    found = study.get(result)
    if isinstance(found, Missing):
        key = "readings" if result == "readings" else "walker"
        raise InputError(Words(options.units).note(found.note), file=options.scene, key=key)
    if options.json:
        say(json.dumps(grids.data([TOPICS[topic] for topic in topics], study, {}), indent=1, allow_nan=False))
    else:
        say("\n".join(topic_text(TOPICS[topic], study, Words(options.units)) for topic in topics))
    return 0


def _wear(options: argparse.Namespace) -> int:
    from linescope.study import Study

    asked = {
        "use.crossings": options.crossings,
        "use.wind": None if options.wind_hours is None else f"{options.wind_hours:g} h",
        "use.bounce": None if options.bounce_hours is None else f"{options.bounce_hours:g} h",
    }
    scene = _load(options).what_if({key: value for key, value in asked.items() if value is not None})
    return _topic(options, Study(scene, progress=console.progress()), "wear", "wear", "touch")


def _motion(options: argparse.Namespace) -> int:
    from linescope.study import Study

    study = Study(
        _load(options), leave=set(OVER_GROUND), in_time=True, losses_along=options.losses_along,
        progress=console.progress(),
    )
    if options.frames is not None:
        from linescope.atomic import refuse_early
        from linescope.export.frames_file import write_frames

        refuse_early(options.frames, _inputs(options.scene, study.rig))
    with _naming(options.scene):
        study.run(IN_TIME)
    status = _topic(options, study, "fall_in_time", "motion")
    if options.frames is not None:
        console.complain(str(write_frames(options.frames, study)))
    return status


def _compare(options: argparse.Namespace) -> int:
    from linescope.study import Study

    scene, tell = _load(options), console.progress()
    study = Study(scene, rub_levels=("value",), rub_steps=3, progress=tell) if options.quick else Study(
        scene, progress=tell)
    return _topic(options, study, "compare", "styles")


def _readings(options: argparse.Namespace) -> int:
    from dataclasses import replace

    from linescope.rig import Given
    from linescope.scene.built import kept_as_built
    from linescope.study import Study

    scene = _load(options)
    source: Any = scene
    if options.csv is not None:
        from linescope.scenefile.readings import readings_from_csv

        more = readings_from_csv(options.csv, scene.rig.span)
        found = replace(scene.inputs, readings=(*scene.inputs.readings, *more))
        source = Given(rig=scene.rig, inputs=found)
    study = Study(source, progress=console.progress())
    status = _topic(options, study, "readings", "readings")
    fitted = study.readings
    if options.keep is not None and fitted:
        kept_as_built(scene, fitted.rig, fitted.values, options.keep).save(scene)
        console.complain(f"{options.scene}: {options.keep}")
    return status


def _advise(options: argparse.Namespace) -> int:
    from linescope.advise import Ask
    from linescope.scenefile.wishes import wish_of
    from linescope.study import Study
    from linescope.topics.advise.text import advice_json, advice_text, handed_text
    from linescope.words import Words

    wishes = tuple(wish_of(text, "--wish") for text in options.wish)
    if options.name is not None and options.keep is None:
        raise InputError("a name is for a plan that is kept", key="--name", found=options.name, allowed="with --keep")
    scene = _load(options)
    ask = Ask(wishes=wishes, most=options.plans, draws=options.draws, check=not options.unchecked, system=options.units)
    study, words = Study(scene, advise=ask, progress=console.progress()), Words(options.units)
    study.on_plan = lambda option: console.complain(f"linescope: {handed_text(option, words)}")
    with _naming(options.scene):
        study.run(["advice"])
    found = study.advice
    assert found
    if options.json:
        say(json.dumps(advice_json(study), indent=1, allow_nan=False))
    else:
        say(advice_text(study, words, options.scene))
    if options.keep is not None:
        with _naming_option():
            plan = found.option(options.keep)
        name = options.name if options.name is not None else scene.free_name("advised")
        scene.what_if(plan.tried).keep(name).save(scene)
        console.complain(f"{options.scene}: {name}")
    return found.exit_status


def _keep(options: argparse.Namespace) -> int:
    scene = _tried(options)
    if options.name is None:
        for name, values in scene.variants.items():
            say(f"{name}: " + ", ".join(f'{key}="{value}"' for key, value in values.items()))
        return 0
    _ = scene.rig  # What does not load is not kept.
    scene.keep(options.name).save(scene)
    say(f"{options.scene}: {options.name}")
    return 0


def _teach(options: argparse.Namespace) -> int:
    from linescope.export.lesson import PAGES, PRINTED, SUFFIXES, write_lesson
    from linescope.lessons.plays import PLAYS, play
    from linescope.lessons.takes import POSITIONS
    from linescope.scenefile.shipped import lesson_file
    from linescope.stage.lessons import LESSONS
    from linescope.words import Words

    words = Words(options.units)
    if options.lesson is None:
        say("\n".join(f"{name}: {words.say(lesson.question)}" for name, lesson in LESSONS.items()))
        return 0
    file = lesson_file(options.lesson)
    options.scene = str(file) if options.scene is None else options.scene
    out = f"{options.lesson}.pdf" if options.out is None else options.out
    if Path(out).suffix.lower() not in SUFFIXES:
        raise OutputError("no lesson can be written to such a file", file=out, allowed=", ".join(SUFFIXES))
    rig = _load(options).rig
    from linescope.atomic import refuse_early

    refuse_early(out, _inputs(options.scene, rig))
    if Path(out).suffix.lower() not in PRINTED:
        from linescope.export.lesson_film import write_lesson_film
        from linescope.export.lesson_page import write_lesson_page

        page = Path(out).suffix.lower() in PAGES
        if options.lesson not in PLAYS:
            from linescope.export.lesson_wind_film import write_wind_film
            from linescope.export.lesson_wind_page import write_wind_page

            with _naming(options.scene):
                if page:
                    say(str(write_wind_page(out, rig, words)))
                else:
                    say(str(write_wind_film(out, rig, words, progress=console.progress())))
            return 0
        with _naming(options.scene):
            found = play(options.lesson, rig, console.progress(), positions=POSITIONS if page else 0)
        write = write_lesson_page if page else write_lesson_film
        say(str(write(out, found, words)))
        return 0
    with _naming(options.scene):
        drawing = LESSONS[options.lesson].draw(rig, words)
    say(str(write_lesson(out, drawing, paper=options.paper)))
    return 0


def _start(options: argparse.Namespace) -> int:
    from linescope.errors import SceneError
    from linescope.scenefile import start, starts

    if options.name is None:
        say("\n".join(starts()))
        return 0
    own = read_preferences().webbings if options.main or options.backup else {}
    try:
        path = start(
            options.name, f"{options.name}.toml" if options.out is None else options.out, main=options.main,
            backup=options.backup, own=own,
        )
    except SceneError as error:  # Of a webbing: the scene itself is ours.
        raise error.within(file=preferences_file()) from error
    say(str(path))
    return 0


def _demo(options: argparse.Namespace) -> int:
    from linescope.scenefile.shipped import write_shipped

    scene = str(write_shipped(options.out, options.name))
    say(scene)
    into = str(Path(options.out) / f"{options.name}-briefing")
    return int(_brief(_parser().parse_args(["brief", scene, "-o", into, "--units", options.units])))


def _preferences(options: argparse.Namespace) -> int:
    path = preferences_file()
    if path is None or not path.is_file():
        place = "no file of preferences is wanted here" if path is None else f"{path}: there is none"
        say(f"# {place}. It may say:\n\n{START}")
        return 0
    preferred = read_preferences()
    say(f"# {path}")
    for name in ("units", "paper", "club"):
        say(f"{name} = {json.dumps(getattr(preferred, name), ensure_ascii=False)}")
    for name in preferred.webbings:
        say(f"# your own webbing: {json.dumps(name, ensure_ascii=False)}")
    return 0


def _completion(options: argparse.Namespace) -> int:
    import shtab

    parser = _parser()
    for action in _file_arguments(parser):
        action.complete = shtab.FILE  # type: ignore[attr-defined]
    say(shtab.complete(parser, shell=options.shell))
    return 0


def _file_arguments(parser: argparse.ArgumentParser) -> Iterator[argparse.Action]:
    """The arguments of all commands that are files or folders."""
    kinds = ("SCENE", "FILE", "DIR", "SITE", "FOLDER")
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            for sub in action.choices.values():
                yield from _file_arguments(sub)
        elif isinstance(action.metavar, str) and action.metavar.split(".")[0] in kinds:
            yield action


def _doctor(options: argparse.Namespace) -> int:
    from linescope.app.doctor import doctor_text, examine, is_fit, system
    from linescope.words import Words

    found = examine()
    say(doctor_text(found, Words(), system()))
    return 0 if is_fit(found) else SystemPackageError.exit_status


def _schema(options: argparse.Namespace) -> int:
    from linescope.scenefile import schema

    say(json.dumps(schema(), indent=1))
    return 0
