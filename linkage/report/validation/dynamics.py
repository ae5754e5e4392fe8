"""Published rates of textbook linkages and of a rod that slides through a block."""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable, Iterator
from functools import partial

from linkage.mechanism import GROUND, Load, Mechanism, Motion, Pin, Slide, balance, plan, solve, travel_rate
from linkage.report.validation.linkages import Found, bar_angle, slider_crank
from linkage.report.validation.loading import taxiing_jet
from linkage.report.validation.model import Case, case


def hibbeler_dynamics() -> Iterator[Case]:
    inputs = "prob. 16-48: rod turned by a block, y = 0.6 tan th, 0.5 m/s, 45 deg"
    yield case("K8", "READ", inputs, "rate", "0.417", "rad/s", lambda: 0.5 * float(rising_block().spin("rod")[0, 0]))
    yield case(
        "K8", "READ", inputs, "change of rate", "-0.347", "rad/s2",
        lambda: 0.25 * float(rising_block().spin_rate("rod")[0, 0]),
    )  # fmt: skip
    inputs = "14th SI, prob. 17-24: 22 Mg, thrust 4 kN at 2.3 and 1.5 kN at 2.5 m, h 1.2, b 3, L 9 m"
    why = "the reference sheet's own recomputation is 0.05 off the printed digit"
    yield case("M2", "MEM", inputs, "nose load", "72.6", "kN", partial(taxiing_jet, 0), 0.1, why)
    yield case("M2", "MEM", inputs, "load on each main", "71.6", "kN", partial(taxiing_jet, 1), 0.1, why)


def rising_block() -> Motion:
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


OMEGA = 700.0 * 2.0 * math.pi / 60.0
PIVOT, GUIDE = -0.30 + 0j, -0.55


def marghitu_dupac() -> Iterator[Case]:
    """Values read in the authors' companion programs, the book's name from memory."""
    inputs = "AB .15, CD .20, DE .14 m, A 0, C -.30, E on x = -.55, crank 200 deg, 700 rpm"
    for quantity, printed, unit, compute in (
        ("phi 3", "-17.878", "deg", _rod_angle),
        ("phi 4", "-64.778", "deg", _link_angle),
        ("rate of link 3", "-51.934", "rad/s", partial(_chain_rate, "rod")),
        ("rate of link 4", "25.176", "rad/s", partial(_chain_rate, "link")),
        ("change of rate of link 3", "7157.347", "rad/s2", partial(_chain_change, "rod")),
        ("change of rate of link 4", "882.339", "rad/s2", partial(_chain_change, "link")),
        ("acceleration of D", "1529.736", "m/s2", _acceleration_of_d),
    ):
        yield case("K5", "READ", inputs, quantity, printed, unit, compute)
    yield case("K5", "CALC", inputs, "block outwards on its rod", "6.751085", "m/s", _block_speed)


def sliding_chain() -> Found:
    """A crank turns a rod through a block that slides on it, and the rod moves a slider. D is behind C on the rod, E
    above D on its guide; drawn at 190 deg."""
    drawn = math.radians(190.0)
    b = cmath.rect(0.15, drawn)
    rod = (b - PIVOT) / abs(b - PIVOT)
    d = PIVOT - 0.20 * rod
    e = complex(GUIDE, d.imag + math.sqrt(0.14**2 - (GUIDE - d.real) ** 2))
    mechanism = Mechanism(
        (
            Pin("A", GROUND, "crank", 0j),
            Pin("B", "crank", "block", b),
            Slide("block on rod", "rod", "block", b, rod),
            Pin("C", GROUND, "rod", PIVOT),
            Pin("D", "rod", "link", d),
            Pin("E", "link", "slider", e),
            Slide("guide", GROUND, "slider", e, 1j),
        ),
        "A",
    )
    return mechanism, solve(plan(mechanism), math.radians(200.0) - drawn)


