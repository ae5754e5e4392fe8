"""Blueprints, settings and a second road to a gear as made."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
from scipy.optimize import root

from linkage.document.study import Study
from linkage.gear import build
from linkage.tolerance import pieces
from linkage.tolerance.assembly import Blueprint
from linkage.tolerance.followed import Setting
from linkage.tolerance.model import Deviations
from linkage.tolerance.setting import setting
from linkage.tolerance.twin import twin
from linkage.tolerance.wear import Wear, wear
from tests.studies import MERROW, OSTREL, changed

INCHES = {"tolerances": {"link_length": 0.006, "pin_position": 0.016, "knee_stop": 0.03, "pin_clearance_worn": 0.014}}
"""Tolerances for the study in inches in place of its own: no play that turns the links on their stop."""


def blueprint(study: Study) -> Blueprint:
    gear = build(study)
    told = twin(study, gear)
    names = pieces.dimensions(told, gear), pieces.pins(told, gear), pieces.governing(told, gear)
    return Blueprint(told, build(told), *names)


@cache
def merrow() -> Setting:
    return setting(changed({}), MERROW.parent)


@cache
def merrow_wear() -> Wear:
    return wear(merrow(), None)


@cache
def ostrel() -> Setting:
    return setting(changed(INCHES, OSTREL), OSTREL.parent)


def set_to(plan: Blueprint, sizes: dict[str, Any], play: dict[str, complex] | None = None) -> Deviations:
    """One gear with these deviations, or several where they are arrays."""
    count = max([1, *(np.size(v) for v in sizes.values())])
    by = plan.none(count)
    for name, value in sizes.items():
        by.sizes[:, plan.index(name)] = value
    for pin, where in (play or {}).items():
        by.play[:, plan.pins.index(pin)] = where
    return by


def offset_by_constraints(plan: Blueprint, by: Deviations) -> float:
    """Offset left of one gear held by its knee stop: rigid pieces placed by root finding, no triangle solved.

    Unknown: angles of the upper link and of the leg. The stop keeps the turn of the lower link on the upper one.
    """
    g, (sizes,), (plays,) = plan.gear, by.sizes, by.play

    def size(name: str) -> float:
        return float(sizes[plan.index(name)])

    def play(pin: str) -> complex:
        return complex(plays[plan.pins.index(pin)])

    def ground(pin: str) -> complex:
        return g.pins[pin].at + size(f"{pin} FS") + 1j * size(f"{pin} WL") + play(pin)

    upper, knee, lug, trunnion = (g.pins[n].at for n in ("upper pin", "knee", "lug", "trunnion"))
    first, second = g.brace.upper_link + size("upper link"), g.brace.lower_link + size("lower link")
    drawn_turn = np.angle((lug - knee) / (knee - upper))
    sense = np.sign(drawn_turn)
    h = g.brace.over_centre + size("knee stop")
    turn = sense * (np.arcsin(h / g.brace.upper_link) + np.arcsin(h / g.brace.lower_link))
    side = sense  # towards the fold, seen along the lower link
    hole = complex(play("knee").real, side * play("knee").imag)
    if plan.study.tolerances.knee_stop_arm is not None:
        turn += sense * hole.real / plan.study.tolerances.knee_stop_arm
    arm = (lug - trunnion) / g.down + size("lug along") + 1j * size("lug across")

    def places(x: Any) -> tuple[complex, complex, complex, complex]:
        along = (knee - upper) / abs(knee - upper) * np.exp(1j * x[0])
        k1 = ground("upper pin") + first * along
        k2 = k1 + hole * along * np.exp(1j * turn)
        far = k2 + second * along * np.exp(1j * turn)
        return k1, k2, far, g.down * np.exp(1j * x[1])

    def miss(x: Any) -> list[float]:
        _, _, far, down = places(x)
        apart = far - ground("trunnion") - (arm + play("lug")) * down
        return [apart.real, apart.imag]

    found = root(miss, [0.0, 0.0], tol=1e-13)
    assert np.abs(found.fun).max() < 1e-9
    k1, k2, far, down = places(found.x)
    start, end = ground("upper pin") - play("upper pin"), far - play("lug") * down
    line = (end - start) / abs(end - start)
    return float(min(-side * ((k - start) * np.conj(line)).imag for k in (k1, k2)))
