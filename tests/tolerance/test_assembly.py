"""Gears as made: the drawn one comes back, and made ones agree with rigid pieces placed by root finding."""

from __future__ import annotations

import numpy as np
import pytest

from linkage.gear import build
from linkage.lock import offset_with_ends_held
from linkage.tolerance.assembly import assemble
from linkage.tolerance.model import drawn
from tests import topologies
from tests.studies import MERROW, OSTREL, changed
from tests.tolerance.bench import blueprint, offset_by_constraints, set_to

STUDIES = {"merrow": changed({}, MERROW), "ostrel": changed({}, OSTREL)}
STUDIES |= {name: topologies.study(name) for name in topologies.VARIANTS}


@pytest.mark.parametrize("name", STUDIES)
def test_pieces_without_deviation_are_the_drawn_gear(name: str) -> None:
    study = STUDIES[name]
    gear, plan = build(study), blueprint(study)
    made = assemble(plan, plan.none(2))
    for pin, point in gear.pins.items():
        assert np.broadcast_to(made.gear.pins[pin].at, 2) == pytest.approx(point.at, abs=1e-9), pin
    for part, other in zip(gear.parts, made.gear.parts, strict=True):
        for a, b in zip(part.core, other.core, strict=True):
            assert np.broadcast_to(b.at, 2) == pytest.approx(a.at, abs=1e-9), part.name
    if gear.locking is not None:
        assert made.offset == pytest.approx(gear.locking.shape.over_centre, abs=1e-9)


@pytest.mark.parametrize("arm", [None, 30.0])
@pytest.mark.parametrize("path", [MERROW, OSTREL], ids=["merrow", "ostrel"])
def test_offset_left_is_that_of_rigid_pieces(path: object, arm: float | None) -> None:
    wide = {"tolerances.link_length": "1.5 mm", "tolerances.pin_position": "2 mm", "tolerances.knee_stop": "1 mm"}
    wide |= {"tolerances.pin_clearance_worn": "1.2 mm"} | ({"tolerances.knee_stop_arm": f"{arm} mm"} if arm else {})
    plan = blueprint(changed(wide, MERROW if path == MERROW else OSTREL))
    by = drawn(plan.dimensions, len(plan.pins), plan.study.tolerances, 12, 5)
    found = assemble(plan, by).offset
    assert found is not None
    for i in range(by.count):
        assert found[i] == pytest.approx(offset_by_constraints(plan, by.part([i])), abs=1e-8)


def test_a_leg_stop_alone_closes_the_triangle_again() -> None:
    plan = blueprint(changed({"gear.leg.stop": True, "gear.brace.stop": False}))
    assert plan.stops == ("leg stop",)
    errors = np.array([-0.3, -0.2, -0.1, 0.0, 0.1, 0.3])
    found = assemble(plan, set_to(plan, {"upper link": errors})).offset
    assert found is not None
    for error, offset in zip(errors, found, strict=True):
        other = offset_with_ends_held(plan.gear.brace, float(error))
        assert offset == pytest.approx(other.offset if other.offset is not None else -other.lack, abs=1e-9)
    assert found[0] < 0 < found[-1]


def test_of_two_stops_the_lesser_offset_counts() -> None:
    both, knee, leg = (
        blueprint(changed({"gear.leg.stop": a, "gear.brace.stop": b}))
        for a, b in ((True, True), (False, True), (True, False))
    )
    errors = np.array([-0.05, 0.0, 0.05])
    left = [assemble(p, set_to(p, {"upper link": errors})).offset for p in (both, knee, leg)]
    assert left[0] == pytest.approx(np.minimum(left[1], left[2]), abs=1e-9)


def test_lock_links_carry_their_lengths_to_the_leg() -> None:
    plan = blueprint(topologies.study("lock links"))
    by = set_to(plan, {"upper lock link": np.array([-0.2, 0.0, 0.2]), "upper link": 0.1, "lock root FS": 0.15})
    gear = assemble(plan, by).gear
    at = {name: np.broadcast_to(p.at, 3) for name, p in gear.pins.items()}
    assert np.abs(at["lock knee"] - at["lock root"]) == pytest.approx(
        plan.gear.lock_link.upper_link + by.sizes[:, plan.index("upper lock link")]
    )
    assert np.abs(at["lock pin"] - at["lock knee"]) == pytest.approx(plan.gear.lock_link.lower_link, abs=1e-9)
    assert np.abs(at["knee"] - at["upper pin"]) == pytest.approx(plan.gear.brace.upper_link + 0.1)
    assert np.abs(at["lug"] - at["knee"]) == pytest.approx(plan.gear.brace.lower_link, abs=1e-9)
    assert np.ptp(np.angle(gear.down)) > 1e-4


def test_play_shifts_pins_by_half_the_clearance_at_most() -> None:
    plan = blueprint(STUDIES["merrow"])
    by = drawn(plan.dimensions, len(plan.pins), plan.study.tolerances, 500, 3)
    assert np.abs(by.play) == pytest.approx(0.175)
    assert np.all(np.abs(by.sizes).max(axis=0) <= np.array([d.limit for d in plan.dimensions]))
    held = [i for i, d in enumerate(plan.dimensions) if d.limit == 0]
    assert held
    assert not by.sizes[:, held].any()


@pytest.mark.parametrize("wear", ["new", "any"])
def test_state_of_wear(wear: str) -> None:
    plan = blueprint(changed({"tolerances.wear": wear}))
    by = drawn(plan.dimensions, len(plan.pins), plan.study.tolerances, 500, 3)
    most = np.abs(by.play).max()
    assert most == pytest.approx(0.015) if wear == "new" else 0.17 < most <= 0.175
    assert np.abs(by.play).min() >= 0.015 - 1e-12


def test_normal_tolerances_are_cut_off_at_their_ends() -> None:
    plan = blueprint(changed({"tolerances.distribution": "normal", "tolerances.sigmas": 2}))
    by = drawn(plan.dimensions, len(plan.pins), plan.study.tolerances, 20_000, 3)
    stop = by.sizes[:, plan.index("knee stop")]
    assert 0.79 < np.abs(stop).max() <= 0.8
    # variance of a standard normal cut off at +/- k: 1 - 2 k phi(k) / (2 Phi(k) - 1)
    phi, inside = np.exp(-2.0) / np.sqrt(2 * np.pi), 0.9544997361036416
    assert stop.std() == pytest.approx(0.4 * np.sqrt(1 - 4 * phi / inside), rel=0.02)
