"""How much further than the drawn gear's the parts of gears as made stray, in states with play or a turned wheel.

What play lets a part stray is the greatest over the corners of its core and the poses (`linkage.states.play`): too much
to be solved for every gear. Within the tolerances curves say it, one for each corner and pose that may be the greatest:
a straight line in all dimensions and its square, for what bends it is mostly one thing, how far the gear goes up. A
reserve is added that grows with the square of the deviations: twice the most that gears at the ends of the tolerances,
solved in full, were seen to lie above. Beyond the tolerances, and where the reserve would be much, it is solved near
those poses.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np

from linkage.clearance import Flags
from linkage.gear import LEG, Gear
from linkage.mechanism.model import GROUND, Drawn, Floats
from linkage.plane.vectors import dot
from linkage.states.play import per_clearance
from linkage.stroke import motion_at
from linkage.tolerance.assembly import Blueprint
from linkage.tolerance.differences import STEP
from linkage.tolerance.model import Deviations
from linkage.tolerance.moving import Moving
from linkage.tolerance.places import least_at

TRIED = 16
"""Pairs of gears at opposite corners of the tolerances, chosen at random, that the reserve is taken from; with them
those at which the slopes of each part lead furthest, and those with one dimension off."""
WITHIN = 1.0 + 1e-9
"""Of a tolerance: what is beyond it is solved."""
MUCH = 0.05
"""mm of reserve with which curves are no longer thought to tell: then every gear is solved."""
SLIGHT = 1e-3
"""mm. A corner and pose that nowhere lets its part stray further by more than another does is not kept: the reserve has
it."""
FURTHER = 10.0
"""Of the tolerances: so far off the rig card may look."""
NEAR = 0.03
"""Of the stroke, to either side of where the drawn gear's part strays furthest."""
MOVING = ("pin_position", "link_length", "knee_stop", "axle", "actuator_length", "actuator_stroke")
"""Tolerances that move the parts."""
Built = Callable[[Deviations], tuple[Gear, Floats]]
Corner = tuple[int, int]


@dataclass(frozen=True)
class Stray:
    """Of ``part``, mm. ``corners`` (m,) of its core and ``poses`` (m,), as a part of the stroke, at which it may stray
    furthest; ``drawn`` (m,): how far, of the drawn gear; ``slopes`` (m, dimensions); ``bends`` (m,): per mm, of the
    square of what the slopes say; ``reserve``: at the ends of the tolerances; ``limits`` (dimensions,): these, infinite
    for what moves nothing."""

    part: int
    corners: tuple[Corner, ...]
    poses: Floats
    drawn: Floats
    slopes: Floats
    bends: Floats
    reserve: float
    limits: Floats

    def curves(self, sizes: Floats) -> Floats:
        """How much further gears (n, dimensions) let the part stray than the drawn one does (n,), without reserve."""
        straight = sizes @ self.slopes.T
        return np.asarray((self.drawn + straight + self.bends * straight**2).max(axis=1) - self.drawn.max())

    def further(self, sizes: Floats, gear: Gear, up: Floats, clearance: float) -> Floats:
        """The same, never less than it is. ``gear``, ``up`` (n,): these gears without play, and their driven rotation
        at leg-up, rad."""
        used: Floats = (np.abs(sizes) / np.maximum(self.limits, STEP)).max(axis=1, initial=0.0)
        found = self.curves(sizes) + self.reserve * np.minimum(used, 1.0) ** 2
        inside = (used <= WITHIN) & (self.reserve <= MUCH)
        if inside.all():
            return found
        return np.where(inside, found, self._solved(gear, up, clearance) + SLIGHT)

    def _solved(self, gear: Gear, up: Floats, clearance: float) -> Floats:
        """Solved at the poses kept; where they are none of the ends, at the greatest of the parabola near by."""
        found = np.zeros(len(up))
        for corner, pose in zip(self.corners, self.poses, strict=True):
            inner = min(max(pose, NEAR), 1.0 - NEAR)
            near = [pose] if pose in (0.0, 1.0) else [inner - NEAR, inner, inner + NEAR]
            (far,) = how_far(gear, up, np.array(near), [corner], clearance)
            found = np.fmax(found, -least_at(-far))
        return np.asarray(found - self.drawn.max())