def _rod_angle() -> float:
    mechanism, motion = sliding_chain()
    return math.degrees(cmath.phase(complex(motion.point("crank", mechanism.joint("B").at)[0, 0]) - PIVOT))


def _link_angle() -> float:
    return bar_angle(sliding_chain(), "link", "E", "D")


def _chain_rate(body: str) -> float:
    return OMEGA * float(sliding_chain()[1].spin(body)[0, 0])


def _chain_change(body: str) -> float:
    return OMEGA**2 * float(sliding_chain()[1].spin_rate(body)[0, 0])


def _acceleration_of_d() -> float:
    mechanism, motion = sliding_chain()
    return OMEGA**2 * abs(complex(motion.acceleration("rod", mechanism.joint("D").at)[0, 0]))


def _block_speed() -> float:
    mechanism, motion = sliding_chain()
    return OMEGA * float(travel_rate(motion, mechanism, "block on rod")[0, 0])


def marghitu_matlab() -> Iterator[Case]:
    inputs = "eqs 4.51-4.52: AB = BC = 1 m, 45 deg, 1 rad/s, 1 kg each, g 10, 100 N on the slider"
    why = "printed as an exact expression: rounding only"
    exact_x, exact_y = -(400.0 + 7.0 * math.sqrt(2.0)) / 4.0, 5.0 * (84.0 + math.sqrt(2.0)) / 4.0
    for quantity, printed, compute in (
        ("F12 along x = -(400 + 7 sqrt 2)/4", exact_x, lambda: _crank_pin().real),
        ("F12 along y = 5 (84 + sqrt 2)/4", exact_y, lambda: _crank_pin().imag),
    ):
        yield case("K6", "READ", inputs, quantity, repr(printed), "N", compute, 1e-11, why)


def _crank_pin() -> complex:
    mechanism = slider_crank(1.0, 1.0, 0.0, math.radians(60.0))
    motion = solve(plan(mechanism), math.radians(45.0 - 60.0))
    pivot, pin, slider = (complex(mechanism.joint(n).at) for n in ("crank pivot", "crank pin", "slider pin"))
    loads = [Load("slider", slider, 100.0 + 0j)]
    for body, cg, inertia in (
        ("crank", 0.5 * (pivot + pin), 1 / 12),
        ("rod", 0.5 * (pin + slider), 1 / 12),
        ("slider", slider, 0.0),
    ):
        loads.append(Load(body, cg, -10j - motion.acceleration(body, cg), -inertia * motion.spin_rate(body)))
    return complex(balance(mechanism, motion, loads, "crank pivot").joint["crank pin"][0, 0])


Row = tuple[str, str, str, Callable[["Engine"], float]]
"""Quantity, as printed, unit, and what is asked of the engine."""


def beer_johnston_dynamics() -> Iterator[Case]:
    """Sample problems 15.3 and 15.7: the slider-crank of an engine. Sizes of what the book gives with a direction."""
    inputs, engine = "crank 3 in, rod 8 in, 2000 rpm, crank 40 deg", partial(Engine, 3.0, 8.0, 2000.0, 40.0)
    rates: tuple[Row, ...] = (
        ("rate of the rod", "62.0", "rad/s", Engine.rod_rate),
        ("speed of the piston", "43.6", "ft/s", Engine.piston_speed),
    )
    yield from _engine_cases("K13", f"sample 15.3: {inputs}", engine, rates)
    yield from _engine_cases("K13", f"sample 15.7: {inputs}", engine, _changes("9940", "9290"), 5.0, THREE)


