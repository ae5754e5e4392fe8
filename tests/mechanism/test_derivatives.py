"""How poses and coefficients change with the drawing, against mechanisms drawn anew and against a closed form."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import sympy

from linkage.mechanism import GROUND, Mechanism, Motion, Slide, plan, solve
from linkage.mechanism.derivatives import Change, slopes
from linkage.mechanism.model import Complexes
from tests.mechanism.linkages import demo_gear, four_bar, grown, marks, random_triad, scotch_yoke, slider_crank, triad

AGREE = 1e-8
MECHANISMS = {
    "four-bar": four_bar(40, 120, 80, 100, 1.0),
    "slider-crank": slider_crank(40, 120, 15, 0.7),
    "scotch yoke": scotch_yoke(40, 0.6),
    "demo": demo_gear(),
    "triad": triad(),
    "another triad": random_triad(1),
    **{f"grown {seed}": grown(seed) for seed in range(5)},
    **{f"grown on a slide {seed}": grown(seed, by_slide=True) for seed in range(5)},
}


def travel(m: Mechanism) -> Complexes:
    reach = 8.0 if isinstance(m.joint(m.driver), Slide) else 0.08
    return np.array([-reach, 0.0, 0.4 * reach, reach])


def changes(m: Mechanism, seed: int, inputs: int) -> dict[str, Change]:
    """Every joint moves, and every slide turns, by each input at once: errors of one cannot hide behind the others."""
    rng = np.random.default_rng(seed)

    def way() -> Complexes:
        return rng.uniform(-1, 1, inputs) + 1j * rng.uniform(-1, 1, inputs)

    return {
        j.name: Change(way(), way() * abs(complex(j.along)) / 50 if isinstance(j, Slide) else None) for j in m.joints
    }


def drawn_anew(m: Mechanism, by: dict[str, Change], k: int, steps: Complexes) -> Motion:
    joints = []
    for j in m.joints:
        at = complex(j.at) + steps * by[j.name].at[k]
        along = by[j.name].along
        if isinstance(j, Slide) and along is not None:
            joints.append(replace(j, at=at, along=complex(j.along) + steps * along[k]))
        else:
            joints.append(replace(j, at=at))
    return solve(plan(Mechanism(tuple(joints), m.driver)), travel(m))


def tables(motion: Motion, m: Mechanism) -> Complexes:
    """Places and coefficients of marked points, spins: (what, designs, poses)."""
    rows = [motion.point(body, z) for body, z in marks(m)] + [motion.velocity(body, z) for body, z in marks(m)]
    return np.array([*rows, *(motion.spin(body) + 0j for body in m.bodies)])


@pytest.mark.parametrize("name", MECHANISMS)
def test_against_mechanisms_drawn_anew(name: str) -> None:
    m = MECHANISMS[name]
    by = changes(m, 7, 2)
    motion = solve(plan(m), travel(m))
    found = slopes(m, motion, by)
    steps = [0.2 / 2**n for n in range(4)]
    for k in range(2):
        rows = []
        for h in steps:
            made = tables(drawn_anew(m, by, k, np.array([h, -h])), m)
            rows.append((made[:, 0] - made[:, 1]) / (2 * h))
        for level in (1, 2, 3):
            rows = [(4**level * b - a) / (4**level - 1) for a, b in pairwise(rows)]
        ours = [found.point(body, z, np.zeros(2))[k, 0] for body, z in marks(m)]
        ours += [found.velocity(body, z, np.zeros(2))[k, 0] for body, z in marks(m)]
        ours += [found.rate[body][1][k, 0] + 0j for body in m.bodies]
        for one, other in zip(ours, rows[0], strict=True):
            assert one == pytest.approx(other, abs=AGREE * max(1.0, float(np.abs(other).max())))


def test_slider_crank_by_symbols() -> None:
    """x = a cos q + sqrt(l^2 - (a sin q - e)^2), by crank a, rod l, offset e and, mixed, by q (sympy)."""
    a, rod, e, q = sympy.symbols("a l e q", positive=True)
    place = a * sympy.cos(q) + sympy.sqrt(rod**2 - (a * sympy.sin(q) - e) ** 2)
    sizes, drawn = {a: 40.0, rod: 120.0, e: 15.0}, 0.7
    m = slider_crank(40.0, 120.0, 15.0, drawn)
    pin, block = complex(m.joint("crank pin").at), complex(m.joint("slider pin").at)
    out, along = pin / 40.0, (block - pin) / 120.0
    # each size alone: the crank pin goes out with a, and the block follows on its line; with l the block alone;
    # with e the line and the block rise
    slide = {
        "a": out.real - (pin.imag - 15.0) * out.imag / (block - pin).real,
        "l": 1.0 / along.real,
        "e": (pin.imag - 15.0) / (block - pin).real,
    }
    pins = np.array([out, 0, 0])
    blocks = np.array([slide["a"] + 0j, slide["l"] + 0j, slide["e"] + 1j])
    by = {"crank pin": Change(pins), "slider pin": Change(blocks), "guide": Change(blocks)}
    turns = np.array([0.0, 0.3, 0.9])
    motion = solve(plan(m), turns)
    found = slopes(m, motion, by)
    body = m.joint("slider pin").b
    for k, size in enumerate((a, rod, e)):
        for order, ours in enumerate((found.point(body, block, blocks), found.velocity(body, block, blocks))):
            exact = sympy.diff(place, size, *([q] * order))
            wanted = [float(exact.subs({**sizes, q: drawn + turn})) for turn in turns]
            assert ours[k, 0].real == pytest.approx(wanted, rel=1e-12, abs=1e-13)


def test_nothing_moves_in_the_drawn_position_but_what_is_drawn_there() -> None:
    m = demo_gear()
    found = slopes(m, solve(plan(m), np.zeros(1)), changes(m, 3, 4))
    for body in m.bodies:
        assert np.abs(found.pose[body][0]).max() < 1e-12
        assert np.abs(found.pose[body][1]).max() < 1e-14


def test_a_fixed_point_moves_with_the_drawing_alone() -> None:
    m = four_bar(40, 120, 80, 100, 1.0)
    found = slopes(m, solve(plan(m), np.zeros(1)), {"rocker pivot": Change(np.array([1.0 + 2.0j]))})
    assert found.point(GROUND, 5j, np.array([3.0 + 0j])).tolist() == [[[3.0 + 0j]]]
    assert found.velocity(GROUND, 5j, np.array([3.0 + 0j])).tolist() == [[[0j]]]


def test_an_open_mechanism_has_no_slopes() -> None:
    m = four_bar(80, 60, 60, 100, 0.5)
    motion = solve(plan(m), np.array([0.0, 2.5]))
    assert motion.margin[0, 1] < 0
    turned = slopes(m, motion, {"crank pin": Change(np.ones(1, complex))}).pose["rocker"][1]
    assert np.isfinite(turned[0, 0, 0])
    assert np.isnan(turned[0, 0, 1])
