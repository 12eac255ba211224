"""From a rigger's files to the first clearance: a GPX file and an LZW tile of 2 x 2 km; a cloud of ten million points;
a textured mesh of two million triangles; and whether the same line is as far from all of them.

The relief is real (see `tests.terrain.relief`), the line across it invented.  Commands run in processes of their own,
whose peak memory is told.  Peer for the tile: rasterio reads it whole and scipy triangulates its points by Delaunay.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

import matplotlib.cbook
import numpy as np
from scipy.ndimage import zoom

from tests.benchmarks.children import called, run
from tests.benchmarks.timing import Row, Timing
from tests.terrain import relief

SCENES = Path(__file__).parents[2] / "scenes"
LINE = ("-m", "linescope")
SIDE, CLOUD, MESH = 2000, 10_000_000, 1001
INSIDE = (30 * relief.FINER, 28 * relief.FINER)
"""Row and column of the small tile's corner in the large one."""
FIRST, CLOUD_SECONDS, FIRST_MEMORY, CLOUD_MEMORY = 10.0, 30.0, 1000.0, 1500.0  # Targets: [s], [MB].


def large_heights() -> np.ndarray:
    """2 x 2 km at 1 m, with the relief of the tests where its line is: its corner at `INSIDE`."""
    model = matplotlib.cbook.get_sample_data("jacksboro_fault_dem.npz")["elevation"].astype(np.float64)
    z = (relief.SCALE * zoom(model[100:300, 160:360], relief.FINER, order=3)).astype(np.float32)[:SIDE, :SIDE]
    row, column = INSIDE
    small = relief.heights()
    z[row : row + small.shape[0], column : column + small.shape[1]] = small
    return z


def large_tile(path: Path) -> Path:
    """The same as an LZW tile."""
    from rasterio.transform import from_origin

    row, column = INSIDE
    place = from_origin(relief.X0 - column, relief.Y0 + row, 1.0, 1.0)
    return relief.write_raster(path, large_heights(), place, relief.UTM, compress="lzw", predictor=3, tiled=True)


def scene(path: Path, site: Path) -> Path:
    """Heron Gap's rig between the two waypoints."""
    import tomlkit

    from linescope.terrain.site_file import read_site

    text = tomlkit.parse((SCENES / "heron_gap.toml").read_text(encoding="utf-8"))
    a, b = read_site(site).anchors.tolist()
    text["anchors"] = {name: [f"{x!r} m" for x in end] for name, end in (("a", a), ("b", b))}
    text["ground"] = {"kind": "site", "file": site.name}
    path.write_text(tomlkit.dumps(text), encoding="utf-8")
    return path


def whole_tile(path: str) -> int:
    """The peer: every height of the tile, joined by Delaunay."""
    import rasterio
    from scipy.spatial import Delaunay

    with rasterio.open(path) as file:
        z = file.read(1)
    y, x = np.mgrid[0 : z.shape[0], 0 : z.shape[1]]
    return len(Delaunay(np.stack([x.ravel(), y.ravel()], axis=1).astype(np.float64)).simplices)


def local_anchors(path: Path) -> Path:
    """A and B in metres from the small tile's corner."""
    a, b = (relief.anchors() - np.array([relief.X0, relief.Y0, 0.0])).tolist()
    rows = [",".join([name, *(repr(value) for value in end)]) for name, end in (("A", a), ("B", b))]
    path.write_text("\n".join(["name,x,y,z", *rows, ""]))
    return path


def nearest(site: Path) -> float:
    """From a parabola 4 m deep between the anchors, its ends left out, to the ground of a site file. [m]"""
    from linescope.clearance import GroundIndex, minimum_along
    from linescope.terrain.model import together
    from linescope.terrain.site_file import read_site

    found = read_site(site)
    a, b = found.anchors
    t = np.linspace(0.1, 0.9, 65)[:, None]
    ground = together([piece for piece in found.pieces if piece.role == "ground"])
    return minimum_along(GroundIndex(ground), a + t * (b - a) - np.array([0.0, 0.0, 16.0]) * t * (1.0 - t)).distance


def rows() -> Iterator[Row]:
    """Every row of the table; seconds of the processor, since other work slows a clock on the wall."""
    import sys

    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        tile, marks = large_tile(folder / "tile.tif"), relief.waypoints(folder / "anchors.gpx")
        site = folder / "site.glb"
        brought = run([sys.executable, *LINE, "ground", str(tile), "--anchors", str(marks), "-o", str(site)])
        first = [sys.executable, *LINE, "clearance", str(scene(folder / "scene.toml", site)), "--json"]
        run(first, allowed=(0, 3))  # Loops are compiled once and kept.
        looked = run(first, allowed=(0, 3))
        busy, memory = brought.busy + looked.busy, max(brought.memory, looked.memory)
        _, peer = called(whole_tile, str(tile))
        yield Row(
            what="GPX file and LZW tile of 2 x 2 km to the first clearance, two commands (processor); peer reads and "
            f"joins the whole tile, {peer.memory:.0f} MB", ours=Timing(np.array([busy])),
            peer=Timing(np.array([peer.busy])), ratio=peer.busy / busy, memory=memory,
            target=f"{FIRST:g} s and {FIRST_MEMORY:g} MB", met=busy <= FIRST and memory <= FIRST_MEMORY,
        )
        want = nearest(site)
        cloud, row, column = relief.cloud(folder / "cloud.laz", CLOUD), *INSIDE
        whole = large_heights()[100 : 100 + MESH, 100 : 100 + MESH]
        scan = relief.mesh(folder / "scan.obj", whole, corner=(100.0 - column, row - 100.0))
        for what, file, ends, seconds, most, error in (
            (f"classified LAZ of {CLOUD / 1e6:g} million points", cloud, marks, CLOUD_SECONDS, CLOUD_MEMORY, 0.05),
            (f"textured OBJ of {2e-6 * (MESH - 1) ** 2:g} million triangles", scan,
             local_anchors(folder / "anchors.csv"), FIRST, FIRST_MEMORY, 0.05),
        ):
            out = folder / "out.glb"
            ran = run([sys.executable, *LINE, "ground", str(file), "--anchors", str(ends), "-o", str(out)])
            gap = abs(nearest(out) - want)
            yield Row(
                what=f"{what} brought under the line (processor); the line's distance differs from the tile's by "
                f"{1e3 * gap:.1f} mm", ours=Timing(np.array([ran.busy])), memory=ran.memory,
                target=f"{seconds:g} s, {most:g} MB, within {1e3 * error:g} mm",
                met=ran.busy <= seconds and ran.memory <= most and gap <= error,
            )
