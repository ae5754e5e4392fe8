"""The signs of docs/conventions.md, each seen on the demo."""

from __future__ import annotations

import numpy as np
import pytest

from linkage.results import Results
from tests.studies import solution


@pytest.fixture(scope="module")
def r() -> Results:
    return solution().results


def test_swing_and_driven_angle_start_at_the_lock_and_grow_towards_up(r: Results) -> None:
    assert abs(r.stroke.swing[0]) < 1e-12 < r.stroke.swing[-1]
    assert r.stroke.driven[0] == 0.0 < r.stroke.driven[-1] == r.stroke.driven_up


def test_angles_are_positive_from_fs_towards_wl(r: Results) -> None:
    """Folding aft, seen with the nose to the left, the leg turns from down towards +FS: anticlockwise."""
    axle = r.stroke.pins["axle"]
    trunnion = r.gear.pins["trunnion"].at
    turned = np.angle((axle[-1] - trunnion) / (axle[0] - trunnion))
    assert axle[-1].real > axle[0].real
    assert turned == pytest.approx(r.stroke.swing[-1], abs=1e-9)
    assert r.gear.leg_sense == 1


def test_along_is_down_the_leg_and_offset_aft(r: Results) -> None:
    axle = (r.gear.pins["axle"].at - r.gear.pins["trunnion"].at) * np.conj(r.gear.down)
    assert axle.real == pytest.approx(r.study.gear.leg.length)
    offset = np.real((r.gear.pins["axle"].at - r.gear.pins["trunnion"].at) * np.conj(r.gear.aft))
    assert offset == pytest.approx(r.study.gear.leg.axle_offset)
    assert r.gear.aft.real > 0.9


def test_steer_axis_tilt_is_positive_with_its_top_aft(r: Results) -> None:
    assert r.steering.tilt == pytest.approx(np.arcsin(-r.gear.down.real))
    assert r.steering.tilt > 0 > r.gear.down.real


def test_trail_is_positive_with_the_contact_aft_of_the_axis(r: Results) -> None:
    """Where the leg line meets the ground, found here by intersection, as against the closed form of the solver."""
    ground = next(g for g in r.grounds if g.state == "static")
    level = np.exp(1j * np.angle(ground.main - ground.nose))
    axis = r.gear.pins["trunnion"].at
    down = r.gear.down
    step = np.imag((ground.nose - axis) / level) / np.imag(down / level)
    met = axis + step * down
    assert np.real((ground.nose - met) / level) == pytest.approx(r.steering.state("static").trail, abs=1e-6)


def test_loads(r: Results) -> None:
    """The ground pushes the wheel up, and aft in the aft load; brace and knee stop are then pressed."""
    aft, forward = r.loads.of("aft load"), r.loads.of("forward load")
    assert aft.wheel.imag > 0 and aft.wheel.real > 0 > forward.wheel.real
    assert aft.brace > 0 > forward.brace
    assert aft.stop > 0 > forward.stop


def test_actuator_force_is_positive_where_it_pushes(r: Results) -> None:
    """The demo's actuator grows longer going up and lifts the gear: a push all the way that is left to it."""
    assert r.stroke.actuator_length[-1] > r.stroke.actuator_length[0]
    assert r.actuation.peak(1.0) > 0


def test_margin_is_gap_less_required(r: Results) -> None:
    for gap in (*r.clearance.bay, *r.clearance.own):
        assert gap.margin == pytest.approx(gap.gap - gap.required, abs=1e-12)


def test_nose_share_is_nose_load_over_weight(r: Results) -> None:
    least = r.share.ground.share_min
    ground = next(g for g in r.grounds if g.state == "static")
    level = np.exp(1j * np.angle(ground.main - ground.nose))
    behind = np.real((ground.main - complex(least.case.fs_mm, least.case.wl_mm)) / level)
    assert least.value == pytest.approx(behind / abs(ground.main - ground.nose), abs=1e-9)
