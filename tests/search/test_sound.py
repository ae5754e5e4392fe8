"""Screening never passes a linkage that the full solver refuses, nor refuses one for its motion that it accepts."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.random import SeedSequence

from linkage.actuation import actuation
from linkage.actuation.drive import drive
from linkage.document.study import Study
from linkage.document.variants import varied
from linkage.errors import LinkageError
from linkage.gear import LEG, build
from linkage.lock import lock_travel
from linkage.search import Candidates, best, branches, study_of
from linkage.search.linkage import STEP
from linkage.search.sampling import Spread, candidates, laid
from linkage.search.screen import BACK, CENTRE, CLOSE, DEAD, JAM, PUSH, REACH, WAY, screen
from linkage.search.screened import PASSED, POSED, SAMPLED
from linkage.stroke import gear_and_stroke, motion_at, run
from linkage.stroke.ends import driven_up
from tests.search.finding import judged, wide
from tests.studies import MERROW, OSTREL

MOTION = {CLOSE, WAY, CENTRE, REACH, JAM, DEAD, BACK}
PATHS = {"merrow": MERROW, "ostrel": OSTREL}
WIDE = {name: wide(path) for name, path in PATHS.items()}


def refusals(study: Study, one: Candidates, i: int) -> list[str]:
    """What the full solver has against a candidate."""
    try:
        _, _, found = judged(varied(study, study_of(study, one, i)))
    except LinkageError as err:
        return [str(err)]
    return [f"{f.code} {f.margin}" for f in found if not f.passed]


@pytest.mark.parametrize("name", PATHS)
def test_a_big_random_run(name: str) -> None:
    study, looked = WIDE[name], 0
    for branch in range(len(branches(study))):
        passed = screen(study, (), candidates(study, SeedSequence([11, branch]), 4096, branch), 0)
        assert passed.counts[PASSED] == len(passed.candidates)
        for i in range(0, len(passed.candidates), max(1, len(passed.candidates) // 6)):
            looked += 1
            assert not refusals(study, passed.candidates, i)
    assert looked >= 24


def numbers(size: int) -> st.SearchStrategy[list[float]]:
    # corners of the ranges on purpose: there links are shortest, swings greatest
    return st.lists(st.one_of(st.floats(0, 1), st.sampled_from([0.0, 1.0])), min_size=size, max_size=size)


@settings(derandomize=True, deadline=None, max_examples=150)
@given(st.sampled_from(sorted(PATHS)), st.integers(0, 3), numbers(20))
def test_what_passes_is_accepted(name: str, branch: int, given_numbers: list[float]) -> None:
    study = WIDE[name]
    one = laid(study, Spread(np.array([given_numbers])), branch)
    passed = screen(study, (), one, 0)
    assert sum(v for k, v in passed.counts.items() if k not in (SAMPLED, POSED)) == 1
    if passed.counts[PASSED]:
        assert not refusals(study, passed.candidates, 0)


@settings(derandomize=True, deadline=None, max_examples=12)
@given(st.sampled_from(sorted(PATHS)), st.integers(0, 2**20))
def test_limits_at_the_very_edge(name: str, seed: int) -> None:
    """Limits set to what a passing candidate just has, a little less or a little more: both roads agree."""
    study = WIDE[name]
    passed = best(screen(study, (), candidates(study, SeedSequence(seed), 64, 0), 0), 10)
    if not passed.counts[PASSED]:
        return
    one = passed.candidates.take([0])
    least = float(passed.measures["transmission"][0])
    for shift in (-1e-6, -1e-9, 0.0, 1e-9):
        bound = max(least * (1 + shift), 0.0)
        limit = study.limits.transmission_angle.model_copy(update={"min": bound})
        tight = study.model_copy(update={"limits": study.limits.model_copy(update={"transmission_angle": limit})})
        again = screen(tight, (), one, 0)
        if again.counts[PASSED]:
            assert not refusals(tight, one, 0)


@pytest.mark.parametrize("name", PATHS)
def test_a_motion_is_refused_only_where_the_solver_refuses(name: str) -> None:
    """The closed forms are exact, not only safe: of what they refuse for its motion, the solver moves nothing."""
    study, looked = WIDE[name], 0
    found = candidates(study, SeedSequence(5), 256, 0)
    for i in range(len(found)):
        one = found.take([i])
        counts = screen(study, (), one, 0).counts
        reason = next(k for k, v in counts.items() if v and k not in (SAMPLED, POSED))
        if reason in MOTION and np.isfinite(one.table).all():
            looked += 1
            chosen = varied(study, study_of(study, one, 0))
            with pytest.raises(LinkageError):
                run(build(chosen), 11)
    assert looked > 100


def test_a_force_is_refused_only_where_the_solver_finds_it_too_great() -> None:
    """An actuator on the leg is driven back from the lock to dead centre. Just beyond that its lever is as small as may
    be, but it has not yet come past its locked length, and nothing is asked of it there."""
    study, looked = wide(OSTREL, {"gear.actuator.max_force": 800}), 0
    given = candidates(study, SeedSequence([55, 0]), 1024, 0)
    for i in range(len(given)):
        one = given.take([i])
        if screen(study, (), one, 0).counts.get(PUSH) and np.isfinite(one.table).all():
            looked += 1
            chosen = varied(study, study_of(study, one, 0))
            gear, stroke = gear_and_stroke(chosen)
            room = drive(chosen, gear, stroke).room
            weak = not all(f.passed for f in judged(chosen)[2] if f.code == "actuator-force")
            assert weak or (room is not None and np.nanmin(room) < 0)
    assert looked > 12


def test_a_force_does_not_hang_on_how_near_a_pose_comes_to_dead_centre() -> None:
    study = WIDE["ostrel"]
    chosen = varied(study, study_of(study, candidates(study, SeedSequence([55, 0]), 1024, 0), 409))
    gear = build(chosen)
    peaks = [actuation(chosen, gear, run(gear, poses)).peak(2.0) for poses in (46, 181, 721)]
    assert peaks == pytest.approx([peaks[0]] * 3, rel=0.01)


@pytest.mark.parametrize(("name", "which"), [("merrow", (349, 389, 692, 2477)), ("ostrel", (402, 804, 1262, 1701))])
def test_a_jam_just_beyond_leg_up_is_none(name: str, which: tuple[int, ...]) -> None:
    """Designs whose links line up within 0.15 deg beyond leg-up, but beyond the place where the solver looks: it moves
    them, so they are not refused for it."""
    study = WIDE[name]
    some = candidates(study, SeedSequence([77, 0]), 8192, 0)
    for i in which:
        counts = screen(study, (), some.take([i]), 0).counts
        assert not counts[JAM]
        gear = build(varied(study, study_of(study, some, i)))
        run(gear, 11)
        up = driven_up(gear)
        with np.errstate(invalid="ignore"):
            beyond = motion_at(gear, np.linspace(up, up + STEP, 400), 0)
        turn = np.diff(gear.leg_sense * beyond.angle(LEG)[0])
        assert not np.all(beyond.margin > 0) or not np.all(turn > 0), "no jam within a step"


@pytest.mark.parametrize("name", PATHS)
def test_two_roads_to_what_is_measured(name: str) -> None:
    """Closed forms against the kernel's motion of the same design."""
    study = WIDE[name]
    passed = screen(study, (), candidates(study, SeedSequence(3), 2048, 0), 0)
    for i in range(0, len(passed.candidates), max(1, len(passed.candidates) // 8)):
        gear, stroke, _ = judged(varied(study, study_of(study, passed.candidates, i)))
        travel, limits = lock_travel(gear, stroke, 0.0), study.limits
        assert travel is not None
        left = study.gear.actuator.travel_left_at_lock
        spare = travel.dead_travel - (limits.lock_travel.min or 0.0)
        if travel.dead_travel <= 0:
            spare = left - travel.back - (limits.lock_reserve.min or 0.0)
        assert passed.measures["lock"][i] == pytest.approx(spare, abs=1e-6)
        # the closed form sees between the poses: never more, and little less
        sampled = math.degrees(float(stroke.transmission.min()))
        assert passed.measures["transmission"][i] <= sampled + 1e-9
        assert passed.measures["transmission"][i] == pytest.approx(sampled, abs=0.05)
