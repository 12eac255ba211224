"""Figures of states, falls and the lost main, for all draws of a rig at once; formulas are those of the events."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.events.catch import Held, lowest, sprung
from linescope.events.rig_draws import DrawnRig, DrawnStanding
from linescope.rig import Walker
from linescope.statics.assemble import G
from linescope.statics.balanced import Balanced
from linescope.statics.catenary import Segments2D, flexibility
from linescope.statics.minimise import Settings
from linescope.statics.stack import ANCHORS, Stack, stretched
from linescope.statics.together import balance_quick, mended

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

FALL = Settings(tolerance=1e-7, accepted=1e-5)  # As in `catch`.
MOST_STEPS = 60
TOLERANCE = 1e-11  # Of length.


def tensions(stack: Stack, found: Balanced) -> tuple[Floats, Floats]:
    """(R,) main tension at A and at B; nan where a draw is not found.  [N]"""
    first, segments = stack.pieces[:-1], found.segments
    last = first + np.diff(stack.nodes)
    return (
        np.where(found.done, segments.tension_start[first], np.nan),
        np.where(found.done, segments.tension_end[last], np.nan),
    )


def excesses(stack: Stack, found: Balanced) -> Floats:
    """(R, bays) excess of every bay; see `results.bays_of`.  [-]"""
    r, main, segments = len(stack), ~stack.backup, found.segments
    count = int(np.sum(stack.backup[: stack.pieces[1]]))
    taped = np.zeros(len(stack.backup), dtype=np.int64)
    ends = stack.after < stack.n
    taped[ends & main] = stack.is_tape[stack.after[ends & main]]
    upto = np.cumsum(np.where(main, taped, 0)) - np.where(main, taped, 0)
    bay = (upto - upto[stack.pieces[:-1]][stack.owner_of_piece])[main] + count * stack.owner_of_piece[main]
    long = np.bincount(bay, weights=segments.stretched_length()[main], minlength=r * count)
    way = np.stack([
        np.bincount(bay, weights=segments.chord[main, axis], minlength=r * count) for axis in range(3)
    ], axis=1)
    detour = np.linalg.norm(segments.chord[~main], axis=1) - np.linalg.norm(way, axis=1)
    excess = segments.length[~main] / (long + detour) - 1.0
    return np.where(found.done[:, None], excess.reshape(r, count), np.nan)


def depths(stack: Stack, found: Balanced) -> Floats:
    """(R, bays) depth of every loop.  [m]"""
    depth = found.segments.depth()[0][stack.backup].reshape(len(stack), -1)
    return np.where(found.done[:, None], depth, np.nan)


def below(stack: Stack, places: Floats) -> Floats:
    """(R,) how far places (R, 3) are below the straight line between each draw's main anchors.  [m]"""
    a, b = stack.anchors[0::ANCHORS], stack.anchors[1::ANCHORS]
    run = b - a
    share = np.einsum("ri,ri->r", (places - a)[:, :2], run[:, :2]) / np.einsum("ri,ri->r", run[:, :2], run[:, :2])
    return np.asarray(a[:, 2] + share * run[:, 2] - places[:, 2])


@dataclass(frozen=True, eq=False, kw_only=True)
class DrawnWalker:
    """The walker in R draws.  Arrays are (R,).

    Attributes
    ----------
    weight : array
        [N]
    leash, hang, fall : array
        Length of the leash; from tie-in down to the foot; height he falls freely.  [m]
    soft : array
        Of leash and body, one after the other.  [m/N]
    """

    weight: Floats
    leash: Floats
    hang: Floats
    fall: Floats
    soft: Floats

    @classmethod
    def of(cls, drawn: DrawnRig, walker: Walker) -> DrawnWalker:
        """As drawn.

        Parameters
        ----------
        drawn : DrawnRig
        walker : Walker
        """
        leash, hang, tie_in, modulus, body, mass = (
            drawn.value(f"walker.{name}", getattr(walker, name))
            for name in ("leash", "hang", "tie_in_height", "leash_modulus", "body_stiffness", "mass")
        )
        return cls(weight=mass * G, leash=leash, hang=hang, fall=tie_in + leash, soft=leash / modulus + 1.0 / body)

    def foot(self, ring: Floats, force: Floats) -> Floats:
        """(R, 3) lowest foot below rings (R, 3) under forces (R,).  [m]"""
        found = ring.copy()
        found[:, 2] -= self.leash + self.soft * force + self.hang
        return found


