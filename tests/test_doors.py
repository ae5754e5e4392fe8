"""Doors driven by a rod from the gear: angles by trigonometry, dead points, gap to the tyre."""

from __future__ import annotations

import cmath
import math
from functools import cache

import numpy as np
import pytest
import shapely

from linkage.document.reader import Source
from linkage.document.study import Study
from linkage.doors import DoorMotion, doors
from linkage.gear import Gear
from linkage.solution import solve
from linkage.stroke import Stroke, gear_and_stroke
from tests.topologies import DOOR, STARTER
from tests.topologies import study as variant

TURNING = {**DOOR["gear.door"][0], "rod_on_door": [1486, 341], "rod_on_gear": {"along": 122, "offset": 66}}


@cache
def moved(turning: bool) -> tuple[Study, Gear, Stroke, DoorMotion]:
    study = variant("door", {"gear.door": [TURNING], "stroke.poses": 721} if turning else {})
    gear, stroke = gear_and_stroke(study)
    (door,) = doors(study, gear, stroke)
    return study, gear, stroke, door


@pytest.mark.parametrize("turning", [False, True])
def test_door_angle_by_the_law_of_cosines(turning: bool) -> None:
    study, gear, stroke, door = moved(turning)
    entry = study.gear.door[0]
    hinge, pin = complex(*entry.hinge), complex(*entry.rod_on_door)
    end = gear.on_leg(entry.rod_on_gear.along or 0.0, entry.rod_on_gear.offset)
    trunnion = gear.pins["trunnion"].at
    moved_end = trunnion + (end - trunnion) * np.exp(1j * stroke.swing)
    reach, arm, rod = np.abs(moved_end - hinge), abs(pin - hinge), abs(pin - end)
    corner = np.arccos((arm**2 + reach**2 - rod**2) / (2 * arm * reach))
    side = math.copysign(1.0, ((end - hinge).conjugate() * (pin - hinge)).imag)
    turned = np.unwrap(np.angle((moved_end - hinge) * np.exp(1j * side * corner) / (pin - hinge)))
    by_hand = turned - turned[-1]
    assert np.max(np.abs(np.abs(by_hand) - np.abs(door.opening))) < 1e-9
    assert door.opening[0] >= 0
    lean = np.abs(
        np.angle((pin - hinge) * np.exp(1j * turned) / (moved_end - hinge - (pin - hinge) * np.exp(1j * turned)))
    )
    assert np.max(np.abs(np.minimum(lean, np.pi - lean) - door.rod_angle)) < 1e-9


def test_the_door_turns_back_where_the_rod_points_at_the_trunnion() -> None:
    _, gear, stroke, door = moved(True)
    assert len(door.turns) == 1
    swing = float(door.turn_swings[0])
    pin, end = (
        np.interp(swing, stroke.swing, stroke.pins[f"nose door rod {n}"].real)
        + 1j * np.interp(swing, stroke.swing, stroke.pins[f"nose door rod {n}"].imag)
        for n in ("pin", "end")
    )
    trunnion = gear.pins["trunnion"].at
    lean = cmath.phase((pin - end) / (trunnion - end))
    assert min(abs(lean), math.pi - abs(lean)) < 1e-3
    turn = int(np.argmin(np.abs(stroke.swing - swing)))
    beyond = max(abs(door.opening[turn] - door.opening[0]), 0.0)
    assert door.beyond == pytest.approx(min(beyond, abs(door.opening[turn] - door.opening[-1])), abs=1e-4)
    assert moved(False)[3].turns == ()


def test_levers_by_moving_the_gear_a_little() -> None:
    _, _, stroke, door = moved(True)
    rate = np.gradient(door.opening, stroke.swing)
    assert abs(rate[-1]) == pytest.approx(door.lever_up, abs=2e-2)
    late = stroke.driven > 3 * stroke.dead_centre
    assert abs(rate[late][0]) == pytest.approx(door.lever_down, abs=0.2)


def test_gap_to_the_tyre_as_polygons() -> None:
    _, gear, stroke, door = moved(False)
    tyre = next(p for p in gear.parts if p.tyre)
    for i in range(0, len(stroke.driven), 15):
        ends = [stroke.pins[f"nose door {n}"][i] for n in ("hinge", "tip")]
        leaf = shapely.LineString([(z.real, z.imag) for z in ends])
        axle = stroke.pins["axle"][i]
        gap = leaf.distance(shapely.Point(axle.real, axle.imag)) - tyre.radius - 3
        assert door.tyre_gap[i] == pytest.approx(gap, abs=1e-9)
        assert door.tyre_low[i] == pytest.approx(axle.imag - tyre.radius, abs=1e-9)


def test_door_is_a_part_with_its_own_gap_and_sweep() -> None:
    source = Source(STARTER, "0" * 64, "", variant("door"))
    r = solve(source).results
    own = {frozenset((g.part, g.item)): g for g in r.clearance.own}
    gap = own[frozenset(("nose door", "tyre"))]
    assert gap.gap <= float(np.nanmin(r.doors[0].tyre_gap)) + 1e-9
    assert "nose door" in {p.name for p in r.swept.parts}
    assert sum(m.kg for m in r.gear.masses if m.name == "nose door") == 1.2


def test_findings_of_a_door() -> None:
    def found(entry: dict) -> dict[str, bool]:
        source = Source(STARTER, "0" * 64, "", variant("door", {"gear.door": [entry]}))
        return {f.code: f.passed for f in solve(source).findings if f.code.startswith("door-")}

    assert found(DOOR["gear.door"][0]) == {"door-rod": True}
    assert found(TURNING) == {"door-rod": True, "door-dead-point": False}
    assert found({**TURNING, "may_turn_back": True}) == {"door-rod": True}
