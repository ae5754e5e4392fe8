"""Every topology solved, drawn and checked against a second way to the same numbers."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest

from linkage.drawing.gear_scene import side_view
from linkage.drawing.scene import Path, PinMark, Role
from linkage.gear import LEG, LOCK_UPPER, UPPER, Gear, build
from linkage.mechanism.motion import solve
from linkage.mechanism.newton import close
from linkage.mechanism.statics import Load, balance, effort_by_work
from linkage.plane.vectors import cross
from linkage.report.headline import full
from linkage.stroke import Stroke, gear_and_stroke
from linkage.units import STANDARD_GRAVITY
from tests.topologies import VARIANTS, forward, solved, study

NAMES = list(VARIANTS)


def run(name: str) -> tuple[Gear, Stroke]:
    r = solved(name).results
    return r.gear, r.stroke


@pytest.mark.parametrize("name", NAMES)
def test_solves_from_lock_to_leg_up(name: str) -> None:
    gear, stroke = run(name)
    assert gear.plan.loose == ()  # every body has a closed form, so the keep-out has its proof
    assert stroke.swing[0] == pytest.approx(0.0, abs=1e-12)
    assert stroke.swing[-1] == pytest.approx(math.radians(92), abs=1e-12)
    after = stroke.driven > stroke.dead_centre
    assert np.all(np.diff(stroke.swing[after]) > 0)
    assert len(stroke.dead_centres) == gear.dead_centres


@pytest.mark.parametrize("name", NAMES)
def test_every_joint_stays_closed(name: str) -> None:
    """The loop equations of all joints, not the group formulas, at every pose."""
    gear, stroke = run(name)
    state, shape = stroke.motion.state, stroke.motion.margin.shape
    open_by = close(state, gear.mechanism.joints, gear.mechanism.bodies, shape, steps=0)
    assert np.max(np.abs(open_by)) < 1e-12


@pytest.mark.parametrize("name", NAMES)
def test_links_keep_their_length_between_named_pins(name: str) -> None:
    gear, stroke = run(name)
    pairs = [("trunnion", "lug"), ("trunnion", "axle")]
    if gear.brace.has_knee:
        pairs += [("upper pin", "knee"), ("knee", "lug")]
    if gear.brace.kind == "sliding root":
        pairs += [("upper pin", "lug")]
    if gear.lock_link:
        pairs += [("lock root", "lock knee"), ("lock knee", "lock pin"), ("upper pin", "lock pin")]
    if "crank pivot" in gear.pins:
        pairs += [("crank pivot", "crank rod pin"), ("crank pivot", "actuator pin"), ("crank rod pin", "crank rod end")]
    for a, b in pairs:
        length = np.abs(stroke.pins[a] - stroke.pins[b])
        assert np.max(np.abs(length - length[0])) < 1e-9, (a, b)


@pytest.mark.parametrize("name", NAMES)
def test_results_are_plain_json_and_the_picture_names_the_pins(name: str) -> None:
    solution = solved(name)
    assert "NaN" not in json.dumps(full(solution), allow_nan=False)
    scene = side_view(solution.results)
    drawn = {item.label for item in scene.items if isinstance(item, PinMark) and item.fixed}
    gear = solution.results.gear
    roots = {j.name for j in gear.mechanism.joints if j.a == "ground" and j.name in gear.pins}
    assert roots <= drawn
    if gear.brace.kind == "sliding root":
        track = [i for i in scene.items if isinstance(i, Path) and i.label == "track"]
        assert track[0].role is Role.CENTRE
    body = {part.name for part in gear.parts}
    assert {t for t in scene.texts() if t in body} == body


@pytest.mark.parametrize("name", NAMES)
def test_pin_equilibrium_and_virtual_work_agree_under_loads_on_every_body(name: str) -> None:
    gear, stroke = run(name)
    rng = np.random.default_rng(len(name))
    loads = [Load(b, complex(*rng.uniform(600, 1200, 2)), complex(*rng.normal(size=2))) for b in gear.mechanism.bodies]
    held = balance(gear.mechanism, stroke.motion, loads, gear.effort_at).effort[0]
    work = effort_by_work(gear.mechanism, stroke.motion, loads, gear.effort_at)[0]
    clear = np.abs(stroke.actuator_rate) > 0.05 * np.max(np.abs(stroke.actuator_rate))
    assert np.max(np.abs(held - work)[clear]) < 1e-8 * np.max(np.abs(work[clear]))


@pytest.mark.parametrize("name", NAMES)
def test_work_of_the_actuator_is_the_change_of_potential_energy(name: str) -> None:
    """Integral of push over length, by a quadrature that knows nothing of rates, against weight times height."""
    gear, stroke = gear_and_stroke(study(name, {"stroke.poses": 4001}))
    loads = [Load(m.at.body, m.at.at, -1j * STANDARD_GRAVITY * m.kg) for m in gear.masses]
    moment = -effort_by_work(gear.mechanism, stroke.motion, loads, gear.mechanism.driver)[0] * gear.drive_sense
    rises = [m.kg * np.ptp(stroke.motion.point(m.at.body, m.at.at)[0][[0, -1]].imag) for m in gear.masses]
    gained = STANDARD_GRAVITY * sum(rises)
    assert -np.trapezoid(moment, stroke.driven) == pytest.approx(gained, rel=1e-4)
    start = int(np.argmax(stroke.driven > 1.5 * stroke.dead_centre)) if stroke.dead_centres else 0
    push = effort_by_work(gear.mechanism, stroke.motion, loads, gear.effort_at)[0][start:]
    work = np.trapezoid(push, stroke.actuator_length[start:])
    rises = [
        m.kg * float(np.diff(stroke.motion.point(m.at.body, m.at.at)[0][[start, -1]].imag)[0]) for m in gear.masses
    ]
    assert work == pytest.approx(STANDARD_GRAVITY * sum(rises), rel=1e-4)


def test_lock_links_move_the_same_brace_as_an_actuator_without_them() -> None:
    """Whatever turns the upper link, knee and leg follow it alike: with and without lock links, pose by pose."""
    gear, stroke = run("lock links")
    plain = build(study("upper link"))
    assert gear.driven == LOCK_UPPER
    assert plain.driven == UPPER
    turned = np.angle((stroke.pins["knee"] - gear.pins["upper pin"].at) / (gear.brace.knee - gear.pins["upper pin"].at))
    motion = solve(plain.plan, turned, 0)
    assert np.max(np.abs(motion.point(LEG, plain.pins["axle"].at)[0] - stroke.pins["axle"])) < 1e-8


def test_lock_links_push_the_knee_deeper_before_they_let_it_go() -> None:
    """At the dead centre of the lock links their ends are furthest apart, so the brace knee stands still there."""
    gear, stroke = gear_and_stroke(study("lock links", {"stroke.poses": 2001}))
    link, brace = stroke.dead_centres
    apart = np.abs(stroke.pins["lock pin"] - stroke.pins["lock root"])
    assert stroke.driven[int(np.argmax(apart))] == pytest.approx(link, abs=2e-3)
    assert apart.max() == pytest.approx(gear.lock_link.upper_link + gear.lock_link.lower_link, abs=1e-5)  # type: ignore[union-attr]
    assert stroke.knee_offset.max() > gear.brace.over_centre
    assert float(np.interp(brace, stroke.driven, stroke.knee_offset)) == pytest.approx(0.0, abs=1e-3)


def test_telescoping_brace_by_the_law_of_cosines() -> None:
    gear, stroke = run("telescoping")
    base, arm = 1300 + 950j - (840 + 682j), 180.0
    at_lock = math.acos((abs(base) ** 2 + arm**2 - 655.4334**2) / (2 * abs(base) * arm))
    length = np.sqrt(abs(base) ** 2 + arm**2 - 2 * abs(base) * arm * np.cos(at_lock - stroke.swing))
    assert np.max(np.abs(length - np.abs(stroke.pins["lug"] - stroke.pins["upper pin"]))) < 1e-9
    assert gear.driven == LEG
    assert np.isnan(stroke.knee_offset).all()


def test_sliding_root_by_intersecting_circle_and_track() -> None:
    _, stroke = run("sliding root")
    start, track = 1300 + 800j, (300 + 200j) / abs(300 + 200j)
    lug = stroke.pins["lug"] - start
    along = (lug * track.conjugate()).real
    aside = (lug * track.conjugate()).imag
    run_ = along + np.sqrt(563.9353**2 - aside**2)  # the root stays aft of the lug
    assert np.max(np.abs(start + run_ * track - stroke.pins["upper pin"])) < 1e-9
    r = solved("sliding root").results
    assert r.end_stops.brace == pytest.approx((0.0, float(run_.max())), abs=1e-9)


def test_actuator_built_into_the_brace_is_as_long_as_the_brace() -> None:
    gear, stroke = run("actuator in the brace")
    assert gear.effort_at == "brace"
    span = np.abs(stroke.pins["lug"] - stroke.pins["upper pin"])
    assert np.array_equal(stroke.actuator_length, span)
    other = run("telescoping")[1]
    assert np.max(np.abs(span - np.abs(other.pins["lug"] - other.pins["upper pin"]))) < 1e-12


CRANK_FORWARD = {
    "gear.actuator.root": [26.2, 32],
    "gear.actuator.pushes": "bell-crank",
    "gear.actuator.pin": [32, 39.1],
    "gear.actuator.crank": {
        "pivot": [42.4, 30.9],
        "rod_pin": [29.1, 26.9],
        "drives": "upper link",
        "end": {"radius": 3.5, "angle": 18},
    },
    "gear.actuator.dead_length": 0,
}


def test_bell_crank_on_a_forward_folding_gear() -> None:
    """Crank place from the two circles it must lie on, by trigonometry, at every pose."""
    gear, stroke = gear_and_stroke(forward(CRANK_FORWARD))
    assert gear.leg_sense < 0
    pivot, end = gear.pins["crank pivot"].at, stroke.pins["crank rod end"]
    arm, rod = abs(gear.pins["crank rod pin"].at - pivot), abs(gear.pins["crank rod pin"].at - end[0])
    reach = np.abs(end - pivot)
    corner = np.arccos((arm**2 + reach**2 - rod**2) / (2 * arm * reach))
    side = math.copysign(1.0, float(cross(end[0] - pivot, gear.pins["crank rod pin"].at - pivot)))
    by_hand = pivot + arm * (end - pivot) / reach * np.exp(1j * side * corner)
    assert np.max(np.abs(by_hand - stroke.pins["crank rod pin"])) < 1e-9
    assert np.all(np.diff(stroke.actuator_length) * np.sign(stroke.actuator_length[-1] - stroke.actuator_length[0]) > 0)
