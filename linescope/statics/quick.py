"""The pair in compiled code, for walks of thousands of steps that are next to nothing each.

The equations are those of `catenary`, `segments`, `pair`, `buffers` and `steps`, written piece by piece instead of with
arrays of all pieces: a Newton step of a hundred tapes takes a fifth of a millisecond instead of five.  A load may pull
any way; `lay`, `carry` and `at_tapes`, for walks, take it to pull down.  The searches over these are `held_loops` and
`slide_loops`.

A piece is a row of a table, a node four unknowns (place, and the material coordinate of the line that slides).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from linescope.compiled import compiled
from linescope.statics.buffers import STIFFNESS as BUFFER
from linescope.statics.catenary import Segments2D
from linescope.statics.pair import Pair
from linescope.statics.segments import Segments
from linescope.webbing import StretchCurve

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Columns of a piece: forces, length, load, stretch law, run and rise, direction across the load, height of its second
# end along "up" ...
H, V, LENGTH, LOAD, A, C, OFFSET, X, Z, AX, AY, AZ, TOP = range(13)
# ... and its second derivatives: by its ends, and by its length.
KXX, KXZ, KZZ, SIDE, H_LENGTH, V_LENGTH, BY_LENGTH, POTENTIAL = range(13, 21)
# What does not change in a search: whether the line slides through the tape at either end, the end's material
# coordinate where it does not, the length below which sliding tapes push on each other, and "up", against the load.
BEFORE_SLIDES, AFTER_SLIDES, BEFORE_AT, AFTER_AT, LEAST, UX, UY, UZ = range(21, 29)
COLUMNS = 29
BEFORE, AFTER, BACKUP = range(3)  # Of a join: node at either end (-1: anchor), and 1 for pieces of the backup.
SLIDES = 3  # Of a point: its pull, and 1 where it has a material coordinate to solve for.
# Of a curve: knot, coefficients of elongation and of its integral, least compliance, last knot.
KNOT, STRAIN, AREA, FLOOR, LAST, CURVE = 0, 1, 5, 10, 11, 12
SORTING, LETTING = 16, 8  # As in `steps`.
GUARD_FROM, MOST_INNER = 4, 80  # As in `catenary`.
TOGETHER = 3  # Newton steps that are taken for all pieces at once.


def curves_of(*stretches: StretchCurve) -> Floats:
    """Stretch curves as cubics between their points, as `law` takes them; offsets apart, see `lengthened`.

    Returns
    -------
    (lines, m, CURVE) array
        [N, 1/N ...]
    """
    tables = []
    for stretch in stretches:
        if stretch._linear_compliance is not None:
            c = float(stretch.strain[-1] / stretch.tension[-1])
            table = np.array([[0.0, 0.0, 0.0, c, 0.0, 0.0, 0.0, 0.5 * c, 0.0, 0.0, 0.0, stretch.tension[-1]]])
        else:
            knots, steps = stretch.tension, len(stretch.tension) - 1
            table = np.column_stack((
                knots[:-1], stretch._cubic, np.full(steps, stretch._floor), np.full(steps, knots[-1]),
            ))
        tables.append(table)
    result = np.zeros((len(tables), max(map(len, tables)), CURVE))
    result[:, :, KNOT] = np.inf
    for line, table in enumerate(tables):
        result[line, : len(table)] = table
    return result


def lengthened(curves: Floats, offset: Floats) -> Floats:
    """Curves with more elongation at every tension.

    Parameters
    ----------
    curves : (..., m, CURVE) array
        See `curves_of`.  [SI]
    offset : (...) array
        [-]
    """
    if not offset.any():
        return curves
    more = curves.copy()
    knot = np.where(np.isfinite(curves[..., KNOT]), curves[..., KNOT], 0.0)
    more[..., STRAIN + 3] += offset[..., None]
    more[..., AREA + 3] += offset[..., None]
    more[..., AREA + 4] += offset[..., None] * knot
    return more


@compiled
def inside_of(tension: float, curves: Floats, line: int) -> tuple[int, float]:
    """Which cubic of a curve a tension lies in, and the tension held to the curve's end.  [N]"""
    inside = min(tension, curves[line, 0, LAST])
    i = 0
    while i < curves.shape[1] - 1 and inside > curves[line, i + 1, KNOT]:
        i += 1
    return i, inside


@compiled
def stretch_at(tension: float, curves: Floats, line: int) -> tuple[float, float]:
    """Elongation and compliance [1/N] at a tension [N]."""
    i, inside = inside_of(tension, curves, line)
    d = inside - curves[line, i, KNOT]
    s0, s1, s2 = curves[line, i, STRAIN], curves[line, i, STRAIN + 1], curves[line, i, STRAIN + 2]
    value = ((s0 * d + s1) * d + s2) * d + curves[line, i, STRAIN + 3]
    slope = max((3.0 * s0 * d + 2.0 * s1) * d + s2, curves[line, i, FLOOR])
    return value + slope * (tension - inside), slope


@compiled
def law(tension: float, curves: Floats, line: int) -> tuple[float, float, float]:
    """Elongation, compliance [1/N] and complementary energy [N] at a tension [N]; see `StretchCurve.at`."""
    value, slope = stretch_at(tension, curves, line)
    i, inside = inside_of(tension, curves, line)
    d, beyond, under = inside - curves[line, i, KNOT], tension - inside, 0.0
    for power in range(AREA, AREA + 5):
        under = under * d + curves[line, i, power]
    return value, slope, under + beyond * (value - 0.5 * slope * beyond)


@compiled
def flexibility(h: float, v: float, length: float, q: float, a: float, c: float) -> tuple[float, ...]:
    """Run, rise [m] and their derivatives by the forces [m/N]; see `catenary.flexibility`."""
    load = q * length
    vb = v + load
    ta, tb = math.sqrt(h * h + v * v), math.sqrt(h * h + vb * vb)
    total, product = ta + tb, ta * tb
    h2 = h * h
    below = (h2 / (ta - v) if v < 0.0 else ta + v) + (h2 / (tb + vb) if vb > 0.0 else tb - vb)
    run, rest = math.log1p(2.0 * load / below) / q, below / total
    tanh = load / total
    mean_v = 0.5 * (v + vb)
    turn = 2.0 * tanh / (rest * (1.0 + tanh)) * h2 / (product * q)
    return (
        h * (a * run + c * length), length * mean_v * (2.0 * a / total + c), a * (run - turn) + c * length,
        -2.0 * a * h * length * mean_v / (total * product), a * turn + c * length,
    )