def piece_energies(stack: Stack, found: Balanced) -> Floats:
    """(K,) elastic energy and potential of the weight of every piece.  [J]"""
    segments, flat = found.segments, found.segments.flat
    top = np.einsum("ij,ij->i", stack.points(found.places)[stack.after], stack.up)
    own = flat.h * segments.x + flat.v * segments.z - flat.complementary_energy()
    return np.asarray(own + flat.q * flat.length * top)


def leash_falls(loaded: DrawnStanding, walker: Walker) -> tuple[Floats, Floats]:
    """Leash falls with tapes that hold, from standing on a line that stays down; see `fall`.

    Parameters
    ----------
    loaded : DrawnStanding
    walker : Walker

    Returns
    -------
    foot : (R,) array
        How far the lowest foot gets below the anchors' straight line; nan where a draw is not found.  [m]
    force : (R,) array
        Of the leash on the ring there.  [N]
    """
    stack, node, body = loaded.stack, loaded.node, DrawnWalker.of(loaded.drawn, walker)
    r = len(stack)
    now, bad = loaded.balanced, ~loaded.balanced.done
    others = stack.pull.copy()
    others[node, 2] += loaded.weight

    def line(force: Floats) -> Held:
        nonlocal now, bad
        pull = others.copy()
        pull[node, 2] -= force
        forces = now.segments.flat.h, now.segments.flat.v
        pulled = stack.changed(pull=pull)
        found = balance_quick(pulled, now.places, settings=FALL, forces=forces)
        found = mended(pulled, found, settings=FALL, starts=now.places)
        bad = bad | ~found.done
        now = found
        energy = np.bincount(stack.owner_of_piece, weights=piece_energies(stack, found), minlength=r)
        height = np.einsum("ij,ij->i", others, found.places)
        energy = energy - np.bincount(stack.owner, weights=height, minlength=r)
        return sprung(Held(drop=-found.places[node, 2], energy=energy), force, body.soft)  # type: ignore[arg-type]

    force = _deepest(line, body, body.weight * body.fall + 0.5 * body.soft * body.weight**2)
    line(force)
    foot = below(stack, body.foot(now.places[node], force))
    return np.where(bad, np.nan, foot), np.where(bad, np.nan, force)


def _deepest(line, body: DrawnWalker, to_store: Floats) -> Floats:  # type: ignore[no-untyped-def]
    """(R,) forces at which lines have taken up `to_store` beyond their rest under the weight.  [N]"""
    weight = body.weight
    resting = line(weight)
    softer = line(1.1 * weight)
    soft = np.maximum((softer.drop - resting.drop) / (0.1 * weight), 1e-9)
    guess = weight + np.sqrt(2.0 * np.maximum(to_store, 0.0) / soft)
    return lowest(line, resting, weight=weight, to_store=to_store, guess=guess)


@dataclass(frozen=True, eq=False, kw_only=True)
class _Ring:
    """A ring that rolls freely on one line, in R draws."""

    h: Floats
    along: Floats
    x: Floats
    z: Floats
    energy: Floats
    top: Floats
    found: Flags