def meriam_dynamics() -> Iterator[Case]:
    """Sample problems 5/8, 5/9, 5/14 and 5/15."""
    inputs, engine = "crank 5 in, rod 14 in, 1500 rpm, crank 60 deg", partial(Engine, 5.0, 14.0, 1500.0, 60.0)
    rates: tuple[Row, ...] = (
        ("speed of the piston", "67.3", "ft/s", Engine.piston_speed),
        ("rate of the rod", "29.5", "rad/s", Engine.rod_rate),
        ("speed of G, 4 in from the crank pin", "64.1", "ft/s", lambda e: e.speed_at(4.0)),
    )
    yield from _engine_cases("K14", f"sample 5/9: {inputs}", engine, rates)
    yield from _engine_cases("K14", f"sample 5/15: {inputs}", engine, _changes("7740", "3310"), 5.0, THREE)
    inputs = "sample 5/8: CB 75 mm level at 2 rad/s, OA 100 mm upright, O 250 left of and 50 below C"
    exact = "printed as a fraction: rounding only"
    for body, sevenths in (("AB", -6.0), ("OA", -3.0)):
        rate = partial(_crossed, body, 1)
        yield case(
            "K15", "MEM", inputs, f"rate of {body} = {sevenths:g}/7", repr(sevenths / 7.0), "rad/s", rate, 1e-12, exact
        )
    inputs = inputs.replace("5/8", "5/14")
    for body, printed in (("AB", "-0.1050"), ("OA", "-4.34")):
        yield case("K15", "MEM", inputs, f"change of rate of {body}", printed, "rad/s2", partial(_crossed, body, 2))


THREE = "printed to three digits"


def _changes(rod: str, piston: str) -> tuple[Row, ...]:
    return (
        ("change of rate of the rod", rod, "rad/s2", Engine.rod_change),
        ("acceleration of the piston", piston, "ft/s2", Engine.piston_change),
    )


def _engine_cases(
    ident: str,
    inputs: str,
    engine: Callable[[], Engine],
    rows: tuple[Row, ...],
    within: float | None = None,
    why: str = "",
) -> Iterator[Case]:
    for quantity, printed, unit, asked in rows:
        yield case(ident, "MEM", inputs, quantity, printed, unit, lambda asked=asked: asked(engine()), within, why)  # type: ignore[misc]


class Engine:
    """A slider-crank at a constant speed; inches and seconds, sizes only. Drawn 25 deg behind where it is asked for."""

    def __init__(self, crank: float, rod: float, rpm: float, degrees: float) -> None:
        drawn = math.radians(degrees - 25.0)
        self.mechanism = slider_crank(crank, rod, 0.0, drawn)
        self.motion = solve(plan(self.mechanism), math.radians(25.0))
        self.omega = rpm * 2.0 * math.pi / 60.0
        self.pin, self.piston = (complex(self.mechanism.joint(n).at) for n in ("crank pin", "slider pin"))

    def rod_rate(self) -> float:
        return self.omega * abs(float(self.motion.spin("rod")[0, 0]))

    def rod_change(self) -> float:
        return self.omega**2 * abs(float(self.motion.spin_rate("rod")[0, 0]))

    def speed_at(self, distance: float) -> float:
        """ft/s, of the point of the rod so many inches from the crank pin."""
        at = self.pin + distance * (self.piston - self.pin) / abs(self.piston - self.pin)
        return self.omega * abs(complex(self.motion.velocity("rod", at)[0, 0])) / 12.0

    def piston_speed(self) -> float:
        """ft/s."""
        return self.omega * abs(complex(self.motion.velocity("slider", self.piston)[0, 0])) / 12.0

    def piston_change(self) -> float:
        """ft/s2."""
        return self.omega**2 * abs(complex(self.motion.acceleration("slider", self.piston)[0, 0])) / 12.0


def _crossed(body: str, order: int) -> float:
    mechanism = Mechanism(
        (
            Pin("C", GROUND, "CB", 0j),
            Pin("B", "CB", "AB", -75.0 + 0j),
            Pin("A", "AB", "OA", -250.0 + 50j),
            Pin("O", GROUND, "OA", -250.0 - 50j),
        ),
        "C",
    )
    motion = solve(plan(mechanism), 0.0)
    return 2.0 * float(motion.spin(body)[0, 0]) if order == 1 else 4.0 * float(motion.spin_rate(body)[0, 0])
