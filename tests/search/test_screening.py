"""Counts, order and repeatability of a screened search; wheel places; forces and gaps against the full solver."""

from __future__ import annotations

import pickle

import numpy as np
import pytest
import shapely
from numpy.random import SeedSequence

from linkage.actuation import actuation, moment_shift
from linkage.clearance import in_space, lateral_gap
from linkage.document.variants import varied
from linkage.gear import build
from linkage.lock import lock_travel
from linkage.plane.outlines import shapes_of
from linkage.search import batches, best, branches, merge, screen_batch, study_of
from linkage.search import screen as cascade
from linkage.search.sampling import candidates
from linkage.search.screen import NEAR, _field, _Key, screen
from linkage.search.screened import FORCE, LOCK, MARGIN, MEASURES, MOMENT, PASSED, POSED, SAMPLED, Screened
from linkage.stroke import gear_and_stroke, motion_at
from tests.search.finding import demo, judged, own, wished


@pytest.fixture(scope="module")
def found() -> list[Screened]:
    study, items = demo()
    return [screen_batch(b) for b in batches(study, items, 3 * 6000 - 17, 4, 6000, 1)]


def same(a: Screened, b: Screened) -> bool:
    equal = all(np.array_equal(a.measures[m], b.measures[m]) for m in MEASURES)
    return equal and a.counts == b.counts and np.array_equal(a.candidates.table, b.candidates.table)


def test_every_candidate_is_counted_once(found: list[Screened]) -> None:
    for part in [*found, merge(found)]:
        ways = {k: v for k, v in part.counts.items() if k not in (SAMPLED, POSED)}
        assert sum(ways.values()) == part.counts[SAMPLED]
        assert sum(part.refused.values()) == part.counts[SAMPLED] - part.counts[PASSED]
    assert merge(found).counts[SAMPLED] == 3 * 6000 - 17
    assert list(found[0].refused.values()) == sorted(found[0].refused.values(), reverse=True)


def test_the_same_seed_gives_the_same_answer(found: list[Screened]) -> None:
    study, items = demo()
    again = screen_batch(pickle.loads(pickle.dumps(batches(study, items, 3 * 6000 - 17, 4, 6000, 1)[1])))
    assert same(pickle.loads(pickle.dumps(again)), found[1])
    other = screen_batch(batches(study, items, 6000, 5, 6000, 1)[0])
    assert not np.array_equal(other.candidates.table, found[0].candidates.table)


def test_merging_step_by_step_gives_the_same(found: list[Screened]) -> None:
    assert same(merge(found), merge([merge(found[:2]), found[2]]))
    once = best(merge(found), 5)
    assert same(once, best(merge([best(merge(found[:2]), 5), found[2]]), 5))
    assert same(once, best(merge([found[0], best(merge(found[1:]), 5)]), 5))
    assert 5 < len(once.candidates) <= 5 * len(MEASURES)
    for name, sign in MEASURES.items():
        everything = np.concatenate([f.measures[name] for f in found])
        assert (sign * once.measures[name]).max() == (sign * everything).max()
    assert len(np.unique(once.order)) == len(once.order)
    assert len(best(once, 0).candidates) == 0


def test_chunks_do_not_matter(monkeypatch: pytest.MonkeyPatch) -> None:
    study, items = demo()
    given = candidates(study, SeedSequence(9), 5000, 0)
    whole = screen(study, items, given, 0)
    monkeypatch.setattr(cascade, "CHUNK", 999)
    pieces = screen(study, items, given, 0)
    assert whole.counts == pieces.counts
    assert np.array_equal(whole.candidates.table, pieces.candidates.table)


def test_wheel_places_are_met(found: list[Screened]) -> None:
    study, _ = demo()
    wheel = study.wanted.wheel if study.wanted else None
    assert wheel is not None
    for i in range(3):
        gear, stroke = gear_and_stroke(varied(study, study_of(study, found[0].candidates, i)))
        for place, pose in ((wheel.down, 0), (wheel.up, -1)):
            assert abs(stroke.pins["axle"][pose] - complex(*place.at)) <= place.tolerance
        assert gear.brace.over_centre == pytest.approx(found[0].candidates.of("over_centre")[i])


def test_a_wanted_swing_is_sampled_between_its_poles() -> None:
    study = wished({"wanted.swing_up": [91, 92.5]})
    swing = candidates(study, SeedSequence(2), 1024, 0).of("swing_up")
    assert swing.min() >= 91 - 1e-9
    assert swing.max() <= 92.5 + 1e-9
    assert np.ptp(swing) > 1.4


def test_a_third_place_is_passed() -> None:
    study = wished({"wanted.wheel.third": {"at": [1262.5, 253.2], "tolerance": 2}})
    _, items = demo()
    given = candidates(study, SeedSequence(2), 4096, 0)
    passed = best(screen(study, items, given, 0), 10)
    assert passed.counts[PASSED] > 0
    for i in range(len(passed.candidates)):
        _, stroke = gear_and_stroke(varied(study, study_of(study, passed.candidates, i)))
        chain = shapely.LineString(np.stack([stroke.pins["axle"].real, stroke.pins["axle"].imag], axis=1))
        assert shapely.distance(chain, shapely.Point(1262.5, 253.2)) <= 2.1  # chords of the arc lie 0.01 mm inside


def test_the_demo_gear_passes_its_own_wishes() -> None:
    study, items = demo()
    passed = screen(study, items, own(study), 0)
    assert passed.counts[PASSED] == 1
    gear, stroke, found = judged(study)
    assert all(f.passed for f in found)
    travel = lock_travel(gear, stroke, 1.5)
    assert travel is not None
    assert passed.measures[LOCK][0] == pytest.approx(travel.dead_travel - 0.5, abs=1e-9)
    assert passed.measures[MOMENT][0] == pytest.approx(abs(moment_shift(gear, stroke).real), rel=1e-9)
    assert passed.measures[FORCE][0] >= actuation(study, gear, stroke).peak(2.0)
    assert study_of(study, own(study), 0) == {}


