"""Drawing without a screen: choose VTK's offscreen window, and find out safely whether it works.

Where the system has no GL driver, VTK's wheel does not raise: it crashes the process.  So the first picture
is tried in a child process, once.
"""

from __future__ import annotations

import functools
import os
import subprocess
import sys
from concurrent.futures import Future, ThreadPoolExecutor

from linescope.errors import SystemPackageError

PACKAGES = ("libegl1", "libgl1-mesa-dri", "libxrender1")
WINDOW = "vtkEGLRenderWindow"

_TRIAL = (
    "from vtkmodules.vtkRenderingCore import vtkRenderWindow as W, vtkRenderer as R\n"
    "import vtkmodules.vtkRenderingOpenGL2\n"
    "w = W(); w.SetOffScreenRendering(1); w.SetSize(8, 8); w.AddRenderer(R()); w.Render()\n"
    "assert w.GetRGBACharPixelData\n"
    "print('drawn', w.SupportsOpenGL())\n"
)


def choose_window() -> None:
    """Ask VTK for a window that needs no X server, on Linux; a choice made by the user is kept."""
    if sys.platform.startswith("linux"):
        os.environ.setdefault("VTK_DEFAULT_OPENGL_WINDOW", WINDOW)


@functools.cache
def begin() -> Future[subprocess.CompletedProcess[str]]:
    """Begin to draw an empty picture in a child process, once in this process's life; what comes of it says `probe`."""
    choose_window()
    one = ThreadPoolExecutor(max_workers=1)
    trial = one.submit(
        subprocess.run, [sys.executable, "-c", _TRIAL], capture_output=True, text=True, timeout=60, check=False
    )
    one.shutdown(wait=False)
    return trial


@functools.cache
def probe() -> None:
    """Have an empty picture drawn, by a child process that `begin` may have started long before.

    Raises
    ------
    SystemPackageError
        When it cannot be drawn; names the Debian packages that make it work.
    """
    try:
        child = begin().result()
    except (OSError, subprocess.TimeoutExpired) as error:
        raise SystemPackageError(f"pictures cannot be drawn: the trial did not run ({error}).") from error
    if child.returncode != 0 or "drawn 1" not in child.stdout:
        raise SystemPackageError(
            "pictures cannot be drawn: there is no working OpenGL driver on this system. On Debian and "
            f"Ubuntu, install: {' '.join(PACKAGES)}"
        )
