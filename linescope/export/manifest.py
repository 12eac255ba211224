"""The list of files that a briefing wrote, by which the next one in the same folder clears away what is out of date."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import Path

from linescope import stage
from linescope.atomic import write_text
from linescope.errors import OutputError
from linescope.export.crew import ABOVE, SHOWN, names
from linescope.export.true_size import NAMES as AR

NAME = "briefing.json"
_WRITER = "linescope brief"
_LARGEST = 1_000_000  # Bytes; such a list is far shorter.
_OTHERS = (*names(), ABOVE, *SHOWN.values(), "tape-card.pdf", "sheet.pdf", "page.html", "rig.glb", "rig.json", *AR)


@dataclass(frozen=True, kw_only=True)
class Tidied:
    """What became of an earlier briefing in the folder.

    Attributes
    ----------
    removed : tuple of str
        Files that it wrote, unchanged since, which this one did not write again.
    kept : tuple of str
        Files that look as if they belonged to it and may have been changed, or are on no list: left where they are.
    """

    removed: tuple[str, ...]
    kept: tuple[str, ...]


def tidy(folder: Path, files: Sequence[Path]) -> tuple[Tidied, Path]:
    """Remove what an earlier briefing wrote here and this one did not, and write the list of this one.

    Parameters
    ----------
    folder : Path
    files : sequence of Path
        All that this briefing wrote into it.

    Returns
    -------
    tidied : Tidied
    path : Path
        The list.

    Raises
    ------
    OutputError
        When the list cannot be written, or a file not removed.
    """
    fresh = {file.name for file in files} | {NAME}
    removed = []
    for name, digest in _listed(folder / NAME).items():
        path = folder / name
        if name not in fresh and path.is_file() and not path.is_symlink() and _digest(path) == digest:
            try:
                path.unlink()
            except OSError as error:
                raise OutputError(
                    f"a file of an earlier briefing cannot be removed ({error.strerror})", file=path,
                    allowed="another output folder",
                ) from error
            removed.append(name)
    kept = [path.name for path in sorted(folder.iterdir()) if path.name not in fresh and _looks_ours(path.name)]
    text = json.dumps(
        {"written_by": _WRITER, "files": {file.name: _digest(file) for file in files}}, indent=1, ensure_ascii=False
    )
    return Tidied(removed=tuple(sorted(removed)), kept=tuple(kept)), write_text(folder / NAME, text + "\n")


def words(tidied: Tidied) -> tuple[str, ...]:
    """What to tell the user: one sentence for what was removed, one for what was kept."""
    said = []
    if tidied.removed:
        said.append(f"removed, from an earlier briefing and out of date: {', '.join(tidied.removed)}")
    if tidied.kept:
        said.append(
            f"NOT OF THIS BRIEFING, left as they are (changed since, or written by an older version): "
            f"{', '.join(tidied.kept)}; do not print them with it"
        )
    return tuple(said)


def _listed(path: Path) -> dict[str, str]:
    """Names and digests of an earlier briefing's list; empty where there is none that is ours."""
    try:
        if path.stat().st_size > _LARGEST:
            return {}
        data = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    files = data.get("files") if isinstance(data, dict) and data.get("written_by") == _WRITER else None
    return {
        name: digest for name, digest in (files if isinstance(files, dict) else {}).items()
        if isinstance(digest, str) and name == Path(name).name and not name.startswith(".") and "\0" not in name
    }


def _digest(path: Path) -> str:
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _looks_ours(name: str, views: Collection[str] = tuple(stage.VIEWS)) -> bool:
    numbered = re.fullmatch(r"\d\d-(.+)\.png", name)
    return name in _OTHERS or (numbered is not None and any(numbered[1].startswith(view) for view in views))
