"""Speed of the kernel as ratios to plainer ways of getting the same numbers, all measured in this one process.

Times are processor time of this process (all of it runs on one core), the least of several runs taken in turn: other
work on the machine then counts for little.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from math import cos, sin

import numpy as np
import pytest
from scipy.optimize import fsolve

from linkage.mechanism import Load, balance, newton, plan, solve, trace
from tests.benchmarks.measure import least
from tests.mechanism.linkages import (
    ACTUATOR_ROOT,
    AXLE,
    HORN,
    KNEE,
    LUG,
    SPRING_PIN,
    SPRING_ROOT,
    TRUNNION,
    UPPER_PIN,
    demo_gear,
)

pytestmark = pytest.mark.benchmark

STROKE, POSES, FEW = -1.6, 1_000_000, 2000
PUSH, LIFT = HORN - ACTUATOR_ROOT, SPRING_PIN - SPRING_ROOT
ON_ROD, ON_SPRING = HORN - 90 * PUSH / abs(PUSH), SPRING_PIN - 70 * LIFT / abs(LIFT)
POINTS = [
    ("upper", KNEE),
    ("leg", LUG),
    ("leg", AXLE),
    ("upper", HORN),
    ("upper", SPRING_PIN),
    ("rod", ON_ROD),
    ("spring rod", ON_SPRING),
]


def by_hand(q: np.ndarray, size: int = 16_384) -> np.ndarray:
    """The seven points by a closed form written for this one gear, chunked: (points, poses)."""
    out = np.empty((7, len(q)), dtype=complex)
    to_lug, to_knee = abs(LUG - TRUNNION), abs(LUG - KNEE)
    side = np.sign(((KNEE - TRUNNION).conjugate() * (LUG - TRUNNION)).imag)
    for start in range(0, len(q), size):
        row, part = out[:, start : start + size], q[start : start + size]
        turn = np.empty(len(part), dtype=complex)
        turn.real, turn.imag = np.cos(part), np.sin(part)
        row[0], row[3] = UPPER_PIN + (KNEE - UPPER_PIN) * turn, UPPER_PIN + (HORN - UPPER_PIN) * turn
        row[4] = UPPER_PIN + (SPRING_PIN - UPPER_PIN) * turn
        base = row[0] - TRUNNION
        square = base.real**2 + base.imag**2
        foot = np.empty_like(base)
        foot.real = 0.5 + 0.5 * (to_lug**2 - to_knee**2) / square
        foot.imag = side * np.sqrt(to_lug**2 / square - foot.real**2)
        arm = base * foot
        row[1], row[2] = TRUNNION + arm, TRUNNION + arm * ((AXLE - TRUNNION) / (LUG - TRUNNION))
        for k, end, root, back in ((5, 3, ACTUATOR_ROOT, 90.0), (6, 4, SPRING_ROOT, 70.0)):
            span = row[end] - root
            row[k] = row[end] - span * (back / np.sqrt(span.real**2 + span.imag**2))
    return out


def by_fsolve(q: Sequence[float], read: Callable[[np.ndarray], Iterable[float]] = tuple) -> np.ndarray:
    """The same points pose by pose: angles of lower link and leg, angle and length of actuator and gas spring are the
    unknowns of the three loops, each pose started from the one before. ``read`` takes the unknowns out of their array:
    with ``np.ndarray.tolist`` they become Python's own floats, the fastest to reckon with."""
    lower, leg = LUG - KNEE, LUG - TRUNNION
    push, lift = PUSH / abs(PUSH), LIFT / abs(LIFT)

    def open_by(x: np.ndarray, knee: complex, horn: complex, pin: complex) -> tuple[float, ...]:
        a, b, c, length, d, height = read(x)
        brace = knee + lower * complex(cos(a), sin(a)) - TRUNNION - leg * complex(cos(b), sin(b))
        actuator = ACTUATOR_ROOT + length * push * complex(cos(c), sin(c)) - horn
        spring = SPRING_ROOT + height * lift * complex(cos(d), sin(d)) - pin
        return brace.real, brace.imag, actuator.real, actuator.imag, spring.real, spring.imag

    x = np.array([0.0, 0.0, 0.0, abs(PUSH), 0.0, abs(LIFT)])
    out = np.empty((7, len(q)), dtype=complex)
    for i, angle in enumerate(q):
        turn = complex(cos(angle), sin(angle))
        knee, horn, pin = (UPPER_PIN + (z - UPPER_PIN) * turn for z in (KNEE, HORN, SPRING_PIN))
        x = fsolve(open_by, x, args=(knee, horn, pin))
        on_leg, on_rod, on_spring = (complex(cos(x[k]), sin(x[k])) for k in (1, 2, 4))
        lug, axle = TRUNNION + leg * on_leg, TRUNNION + (AXLE - TRUNNION) * on_leg
        out[:, i] = knee, lug, axle, horn, pin, horn - 90 * push * on_rod, pin - 70 * lift * on_spring
    return out