@compiled
def solve_piece(pieces: Floats, k: int, curves: Floats, line: int) -> bool:
    """Forces of one piece from its run, rise, length and load, beginning at those it has.

    Leaves the derivatives of its forces by run and rise as well, as of the last step, which is next to nothing.  False
    where Newton does not converge; see `catenary.solve_forces`.
    """
    h, v, length, q, x, z = pieces[k, H], pieces[k, V], pieces[k, LENGTH], pieces[k, LOAD], pieces[k, X], pieces[k, Z]
    load = q * length
    round_off, least = 1e-15 * (x + abs(z) + length), 1e-14 * load
    tension = math.sqrt(h * h + (v + 0.5 * load) * (v + 0.5 * load))
    dh = dv = before = xh = xv = zv = 0.0
    done = False
    for count in range(MOST_INNER):
        strain, c = stretch_at(tension, curves, line)
        xs, zs, xh, xv, zv = flexibility(h, v, length, q, 1.0 + strain - c * tension, c)
        rx, rz = xs - x, zs - z
        if count > GUARD_FROM and rx * dh + rz * dv > -0.9 * before:
            h, v = h - 0.5 * dh, v - 0.5 * dv
            dh, dv, before = 0.5 * dh, 0.5 * dv, 0.5 * before
            tension = math.sqrt(h * h + (v + 0.5 * load) * (v + 0.5 * load))
            strain, c = stretch_at(tension, curves, line)
            xs, zs, xh, xv, zv = flexibility(h, v, length, q, 1.0 + strain - c * tension, c)
            rx, rz = xs - x, zs - z
        det = max(xh * zv - xv * xv, 1e-16 * xh * zv)
        dh, dv = (xv * rz - zv * rx) / det, (xv * rx - xh * rz) / det
        if dh < -0.8 * h:
            shrink = 0.8 * h / max(-dh, 1e-200)
            dh, dv = dh * shrink, dv * shrink
        h, v = max(h + dh, least), v + dv
        tension = math.sqrt(h * h + (v + 0.5 * load) * (v + 0.5 * load))
        step = abs(dh) + abs(dv)
        if not (step > 1e-7 * h and abs(rx) + abs(rz) > round_off):
            done = True
            break
        if count >= GUARD_FROM:
            before = -np.inf if step < 1e-7 * tension else rx * dh + rz * dv
    pieces[k, H], pieces[k, V] = h, v
    det = xh * zv - xv * xv
    pieces[k, KXX], pieces[k, KXZ], pieces[k, KZZ] = zv / det, -xv / det, xh / det
    return done


@compiled
def lengths_of(joins: Ints, nodes: Floats, pieces: Floats, out: Floats) -> None:
    """Unstretched length of every piece for given nodes (n, 4), into `out` (k,).  [m]"""
    for k in range(len(joins)):
        after = nodes[joins[k, AFTER], 3] if pieces[k, AFTER_SLIDES] > 0.0 else pieces[k, AFTER_AT]
        before = nodes[joins[k, BEFORE], 3] if pieces[k, BEFORE_SLIDES] > 0.0 else pieces[k, BEFORE_AT]
        out[k] = after - before


@compiled
def place_ends(joins: Ints, anchors: Floats, nodes: Floats, pieces: Floats) -> bool:
    """Run, rise, length and direction of every piece for given nodes (n, 4); False where a piece has no length."""
    for k in range(len(joins)):
        line = joins[k, BACKUP]
        i, j = joins[k, BEFORE], joins[k, AFTER]
        x0, y0, z0 = (nodes[i, 0], nodes[i, 1], nodes[i, 2]) if i >= 0 else (
            anchors[2 * line, 0], anchors[2 * line, 1], anchors[2 * line, 2])
        x1, y1, z1 = (nodes[j, 0], nodes[j, 1], nodes[j, 2]) if j >= 0 else (
            anchors[2 * line + 1, 0], anchors[2 * line + 1, 1], anchors[2 * line + 1, 2])
        after = nodes[j, 3] if pieces[k, AFTER_SLIDES] > 0.0 else pieces[k, AFTER_AT]
        before = nodes[i, 3] if pieces[k, BEFORE_SLIDES] > 0.0 else pieces[k, BEFORE_AT]
        pieces[k, LENGTH] = after - before
        ux, uy, uz = pieces[k, UX], pieces[k, UY], pieces[k, UZ]
        dx, dy, dz = x1 - x0, y1 - y0, z1 - z0
        rise = ux * dx + uy * dy + uz * dz
        dx, dy, dz = dx - rise * ux, dy - rise * uy, dz - rise * uz
        run = math.sqrt(dx * dx + dy * dy + dz * dz)
        if not pieces[k, LENGTH] > 0.0 or run < 1e-7 * pieces[k, LENGTH]:
            return False
        pieces[k, X], pieces[k, Z], pieces[k, TOP] = run, rise, ux * x1 + uy * y1 + uz * z1
        pieces[k, AX], pieces[k, AY], pieces[k, AZ] = dx / run, dy / run, dz / run
    return True


