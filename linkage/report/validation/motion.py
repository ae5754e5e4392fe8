"""Published positions, rates and forces of linkages. Each linkage is drawn elsewhere than where it is asked for."""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable, Iterator

from linkage.mechanism import GROUND, Load, Mechanism, Motion, Pin, Slide, effort_by_work, plan, solve
from linkage.report.validation.model import Case, case

NORTON = "Norton, Design of Machinery"
DRAWN, ASKED = math.radians(95.0), math.radians(40.0)


def motion_cases() -> Iterator[Case]:
    yield from _four_bars()
    yield from _slider_cranks()
    yield from _rod_and_block()
    yield from _lift_table()
    yield from _toggle()


def _four_bars() -> Iterator[Case]:
    what = "four-bar 40, 120, 80, 100 mm, crank 40 deg"
    coupler, rocker = ("coupler", "crank pin", "rocker pin"), ("rocker", "rocker pivot", "rocker pin")
    source = f"{NORTON}, four-bar example"
    yield case("K1", source, "MEM", f"{what}, open, theta 3", "20.298", "deg", lambda: _bar_angle(1, *coupler))
    yield case("K1", source, "MEM", f"{what}, open, theta 4", "57.325", "deg", lambda: _bar_angle(1, *rocker))
    crossed = f"{what}, crossed"
    yield case("K1", source, "MEM", f"{crossed}, theta 3", "-60.98", "deg", lambda: _bar_angle(-1, *coupler))
    # The book's value carries rounding of a hand calculation: one unit of the last digit.
    yield case("K1", source, "MEM", f"{crossed}, theta 4", "-98.01", "deg", lambda: _bar_angle(-1, *rocker), 0.01)
    for body, rate, change in (("coupler", "-4.121", "296.089"), ("rocker", "6.998", "470.134")):
        yield case("K2", source, "MEM", f"{body} at crank 25 rad/s", rate, "rad/s", _rate(body))
        yield case("K3", source, "MEM", f"{body} at crank 25 rad/s, 15 rad/s2", change, "rad/s2", _rate_change(body))


def _meet(a: complex, ra: float, b: complex, rb: float, side: int) -> complex:
    d = abs(b - a)
    angle = math.acos((ra * ra + d * d - rb * rb) / (2.0 * ra * d))
    return a + ra * (b - a) / d * cmath.exp(1j * side * angle)


def _four_bar(side: int) -> tuple[Mechanism, Motion]:
    a = cmath.rect(40.0, DRAWN)
    mechanism = Mechanism(
        (
            Pin("crank pivot", GROUND, "crank", 0j),
            Pin("crank pin", "crank", "coupler", a),
            Pin("rocker pin", "coupler", "rocker", _meet(a, 120.0, 100.0 + 0j, 80.0, side)),
            Pin("rocker pivot", GROUND, "rocker", 100.0 + 0j),
        ),
        "crank pivot",
    )
    return mechanism, solve(plan(mechanism), ASKED - DRAWN)


def _angle(found: tuple[Mechanism, Motion], body: str, start: str, end: str) -> float:
    mechanism, motion = found
    a, b = (complex(motion.point(body, mechanism.joint(name).at)[0, 0]) for name in (start, end))
    return math.degrees(cmath.phase(b - a))


def _bar_angle(side: int, body: str, start: str, end: str) -> float:
    return _angle(_four_bar(side), body, start, end)


def _rate(body: str) -> Callable[[], float]:
    return lambda: 25.0 * float(_four_bar(1)[1].spin(body)[0, 0])


def _rate_change(body: str) -> Callable[[], float]:
    def compute() -> float:
        motion = _four_bar(1)[1]
        return 15.0 * float(motion.spin(body)[0, 0]) + 625.0 * float(motion.spin_rate(body)[0, 0])

    return compute


def _slider_cranks() -> Iterator[Case]:
    source, what = f"{NORTON}, offset slider-crank", "crank 40, rod 120, offset -20 mm, 60 deg"
    for side, name, status, angle, place in (
        (1, "open", "READ", "152.91", "126.84"),
        (-1, "crossed", "MEM", "27.09", "-86.84"),
    ):
        yield case("K4", source, status, f"{what}, {name}, theta 3", angle, "deg", lambda s=side: _slider(s)[0])  # type: ignore[misc]
        yield case("K4", source, status, f"{name}, slider", place, "mm", lambda s=side: _slider(s)[1])  # type: ignore[misc]


