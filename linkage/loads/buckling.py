"""Buckling of the locked brace and of each of its links under the greatest compression, at ULTIMATE load."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from linkage.document.gear import LinkSection
from linkage.document.study import Study
from linkage.gear import BraceShape, Gear
from linkage.loads.columns import bent_load, crippling_load, euler_load, stepped_euler_load


@dataclass(frozen=True)
class Column:
    """A member as a pin-ended column: what it carries and what it must carry, N, both ULTIMATE.

    ``margin``: capacity / ultimate - 1; infinite where no condition presses on it. ``method``: which relation decided.
    """

    member: str
    length: float
    euler: float
    capacity: float
    ultimate: float
    method: str

    @property
    def margin(self) -> float:
        return self.capacity / self.ultimate - 1.0 if self.ultimate > 0.0 else math.inf


def columns(study: Study, gear: Gear, ultimate: float) -> tuple[Column, ...]:
    """Every member whose section the study gives; ``ultimate``: greatest compression of the brace, N, ultimate."""
    entry, brace = study.gear.brace, gear.brace
    upper, lower = entry.upper_section, entry.lower_section
    if not brace.has_knee:
        return (_straight("whole brace", upper, brace.span, ultimate),) if upper else ()
    found = [
        _straight(name, section, length, ultimate)
        for name, section, length in (
            ("upper link", upper, brace.upper_link),
            ("lower link", lower, brace.lower_link),
        )
        if section is not None
    ]
    if upper is not None and lower is not None:
        found += _whole(brace, upper, lower, ultimate)
    return tuple(found)


def _least_inertia(s: LinkSection) -> float:
    return s.inertia if s.inertia_across is None else min(s.inertia, s.inertia_across)


def _straight(member: str, s: LinkSection, length: float, ultimate: float) -> Column:
    euler = euler_load(s.modulus, _least_inertia(s), s.length_factor * length)
    return _column(member, length, euler, crippling_load(s.area, s.yield_strength, euler), ultimate)


def _column(member: str, length: float, euler: float, capacity: float, ultimate: float) -> Column:
    return Column(member, length, euler, capacity, ultimate, "Euler" if capacity == euler else "Johnson")


def _whole(brace: BraceShape, upper: LinkSection, lower: LinkSection, ultimate: float) -> Iterator[Column]:
    """Both links in line, the knee stiff against its stop; and bent in the side view by the over-centre offset."""
    h = brace.over_centre
    lengths = (math.sqrt(brace.upper_link**2 - h * h), math.sqrt(brace.lower_link**2 - h * h))
    euler = stepped_euler_load((upper.modulus * _least_inertia(upper), lower.modulus * _least_inertia(lower)), lengths)
    capacity = min(crippling_load(s.area, s.yield_strength, euler) for s in (upper, lower))
    yield _column("whole brace", brace.span, euler, capacity, ultimate)
    side = stepped_euler_load((upper.modulus * upper.inertia, lower.modulus * lower.inertia), lengths)
    bent = [
        bent_load(s.area, s.inertia, s.extreme_fibre, s.yield_strength, side, h)
        for s in (upper, lower)
        if s.extreme_fibre is not None
    ]
    if len(bent) == 2:
        yield Column("whole brace, bent by its offset", brace.span, side, min(bent), ultimate, "Perry")
