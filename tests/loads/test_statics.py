"""The gear as a body in space: a case by hand, the six equations of equilibrium, and what the closure check catches."""

from __future__ import annotations

import cmath
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.errors import MechanismError
from linkage.loads import ClosureError, PointLoad
from linkage.loads import statics as statics_module
from linkage.loads.statics import (
    LoadPath,
    brace_force,
    checked,
    closure,
    load_path,
    on_airframe,
    space,
)
from tests.loads.bench import case, load, path_of


def by_name(loads: tuple[PointLoad, ...]) -> dict[str, list[float]]:
    return {x.name: [float(v) for v in x.force] for x in loads}


def test_two_bearings_by_hand() -> None:
    """Trunnion at the origin, bearings at BL -100 and +100, leg 500 straight down, brace level to a lug 200 down.

    Wheel load 900 aft, 600 to the right, 3000 up, 500 below the trunnion and 40 aft of it.
    Side view, moments about the axis: 900 x 500 aft against P x 200, and 3000 x 40 of the vertical the same way as aft:
    the wheel swings aft under the first (lever 500) and under the second (it acts aft of the trunnion):
    P = (900 x 500 + 3000 x 40)/200 = 2850 compression, the brace root lying 300 aft of the lug.
    Trunnion in all: FS 900 - 2850 = -1950, BL 600, WL 3000.
    Side load about FS: 600 x 500 = 300 000 to be taken by +-300 000/200 = 1500 up on the right, down on the left
    (pushed right at the foot, the leg levers up on the right bearing).
    Side load about WL: 600 x 40 = 24 000: 120 forward on the right bearing, 120 aft on the left.
    So right: FS -975 - 120 = -1095, WL 1500 + 1500 = 3000; left: FS -975 + 120 = -855, WL 0. Thrust on the right: 600.
    """
    path = path_of(0j, -200j, 300 - 200j, bearings=(-100.0, 100.0))
    applied = [load((40.0, 0.0, -500.0), (900.0, 600.0, 3000.0))]
    brace = brace_force(path, applied)
    assert brace == pytest.approx(2850.0, abs=1e-9)
    found = by_name(on_airframe(path, applied, brace))
    assert found["trunnion right"] == pytest.approx([-1095.0, 600.0, 3000.0], abs=1e-9)
    assert found["trunnion left"] == pytest.approx([-855.0, 0.0, 0.0], abs=1e-9)
    assert found["upper pin"] == pytest.approx([2850.0, 0.0, 0.0], abs=1e-9)


@pytest.mark.parametrize(
    ("bearing", "side", "right", "left"),
    [
        ("pushed", 600.0, 600.0, 0.0),
        ("pushed", -600.0, 0.0, -600.0),
        ("left", 600.0, 0.0, 600.0),
        ("right", -600.0, -600.0, 0.0),
    ],
)
def test_which_bearing_takes_the_thrust(bearing: str, side: float, right: float, left: float) -> None:
    path = path_of(0j, -200j, 300 - 200j, bearings=(-100.0, 100.0), thrust_bearing=bearing)
    applied = [load((0.0, 0.0, -500.0), (0.0, side, 3000.0))]
    found = by_name(on_airframe(path, applied, brace_force(path, applied)))
    assert (found["trunnion right"][1], found["trunnion left"][1]) == (right, left)


def test_brace_beside_the_middle_loads_its_own_side() -> None:
    """The brace at BL +100 and the right bearing at BL +100: the left bearing feels nothing of a load in that plane."""
    path = path_of(0j, -200j, 300 - 100j, brace_bl=100.0, bearings=(-100.0, 100.0))
    applied = [load((0.0, 100.0, -500.0), (900.0, 0.0, 3000.0))]
    found = by_name(on_airframe(path, applied, brace_force(path, applied)))
    assert found["trunnion left"] == pytest.approx([0.0, 0.0, 0.0], abs=1e-9)


def six_equations(path: LoadPath, applied: list[PointLoad]) -> np.ndarray:
    """Left bearing FS, WL; right bearing FS, WL; thrust; brace: forces on the leg that hold it, by np.linalg.solve."""
    assert path.bearings is not None
    unknowns = [
        (space(path.trunnion, bl), unit)
        for bl in path.bearings
        for unit in (np.array([1.0, 0, 0]), np.array([0, 0, 1.0]))
    ]
    unknowns += [
        (space(path.trunnion, path.bearings[0]), np.array([0, 1.0, 0])),
        (space(path.lug, path.brace_bl), space(path.line)),
    ]
    matrix = np.array([[*unit, *np.cross(at, unit)] for at, unit in unknowns]).T
    right = -sum(np.array([*x.force, *(np.cross(x.at, x.force) + x.couple)]) for x in applied)
    return np.asarray(np.linalg.solve(matrix, right))


