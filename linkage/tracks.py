"""Where the core of a part runs: its points at any driven rotation, and a proved bound on the way between."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from linkage.gear import LEG, BodyPoint, Gear, GearPart
from linkage.mechanism.enclosure import chord_slack
from linkage.mechanism.model import GROUND, Complexes, Floats
from linkage.mechanism.motion import tracer
from linkage.stroke import motion_at

PROOF_CELLS = 512
"""Cells in which accelerations are enclosed once; the bounds of all other cells follow from them."""

PROOF_ROUNDS, PROOF_PIECES = 4, 16
"""How often, and into how many pieces, a cell is cut up while its enclosure is loose."""

LOOSE = 0.05
"""mm. A point that strays further from its chord within a whole proof cell is not believed yet."""

ROUNDING = 1e-9
"""Part of a cell by which a range of cells is widened, so that rounding never leaves one out."""

PLACE_ROUNDING = 1e-5
"""mm. Far above the rounding of a computed place and of the bound itself: both are computed numbers, not the motion."""

REMEMBERED = 64
"""Sets of places that a track keeps."""

TURN_LOOSE, TURN_ROUNDS = 1e-6, 6
"""rad given for rounding, and again for what the proof of a turn's range may give away: a micrometre each, a metre from
the pivot; and how often cells are cut up for it."""

WIDEST_LOOSE = 0.25
"""rad. A turn known less well than this between two samples is not known."""


@dataclass(frozen=True)
class Turning:
    """A part whose whole core turns about one pin of the airframe, from ``lo`` to ``hi`` rad, drawn position 0."""

    pivot: complex
    lo: float
    hi: float


def in_state(part: GearPart, gear: Gear, compression: float) -> GearPart:
    """The part with the strut compressed: piston parts move up the leg, their points on the leg and its axle."""
    if not part.on_piston or compression == 0.0:
        return part
    lift = -compression * gear.down
    core = tuple(BodyPoint(p.body, p.at + lift) if p.body == LEG else p for p in part.core)
    return replace(part, core=core)


@dataclass(frozen=True)
class Track:
    """A part in motion: ``at`` maps driven rotations (k,) to core points (k, m); ``slack`` maps cells [lo, hi] (k,) to
    a proved bound (k,), mm, on the core's distance from the straight run between its places at the ends of the cell."""

    part: GearPart
    at: Callable[[Floats], Complexes]
    slack: Callable[[Floats, Floats], Floats]


Bends = dict[str | tuple[BodyPoint, ...], Floats]
"""Proved suprema of the acceleration (per driven rad squared) in each of `PROOF_CELLS` equal cells: of a point 1 mm
from the pivot, by the body that turns on it, and of other cores by their points. Filled as they come up, so that all
parts of one gear, in all its states, share them."""


def track(gear: Gear, part: GearPart, driven_up: float, bends: Bends | None = None) -> Track:
    """The part's track over the stroke from 0 to ``driven_up``."""
    return Track(part, _remembered(core_at(gear, part)), slack_of(gear, part, driven_up, bends))


def _remembered(at: Callable[[Floats], Complexes]) -> Callable[[Floats], Complexes]:
    """The same function, which does not compute again what it is asked again: many searches halve the same cells."""
    known: dict[bytes, Complexes] = {}

    def recalled(driven: Floats) -> Complexes:
        key = np.asarray(driven, dtype=np.float64).tobytes()
        if key not in known and len(known) < REMEMBERED:
            known[key] = at(driven)
            known[key].flags.writeable = False
        return known[key] if key in known else at(driven)

    return recalled


def core_at(gear: Gear, part: GearPart) -> Callable[[Floats], Complexes]:
    """Function of driven rotations (k,) to core points (k, m)."""
    traced = tracer(gear.plan, [(p.body, p.at) for p in part.core])

    def at(driven: Floats) -> Complexes:
        return traced(gear.drive_sense * np.atleast_1d(driven))[:, 0, :].T

    return at


def slack_of(
    gear: Gear, part: GearPart, driven_up: float, bends: Bends | None = None
) -> Callable[[Floats, Floats], Floats]:
    """Bound (hi - lo)^2/8 * sup|X''| of any cell, from the proved supremum in each of `PROOF_CELLS` equal cells."""
    proved = _proved(gear, part, driven_up, bends)
    return lambda lo, hi: proved(lo, hi) + PLACE_ROUNDING


def _proved(
    gear: Gear, part: GearPart, driven_up: float, bends: Bends | None = None
) -> Callable[[Floats, Floats], Floats]:
    width = driven_up / PROOF_CELLS
    peaks = _peaks(_bend_of(gear, part, driven_up, {} if bends is None else bends))

    def slack(lo: Floats, hi: Floats) -> Floats:
        first = np.clip(np.floor(np.asarray(lo) / width - ROUNDING).astype(int), 0, PROOF_CELLS - 1)
        last = np.clip(np.ceil(np.asarray(hi) / width + ROUNDING).astype(int) - 1, first, PROOF_CELLS - 1)
        level = np.frexp(last - first + 1)[1] - 1
        most = np.maximum(peaks[level, first], peaks[level, last - (1 << level) + 1])
        return np.asarray((np.asarray(hi) - np.asarray(lo)) ** 2 / 8.0 * most)

    return slack


