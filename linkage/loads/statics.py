"""Equilibrium of the locked gear in space, in closed form: from the loads on the wheel to the pins on the airframe.

Vectors are arrays (FS aft, BL right, WL up): right-handed. Leg, wheel and brace are one body held by six numbers:
radial forces of two bearings on the trunnion's axis, a thrust of one of them, and the axial force of the brace, which
has pins along BL and takes nothing else (docs/theory-loads.md).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linkage.document.study import Study
from linkage.errors import MechanismError
from linkage.gear import Gear
from linkage.plane.vectors import cross, plain

Vec = NDArray[np.float64]

CLOSES = 1e-9
"""Relative error of the balance above which the program itself is at fault."""


class ClosureError(RuntimeError):
    """The forces do not balance: a fault of the program, never of the study."""


@dataclass(frozen=True, eq=False)
class PointLoad:
    """Force in N and couple in N mm at a place in mm, each (FS, BL, WL)."""

    name: str
    at: Vec
    force: Vec
    couple: Vec

    def moment(self, about: Vec) -> Vec:
        (x, y, z), (fx, fy, fz) = (self.at - about).tolist(), self.force.tolist()
        return np.array([y * fz - z * fy, z * fx - x * fz, x * fy - y * fx]) + self.couple


def space(z: complex, bl: float = 0.0) -> Vec:
    """A point or vector of the side view at a butt line."""
    return np.array([z.real, bl, z.imag])


def point_load(name: str, at: Vec, force: Vec, couple: Vec | None = None) -> PointLoad:
    return PointLoad(name, at, force, np.zeros(3) if couple is None else couple)


@dataclass(frozen=True)
class LoadPath:
    """How the lock holds the leg. ``line``: unit vector along which a brace in compression pushes the leg at ``lug``.

    ``roots``: what one N of that compression does to the airframe, as (name, place, force). ``lock_link``: compression
    of the lock links for one N, None without them. ``bearings``: butt lines left and right, or None.
    """

    trunnion: complex
    lug: complex
    line: complex
    brace_bl: float
    roots: tuple[tuple[str, complex, complex], ...]
    lock_link: float | None
    bearings: tuple[float, float] | None
    thrust_bearing: str


def load_path(study: Study, gear: Gear) -> LoadPath:
    """A brace with a stop at its knee, or without a knee, is one strut from upper pin to lug. Without that stop the
    lower link alone is the strut, and lock links hold the knee. ``MechanismError`` if they cannot."""
    entry, pins = study.gear.brace, gear.pins
    stop = entry.stop if entry.stop is not None else gear.lock_link is None
    strut = stop or gear.lock_link is None or not gear.brace.has_knee
    upper, lug = pins["upper pin"].at, gear.brace.lug
    start = upper if strut else gear.brace.knee
    line = (lug - start) / abs(lug - start)
    roots: tuple[tuple[str, complex, complex], ...] = (("upper pin", upper, -line),)
    link = None
    if not strut:
        link, roots = _held_by_links(gear, line)
    trunnion = pins["trunnion"].at
    _check_arm(abs(float(cross(lug - trunnion, line))), abs(lug - trunnion))
    leg = study.gear.leg
    return LoadPath(trunnion, lug, line, entry.butt_line, roots, link, leg.bearings, leg.thrust_bearing)


def _held_by_links(gear: Gear, line: complex) -> tuple[float, tuple[tuple[str, complex, complex], ...]]:
    """The upper link turns on its pin: the lower link pushes it back at the knee, the lock links hold it at theirs."""
    upper, knee = gear.pins["upper pin"].at, gear.brace.knee
    root, pin = gear.pins["lock root"].at, gear.pins["lock pin"].at
    along = (pin - root) / abs(pin - root)
    arm = plain(cross(pin - upper, along))
    if abs(arm) < 1e-9 * abs(pin - upper):
        raise MechanismError("the lock links point at the upper pin: they cannot hold the knee")
    link = plain(cross(knee - upper, line)) / arm
    return link, (("upper pin", upper, -line + link * along), ("lock root", root, -link * along))


def _check_arm(arm: float, leg: float) -> None:
    if arm < 1e-6 * leg:
        raise MechanismError(f"the brace points at the trunnion: its arm is {arm:.3g} mm, it cannot hold the leg")


def moment_about_trunnion(path: LoadPath, applied: Sequence[PointLoad]) -> float:
    """Moment of the loads about the trunnion's axis, N mm, positive about +BL (wheel forward and up)."""
    about = space(path.trunnion)
    return sum(float(load.moment(about)[1]) for load in applied)