def _slider(side: int) -> tuple[float, float]:
    drawn = math.radians(-15.0)
    a = cmath.rect(40.0, drawn)
    c = complex(a.real + side * math.sqrt(120.0**2 - (-20.0 - a.imag) ** 2), -20.0)
    mechanism = Mechanism(
        (
            Pin("crank pivot", GROUND, "crank", 0j),
            Pin("crank pin", "crank", "rod", a),
            Pin("slider pin", "rod", "slider", c),
            Slide("guide", GROUND, "slider", c, 1.0 + 0j),
        ),
        "crank pivot",
    )
    motion = solve(plan(mechanism), math.radians(75.0), order=0)
    angle = _angle((mechanism, motion), "rod", "slider pin", "crank pin")
    return angle, float(motion.point("slider", c)[0, 0].real)


def _rod_and_block() -> Iterator[Case]:
    source, what = "Hibbeler, Dynamics, problem 16-48", "rod turned by a block, y = 0.6 tan th, 0.5 m/s, 45 deg"
    yield case("K8", source, "READ", what, "0.417", "rad/s", lambda: 0.5 * float(_rod().spin("rod")[0, 0]))
    yield case("K8", source, "READ", what, "-0.347", "rad/s2", lambda: 0.25 * float(_rod().spin_rate("rod")[0, 0]))


def _rod() -> Motion:
    start = 0.6 + 0.6j * math.tan(math.radians(20.0))
    mechanism = Mechanism(
        (
            Slide("guide", GROUND, "riser", start, 1j),
            Pin("block pin", "riser", "block", start),
            Slide("block on rod", "rod", "block", start, start),
            Pin("pivot", GROUND, "rod", 0j),
        ),
        "guide",
    )
    return solve(plan(mechanism), 0.6 * (1.0 - math.tan(math.radians(20.0))))


def _lift_table() -> Iterator[Case]:
    source = "Beer & Johnston, Statics, virtual work of a hydraulic lift"
    what = "1000 kg on two cylinders, a 0.70, L 3.20 m, 60 deg"
    yield case("K9", source, "MEM", f"{what}, cylinder length", "2.91", "m", lambda: _lift()[0])
    # The book computes on from the length rounded to three digits.
    yield case("K9", source, "MEM", f"{what}, force of each", "5.15", "kN", lambda: _lift()[1], 0.01)


def _lift() -> tuple[float, float]:
    drawn, foot_of = math.radians(35.0), 3.20 + 0j
    d = cmath.rect(0.70, drawn)
    e = complex(2.0 * d.real, 0.0)
    mechanism = Mechanism(
        (
            Pin("A", GROUND, "link", 0j),
            Pin("D", "link", "member", d),
            Pin("E", "member", "roller", e),
            Slide("floor", GROUND, "roller", e, 1.0 + 0j),
            Pin("H", GROUND, "cylinder", foot_of),
            Slide("piston in cylinder", "cylinder", "piston", d, d - foot_of),
            Pin("piston pin", "piston", "link", d),
        ),
        "A",
    )
    motion = solve(plan(mechanism), math.radians(60.0) - drawn)
    half = [Load("member", 2j * d.imag, -0.5j * 1000.0 * 9.81)]
    force = float(effort_by_work(mechanism, motion, half, "piston in cylinder")[0, 0])
    return float(abs(motion.point("link", d)[0, 0] - foot_of)), force / 1e3


def _toggle() -> Iterator[Case]:
    source, what = "Den Hartog, Mechanics, problem 31", "toggle, Q = 2 P tan(alpha), P for Q = 600 tan(5 deg) N"
    yield case("K10", source, "READ", what, "300", "N", _toggle_force, within=1e-7)


def _toggle_force() -> float:
    drawn, asked = math.radians(50.0), math.radians(5.0)
    knee = cmath.rect(2.0, drawn)
    end = complex(2.0 * knee.real, 0.0)
    mechanism = Mechanism(
        (
            Pin("root", GROUND, "near link", 0j),
            Pin("knee", "near link", "far link", knee),
            Pin("end", "far link", "block", end),
            Slide("guide", GROUND, "block", end, 1.0 + 0j),
        ),
        "root",
    )
    motion = solve(plan(mechanism), asked - drawn)
    pressed = [Load("near link", knee, -600j * math.tan(asked))]
    return -float(effort_by_work(mechanism, motion, pressed, "guide")[0, 0])