@np.errstate(invalid="ignore", divide="ignore")  # gears that cannot be are NaN
def how_far(gear: Gear, up: Floats, poses: Floats, corners: Collection[Corner], clearance: float) -> Floats:
    """How far corners of parts stray (corners, n, poses), mm; NaN where a gear cannot be."""
    at: list[tuple[str, Drawn]] = [(p.body, p.at) for part, k in corners for p in (gear.parts[part].core[k],)]
    return np.asarray(clearance * per_clearance(gear, motion_at(gear, up[:, None] * poses, 1), at))


def corners_of(gear: Gear, part: int) -> list[Corner]:
    """Corners of a part that move."""
    return [(part, k) for k, p in enumerate(gear.parts[part].core) if p.body != GROUND]


def aside(plan: Blueprint, gear: Gear, one: Moving, thicker: Floats) -> tuple[Floats, Floats]:
    """How much further parts of made gears, ``thicker`` (n,), stray in the side view and across it, but for what play
    does in the side view: (n,) each, mm."""
    side, across = np.zeros(thicker.shape), np.zeros(thicker.shape)
    if one.turned > 0:
        offset = _offset(gear, one)
        out = offset - _offset(plan.gear, one)
        side = side + np.maximum(out, 0.0) * (1.0 - math.cos(one.turned))
        # a wheel nearer the axis reaches less far by its sine, a wide part by less (`linkage.states.parts.turned`)
        half = max(abs(v) for lines in one.piece.butt_lines for v in lines)
        less = np.sin(np.minimum(one.turned, np.arctan2(offset, half)))
        across = across + (out + thicker) * np.where(out + thicker > 0, math.sin(one.turned), less)
    bearings = plan.study.gear.leg.bearings
    if one.loose and bearings is not None and all(p.body == LEG for p in gear.parts[one.part].core):
        longer = _reach(gear, one) - _reach(plan.gear, one) + thicker
        across = across + plan.study.tolerances.pin_clearance_worn * longer / (bearings[1] - bearings[0])
    return side, across


def _offset(gear: Gear, one: Moving) -> Floats:
    """Greatest distance of the part's core from the line of the leg."""
    trunnion = gear.pins["trunnion"].at
    return np.asarray(np.max([np.abs(dot(p.at - trunnion, gear.aft)) for p in gear.parts[one.part].core], axis=0))


def _reach(gear: Gear, one: Moving) -> Floats:
    """Greatest distance of the part's core from the trunnion."""
    trunnion = gear.pins["trunnion"].at
    return np.asarray(np.max([np.abs(p.at - trunnion) for p in gear.parts[one.part].core], axis=0))


def strays(plan: Blueprint, parts: Sequence[int], poses: Floats, built: Built) -> tuple[Stray, ...]:
    """What play lets each of ``parts`` stray, at ``poses`` (poses,) as a part of the stroke. ``built``: makes gears and
    says their driven rotation at leg-up."""
    limits = np.array([d.limit for d in plan.dimensions])
    moves = np.array([d.field in MOVING for d in plan.dimensions])
    corners = [corners_of(plan.gear, part) for part in parts]

    def solved(sizes: Floats) -> list[Floats]:
        """Of each part (its corners x poses, n)."""
        gear, up = built(plan.tight(sizes))
        far = how_far(gear, up, poses, [c for own in corners for c in own], plan.study.tolerances.pin_clearance_worn)
        cuts = np.cumsum([len(own) for own in corners])[:-1]
        return [np.moveaxis(f, 1, 2).reshape(-1, len(sizes)) for f in np.split(far, cuts)]

    ends = np.diag(np.maximum(limits, STEP))[moves]
    table = solved(np.concatenate([np.zeros((1, len(limits))), ends, -ends]))
    bounds = np.where(moves, limits, np.inf)
    found = [
        _curves(part, own, poses, bounds, far, ends)
        for part, own, far in zip(parts, corners, table, strict=True)
        if own
    ]
    ways = [s.slopes[s.drawn.argmax()] for s in found]
    tried = _tried(np.where(moves, limits, 0.0), np.array(ways).reshape(-1, len(limits)))
    full = dict(zip(parts, solved(tried), strict=True))
    return tuple(_with_reserve(s, tried, full[s.part]) for s in found)