def test_positions_of_a_million_poses() -> None:
    found, q = plan(demo_gear()), np.linspace(0.0, STROKE, POSES)
    few = q[:: POSES // FEW]
    traced = trace(found, q, POINTS)[:, 0]
    assert np.max(np.abs(traced - by_hand(q))) < 1e-9
    assert np.max(np.abs(trace(found, few, POINTS)[:, 0] - by_fsolve(few.tolist()))) < 1e-4
    del traced

    kernel, hand = least(lambda: trace(found, q, POINTS), lambda: by_hand(q))
    some = few.tolist()
    loop, tuned = least(lambda: by_fsolve(some), lambda: by_fsolve(some, np.ndarray.tolist), runs=3)
    loop, tuned = (t * POSES / FEW for t in (loop, tuned))
    print(
        f"\n1e6 poses: kernel {kernel:.3f} s, by hand {hand:.3f} s: {kernel / hand:.2f} times the time;"
        f"\nfsolve from 2000 poses {loop:.0f} s: kernel {loop / kernel:.0f} times faster"
        f" (with a residual tuned for Python's floats {tuned:.0f} s: {tuned / kernel:.0f} times)"
    )
    assert loop / kernel >= 500
    assert kernel / hand <= 3


def test_pin_forces_of_a_hundred_thousand_poses() -> None:
    mechanism, q = demo_gear(), np.linspace(-0.02, STROKE, 100_000)
    motion = solve(plan(mechanism), q, order=0)
    loads = [Load("leg", AXLE, 200.0 - 150j), Load("lower", KNEE, -9j), Load("spring rod", SPRING_PIN, 450.0, 3.0)]
    matrix, right = systems(lambda: balance(mechanism, motion, loads, "actuator"))
    assert matrix.shape == (100_000, 21, 21)
    plain = np.linalg.solve(matrix, right)
    found = balance(mechanism, motion, loads, "actuator")
    assert np.max(np.abs(plain[:, -1, 0] - found.effort[0])) < 1e-9 * np.max(np.abs(found.effort))

    kernel, bare = least(
        lambda: balance(mechanism, motion, loads, "actuator"), lambda: np.linalg.solve(matrix, right), runs=7
    )
    print(
        f"\npin forces of 1e5 poses: kernel {kernel:.3f} s, bare solve of its systems {bare:.3f} s:"
        f" {bare / kernel:.2f} of the rate"
    )
    assert bare / kernel >= 0.6


def systems(work: Callable[[], object]) -> tuple[np.ndarray, np.ndarray]:
    """All the linear systems that the work solves."""
    seen: list[tuple[np.ndarray, np.ndarray]] = []
    solve_each = newton.solve_each

    def watched(matrix: np.ndarray, right: np.ndarray) -> np.ndarray:
        seen.append((matrix[0].copy(), right[0].copy()))
        return solve_each(matrix, right)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(newton, "solve_each", watched)
        work()
    return np.concatenate([m for m, _ in seen]), np.concatenate([r for _, r in seen])
