"""Published load splits, weighings and CG tables. Rows are worked in the units they are printed in."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial
from typing import Any

from linkage.loading import (
    LoadCase,
    LoadItem,
    LoadModel,
    Reading,
    Stance2,
    constant_form,
    extreme,
    ground_range,
    moment_form,
    turnover,
    weigh,
)
from linkage.loading import equations as eq
from linkage.report.validation.model import Case, case
from linkage.units import STANDARD_GRAVITY

EXACT = "whole numbers: rounding only"


def faa_weighing() -> Iterator[Case]:
    """FAA-H-8083-1B, chapter 3 and its weighing examples."""
    inputs = "nose 340 of 2006 lb, wheelbase 78 in"
    for ident, mains, printed, what in (
        ("W1", 0.0, "-13.2", "CG aft of the mains"),
        ("W2", 128.0, "114.8", "CG aft of a datum 128 in ahead of the mains"),
        ("W3", -75.0, "-88.2", "CG aft of a datum 75 in behind the mains"),
    ):
        yield case(ident, "READ", inputs, what, printed, "in", partial(_faa, mains))
        formula = partial(eq.weighing_arm, mains, 340.0, 78.0, 2006.0)
        yield case(ident, "READ", inputs, f"{what}, by the handbook's line", printed, "in", formula)
    part = lambda: 100.0 * eq.mac_fraction(161.0, 144.0, 206.0 - 144.0)  # noqa: E731
    yield case("M4", "MEM", "chord from 144 to 206 in, CG at 161 in", "CG in the chord", "27.4", "%", part)


def _faa(mains: float) -> float:
    scales = [Reading("nose", 340.0, mains - 78.0, "wheel"), Reading("mains", 2006.0 - 340.0, mains, "group")]
    return weigh(scales).station_mm


def exam_bank() -> Iterator[Case]:
    for ident, nose, main, mass, cg, unit in (
        ("W4", (1100.0, 1.2), (2300.0, 3.5), "5700", "3.06", "m"),
        ("W6", (6488.0, 161.0), (17783.0, 775.0), "42054", "680.3", "in"),
    ):
        inputs = f"nose {nose[0]:g} kg at {nose[1]:g}, mains 2 x {main[0]:g} kg at {main[1]:g} {unit}"
        scales = partial(
            weigh, [Reading("nose", *nose, per="leg"), Reading("main", *main, per="leg", legs=2, wheels_per_leg=1)]
        )
        yield case(ident, "READ", inputs, "mass", mass, "kg", lambda s=scales: s().mass_kg)  # type: ignore[misc]
        yield case(ident, "READ", inputs, "CG", cg, unit, lambda s=scales: s().station_mm)  # type: ignore[misc]
        if ident == "W6":
            moment = lambda s=scales: s().mass_kg * s().station_mm  # noqa: E731
            yield case(ident, "READ", inputs, "moment", "28608218", "kg in", moment)
    inputs = "2 nose wheels x 500 kg, 4 main wheels x 6000 kg, wheelbase 10 m"
    yield case("W8", "READ", inputs, "CG ahead of the mains", "0.4", "m", _per_wheel, 0.0, EXACT)


def _per_wheel() -> float:
    nose = Reading("nose", 500.0, -10.0, "wheel", legs=1, wheels_per_leg=2)
    return -weigh([nose, Reading("main", 6000.0, 0.0, "wheel", legs=2, wheels_per_leg=2)]).station_mm


def _ranges(mass: float, cg: complex, nose: float, mains: float) -> Any:
    """Extremes of a loading that cannot vary."""
    model = LoadModel(mass, cg.real, cg.imag, (), mass_cap_kg=mass)
    return ground_range(model, Stance2(complex(nose), complex(mains)))


def college_physics() -> Iterator[Case]:
    share = lambda: 100.0 * float(_ranges(1.0, 2.58 + 1j, 0.8, 3.02).share_min.value)  # noqa: E731
    inputs = "CG 2.58, nose wheel 0.800, mains 3.02 m from the nose tip"
    yield case("W9", "READ", inputs, "share of the nose", "19.82", "%", share)
    found = partial(_ranges, 2.85e6 / STANDARD_GRAVITY, 11.8 + 3j, 0.0, 15.0)
    inputs = "W 2850 kN, wheelbase 15 m, CG 11.8 m aft of the nose wheel"
    yield case("W10", "READ", inputs, "nose load", "608", "kN", lambda: found().nose_load_max.value / 1e3)
    yield case(
        "W10", "READ", inputs, "load on each of 2 mains", "1121", "kN", lambda: found().main_load_max.value / 2e3
    )


def roskam() -> Iterator[Case]:
    for ident, page, weight, to_main, to_nose, nose, main in (
        ("W13", 231, 127000.0, 60.0, 520.0, "13138", "56931"),
        ("W14", 234, 64905.0, 20.0, 185.0, "6332", "29286"),
        ("W15", 230, 7900.0, 34.0, 171.0, "1310", "3295"),
    ):
        inputs = f"p. {page}: W {weight:.0f} lb, l_m {to_main:g}, l_n {to_nose:g} in"
        yield case(ident, "R2", inputs, "nose load", nose, "lb", partial(strut, 0, weight, to_main, to_nose))
        yield case(
            ident,
            "R2",
            inputs,
            "load on each of 2 main struts",
            main,
            "lb",
            partial(strut, 1, weight, to_main, to_nose),
        )
    # psi = atan(h/(l_n sin d)), tan d = t/(2L): with t = 2 L and h = l_n sin 45 deg it is 45 deg.
    inputs = "L 1800, t 3600, l_n 1500, h 1500 sin 45 deg mm; eq. of fig 9.1a"
    yield case("Q10", "CALC", inputs, "turnover angle", "45.00", "deg", _turnover)


def strut(which: int, weight: float, to_main: float, to_nose: float) -> float:
    """Load on the nose strut (0) or on each of two main struts (1), over every loading of a model that has one."""
    found = _ranges(weight, to_nose + 50j, 0.0, to_nose + to_main)
    load = found.nose_load_max.value if which == 0 else found.main_load_max.value / 2
    return float(load) / STANDARD_GRAVITY


def _turnover() -> float:
    model = LoadModel(700.0, 1500.0, 1500.0 * math.sqrt(0.5), (), mass_cap_kg=700.0)
    return math.degrees(turnover(model, Stance2(0j, 1800.0 + 0j), 3600.0).value)


def raymer() -> Iterator[Case]:
    """6th ed.: fig 11.5 and eq. 11.4, read in a transcription; the numbers are right triangles and plain arithmetic."""
    for b, h, triangle, printed in (
        (1000.0, 1000.0, "isosceles", "45.00"),
        (1000.0, 1000.0 * math.sqrt(3.0), "half an equilateral", "30.00"),
        (1000.0 * (2.0 - math.sqrt(3.0)), 1000.0, "tan 15 deg = 2 - sqrt 3", "15.00"),
    ):
        inputs = f"fig 11.5: b {b:.1f}, h {h:.1f} mm, {triangle}"
        yield case("Q9", "CALC", inputs, "tip-back angle", printed, "deg", partial(_tip_back, b, h))
    inputs = "eq. 11.4: W 3000 lb, h 40, L 80 in, 10 ft/s2, g 32.174 ft/s2"
    added = partial(eq.braking_increment, 3000.0, 40.0, 80.0, 10.0, 32.174)
    yield case("Q3", "CALC", inputs, "braking adds to the nose load", "466.2", "lb", added)


def _tip_back(b: float, h: float) -> float:
    return math.degrees(float(_ranges(700.0, complex(3000.0 - b, h), 0.0, 3000.0).tip_back_min.value))


TABLES: dict[str, list[tuple[float, float]]] = {
    "W18": [(17.0, -49.0), (170.0, 16.0), (83.0, 22.0)],
    "W19": [(17.0, -49.0), (170.0, 16.0), (340.0, 48.0), (240.0, 22.0), (100.0, 75.5)],
}
"""Items of figs 10-10 and 10-11, lb at in; the empty aircraft is 1169 lb at +10.6 in."""


def faa_ac43() -> Iterator[Case]:
    for ident, figure, status, total, moment, cg in (
        ("W18", "10-10", "READ", "1439", "16104", "11.2"),
        ("W19", "10-11", "MEM", "2036", "43428", "21.3"),
    ):
        rows = TABLES[ident]
        inputs = f"fig {figure}: " + ", ".join(f"{w:g}@{x:g}" for w, x in [(1169.0, 10.6), *rows]) + " (lb@in)"
        found = partial(_table, rows)
        yield case(ident, "READ", inputs, "weight", total, "lb", lambda f=found: f().mass_kg)  # type: ignore[misc]
        yield case(ident, "READ", inputs, "moment", moment, "lb in", lambda f=found: f().moment_kgmm)  # type: ignore[misc]
        yield case(ident, status, inputs, "CG aft of the datum", cg, "in", lambda f=found: f().fs_mm)  # type: ignore[misc]


def _table(rows: list[tuple[float, float]]) -> LoadCase:
    made = tuple(LoadItem(f"item {i}", w, w, x, 0.0) for i, (w, x) in enumerate(rows))
    model = LoadModel(1169.0, 10.6, 0.0, made, mass_cap_kg=3000.0)
    return extreme(model, moment_form(model), constant_form(model), "max").case


def taxiing_jet(which: int) -> float:
    """Nose (0) or each main (1), kN: 22 Mg speeding up under 4 kN at 2.3 m and 1.5 kN at 2.5 m; the book's g 9.81."""
    thrust = [(4.0, 2.3), (1.5, 2.5)]
    total = sum(t for t, _ in thrust)
    height = sum(t * z for t, z in thrust) / total
    nose = eq.accelerated_nose(22.0 * 9.81, 3.0, 1.2, 9.0, -total, -total, height)
    return nose if which == 0 else (22.0 * 9.81 - nose) / 2.0