@compiled
def evaluate(joins: Ints, anchors: Floats, curves: Floats, nodes: Floats, pieces: Floats) -> bool:
    """Solve every piece for given nodes (n, 4), beginning at the forces that `pieces` (k, COLUMNS) has.

    The first Newton steps of `solve_piece` are taken for all pieces at once, cut into short loops: what one piece
    waits for (roots, quotients, a logarithm) then overlaps with what others do.  Those left go to `solve_piece`.
    """
    if not place_ends(joins, anchors, nodes, pieces):
        return False
    count = len(pieces)
    todo, left = np.arange(count), count
    logs, t0, t1, bottom, a, c = (
        np.empty(count), np.empty(count), np.empty(count), np.empty(count), np.empty(count), np.empty(count))
    for _ in range(TOGETHER):
        for m in range(left):
            k = todo[m]
            h, v, load = pieces[k, H], pieces[k, V], pieces[k, LOAD] * pieces[k, LENGTH]
            vb, h2 = v + load, h * h
            ta, tb = math.sqrt(h2 + v * v), math.sqrt(h2 + vb * vb)
            below = (h2 / (ta - v) if v < 0.0 else ta + v) + (h2 / (tb + vb) if vb > 0.0 else tb - vb)
            t0[m], t1[m], bottom[m], logs[m] = ta, tb, below, 2.0 * load / below
        for m in range(left):
            k = todo[m]
            mean_v = pieces[k, V] + 0.5 * pieces[k, LOAD] * pieces[k, LENGTH]
            tension = math.sqrt(pieces[k, H] * pieces[k, H] + mean_v * mean_v)
            strain, c[m] = stretch_at(tension, curves, joins[k, BACKUP])
            a[m] = 1.0 + strain - c[m] * tension
        for m in range(left):
            logs[m] = math.log1p(logs[m])
        more = 0
        for m in range(left):
            k = todo[m]
            h, v, q, length, x, z = (
                pieces[k, H], pieces[k, V], pieces[k, LOAD], pieces[k, LENGTH], pieces[k, X], pieces[k, Z])
            load = q * length
            run, total, product, mean_v = logs[m] / q, t0[m] + t1[m], t0[m] * t1[m], v + 0.5 * load
            tanh = load / total
            turn = 2.0 * tanh / (bottom[m] / total * (1.0 + tanh)) * h * h / (product * q)
            xh, zv = a[m] * (run - turn) + c[m] * length, a[m] * turn + c[m] * length
            xv = -2.0 * a[m] * h * length * mean_v / (total * product)
            rx, rz = h * (a[m] * run + c[m] * length) - x, length * mean_v * (2.0 * a[m] / total + c[m]) - z
            det = xh * zv - xv * xv
            pieces[k, KXX], pieces[k, KXZ], pieces[k, KZZ] = zv / det, -xv / det, xh / det
            det = max(det, 1e-16 * xh * zv)
            dh, dv = (xv * rz - zv * rx) / det, (xv * rx - xh * rz) / det
            if dh < -0.8 * h:
                shrink = 0.8 * h / max(-dh, 1e-200)
                dh, dv = dh * shrink, dv * shrink
            h = max(h + dh, 1e-14 * load)
            pieces[k, H], pieces[k, V] = h, v + dv
            if abs(dh) + abs(dv) > 1e-7 * h and abs(rx) + abs(rz) > 1e-15 * (x + abs(z) + length):
                todo[more] = k
                more += 1
        left = more
        if left == 0:
            break
    for m in range(left):
        if not solve_piece(pieces, todo[m], curves, joins[todo[m], BACKUP]):
            return False
    for k in range(count):
        take_law(pieces, k, curves, joins[k, BACKUP])
    return True


@compiled
def take_law(pieces: Floats, k: int, curves: Floats, line: int) -> None:
    """The stretch law of a piece at its mean tension, into its row."""
    mean_v = pieces[k, V] + 0.5 * pieces[k, LOAD] * pieces[k, LENGTH]
    tension = math.sqrt(pieces[k, H] * pieces[k, H] + mean_v * mean_v)
    strain, c, area = law(tension, curves, line)
    a = 1.0 + strain - c * tension
    pieces[k, A], pieces[k, C] = a, c
    pieces[k, OFFSET] = tension + area - a * tension - 0.5 * c * tension * tension


@compiled
def derive(pieces: Floats) -> None:
    """Second derivatives of every solved piece by its length and sideways, into its row; see `segments.stiffness`."""
    for k in range(len(pieces)):
        h, v, length = pieces[k, H], pieces[k, V], pieces[k, LENGTH]
        q, a, c = pieces[k, LOAD], pieces[k, A], pieces[k, C]
        kxx, kxz, kzz = pieces[k, KXX], pieces[k, KXZ], pieces[k, KZZ]
        v_end = v + q * length
        t_end = math.sqrt(h * h + v_end * v_end)
        ratio = a + c * t_end
        grow_x, grow_z = ratio * h / t_end, ratio * v_end / t_end
        dh, dv = -(kxx * grow_x + kxz * grow_z), -(kxz * grow_x + kzz * grow_z)
        pieces[k, SIDE] = h / pieces[k, X]
        pieces[k, H_LENGTH], pieces[k, V_LENGTH] = dh, dv
        pieces[k, BY_LENGTH] = -ratio * (h * dh + v_end * (dv + q)) / t_end
        least = pieces[k, LEAST]
        if length < least:
            u = min((least - length) / least, 1.0 - 1e-12)
            pieces[k, BY_LENGTH] += BUFFER / (1.0 - u) ** 2


@compiled
def derive_by_length(pieces: Floats) -> None:
    """First derivative of the energy by the length of every solved piece, into its row; what `gradient` takes."""
    for k in range(len(pieces)):
        h, length, q = pieces[k, H], pieces[k, LENGTH], pieces[k, LOAD]
        v_end = pieces[k, V] + q * length
        t_end = math.sqrt(h * h + v_end * v_end)
        by = pieces[k, OFFSET] + t_end * (pieces[k, A] + 0.5 * pieces[k, C] * t_end) - q * pieces[k, TOP]
        pieces[k, POTENTIAL] = -by
        least = pieces[k, LEAST]
        if length < least:
            u = min((least - length) / least, 1.0 - 1e-12)
            pieces[k, POTENTIAL] -= BUFFER * least * u / (1.0 - u)


@compiled
def energy_of(points: Floats, nodes: Floats, pieces: Floats) -> tuple[float, float]:
    """Energy of the pair, and how far rounding may throw it off.  [J]"""
    total = fuzz = 0.0
    for k in range(len(pieces)):
        h, v, length = pieces[k, H], pieces[k, V], pieces[k, LENGTH]
        q, a, c = pieces[k, LOAD], pieces[k, A], pieces[k, C]
        vb = v + q * length
        ta, tb = math.sqrt(h * h + v * v), math.sqrt(h * h + vb * vb)
        mean_v, mean_t = 0.5 * (v + vb), 0.5 * (ta + tb)
        h2 = h * h
        below = (h2 / (ta - v) if v < 0.0 else ta + v) + (h2 / (tb + vb) if vb > 0.0 else tb - vb)
        run = math.log1p(2.0 * q * length / below) / q
        integral = 0.5 * length * (mean_v * mean_v / mean_t + mean_t) + 0.5 * h2 * run
        squares = length * (h2 + mean_v * mean_v + (q * length) ** 2 / 12.0)
        inner = pieces[k, OFFSET] * length + a * integral + 0.5 * c * squares
        total += h * pieces[k, X] + v * pieces[k, Z] - inner + q * length * pieces[k, TOP]
        fuzz += abs(h * pieces[k, X]) + abs(v * pieces[k, Z]) + math.hypot(h, mean_v) * length
        least = pieces[k, LEAST]
        if length < least:
            u = min((least - length) / least, 1.0 - 1e-12)
            total += BUFFER * least * least * (-u - math.log1p(-u))
    for i in range(len(nodes)):
        for axis in range(3):
            total -= points[i, axis] * nodes[i, axis]
    return total, 1e-15 * fuzz


