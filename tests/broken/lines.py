"""Command lines that cannot be meant."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path

from tests.broken.case import Case
from tests.broken.texts import COMMANDS, GOOD

SCENE, OUT = "=scene=", "=out="  # Replaced by paths in the case's folder.
NONSENSE = ("", " ", "nan", "-1", "1e9", "0x10", "\u0663", "\udcff", "a\nb", "x" * 3000)
DEPTHS = (
    "", " ", "40", "40 kg", "40 kN", "nan m", "inf m", "-40 cm", "0 m", "1e300 m", "1e999 m", "0,4 m", "1/2 m", "forty",
    "40 cm 2", "40 centimetre s", "40 zorks", "9" * 200 + " m", "500 m", "101 m", "1e-9 m", "%", "40 %",
)


def cases() -> Iterator[Case]:
    """All of them."""
    yield from _parsing()
    yield from _numbers()
    yield from _outputs()


def line(*arguments: str, words: tuple[str, ...] = (), file: str = "", name: str = "",
         before: Callable[[Path], object] | None = None) -> Case:
    """A command line on a scene that is right."""

    def make(folder: Path) -> list[str]:
        (folder / "scene.toml").write_text(GOOD, encoding="utf-8")
        if before is not None:
            before(folder)
        return [
            each.replace(SCENE, str(folder / "scene.toml")).replace(OUT, str(folder)) for each in arguments
        ]

    shown = name or " ".join(repr(each[:40]) if not each.isalnum() else each for each in arguments)
    return Case(kind="lines", name=shown, make=make, words=words, file=file)


def _parsing() -> Iterator[Case]:
    yield line(words=("COMMAND",), name="nothing")
    yield line("dance", words=("dance", "figures"))
    yield line("", words=("figures",))
    yield line("--figures", words=("COMMAND",))
    yield line("figures figures")
    for command in COMMANDS:
        yield line(command, words=("SCENE",))
        yield line(command, SCENE, SCENE, words=("unrecognized",))
        yield line(command, SCENE, "--nonsense", words=("--nonsense",))
        yield line(command, SCENE, "-x", words=("-x",))
        yield line(command, SCENE, "--units", words=("--units",))
        for value in ("imperial", "", "Metric", "metric feet", "1", "\udcff"):
            yield line(command, SCENE, "--units", value, words=("--units", "'metric', 'feet'"))
    for command in ("keys", "schema"):
        yield line(command, SCENE, words=("unrecognized",))
        yield line(command, "--units", "feet", words=("--units",))
    for command, flags in (
        ("figures", ("--json=1", "--full=no", "--every-bay=x")), ("clearance", ("--json=1",)),
        ("compare", ("--quick=2", "--json=x")), ("wear", ("--json=1", "--crossings=x", "--wind-hours=-1")),
        ("stage", ("--no-browser=1",)), ("tapes", ("--reversed=1",)),
        ("brief", ("--rub=1", "--mesh=a.glb", "--tables=x", "--crossings=yes", "--pictures-only=1")),
    ):
        for flag in flags:
            yield line(command, SCENE, flag, words=(flag.split("=")[0],))
    for value in ("", "no_such", "heron gap", "../heron_gap", "/etc/passwd", "heron_gap.toml", "x\0", "*", "\udcff"):
        yield line("start", value, "-o", f"{OUT}/new.toml", words=("begin from",))
    yield line("start", "a", "b", words=("unrecognized",))


def _numbers() -> Iterator[Case]:
    film = ("film", SCENE, "-o", f"{OUT}/out.gif")
    brief = ("brief", SCENE, "-o", f"{OUT}/out")
    for value in (*NONSENSE, "1.5", "0", "1", "5001", "10**3", "-5"):
        yield line(*film, f"--frames={value}", words=("frames",))
    for value in (*NONSENSE, "0", "0.99", "60.01", "inf", "-12"):
        yield line(*film, f"--fps={value}", words=("fps",))
    for value in (
        *NONSENSE, "0x0", "1x1", "1280", "1280x", "x720", "1280x720x3", "1280*720", "-1280x720", "1281x720",
        "999999999x999999999", "720x1280", "1280.5x720", "\u00b2x\u00b2", "1280 x 720 px", "9" * 5000 + "x1",
    ):
        yield line(*film, f"--size={value}", words=("size",))
    for value in (*NONSENSE, "0x0", "100000x70000", "2000x", "2000x100", "100x2000", "infxinf"):
        yield line(*brief, f"--size={value}", words=("size",))
    for value in ("", "nan", "inf", "-inf", "-96", "0", "1e9", "1e-9", "many", "300dpi", "1e999"):
        yield line(*brief, f"--dpi={value}", words=("dpi",))
    for command in (film, brief):
        for value in ("", "blue", "Light"):
            yield line(*command, f"--theme={value}", words=("--theme", "'light', 'dark'"))
    for value in ("", "A3", "a4", "letter", "210x297"):
        yield line(*brief, f"--paper={value}", words=("--paper", "'A4', 'Letter'"))
        yield line("tapes", SCENE, f"--paper={value}", words=("--paper", "'A4', 'Letter'"))
    for value in ("", "fall", "Crossing", "main gone"):
        yield line(*film, f"--kind={value}", words=("--kind",))
    for value in (*NONSENSE, "65536", "99999", "1.5", "-8080", "http", "1e400"):
        yield line("stage", SCENE, "--no-browser", f"--port={value}", words=("port",))
    for value in (
        "", " ", "0.0.0.0", "::", "[::]", "224.0.0.1", "192.0.2.1", "1.2.3", "1.2.3.4.5", "127.0.0.1:80", "a b", "..",
        "http://127.0.0.1/", "127.0.0.1/8", "fe80::1%lo", "x" * 300, "x" * 253, "-", "é", "\udcff",
    ):
        yield line("stage", SCENE, f"--share={value}", words=("--share", "one address of this machine")
                   if value not in ("192.0.2.1", "x" * 253) else ("--share", "address of this machine"))
    for value in DEPTHS:
        yield line("tapes", SCENE, f"--depth={value}", words=("--depth",))


def _outputs() -> Iterator[Case]:
    """Places where nothing can be written; every command says so before it computes."""
    writers: tuple[tuple[tuple[str, ...], str], ...] = (
        (("film", SCENE, "-o"), ".gif"), (("film", SCENE, "--kind", "main-gone", "-o"), ".gif"),
        (("tapes", SCENE, "--csv"), ".csv"), (("tapes", SCENE, "--print"), ".pdf"),
        (("tapes", SCENE, "--card"), ".pdf"),
        (("teach", "pen-marks", SCENE, "-o"), ".pdf"),
        (("start", "level", "-o"), ".toml"),
    )
    for arguments, ending in writers:
        for name, path in (
            ("nothing", ""), ("the root", "/"), ("a dot", "."), ("two dots", ".."), ("a NUL", f"{OUT}/a\0b{ending}"),
            ("a folder that is missing", f"{OUT}/none/a{ending}"),
            ("a file for a folder", f"{OUT}/scene.toml/a{ending}"),
            ("a device", "/dev/full"), ("a device's folder", f"/proc/a{ending}"),
            ("a name too long", f"{OUT}/{'n' * 300}{ending}"),
            ("the scene itself", SCENE),
        ):
            yield line(*arguments, path, name=f"{' '.join(arguments[::2])} to {name}",
                file=path[:12] if path.isprintable()
                       and not path.startswith("=") else "")
        yield line(*arguments, f"{OUT}/a{ending}", file=f"a{ending}",
            name=f"{arguments[0]} {arguments[-1]} to a folder",
                   before=lambda folder, ending=ending: (folder / f"a{ending}").mkdir())
        yield line(*arguments, f"{OUT}/a{ending}", file=f"a{ending}", name=f"{arguments[0]} {arguments[-1]} to a FIFO",
                   before=lambda folder, ending=ending: os.mkfifo(folder / f"a{ending}"))
        yield line(*arguments, f"{OUT}/a{ending}", file=f"a{ending}",
                   name=f"{arguments[0]} {arguments[-1]} to a link to itself",
                   before=lambda folder, ending=ending: (folder / f"a{ending}").symlink_to(f"a{ending}"))
    for value in ("film", "film.avi", "film.mp4.txt", "film.", ".gif.", "film.png", "gif"):
        yield line("film", SCENE, "-o", f"{OUT}/{value}", file=value, words=(".gif",))
    brief = ("brief", SCENE, "-o")
    for name, path in (
        ("nothing", ""), ("a NUL", f"{OUT}/a\0b"), ("a file", SCENE), ("inside a file", f"{SCENE}/out"),
        ("a device", "/dev/full"), ("a place where nothing can be made", "/proc/out"),
        ("a name too long", f"{OUT}/{'n' * 300}"),
    ):
        yield line(*brief, path, name=f"brief to {name}")
    yield line(*brief, f"{OUT}/out", name="brief to a FIFO", before=lambda folder: os.mkfifo(folder / "out"),
        file="out")
    yield line(*brief, f"{OUT}/out", name="brief to a link to itself", file="out",
               before=lambda folder: (folder / "out").symlink_to("out"))
    for name in ("page.html", "crew.pdf", "tape-card.pdf", "crew-1-place.png"):
        yield line(*brief, f"{OUT}/out", name=f"brief where {name} is a folder", file=name,
                   before=lambda folder, name=name: (folder / "out" / name).mkdir(parents=True))
    yield line("tapes", SCENE, "--csv", f"{OUT}/a", "--print", f"{OUT}/a", name="two outputs at one place")
    yield line("start", "level", "-o", f"{OUT}/a.toml", file="a.toml", words=("not overwritten",),
               before=lambda folder: (folder / "a.toml").write_text("mine"), name="start over a file")
