"""A file is written whole or not at all: temporary file beside the target, flushed, then renamed over it."""

from __future__ import annotations

import os
import secrets
import stat
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from linescope.errors import OutputError

_WHEN_REFUSED = "a folder that exists, may be written to, and has room"


def folder(path: str | Path) -> Path:
    """The output folder `path`, made if it is missing.

    Raises
    ------
    OutputError
        When it cannot be made, or is a file.
    """
    path = named(path)
    try:
        path.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:
        raise OutputError(
            f"the output folder cannot be made ({_reason(error)})", file=path, allowed=_WHEN_REFUSED
        ) from error
    _try_out(path / ".linescope", path)
    return path


def named(path: str | Path) -> Path:
    """The path the user named for output.

    Raises
    ------
    OutputError
        When it is empty, no path, or has control characters: a terminal would obey them where the name is shown.
    """
    if not isinstance(path, str | os.PathLike) or not str(path):
        raise OutputError("an output needs a name", found=path, allowed="a path")
    if not str(path).isprintable():
        raise OutputError("the name has control characters", found=str(path), allowed="a name that can be printed")
    return Path(path)


def refuse_early(path: str | Path, inputs: Iterable[str | Path] = ()) -> Path:
    """Find out before anything is computed whether a file can be written, and leave nothing behind.

    Parameters
    ----------
    path : str or Path
        Where a file shall be.
    inputs : iterable of str or Path
        Files it is made from, which it may not replace.

    Returns
    -------
    Path
        The same path.

    Raises
    ------
    OutputError
        When it could not be: no such folder, no permission, a folder or a device at that place, an input.
    """
    path = named(path)
    target = _target(path)
    for given in inputs:
        if target.exists() and Path(given).exists() and target.samefile(given):
            raise OutputError("this is an input and is not overwritten", file=path, allowed="another file name")
    _try_out(target, path)
    return path


def _reason(error: Exception) -> str:
    """An operating system's refusal in a few words."""
    return str(getattr(error, "strerror", None) or error)


def _target(path: Path) -> Path:
    """The ordinary file to write: behind links, so that a link stays one; a device or pipe is never replaced."""
    try:
        target = Path(os.path.realpath(path))
        mode = target.lstat().st_mode
    except FileNotFoundError:
        mode = stat.S_IFREG
    except (OSError, ValueError) as error:
        raise _refused(path, error) from error
    if not target.name or stat.S_ISDIR(mode):
        raise OutputError("this is a folder, not a file", file=path, allowed="the name of a file")
    if not stat.S_ISREG(mode):
        raise OutputError(
            "this is neither a file nor free for one", file=path, allowed="an ordinary file, or a name that is free"
        )
    return target


def _draft_of(target: Path) -> Path:
    """A name beside the target that nothing else has."""
    return target.with_name(f".{target.stem[:100]}-{secrets.token_hex(4)}{target.suffix}")


def _try_out(target: Path, path: Path) -> None:
    """Make and remove an empty file beside the target, and ask whether the target's own name is allowed."""
    draft = _draft_of(target)
    try:
        os.close(os.open(draft, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666))
        draft.unlink()
        with suppress(FileNotFoundError):
            target.lstat()  # Refuses a name that is too long.
    except (OSError, ValueError) as error:
        raise _refused(path, error) from error
    finally:
        with suppress(OSError, ValueError):
            draft.unlink()


def _refused(path: Path, error: Exception) -> OutputError:
    return OutputError(f"the file cannot be written ({_reason(error)})", file=path, allowed=_WHEN_REFUSED)


@contextmanager
def whole_file(path: str | Path) -> Iterator[Path]:
    """Give a temporary path to write to; rename it to `path` at the end, remove it when anything goes wrong.

    The temporary file lies in the target's folder (a rename is atomic within one file system only),
    begins with a dot, and keeps the target's suffix, since many writers choose the format by it.

    Parameters
    ----------
    path : str or Path
        Where the finished file shall be.  An existing file stays untouched until the new one is complete.

    Yields
    ------
    Path
        An empty file with the permissions the user's umask gives.

    Raises
    ------
    OutputError
        When the operating system refuses (no such folder, no permission, disk full), or at that place stands a
        folder, a device or a pipe.
    """
    path = named(path)
    target = _target(path)
    draft = _draft_of(target)
    try:
        try:
            os.close(os.open(draft, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666))
            yield draft
            with draft.open("rb+") as handle:
                os.fsync(handle.fileno())
            os.replace(draft, target)
        except OSError as error:
            raise _refused(path, error) from error
    finally:
        with suppress(OSError):
            draft.unlink()


def write_bytes(path: str | Path, data: bytes) -> Path:
    """Write `data` to `path`, whole or not at all, and return the path."""
    with whole_file(path) as draft:
        draft.write_bytes(data)
    return Path(path)


def write_text(path: str | Path, text: str) -> Path:
    """Write `text` as UTF-8 with plain line ends to `path`, whole or not at all, and return the path."""
    return write_bytes(path, text.encode("utf-8"))