@compiled
def gradient(joins: Ints, points: Floats, pieces: Floats, out: Floats) -> None:
    """Derivative of the energy by the unknowns, into `out` (4n,).  [N]"""
    for node in range(len(points)):
        for axis in range(3):
            out[4 * node + axis] = -points[node, axis]
        out[4 * node + 3] = 0.0
    for k in range(len(pieces)):
        i, j = joins[k, BEFORE], joins[k, AFTER]
        h, v, weight = pieces[k, H], pieces[k, V], pieces[k, LOAD] * pieces[k, LENGTH]
        fx = h * pieces[k, AX] + v * pieces[k, UX]
        fy = h * pieces[k, AY] + v * pieces[k, UY]
        fz = h * pieces[k, AZ] + v * pieces[k, UZ]
        if i >= 0:
            out[4 * i] -= fx
            out[4 * i + 1] -= fy
            out[4 * i + 2] -= fz
            out[4 * i + 3] -= pieces[k, BEFORE_SLIDES] * pieces[k, POTENTIAL]
        if j >= 0:
            out[4 * j] += fx + weight * pieces[k, UX]
            out[4 * j + 1] += fy + weight * pieces[k, UY]
            out[4 * j + 2] += fz + weight * pieces[k, UZ]
            out[4 * j + 3] += pieces[k, AFTER_SLIDES] * pieces[k, POTENTIAL]


@compiled
def tangent(joins: Ints, pieces: Floats, out: Floats) -> None:
    """Second derivative of the energy as lower bands: `out[column, row - column]`.

    Of a piece: e by the places of its ends, f by its first end's place and its length, g by its second end's.
    """
    out[:] = 0.0
    for k in range(len(pieces)):
        i, j = joins[k, BEFORE], joins[k, AFTER]
        ax, ay, az, ux, uy, uz = (
            pieces[k, AX], pieces[k, AY], pieces[k, AZ], pieces[k, UX], pieces[k, UY], pieces[k, UZ])
        side, kxz = pieces[k, SIDE], pieces[k, KXZ]
        across, upward = pieces[k, KXX] - side, pieces[k, KZZ] - side
        mx, my, mz = across * ax + kxz * ux, across * ay + kxz * uy, across * az + kxz * uz
        nx, ny, nz = kxz * ax + upward * ux, kxz * ay + upward * uy, kxz * az + upward * uz
        exx, exy, exz = mx * ax + nx * ux + side, mx * ay + nx * uy, mx * az + nx * uz
        eyy, eyz, ezz = my * ay + ny * uy + side, my * az + ny * uz, mz * az + nz * uz + side
        by_h, by_v, load = pieces[k, H_LENGTH], pieces[k, V_LENGTH], pieces[k, LOAD]
        fx, fy, fz = by_h * ax + by_v * ux, by_h * ay + by_v * uy, by_h * az + by_v * uz
        gx, gy, gz = fx + load * ux, fy + load * uy, fz + load * uz
        here, there, length = pieces[k, BEFORE_SLIDES], pieces[k, AFTER_SLIDES], pieces[k, BY_LENGTH]
        if i >= 0:
            r = 4 * i
            out[r, 0] += exx
            out[r, 1] += exy
            out[r, 2] += exz
            out[r, 3] += here * fx
            out[r + 1, 0] += eyy
            out[r + 1, 1] += eyz
            out[r + 1, 2] += here * fy
            out[r + 2, 0] += ezz
            out[r + 2, 1] += here * fz
            out[r + 3, 0] += here * length
        if j >= 0:
            r = 4 * j
            out[r, 0] += exx
            out[r, 1] += exy
            out[r, 2] += exz
            out[r, 3] += there * gx
            out[r + 1, 0] += eyy
            out[r + 1, 1] += eyz
            out[r + 1, 2] += there * gy
            out[r + 2, 0] += ezz
            out[r + 2, 1] += there * gz
            out[r + 3, 0] += there * length
        if i >= 0 and j >= 0:
            r, far = 4 * i, 4 * (j - i)
            out[r, far] -= exx
            out[r, far + 1] -= exy
            out[r, far + 2] -= exz
            out[r, far + 3] -= there * fx
            out[r + 1, far - 1] -= exy
            out[r + 1, far] -= eyy
            out[r + 1, far + 1] -= eyz
            out[r + 1, far + 2] -= there * fy
            out[r + 2, far - 2] -= exz
            out[r + 2, far - 1] -= eyz
            out[r + 2, far] -= ezz
            out[r + 2, far + 1] -= there * fz
            out[r + 3, far - 3] -= here * gx
            out[r + 3, far - 2] -= here * gy
            out[r + 3, far - 1] -= here * gz
            out[r + 3, far] -= here * there * length


@compiled
def reaches(joins: Ints, n: int, unknowns: int) -> Ints:
    """(n * unknowns,) how many entries each column of a lower band has, its diagonal included, with all that comes to
    it in factoring."""
    last = np.arange(n)
    for k in range(len(joins)):
        i, j = joins[k, BEFORE], joins[k, AFTER]
        if i >= 0 and j >= 0:
            last[i] = max(last[i], j)
    out = np.empty(n * unknowns, np.int64)
    farthest = 0
    for i in range(n):
        farthest = max(farthest, last[i])
        for axis in range(unknowns):
            out[unknowns * i + axis] = unknowns * (farthest + 1) - unknowns * i - axis
    return out


@compiled
def times(band: Floats, reach: Ints, vector: Floats, out: Floats) -> None:
    """A banded symmetric matrix applied to a vector (m,) of which most is zero."""
    m, width = band.shape
    out[:] = 0.0
    for column in range(m):
        value = vector[column]
        if value == 0.0:
            continue
        for d in range(reach[column]):
            out[column + d] += band[column, d] * value
        for d in range(1, min(width, column + 1)):
            out[column - d] += band[column - d, d] * value


@compiled
def slides_times(band: Floats, reach: Ints, vector: Floats, out: Floats) -> None:
    """The fourth unknown of every node (n,) of a banded symmetric matrix applied to a vector (4n,)."""
    width = band.shape[1]
    for node in range(len(out)):
        r = 4 * node + 3
        total = 0.0
        for d in range(reach[r]):
            total += band[r, d] * vector[r + d]
        for d in range(1, min(width, r + 1)):
            total += band[r - d, d] * vector[r - d]
        out[node] = total


