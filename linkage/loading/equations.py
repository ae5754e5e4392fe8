"""Published equations of load split and stance, one function each, with the source's own symbols.

Any consistent units: forces in N (or lb), lengths in mm (or in). b = CG to main contact along the ground, h
= CG height above ground, L wheelbase, t track, W weight. Status of each source: see docs/validation.
Factors that are judgement or rule (n, mu, K, 0.31, 2.25) are arguments; their values belong to the study
with their source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass


def static_split(weight: float, b: float, wheelbase: float) -> tuple[float, float]:
    """Load on the nose wheel and on ALL main struts together: W b/L, W (L-b)/L.

    Per strut: divide by their number. Roskam, Airplane Design Part II, eqs 9.1 and 9.2, p. 222. With b at
    the forward (aft) CG it is the greatest (least) static nose load of Raymer, 6th ed., eqs 11.1-11.3, p.
    344.
    """
    return weight * b / wheelbase, weight * (wheelbase - b) / wheelbase


def braking_increment(weight: float, h: float, wheelbase: float, deceleration: float, gravity: float) -> float:
    """What braking ADDS to the static nose load: (a/g) W h/L.

    Raymer, 6th ed., eq 11.4, p. 344, where a is 10 ft/s2. ``deceleration`` and ``gravity`` in one unit.
    """
    return deceleration / gravity * weight * h / wheelbase


def accelerated_nose(
    weight: float, b: float, h: float, wheelbase: float, ma: float, retarding: float, z_retarding: float
) -> float:
    """Nose load while slowing down: W b/L + m a h/L - F_r z_r/L. Statics (Q4 of the reference table).

    ``ma`` = mass times deceleration, and ``retarding`` the part of it that does not act at the ground but
    at height ``z_retarding``. Speeding up under thrust: ``ma`` and ``retarding`` negative, the thrust
    forward at its height.
    """
    return (weight * b + ma * h - retarding * z_retarding) / wheelbase


def forward_inertia_nose(weight: float, b: float, h: float, wheelbase: float, forward_g: float) -> float:
    """Static nose reaction under 1.0 W down and ``forward_g`` W forward at the CG: W (b + f h)/L.

    14 CFR 23.733(a)(2) (f = 0.31, dynamic rating of the nose tyre) and 23.725/23.727 (f = 0.33, drop weight).
    """
    return weight * (b + forward_g * h) / wheelbase


def braked_roll_nose(weight: float, b: float, h: float, wheelbase: float, n: float, mu: float) -> float:
    """Nose load with the mains braked only: n W (b + mu h)/(L + mu h). 14 CFR 23.493: n 1.33, mu 0.8."""
    return n * weight * (b + mu * h) / (wheelbase + mu * h)


@dataclass(frozen=True)
class NoseConditions:
    """Nose-wheel forces in the unit of the static load.

    Drag aft and drag forward act at the axle, side at the ground contact, each with the vertical.
    """

    vertical: float
    aft: float
    forward: float
    side: float


def nose_conditions(static: float, factor: float, aft: float, forward: float, side: float) -> NoseConditions:
    """V = factor x static, the rest as parts of V. 14 CFR 23.499(a)-(c), limit: 2.25; 0.8, 0.4, 0.7."""
    vertical = factor * static
    return NoseConditions(vertical, aft * vertical, forward * vertical, side * vertical)


def inclination_factor(weight_lb: float) -> float:
    """K of the inclined reactions: 0.25 up to 3000 lb, 0.33 from 6000 lb, linear between.

    14 CFR 23 Appendix C. ``weight_lb`` in lb, as the rule prints it.
    """
    part = min(max((weight_lb - 3000.0) / 3000.0, 0.0), 1.0)
    return 0.25 + 0.08 * part


def level_landing_nose(
    weight: float, b: float, h: float, wheelbase: float, n: float, lift: float, k: float
) -> tuple[float, float]:
    """Nose load, vertical and aft, in the three-point level landing with inclined reactions.

    14 CFR 23 Appendix C: V_f = (n - L_w) W b'/d', D_f = K n W b'/d', with b' and d' square to the
    resultant, which leans by tan th = K n/(n - L_w): b'/d' = (b + h tan th)/d.
    """
    lean = k * n / (n - lift)
    vertical = (n - lift) * weight * (b + h * lean) / wheelbase
    return vertical, vertical * lean


def tip_back_angle(b_aft: float, h: float) -> float:
    """atan(b_aft/h), rad, b at the aft CG. Raymer fig 11.5; Roskam II fig 9.1a."""
    return math.atan2(b_aft, h)


def turnover_angle(h: float, nose_to_cg: float, wheelbase: float, track: float) -> float:
    """Lateral turnover angle atan(h/(l_n sin d)), d = atan(t/(2L)), rad. Roskam II fig 9.1a, p. 219-220."""
    return math.atan2(h, nose_to_cg * math.sin(math.atan2(track, 2.0 * wheelbase)))


def weighing_arm(datum_to_mains: float, nose_load: float, wheelbase: float, weight: float) -> float:
    """CG aft of the datum from a weighing: D - F L/W.

    FAA-H-8083-1B ch. 3 (from memory, confirmed by its examples). D is the distance of the mains aft of the
    datum; with the datum aft of the mains D is negative and the same line gives the handbook's -(D + F
    L/W).
    """
    return datum_to_mains - nose_load * wheelbase / weight


def mac_fraction(fs: float, leading_edge: float, mac: float) -> float:
    """CG as a fraction of the mean aerodynamic chord. FAA-H-8083-1B ch. 3 (from memory)."""
    return (fs - leading_edge) / mac