number = st.floats(-1.0, 1.0)


@settings(max_examples=60, derandomize=True, deadline=None)
@given(
    st.lists(number, min_size=6, max_size=6),
    st.floats(0.0, 6.28),
    st.lists(number, min_size=12, max_size=12),
    st.floats(0.2, 1.0),
)
def test_closed_form_is_the_solution_of_the_six_equations(
    place: list[float], turn: float, numbers: list[float], wide: float
) -> None:
    trunnion = complex(1000 + 300 * place[0], 800 + 100 * place[1])
    down = cmath.exp(1j * (turn * 0.1 - 1.9))
    lug = trunnion + down * (200 + 80 * place[2])
    root = lug + down * 1j * (300 + 100 * place[3]) + 80 * place[4]
    path = path_of(trunnion, lug, root, 60 * place[5], (-300 * wide, 150 * wide))
    applied = [
        load(
            (900 + 200 * a, 50 * b, 100 * c),
            (3000 * d, 2000 * e, 4000 * f),
        )
        for a, b, c, d, e, f in (numbers[:6], numbers[6:])
    ]
    brace = brace_force(path, applied)
    airframe = on_airframe(path, applied, brace)
    found = {x.name: x.force for x in airframe}
    wanted = six_equations(path, applied)
    thrust = found["trunnion left"][1] + found["trunnion right"][1]
    held = [*found["trunnion left"][[0, 2]], *found["trunnion right"][[0, 2]], thrust]
    size = float(np.abs(wanted).max()) + 1.0
    assert -np.array([*held, -brace]) == pytest.approx(wanted, abs=1e-9 * size)
    assert closure(applied, airframe) < 1e-12


def test_without_bearings_the_trunnion_keeps_its_couple() -> None:
    path = path_of(0j, -200j, 300 - 200j)
    applied = [load((40.0, 0.0, -500.0), (900.0, 600.0, 3000.0))]
    trunnion = next(x for x in on_airframe(path, applied, brace_force(path, applied)) if x.name == "trunnion")
    assert trunnion.couple == pytest.approx([300_000.0, 0.0, 24_000.0])
    assert closure(applied, on_airframe(path, applied, brace_force(path, applied))) < 1e-15


@pytest.mark.parametrize("axis", [0, 1, 2])
def test_closure_notices_a_wrong_reaction(axis: int) -> None:
    path = path_of(0j, -200j, 300 - 200j, bearings=(-100.0, 100.0))
    applied = [load((40.0, 0.0, -500.0), (900.0, 600.0, 3000.0))]
    right = list(on_airframe(path, applied, brace_force(path, applied)))
    checked(applied, right, "right")
    push = np.zeros(3)
    push[axis] = 1e-3
    wrong_force = [replace(right[0], force=right[0].force + push), *right[1:]]
    wrong_couple = [replace(right[0], couple=right[0].couple + 1e3 * push), *right[1:]]
    for wrong in (wrong_force, wrong_couple):
        with pytest.raises(ClosureError, match="bad: loads on the airframe miss the wheel load"):
            checked(applied, wrong, "bad")


def test_a_fault_in_the_statics_stops_the_run(monkeypatch: pytest.MonkeyPatch) -> None:
    """The check runs on every condition of every study: spoil the brace force a little, and no result comes out."""
    bench = case()
    bench.loads()
    from linkage.loads import ground

    right = statics_module.on_airframe
    monkeypatch.setattr(ground, "on_airframe", lambda path, applied, brace: right(path, applied, brace)[:-1])
    with pytest.raises(ClosureError):
        bench.loads()


def test_brace_that_points_at_the_trunnion_is_refused() -> None:
    bench = case()
    trunnion = bench.gear.pins["trunnion"].at
    straight = replace(
        bench.gear,
        brace=replace(bench.gear.brace, lug=trunnion + 0.5 * (bench.gear.pins["upper pin"].at - trunnion)),
    )
    with pytest.raises(MechanismError, match="points at the trunnion"):
        load_path(bench.study, straight)