def test_gravity_alone_is_the_solvers_own_number() -> None:
    """Without air and springs the force measured is that of the full solver, by pin equilibrium."""
    study = wished({"wanted.actuator.catalogue": []})
    still = study.model_copy(update={"air": None, "gear": study.gear.model_copy(update={"spring": ()})})
    own_neighbours = tuple(p for p in still.gear.part if p.name != "gas spring")
    still = still.model_copy(update={"gear": still.gear.model_copy(update={"part": own_neighbours})})
    passed = best(screen(still, (), candidates(still, SeedSequence(8), 4096, 0), 0), 10)
    assert passed.counts[PASSED] > 5
    for i in range(0, len(passed.candidates), 4):
        one = varied(still, study_of(still, passed.candidates, i))
        gear, stroke = gear_and_stroke(one)
        push = actuation(one, gear, stroke)
        assert passed.measures[FORCE][i] == pytest.approx(max(push.peak(2.0), -push.pull(2.0)), rel=1e-9)


def true_margin(study: object, gear: object, stroke: object, items: object) -> float:
    """Least gap less required gap at the poses, measured by shapely."""
    least = np.inf
    for part in gear.parts:  # type: ignore[attr-defined]
        core = np.stack([stroke.motion.point(p.body, p.at)[0] for p in part.core], axis=1)  # type: ignore[attr-defined]
        shapes = shapes_of(core, part.closed)
        for item in items:  # type: ignore[attr-defined]
            if part.name not in item.ignore:
                apart = shapely.distance(shapes, item.shape) - part.radius - item.radius
                gaps = in_space(lateral_gap(part.butt_lines, item.butt_lines), apart) - item.required
                least = min(least, float(gaps[-1] if item.stowed_only else gaps.min()))
    return least


def test_gaps_refuse_only_what_is_too_near() -> None:
    study, items = demo()
    given = candidates(study, SeedSequence(21), 4096, 0)
    passed = screen(study, (), given, 0)
    refused = checked = 0
    for i in range(0, len(passed.candidates), max(1, len(passed.candidates) // 50)):
        one = passed.candidates.take([i])
        counts = screen(study, items, one, 0)
        chosen = varied(study, study_of(study, one, 0))
        gear = build(chosen)
        _, stroke = gear_and_stroke(chosen)
        true = true_margin(study, gear, stroke, items)
        if any(k.startswith(NEAR) for k in counts.counts):
            refused += 1
            assert true < 0
        elif counts.counts[PASSED]:
            checked += 1
            assert true - 1e-6 <= counts.measures[MARGIN][0] < true + 0.5  # measured, at the poses that seem nearest
    assert refused > 3
    assert checked > 1


def test_places_beyond_the_lattice_are_never_near() -> None:
    study, items = demo()
    near = _field(_Key(study, items))
    for layers in near.layers:
        for layer in layers:
            if layer is not None:
                assert layer.margin[0].min() > 1e5
                assert layer.margin[:, -1].min() > 1e5
    gear = build(study)
    assert motion_at(gear, np.array([0.0]), 0).margin.shape == (1, 1)


def test_the_weakest_unit_that_fits_and_can() -> None:
    study, items = demo()
    passed = best(screen(study, items, candidates(study, SeedSequence(6), 16384, 0), 0), 50)
    units = study.wanted.actuator.catalogue if study.wanted else ()
    assert len(np.unique(passed.candidates.of("unit"))) > 1
    for i in range(len(passed.candidates)):
        changes = study_of(study, passed.candidates, i)
        unit = units[int(passed.candidates.of("unit")[i])]
        assert unit.max_force >= passed.measures[FORCE][i]
        assert changes["gear.actuator.kind"] == unit.name
        if i % 8 == 0:
            _, stroke = gear_and_stroke(varied(study, changes))
            low, high = stroke.actuator_length.min(), stroke.actuator_length.max()
            assert unit.dead_length + unit.stroke <= low - 2.0  # left at the lock
            assert unit.dead_length + 2 * unit.stroke >= high + 1.0  # overtravel at the up stop
            weaker = [u for u in units if passed.measures[FORCE][i] <= u.max_force < unit.max_force]
            for u in weaker:
                assert (
                    u.dead_length + u.stroke > low - 2.0
                    or u.dead_length + 2 * u.stroke < high + 1.0
                    or (low - (high - low) - 4.0 < u.dead_length)
                )


def test_few_poses_of_a_study_are_not_enough() -> None:
    study, items = demo()
    few = study.model_copy(update={"stroke": study.stroke.model_copy(update={"poses": 11})})
    given = candidates(study, SeedSequence(12), 4096, 0)
    many, less = (screen(s, items, given, 0).counts for s in (study, few))
    for reason in set(many) | set(less):
        if not reason.startswith(NEAR) and reason not in (PASSED, POSED, "actuator force too great"):
            assert many.get(reason, 0) == less.get(reason, 0)
    assert abs(many[PASSED] - less[PASSED]) <= 3


def test_ways_to_fold_take_turns() -> None:
    study = wished({"wanted.knee_folds": ["up", "down"]})
    given = batches(study, (), 5 * 128, 1, 128, len(branches(study)))
    assert [b.branch for b in given] == [0, 1, 0, 1, 0]
    found = merge([screen_batch(b) for b in given])
    assert found.counts[SAMPLED] == 640
    assert {
        study_of(study, candidates(study, b.seed, 4, b.branch), 0).get("gear.brace.knee_folds", "up") for b in given
    } == {
        "up",
        "down",
    }
