"""The two limits that are no ratio of linear functions of the station: turnover, and propeller on a flat nose tyre."""

from __future__ import annotations

import cmath
import math

import numpy as np

from linkage.loading import LoadCase, LoadModel, extreme, mass_form, moment_bl_form
from linkage.loading.forms import Stance2
from linkage.stance import ground
from linkage.stance.states import touch
from linkage.stations.site import Side, Site

ROUNDING = 1e-12
NEAR = 1e-3
"""mm to either side of an end at which it is asked which side holds."""


def turnover_wheelbase(
    model: LoadModel, stance: Stance2, track: float, limit: float, nose_moves: bool
) -> tuple[float, LoadCase] | None:
    """Wheelbase at which the worst loading has just the turnover angle ``limit`` (rad), and that loading.

    Shorter breaks it if the nose wheel moves, longer if the mains move. The end of one loading is a quadratic; from the
    worst loading there the next end is taken, until no loading asks for more: each step lands on another of finitely
    many corners. None if no wheelbase will do.
    """
    _, case = _worst_turnover(model, stance, track, limit)
    along = stance.direction
    while True:
        end = _end_of(case, stance, track, limit, nose_moves)
        if end is None:
            return None
        nose, main = (
            (stance.main - end * along, stance.main) if nose_moves else (stance.nose, stance.nose + end * along)
        )
        excess, worst = _worst_turnover(model, Stance2(nose, main), track, limit)
        if excess <= ROUNDING * track or worst == case:
            return end, case
        case = worst


def blade_at_nose(s: Site, blade: complex, clearance: float, mains: float) -> tuple[float, Side] | bool:
    """Station of the nose contact at which the blade just keeps its clearance, and the side on which it does not.

    The ground line through the mains that touches the circle of the clearance about the blade tip from below must touch
    the wheel, too. A bool says whether it holds wherever the wheel is.
    """
    stance, along = s.moved(mains=mains), s.stance.direction
    below = complex(touch(np.array([blade]), np.array([clearance]), np.array([stance.main]))[0])
    line = (stance.main - below) / abs(stance.main - below)
    rise = (along * line.conjugate()).imag
    room = s.radius - ((s.axle - stance.main) * line.conjugate()).imag
    if rise == 0.0:
        return room >= 0.0
    return (s.stance.nose + room / rise * along).real, "aft" if rise > 0.0 else "forward"


def blade_at_mains(s: Site, blade: complex, clearance: float, nose: float) -> tuple[float, Side] | bool:
    """The same for the station of the mains: they stand where the line that touches both circles meets the ground."""
    along = s.stance.direction
    axle = s.axle + nose * along
    line = _under_both(blade, clearance, axle, s.radius)
    rise = (along * line.conjugate()).imag if line is not None else 0.0
    if line is None or rise == 0.0:
        return _clear(s, axle, blade, s.stance.main) >= clearance
    shift = -(((s.stance.main - blade) * line.conjugate()).imag + clearance) / rise
    main = s.stance.main + shift * along
    if abs(main - axle) <= s.radius or main.real <= axle.real:
        return _clear(s, axle, blade, s.stance.main) >= clearance
    return main.real, "forward" if _clear(s, axle, blade, main + NEAR * along) >= clearance else "aft"


def _clear(s: Site, axle: complex, blade: complex, main: complex) -> float:
    return ground("flat", axle, s.radius, main, 0.0).stance.height_mm(blade)


def _under_both(a: complex, radius_a: float, b: complex, radius_b: float) -> complex | None:
    """Unit vector, pointing aft, of the line that touches two circles from below; None if one holds the other."""
    way = b - a
    sine = (radius_b - radius_a) / abs(way) if way else math.inf
    if abs(sine) > 1.0:
        return None
    turn = math.asin(sine)
    lines = [cmath.rect(1.0, cmath.phase(way) - turn), cmath.rect(1.0, cmath.phase(way) - math.pi + turn)]
    return max(lines, key=lambda z: z.real)


def _worst_turnover(model: LoadModel, stance: Stance2, track: float, limit: float) -> tuple[float, LoadCase]:
    """By how much (mm, within 0 or less) the worst loading is too high for the distance of its CG from the side line:
    h sqrt(t^2 + 4 L^2) - tan(limit) (l_n t - 2 L |y|), over the mass: linear, whether the CG lies inside or not."""
    wheelbase = stance.wheelbase_mm
    slant, slope = math.hypot(track, 2.0 * wheelbase), math.tan(limit)
    base = stance.height_form(model) - stance.from_nose_form(model) * (slope * track / slant)
    aside = moment_bl_form(model) * (slope * 2.0 * wheelbase / slant)
    found = [extreme(model, base + side, mass_form(model), "max") for side in (aside, -aside)]
    worst = max(found, key=lambda e: e.value)
    return worst.value, worst.case


def _end_of(case: LoadCase, stance: Stance2, track: float, limit: float, nose_moves: bool) -> float | None:
    """Wheelbase at which one loading has just the limit: tan(limit) (l_n t - 2 L y) = h sqrt(t^2 + 4 L^2)."""
    h, slope, y = stance.height_mm(case.cg), math.tan(limit), abs(case.bl_mm)
    if nose_moves:  # l_n = L - b
        b = stance.to_main_mm(case.cg)
        p, q = slope * (track - 2.0 * y), slope * track * b
        spread = p * p - 4.0 * h * h
        if p <= 0.0 or spread <= 0.0:
            return None
        return (p * q + h * math.sqrt(4.0 * q * q + track * track * spread)) / spread
    p, q = slope * track * (stance.wheelbase_mm - stance.to_main_mm(case.cg)), 2.0 * slope * y
    room = p * p - (h * track) ** 2
    if p <= 0.0 or room <= 0.0:
        return None
    return room / (p * q + math.sqrt(p * p * q * q - (q * q - 4.0 * h * h) * room))
