"""Angles and clearances on the ground as drawn, in every state of nose strut and tyre, and as settled on springs."""

from __future__ import annotations

import cmath
from collections.abc import Sequence
from dataclasses import dataclass

from linkage.document.airframe import Propeller
from linkage.document.study import Study
from linkage.gear import Gear
from linkage.loading import Extreme, LoadModel, constant_form, extreme, moment_bl_form, turnover
from linkage.loading.forms import Stance2
from linkage.stance.settled import SettledRange, Shape, settled_range, tip
from linkage.stance.states import Ground, flat
from linkage.stance.suspension import suspension
from linkage.stance.tyre import TyreCheck, tyre_check
from linkage.units import STANDARD_GRAVITY


@dataclass(frozen=True)
class Clearance:
    """Lowest point of the propeller disc above the ground in one state, mm."""

    state: str
    value: float


@dataclass(frozen=True)
class Standing:
    """``turnover``: worst over every loading, rad. ``propeller``: by state, empty without a propeller. ``tail``: rad
    from the static attitude until the tail touches, rocking about the main contact; None without a tail.
    ``side_load``: greatest load on one main leg at rest, N, with the CG aside. ``flat``: nose strut bottomed on a flat
    tyre. ``settled``: None unless the study gives springs."""

    turnover: Extreme
    propeller: tuple[Clearance, ...]
    tail: float | None
    side_load: Extreme
    flat: Ground
    settled: SettledRange | None
    tyre: TyreCheck

    def clearance(self, state: str) -> float:
        """Propeller clearance in a state, mm. ``KeyError`` if there is none."""
        return {c.state: c.value for c in self.propeller}[state]


def standing(study: Study, gear: Gear, states: Sequence[Ground], model: LoadModel) -> Standing:
    """Judge how it stands; ``states`` as from ``grounds``, static first. Raises as ``settled_range`` does."""
    frame, static = study.airframe, states[0]
    tail = complex(*frame.tail) if frame.tail is not None else None
    lowest = flat(study, gear)
    springs = suspension(study, gear)
    shape = Shape(frame.main_gear.track, frame.propeller, tail)
    return Standing(
        turnover(model, static.stance, frame.main_gear.track),
        tuple(_clearances(frame.propeller, [*states[:3], lowest])) if frame.propeller else (),
        tail_angle(tail, static.stance) if tail is not None else None,
        _side_load(model, static.stance, frame.main_gear.track, frame.main_gear.struts),
        lowest,
        settled_range(model, springs, static.stance, shape) if springs else None,
        tyre_check(study, model, static.stance),
    )


def propeller_clearance(propeller: Propeller, stance: Stance2) -> float:
    """Height of the lowest point of the disc above the ground through both contacts, mm."""
    return stance.height_mm(tip(propeller))


def tail_angle(tail: complex, stance: Stance2) -> float:
    """Angle at the main contact from the ground up to the tail, rad: what is left until it touches."""
    return cmath.phase((tail - stance.main) * stance.direction.conjugate())


def _clearances(propeller: Propeller, states: Sequence[Ground]) -> list[Clearance]:
    """In each state, and level on the mains."""
    static = states[0]
    level = Clearance("level", tip(propeller).imag - static.main.imag)
    return [level, *(Clearance(g.state, propeller_clearance(propeller, g.stance)) for g in states)]


def _side_load(model: LoadModel, stance: Stance2, track: float, struts: int) -> Extreme:
    """Greatest load on one main leg: its share of the mains, and what the CG aside puts on it. Linear in the masses."""
    half, one = stance.main_load_form(model) * (1.0 / struts), constant_form(model)
    if struts != 2:
        return extreme(model, half, one, "max")
    aside = moment_bl_form(model) * (STANDARD_GRAVITY / track)
    sides = [extreme(model, half + aside, one, "max"), extreme(model, half - aside, one, "max")]
    return max(sides, key=lambda e: e.value)
