"""Makes `linescope/stage/data/people.npz`: clothed people in five poses, from bones given here by hand.

    python assets/people.py

A body is the smooth union of round cones about its bones, contoured and thinned.  Lengths are shares of the standing
height: x forwards, y to the left, z up, the soles of a standing body at zero.  Proportions are those of common drawing
practice (seven and a half heads), no person's.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pyvista

TO = Path(__file__).parents[1] / "linescope" / "stage" / "data" / "people.npz"
STEP, BLEND, KEEP, FAR = 0.007, 0.011, 2800, 520  # Of the grid, of the union, triangles of a body and of one from afar.
PARTS = ("skin", "hair", "shirt", "harness", "trousers", "shoes")
FLAT = 0.74  # Depth of the trunk over its width.


@dataclass
class Pose:
    """Joints; the right side is mirrored from the left where it is not given."""

    hips: tuple[float, float, float] = (0.0, 0.0, 0.515)
    lean: float = 0.02
    turn: float = 0.0
    knees: tuple = ()
    ankles: tuple = ()
    toes: tuple = ()
    elbows: tuple = ()
    hands: tuple = ()
    nod: float = 0.0
    chest: np.ndarray = field(init=False)

    def __post_init__(self):
        self.chest = np.array(self.hips) + [self.lean, 0.0, 0.235]


POSES = {
    # Both feet on the line, arms raised for balance, one ahead of the other so that the side view shows both.
    "standing": Pose(
        knees=((0.075, 0.030, 0.285), (-0.035, -0.030, 0.280)), ankles=((0.085, 0.012, 0.045), (-0.105, -0.012, 0.050)),
        toes=((0.195, 0.012, 0.018), (0.005, -0.012, 0.018)),
        elbows=((0.085, 0.185, 0.885), (-0.075, -0.185, 0.880)), hands=((0.165, 0.205, 1.035), (-0.185, -0.215, 1.015)),
    ),
    "walking": Pose(
        lean=0.03, knees=((0.115, 0.030, 0.290), (-0.045, -0.035, 0.275)),
        ankles=((0.130, 0.010, 0.045), (-0.175, -0.012, 0.085)), toes=((0.240, 0.010, 0.018), (-0.085, -0.012, 0.018)),
        elbows=((0.100, 0.190, 0.850), (-0.090, -0.195, 0.860)), hands=((0.205, 0.235, 0.975), (-0.215, -0.235, 0.985)),
    ),
    # Hips on the line at zero height: the body hangs its legs over both sides.
    "sitting": Pose(
        hips=(-0.01, 0.0, 0.075), lean=0.035, knees=((0.215, 0.085, 0.055), (0.200, -0.090, 0.050)),
        ankles=((0.225, 0.095, -0.185), (0.185, -0.100, -0.190)), toes=((0.320, 0.105, -0.220), (0.280, -0.110, -0.225)),
        elbows=((0.030, 0.150, 0.195), (0.010, -0.155, 0.195)), hands=((0.165, 0.060, 0.120), (0.150, -0.070, 0.118)),
    ),
    # Upright on the leash, which both hands hold over the head; knees a little bent.
    "hanging": Pose(
        lean=-0.035, knees=((0.085, 0.055, 0.300), (0.045, -0.055, 0.285)),
        ankles=((-0.015, 0.055, 0.075), (-0.045, -0.050, 0.055)), toes=((0.055, 0.060, 0.020), (0.020, -0.055, 0.000)),
        elbows=((0.105, 0.110, 0.890), (0.100, -0.105, 0.900)), hands=((0.078, 0.020, 1.020), (0.078, -0.018, 0.965)),
        nod=0.02,
    ),
    # On firm ground, one arm shading the eyes.
    "spotting": Pose(
        knees=((0.020, 0.070, 0.285), (0.000, -0.070, 0.285)), ankles=((0.000, 0.080, 0.045), (-0.020, -0.080, 0.045)),
        toes=((0.110, 0.100, 0.018), (0.090, -0.100, 0.018)),
        elbows=((0.130, 0.175, 0.800), (-0.020, -0.150, 0.640)), hands=((0.110, 0.055, 0.935), (0.050, -0.150, 0.515)),
        nod=-0.015,
    ),
}


def cone(points, a, b, r, s, flat=1.0):
    """Distance to a cone with round ends; `flat` squeezes it along x."""
    a, b = np.asarray(a, float), np.asarray(b, float)
    squeeze = np.array([flat, 1.0, 1.0])
    p, q = points / squeeze - a / squeeze, (b - a) / squeeze
    share = np.clip(p @ q / max(q @ q, 1e-12), 0.0, 1.0)
    return (np.linalg.norm(p - share[:, None] * q, axis=1) - (r + share * (s - r))) * min(1.0, flat)


def bones(pose: Pose):
    """(part, start, end, radii, flatness) of every bone."""
    hips, chest = np.array(pose.hips), pose.chest
    found = [
        ("harness", hips + [0, 0.042, -0.005], hips + [0, -0.042, -0.005], 0.062, 0.062, FLAT),
        ("shirt", hips + [0, 0, 0.06], chest - [0, 0, 0.07], 0.068, 0.080, FLAT),
        ("shirt", chest + [0, 0.048, 0.0], chest + [0, -0.048, 0.0], 0.070, 0.070, FLAT),
        ("shirt", chest + [0, 0.080, 0.052], chest + [0, -0.080, 0.052], 0.034, 0.034, 1.0),
    ]
    neck = chest + [0.006, 0.0, 0.075]
    head = neck + [0.018 + pose.nod, 0.0, 0.098]
    found += [
        ("skin", neck, head - [0.012, 0, 0.03], 0.030, 0.028, 1.0),
        ("skin", head + [0.004, 0, 0.010], head + [0.016, 0, -0.028], 0.058, 0.040, 1.0),
        ("hair", head + [-0.014, 0, 0.018], head + [-0.020, 0, -0.012], 0.060, 0.046, 1.0),
    ]
    for side, sign in ((0, 1.0), (1, -1.0)):
        hip, knee = hips + [0.0, 0.046 * sign, -0.03], np.array(pose.knees[side])
        ankle, toe = np.array(pose.ankles[side]), np.array(pose.toes[side])
        found += [
            ("trousers", hip, knee, 0.062, 0.041, 1.0), ("trousers", knee, ankle, 0.041, 0.027, 1.0),
            ("shoes", ankle - [0.022, 0, 0.016], toe, 0.026, 0.018, 1.0),
        ]
        shoulder, elbow = chest + [0.0, 0.098 * sign, 0.052], np.array(pose.elbows[side])
        hand = np.array(pose.hands[side])
        wrist = elbow + 0.82 * (hand - elbow)
        found += [
            ("shirt", shoulder, elbow, 0.034, 0.026, 1.0), ("skin", elbow, wrist, 0.025, 0.017, 1.0),
            ("skin", wrist, hand, 0.019, 0.017, 1.0),
        ]
    return found


def body(pose: Pose):
    """Corners, triangles and the part of each triangle, and both of the last again for bodies seen from afar."""
    parts = bones(pose)
    ends = np.array([end for _, a, b, *_ in parts for end in (a, b)])
    low, high = ends.min(axis=0) - 0.11, ends.max(axis=0) + 0.11
    count = np.ceil((high - low) / STEP).astype(int) + 1
    axes = [low[k] + STEP * np.arange(count[k]) for k in range(3)]
    mesh = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)
    field = sum(np.exp(-cone(mesh, a, b, r, s, flat) / BLEND) for _, a, b, r, s, flat in parts)
    grid = pyvista.ImageData(dimensions=tuple(count), spacing=(STEP,) * 3, origin=tuple(low))
    grid.point_data["d"] = (-BLEND * np.log(field)).reshape(count).ravel(order="F")
    skin = grid.contour([0.0], scalars="d").triangulate().smooth_taubin(n_iter=20)
    skin = skin.decimate(1.0 - KEEP / skin.n_cells).compute_normals(auto_orient_normals=True, split_vertices=False)
    points, faces = np.asarray(skin.points), skin.faces.reshape(-1, 4)[:, 1:]
    part = clothes(pose, parts, points, faces)
    # The same from afar: fewer triangles on some of the same corners.
    thin = skin.decimate(1.0 - FAR / skin.n_cells)
    corner = np.argmin(np.linalg.norm(points[:, None] - np.asarray(thin.points)[None], axis=2), axis=0)
    far = corner[thin.faces.reshape(-1, 4)[:, 1:]]
    far = far[(far[:, 0] != far[:, 1]) & (far[:, 1] != far[:, 2]) & (far[:, 2] != far[:, 0])]
    return points, faces, part, far, clothes(pose, parts, points, far)


def clothes(pose, parts, points, faces):
    """The part that each triangle belongs to."""
    middle = points[faces].mean(axis=1)
    near = np.array([cone(middle, a, b, r, s, flat) for _, a, b, r, s, flat in parts])
    part = np.array([PARTS.index(name) for name, *_ in parts])[np.argmin(near, axis=0)]
    hips = np.array(pose.hips)
    belt = np.abs((middle - hips) @ [0, 0, 1.0] - 0.035) < 0.026
    part[belt & (np.linalg.norm((middle - hips)[:, :2], axis=1) < 0.13) & (part <= PARTS.index("trousers")) &
         np.isin(part, [PARTS.index("shirt"), PARTS.index("trousers"), PARTS.index("harness")])] = PARTS.index("harness")
    return part


def main() -> None:
    """Write the file."""
    found = {}
    for name, pose in POSES.items():
        points, faces, part, far, far_part = body(pose)
        found[f"{name}.points"] = np.round(points * 4000).astype(np.int16)
        found[f"{name}.faces"] = faces.astype(np.uint16)
        found[f"{name}.part"] = part.astype(np.uint8)
        found[f"{name}.far"] = far.astype(np.uint16)
        found[f"{name}.far_part"] = far_part.astype(np.uint8)
        found[f"{name}.tie"] = np.round((np.array(pose.hips) + [0.058, 0.0, 0.045]) * 4000).astype(np.int16)
        print(name, len(points), len(faces))
    TO.parent.mkdir(exist_ok=True)
    np.savez_compressed(TO, **found)


if __name__ == "__main__":
    main()