@compiled
def eliminated(band: Floats, reach: Ints, first: int, last: int) -> bool:
    """Columns `first` to `last` - 1 of a Cholesky factor in place; False where the matrix is not positive definite."""
    for j in range(first, last):
        if not band[j, 0] > 0.0:
            return False
        root = math.sqrt(band[j, 0])
        band[j, 0] = root
        end = reach[j]
        for d in range(1, end):
            band[j, d] /= root
        for d in range(1, end):
            factor = band[j, d]
            if factor != 0.0:
                for e in range(d, end):
                    band[j + d, e - d] -= factor * band[j, e]
    return True


@compiled
def factored(band: Floats, reach: Ints) -> bool:
    """Cholesky factor in place; False where the matrix is not positive definite."""
    return eliminated(band, reach, 0, len(reach))


@compiled
def substituted(band: Floats, reach: Ints, right: Floats) -> None:
    """Solution from a Cholesky factor, in place."""
    m = len(reach)
    for j in range(m):
        right[j] /= band[j, 0]
        for d in range(1, reach[j]):
            right[j + d] -= band[j, d] * right[j]
    for j in range(m - 1, -1, -1):
        total = right[j]
        for d in range(1, reach[j]):
            total -= band[j, d] * right[j + d]
        right[j] = total / band[j, 0]


@compiled
def eliminated_four(band: Floats, r: int, joined: bool) -> bool:
    """The four columns from `r` of a Cholesky factor in place, written out for a node that is joined to the next alone;
    `joined` to that.  False where the matrix is not positive definite."""
    p00 = band[r, 0]
    if not p00 > 0.0:
        return False
    p00 = math.sqrt(p00)
    p10, p20, p30 = band[r, 1] / p00, band[r, 2] / p00, band[r, 3] / p00
    p11 = band[r + 1, 0] - p10 * p10
    if not p11 > 0.0:
        return False
    p11 = math.sqrt(p11)
    p21, p31 = (band[r + 1, 1] - p20 * p10) / p11, (band[r + 1, 2] - p30 * p10) / p11
    p22 = band[r + 2, 0] - p20 * p20 - p21 * p21
    if not p22 > 0.0:
        return False
    p22 = math.sqrt(p22)
    p32 = (band[r + 2, 1] - p30 * p20 - p31 * p21) / p22
    p33 = band[r + 3, 0] - p30 * p30 - p31 * p31 - p32 * p32
    if not p33 > 0.0:
        return False
    p33 = math.sqrt(p33)
    band[r, 0], band[r, 1], band[r, 2], band[r, 3] = p00, p10, p20, p30
    band[r + 1, 0], band[r + 1, 1], band[r + 1, 2] = p11, p21, p31
    band[r + 2, 0], band[r + 2, 1], band[r + 3, 0] = p22, p32, p33
    if not joined:
        return True
    for c in range(4):
        b0 = band[r, 4 + c] / p00
        b1 = (band[r + 1, 3 + c] - b0 * p10) / p11
        b2 = (band[r + 2, 2 + c] - b0 * p20 - b1 * p21) / p22
        b3 = (band[r + 3, 1 + c] - b0 * p30 - b1 * p31 - b2 * p32) / p33
        band[r, 4 + c], band[r + 1, 3 + c], band[r + 2, 2 + c], band[r + 3, 1 + c] = b0, b1, b2, b3
        for e in range(c + 1):
            band[r + 4 + e, c - e] -= (
                b0 * band[r, 4 + e] + b1 * band[r + 1, 3 + e] + b2 * band[r + 2, 2 + e] + b3 * band[r + 3, 1 + e])
    return True


@compiled
def forward_four(band: Floats, r: int, joined: bool, right: Floats) -> None:
    """The four unknowns from `r` of a forward substitution, in place; see `eliminated_four`."""
    y0 = right[r] / band[r, 0]
    y1 = (right[r + 1] - band[r, 1] * y0) / band[r + 1, 0]
    y2 = (right[r + 2] - band[r, 2] * y0 - band[r + 1, 1] * y1) / band[r + 2, 0]
    y3 = (right[r + 3] - band[r, 3] * y0 - band[r + 1, 2] * y1 - band[r + 2, 1] * y2) / band[r + 3, 0]
    right[r], right[r + 1], right[r + 2], right[r + 3] = y0, y1, y2, y3
    if joined:
        for c in range(4):
            right[r + 4 + c] -= (
                band[r, 4 + c] * y0 + band[r + 1, 3 + c] * y1 + band[r + 2, 2 + c] * y2 + band[r + 3, 1 + c] * y3)


@compiled
def backward_four(band: Floats, r: int, joined: bool, right: Floats) -> None:
    """The four unknowns from `r` of a backward substitution, in place; see `eliminated_four`."""
    y0, y1, y2, y3 = right[r], right[r + 1], right[r + 2], right[r + 3]
    if joined:
        for c in range(4):
            x = right[r + 4 + c]
            y0 -= band[r, 4 + c] * x
            y1 -= band[r + 1, 3 + c] * x
            y2 -= band[r + 2, 2 + c] * x
            y3 -= band[r + 3, 1 + c] * x
    y3 = y3 / band[r + 3, 0]
    y2 = (y2 - band[r + 2, 1] * y3) / band[r + 2, 0]
    y1 = (y1 - band[r + 1, 2] * y3 - band[r + 1, 1] * y2) / band[r + 1, 0]
    right[r] = (y0 - band[r, 3] * y3 - band[r, 2] * y2 - band[r, 1] * y1) / band[r, 0]
    right[r + 1], right[r + 2], right[r + 3] = y1, y2, y3


