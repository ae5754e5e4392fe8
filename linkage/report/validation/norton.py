"""R. L. Norton, Design of Machinery: four-bars, offset slider-crank, forces by the matrix method.

Every linkage is drawn in another position than the one asked for, so that the kernel has to bring it there.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterator
from functools import partial

import numpy as np

from linkage.mechanism import Load, Mechanism, Motion, balance, plan, solve
from linkage.report.validation.linkages import Found, bar_angle, by_pins, by_work, four_bar, slider_crank
from linkage.report.validation.model import Case, case

DRAWN, ASKED = math.radians(95.0), math.radians(40.0)
SIZES = (40.0, 120.0, 80.0, 100.0)
WHAT = "four-bar 40, 120, 80, 100 mm"
PIVOT = "crank pivot"
COUPLER, ROCKER = ("coupler", "crank pin", "rocker pin"), ("rocker", "rocker pivot", "rocker pin")


def norton() -> Iterator[Case]:
    yield from _positions()
    yield from _rates()
    yield from _slider_cranks()
    yield from _forces()
    yield from _identities()


def at_forty(side: int) -> Found:
    mechanism = four_bar(*SIZES, DRAWN, side)
    return mechanism, solve(plan(mechanism), ASKED - DRAWN)


def _angle(side: int, body: str, start: str, end: str) -> float:
    return bar_angle(at_forty(side), body, start, end)


def _positions() -> Iterator[Case]:
    what = f"{WHAT}, crank 40 deg"
    for side, name, third, fourth in ((1, "open", "20.298", "57.325"), (-1, "crossed", "-60.98", "-98.01")):
        yield case("K1", "MEM", f"{what}, {name}", "theta 3", third, "deg", partial(_angle, side, *COUPLER))
        hand = {"within": 0.01, "why": "rounding of a hand calculation in the book"} if side < 0 else {}
        yield case("K1", "MEM", f"{what}, {name}", "theta 4", fourth, "deg", partial(_angle, side, *ROCKER), **hand)  # type: ignore[arg-type]


def _rates() -> Iterator[Case]:
    for body, rate, change in (("coupler", "-4.121", "296.089"), ("rocker", "6.998", "470.134")):
        inputs = f"{WHAT}, crank 40 deg, 25 rad/s"
        yield case("K2", "MEM", inputs, f"rate of the {body}", rate, "rad/s", partial(_rate, body))
        yield case(
            "K3",
            "MEM",
            f"{inputs}, 15 rad/s2",
            f"change of rate of the {body}",
            change,
            "rad/s2",
            partial(_change, body),
        )


def _rate(body: str) -> float:
    return 25.0 * float(at_forty(1)[1].spin(body)[0, 0])


def _change(body: str) -> float:
    motion = at_forty(1)[1]
    return 15.0 * float(motion.spin(body)[0, 0]) + 625.0 * float(motion.spin_rate(body)[0, 0])


def _slider_cranks() -> Iterator[Case]:
    for side, name, status, angle, place in (
        (1, "open", "READ", "152.91", "126.84"),
        (-1, "crossed", "MEM", "27.09", "-86.84"),
    ):
        inputs = f"slider-crank 40, 120, offset -20 mm, crank 60 deg, {name}"
        yield case("K4", status, inputs, "theta 3", angle, "deg", partial(_slider_angle, side))
        yield case("K4", status, inputs, "slider", place, "mm", partial(_slider_place, side))


def _slider(side: int) -> Found:
    mechanism = slider_crank(40.0, 120.0, -20.0, math.radians(-15.0), side)
    return mechanism, solve(plan(mechanism), math.radians(75.0), order=0)


def _slider_angle(side: int) -> float:
    return bar_angle(_slider(side), "rod", "slider pin", "crank pin")  # the book measures it at the slider


def _slider_place(side: int) -> float:
    mechanism, motion = _slider(side)
    return float(motion.point("slider", mechanism.joint("slider pin").at)[0, 0].real)


LINKS = {"crank": (0.004, 0.4, 3, 30), "coupler": (0.020, 1.5, 9, 45), "rocker": (0.015, 0.8, 5, 0)}
"""K7, inches, pounds and blobs (lb s2/in): mass, moment of inertia, and centre of gravity as distance and angle in
degrees from the link's own line. The masses are the book's rounded ones."""
OMEGA, ALPHA = 25.0, -40.0
K7 = (
    "four-bar 5, 15, 10, 19 in, crank 60 deg, 25 rad/s, -40 rad/s2; m .004, .020, .015 blob, I .4, 1.5, .8; CG 3@30,"
    " 9@45, 5@0; 80 lb@330 at 3 in@100 from CG3; T4 120 lb in"
)


def _forces() -> Iterator[Case]:
    for quantity, printed, unit, compute in (
        ("theta 3", "20.92", "deg", partial(_loaded_angle, *COUPLER)),
        ("theta 4", "104.41", "deg", partial(_loaded_angle, *ROCKER)),
        ("F12 along x", "-117.65", "lb", lambda: _pivot_force().real),
        ("F12 along y", "-107.84", "lb", lambda: _pivot_force().imag),
        ("T12 by the pin forces", "243.23", "lb in", lambda: by_pins(*loaded_four_bar(), PIVOT)),
        ("T12 by virtual work", "243.23", "lb in", lambda: by_work(*loaded_four_bar(), PIVOT)),
    ):
        yield case("K7", "MEM", K7, quantity, printed, unit, compute)


def loaded_four_bar() -> tuple[Mechanism, Motion, list[Load]]:
    mechanism = four_bar(5.0, 15.0, 10.0, 19.0, math.radians(60.0))
    a, b = (complex(mechanism.joint(name).at) for name in ("crank pin", "rocker pin"))
    motion = solve(plan(mechanism), 0.0)
    lines = {"crank": (0j, a), "coupler": (a, b - a), "rocker": (19.0 + 0j, b - 19.0)}
    loads = [Load("rocker", 19.0 + 0j, 0j, 120.0)]
    for body, (mass, inertia, radius, degrees) in LINKS.items():
        start, line = lines[body]
        cg = start + line / abs(line) * cmath.rect(radius, math.radians(degrees))
        accel = ALPHA * motion.velocity(body, cg) + OMEGA**2 * motion.acceleration(body, cg)
        spin = ALPHA * motion.spin(body) + OMEGA**2 * motion.spin_rate(body)
        loads.append(Load(body, cg, -mass * accel, -inertia * spin))  # d'Alembert: no gravity in the book
        if body == "coupler":
            at = cg + line / abs(line) * cmath.rect(3.0, math.radians(100.0))
            loads.append(Load(body, at, cmath.rect(80.0, math.radians(330.0))))
    return mechanism, motion, loads


def _loaded_angle(body: str, start: str, end: str) -> float:
    mechanism, motion, _ = loaded_four_bar()
    return bar_angle((mechanism, motion), body, start, end)


def _pivot_force() -> complex:
    """Of the ground on the crank, lb."""
    return complex(balance(*loaded_four_bar(), PIVOT).joint[PIVOT][0, 0])


def _identities() -> Iterator[Case]:
    """Freudenstein's equation, Grashof's condition, and the crank angle at which a linkage without it locks up."""
    rounding = "an identity: rounding only"
    for side, name in ((1, "open"), (-1, "crossed")):
        yield case(
            "K11", "MEM", f"{WHAT}, {name}, 360 crank angles",
            "most that K1 cos th4 - K2 cos th2 + K3 - cos(th2 - th4) differs from 0", "0", "1",
            partial(freudenstein, side), 1e-12, rounding,
        )  # fmt: skip
    yield case(
        "K12", "MEM", f"{WHAT}: s + l 160 < p + q 180", "crank angles of 3600 that do not close (Grashof)",
        "0", "1", partial(not_closing, SIZES), 0.0, "a count",
    )  # fmt: skip
    inputs = "60, 70, 80, 100 mm: s + l 160 > p + q 150; cos th2 = (a2 + d2 - b2 - c2)/(2 a d) - b c/(a d)"
    yield case(
        "K12", "CALC", inputs, "greatest crank angle", "137.87", "deg", partial(toggle_angle, 60.0, 70.0, 80.0, 100.0)
    )


def freudenstein(side: int) -> float:
    a, b, c, d = SIZES
    mechanism = four_bar(*SIZES, DRAWN, side)
    theta2 = np.radians(np.arange(360.0))
    motion = solve(plan(mechanism), theta2 - DRAWN, order=0)
    line = motion.point("rocker", mechanism.joint("rocker pin").at)[0] - d
    theta4 = np.angle(line)
    third = (a * a - b * b + c * c + d * d) / (2 * a * c)
    left = d / a * np.cos(theta4) - d / c * np.cos(theta2) + third - np.cos(theta2 - theta4)
    return float(np.max(np.abs(left)))


def not_closing(sizes: tuple[float, float, float, float]) -> float:
    mechanism = four_bar(*sizes, DRAWN, 1)
    margin = solve(plan(mechanism), np.linspace(0.0, 2.0 * math.pi, 3600), order=0).margin[0]
    return float(np.count_nonzero(~(margin > 0.0)))


def toggle_angle(a: float, b: float, c: float, d: float) -> float:
    """Where the kernel's closing margin turns negative, deg."""
    drawn = math.radians(90.0)
    made = plan(four_bar(a, b, c, d, drawn, 1))
    low, high = drawn, math.pi
    for _ in range(60):
        mid = 0.5 * (low + high)
        low, high = (mid, high) if solve(made, mid - drawn, order=0).margin[0, 0] > 0.0 else (low, mid)
    return math.degrees(low)
