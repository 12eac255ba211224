"""Scene files that are no scene files: encodings, nesting, sizes, paths, things that are not files."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path

from tests.broken import scaffold
from tests.broken.case import Case

GOOD = scaffold.document(scaffold.scene_with(()))
COMMANDS = ("figures", "brief", "clearance", "film", "stage", "tapes", "compare")


def cases() -> Iterator[Case]:
    """All of them."""
    for name, content, words in contents():
        yield _case(name, lambda folder, content=content: (folder / "scene.toml").write_bytes(content), words=words)
    yield from _things()
    for command in COMMANDS:
        for name, words in (("nowhere.toml", ("no such file",)), ("", ("folder",)), ("no/such/folder.toml", ())):
            yield Case(
                kind="texts", name=f"{command} on {name or 'a folder'}", words=words, file=name,
                make=lambda folder, command=command, name=name: _elsewhere(folder, command, str(folder / name)),
            )


def contents() -> Iterator[tuple[str, bytes, tuple[str, ...]]]:
    """Name, bytes and words of the message."""
    good = GOOD.encode()
    named = GOOD.replace("My line", "Gr\u00fcn")
    yield "nothing at all", b"", ("title", "missing")
    yield "only blanks", b" \n\t\n", ("title", "missing")
    for code in ("utf-16", "utf-16-le", "utf-16-be", "utf-32", "utf-32-le"):
        yield code, GOOD.encode(code), ("UTF-8",)
    for code in ("latin-1", "cp1252", "cp850", "mac-roman"):
        yield f"{code} with an umlaut", named.encode(code), ("not UTF-8",)
    yield "shift-jis", GOOD.replace("My line", "\u7dda").encode("shift-jis"), ("not UTF-8",)
    yield "a surrogate", good.replace(b"My line", b"\xed\xa0\x80"), ("not UTF-8",)
    yield "overlong bytes", good.replace(b"My line", b"\xc0\xaf"), ("not UTF-8",)
    yield "cut inside a letter", named.encode()[: named.encode().index(b"\xc3") + 1], ("not UTF-8",)
    yield "two byte order marks", b"\xef\xbb\xbf\xef\xbb\xbf" + good, ("not TOML",)
    yield "a byte order mark inside", good.replace(b"\n", b"\n\xef\xbb\xbf", 1), ("not TOML",)
    yield "an escaped surrogate", good.replace(b"My line", rb"\ud800"), ("not TOML",)
    yield "an escape beyond Unicode", good.replace(b"My line", rb"\UFFFFFFFF"), ("not TOML",)
    yield "an unknown escape", good.replace(b"My line", rb"C:\home"), ("not TOML",)
    yield "a NUL in it", good.replace(b"\n", b"\n\0\n", 1), ("not TOML",)
    yield "a NUL in a text", good.replace(b"My line", b"My\0line"), ("not TOML",)
    yield "all NUL", b"\0" * 5000, ("not UTF-8",)
    yield "a bell in a comment", b"# \x07\n" + good, ("not TOML",)
    yield "old Macintosh line ends", good.replace(b"\n", b"\r"), ("not TOML",)
    yield "a picture", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", ("not UTF-8",)
    yield "a PDF", b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n", ()
    yield "a zip archive", b"PK\3\4\x14\0\0\0", ("not TOML",)
    yield "JSON", b'{"title": "x"}', ("not TOML",)
    yield "YAML", b"title: x\nanchors:\n  a: [0, 0, 0]\n", ("not TOML",)
    yield "INI", b"[main]\ntension = 5 kN\n", ("not TOML", "tension")
    yield "XML", b"<?xml version='1.0'?><scene/>", ("not TOML",)
    yield "prose", b"Die Leine ist 48 m lang.", ("not TOML",)
    yield "a shell script", b"#!/bin/sh\nrm -r x\n", ("not TOML",)
    for part in (0.1, 0.3, 0.5, 0.7, 0.9, 0.99):
        yield f"cut at {part:.0%}", good[: int(len(good) * part)].rstrip(b"\n]}"), ()
    yield "a text never closed", b'title = "x\n', ("not TOML", "title")
    yield "a long text never closed", b'title = """x\n', ("not TOML",)
    yield "a list never closed", b"title = [\n", ("not TOML",)
    yield "no value", b"title =\n", ("not TOML", "title")
    yield "no key", b'= "x"\n', ("not TOML",)
    yield "a table twice", b"[main]\n[main]\n", ("twice", "main")
    yield "a value then a table", b"main = 1\n[main]\n", ("twice", "main")
    yield "a table then a list of tables", b"[ties]\n[[ties]]\n", ("ties",)
    yield "a list then tables of it", b"joints = []\n[[joints]]\n", ("joints",)
    yield "the key of a zone twice", b'[[taping.zones]]\n[[taping.zones]]\nto = "1 m"\nto = "2 m"\n', (
        "taping.zones[2].to", "twice", "line 4"
    )
    yield "a dotted key into a value", b'title = "x"\ntitle.a = 1\n', ("title",)
    for opener, closer in (("[", "]"), ("{a=", "}")):
        for depth in (200, 2000, 100_000):
            text = "x = " + opener * depth + "1" + closer * depth
            yield f"{depth} levels of {opener}", text.encode(), ()
        yield f"{opener} without end", ("x = " + opener * 300_000).encode(), ("nested too deeply",)
    yield "a key of very many parts", ("x" + ".x" * 60_000 + " = 1\n").encode(), ("nested too deeply",)
    yield "a table of very many parts", ("[x" + ".x" * 60_000 + "]\n").encode(), ("nested too deeply",)
    yield "an inline key of very many parts", ("a = {x" + " . x" * 60_000 + " = 1}\n").encode(), ("nested too deeply",)
    yield "quoted parts", ('x = 1\n"x y"' + '."x y"' * 60_000 + " = 1\n").encode(), ("nested too deeply",)
    yield "40000 tables", b"".join(b"[t%d]\n" % i for i in range(40_000)), ("no such key",)
    yield "40000 keys", b"".join(b"k%d = 1\n" % i for i in range(40_000)), ("no such key",)
    yield "a very long key", b"k" * 200_000 + b" = 1\n", ("no such key",)
    yield "a very long word", b'format = "' + b"k" * 200_000 + b'"\n' + good, ("format",)
    yield "a number of 5000 digits", b"format = " + b"1" * 5000, ("not TOML",)
    yield "a huge exponent", b"format = 1e99999999\n", ("format",)
    yield "a date for a version", b"format = 2026-05-01T10:00:00Z\n" + good, ("format",)
    yield "a date that is none", b"format = 2026-02-31\n" + good, ("not TOML",)
    yield "too many bytes", b"#" * 5_000_001, ("too large",)
    yield "a list of a million", b"format = [" + b"1," * 1_000_000 + b"]\n" + good, ("format",)
    yield "a key of escapes", rb'"\u001b[31m" = 1' + b"\n" + good, ("no such key",)
    yield "a key with a newline", rb'"a\nb" = 1' + b"\n" + good, ("no such key",)
    yield "an empty key", b'"" = 1\n' + good, ("no such key",)
    yield "a key of another alphabet", '"t\u0456tle" = 1\n'.encode() + good, ("no such key",)
    yield "a key that runs backwards", '"\u202etitle" = 1\n'.encode() + good, ("no such key",)


