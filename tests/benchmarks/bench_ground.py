"""From a rigger's files to the first clearance: a GPX file and an LZW tile of 2 x 2 km; a cloud of ten million points.

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


def rows() -> Iterator[Row]:
    """Every row of the table."""
    import sys

    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        tile, marks = large_tile(folder / "tile.tif"), relief.waypoints(folder / "anchors.gpx")
        site = folder / "site.glb"
        brought = run([sys.executable, *LINE, "ground", str(tile), "--anchors", str(marks), "-o", str(site)])
        looked = run(
            [sys.executable, *LINE, "clearance", str(scene(folder / "scene.toml", site)), "--json"], allowed=(0, 3)
        )
        seconds, memory = brought.seconds + looked.seconds, max(brought.memory, looked.memory)
        _, peer = called(whole_tile, str(tile))
        yield Row(
            what="GPX file and LZW tile of 2 x 2 km to the first clearance, two commands; peer reads and joins the "
            "whole tile", ours=Timing(np.array([seconds])), peer=Timing(np.array([peer.seconds])),
            ratio=peer.seconds / seconds, memory=memory, target=f"{FIRST:g} s and {FIRST_MEMORY:g} MB",
            met=seconds <= FIRST and memory <= FIRST_MEMORY,
        )
        cloud = relief.cloud(folder / "cloud.laz", CLOUD)
        ran = run([sys.executable, *LINE, "ground", str(cloud), "--anchors", str(marks), "-o", str(folder / "c.glb")])
        yield Row(
            what=f"classified LAZ of {CLOUD / 1e6:g} million points brought under the line",
            ours=Timing(np.array([ran.seconds])), memory=ran.memory,
            target=f"{CLOUD_SECONDS:g} s and {CLOUD_MEMORY:g} MB",
            met=ran.seconds <= CLOUD_SECONDS and ran.memory <= CLOUD_MEMORY,
        )