class _Released:
    """The whole backup between its anchors, in R draws, with a ring on it.

    A ring that rolls without friction has the same tension and so the same V on both sides: F / 2.  What is left are
    two unknowns, H and the unstretched length s from A to the ring:

        x(H, -F/2 - q s, s) + x(H, F/2, L - s) = run,   z(...) + z(...) = rise                                   (1)
    """

    def __init__(self, stack: Stack) -> None:
        self.a, self.b = stack.anchors[2::ANCHORS], stack.anchors[3::ANCHORS]
        self.run = np.linalg.norm((self.b - self.a)[:, :2], axis=1)
        self.rise = self.b[:, 2] - self.a[:, 2]
        self.length, self.q = stack.total[:, 1], -stack.load[:, 1, 2]
        self.curves = stack.curves[:, 1]
        self.last: _Ring | None = None

    def _piece(self, h: Floats, v: Floats, s: Floats) -> tuple[Segments2D, tuple[Floats, ...]]:
        middle = np.hypot(h, v + 0.5 * self.q * s)
        strain, c, area = stretched(self.curves, middle)
        a = 1.0 + strain - c * middle
        offset = middle + area - a * middle - 0.5 * c * middle**2
        shape = flexibility(h, v, s, self.q, a, c)
        return Segments2D(h=h, v=v, length=s, q=self.q, a=a, c=c, offset=offset), shape

    def ring(self, force: Floats) -> _Ring:
        """Where rings under forces (R,) roll to."""
        if self.last is None:
            s = 0.5 * self.length
            slack = np.maximum(self.length / np.hypot(self.run, self.rise) - 1.0, 1e-3)
            h = force / np.sqrt(8.0 * slack) + 0.1 * force
        else:
            s, h = self.last.along, self.last.h
        half, done = 0.5 * force, np.zeros(len(force), dtype=bool)
        for _ in range(MOST_STEPS):
            v = -half - self.q * s
            left, (x0, z0, xh0, xv0, _) = self._piece(h, v, s)
            right, (x1, z1, xh1, xv1, _) = self._piece(h, half, self.length - s)
            gx, gz = x0 + x1 - self.run, z0 + z1 - self.rise
            done = np.maximum(np.abs(gx), np.abs(gz)) <= TOLERANCE * self.length
            if done.all():
                break
            t0, end = left.tension_start, right.v_end
            t1 = right.tension_end
            r0, r1 = left.a + left.c * t0, right.a + right.c * t1
            # A length more at A, the ring's side as it is; one less at B.
            xs, zs = r0 * h / t0 - r1 * h / t1, r0 * v / t0 - r1 * end / t1
            xh, zh = xh0 + xh1, xv0 + xv1
            det = xh * zs - zh * xs
            dh, ds = -(zs * gx - xs * gz) / det, -(xh * gz - zh * gx) / det
            share = np.minimum(1.0, 0.7 * h / np.maximum(-dh, 1e-300))
            room = np.where(ds > 0.0, self.length - s, s)
            share = np.minimum(share, 0.7 * room / np.maximum(np.abs(ds), 1e-300))
            h, s = h + share * dh, s + share * ds
        energy = h * x0 + v * z0 - left.complementary_energy() + self.q * s * (self.a[:, 2] + z0)
        rest = self.length - s
        energy = energy + h * x1 + half * z1 - right.complementary_energy() + self.q * rest * self.b[:, 2]
        self.last = _Ring(
            h=h, along=s, x=x0, z=self.a[:, 2] + z0, energy=energy, found=done,
            top=np.maximum(np.maximum(left.tension_start, right.tension_end), left.tension_end),
        )
        return self.last

    def points(self, ring: _Ring) -> Floats:
        """(R, 3) places of rings.  [m]"""
        across = (self.b - self.a)[:, :2] / self.run[:, None]
        return np.concatenate([self.a[:, :2] + ring.x[:, None] * across, ring.z[:, None]], axis=1)


def main_lost(loaded: DrawnStanding, walker: Walker) -> tuple[Floats, Floats, Floats]:
    """Loss of the whole main with the walker standing where he is; see `main_gone`.

    Parameters
    ----------
    loaded : DrawnStanding
    walker : Walker

    Returns
    -------
    rest, floor : (R,) array
        How far below the anchors' straight line the ring comes to rest, and how low energy lets the foot get; nan
        where a draw is not found.  [m]
    tension : (R,) array
        Largest in the backup there.  [N]
    """
    stack, found, body = loaded.stack, loaded.balanced, DrawnWalker.of(loaded.drawn, walker)
    own = np.where(stack.backup, piece_energies(stack, found), 0.0)
    energy = np.bincount(stack.owner_of_piece, weights=own, minlength=len(stack))
    energy = energy + body.weight * (found.places[loaded.node, 2] + body.fall) + 0.5 * body.soft * body.weight**2
    line = _Released(stack)
    bad = ~found.done

    def held(force: Floats) -> Held:
        nonlocal bad
        ring = line.ring(force)
        bad = bad | ~ring.found
        return sprung(Held(drop=-ring.z, energy=ring.energy), force, body.soft)  # type: ignore[arg-type]

    rest = line.ring(body.weight)
    bad = bad | ~rest.found
    to_store = np.maximum(energy - rest.energy - body.weight * rest.z, 0.0)
    force = _deepest(held, body, to_store)
    deep = line.ring(force)
    depth = below(stack, line.points(rest))
    foot = below(stack, body.foot(line.points(deep), force))
    return tuple(np.where(bad, np.nan, each) for each in (depth, foot, deep.top))  # type: ignore[return-value]
