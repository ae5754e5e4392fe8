"""A batch of candidates through a cascade of tests, cheap ones first: what is refused is counted by its reason."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from functools import lru_cache

import numpy as np

from linkage.document.study import Study
from linkage.document.variants import varied
from linkage.gear import Gear, build
from linkage.mechanism.model import Floats
from linkage.mechanism.motion import CHUNK
from linkage.obstacles import Obstacle
from linkage.search import drive, linkage
from linkage.search.candidates import Candidates, branches, variants_of, wishes
from linkage.search.field import Field, Indices, field, least_margin, too_near
from linkage.search.forces import pushes
from linkage.search.linkage import ROUNDING
from linkage.search.regions import inside
from linkage.search.rows import Flags, Rows, gathered
from linkage.search.sampling import candidates, trunnion_region
from linkage.search.screened import (
    FORCE,
    LOCK,
    MARGIN,
    MOMENT,
    PASSED,
    POSED,
    SAMPLED,
    TRANSMISSION,
    Batch,
    Screened,
    merge,
)
from linkage.stroke import motion_at

Test = Callable[[Rows, Study], Flags]

TRUNNION = "trunnion outside its region"
LEG = "leg length outside its range"
SWING = "swing outside its range"
LOWER = "lower link outside its range"
KNEE = "knee outside its region"
CLOSE = "does not close in the lock"
FOLD = "knee folds along the brace itself"
AXLE = "carries the axle elsewhere"
LIMITS = "over-centre offset or steer-axis tilt outside its limits"
WAY = "knee on the wrong side"
CENTRE = "knee never passes dead centre"
REACH = "does not reach up"
JAM = "jams on the way"
ANGLE = "transmission angle too small"
DEAD = "dead point of the actuator in the lock"
BACK = "actuator length turns back"
LENGTH = "actuator does not fit its length"
LOCKING = "actuator travel in the lock too small"
PUSH = "actuator force too great"
NEAR = "too near: "

FEW = 5
"""Poses of the first look at gaps: what comes too near there need not be looked at again."""

Items = tuple[Obstacle, ...]
Look = Callable[[Study, Items, Rows, Gear, Floats, Counter[str]], Rows]


def screen_batch(batch: Batch) -> Screened:
    """Sample and screen. The same batch gives the same answer wherever it is done."""
    found = candidates(batch.study, batch.seed, batch.count, batch.branch)
    return screen(batch.study, batch.items, found, batch.number)


def screen(study: Study, items: Items, found: Candidates, number: int) -> Screened:
    """Screen given candidates of one branch, all that pass kept. ``number``: of the batch."""
    parts = [
        _screened(study, items, found.take(slice(start, start + CHUNK)), (number << 32) + start)
        for start in range(0, len(found), CHUNK)
    ]
    return merge(parts)


def known_trunnion(rows: Rows, study: Study) -> Flags:
    """One that carries the axle from down to up, in its region."""
    place = rows.candidates.at("trunnion")
    return inside(trunnion_region(study), place) if wishes(study).trunnion is not None else np.isfinite(place)


def swings(rows: Rows, study: Study) -> Flags:
    """Towards its fold, by less than half a turn, within its range."""
    swing = rows.candidates.of("swing_up")
    return np.asarray((swing > 0) & (swing < 180) & _between(swing, wishes(study).swing_up))


def met(rows: Rows, study: Study) -> Flags:
    """A trunnion that stays takes the axle to within the tolerance of its place up."""
    return np.isfinite(rows.candidates.of("swing_up"))


def known_leg(rows: Rows, study: Study) -> Flags:
    return _between(rows.candidates.of("leg_length"), wishes(study).leg_length)


def known_lower(rows: Rows, study: Study) -> Flags:
    pair = wishes(study).lower_link
    return _between(rows.candidates.of("lower_link"), pair) if pair is not None else np.ones(len(rows), dtype=bool)


def _between(value: Floats, pair: tuple[float, float] | None) -> Flags:
    """Within the range, or where there is none any number."""
    low, high = pair if pair is not None else (-np.inf, np.inf)
    return np.asarray((value >= low) & (value <= high))


def known_knee(rows: Rows, study: Study) -> Flags:
    region = wishes(study).knee
    return inside(region, rows["knee"]) if region is not None else np.ones(len(rows), dtype=bool)


def limited(rows: Rows, study: Study) -> Flags:
    """Judged ranges that need no motion: over-centre offset, steer-axis tilt."""
    limits, down = study.limits, rows["down"]
    tilt = np.degrees(np.arctan2(-down.real, -down.imag))
    fine = np.ones(len(rows), dtype=bool)
    for value, pair in ((rows.candidates.of("over_centre"), limits.over_centre), (tilt, limits.steer_axis_tilt)):
        low, high = pair.ends()
        fine &= (value >= low) & (value <= high)
    return fine


PLACED: tuple[tuple[str, Test], ...] = (
    (TRUNNION, known_trunnion),
    (AXLE, met),
    (SWING, swings),
    (LEG, known_leg),
    (LOWER, known_lower),
)
"""Tests of columns alone: pins within their regions, lengths and swing within their ranges."""

DRAWN: tuple[tuple[str, Test], ...] = (
    (CLOSE, linkage.closes),
    (FOLD, linkage.folds),
    (KNEE, known_knee),
    (AXLE, linkage.carries),
    (LIMITS, limited),
    (WAY, linkage.right_way),
    (CENTRE, linkage.passes_centre),
    (REACH, linkage.reaches),
    (JAM, linkage.runs),
    (ANGLE, linkage.transmits),
    (DEAD, drive.moves_off),
    (BACK, drive.keeps_on),
    (LENGTH, drive.fits),
    (LOCKING, drive.holds),
)
"""Tests in closed form over the whole stroke, in their order."""


def _screened(study: Study, items: Items, found: Candidates, first: int) -> Screened:
    counts: Counter[str] = Counter({SAMPLED: len(found)})
    order = np.arange(first, first + len(found))
    rows = _sieve(Rows(found, {"order": order}), study, PLACED, counts)
    if len(rows):
        branch = branches(study)[int(rows.candidates.branch[0])]
        drawn = linkage.drawn(rows.candidates, branch)
        drawn["order"] = rows["order"]
        rows = _sieve(drawn, study, DRAWN, counts)
    for poses, tests in _stages(study):
        if tests[0] is _far_enough and poses > FEW:
            counts[POSED] += len(rows)
        size = max(1, CHUNK // poses)
        pieces = [rows.take(slice(start, start + size)) for start in range(0, len(rows), size)]
        rows = gathered([_looked(study, items, piece, poses, tests, counts) for piece in pieces], rows)
    names = (MARGIN, FORCE, MOMENT, LOCK, TRANSMISSION)
    measures = {name: np.asarray(rows[name]) if len(rows) else np.empty(0) for name in names}
    counts[PASSED] += len(rows)
    return Screened(rows.candidates, measures, dict(counts), rows["order"])


def _sieve(rows: Rows, study: Study, tests: tuple[tuple[str, Test], ...], counts: Counter[str]) -> Rows:
    """Candidates that pass all tests; the first failed one is the reason."""
    for reason, test in tests:
        if not len(rows):
            break
        fine = test(rows, study)
        counts[reason] += int(len(fine) - fine.sum())
        rows = rows.take(fine)
    return rows


def _stages(study: Study) -> Iterator[tuple[int, tuple[Look, ...]]]:
    """Numbers of poses, few first, and what is looked at there. The last ones are the very poses at which the study is
    judged: what is refused before for its force has a force there that is too great."""
    every, least = study.stroke.poses, wishes(study).poses
    yield FEW, (_far_enough,)
    yield (thinned(every, least) if every >= least else least), (_far_enough, _strong_enough)
    yield every, (_strong_enough, _measured)


def thinned(poses: int, least: int) -> int:
    """Fewest poses, at least ``least``, that are evenly among so many and meet both ends."""
    steps = poses - 1
    return 1 + min(
        (steps // s for s in range(1, steps + 1) if steps % s == 0 and steps // s + 1 >= least), default=steps
    )


def _looked(study: Study, items: Items, rows: Rows, poses: int, tests: tuple[Look, ...], counts: Counter[str]) -> Rows:
    for test in tests:
        if not len(rows):
            break
        gear = build(varied(study, variants_of(study, rows.candidates)))
        driven = rows["turn"][:, None] * np.linspace(0.0, 1.0, poses)
        rows = test(study, items, rows, gear, driven, counts)
    return rows


def _far_enough(study: Study, items: Items, rows: Rows, gear: Gear, driven: Floats, counts: Counter[str]) -> Rows:
    near = _field(_Key(study, items))
    short = too_near(near, gear, motion_at(gear, driven, 0))
    _count_near(counts, items, short)
    return rows.take(short < 0)


def _count_near(counts: Counter[str], items: Items, short: Indices) -> None:
    """``short``: place of the item that a design comes too near to, -1 for none."""
    for i, item in enumerate(items):
        if hits := int((short == i).sum()):
            counts[f"{NEAR}{item.name}"] += hits


def _strong_enough(study: Study, items: Items, rows: Rows, gear: Gear, driven: Floats, counts: Counter[str]) -> Rows:
    """Against gravity as judged, and in the states in which the gear moves; the weakest unit that can do it."""
    gravity, all_states = pushes(study, gear, motion_at(gear, driven, 1))
    rows[FORCE] = np.maximum(gravity, all_states)
    needed = rows[FORCE] * (1 + ROUNDING)
    units = wishes(study).actuator.catalogue
    if units:
        strength = np.where(rows["units"], np.array([u.max_force for u in units]), -np.inf)
        enough = strength >= needed[:, None]
        fine = enough.any(axis=1)
        rows.candidates.table[:, -1] = np.where(enough, strength, np.inf).argmin(axis=1)
    else:
        rated = study.gear.actuator.max_force
        fine = needed <= (rated if rated is not None else np.inf)
    counts[PUSH] += int((~fine).sum())
    return rows.take(fine)


def _measured(study: Study, items: Items, rows: Rows, gear: Gear, driven: Floats, counts: Counter[str]) -> Rows:
    """The measures that need poses; whether the gap measured there is enough, and whether the kernel finds every pose
    where the closed forms do."""
    motion = motion_at(gear, driven, 0)
    rows[MARGIN], nearest = least_margin(_field(_Key(study, items)), gear, motion)
    ends = ((m.kg, motion.point(m.at.body, m.at.at)) for m in gear.masses)
    moved = [kg * (path[:, -1] - path[:, 0]) for kg, path in ends]
    rows[MOMENT] = np.abs(np.sum(moved, axis=0).real) if moved else np.zeros(len(rows))
    closed = np.all(motion.margin > 0, axis=1)
    counts[JAM] += int((~closed).sum())
    clear = rows[MARGIN] >= 0
    _count_near(counts, items, np.where(closed & ~clear, nearest, -1))
    return rows.take(closed & clear)


class _Key:
    """Study and items of a search, told apart by which object they are."""

    def __init__(self, study: Study, items: Items) -> None:
        self.study, self.items = study, items
        self.text = (study.model_dump_json(), tuple((o.name, o.shape.wkb, o.radius, o.required) for o in items))

    def __hash__(self) -> int:
        return hash(self.text)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Key) and self.text == other.text


@lru_cache(maxsize=2)
def _field(key: _Key) -> Field:
    """The lattice around all places where the gear can be."""
    w, gear = wishes(key.study), build(key.study)
    corners = trunnion_region(key.study).corners
    centre = sum(corners) / len(corners)
    wheel = [complex(*w.wheel.down.at), complex(*w.wheel.up.at)]
    widest = max((p.radius for p in gear.parts), default=0.0)
    reach = 1.1 * max(abs(z - centre) for z in wheel) + widest
    return field(gear.parts, key.items, centre, reach)