def _curves(part: int, own: Sequence[Corner], poses: Floats, bounds: Floats, far: Floats, ends: Floats) -> Stray:
    """Curves through ``far`` (corners x poses, 1 + twice as many as ``ends`` (k, dimensions)): as drawn, then with each
    dimension at its upper and its lower end. Kept are those that may be the greatest within the tolerances; without
    reserve yet."""
    k = len(ends)
    drawn, up, down = far[:, 0], far[:, 1 : 1 + k], far[:, 1 + k :]
    straight, bent = np.nan_to_num(0.5 * (up - down)), np.nan_to_num(0.5 * (up + down) - drawn[:, None])
    slopes = straight @ (ends / np.square(ends).sum(axis=1)[:, None])
    much = np.sum(straight**4, axis=1)
    bends = np.sum(bent * straight**2, axis=1) / np.where(much > 0, much, np.inf)
    limits = np.where(np.isfinite(bounds), bounds, 0.0)
    keep = _greatest(drawn, slopes, limits, _peaks(drawn.reshape(-1, len(poses))))
    corners, at = np.divmod(keep, len(poses))
    kept = tuple(own[i] for i in corners)
    return Stray(part, kept, poses[at], drawn[keep], slopes[keep], bends[keep], 0.0, bounds)


def _peaks(drawn: Floats) -> Flags:
    """Where (corners x poses,) of curves (corners, poses) none of the neighbours lies higher."""
    before, after = np.roll(drawn, 1, axis=1), np.roll(drawn, -1, axis=1)
    before[:, 0] = after[:, -1] = -np.inf
    return np.asarray((drawn >= before) & (drawn >= after)).ravel()


def _greatest(drawn: Floats, slopes: Floats, limits: Floats, peaks: Flags) -> list[int]:
    """Those of straight lines (m,) that may be the greatest within ``limits``, of peaks within `FURTHER` times as much;
    the greatest as drawn first."""
    kept: list[int] = []
    for i in np.argsort(-np.nan_to_num(drawn), kind="stable"):
        reach = np.abs(slopes[i] - slopes[kept]) @ limits * (FURTHER if peaks[i] else 1.0)
        if np.all(drawn[i] - drawn[kept] + reach > SLIGHT):
            kept.append(int(i))
    return kept


def _tried(limits: Floats, slopes: Floats) -> Floats:
    """Gears (n, dimensions) at the ends of the tolerances: one dimension off, all off at random, and where slopes
    (parts, dimensions) lead furthest."""
    alone = np.diag(limits)[limits > 0]
    random = np.random.default_rng(0).choice([-1.0, 1.0], (TRIED, len(limits))) * limits
    return np.concatenate([way * half for half in (alone, random, np.sign(slopes) * limits) for way in (1.0, -1.0)])


def _with_reserve(stray: Stray, tried: Floats, far: Floats) -> Stray:
    """``far``: of gears ``tried`` (n, dimensions), at every corner and pose (corners x poses, n)."""
    above = np.nanmax(far, axis=0, initial=0.0) - stray.drawn.max() - stray.curves(tried)
    return replace(stray, reserve=2.0 * max(float(above.max(initial=0.0)), 0.0))