def _case(
    name: str, make: Callable[[Path], object], *, file: str = "scene.toml", words: tuple[str, ...] = ()
) -> Case:
    def made(folder: Path) -> list[str]:
        make(folder)
        return ["figures", str(folder / file)]

    return Case(kind="texts", name=name, make=made, file=file, words=words)


def _things() -> Iterator[Case]:
    """What is at the path is no ordinary file, or the path plays tricks."""
    yield _case("a folder", lambda folder: (folder / "scene.toml").mkdir(), words=("folder",))
    yield _case("a FIFO", lambda folder: os.mkfifo(folder / "scene.toml"), words=("ordinary file",))
    yield _case("a link to itself", lambda folder: (folder / "scene.toml").symlink_to("scene.toml"))
    yield _case("a link to nothing", lambda folder: (folder / "scene.toml").symlink_to("gone.toml"))
    yield _case("a ring of links", _ring)
    yield _case("a link to a device", lambda folder: (folder / "scene.toml").symlink_to("/dev/zero"),
                words=("ordinary file",))
    yield _case("a link to a folder", lambda folder: (folder / "scene.toml").symlink_to("."), words=("folder",))
    for device in ("/dev/null", "/dev/zero", "/dev/full", "/proc/self/mem"):
        yield Case(kind="texts", name=device, make=lambda folder, device=device: ["figures", device], file=device)
    for name, path in (
        ("nothing", ""), ("a NUL", "a\0b.toml"), ("a very long name", "n" * 5000), ("a blank", " "), ("a dot", "."),
        ("a home that is not expanded", "~nobody/x.toml"), ("an address", "https://example.invalid/x.toml"),
        ("many steps up", "../" * 400 + "x.toml"), ("a dash", "-"),
    ):
        yield Case(
            kind="texts", name=f"a path of {name}", file=Path(path).name[:30] if path.isprintable() else "",
            make=lambda folder, path=path: _elsewhere(folder, "figures", path), words=() if path else ("scene",),
        )
    for name, shown in (
        ("a\nb.toml", r"a\nb.toml"), ("a\x1b[31mb.toml", r"a\x1b[31mb.toml"), ("a\udcffb.toml", r"a\udcffb.toml"),
        ("a\u202eb.toml", r"a\u202eb.toml"), ("a'b\".toml", "a'b\".toml"), ("\u7dda.toml", "\u7dda.toml"),
    ):
        yield Case(
            kind="texts", name=f"not there: {shown}", file=shown,
            make=lambda folder, name=name: ["figures", str(folder / name)],
        )
        yield Case(
            kind="texts", name=f"broken: {shown}", file=shown,
            make=lambda folder, name=name: _written(folder / name),
        )


def _elsewhere(folder: Path, command: str, path: str) -> list[str]:
    """The command with its output, if any, inside the folder."""
    out = {"brief": ["-o", str(folder / "out")], "film": ["-o", str(folder / "out.gif")], "stage": ["--no-browser"]}
    return [command, path, *out.get(command, [])]


def _written(path: Path) -> list[str]:
    path.write_bytes(b"title = \n")
    return ["figures", str(path)]


def _ring(folder: Path) -> None:
    (folder / "scene.toml").symlink_to("b.toml")
    (folder / "b.toml").symlink_to("scene.toml")
