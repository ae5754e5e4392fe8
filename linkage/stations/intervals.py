"""Intervals of stations in which every loading keeps every limit, and which limit ends them on each side.

With the attitude kept, the distance b of a CG ahead of the mains and its height h do not depend on the nose wheel.
Share is b/L, so the ends of the band are closed forms of the extremes of b. Tip-back, b/h, is free of the nose wheel
and linear for the mains. Turnover and propeller: see ``limits``. Extremes are exact (``linkage.loading``), so the ends
are.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from linkage.loading import LoadCase, extreme, mass_form
from linkage.loading.forms import Stance2
from linkage.stations.limits import blade_at_mains, blade_at_nose, turnover_wheelbase
from linkage.stations.site import Side, Site

Wheel = Literal["nose", "mains"]


@dataclass(frozen=True)
class Bound:
    """An end: past ``at`` (FS of the ground contact, mm) towards ``side`` the ``limit`` is broken, by ``case``."""

    limit: str
    side: Side
    at: float
    case: LoadCase | None = None


@dataclass(frozen=True)
class Fixed:
    """A limit that no station of this wheel changes, and whether it holds."""

    limit: str
    holds: bool


@dataclass(frozen=True)
class Interval:
    """Stations of one wheel with the other in its place, FS of the ground contact in mm; ``chosen`` as in the study.

    ``forward`` and ``aft`` are its ends, None where nothing ends it. They lie the wrong way round when ``empty``.
    """

    wheel: Wheel
    chosen: float
    bounds: tuple[Bound, ...]
    fixed: tuple[Fixed, ...]

    @property
    def forward(self) -> Bound | None:
        return max((b for b in self.bounds if b.side == "forward"), key=lambda b: b.at, default=None)

    @property
    def aft(self) -> Bound | None:
        return min((b for b in self.bounds if b.side == "aft"), key=lambda b: b.at, default=None)

    @property
    def empty(self) -> bool:
        """No station keeps every limit."""
        low, high = self.forward, self.aft
        crossed = low is not None and high is not None and low.at > high.at
        return crossed or not all(f.holds for f in self.fixed)

    @property
    def holds(self) -> bool:
        """The chosen station keeps every limit."""
        low, high = self.forward, self.aft
        inside = (low is None or low.at <= self.chosen) and (high is None or self.chosen <= high.at)
        return inside and not self.empty


@dataclass(frozen=True)
class Stations:
    """The interval of each wheel, the other one where the study has it."""

    nose: Interval
    mains: Interval


def nose_interval(s: Site, mains: float = 0.0) -> Interval:
    """Stations (FS, mm) of the nose wheel in which every limit holds, with the mains moved aft by ``mains`` mm."""
    stance = s.moved(mains=mains)
    found = [*_share_of_nose(s, stance), *_tip_back_of_nose(s, stance), *_turnover(s, stance, "nose")]
    found += [*_propeller_static(s), *_blade(s, "nose", mains)]
    return _interval("nose", stance.nose.real, found)


def mains_interval(s: Site, nose: float = 0.0) -> Interval:
    """Stations (FS, mm) of the mains in which every limit holds, with the nose wheel moved aft by ``nose`` mm."""
    stance = s.moved(nose=nose)
    found = [*_share_of_mains(s, stance), *_tip_back_of_mains(s, stance), *_turnover(s, stance, "mains")]
    found += [*_propeller_static(s), *_blade(s, "mains", nose)]
    return _interval("mains", stance.main.real, found)


def _interval(wheel: Wheel, chosen: float, found: list[Bound | Fixed]) -> Interval:
    bounds = tuple(f for f in found if isinstance(f, Bound))
    return Interval(wheel, chosen, bounds, tuple(f for f in found if isinstance(f, Fixed)))


def _share_of_nose(s: Site, stance: Stance2) -> Iterator[Bound]:
    """b/L >= least bounds L from above by the least b, b/L <= greatest from below by the greatest b."""
    ahead, mass = stance.to_main_form(s.model), mass_form(s.model)
    least, most = s.share
    if least is not None and least > 0.0:
        b = extreme(s.model, ahead, mass, "min")
        at = stance.main - b.value / least * stance.direction
        yield Bound(f"nose share >= {100 * least:g} %", "forward", at.real, b.case)
    if most is not None:
        b = extreme(s.model, ahead, mass, "max")
        at = stance.main - b.value / most * stance.direction
        yield Bound(f"nose share <= {100 * most:g} %", "aft", at.real, b.case)


def _share_of_mains(s: Site, stance: Stance2) -> Iterator[Bound]:
    """Mains moved aft by y: (b + y)/(L + y) is the share, so the end is y = (share L - b)/(1 - share)."""
    ahead, mass, wheelbase = stance.to_main_form(s.model), mass_form(s.model), stance.wheelbase_mm
    least, most = s.share
    if least is not None and least < 1.0:
        b = extreme(s.model, ahead, mass, "min")
        at = stance.main + (least * wheelbase - b.value) / (1.0 - least) * stance.direction
        yield Bound(f"nose share >= {100 * least:g} %", "forward", at.real, b.case)
    if most is not None and most < 1.0:
        b = extreme(s.model, ahead, mass, "max")
        at = stance.main + (most * wheelbase - b.value) / (1.0 - most) * stance.direction
        yield Bound(f"nose share <= {100 * most:g} %", "aft", at.real, b.case)


def _tip_back_of_mains(s: Site, stance: Stance2) -> Iterator[Bound]:
    """b + y >= h tan(least) for every loading, and <= h tan(greatest)."""
    ahead, height, mass = stance.to_main_form(s.model), stance.height_form(s.model), mass_form(s.model)
    least, most = s.tip_back
    if least is not None:
        need = extreme(s.model, height * math.tan(least) - ahead, mass, "max")
        at = stance.main + need.value * stance.direction
        yield Bound(f"tip-back >= {math.degrees(least):g} deg", "forward", at.real, need.case)
    if most is not None:
        need = extreme(s.model, height * math.tan(most) - ahead, mass, "min")
        at = stance.main + need.value * stance.direction
        yield Bound(f"tip-back <= {math.degrees(most):g} deg", "aft", at.real, need.case)


def _tip_back_of_nose(s: Site, stance: Stance2) -> Iterator[Fixed]:
    for bound in _tip_back_of_mains(s, stance):
        ahead = bound.at <= stance.main.real
        yield Fixed(bound.limit, ahead if bound.side == "forward" else bound.at >= stance.main.real)


def _turnover(s: Site, stance: Stance2, wheel: Wheel) -> Iterator[Bound | Fixed]:
    if s.turnover is None:
        return
    text = f"turnover <= {math.degrees(s.turnover):g} deg"
    found = turnover_wheelbase(s.model, stance, s.track, s.turnover, wheel == "nose")
    if found is None:
        yield Fixed(text, False)
        return
    wheelbase, case = found
    if wheel == "nose":
        yield Bound(text, "aft", (stance.main - wheelbase * stance.direction).real, case)
    else:
        yield Bound(text, "aft", (stance.nose + wheelbase * stance.direction).real, case)


def _propeller_static(s: Site) -> Iterator[Fixed]:
    """Attitude kept, so clearance is kept."""
    if s.blade is not None and s.propeller is not None:
        clear = min(s.stance.height_mm(s.blade), s.blade.imag - s.stance.main.imag)
        yield Fixed(f"propeller >= {s.propeller:g} mm, static", clear >= s.propeller)


def _blade(s: Site, wheel: Wheel, other: float) -> Iterator[Bound | Fixed]:
    """Propeller with the nose tyre flat and its strut bottomed; a propeller behind the mains is lifted by that."""
    if s.blade is None or s.propeller_flat is None or s.blade.real >= s.stance.main.real:
        return
    text = f"propeller >= {s.propeller_flat:g} mm, tyre flat"
    find = blade_at_nose if wheel == "nose" else blade_at_mains
    found = find(s, s.blade, s.propeller_flat, other)
    if isinstance(found, bool):
        yield Fixed(text, found)
    else:
        at, side = found
        yield Bound(text, side, at)
