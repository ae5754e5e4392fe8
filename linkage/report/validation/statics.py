"""Published forces: lift table, toggle, clamp; and linkages that draw exact lines."""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterator
from functools import partial

import numpy as np

from linkage.gear import BraceShape
from linkage.loads import stop_force
from linkage.mechanism import GROUND, Load, Mechanism, Pin, Slide, plan, solve
from linkage.report.validation.linkages import ROADS, Found, Road, meet, slider_crank
from linkage.report.validation.model import Case, case


def beer_johnston_statics() -> Iterator[Case]:
    inputs = "virtual work of a hydraulic lift: 1000 kg on two cylinders, a 0.70, L 3.20 m, 60 deg, g 9.81"
    yield case("K9", "MEM", inputs, "cylinder length", "2.91", "m", lift_length)
    why = "the book computes on from the length rounded to three digits"
    for name, road in ROADS:
        yield case("K9", "MEM", inputs, f"force of each, by {name}", "5.15", "kN", partial(lift_force, road), 0.01, why)


LIFT_FOOT = 3.20 + 0j


def lift() -> Found:
    """One linkage: link AD (a) about A, member ED-B (2a) pinned to it at its middle, its foot E on a roller, B straight
    above A under the table; the cylinder from H, L ahead of A, pushes at D. Drawn at 35 deg."""
    drawn = math.radians(35.0)
    d = cmath.rect(0.70, drawn)
    e = complex(2.0 * d.real, 0.0)
    mechanism = Mechanism(
        (
            Pin("A", GROUND, "link", 0j),
            Pin("D", "link", "member", d),
            Pin("E", "member", "roller", e),
            Slide("floor", GROUND, "roller", e, 1.0 + 0j),
            Pin("H", GROUND, "cylinder", LIFT_FOOT),
            Slide("piston in cylinder", "cylinder", "piston", d, d - LIFT_FOOT),
            Pin("piston pin", "piston", "link", d),
        ),
        "A",
    )
    return mechanism, solve(plan(mechanism), math.radians(60.0) - drawn)


def lift_length() -> float:
    mechanism, motion = lift()
    return abs(complex(motion.point("link", mechanism.joint("D").at)[0, 0]) - LIFT_FOOT)


def lift_force(road: Road) -> float:
    """kN; one cylinder a linkage carries half the crate, which stands at B."""
    mechanism, motion = lift()
    half = [Load("member", 2j * complex(mechanism.joint("D").at).imag, -0.5j * 1000.0 * 9.81)]
    return road(mechanism, motion, half, "piston in cylinder") / 1e3


DRAWN, PUSH = math.radians(50.0), 300.0
TOGGLE = slider_crank(2.0, 2.0, 0.0, DRAWN)
"""Its knee is the crank pin."""


def den_hartog() -> Iterator[Case]:
    """Problem 31: two equal links at alpha to the line of their ends; Q on the knee holds P on the far end, Q = 2 P
    tan(alpha). The answer is symbolic."""
    why = "printed as a relation: rounding only"
    for degrees in (45.0, 20.0, 5.0, 0.5, 0.01):
        for name, road in ROADS:
            inputs = f"prob. 31: knee pressed with Q = 2 x 300 N x tan({degrees:g} deg)"
            yield case("K10", "READ", inputs, f"P, by {name}", "300", "N", partial(toggle, degrees, road), 3e-8, why)
    inputs = "prob. 31 as the lock of a gear: links 161.5 mm, knee 2 mm past its line, brace 1000 N"
    exact = 2.0 * 1000.0 * math.tan(math.asin(2.0 / 161.5))
    yield case("K10", "READ", inputs, "Q at the stop", repr(exact), "N", _stop, 1e-9, why)


def toggle(degrees: float, road: Road) -> float:
    alpha = math.radians(degrees)
    motion = solve(plan(TOGGLE), alpha - DRAWN)
    pressed = [Load("crank", TOGGLE.joint("crank pin").at, -2j * PUSH * math.tan(alpha))]
    return -road(TOGGLE, motion, pressed, "guide")


def _stop() -> float:
    shape = BraceShape(161.5, 161.5, 2.0, 2.0 * math.asin(2.0 / 161.5), 2.0 * math.sqrt(161.5**2 - 4.0), 0j, 0j, 1j)
    return stop_force(shape, 1000.0)


def straight_lines() -> Iterator[Case]:
    """Chebyshev's four-bar 5 : 4 : 2 carries the middle of its coupler through three places at one height, and
    Peaucellier's linkage a point along an exact line; both as the textbooks of kinematics have them."""
    rounding = "exact: rounding only"
    for place, asked in (("left", -1.0), ("middle", 0.0), ("right", 1.0)):
        inputs = f"Chebyshev, cranks 5, base 4, coupler 2, {place} place"
        yield case(
            "K16", "MEM", inputs, "height of the coupler's middle", "4", "1", partial(chebyshev, asked), 1e-12, rounding
        )
    inputs = "Peaucellier, arms 5, cell 2, crank 2 about 2 from the pole, 91 places over +-0.6 rad"
    yield case(
        "K17",
        "MEM",
        inputs,
        "distance of the line from the pole = (5^2 - 2^2)/4",
        "5.25",
        "1",
        partial(peaucellier, 0),
        1e-12,
        rounding,
    )
    yield case(
        "K17", "MEM", inputs, "most that the point leaves the line", "0", "1", partial(peaucellier, 1), 1e-12, rounding
    )


def chebyshev(place: float) -> float:
    """The crank about 0 ends at (3, 4) in the middle, and at (4, 3) or (0, 5) where the coupler stands upright."""
    crank = 3.0 + 4j
    mechanism = Mechanism(
        (
            Pin("first pivot", GROUND, "first", 0j),
            Pin("first pin", "first", "coupler", crank),
            Pin("second pin", "coupler", "second", 1.0 + 4j),
            Pin("second pivot", GROUND, "second", 4.0 + 0j),
        ),
        "first pivot",
    )
    end = {-1.0: 5j, 0.0: crank, 1.0: 4.0 + 3j}[place]
    motion = solve(plan(mechanism), cmath.phase(end / crank), order=0)
    return float(motion.point("coupler", 2.0 + 4j)[0, 0].imag)


def peaucellier(which: int) -> float:
    """Pole at 0, crank about 2: the inner corner P runs on a circle through the pole, the outer corner Q on the line
    x = (5^2 - 2^2)/(2 x 2)."""
    inner = 2.0 + cmath.rect(2.0, 0.3)
    upper, lower = (meet(0j, 5.0, inner, 2.0, side) for side in (1, -1))
    outer = upper + lower - inner
    mechanism = Mechanism(
        (
            Pin("crank pivot", GROUND, "crank", 2.0 + 0j),
            Pin("upper pole", GROUND, "upper arm", 0j),
            Pin("lower pole", GROUND, "lower arm", 0j),
            Pin("inner to upper", "crank", "inner upper", inner),
            Pin("upper corner", "inner upper", "upper arm", upper),
            Pin("inner to lower", "crank", "inner lower", inner),
            Pin("lower corner", "inner lower", "lower arm", lower),
            Pin("upper to outer", "upper arm", "outer upper", upper),
            Pin("outer", "outer upper", "outer lower", outer),
            Pin("lower to outer", "lower arm", "outer lower", lower),
        ),
        "crank pivot",
    )
    places = solve(plan(mechanism), np.linspace(-0.9, 0.3, 91), order=0).point("outer upper", outer)[0].real
    return float(places.mean()) if which == 0 else float(np.ptp(places))