def _bend_of(gear: Gear, part: GearPart, driven_up: float, bends: Bends) -> Floats:
    """Suprema of the acceleration of the part's core in the proof cells. On a pivot all points of a body accelerate
    alike but for their distance from it."""
    bodies = {p.body for p in part.core} - {GROUND}
    body = next(iter(bodies), GROUND)
    if len(bodies) != 1 or body not in gear.pivots:
        if part.core not in bends:
            bends[part.core] = _accelerations(gear, [(p.body, p.at) for p in part.core], driven_up)
        return bends[part.core]
    pivot = gear.pivots[body]
    if body not in bends:
        bends[body] = _accelerations(gear, [(body, pivot + 1.0)], driven_up)
    return np.asarray(bends[body] * max(abs(p.at - pivot) for p in part.core if p.body == body))


def _accelerations(gear: Gear, points: Sequence[tuple[str, complex]], driven_up: float) -> Floats:
    """Proved suprema over the proof cells. Where the enclosure is loose, as near a dead point, a cell is cut up: its
    supremum is the greatest of its pieces."""
    edges = np.linspace(0.0, driven_up, PROOF_CELLS + 1)
    lo, hi, owner = edges[:-1], edges[1:], np.arange(PROOF_CELLS)
    found = np.zeros(PROOF_CELLS)
    for left in reversed(range(PROOF_ROUNDS)):
        ends = gear.drive_sense * lo, gear.drive_sense * hi
        slack = chord_slack(gear.plan, np.minimum(*ends), np.maximum(*ends), points)
        loose = (slack > LOOSE * (hi - lo) / (edges[1] - edges[0])) & (left > 0)
        np.maximum.at(found, owner[~loose], slack[~loose] * 8.0 / (hi - lo)[~loose] ** 2)
        marks = lo[loose, None] + (hi - lo)[loose, None] * np.linspace(0.0, 1.0, PROOF_PIECES + 1)
        marks[:, -1] = hi[loose]
        lo, hi, owner = marks[:, :-1].ravel(), marks[:, 1:].ravel(), np.repeat(owner[loose], PROOF_PIECES)
    return found


def _peaks(values: Floats) -> Floats:
    """Row k holds the greatest of the 2^k values from each place on: any range is covered by two of them."""
    rows = [values]
    for k in range(int(np.log2(len(values)))):
        ahead = np.concatenate([rows[-1][1 << k :], np.full(1 << k, -np.inf)])
        rows.append(np.maximum(rows[-1], ahead))
    return np.array(rows)


def turning(gear: Gear, part: GearPart, driven_up: float, bends: Bends | None = None) -> Turning | None:
    """How the part turns on the airframe over the whole stroke, or None if it does not just turn or nothing is proved.

    The range holds every pose, between samples too, and exceeds what is really reached by twice `TURN_LOOSE`, unless
    `TURN_ROUNDS` do not suffice for that.
    """
    bodies = {p.body for p in part.core}
    body = next(iter(bodies))
    if len(bodies) != 1 or body not in gear.pivots:
        return None
    pivot = gear.pivots[body]
    edges = np.linspace(0.0, driven_up, PROOF_CELLS + 1)
    probe = GearPart("probe", (BodyPoint(body, pivot + 1.0),), False, 0.0, (), False, False)
    # a point one millimetre from the pivot strays from its chord by no less than its angle strays in radians
    proved = _proved(gear, probe, driven_up, bends)
    if not float(np.max(proved(edges[:-1], edges[1:]))) < WIDEST_LOOSE:
        return None
    angles = motion_at(gear, edges, 0).angle(body)[0]

    def more(driven: Floats) -> Floats:
        """Angles at further places, followed from the samples."""
        near = np.interp(driven, edges, angles)
        return np.asarray(near + np.angle(motion_at(gear, driven, 0).turn(body)[0] * np.exp(-1j * near)))

    return Turning(
        pivot,
        -_greatest(lambda x: -more(x), -angles, edges, proved),
        _greatest(more, angles, edges, proved),
    )


def _greatest(
    at: Callable[[Floats], Floats], known: Floats, edges: Floats, proved: Callable[[Floats, Floats], Floats]
) -> float:
    """Upper bound of an angle over all cells. Cells that may rise above the greatest sample by more than `TURN_LOOSE`
    are cut up, as the bound falls with the square of their length."""
    lo, hi, first, last = edges[:-1], edges[1:], known[:-1], known[1:]
    best = bound = float(known.max())
    for left in reversed(range(TURN_ROUNDS)):
        above = np.maximum(first, last) + 2.0 * proved(lo, hi)
        loose = (above > best + TURN_LOOSE) & (left > 0)
        bound = max(bound, float(np.max(above[~loose], initial=-np.inf)))
        if not loose.any():
            break
        marks = lo[loose, None] + (hi - lo)[loose, None] * np.linspace(0.0, 1.0, PROOF_PIECES + 1)
        marks[:, -1] = hi[loose]
        angles = at(marks.ravel()).reshape(marks.shape)
        best = max(best, float(angles.max()))
        lo, hi, first, last = (m.ravel() for m in (marks[:, :-1], marks[:, 1:], angles[:, :-1], angles[:, 1:]))
    return bound + TURN_LOOSE
