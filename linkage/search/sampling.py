"""Candidates of a batch: spread evenly over what the wishes leave free, with the wheel where it is wanted.

The trunnion lies on the perpendicular bisector of the axle's two places, or where three are wanted at the centre of
the circle through them; leg length, swing and lower link follow. So every candidate meets the wanted places.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.random import SeedSequence

from linkage.document.study import Study
from linkage.document.wanted import OnBody, Region, WantedPlace
from linkage.gear import leg_sense
from linkage.mechanism.model import Complexes, Floats
from linkage.mechanism.positions import bisector, circle_centre, pole, turn_about
from linkage.plane.vectors import dot
from linkage.search.candidates import Candidates, branches, wishes
from linkage.search.regions import along_line, extent, shape_of, spread

INSIDE = 0.999
"""Part of a tolerance that is used: what is left is for the digits in which a study is written."""


@dataclass
class Spread:
    """Numbers between 0 and 1, (designs, dimensions), handed out column by column."""

    numbers: Floats
    used: int = 0

    def next(self) -> Floats:
        self.used += 1
        return self.numbers[:, self.used - 1]

    def between(self, low: float, high: float) -> Floats:
        """One number of a range; a range of no width takes no dimension."""
        return low + self.next() * (high - low) if high > low else np.full(len(self.numbers), low)

    def of(self, region: Region) -> Complexes:
        """A point of a region."""
        if region.outline is not None:
            return spread(region, self.next(), self.next())
        (a, b), (c, d) = region.fs or (0.0, 0.0), region.wl or (0.0, 0.0)
        return np.asarray(self.between(a, b) + 1j * self.between(c, d))

    def near(self, place: WantedPlace) -> Complexes:
        """A point within the tolerance of a place."""
        reach = INSIDE * place.tolerance * np.sqrt(self.next())
        return np.asarray(complex(*place.at) + reach * np.exp(2j * np.pi * self.next()))


DIMENSIONS = 20
"""At most: three places of the axle 6, trunnion 2, axle offset 1, lug 2, upper pin 2, upper link 1, over centre 1,
actuator 4."""


def candidates(study: Study, seed: SeedSequence, count: int, branch: int) -> Candidates:
    """``count`` candidates of a branch: scrambled Sobol numbers (Owen scrambling, scipy.stats.qmc) of this seed."""
    return laid(study, Spread(numbers_of(seed, count)), branch)


def numbers_of(seed: SeedSequence, count: int) -> Floats:
    """The numbers between 0 and 1 of such a batch, (count, `DIMENSIONS`)."""
    from scipy.stats import qmc

    fresh = SeedSequence(seed.entropy, spawn_key=seed.spawn_key)  # the engine spawns, and a seed remembers that
    engine = qmc.Sobol(DIMENSIONS, scramble=True, rng=np.random.default_rng(fresh))
    return np.asarray(engine.random_base2(int(np.ceil(np.log2(max(count, 2)))))[:count])


def laid(study: Study, numbers: Spread, branch: int) -> Candidates:
    """Candidates for given numbers between 0 and 1. NaN where no trunnion can carry the axle between its places."""
    w, gear = wishes(study), study.gear
    sense = leg_sense(branches(study)[branch].folds)
    trunnion, down, up = _trunnion(study, numbers, sense)
    offset = numbers.between(*(w.axle_offset or (gear.leg.axle_offset,) * 2))
    radius = np.abs(down - trunnion)
    length = np.sqrt(np.where(radius > np.abs(offset), radius**2 - offset**2, np.nan))
    with np.errstate(invalid="ignore"):
        leg = (down - trunnion) / (length + 1j * offset)  # unit vector down the leg
    own = gear.brace.lug
    along, aside = _on_body(numbers, w.lug, (own.along or 0.0, own.offset))
    lug = trunnion + leg * (along + 1j * aside)
    upper = numbers.of(w.upper_pin or fixed(gear.brace.upper_pin))
    upper_link = numbers.between(*(w.upper_link or (gear.brace.upper_link or 0.0,) * 2))
    over = numbers.between(*(w.over_centre or (gear.brace.over_centre or 0.0,) * 2))
    left = np.abs(lug - upper) - np.sqrt(np.where(upper_link > over, upper_link**2 - over**2, np.nan))
    root = numbers.of(w.actuator.root or fixed(gear.actuator.root or (0.0, 0.0)))
    first, second = _on_body(numbers, w.actuator.pin, _actuator_pin(study))
    columns = (
        trunnion.real,
        trunnion.imag,
        length,
        offset,
        np.degrees(sense * turn_about(trunnion, down, up)),
        upper.real,
        upper.imag,
        along,
        aside,
        upper_link,
        np.where(left > 0, np.hypot(left, over), np.nan),  # closes the locked brace
        over,
        root.real,
        root.imag,
        first,
        second,
        np.full(len(along), -1.0),
    )
    return Candidates(np.stack(columns, axis=1), np.full(len(along), branch))


def fixed(point: tuple[float, float]) -> Region:
    """A region of one point."""
    return Region(fs=(point[0], point[0]), wl=(point[1], point[1]))


def trunnion_region(study: Study) -> Region:
    return wishes(study).trunnion or fixed(study.gear.trunnion)


def _trunnion(study: Study, numbers: Spread, sense: float) -> tuple[Complexes, Complexes, Complexes]:
    """Trunnion, and axle down and up, each within its tolerance and at one distance from it."""
    wheel, region = wishes(study).wheel, trunnion_region(study)
    if extent(region) <= wheel.up.tolerance:
        return _staying(numbers, wheel.down, wheel.up, region)
    down, up = numbers.near(wheel.down), numbers.near(wheel.up)
    if wheel.third is not None and shape_of(region).area > 0:  # on a line, down and up fix the trunnion
        return np.asarray(circle_centre(down, numbers.near(wheel.third), up)), down, up
    middle, way = bisector(down, up)
    low, high = _swinging(study, sense, down, up, *along_line(region, middle, way))
    return np.asarray(middle + way * (low + numbers.next() * (high - low))), down, up


def _staying(
    numbers: Spread, first: WantedPlace, last: WantedPlace, region: Region
) -> tuple[Complexes, Complexes, Complexes]:
    """A trunnion that has hardly room is where it is; the axle up comes as near to its wanted place as it goes, NaN
    where that is not within the tolerance."""
    trunnion, down = numbers.of(region), numbers.near(first)
    wanted = complex(*last.at)
    with np.errstate(invalid="ignore", divide="ignore"):
        up = trunnion + np.abs(down - trunnion) * (wanted - trunnion) / np.abs(wanted - trunnion)
        return trunnion, down, np.where(np.abs(up - wanted) <= INSIDE * last.tolerance, up, np.nan)


def _swinging(
    study: Study, sense: float, down: Complexes, up: Complexes, low: Floats, high: Floats
) -> tuple[Floats, Floats]:
    """The part of the bisector from which the swing is as wanted: between the poles of the least and the greatest."""
    swing = wishes(study).swing_up
    if swing is None:
        return low, high
    middle, way = bisector(down, up)
    ends = [dot(pole(down, up, sense * np.radians(s)) - middle, way) for s in swing]
    low, high = np.maximum(low, np.minimum(*ends)), np.minimum(high, np.maximum(*ends))
    return np.where(low <= high, low, np.nan), high


def _actuator_pin(study: Study) -> tuple[float, float]:
    pin = study.gear.actuator.pin
    if pin is None:
        return 0.0, 0.0
    return (pin.along, pin.offset) if pin.along is not None else (pin.radius or 0.0, pin.angle)


def _on_body(numbers: Spread, wanted: OnBody | None, own: tuple[float, float]) -> tuple[Floats, Floats]:
    """{along, offset} on the leg or {radius, angle} on a link."""
    if wanted is None:
        return numbers.between(own[0], own[0]), numbers.between(own[1], own[1])
    pairs = (wanted.along, wanted.offset) if wanted.along is not None else (wanted.radius, wanted.angle)
    one, other = (pair or (0.0, 0.0) for pair in pairs)
    return numbers.between(*one), numbers.between(*other)
