"""Emergency extension: energy, two roads, a pendulum in closed form, stalls, damping."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from scipy.special import ellipkinc

from linkage.actuation.conditions import Condition
from linkage.extension import extension
from linkage.extension.energy import energies, path, reserve
from linkage.extension.envelope import envelope
from linkage.extension.faller import Faller, make_faller
from linkage.extension.simulate import Extension, corners, simulate
from linkage.extension.table import Table, exact_rows, make_table
from linkage.stroke import gear_and_stroke
from tests.studies import MERROW, OSTREL, changed, solution
from tests.topologies import TELESCOPING
from tests.topologies import study as topology

UNDAMPED: dict[str, Any] = {"gear.emergency.damper": []}
LOSSLESS: dict[str, Any] = {
    **UNDAMPED,
    "gear.friction": None,
    "gear.spring[0].friction": 0,
    "air": None,
}
WARM = Condition(1.0, 0.0, 0.0, 1.0, 40.0)


def falling(study: Any) -> tuple[Faller, Table]:
    gear, stroke = gear_and_stroke(study)
    faller = make_faller(study, gear, stroke)
    assert faller is not None
    return faller, make_table(faller)


@cache
def demo() -> tuple[Faller, Table]:
    return falling(changed({}))


@cache
def undamped() -> tuple[Faller, Table]:
    return falling(changed(UNDAMPED))


@pytest.mark.parametrize("health", [0.8, 1.0])
def test_energy_is_conserved_without_losses(health: float) -> None:
    """To 1e-6 of the greatest kinetic energy, from exact positions, through the dead centre to the stop."""
    faller, table = falling(changed(LOSSLESS))
    run = simulate(faller, table, replace(WARM, health=health))
    assert run.locks
    assert run.energy_error < 1e-6
    assert run.work == {"air": 0.0, "friction": 0.0, "damping": 0.0}
    # and by hand: height of the weights and the gas spring's own work
    stroke, spring = faller.stroke, faller.springs[0]
    drop = sum(m.kg * 9.80665 * _fallen(faller, m) for m in faller.masses)
    ends = stroke.spring_lengths["gas spring"][[0, -1]]
    given = (spring.stored(ends[1]) - spring.stored(ends[0])) * (313.15 / 293.15) * health
    assert run.at_stop == pytest.approx(1e-3 * (drop + given), rel=1e-6)


def _fallen(faller: Faller, mass: Any) -> float:
    from linkage.stroke import motion_at

    place = motion_at(faller.gear, np.array([0.0, faller.stroke.driven_up]), 0).point(mass.at.body, mass.at.at)[0]
    return float(place[1].imag - place[0].imag)


def test_a_leg_alone_is_a_pendulum() -> None:
    """Telescoping brace without mass: released at rest, the leg swings as a physical pendulum about the vertical.
    With k the sine of half the angle of release, it is at another angle sqrt(I / m g a) F(asin(sin(angle/2) / k), k)
    before it passes the vertical, F being the elliptic integral of the first kind."""
    study = topology("telescoping", {"gear.emergency": {}, "gear.friction": None, "air": None, **_one_mass()})
    faller, table = falling(study)
    run = simulate(faller, table, WARM)
    assert run.locks
    mass = faller.masses[0]
    arm = mass.at.at - faller.gear.pins["trunnion"].at
    reach, own = abs(arm), mass.gyration
    bottom = math.atan2(arm.real, -arm.imag)  # of the locked place from the vertical, aft +
    start = bottom + faller.stroke.swing[-1]
    k = math.sin(start / 2)

    def since_bottom(angle: float) -> float:
        return float(ellipkinc(math.asin(math.sin(angle / 2) / k), k * k))

    slowness = math.sqrt((reach**2 + own**2) / (9806.65 * reach))
    assert run.duration == pytest.approx(slowness * (since_bottom(start) - since_bottom(bottom)), rel=1e-6)


def _one_mass() -> dict[str, Any]:
    return {"gear.mass": [{"name": "leg", "mass": 15, "at": {"along": 420, "offset": 30}, "gyration": 90}]}


@pytest.mark.parametrize(
    "case",
    [
        WARM,
        Condition(1.0, 38.0, 0.0, 0.8, -20.0),
        Condition(2.0, 50.0, 0.0, 1.0, 20.0),
        Condition(1.0, 90.0, 0.0, 0.8, -20.0),
    ],
    ids=str,
)
def test_time_and_way_give_the_same_energy(case: Condition) -> None:
    """The simulation in time with its table, and the energy along the way from exact units: with friction, seals,
    dampers, and air that depends on the speed of the leg."""
    for faller, table in (demo(), undamped()):
        run = simulate(faller, table, case)
        way = path(faller, 160, 96)
        course = energies(faller, way, [case])[:, 0]
        seen = run.driven < faller.stroke.driven_up * 0.98
        along = np.interp(-run.driven[seen], -way.driven[::2], course)
        assert np.max(np.abs(along - run.kinetic[seen])) < 2e-3 * run.kinetic.max()
        assert run.energy_error < 1e-6
        if run.locks:
            assert course[-1] == pytest.approx(run.at_stop, abs=1e-4 * run.kinetic.max())
        else:
            assert run.stop is not None
            crossed = np.interp(0.0, -course[course.argmax() :], -way.driven[::2][course.argmax() :])
            assert -crossed == pytest.approx(run.stop[0], abs=2e-3)


def test_the_table_tells_what_the_linkage_does() -> None:
    faller, table = demo()
    driven = np.random.default_rng(3).uniform(0.0, faller.stroke.driven_up, 40)
    assert table.error < 1e-9
    for x, exact in zip(driven, exact_rows(faller, driven)[0], strict=True):
        row = table.at(float(x))
        assert row.inertia == pytest.approx(exact.inertia, rel=1e-8)
        assert row.moment == pytest.approx(exact.moment, rel=1e-8, abs=1e-6 * np.max(np.abs(exact.moment)))
        for name in ("force", "hurry", "by_couple"):
            told, true = getattr(row, name), getattr(exact, name)
            assert told == pytest.approx(true, rel=1e-7, abs=1e-8 * np.max(np.abs(true))), name


def test_leg_swing_is_double_valued_at_the_lock_and_the_coordinate_is_not() -> None:
    faller, table = undamped()
    run = simulate(faller, table, WARM)
    assert np.all(np.diff(run.driven) < 0)
    assert run.swing.min() == pytest.approx(-faller.stroke.overswing, rel=0.3)
    assert run.swing[-1] == pytest.approx(0.0, abs=1e-9)


def test_fast_air_stalls_the_aft_folding_gear_where_the_way_says() -> None:
    faller, table = demo()
    found = envelope(faller)
    assert np.all(np.diff(found.highest) > 0)
    assert np.all(found.lowest == 0.0)
    for i in (0, len(found.health) - 1):
        for speed, locks in ((found.highest[i] - 0.5, True), (found.highest[i] + 0.5 + found.step, False)):
            case = Condition(1.0, float(speed), 0.0, float(found.health[i]), found.temperature)
            assert simulate(faller, table, case).locks is locks
    way = path(faller)
    cases = [Condition(1.0, v, 0.0, 0.8, -20.0) for v in (20.0, 40.0, 60.0, 80.0)]
    left = reserve(way, energies(faller, way, cases))
    assert (left > 0).tolist() == [True, True, False, False]


def test_the_one_health_of_a_check_is_that_of_the_whole_curve() -> None:
    for faller in (demo()[0], undamped()[0]):
        whole, judged = envelope(faller), envelope(faller, closely=False)
        assert len(judged.health) == 1
        i = whole.health.tolist().index(judged.health[0])
        assert (judged.lowest[0], judged.highest[0]) == (whole.lowest[i], whole.highest[i])
        assert (judged.searched, judged.step) == (whole.searched, whole.step)


def test_pins_that_bind_keep_the_gear_in_its_up_lock() -> None:
    stiff = {"pin_radius": 90, "coefficient": 1.5, "source": "test"}
    faller, table = falling(changed({"gear.friction": stiff}))
    run = simulate(faller, table, Condition(1.0, 0.0, 0.0, 0.8, -20.0))
    assert run.stop is not None
    assert run.stop[0] == pytest.approx(faller.stroke.driven_up)
    assert run.duration == 0.0


def damped(force: float, **more: Any) -> Extension:
    damper = {"on": "gas spring", "force": force, "at_speed": 0.15, "source": "test"} | more
    faller, table = falling(changed({"gear.emergency.damper": [damper]}))
    return simulate(faller, table, WARM)


def test_damping_slows_the_arrival_and_takes_the_energy_that_is_missing() -> None:
    soft, hard = damped(200.0), damped(800.0)
    assert soft.locks and hard.locks
    assert hard.arrival_speed < soft.arrival_speed < simulate(*undamped(), WARM).arrival_speed
    assert hard.duration > soft.duration
    assert hard.work["damping"] < soft.work["damping"] < 0.0


def test_a_snubber_works_only_over_its_last_travel() -> None:
    whole, last = damped(600.0), damped(600.0, last=20.0)
    assert last.duration < whole.duration
    assert last.energy_error < 1e-6
    free = simulate(*undamped(), WARM)
    outside = last.driven > 1.2
    assert np.interp(-last.driven[outside], -free.driven, free.kinetic) == pytest.approx(
        last.kinetic[outside], rel=0.02, abs=0.05
    )
    faller, table = falling(
        changed(
            {
                "gear.emergency.damper": [
                    {"on": "gas spring", "force": 600, "at_speed": 0.15, "last": 20, "source": "test"}
                ]
            }
        )
    )
    places = corners(faller, table)
    assert len(places) == 3
    assert places[0] > faller.stroke.dead_centre == places[1] > places[2] == 0.0


def test_brace_links_with_masses_of_their_own_get_no_more() -> None:
    own = [{"name": "u", "mass": 0.5, "at": {"radius": 100}, "on": "upper link"}]
    masses = [m.model_dump(exclude_none=True, exclude_defaults=True) for m in changed({}).gear.mass]
    faller, _ = falling(changed({"gear.mass": masses + own}))
    added = [m for m in faller.masses if m not in faller.gear.masses]
    assert [m.at.body for m in added] == ["lower link"]
    assert added[0].kg == pytest.approx(0.9 * 123 / 323)


def test_both_studies_lock_with_something_left_and_both_roads_agree() -> None:
    for name in (MERROW, OSTREL):
        found = solution(name).results.extension
        assert found is not None
        assert found.hardest.locks
        assert np.all(found.reserves > 0)
        assert found.closing > 0
        assert found.disagreement < 1e-4
        assert found.hardest.energy_error < 1e-6


def test_no_table_without_an_emergency_extension() -> None:
    study = changed({"gear.emergency": None})
    gear, stroke = gear_and_stroke(study)
    assert extension(study, gear, stroke) is None


def test_every_topology_falls() -> None:
    more = {"gear.emergency": {}, "air": None}
    for name in ("leg", "bell-crank", "lock links", "sliding root"):
        faller, table = falling(topology(name, more))
        run = simulate(faller, table, WARM)
        assert run.locks, name
        assert run.energy_error < 1e-6, name
    assert TELESCOPING  # its fall is the pendulum above


def test_a_leg_without_mass_does_not_fall() -> None:
    study = changed({"gear.mass": []})
    gear, stroke = gear_and_stroke(study)
    assert extension(study, gear, stroke) is None
