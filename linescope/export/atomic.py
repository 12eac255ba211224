"""A file is written whole or not at all: temporary file beside the target, flushed, then renamed over it."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
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
    path = Path(path)
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(
            f"the output folder cannot be made ({error.strerror or error})", file=path, allowed=_WHEN_REFUSED
        ) from error
    return path


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
        When the operating system refuses (no such folder, no permission, disk full).
    """
    path = Path(path)
    draft = path.with_name(f".{path.stem}-{secrets.token_hex(4)}{path.suffix}")
    try:
        try:
            os.close(os.open(draft, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666))
            yield draft
            with draft.open("rb+") as handle:
                os.fsync(handle.fileno())
            os.replace(draft, path)
        except OSError as error:
            raise OutputError(
                f"the file cannot be written ({error.strerror or error})", file=path, allowed=_WHEN_REFUSED
            ) from error
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
