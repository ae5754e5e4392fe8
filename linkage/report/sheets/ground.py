"""Sheets of load share and stance."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import sympy

from linkage.loading import Extreme
from linkage.report.sheets.model import Given, Sheet, symbols
from linkage.results import Results
from linkage.units import STANDARD_GRAVITY

DEG = sympy.pi / 180


def ground_sheets(r: Results) -> Iterator[Sheet]:
    """Worked sheets of nose load and share, tip-back, turnover, braked roll and trail."""
    yield _trail(r)
    yield _nose_load(r)
    yield _share(r)
    yield _tip_back(r)
    yield _turnover(r)
    yield from _braked(r)


def _case(r: Results, extreme: Extreme) -> dict[str, Given]:
    """Masses and arms of a loading, and from them what a hand calculation needs, in the level aircraft's axes."""
    case, static = extreme.case, r.grounds[0]
    model = r.share.model
    arms = {i.name: (i.fs_mm, i.wl_mm) for i in model.items}
    mass = model.empty_kg + sum(kg for _, kg in case.masses)
    fs = (model.empty_kg * model.empty_fs_mm + sum(kg * arms[n][0] for n, kg in case.masses)) / mass
    wl = (model.empty_kg * model.empty_wl_mm + sum(kg * arms[n][1] for n, kg in case.masses)) / mass
    return {
        "m": Given(mass, "kg", f"mass: {case}"),
        "x": Given(fs, "mm", "CG station, sum of mass times arm over mass"),
        "z": Given(wl, "mm", "CG waterline, likewise"),
        "x_m": Given(static.main.real, "mm", "main contact station, study"),
        "z_m": Given(static.main.imag, "mm", "main contact waterline, study"),
        "x_n": Given(static.nose.real, "mm", "nose contact station, static"),
        "z_n": Given(static.nose.imag, "mm", "nose contact waterline, static"),
    }


def _arms(s: dict[str, Any]) -> tuple[Any, Any, Any]:
    """CG to main contact, CG height and wheelbase, along and square to the line through both contacts."""
    run, rise = s["x_m"] - s["x_n"], s["z_m"] - s["z_n"]
    base = sympy.sqrt(run**2 + rise**2)
    back, up = s["x_m"] - s["x"], s["z_m"] - s["z"]
    return (back * run + up * rise) / base, (back * rise - up * run) / base, base


def _nose_load(r: Results) -> Sheet:
    found = r.share.ground.nose_load_max
    given = {**_case(r, found), "g": Given(STANDARD_GRAVITY, "m/s2", "standard gravity")}
    s = symbols(given)
    b, _, base = _arms(s)
    source = "Roskam, Airplane Design Part II, eq. 9.1: R = W b / L, with b and L along the ground"
    return Sheet("greatest static nose load", source, "R", s["m"] * s["g"] * b / base, given, "N", found.value)


def _share(r: Results) -> Sheet:
    found = r.share.ground.share_min
    given = _case(r, found)
    b, _, base = _arms(symbols(given))
    return Sheet("least nose share", "b / L, from the same moments", "S", b / base, given, "-", found.value)


def _tip_back(r: Results) -> Sheet:
    found = r.share.ground.tip_back_min
    given = _case(r, found)
    b, h, _ = _arms(symbols(given))
    source = "Raymer fig. 11.5, Roskam II fig. 9.1a: tan = b / h"
    return Sheet(
        "least tip-back angle", source, "tau", sympy.atan(b / h) / DEG, given, "deg", math.degrees(found.value)
    )


def _turnover(r: Results) -> Sheet:
    found = r.standing.turnover
    given = {
        **_case(r, found),
        "t": Given(r.study.airframe.main_gear.track, "mm", "track, study"),
    }
    s = symbols(given)
    b, h, base = _arms(s)
    lean = sympy.atan(s["t"] / (2 * base))
    relation = sympy.atan(h / ((base - b) * sympy.sin(lean))) / DEG
    source = "Roskam II fig. 9.1a, p. 219: tan psi = h / (l_n sin d), tan d = t / (2 L)"
    return Sheet("greatest turnover angle", source, "psi", relation, given, "deg", math.degrees(found.value))


def _braked(r: Results) -> Iterator[Sheet]:
    """14 CFR 23.493 where the study has it: the vertical load on the nose wheel in the braked roll."""
    found = [x for x in r.loads.conditions if "23.493" in x.condition.rule]
    if not found:
        return
    worst = max(found, key=lambda x: float(x.wheel[2]))
    v = worst.condition.vertical
    given = {
        **_case(r, Extreme(0.0, worst.corner.case)),
        "n": Given(v.factor, "-", "load factor, 23.493"),
        "mu": Given(v.over, "-", "drag over vertical at the braked main wheels, 23.493"),
        "g": Given(STANDARD_GRAVITY, "m/s2", "standard gravity"),
    }
    s = symbols(given)
    b, h, base = _arms(s)
    relation = s["n"] * s["m"] * s["g"] * (b + s["mu"] * h) / (base + s["mu"] * h)
    across = float((worst.wheel[0] ** 2 + worst.wheel[2] ** 2) ** 0.5)
    yield Sheet("nose load in the braked roll", f"{worst.condition.source}; statics", "V", relation, given, "N", across)


def _trail(r: Results) -> Sheet:
    state = r.steering.state("static")
    given = {
        "R": Given(state.radius, "mm", "static loaded radius, study"),
        "phi": Given(math.degrees(state.tilt), "deg", "steer-axis tilt to the ground, top aft positive"),
        "f": Given(r.steering.offset, "mm", "axle offset aft of the axis, study"),
    }
    s = symbols(given)
    relation = (s["R"] * sympy.sin(s["phi"] * DEG) + s["f"]) / sympy.cos(s["phi"] * DEG)
    return Sheet("static trail", "standard form of steering geometry", "t", relation, given, "mm", state.trail)
