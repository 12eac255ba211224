"""A picture as a PNG file: what it is of stands in it as text, and how wide it is on paper."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from PIL import Image, PngImagePlugin

from linescope import atomic


def write_png(image: Image.Image, metadata: Mapping[str, str], path: str | Path, dpi: float | None = None) -> Path:
    """Write a picture, whole or not at all.

    Parameters
    ----------
    image : Image
    metadata : mapping of str to str
        Keywords and texts.
    path : str or Path
    dpi : float, optional
        Default makes it 297 mm (A4) wide.  [1/inch]

    Raises
    ------
    OutputError
        When the file cannot be written.
    """
    note = PngImagePlugin.PngInfo()
    for key, value in metadata.items():
        if value.isascii():
            note.add_text(key, value)
        else:
            note.add_itxt(key, value)
    resolution = dpi if dpi is not None else image.width / (297 / 25.4)
    with atomic.whole_file(path) as draft:
        image.save(draft, format="PNG", pnginfo=note, dpi=(resolution, resolution), compress_level=6)
    return Path(path)
