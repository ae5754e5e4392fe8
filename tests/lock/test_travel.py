"""Dead centre, actuator travel and the shortfall that loses the lock."""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest

from linkage.stroke import motion_at
from tests.lock.bench import Bench, bench, filed, topology
from tests.studies import OSTREL
from tests.topologies import ON_LEG, study


def by_hand(upper: float, lower: float, over: float) -> tuple[float, float]:
    """Demo: driven rotation in rad and actuator length in mm at dead centre, by two triangles and nothing else."""
    trunnion, upper_pin = 840 + 682j, 1140 + 550j
    base = abs(upper_pin - trunnion)

    def direction(span: float, bend: float) -> float:
        """Of the upper link: from the upper pin, towards the lug, turned by what the knee lies off the line."""
        corner = math.acos((base**2 + span**2 - 180**2) / (2 * base * span))
        return cmath.phase(trunnion - upper_pin) + corner + bend

    span = math.sqrt(upper**2 - over**2) + math.sqrt(lower**2 - over**2)
    locked = direction(span, math.asin(over / upper))
    dead = direction(upper + lower, 0.0)
    horn = upper_pin + 100 * cmath.exp(1j * (dead - math.radians(56)))
    return abs(locked - dead), abs(horn - (800 + 752j))


def test_dead_centre_of_the_demo_by_two_triangles() -> None:
    travel = filed().lock.travel
    assert travel is not None
    driven, length = by_hand(200, 123, 5)
    assert travel.dead_driven == pytest.approx(driven, abs=1e-12)
    assert travel.dead_length == pytest.approx(length, abs=1e-9)
    assert travel.dead_travel == pytest.approx(length - 300.30155189262246, abs=1e-9)
    assert travel.shortfall == travel.dead_travel
    assert travel.back == 0.0
    assert math.degrees(travel.dead_driven) == pytest.approx(1.440117456779703, abs=1e-9)  # blind second derivation


def test_a_shorter_last_travel_leaves_exactly_the_least_offset() -> None:
    """Solved backwards: hold the actuator short by that much, and measure the offset that is left."""
    b = filed()
    travel, stroke, gear = b.lock.travel, b.stroke, b.gear
    assert travel is not None
    grid = np.linspace(0.0, travel.dead_driven, 200_001)
    motion = motion_at(gear, grid, 0)
    length = np.abs(motion.point("actuator rod", gear.pins["actuator pin"].at)[0] - gear.pins["actuator root"].at)
    at = int(np.argmin(np.abs(length - stroke.actuator_length[0] - travel.least_travel)))
    knee, lug = (motion.point(gear.pins[n].body, gear.pins[n].at)[0, at] for n in ("knee", "lug"))
    upper = gear.pins["upper pin"].at
    area = abs(((lug - upper).conjugate() * (knee - upper)).imag)
    assert area / abs(lug - upper) == pytest.approx(1.5, abs=1e-4)


def test_the_curve_starts_at_the_lock_and_crosses_zero_at_dead_centre() -> None:
    travel = filed().lock.travel
    assert travel is not None
    x, y = travel.curve
    assert (x[0], y[0]) == pytest.approx((0.0, 5.0), abs=1e-9)
    assert float(np.interp(0.0, -y, x)) == pytest.approx(travel.dead_travel, abs=1e-3)


def test_an_actuator_on_the_leg_is_driven_back_by_the_over_swing() -> None:
    """Root, trunnion and pin: the leg over-swings at dead centre, and the actuator's length follows by cosines."""
    b = filed(OSTREL)
    travel, gear = b.lock.travel, b.gear
    assert travel is not None
    trunnion, root, pin = (gear.pins[n].at for n in ("trunnion", "actuator root", "actuator pin"))
    shut = gear.brace.upper_link + gear.brace.lower_link
    upper, lug = gear.pins["upper pin"].at, gear.brace.lug
    base, arm = abs(upper - trunnion), abs(lug - trunnion)

    def corner(span: float) -> float:
        return math.acos((base**2 + arm**2 - span**2) / (2 * base * arm))

    over = corner(shut) - corner(gear.brace.span)
    assert travel.overswing == pytest.approx(over, abs=1e-12)
    away = math.copysign(1.0, (root - trunnion).real)  # the over-swing carries the pin towards the root, aft
    turned = trunnion + (pin - trunnion) * cmath.exp(1j * away * over)
    back = abs(pin - root) - abs(turned - root)
    assert back > 0
    assert travel.back == pytest.approx(back, abs=1e-9)
    assert travel.shortfall == 0.0


def test_lock_links_have_the_first_dead_centre() -> None:
    b = topology("lock links")
    travel = b.lock.travel
    assert travel is not None
    assert travel.dead_driven == b.stroke.dead_centres[0] < b.stroke.dead_centre
    assert b.lock.offset == pytest.approx(2.0, abs=1e-9)
    assert travel.curve[1, 0] == pytest.approx(2.0, abs=1e-9)
    assert travel.back > 0  # the actuator sits on the brace, which the lock links first push deeper


@pytest.mark.parametrize("name", ["telescoping", "sliding root"])
def test_without_a_knee_there_is_no_dead_centre(name: str) -> None:
    b = topology(name)
    assert b.lock.travel is None
    assert b.lock.offset is None
    assert b.stroke.dead_centre == b.stroke.overswing == 0.0


def test_more_offset_needs_more_travel() -> None:
    less, more = (bench({"gear.brace.over_centre": h}).lock.travel for h in (3.0, 6.0))
    assert less is not None
    assert more is not None
    assert less.shortfall < filed().lock.travel.shortfall < more.shortfall  # type: ignore[union-attr]


def test_with_lock_links_the_brace_may_lie_before_its_centre() -> None:
    """Then only the lock links turn the leg back, and compression of the brace folds its knee towards them."""
    b = Bench(study("lock links", {"gear.brace.over_centre": -3}))
    assert b.gear.brace.over_centre == -3
    assert len(b.stroke.dead_centres) == b.gear.dead_centres == 1
    assert b.stroke.knee_offset[0] == pytest.approx(-3, abs=1e-9)
    assert b.stroke.knee_offset[-1] < -50
    for h in b.lock.held:
        assert h.lock_link is not None
        assert (h.lock_link > 0) == (h.press > 0) == (h.brace > 0)


def test_an_actuator_on_the_leg_is_driven_back_as_far_as_the_last_dead_centre() -> None:
    """With lock links the leg over-swings only at the brace's own dead centre, the second one."""
    b = Bench(study("lock links", ON_LEG))
    travel = b.lock.travel
    assert travel is not None
    grid = np.linspace(0.0, b.stroke.dead_centre, 20_001)
    motion = motion_at(b.gear, grid, 0)
    length = np.abs(motion.point("leg", b.gear.pins["actuator pin"].at)[0] - b.gear.pins["actuator root"].at)
    assert travel.back == pytest.approx(float(length[0] - length.min()), abs=1e-9)
    assert travel.back > 5 * abs(travel.dead_travel)
