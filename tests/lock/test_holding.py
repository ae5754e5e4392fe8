"""What presses the lock onto its stop and what holds it there, each number by a second road."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from linkage.gear import LEG
from linkage.loads import stop_force
from linkage.mechanism.statics import Load, balance
from linkage.stroke import motion_at
from tests.lock.bench import Bench, bench, filed, topology
from tests.studies import MERROW, OSTREL
from tests.topologies import study as variant

STUDIES = [MERROW, OSTREL]


def planar(b: Bench, i: int) -> list[Load]:
    """Ultimate loads on the leg of one held condition."""
    h = b.lock.held[i]
    k = h.load.factor
    return [Load(LEG, complex(x.at[0], x.at[2]), k * complex(x.force[0], x.force[2])) for x in h.load.applied]


@pytest.mark.parametrize("path", STUDIES, ids=lambda p: p.parent.name)
def test_virtual_work_and_equilibrium_of_the_knee_agree(path: Path) -> None:
    """P h (1/a1 + 1/a2), its axial force from moments about the trunnion, against virtual work of the whole gear."""
    b = filed(path)
    assert {h.press > 0 for h in b.lock.held} == {True, False}  # brace forces of both signs
    for h in b.lock.held:
        assert h.press == pytest.approx(h.load.factor * h.load.stop, rel=1e-9, abs=1e-6)
        assert h.press == pytest.approx(stop_force(b.gear.brace, h.brace), rel=1e-9, abs=1e-6)
        assert math.copysign(1.0, h.press) == math.copysign(1.0, h.brace)  # compression presses, tension pulls


def test_static_and_forward_load_pull_the_demo_knee_as_the_blind_derivation_has_it() -> None:
    """At limit load: -15.387 N and -259.242 N, of -234.2 N and -3946.3 N in the brace; it takes the ground as level."""
    by_name = {h.load.condition.name: h for h in filed().lock.held}
    for name, stop in (("static 1 g", -15.386524706217413), ("forward load", -259.24155568627106)):
        h = by_name[name]
        assert h.press / h.load.factor == pytest.approx(stop, rel=5e-3)
        assert h.springs > 0
    assert by_name["static 1 g"].demand < 0  # the worn spring alone holds it standing
    assert by_name["forward load"].demand > 0  # here the self-locking screw has to


@pytest.mark.parametrize("knee", ["up", "down"])
def test_the_stop_moment_flips_with_the_side_of_the_knee(knee: str) -> None:
    """The couple that the stop puts between the links, anticlockwise on the lower one, from equilibrium of all pins."""
    b = Bench(variant("leg", {"gear.brace.knee_folds": knee, "gear.leg.swing_up": 20}))
    locked = motion_at(b.gear, np.array([0.0]))
    i = next(i for i, h in enumerate(b.lock.held) if h.load.condition.name == "aft load")
    couple = balance(b.gear.mechanism, locked, planar(b, i), "knee").effort.item()
    side = 1.0 if knee == "up" else -1.0
    assert couple * side == pytest.approx(b.lock.held[i].brace * 5.0, rel=1e-9)
    assert b.lock.held[i].press > 0  # but on either side compression presses onto the stop


@pytest.mark.parametrize(
    "name", ["upper link", "leg", "lower link", "bell-crank", "lock links", "actuator in the brace"]
)
def test_force_in_a_self_locking_actuator_by_equilibrium_of_all_pins(name: str) -> None:
    """With the lock off its stop and no spring, the actuator alone holds the gear: solve every pin for that."""
    b = topology(name)
    locked = motion_at(b.gear, np.array([0.0]))
    per_push = b.lock.seat.rate / abs(float(b.stroke.actuator_rate[0]))
    for i, h in enumerate(b.lock.held):
        push = balance(b.gear.mechanism, locked, planar(b, i), b.gear.effort_at).effort.item()
        assert abs(push) == pytest.approx(abs(h.press) * per_push, rel=1e-7)


def test_capacity_of_the_screw_is_its_static_force_by_the_same_lever() -> None:
    b = filed()
    (screw,) = b.lock.holders
    assert screw.own == 6000  # declared in the study
    assert screw.capacity * screw.per_own == pytest.approx(screw.own, rel=1e-12)
    worst = b.lock.worst
    assert worst.load.condition.name == "forward load"
    assert worst.own == pytest.approx(worst.demand * screw.per_own)
    assert worst.margin == pytest.approx(screw.capacity - worst.demand)


def test_gas_spring_preload_by_hand() -> None:
    """450 N in the spring, its arm about the upper pin, over the arm of the knee along the brace line."""
    b = filed()
    upper, knee = 1140 + 550j, b.gear.brace.knee
    pin = upper + 60 * (knee - upper) / abs(knee - upper) * complex(
        math.cos(2 * math.pi / 3), math.sin(2 * math.pi / 3)
    )
    push = (pin - (815 + 556j)) / abs(pin - (815 + 556j))
    moment = 450 * ((pin - upper).conjugate() * push).imag  # anticlockwise on the upper link
    line = (b.gear.brace.lug - upper) / b.gear.brace.span
    arm = ((knee - upper).conjugate() * line).real
    assert b.lock.preload.scale - b.lock.preload.weight * b.lock.seat.rate / b.lock.seat.pull_rate == pytest.approx(
        abs(moment) / arm, rel=1e-9
    )
    assert b.lock.preload.springs["gas spring"] > 0


def test_a_spring_scale_at_the_knee_balances_springs_and_weight() -> None:
    """Pull with that force at the knee, square to its line: the driven link needs no more torque."""
    b = filed()
    gear, at = b.gear, motion_at(b.gear, np.array([0.0]))
    root, pin = gear.pins["gas spring root"].at, gear.pins["gas spring pin"].at
    loads = [Load("upper link", gear.brace.knee, b.lock.preload.scale * gear.brace.fold)]
    loads += [Load("upper link", pin, 450 * (pin - root) / abs(pin - root))]
    loads += [Load(m.at.body, m.at.at, -9.80665j * m.kg) for m in gear.masses]
    torque = balance(gear.mechanism, at, loads, "upper pin").effort.item()
    assert abs(torque) < 1e-6 * 450 * 60


def test_a_worn_and_cold_spring_counts_for_less() -> None:
    """80 % of its force, and by the absolute temperature at -20 C of data at 20 C."""
    pre = filed().lock.preload
    assert pre.least == pytest.approx(pre.springs["gas spring"] * 0.8 * 253.15 / 293.15, rel=1e-12)


def test_springs_add_and_the_strongest_other_holder_counts_alone() -> None:
    hook = {"at": "knee", "max_force": 500}
    holds = ["spring", "self-locking actuator", "hook"]
    both = bench({"gear.lock": {"holds": holds, "hook": hook, "actuator_force": 6000}})
    screw = filed()
    assert [h.name for h in both.lock.holders] == ["self-locking actuator", "hook"]
    for a, b in zip(both.lock.held, screw.lock.held, strict=True):
        assert a.margin == pytest.approx(b.margin)
    nothing = bench({"gear.lock": None})
    assert all(h.margin == -h.demand == h.press for h in nothing.lock.held)


def test_hook_pulls_along_its_place_or_along_its_line() -> None:
    """At the knee along its own path it needs the least force; askew by 60 deg twice that."""
    straight = bench({"gear.lock": {"holds": "hook", "hook": {"at": "knee", "max_force": 800}}})
    speed = straight.stroke.motion.velocity("upper link", straight.gear.brace.knee)[0, 0]
    line = math.degrees(np.angle(speed)) + 60
    askew = bench({"gear.lock": {"holds": "hook", "hook": {"at": "knee", "max_force": 800, "line": line}}})
    assert straight.lock.holders[0].capacity == pytest.approx(800 * abs(speed) / straight.lock.seat.rate, rel=1e-12)
    assert askew.lock.holders[0].capacity == pytest.approx(straight.lock.holders[0].capacity / 2, rel=1e-9)


@pytest.mark.parametrize(("name", "pin"), [("telescoping", "brace"), ("sliding root", "track")])
def test_lock_without_a_knee_carries_the_brace_or_the_track(name: str, pin: str) -> None:
    """Lock the slide itself and solve all pins: its force is what the lock must hold, by sign and size."""
    b = topology(name)
    locked = motion_at(b.gear, np.array([0.0]))
    for i, h in enumerate(b.lock.held):
        force = balance(b.gear.mechanism, locked, planar(b, i), pin).effort.item()
        assert abs(force) == pytest.approx(abs(h.press), rel=1e-9)
        assert h.capacity == 12000
    if name == "telescoping":
        assert all(abs(h.press) == pytest.approx(abs(h.brace), rel=1e-9) for h in b.lock.held)
        # longest when down: compression pushes it together, which is the way up, so it pulls the lock off its stop
        assert all((h.press > 0) == (h.brace < 0) for h in b.lock.held)


def test_lock_links_take_the_knee_force_and_their_own_knee_a_small_part_of_it() -> None:
    b = topology("lock links")
    assert b.lock.seat.shape is b.gear.lock_link
    for h in b.lock.held:
        assert h.lock_link is not None
        assert b.gear.lock_link is not None
        assert h.press == pytest.approx(stop_force(b.gear.lock_link, h.lock_link), rel=1e-9, abs=1e-9)
        assert h.link_margin == pytest.approx(5000 - abs(h.lock_link))
    aft = next(h for h in b.lock.held if h.load.condition.name == "aft load")
    assert aft.brace > 0
    assert aft.press < 0  # compression drives the brace knee deeper, which pulls these lock links straight
    assert abs(aft.press) < 0.01 * aft.brace
