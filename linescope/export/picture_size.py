"""Which sizes of pictures, in pixels and dots per inch, can be drawn and read."""

from __future__ import annotations

from linescope.errors import InputError

DPI = (10, 2400)  # Dots per inch that a file may note.
SMALLEST, LARGEST = 300, 8000


def pair_of_pixels(size: object) -> tuple[int, int]:
    """Width and height, two whole numbers, or InputError."""
    if isinstance(size, tuple | list) and len(size) == 2:
        width, height = size
        if all(isinstance(side, int) and not isinstance(side, bool) for side in size):
            return width, height
    allowed = "two whole numbers of pixels"
    raise InputError("a picture has a width and a height", key="size", found=size, allowed=allowed)


def check_dpi(dpi: object) -> None:
    """Refuse what a picture's file cannot note as dots per inch (InputError)."""
    if dpi is None or (isinstance(dpi, int | float) and not isinstance(dpi, bool) and DPI[0] <= dpi <= DPI[1]):
        return
    raise InputError("no such dots per inch", key="dpi", found=dpi, allowed=f"{DPI[0]} to {DPI[1]}")


def check_size(size: tuple[int, int]) -> None:
    """Refuse picture sizes on which nothing can be read, or that no memory holds (InputError)."""
    width, height = pair_of_pixels(size)
    if not (SMALLEST <= width <= LARGEST and SMALLEST <= height <= LARGEST):
        raise InputError(
            "this picture size is out of range",
            key="size",
            found=f"{width} x {height}",
            allowed=f"{SMALLEST} to {LARGEST} px each way",
        )
    if not 1.2 <= width / height <= 2.0:
        raise InputError(
            "this picture shape is out of range",
            key="size",
            found=f"{width} x {height}",
            allowed="width between 1.2 and 2 times the height",
        )
