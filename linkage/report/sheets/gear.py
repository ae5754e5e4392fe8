"""Sheets of lock, brace, actuator and tyre."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import sympy

from linkage.gear import LEG, UPPER
from linkage.report.sheets.model import Given, Sheet, symbols
from linkage.results import Results
from linkage.tyres import grown
from linkage.units import INCH, STANDARD_GRAVITY

DEG = sympy.pi / 180


def gear_sheets(r: Results) -> Iterator[Sheet]:
    """Worked sheets of lock, brace, actuator and tyre; those that do not apply to this gear are left out."""
    brace = r.gear.brace
    if brace.has_knee:
        yield _over_centre(r)
        yield from _tilt(r)
        yield _brace_force(r)
        yield _stop_force(r)
    yield _dead_length(r)
    if r.gear.masses:
        yield from _actuator_force(r)
    yield _growth(r)
    yield from _buckling(r)


def _links(r: Results) -> dict[str, Given]:
    b = r.gear.brace
    return {
        "a": Given(b.upper_link, "mm", "upper link"),
        "c": Given(b.lower_link, "mm", "lower link"),
        "h": Given(b.over_centre, "mm", "over-centre offset"),
    }


def _over_centre(r: Results) -> Sheet:
    given = _links(r)
    s = symbols(given)
    relation = (sympy.asin(s["h"] / s["a"]) + sympy.asin(s["h"] / s["c"])) / DEG
    solver = math.degrees(r.gear.brace.over_centre_angle)
    return Sheet(
        "over-centre angle of the knee", "right triangles on either side", "beta", relation, given, "deg", solver
    )


def _tilt(r: Results) -> Iterator[Sheet]:
    """The leg stands where the locked brace puts it: cosine rule in the triangle trunnion - upper pin - lug."""
    entry = r.study.gear
    if entry.brace.upper_link is None or entry.brace.lug.along is None:
        return
    given = {
        **_links(r),
        "u": Given(entry.brace.upper_pin[0] - entry.trunnion[0], "mm", "upper pin aft of the trunnion"),
        "w": Given(entry.brace.upper_pin[1] - entry.trunnion[1], "mm", "upper pin above the trunnion"),
        "l": Given(entry.brace.lug.along, "mm", "lug along the leg"),
        "o": Given(entry.brace.lug.offset, "mm", "lug aft of the leg line"),
    }
    s = symbols(given)
    span = sympy.sqrt(s["a"] ** 2 - s["h"] ** 2) + sympy.sqrt(s["c"] ** 2 - s["h"] ** 2)
    base, arm = sympy.sqrt(s["u"] ** 2 + s["w"] ** 2), sympy.sqrt(s["l"] ** 2 + s["o"] ** 2)
    corner = sympy.acos((base**2 + arm**2 - span**2) / (2 * base * arm))
    side = 1 if given["u"].value > 0 else -1
    depression = sympy.atan(-s["w"] / (side * s["u"]))
    relation = side * ((corner + depression) / DEG - 90) + sympy.atan(s["o"] / s["l"]) / DEG
    solver = math.degrees(r.steering.tilt)
    source = "cosine rule, triangle trunnion - upper pin - lug"
    yield Sheet("steer-axis tilt from the locked brace", source, "phi", relation, given, "deg", solver)


def _brace_force(r: Results) -> Sheet:
    load, gear = r.loads.of("aft load"), r.gear
    trunnion, upper, lug = gear.pins["trunnion"].at, gear.pins["upper pin"].at, gear.brace.lug
    arm, axle = lug - trunnion, r.grounds[0].axle - trunnion
    given = {
        "R": Given(r.share.ground.nose_load_max.value, "N", "greatest static nose load, its own sheet"),
        "n": Given(2.25, "-", "vertical over static, 23.499"),
        "k": Given(0.8, "-", "aft over vertical, 23.499(a)"),
        "theta": Given(math.degrees(r.grounds[0].pitch), "deg", "aircraft nose up on the ground"),
        "x_a": Given(axle.real, "mm", "axle aft of the trunnion, static strut"),
        "z_a": Given(axle.imag, "mm", "axle above the trunnion"),
        "x_l": Given(arm.real, "mm", "lug aft of the trunnion"),
        "z_l": Given(arm.imag, "mm", "lug above the trunnion"),
        "e_x": Given((lug - upper).real, "mm", "brace line, upper pin to lug, aft"),
        "e_z": Given((lug - upper).imag, "mm", "brace line, up"),
    }
    s = symbols(given)
    length = sympy.sqrt(s["e_x"] ** 2 + s["e_z"] ** 2)
    cosine, sine = sympy.cos(s["theta"] * DEG), sympy.sin(s["theta"] * DEG)
    aft, up = s["n"] * s["R"] * (s["k"] * cosine - sine), s["n"] * s["R"] * (s["k"] * sine + cosine)
    turning = s["x_a"] * up - s["z_a"] * aft
    relation = -turning * length / (s["x_l"] * s["e_z"] - s["z_l"] * s["e_x"])
    source = f"{load.condition.rule}; moments about the trunnion, compression +, LIMIT"
    return Sheet("brace force, aft load", source, "P", relation, given, "N", load.brace)


def _stop_force(r: Results) -> Sheet:
    load = r.loads.of("aft load")
    given = {**_links(r), "P": Given(load.brace, "N", "brace force, sheet before")}
    s = symbols(given)
    a1, a2 = (sympy.sqrt(s[n] ** 2 - s["h"] ** 2) for n in ("a", "c"))
    relation = s["P"] * s["h"] * (1 / a1 + 1 / a2)
    return Sheet("knee-stop force, aft load", "equilibrium of the knee, LIMIT", "N_s", relation, given, "N", load.stop)


def _dead_length(r: Results) -> Sheet:
    length = r.stroke.actuator_length
    given = {
        "L_0": Given(float(length.min()), "mm", "shortest, pin to pin"),
        "L_1": Given(float(length.max()), "mm", "longest"),
    }
    s = symbols(given)
    solver = float(length.min()) - r.stroke.actuator_stroke
    return Sheet("dead length left", "shortest less stroke", "D", s["L_0"] - (s["L_1"] - s["L_0"]), given, "mm", solver)


def _actuator_force(r: Results) -> Iterator[Sheet]:
    """Push at leg-up by instantaneous levers: weight about the trunnion, leg against upper link, upper link against
    actuator. Only for gears whose masses all sit on the leg and whose actuator works on the upper link or the leg."""
    gear, pins = r.gear, {n: complex(p[-1]) for n, p in r.stroke.pins.items()}
    simple = gear.pushed in (UPPER, LEG) and gear.brace.has_knee and gear.lock_link is None and not gear.doors
    if not simple or any(m.at.body != LEG or m.gyration for m in gear.masses):
        return
    places = [complex(r.stroke.motion.point(m.at.body, m.at.at)[0, -1]) - pins["trunnion"] for m in gear.masses]
    moment = sum(m.kg * z.real for m, z in zip(gear.masses, places, strict=True)) / 1000
    given = {
        "M": Given(moment, "kg m", "sum of mass times distance aft of the trunnion, leg up"),
        "g": Given(STANDARD_GRAVITY, "m/s2", "standard gravity"),
        "d": Given(
            _arm(pins, "upper pin" if gear.pushed == UPPER else "trunnion", "actuator root", "actuator pin"),
            "mm",
            "actuator line from the pivot of what it pushes, signed",
        ),
    }
    if gear.pushed == UPPER:
        given["p"] = Given(_arm(pins, "upper pin", "knee", "lug"), "mm", "lower link from the upper pin, signed")
        given["q"] = Given(_arm(pins, "trunnion", "knee", "lug"), "mm", "lower link from the trunnion, signed")
    s = symbols(given)
    lever = s["p"] / (s["q"] * s["d"]) if gear.pushed == UPPER else 1 / s["d"]
    push = float(r.actuation.push[0][-1])
    if np.isfinite(push):
        yield Sheet(
            "actuator push, leg up, 1 g",
            "virtual work: both ends of the lower link move alike along it",
            "F",
            1000 * s["M"] * s["g"] * lever,
            given,
            "N",
            push,
        )


def _arm(pins: dict[str, complex], pivot: str, start: str, end: str) -> float:
    """Signed distance of the line start - end from a pivot: moment of a unit force along it, anticlockwise positive."""
    line, away = pins[end] - pins[start], pins[start] - pins[pivot]
    return (away.real * line.imag - away.imag * line.real) / abs(line)


def _growth(r: Results) -> Sheet:
    tyre = r.study.tyre
    given = {
        "D": Given(tyre.outside_diameter / INCH, "in", "new greatest diameter, study"),
        "W": Given(tyre.width / INCH, "in", "new greatest width, study"),
        "d": Given(tyre.rim_diameter / INCH, "in", "rim diameter, study"),
    }
    s = symbols(given)
    height = (s["D"] - s["d"]) / 2
    relation = s["d"] + 2 * height * (sympy.Rational("1.115") - sympy.Rational("0.075") * height / s["W"])
    solver = grown(given["D"].value, given["W"].value, given["d"].value).diameter
    source = "Tire & Rim Association growth allowance, form from memory, checked on published grown sizes"
    return Sheet("grown tyre diameter", source, "D_g", relation, given, "in", solver)


def _buckling(r: Results) -> Iterator[Sheet]:
    for column in r.loads.columns:
        if column.member != "upper link":
            continue
        section = r.study.gear.brace.upper_section
        if section is None:
            return
        least = min(section.inertia, section.inertia_across or section.inertia)
        given = {
            "E": Given(section.modulus, "MPa", "modulus, study"),
            "I": Given(least, "mm4", "least second moment of area, study"),
            "k": Given(section.length_factor, "-", "effective length factor, study"),
            "l": Given(r.gear.brace.upper_link, "mm", "upper link, pin to pin"),
        }
        s = symbols(given)
        relation = sympy.pi**2 * s["E"] * s["I"] / (s["k"] * s["l"]) ** 2
        yield Sheet("Euler load of the upper link", "Euler, pin-ended", "P_E", relation, given, "N", column.euler)
