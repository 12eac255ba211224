"""What a table of figures was measured on, and whether the machine did other work meanwhile."""

from __future__ import annotations

import datetime
import os
import platform
import resource
import time
from importlib.metadata import version
from pathlib import Path

PACKAGES = ("numpy", "scipy", "pyvista", "vtk", "trimesh", "MoorPy", "reportlab")


class Watch:
    """From its making on: time gone by, and the share of the cores that other work took."""

    def __init__(self) -> None:
        self.load = os.getloadavg()[0]
        self._begun = time.perf_counter()
        self._busy, self._own = _busy(), _own()

    @property
    def elapsed(self) -> float:
        """Seconds gone by."""
        return time.perf_counter() - self._begun

    def others(self) -> float:
        """Share of all cores that processes other than this one and its ended children took."""
        spent = (_busy() - self._busy) - (_own() - self._own)
        return max(spent, 0.0) / (self.elapsed * (os.cpu_count() or 1))

    def line(self) -> str:
        """One line of text for the head of the table."""
        memory = os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE") / 1e9
        packages = ", ".join(f"{name} {version(name)}" for name in PACKAGES)
        return (
            f"{datetime.date.today()}: {os.cpu_count()} cores ({_processor()}), {memory:.0f} GB, "
            f"Python {platform.python_version()}, {packages}. Load average at the start {self.load:.2f}; "
            f"other work took about {100.0 * self.others():.0f} % of the cores during the run of "
            f"{self.elapsed / 60.0:.1f} min."
        )


def _busy() -> float:
    """Seconds all cores together have worked since the machine started."""
    user, nice, system, _, _, irq, soft = Path("/proc/stat").read_text().split("\n")[0].split()[1:8]
    return sum(map(int, (user, nice, system, irq, soft))) / os.sysconf("SC_CLK_TCK")


def _own() -> float:
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(one.ru_utime + one.ru_stime for one in used)


def _processor() -> str:
    for line in Path("/proc/cpuinfo").read_text().split("\n"):
        if line.startswith("model name"):
            return line.partition(":")[2].strip()
    return platform.machine()