@compiled
def solve_pinned(
    band: Floats, reach: Ints, pinned: NDArray[np.bool_], shift: float, right: Floats, work: Floats
) -> bool:
    """Solve with the fourth unknown of some nodes taken out, their right sides being their moves, and that of the
    others shifted [N/m]; `right` is left as it is where the matrix is not positive definite."""
    m, width = band.shape
    for r in range(m):
        for d in range(reach[r]):
            work[r, d] = band[r, d]
    for node in range(len(pinned)):
        r = 4 * node + 3
        if not pinned[node]:
            work[r, 0] += shift
            continue
        for d in range(reach[r]):
            work[r, d] = 0.0
        work[r, 0] = 1.0
        for d in range(1, min(width, r + 1)):
            work[r - d, d] = 0.0
    for node in range(len(pinned)):
        r = 4 * node
        if not (eliminated_four(work, r, reach[r] > 4) if reach[r] <= 8 else eliminated(work, reach, r, r + 4)):
            return False
    for node in range(len(pinned)):
        r = 4 * node
        if reach[r] <= 8:
            forward_four(work, r, reach[r] > 4, right)
        else:
            for j in range(r, r + 4):
                right[j] /= work[j, 0]
                for d in range(1, reach[j]):
                    right[j + d] -= work[j, d] * right[j]
    for node in range(len(pinned) - 1, -1, -1):
        r = 4 * node
        if reach[r] <= 8:
            backward_four(work, r, reach[r] > 4, right)
        else:
            for j in range(r + 3, r - 1, -1):
                total = right[j]
                for d in range(1, reach[j]):
                    total -= work[j, d] * right[j + d]
                right[j] = total / work[j, 0]
    return True


@compiled
def left_over(points: Floats, along: Floats, hold: Floats, rest: Floats, nodes: Floats) -> float:
    """Largest unbalanced force [N]; see `minimise._residual`."""
    worst = 0.0
    for i in range(len(nodes)):
        for axis in range(3):
            worst = max(worst, abs(along[4 * i + axis]))
        if points[i, SLIDES] > 0.0:
            slip = nodes[i, 3] - rest[i]
            if slip != 0.0 or hold[i] == 0.0:
                friction = hold[i] if slip > 0.0 else -hold[i] if slip < 0.0 else 0.0
                worst = max(worst, abs(along[4 * i + 3] + friction))
            else:
                worst = max(worst, abs(along[4 * i + 3]) - hold[i])
    return worst


@compiled
def sorted_move(
    points: Floats, band: Floats, reach: Ints, slope: Floats, hold: Floats, slip: Floats, likely: Floats, work: Floats,
    move: Floats,
) -> float:
    """The step to the minimum of the quadratic model of energy + friction, into `move` (4n,); see `steps.model_step`.

    Sorting begins with the slides that rest but for those that are `likely` (n,) to move, up or down by its sign.
    Returns the first-order change over it [J]; not negative where no step is to be had.
    """
    n = len(slip)
    resting, sense = np.empty(n, dtype=np.bool_), np.empty(n)
    forced, other, along = np.empty(4 * n), np.empty(4 * n), np.empty(n)
    for i in range(n):
        resting[i] = points[i, SLIDES] == 0.0 or (hold[i] > 0.0 and slip[i] == 0.0)
        sense[i] = 1.0 if slip[i] > 0.0 else -1.0 if slip[i] < 0.0 else 0.0
        if slip[i] == 0.0 and likely[i] != 0.0 and points[i, SLIDES] > 0.0 and hold[i] < np.inf:
            resting[i], sense[i] = False, likely[i]
    held = False
    for count in range(SORTING):
        any_forced = False
        for r in range(4 * n):
            forced[r], move[r] = 0.0, -slope[r]
        for i in range(n):
            if not resting[i]:
                move[4 * i + 3] -= hold[i] * sense[i] if hold[i] < np.inf else 0.0
            elif points[i, SLIDES] > 0.0 and slip[i] != 0.0:
                forced[4 * i + 3] = -slip[i]
                any_forced = True
        if any_forced:
            times(band, reach, forced, other)
            for r in range(4 * n):
                move[r] -= other[r]
        for i in range(n):
            if resting[i]:
                move[4 * i + 3] = forced[4 * i + 3]
        if not solve_pinned(band, reach, resting, 0.0, move, work):
            return 1.0
        slides_times(band, reach, move, along)
        changed = False
        for i in range(n):
            if points[i, SLIDES] == 0.0 or not hold[i] > 0.0:
                continue
            drive = slope[4 * i + 3] + along[i]
            if resting[i] and abs(drive) > hold[i] * (1.0 + 1e-9):
                if count >= LETTING:
                    held = True
                else:
                    resting[i], changed = False, True
                    sense[i] = -1.0 if drive > 0.0 else 1.0
            elif not resting[i] and (slip[i] + move[4 * i + 3]) * sense[i] < 0.0:
                resting[i], changed = True, True
        if not changed:
            total = farthest = 0.0
            for r in range(4 * n):
                total += slope[r] * move[r]
                farthest = max(farthest, abs(move[r]))
            for i in range(n):
                if hold[i] < np.inf:
                    total += hold[i] * (abs(slip[i] + move[4 * i + 3]) - abs(slip[i]))
            return 1.0 if held and farthest < 1e-5 else total
    return 1.0


@compiled
def attempt(
    joins: Ints, anchors: Floats, curves: Floats, nodes: Floats, pieces: Floats, move: Floats, share: float,
    rest: Floats, sense: Floats, free: int, tried: Floats, tried_pieces: Floats, now: Floats
) -> bool:
    """The pair a share of a step further, into `tried` and `tried_pieces`; no slide with a `sense` (n,), +1 or -1,
    passes its resting place."""
    n = len(nodes)
    for i in range(n):
        for axis in range(4):
            tried[i, axis] = nodes[i, axis] + share * move[4 * i + axis]
        slip = tried[i, 3] - rest[i]
        if abs(slip) < 1e-13 * (1.0 + abs(rest[i])) or slip * sense[i] < 0.0:
            tried[i, 3] = rest[i]
    if free > 0:
        lengths_of(joins, tried, pieces, now)
        for k in range(len(pieces)):
            if now[k] < 0.25 * pieces[k, LENGTH]:
                return False
    for k in range(len(pieces)):
        i, j = joins[k, BEFORE], joins[k, AFTER]
        dx = dy = dz = longer = 0.0
        if j >= 0:
            dx, dy, dz = tried[j, 0] - nodes[j, 0], tried[j, 1] - nodes[j, 1], tried[j, 2] - nodes[j, 2]
            longer += pieces[k, AFTER_SLIDES] * (tried[j, 3] - nodes[j, 3])
        if i >= 0:
            dx, dy, dz = dx - tried[i, 0] + nodes[i, 0], dy - tried[i, 1] + nodes[i, 1], dz - tried[i, 2] + nodes[i, 2]
            longer -= pieces[k, BEFORE_SLIDES] * (tried[i, 3] - nodes[i, 3])
        across = pieces[k, AX] * dx + pieces[k, AY] * dy + pieces[k, AZ] * dz
        rise = pieces[k, UX] * dx + pieces[k, UY] * dy + pieces[k, UZ] * dz
        h = pieces[k, H] + pieces[k, KXX] * across + pieces[k, KXZ] * rise + longer * pieces[k, H_LENGTH]
        tried_pieces[k, H] = max(h, 0.2 * pieces[k, H])
        v = pieces[k, V] + pieces[k, KXZ] * across + pieces[k, KZZ] * rise + longer * pieces[k, V_LENGTH]
        tried_pieces[k, V] = v
    return evaluate(joins, anchors, curves, tried, tried_pieces)


