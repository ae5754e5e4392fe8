"""Gaps of the gear to itself and in the states of the study, from gear to gear: against the full chain."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest

from linkage.states import cases
from linkage.states.play import strays
from linkage.stroke import gear_and_stroke
from linkage.tolerance import Setting, corner, criteria, setting
from linkage.tolerance.assembly import assemble
from linkage.tolerance.followed import SELF_GAP, is_gap, state_name
from linkage.tolerance.model import Deviations, drawn
from linkage.tolerance.moving import moving
from linkage.tolerance.results import driven_up, judge
from linkage.tolerance.search import worst_play
from linkage.tolerance.watching import names_of
from linkage.tolerance.wear import wear
from tests.studies import MERROW, OSTREL, changed, solution
from tests.tolerance.bench import INCHES, merrow, merrow_wear, set_to
from tests.tolerance.chain import full_gaps, solved, without_play
from tests.topologies import DOOR

BRACKET = 0.051
"""mm: that of the proof, and a little for the parabola."""
MORE: list[dict[str, Any]] = [
    {"name": "stuck at 30", "compression": 30, "play": "taken up"},
    {"name": "any, turned", "strut": "any", "turned": 3},
    {"name": "flat up", "tyre": "flat", "gear": "up"},
    {"name": "aged", "mounts": "aged"},
]
RESERVE = 0.01
"""mm: by how much what play lets stray may be taken for more than it is."""
LOOSE_AXLE = {"tolerances.axle": 0.6, "state": MORE}
INCH_STATES: list[dict[str, Any]] = [
    {"name": "any", "strut": "any"},
    {"name": "turned", "turned": 20, "judged": "contact"},
    {"name": "loose", "play": "taken up", "tyre": "new"},
    {"name": "as drawn", "tyre": "grown"},
]


@cache
def loose_axle() -> Setting:
    return setting(changed(LOOSE_AXLE), MERROW.parent)


DOORS: list[dict[str, Any]] = [
    {"name": "open", "doors": "open"},
    {"name": "open, loose", "doors": "open", "play": "taken up"},
    {"name": "turned", "turned": 4},
]


@cache
def doors() -> Setting:
    """A door that may stay open: the wheel passes its hinge. In another state the turned wheel passes the tailpipe."""
    more = {"state": DOORS, "tolerances.axle": 0.6, "bay.item[13].ignore_parts": ["nose door"]}  # the door line
    return setting(changed(DOOR | more), MERROW.parent)


@cache
def inches() -> Setting:
    return setting(changed(INCHES | {"state": INCH_STATES}, OSTREL), OSTREL.parent)


def ends_and_between(base: Setting, count: int, seed: int = 2026) -> Deviations:
    """Gears at random: every other one with each dimension at an end of its tolerance."""
    found = some(base, count, seed)
    found.sizes[1::2] = np.sign(found.sizes[1::2]) * np.array([d.limit for d in base.plan.dimensions])
    return found


def some(base: Setting, count: int, seed: int) -> Deviations:
    return drawn(base.plan.dimensions, len(base.plan.pins), base.plan.study.tolerances, count, seed)


def test_states_of_the_drawn_gear_are_those_of_the_review() -> None:
    """The worst of a state is one that the state changes, or one that the nominal state has too."""
    base, review = merrow(), solution(MERROW).results.states
    found = judge(base, base.plan.none()).values
    nominal = min(g.gap.margin for g in review.of("strut extended, gear moving"))
    for state in base.plan.study.state:
        least = min(g.gap.margin for g in review.of(state.name))
        ours = float(found[state_name(state.name)][0])
        assert least - 0.005 <= ours, state.name
        assert min(ours, max(nominal, least)) <= least + BRACKET, state.name
    aged = next(s.name for s in base.plan.study.state if s.play == "taken up")  # it changes every pair
    least = min(g.gap.margin for g in review.of(aged))
    assert found[state_name(aged)][0] == pytest.approx(least, abs=BRACKET)
    own = next(g for g in review.gaps if g.own)
    assert found[SELF_GAP][0] == pytest.approx(own.gap.gap, abs=BRACKET)


@pytest.mark.parametrize(
    ("base", "path", "count"), [(merrow, MERROW, 5), (loose_axle, MERROW, 3), (inches, OSTREL, 4), (doors, MERROW, 4)]
)
def test_a_gear_as_made_is_that_of_the_full_chain(base: Any, path: Any, count: int) -> None:
    """The gear as a study of its own: pieces, stroke, states and proved gaps over the whole stroke. More gears:
    ``python -m tests.tolerance.compare``."""
    by = ends_and_between(base(), count)
    found = judge(base(), by).values
    plays = {state_name(s.name) for s in base().plan.study.state if s.play == "taken up"}
    for i in range(count):
        full = full_gaps(base(), by.part([i]), path.parent)
        assert full.keys() == {name for name in found if is_gap(name)}
        for name, gap in full.items():
            low = gap - 0.005 - (RESERVE if name in plays else 0.0)
            assert low <= found[name][i] <= gap + BRACKET, (i, name)


@pytest.mark.parametrize(("base", "path"), [(merrow, MERROW), (loose_axle, MERROW), (inches, OSTREL)])
def test_play_lets_no_gear_as_made_stray_further_than_is_taken(base: Any, path: Any) -> None:
    """Against each gear as a study of its own, half of them at the ends of the tolerances; and three times as far off,
    as the rig card looks."""
    setting, by = base(), without_play(ends_and_between(base(), 14))
    clearance = setting.plan.study.tolerances.pin_clearance_worn
    made = assemble(setting.plan, by)
    up, further = driven_up(setting, made, by), []
    drawn_loose = strays(setting.plan.study, *gear_and_stroke(setting.plan.study))
    parts = setting.plan.gear.parts
    assert {parts[s.part].name for s in setting.strays} == set(drawn_loose)
    taken = {s.part: s.further(by.sizes, made.gear, up, clearance) for s in setting.strays}
    beyond = {s.part: s.further(3.0 * by.sizes, *built(setting, 3.0 * by.sizes), clearance) for s in setting.strays}
    for i in range(by.count):
        for much, ours in ((1.0, taken), (3.0, beyond)):
            one = solved(setting, Deviations(much * by.sizes[[i]], by.play[[i]]), path.parent)
            own = strays(one.study, one.gear, one.stroke)
            for part, values in ours.items():
                name = parts[part].name
                truth = own[name][0] - drawn_loose[name][0]
                assert truth - 1e-6 <= values[i] <= truth + RESERVE, (i, much, name)
                further.append(truth)
    assert max(further) > 0.03  # the drawn gear's own would be short by as much


def test_a_gear_that_comes_nearest_farther_on_is_followed_there() -> None:
    """More than a pose from where the drawn gear does: not the value at the last pose looked at, which lies above."""
    base, name = merrow(), state_name("wheel 5 deg off centre")
    by = ends_and_between(base, 100).part([13])
    full = solved(base, by, MERROW.parent).states("none")["wheel 5 deg off centre"]
    found = judge(base, by).values[name][0]
    assert full - 0.005 <= found <= full + 0.05
    assert found > 17  # clear of contact, so the bracket of the proof is 0.05


def test_a_turned_wheel_reaches_as_far_as_its_axle_lies_out() -> None:
    """It passes the tailpipe sideways: the gap across is that of the gear built alone."""
    base, name = doors(), state_name("turned")
    by = set_to(base.plan, {"axle across": np.array([-0.6, 0.0, 0.6])})
    found = judge(base, by).values[name]
    for i in range(3):
        alone = full_gaps(base, by.part([i]), MERROW.parent)[name]
        assert found[i] == pytest.approx(alone, abs=1e-6)
    assert found[0] - found[2] == pytest.approx(1.2 * np.sin(np.radians(4)), abs=1e-6)


def built(base: Setting, sizes: Any) -> tuple[Any, Any]:
    by = base.plan.tight(sizes)
    made = assemble(base.plan, by)
    return made.gear, driven_up(base, made, by)


@pytest.mark.parametrize("base", [merrow, loose_axle, inches])
def test_no_place_is_left_out_that_may_be_the_least(base: Any) -> None:
    by = some(base(), 2048, 8)
    followed = judge(base(), by).values
    every = judge(replace(base(), watches=base().all_watches), by).values
    assert len(base().watches) < len(base().all_watches)
    for name in followed:
        assert np.array_equal(followed[name], every[name], equal_nan=True), name


def test_parts_in_a_state_move_with_the_pieces_of_each_gear() -> None:
    """Core of every part in every state, put together from the family, against that of the gear built alone."""
    base = loose_axle()
    plan, by = base.plan, set_to(base.plan, {"axle along": 0.5, "axle across": -0.4, "lower link": 0.15})
    single = solved(base, by, MERROW.parent)
    gear, stroke = gear_and_stroke(plan.study)
    which = {part.name: i for i, part in enumerate(gear.parts)}
    made, compared = assemble(plan, by).gear, 0
    for here, there in zip(
        cases(plan.study, gear, stroke), cases(single.study, single.gear, single.stroke), strict=True
    ):
        lifts = (here.entry.compression or 0.0, plan.study.strut.stroke)
        for piece, alone in zip(here.parts, there.parts, strict=True):
            points = moving(gear, which[piece.name], piece, lifts).points(made)
            ours = np.array([np.ravel(z)[0] for _, z in points])
            theirs = np.array([p.at for p in alone.core])
            assert [b for b, _ in points] == [p.body for p in alone.core], piece.name
            # the stray of a turned wheel differs with the place of its axle, by 1 - cos 3 deg of that
            apart = np.abs(ours[:, None] - theirs[None, :]).min(axis=1)
            assert apart.max() < (1e-3 if here.entry.turned else 1e-9), (here.name, piece.name)
            compared += 1
    assert compared > 30


def test_what_the_state_is_judged_by() -> None:
    base = merrow()
    asked = {c.result: c for c in criteria(base)}
    assert asked[SELF_GAP].low == 6.0
    assert asked[state_name("tyre new")].low == 0.0
    assert state_name("strut stuck at any compression") not in asked  # reported only
    assert state_name("strut stuck at any compression") in judge(base, base.plan.none()).values
    least = {w.result: w for w in base.tightest}
    assert names_of(least[SELF_GAP].pair) == ("outer cylinder", "upper brace link")
    assert least[state_name("tyre new")].pair.one.piece.radius == pytest.approx(360.7 / 2)


def test_states_that_are_not_followed_say_why() -> None:
    assert [x.state for x in inches().left_out] == ["as drawn"]
    assert "changes no gap" in inches().left_out[0].why
    through = {"name": "flat", "tyre": "flat", "strut": "bottomed"}
    item = {
        "name": "post",
        "butt_lines": [-5, 5],
        "required": 5,
        "outline": [[780, 180], [820, 180], [820, 260], [780, 260]],
    }
    base = setting(changed({"state": [through], "bay.item": [item]}), MERROW.parent)
    assert [x.state for x in base.left_out] == ["flat"]
    assert "lies in post as drawn" in base.left_out[0].why
    assert state_name("flat") not in judge(base, base.plan.none()).values
    assert merrow().left_out == ()


@pytest.mark.parametrize("name", [SELF_GAP, state_name("tyre new"), state_name("engine moving")])
def test_no_gear_at_random_is_worse_than_the_corner(name: str) -> None:
    base = merrow()
    found, limits = corner(base, name), np.array([d.limit for d in base.plan.dimensions])
    rng = np.random.default_rng(12)
    sizes = limits * rng.choice([-1.0, 1.0], (3000, len(limits)))
    play = 0.175 * np.exp(2j * np.pi * rng.random((3000, len(base.plan.pins))))
    assert found.value <= judge(base, Deviations(sizes, play)).values[name].min()
    assert judge(base, found.by).values[name][0] == found.value


def test_a_self_gap_worn_short_is_short_when_that_gear_is_solved() -> None:
    base = setting(changed({"gear.self_gap": 16.9, "state": [], "bay.item": []}), MERROW.parent)
    worn = wear(base, None).gaps[0]
    assert (worn.result, worn.wanted) == (SELF_GAP, 16.9)
    assert worn.exact is not None
    assert worn.exact == pytest.approx(worn.linear, rel=0.05)
    play = worst_play(
        base,
        SELF_GAP,
        base.plan.none().sizes[0],
        np.full(len(base.plan.pins), 0.5 * worn.exact),
    )
    gap = solved(base, Deviations(base.plan.none().sizes, play[None, :]), MERROW.parent).clear.own[0]
    assert gap.gap - 0.005 <= 16.9 <= gap.gap + BRACKET


def test_play_that_a_state_holds_is_not_counted_twice() -> None:
    base = merrow()
    name = state_name(next(s.name for s in base.plan.study.state if s.play == "taken up"))
    by = some(base, 50, 3)
    found = judge(base, by).values[name]
    assert np.array_equal(found, judge(base, base.plan.tight(by.sizes)).values[name])
    assert not any(w.result == name for w in merrow_wear().gaps)
    assert found.std() > 0.01
    assert is_gap(name)
