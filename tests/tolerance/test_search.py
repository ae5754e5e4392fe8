"""Worst corners and wear limits: really reached, not beaten by gears at random, and equal to closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest

from linkage.document.variants import varied
from linkage.gear import build
from linkage.tolerance import corner, setting, wear
from linkage.tolerance.assembly import assemble
from linkage.tolerance.followed import GAP, OFFSET
from linkage.tolerance.model import Deviations
from linkage.tolerance.results import judge, value_of
from linkage.tolerance.search import worst_play
from linkage.tolerance.wear import limit_of
from tests import topologies
from tests.studies import MERROW, OSTREL, changed
from tests.tolerance.bench import blueprint, merrow, merrow_wear, offset_by_constraints, set_to


def corner_samples(n: int, seed: int) -> Deviations:
    """Gears at random corners of the box, pins worn and anywhere."""
    plan, rng = merrow().plan, np.random.default_rng(seed)
    limits = np.array([d.limit for d in plan.dimensions])
    sizes = limits * rng.choice([-1.0, 1.0], (n, len(limits)))
    return Deviations(sizes, 0.175 * np.exp(2j * np.pi * rng.random((n, len(plan.pins)))))


@pytest.mark.parametrize("name", [OFFSET, f"{GAP}battery box, mm", f"{GAP}door line, mm", f"{GAP}oil cooler, mm"])
def test_no_gear_at_random_is_worse_than_the_corner(name: str) -> None:
    base = merrow()
    found = corner(base, name)
    others = value_of(base, corner_samples(4000, 11), name)
    assert found.value <= others.min()
    assert judge(base, found.by).values[name][0] == found.value  # really reached
    assert np.all(np.abs(found.by.sizes) <= np.array([d.limit for d in base.plan.dimensions]))
    assert np.all(np.abs(found.by.play) <= 0.175 + 1e-12)
    assert found.linear == pytest.approx(found.value, abs=0.06 * abs(found.drawn - found.value) + 0.3)


def test_the_corner_of_the_offset_in_closed_form() -> None:
    """Stop at its lower end; upper pin and lug move the line by c/2 shared by distance, the knee by its longer link."""
    base = merrow()
    found = corner(base, OFFSET)
    brace = base.plan.gear.brace
    share = max(brace.upper_link, brace.lower_link) / (brace.upper_link + brace.lower_link)
    assert found.value == pytest.approx(5.0 - 0.8 - 0.175 - 0.175 * share, abs=0.01)
    assert found.moved[0][:2] == ("knee stop", -0.8)
    assert found.tried >= 8


def test_worn_to_nothing_is_nothing_when_that_gear_is_built() -> None:
    base = merrow()
    found = merrow_wear()
    every = found.lock[0]
    assert every.pins == base.plan.pins
    assert every.exact is not None
    play = worst_play(base, OFFSET, base.plan.none().sizes[0], np.full(len(base.plan.pins), 0.5 * every.exact))
    by = Deviations(base.plan.none().sizes, play[None, :])
    assert offset_by_constraints(base.plan, by) == pytest.approx(0.0, abs=1e-4)
    assert every.exact == pytest.approx(every.linear, rel=0.01)
    at_limit = found.lock_limit[0]
    assert at_limit.exact is not None
    assert at_limit.exact < every.exact
    assert at_limit.exact == pytest.approx(every.exact * 3.5 / 5.0, rel=0.01)
    gap = found.gaps[0]
    assert gap.exact is not None
    assert gap.exact == pytest.approx(gap.linear, rel=0.1)
    assert all(one.exact is None or one.exact >= gap.exact for one in found.gaps)


def test_wear_of_one_pin_in_closed_form() -> None:
    """Play across the lug moves the line at the knee by (c/2) x upper link / span; the knee's by its longer link."""
    base = merrow()
    sizes, brace = base.plan.none().sizes[0], base.plan.gear.brace
    along = math.sqrt(brace.upper_link**2 - brace.over_centre**2) / brace.span
    lug = limit_of(base, OFFSET, 4.9, ("lug",), sizes)
    assert lug.exact == pytest.approx(2 * 0.1 / along, rel=2e-3)
    knee = limit_of(base, OFFSET, 4.9, ("knee",), sizes)
    assert knee.exact == pytest.approx(2 * 0.1 * (brace.upper_link + brace.lower_link) / brace.upper_link, rel=5e-3)
    assert limit_of(base, OFFSET, 4.9, ("trunnion",), sizes).linear is None  # the stop is at the knee
    assert limit_of(base, OFFSET, 5.1, ("lug",), sizes).short


