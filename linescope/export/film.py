"""Short films for a briefing: a walker crossing, a fall, the main going, bouncing, a gust, as MP4 or GIF."""

from __future__ import annotations

import importlib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, Literal, get_args

from PIL import Image

from linescope.atomic import named, refuse_early, whole_file
from linescope.errors import InputError, OutputError
from linescope.events.friction import HoldLevel
from linescope.export import driver
from linescope.export.film_frames import frames as draw_frames
from linescope.export.film_motion import motion_reel
from linescope.export.film_shots import Reel, crossing_reel
from linescope.export.picture_size import pair_of_pixels
from linescope.notes import Quantity
from linescope.rig import Rig, RigSource, checked_rig, inputs_of
from linescope.stage.ground import Ground, Site, site
from linescope.stage.theme import Theme, theme_named
from linescope.statics import Plan
from linescope.units import System, checked_system
from linescope.words import Words

Kind = Literal["crossing", "leash-fall", "main-gone", "bounce", "gust"]
Progress = Callable[[float, str], None]

SUFFIXES = (".mp4", ".gif")
COLOURS = 96  # Of a GIF.


def write_film(
    path: str | Path,
    rig: Rig | RigSource,
    kind: Kind = "crossing",
    *,
    ground: Ground | Site | None = None,
    frames: int = 100,
    fps: float = 12.0,
    size: tuple[int, int] = (1280, 720),
    theme: str | Theme = "light",
    units: System = "metric",
    level: HoldLevel = "value",
    planned: Plan | None = None,
    progress: Progress | None = None,
) -> Path:
    """Write a film, whole or not at all.

    Parameters
    ----------
    path : str or Path
        Ends in .mp4 (needs the extra "film") or .gif.
    rig : RigSource or Rig
        A scene, or a rig.
        With a walker.
    kind : {"crossing", "leash-fall", "main-gone", "bounce", "gust"}
        All but a crossing from motion in time, where the scene puts the walker.
    ground : Ground or Site, optional
    frames : int
        2 to 5000.
    fps : float
        Frames a second, 1 to 60.  [1/s]
    size : (width, height)
        Even numbers.  [px]
    theme : str or Theme
    units : {"metric", "feet"}
    level : {"low", "value", "high"}
        Which end of the hold bands, for a crossing.
    planned : Plan, optional
        Of the same rig.
    progress : callable, optional
        Told the share done, 0 to 1, and what is being done.

    Raises
    ------
    InputError
        Unknown kind, no walker, or a number out of range.
    OutputError
        Unknown kind of file, a missing extra, or a file that cannot be written.
    SolveError
    SystemPackageError
        When this system cannot draw.
    """
    check(path, kind, frames, fps, size)
    known, rig, units = inputs_of(rig), checked_rig(rig), checked_system(units)
    path = refuse_early(path, [rig.ground.path] if rig.ground is not None and rig.ground.path is not None else [])
    look, measures = theme_named(theme), Words(system=units)
    if path.suffix.lower() == ".mp4":
        _encoder(path)
    driver.probe()
    tell = progress or (lambda share, what: None)
    place = ground if isinstance(ground, Site) or ground is None else site(ground, rig)
    near = None if place is None else place.near
    make: dict[str, Any] = {"frames": frames, "theme": look, "measures": measures, "ground": near, "planned": planned}
    make["progress"] = lambda share: tell(0.2 * share, "states")
    reel = crossing_reel(rig, level=level, **make) if kind == "crossing" else motion_reel(
        rig, kind, inputs=known, **make
    )
    pictures = draw_frames(reel, rig, theme=look, measures=measures, size=size, ground=place)
    told = _counted(pictures, reel, tell)
    with whole_file(path) as draft:
        if path.suffix.lower() == ".gif":
            _gif(draft, told, fps, look)
        else:
            _mp4(draft, path, told, frames, fps, size)
    tell(1.0, path.name)
    return path


def frames_said(path: Path, frames: int, fps: float, words: Words) -> str:
    """How many frames a film has, and how many of them its file holds."""
    time, stored = Quantity(frames / fps, "time"), frames
    if path.suffix.lower() == ".gif":
        with Image.open(path) as film:
            stored = int(getattr(film, "n_frames", 1))
    name = "film-frames" if stored == frames else "film-frames-stored"
    return words.say(name, frames=frames, time=time, stored=stored)


