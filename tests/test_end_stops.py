"""Axle travel per actuator travel at both ends, and what holds the gear up."""

from __future__ import annotations

import math

import numpy as np
import pytest

from linkage.document.reader import Source
from linkage.end_stops import EndStops, end_stops
from linkage.mechanism.statics import Load, balance
from linkage.solution import solve
from linkage.stroke import gear_and_stroke, motion_at
from linkage.units import STANDARD_GRAVITY
from tests.studies import MERROW, changed, solution
from tests.topologies import STARTER, VARIANTS
from tests.topologies import study as variant

HOOK = {"kind": "hook", "at": {"along": 500}, "overtravel": 0.5, "engage": 3, "max_force": 900}
STOP = {"kind": "leg stop", "at": {"along": 500}, "max_force": 20000}


def of(name: str, more: dict | None = None) -> EndStops:
    study = variant(name, more)
    gear, stroke = gear_and_stroke(study)
    return end_stops(study, gear, stroke)


@pytest.mark.parametrize("name", VARIANTS)
def test_rates_by_moving_the_gear_a_little(name: str) -> None:
    study = variant(name)
    gear, stroke = gear_and_stroke(study)
    found = end_stops(study, gear, stroke)
    for at, rate in ((0.0, found.axle_rate_down), (stroke.driven_up, found.axle_rate_up)):
        motion = motion_at(gear, at + np.array([-1e-5, 1e-5]), 0)
        path = {
            n: motion.point(gear.pins[n].body, gear.pins[n].at)[0] for n in ("axle", "actuator root", "actuator pin")
        }
        length = np.abs(path["actuator pin"] - path["actuator root"])
        assert abs(np.diff(path["axle"])[0]) / abs(np.diff(length)[0]) == pytest.approx(rate, rel=1e-5)


def test_the_lock_places_the_axle_far_better_than_the_upper_end() -> None:
    """Near dead centre the leg hardly moves with the actuator: that is what the lock is for."""
    ends = solution(MERROW).results.end_stops
    assert 5 * ends.axle_rate_down < ends.axle_rate_up


def test_overtravel_is_the_gear_solved_beyond_leg_up() -> None:
    found = of("upper link", {"gear.up_stop": HOOK}).up
    assert found is not None
    assert found.reached == 0.5
    study = variant("upper link", {"gear.leg.swing_up": 92 + math.degrees(found.swing)})
    _, further = gear_and_stroke(study)
    _, usual = gear_and_stroke(variant("upper link"))
    assert further.actuator_length[-1] - usual.actuator_length[-1] == pytest.approx(0.5, abs=1e-9)
    assert abs(further.pins["axle"][-1] - usual.pins["axle"][-1]) == pytest.approx(found.axle, abs=1e-9)
    assert found.moves == pytest.approx(2 * 500 * math.sin(found.swing / 2), abs=1e-9)


def test_overtravel_beyond_what_the_gear_can_do_is_reported_as_it_is() -> None:
    found = of("upper link", {"gear.up_stop": {"kind": "actuator", "overtravel": 400}}).up
    assert found is not None
    assert 0 < found.reached < 400


def test_hook_carries_the_weight_by_equilibrium_of_all_pins() -> None:
    """With that force at the hook, square to the leg, the actuator is free."""
    study = variant("upper link", {"gear.up_stop": HOOK})
    gear, stroke = gear_and_stroke(study)
    found = end_stops(study, gear, stroke).up
    assert found is not None
    assert found.hold is not None
    up = motion_at(gear, np.array([stroke.driven_up]))
    held = gear.pins["up stop"]
    way = gear.drive_sense * up.velocity(held.body, held.at)[0, 0]
    loads = [Load(m.at.body, m.at.at, -3.8j * STANDARD_GRAVITY * m.kg) for m in gear.masses]
    loads.append(Load(held.body, held.at, found.hold * way / abs(way)))
    push = balance(gear.mechanism, up, loads, gear.effort_at).effort.item()
    assert abs(push) < 1e-8 * found.hold


def test_actuator_holds_weight_and_gas_spring() -> None:
    """Gravity push at leg-up times the load factor, and the gas spring by its own lever."""
    r = solution(MERROW).results
    up = r.end_stops.up
    assert up is not None
    gravity = 3.8 * r.actuation.push[0, -1]
    spring = 560 * r.stroke.motion.spin("upper link")[0, -1]
    root, pin = (r.stroke.pins[f"gas spring {end}"] for end in ("root", "pin"))
    axis = (pin - root)[-1] / abs((pin - root)[-1])
    body = r.gear.pins["gas spring pin"]
    upper = r.stroke.motion.velocity("upper link", body.at)[0, -1]
    spring = -560 * r.gear.drive_sense * (upper.conjugate() * axis).real / r.stroke.actuator_rate[-1]
    assert up.hold == pytest.approx(gravity + spring, rel=1e-9)


def test_a_leg_stop_takes_the_stalled_actuator() -> None:
    """By equilibrium: rated push, that force against the leg, and nothing else moves."""
    study = variant("upper link", {"gear.up_stop": STOP})
    gear, stroke = gear_and_stroke(study)
    found = end_stops(study, gear, stroke).up
    assert found is not None
    assert found.stall is not None
    up = motion_at(gear, np.array([stroke.driven_up]))
    held = gear.pins["up stop"]
    way = gear.drive_sense * up.velocity(held.body, held.at)[0, 0]
    push = balance(gear.mechanism, up, [Load(held.body, held.at, -found.stall * way / abs(way))], "actuator")
    assert push.effort.item() == pytest.approx(study.gear.actuator.max_force, rel=1e-9)


def test_findings_of_the_up_stop() -> None:
    def codes(entry: dict) -> dict[str, bool]:
        source = Source(STARTER, "0" * 64, "", variant("upper link", {"gear.up_stop": entry}))
        return {f.code: f.passed for f in solve(source).findings if f.code.startswith("up-")}

    assert codes(HOOK) == {"up-travel": True, "up-hook": True, "up-hold": True}
    assert codes({**HOOK, "engage": 30, "max_force": 100}) == {"up-travel": True, "up-hook": False, "up-hold": False}
    assert codes(STOP)["up-stall"]
    assert not codes({**STOP, "max_force": 100})["up-stall"]


def test_no_up_stop_no_judgement() -> None:
    study = changed({"gear.up_stop": None})
    gear, stroke = gear_and_stroke(study)
    assert end_stops(study, gear, stroke).up is None