def brace_force(path: LoadPath, applied: Sequence[PointLoad]) -> float:
    """Axial force of the brace, N, compression positive, from moments about the trunnion's axis."""
    return moment_about_trunnion(path, applied) / float(cross(path.lug - path.trunnion, path.line))


def on_airframe(path: LoadPath, applied: Sequence[PointLoad], brace: float) -> tuple[PointLoad, ...]:
    """What the gear does to the airframe: trunnion (split over its bearings if given) and the brace's roots."""
    centre = space(path.trunnion)
    push = point_load("brace", space(path.lug, path.brace_bl), brace * space(path.line))
    on_leg = [*applied, push]
    force = np.sum([load.force for load in on_leg], axis=0)
    moment = np.sum([load.moment(centre) for load in on_leg], axis=0)
    held = tuple(_bearings(path, centre, force, moment)) if path.bearings else (_whole(centre, force, moment),)
    roots = tuple(point_load(name, space(at, path.brace_bl), brace * space(one)) for name, at, one in path.roots)
    return held + roots


def _whole(centre: Vec, force: Vec, moment: Vec) -> PointLoad:
    """The trunnion as one place at BL 0. Its pin carries no couple along its own axis."""
    return point_load("trunnion", centre, force, np.array([moment[0], 0.0, moment[2]]))


def _bearings(path: LoadPath, centre: Vec, force: Vec, moment: Vec) -> Iterator[PointLoad]:
    if path.bearings is None:
        raise ValueError("no bearings to split over")
    left, right = path.bearings
    # moments of radial forces on the axis: about FS = BL x WL force, about WL = -BL x FS force
    on_right = np.array([-moment[2] - left * force[0], 0.0, moment[0] - left * force[2]]) / (right - left)
    on_left = np.array([force[0], 0.0, force[2]]) - on_right
    takes_right = path.thrust_bearing == "right" or (path.thrust_bearing == "pushed" and force[1] > 0.0)
    (on_right if takes_right else on_left)[1] = force[1]
    for name, bl, load in (("trunnion left", left, on_left), ("trunnion right", right, on_right)):
        yield point_load(name, centre + np.array([0.0, bl, 0.0]), load)


def closure(applied: Sequence[PointLoad], airframe: Sequence[PointLoad]) -> float:
    """Relative error of sum of forces and of moments: what goes into the gear must come out at the airframe.

    Sums plain vectors in space about FS 0, BL 0, WL 0, and uses nothing of how they were found.
    """
    origin = np.zeros(3)
    worst = 0.0
    forces = ([x.force for x in applied], [x.force for x in airframe])
    moments = ([x.moment(origin) for x in applied], [x.moment(origin) for x in airframe])
    for into, out in (forces, moments):
        scale = sum(float(np.linalg.norm(v)) for v in [*into, *out])
        gap = np.sum(into, axis=0) - np.sum(out, axis=0)
        worst = max(worst, float(np.linalg.norm(gap)) / scale if scale else 0.0)
    return worst


def checked(applied: Sequence[PointLoad], airframe: Sequence[PointLoad], what: str) -> float:
    """`closure`, or ``ClosureError`` where it is above ``CLOSES``."""
    error = closure(applied, airframe)
    if not error <= CLOSES:
        raise ClosureError(f"{what}: loads on the airframe miss the wheel load by {error:.3g} of their size")
    return error