@compiled
def longest(joins: Ints, nodes: Floats, pieces: Floats, move: Floats, now: Floats) -> float:
    """Share of a step that keeps every piece of sliding line at 30 % of its length or more; see `minimise`."""
    share = 1.0
    for k in range(len(pieces)):
        change = 0.0
        if pieces[k, AFTER_SLIDES] > 0.0:
            change += move[4 * joins[k, AFTER] + 3]
        if pieces[k, BEFORE_SLIDES] > 0.0:
            change -= move[4 * joins[k, BEFORE] + 3]
        if change < -0.7 * pieces[k, LENGTH]:
            share = min(share, 0.7 * pieces[k, LENGTH] / -change)
    return share


def segments_of(pieces: Floats, chord: Floats, up: Floats) -> Segments:
    """What a table (k, COLUMNS) of solved pieces says of them, between ends that are `chord` (k, 3) apart [m] and with
    `up` (k, 3) against the load; copied, so that nothing keeps the table."""
    h, v, length, q, a, c, offset, x, z = (
        pieces[:, column].copy() for column in (H, V, LENGTH, LOAD, A, C, OFFSET, X, Z)
    )
    flat = Segments2D(h=h, v=v, length=length, q=q, a=a, c=c, offset=offset)
    return Segments(flat=flat, chord=chord, x=x, z=z, across=pieces[:, AX : AX + 3].copy(), up=up)


def tables_of(pair: Pair) -> tuple[Ints, Floats, Floats, Floats, Floats]:
    """Joins (k, 3), points (n, 4), anchors (4, 3), curves and pieces (k, COLUMNS) of a pair."""
    before, after, _, _, (before_slides, after_slides), least = pair._ends
    n, tapes = pair.n, pair.tapes
    main = np.concatenate(([0.0], pair.main_at, [pair.main_length]))
    backup = np.concatenate(([0.0], pair.backup_at[tapes], [pair.backup_length]))
    is_backup = np.arange(len(before)) > n
    pieces = np.zeros((len(before), COLUMNS))
    pieces[:, LOAD], pieces[:, UX : UZ + 1] = pair._ups
    pieces[:, BEFORE_SLIDES], pieces[:, AFTER_SLIDES], pieces[:, LEAST] = before_slides, after_slides, least
    pieces[:, BEFORE_AT] = np.concatenate((main[:-1], backup[:-1]))
    pieces[:, AFTER_AT] = np.concatenate((main[1:], backup[1:]))
    return (
        np.column_stack((before, after, is_backup)).astype(np.int64),
        np.column_stack((pair.pull, pair.free_slides)),
        np.concatenate((pair.main_ends, pair.backup_ends)),
        lengthened(
            curves_of(pair.main_stretch, pair.backup_stretch),
            np.array([pair.main_stretch.offset, pair.backup_stretch.offset]),
        ),
        pieces,
    )


@compiled
def lay(
    kind: Ints, is_tape: Ints, main_at: Floats, backup_at: Floats, pull: Floats, least: Floats, ends: Floats,
    load: Floats, node: int, at: float, beside: Floats, weight: float
) -> tuple[Ints, Floats, Floats]:
    """Joins, points and pieces of the empty pair, its tapes where they now are, with a walker before node `node`.

    Parameters
    ----------
    kind, is_tape, main_at, backup_at, pull, least
        Of the empty pair's nodes and pieces; see `Pair`.
    ends : (2,) array
        Unstretched main and backup.  [m]
    load : (2,) array
        [N/m]
    node : int
        -1 for no walker.
    at, weight : float
        Where on the main [m], and how heavy [N].
    beside : (2,) array
        Least lengths of the pieces on either side of the walker.  [m]
    """
    n = len(kind) + (1 if node >= 0 else 0)
    t = 0
    for i in range(len(kind)):
        t += is_tape[i]
    joins, points, pieces = np.empty((n + t + 2, 3), np.int64), np.zeros((n, 4)), np.zeros((n + t + 2, COLUMNS))
    last, last_at, last_slides = -1, 0.0, 0.0
    tape, tape_at, tape_slides = -1, 0.0, 0.0
    k = n + 1
    for i in range(n + 1):
        source = i if node < 0 or i < node else i - 1
        here, slides = ends[0], 0.0
        if i == node:
            here = at
            points[i, 2] = -weight
        elif i < n:
            here, slides = main_at[source], 1.0 if kind[source] == 1 else 0.0
            for axis in range(3):
                points[i, axis] = pull[source, axis]
            points[i, SLIDES] = 1.0 if kind[source] != 0 else 0.0
        joins[i, BEFORE], joins[i, AFTER], joins[i, BACKUP] = last, i if i < n else -1, 0
        pieces[i, LOAD], pieces[i, UZ] = load[0], 1.0
        pieces[i, BEFORE_SLIDES], pieces[i, AFTER_SLIDES] = last_slides, slides
        pieces[i, BEFORE_AT], pieces[i, AFTER_AT] = last_at, here
        size = least[source] if node < 0 or i < node else least[i - 1]
        if node >= 0 and (i == node or i == node + 1):
            size = beside[i - node]
        pieces[i, LEAST] = size if last_slides + slides > 0.0 else -np.inf
        last, last_at, last_slides = i, here, slides
        if i == n or (i != node and is_tape[source] == 1):
            there = backup_at[source] if i < n else ends[1]
            runs = 1.0 if i < n and kind[source] == 2 else 0.0
            joins[k, BEFORE], joins[k, AFTER], joins[k, BACKUP] = tape, i if i < n else -1, 1
            pieces[k, LOAD], pieces[k, UZ] = load[1], 1.0
            pieces[k, BEFORE_SLIDES], pieces[k, AFTER_SLIDES] = tape_slides, runs
            pieces[k, BEFORE_AT], pieces[k, AFTER_AT] = tape_at, there
            pieces[k, LEAST] = least[k - (1 if node >= 0 else 0)] if tape_slides + runs > 0.0 else -np.inf
            tape, tape_at, tape_slides = i, there, runs
            k += 1
    return joins, points, pieces


