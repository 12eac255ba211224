"""A real relief in every form that riggers get one: rasters of many kinds, a classified cloud, a textured mesh.

Source: the elevation model of the Jacksboro fault that matplotlib ships (SRTM, public domain), cells of 3 seconds,
interpolated ten times as fine and taken as 1 m apart, heights to the same scale.  The line across it is invented.
"""

from __future__ import annotations

import functools
from pathlib import Path

import matplotlib.cbook
import numpy as np
from scipy.ndimage import zoom

X0, Y0 = 500_000.0, 4_040_000.0  # Outer corner, UTM zone 16 N [m]: where it lies does not matter to its shape.
UTM = "EPSG:32616"
FINER, SCALE = 10, 10.0 / 77.0
A_AT, B_AT = (166.0, 60.0), (34.0, 110.0)
"""Columns and rows of the anchors in the tile. [m]"""


@functools.cache
def heights() -> np.ndarray:
    """(rows, columns) metres above the sea, 1 m apart, north up."""
    model = matplotlib.cbook.get_sample_data("jacksboro_fault_dem.npz")["elevation"][130:148, 188:211]
    return (SCALE * zoom(model.astype(np.float64), FINER, order=3)).astype(np.float32)


def anchors() -> np.ndarray:
    """(2, 3) easting, northing and height of A and B: 4 m above the ground there."""
    rows = []
    for column, row in (A_AT, B_AT):
        rows.append([X0 + column, Y0 - row, float(heights()[int(row), int(column)]) + 4.0])
    return np.array(rows)


def write_raster(path: Path, z: np.ndarray, transform, crs: str, **options) -> Path:
    import rasterio

    with rasterio.open(
        path, "w", driver="GTiff", height=z.shape[0], width=z.shape[1], count=1, dtype="float32", crs=crs,
        transform=transform, nodata=-9999.0, **options,
    ) as file:
        file.write(np.where(np.isnan(z), -9999.0, z).astype(np.float32), 1)
    return path


def tile(path: Path, z: np.ndarray | None = None, **options) -> Path:
    """In metres, as surveyed."""
    from rasterio.transform import from_origin

    return write_raster(path, heights() if z is None else z, from_origin(X0, Y0, 1.0, 1.0), UTM, **options)


def warped(path: Path, crs: str, cell: float, factor: float = 1.0, turn: float = 0.0, **options) -> Path:
    """In another system, interpolated there by cubic convolution; heights in units of `factor` metres."""
    from rasterio.crs import CRS
    from rasterio.transform import Affine, from_origin
    from rasterio.warp import Resampling, calculate_default_transform, reproject

    z = heights()
    source = from_origin(X0, Y0, 1.0, 1.0)
    bounds = (X0, Y0 - z.shape[0], X0 + z.shape[1], Y0)
    place, width, height = calculate_default_transform(UTM, crs, z.shape[1], z.shape[0], *bounds, resolution=cell)
    if turn:
        # Turned about its corner, and moved so far that it still covers the line.
        moved = Affine.translation(-0.35 * width, 0.2 * height), Affine.rotation(-turn)
        matrix = np.array(place).reshape(3, 3)
        for each in moved:
            matrix = matrix @ np.array(each).reshape(3, 3)
        place = Affine(*matrix.ravel()[:6])
        width, height = int(1.5 * width), int(1.5 * height)
    out = np.full((height, width), np.nan, dtype=np.float32)
    reproject(
        z, out, src_transform=source, src_crs=CRS.from_string(UTM), dst_transform=place, dst_crs=CRS.from_string(crs),
        dst_nodata=np.nan, resampling=Resampling.cubic,
    )
    return write_raster(path, out / factor, place, crs, **options)


def cloud(path: Path, count: int, seed: int = 0, trees: bool = True) -> Path:
    """Points at random places: ground, bushes of 4 m on it, a wire, noise high above and deep below."""
    import laspy
    from scipy.interpolate import RectBivariateSpline

    z, rng = heights().astype(np.float64), np.random.default_rng(seed)
    surface = RectBivariateSpline(np.arange(z.shape[0]) + 0.5, np.arange(z.shape[1]) + 0.5, z, kx=1, ky=1)
    header = laspy.LasHeader(point_format=6, version="1.4")
    header.scales, header.offsets = np.full(3, 0.001), np.array([X0, Y0, 0.0])
    import pyproj

    header.add_crs(pyproj.CRS(UTM))
    with laspy.open(path, mode="w", header=header) as file:
        for begin in range(0, count, 1_000_000):
            n = min(1_000_000, count - begin)
            row, column = rng.uniform(0.5, z.shape[0] - 0.5, n), rng.uniform(0.5, z.shape[1] - 0.5, n)
            high, kind = surface.ev(row, column), np.full(n, 2)
            if trees:
                chosen = rng.random(n)
                tree = (chosen < 0.2) & (np.hypot(column - 100.0, row - 85.0) < 12.0)
                noise = chosen > 0.999
                high = np.where(tree, high + rng.uniform(1.0, 4.0, n), high)
                high = np.where(noise, high + rng.choice([-90.0, 90.0], n), high)
                kind = np.where(tree, 5, np.where(noise, 7, kind))
            points = laspy.ScaleAwarePointRecord.zeros(n, header=header)
            points.x, points.y, points.z = X0 + column, Y0 - row, high
            points.classification = kind.astype(np.uint8)
            file.write_points(points)
    return path


def mesh(path: Path, z: np.ndarray | None = None, corner: tuple[float, float] = (0.0, 0.0)) -> Path:
    """A textured OBJ with its material and picture, in metres from the tile's corner; `corner` is its own there."""
    from PIL import Image

    z = (heights() if z is None else z).astype(np.float64)
    rows, columns = z.shape
    y, x = np.mgrid[0:rows, 0:columns] + 0.5
    x, y = x + corner[0], y - corner[1]
    i = (np.arange(rows - 1)[:, None] * columns + np.arange(columns - 1)).ravel() + 1
    faces = np.concatenate([np.stack([i, i + columns, i + 1], 1), np.stack([i + 1, i + columns, i + columns + 1], 1)])
    u, v = np.meshgrid(np.linspace(0, 1, columns), np.linspace(1, 0, rows))
    Image.fromarray((np.stack([u, v, 0 * u], 2) * 255).astype(np.uint8)[:: max(1, rows // 64), :: max(1, columns // 64)]
                    ).save(path.with_suffix(".png"))
    path.with_suffix(".mtl").write_text(f"newmtl rock\nmap_Kd {path.stem}.png\n")
    with path.open("w") as file:
        file.write(f"mtllib {path.stem}.mtl\nusemtl rock\n")
        np.savetxt(file, np.stack([x.ravel(), -y.ravel(), z.ravel()], 1), "v %.4f %.4f %.4f")
        np.savetxt(file, np.stack([u.ravel(), v.ravel()], 1), "vt %.6f %.6f")
        np.savetxt(file, np.repeat(faces, 2, axis=1), "f %d/%d %d/%d %d/%d")
    return path


def waypoints(path: Path) -> Path:
    """A and B as GPX."""
    import pyproj

    to = pyproj.Transformer.from_crs(UTM, 4326, always_xy=True)
    marks = []
    for name, (x, y, z) in zip("AB", anchors(), strict=True):
        lon, lat = to.transform(x, y)
        marks.append(f'<wpt lat="{lat:.10f}" lon="{lon:.10f}"><ele>{z:.4f}</ele><name>{name}</name></wpt>')
    path.write_text('<gpx xmlns="http://www.topografix.com/GPX/1/1" version="1.1">' + "".join(marks) + "</gpx>")
    return path