def test_play_in_the_knee_turns_the_links_on_their_stop() -> None:
    """With the stop's arm r: c/2 along the link turns them by c/2r, which is a1 a2 / span x that of offset."""
    base = setting(changed({"tolerances.knee_stop_arm": 25}), MERROW.parent)
    brace = base.plan.gear.brace
    gain = brace.upper_link * brace.lower_link / brace.span / 25.0
    share = brace.upper_link / (brace.upper_link + brace.lower_link)
    found = limit_of(base, OFFSET, 4.9, ("knee",), base.plan.none().sizes[0])
    assert found.exact == pytest.approx(2 * 0.1 / math.hypot(gain, share), rel=0.01)


def test_a_gap_worn_short_is_short_when_that_gear_is_built() -> None:
    base = merrow()
    w = merrow_wear().gaps[0]
    assert w.exact is not None
    name, wide = w.result, base
    reach = np.full(len(base.plan.pins), 0.5)
    for part, sign in ((0.97, 1), (1.03, -1)):
        play = worst_play(wide, name, base.plan.none().sizes[0], part * w.exact * reach)
        left = value_of(wide, Deviations(base.plan.none().sizes, play[None, :]), name)[0] - w.wanted
        assert np.sign(left) == sign


def test_lock_links_and_braces_without_a_knee() -> None:
    wide = {"link_length": 0.1, "pin_position": 0.2, "pin_clearance_worn": 0.2, "knee_stop": 0.3}
    for name in ("lock links", "telescoping", "sliding root"):
        study = topologies.study(name)
        study = study.model_copy(update={"tolerances": study.tolerances.model_copy(update=wide)})
        base = setting(study, MERROW.parent)
        found = wear(base, None)
        assert (len(found.lock) > 0) == (name == "lock links"), name
        if name == "lock links":
            assert {w.pins[0] for w in found.lock[1:]} <= {"lock root", "lock knee", "lock pin"}
            assert found.lock[0].exact == pytest.approx(found.lock[0].linear, rel=0.1)


def test_a_family_is_told_by_its_pieces() -> None:
    """Changing a piece changes what a single study built of that piece has."""
    plan = blueprint(changed({}))
    made = assemble(plan, set_to(plan, {"lower link": 0.5, "knee stop": 0.4, "trunnion WL": -0.7}))
    shape = made.gear.brace
    single = {"gear.brace.lower_link": 123.5, "gear.brace.over_centre": float(np.ravel(shape.over_centre)[0])}
    one = build(varied(plan.study, single | {"gear.trunnion[1]": 681.3}))
    for pin, point in one.pins.items():
        assert np.ravel(made.gear.pins[pin].at)[0] == pytest.approx(point.at, abs=1e-9), pin
    # the stop keeps the bend, so the offset h = L1 L2 sin(bend) / span grows by h (1 / L2 - 1 / span) per mm
    assert shape.over_centre == pytest.approx(5.4 + 0.5 * 5.4 * (1 / 123 - 1 / 322.9), abs=1e-3)


def test_play_lies_no_worse_between_the_directions_that_are_tried() -> None:
    """A knee whose play turns the links on their stop: it takes most askew, neither along nor across."""
    thin = {"gear.brace.over_centre": 0.05, "tolerances.pin_clearance_worn": 0.03}
    base = setting(changed(thin, OSTREL), OSTREL.parent)
    found, knee = corner(base, OFFSET), base.plan.pins.index("knee")
    play = np.repeat(found.by.play, 601, axis=0)
    play[:, knee] *= np.exp(1j * np.radians(np.linspace(-8, 8, 601)))
    assert abs(np.sin(2 * np.angle(play[300, knee]))) > 0.1
    beside = value_of(base, Deviations(np.repeat(found.by.sizes, 601, axis=0), play), OFFSET)
    assert beside.min() >= found.value - 1e-4