@compiled
def carry(
    old_nodes: Floats, old_pieces: Floats, old_edges: Floats, old_walker: int, anchor: Floats, nodes: Floats,
    pieces: Floats, edges: Floats, walker: int, is_tape: Ints, weight: float
) -> None:
    """Places and forces to begin at, read off a solved state of nearly the same lines, into `nodes` and `pieces`.

    `edges` are the material coordinates of the main's nodes with both its ends; `is_tape` is that of the empty pair;
    see `crossing.carried_over`.
    """
    n, n_old = len(nodes), len(old_nodes)
    length = edges[n + 1]
    mean_h = 0.0
    for k in range(n_old + 1):
        mean_h += old_pieces[k, H] / (n_old + 1)
    for i in range(n):
        source = i - (1 if 0 <= walker < i else 0)
        if i != walker and is_tape[source] == 1:
            same = source + (1 if 0 <= old_walker <= source else 0)
            for axis in range(3):
                nodes[i, axis] = old_nodes[same, axis]
        else:
            k = 0
            while k < n_old and edges[i + 1] >= old_edges[k + 1]:
                k += 1
            s = edges[i + 1] - old_edges[k]
            h, v, q, a, c = old_pieces[k, H], old_pieces[k, V], old_pieces[k, LOAD], old_pieces[k, A], old_pieces[k, C]
            x = z = 0.0
            if s > 0.0:
                x, z, _, _, _ = flexibility(h, v, s, q, a, c)
            for axis in range(3):
                nodes[i, axis] = old_nodes[k - 1, axis] if k > 0 else anchor[axis]
            nodes[i, 0] += x * old_pieces[k, AX]
            nodes[i, 1] += x * old_pieces[k, AY]
            nodes[i, 2] += z
        share = edges[i + 1] / length
        if old_walker >= 0:
            other = old_edges[old_walker + 1] / length
            nodes[i, 2] += min(share * (1.0 - other), other * (1.0 - share)) * weight * length / mean_h
        if walker >= 0:
            other = edges[walker + 1] / length
            nodes[i, 2] -= min(share * (1.0 - other), other * (1.0 - share)) * weight * length / mean_h
    owner = 0
    for k in range(n + 1):
        middle = 0.5 * (edges[k] + edges[k + 1])
        while owner < n_old and middle >= old_edges[owner + 1]:
            owner += 1
        pieces[k, H] = old_pieces[owner, H]
        pieces[k, V] = old_pieces[owner, V] + old_pieces[owner, LOAD] * (edges[k] - old_edges[owner])
    for k in range(n + 1, len(pieces)):
        pieces[k, H], pieces[k, V] = old_pieces[k - n + n_old, H], old_pieces[k - n + n_old, V]


# Of a tape: what its hold is made of, who is pressed by how much, how the lines stretch there, what they pull.
NORMAL, PRESSED, RATIO, JUMP, MAIN_STRAIN, BACKUP_STRAIN, BACKUP_JUMP = range(7)


@compiled
def at_tapes(joins: Ints, pieces: Floats, kind: Ints, out: Floats) -> None:
    """What acts at every tape of a solved state, into `out` (t, 7).

    NORMAL is the sliding line's resultant across the main [N] (`Evaluation.normal_force`).  PRESSED is the loops'
    resultant square to the main, towards it: below 0 the loops hang in the strip, above 0 they press on the main [N].
    RATIO is the sliding line's stretch ratio, JUMP its tension on the B side less that on the A side [N]; then the
    strains of both lines and the backup's own jump [N].  `kind` (t,) is that of each tape.
    """
    t = len(kind)
    n = len(pieces) - t - 2
    for tape in range(t):
        k = n + 1 + tape
        i = joins[k, AFTER]
        px = pieces[i, H] * pieces[i, AX]
        py = pieces[i, H] * pieces[i, AY]
        pz = pieces[i, V] + pieces[i, LOAD] * pieces[i, LENGTH]
        nx, ny, nz = pieces[i + 1, H] * pieces[i + 1, AX], pieces[i + 1, H] * pieces[i + 1, AY], pieces[i + 1, V]
        tx, ty, tz = px + nx, py + ny, pz + nz
        size = math.sqrt(tx * tx + ty * ty + tz * tz)
        tx, ty, tz = tx / size, ty / size, tz / size
        end = pieces[k, V] + pieces[k, LOAD] * pieces[k, LENGTH]
        bx = pieces[k + 1, H] * pieces[k + 1, AX] - pieces[k, H] * pieces[k, AX]
        by = pieces[k + 1, H] * pieces[k + 1, AY] - pieces[k, H] * pieces[k, AY]
        bz = pieces[k + 1, V] - end
        along = bx * tx + by * ty + bz * tz
        rx, ry, rz = bx - along * tx, by - along * ty, bz - along * tz
        level = math.sqrt(1.0 - tz * tz)
        out[tape, PRESSED] = (rz - tz * (rx * tx + ry * ty + rz * tz)) / level
        if kind[tape] == 1:
            mx, my, mz = nx - px, ny - py, nz - pz
            along = mx * tx + my * ty + mz * tz
            rx, ry, rz = mx - along * tx, my - along * ty, mz - along * tz
        out[tape, NORMAL] = math.sqrt(rx * rx + ry * ry + rz * rz) if kind[tape] != 0 else 0.0
        a0, c0, a1, c1 = pieces[i, A], pieces[i, C], pieces[i + 1, A], pieces[i + 1, C]
        t0 = math.sqrt(px * px + py * py + pz * pz)
        t1 = math.sqrt(nx * nx + ny * ny + nz * nz)
        main_ratio = 0.5 * (a0 + c0 * t0 + a1 + c1 * t1)
        u0 = math.hypot(pieces[k, H], end)
        u1 = math.hypot(pieces[k + 1, H], pieces[k + 1, V])
        a0, c0, a1, c1 = pieces[k, A], pieces[k, C], pieces[k + 1, A], pieces[k + 1, C]
        backup_ratio = 0.5 * (a0 + c0 * u0 + a1 + c1 * u1)
        out[tape, RATIO] = main_ratio if kind[tape] == 1 else backup_ratio if kind[tape] == 2 else 1.0
        out[tape, JUMP] = t1 - t0 if kind[tape] == 1 else u1 - u0 if kind[tape] == 2 else 0.0
        out[tape, MAIN_STRAIN], out[tape, BACKUP_STRAIN] = main_ratio - 1.0, backup_ratio - 1.0
        out[tape, BACKUP_JUMP] = u1 - u0