def check(path: str | Path, kind: str, frames: int, fps: float, size: tuple[int, int]) -> None:
    """Refuse what no film can be (InputError, OutputError), before anything is computed."""
    path = named(path)
    if kind not in get_args(Kind):
        raise InputError("there is no such film", key="kind", found=kind, allowed=", ".join(get_args(Kind)))
    if path.suffix.lower() not in SUFFIXES:
        raise OutputError(
            "no film can be written to such a file", file=path, found=path.suffix, allowed=", ".join(SUFFIXES)
        )
    if isinstance(frames, bool) or not isinstance(frames, int) or not 2 <= frames <= 5000:
        raise InputError("no such number of frames", key="frames", found=frames, allowed="2 to 5000")
    if isinstance(fps, bool) or not isinstance(fps, int | float) or not 1.0 <= fps <= 60.0:
        raise InputError("no such speed", key="fps", found=fps, allowed="1 to 60 frames a second")
    width, height = pair_of_pixels(size)
    if width % 2 or height % 2 or not (480 <= width <= 3840 and 270 <= height <= 2160 and 1.5 <= width / height <= 2.0):
        raise InputError(
            "this size of a film is out of range",
            key="size",
            found=f"{width} x {height}",
            allowed="even numbers, 480 x 270 to 3840 x 2160, width 1.5 to 2 times the height",
        )


def _counted(pictures: Iterator[Image.Image], reel: Reel, tell: Progress) -> Iterator[Image.Image]:
    for number, image in enumerate(pictures):
        yield image
        tell(0.2 + 0.78 * (number + 1) / len(reel.shots), "frames")


def _encoder(path: Path) -> Any:
    """The module that writes MP4.

    Raises
    ------
    OutputError
        When the extra is not installed.
    """
    try:
        return importlib.import_module("imageio_ffmpeg")
    except ImportError as error:
        raise OutputError(
            "MP4 needs the extra 'film', which is not installed",
            file=path,
            allowed="pip install 'linescope[film]' (in a copy of the source: pip install '.[film]'), or a file name "
            "that ends in .gif",
        ) from error


def _gif(draft: Path, pictures: Iterator[Image.Image], fps: float, theme: Theme) -> None:
    start = next(pictures)
    palette = palette_of(start, theme)
    first = start.quantize(palette=palette, dither=Image.Dither.NONE)
    rest = (image.quantize(palette=palette, dither=Image.Dither.NONE) for image in pictures)
    with draft.open("w+b") as stream:
        first.save(stream, format="GIF", save_all=True, append_images=rest, duration=round(1000 / fps), loop=0)


def palette_of(picture: Image.Image, theme: Theme) -> Image.Image:
    """A palette with every colour of the theme, and for the rest those that a picture has most of.

    Thin lines and small symbols are too few pixels to get a colour of their own otherwise: green would turn blue.
    """
    own = sorted({theme.rgb(role) for role in theme.colours})
    found = picture.quantize(COLOURS - len(own), method=Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE)
    flat = [level for colour in own for level in colour] + (found.getpalette() or [])[: 3 * (COLOURS - len(own))]
    made = Image.new("P", (1, 1))
    made.putpalette(flat)
    return made


def _mp4(
    draft: Path, path: Path, pictures: Iterator[Image.Image], frames: int, fps: float, size: tuple[int, int]
) -> None:
    encoder = _encoder(path)
    writer = encoder.write_frames(
        str(draft), size, fps=fps, codec="libx264", pix_fmt_out="yuv420p", quality=7, macro_block_size=2,
        ffmpeg_log_level="quiet",
    )  # fmt: skip
    writer.send(None)
    try:
        for image in pictures:
            writer.send(image.tobytes())
    finally:
        writer.close()
    # The encoder does not say when its last bytes found no room; a whole film has all its frames.
    try:
        found, _ = encoder.count_frames_and_secs(str(draft))
    except RuntimeError as error:
        raise OSError("the encoder left no whole film; is there room on the disk?") from error
    if found != frames:
        raise OSError(f"the film has {found} of {frames} frames")
