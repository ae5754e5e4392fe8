"""Load that a straight or slightly bent pin-ended column carries. One function a published relation.

Stresses in MPa = N/mm2, lengths in mm. Euler and the Johnson parabola as in Bruhn, Analysis and Design of Flight
Vehicle Structures, ch. C2 (from memory); the bent column is the Perry formula (Timoshenko & Gere, Theory of Elastic
Stability, ch. 1, from memory).
"""

from __future__ import annotations

import math


def euler_load(modulus: float, inertia: float, length: float) -> float:
    """pi^2 E I / L^2, L the effective length, N."""
    return math.pi**2 * modulus * inertia / length**2


def crippling_load(area: float, yield_strength: float, euler: float) -> float:
    """Euler's load while its stress stays below half the yield stress, else the Johnson parabola, N.

    sigma = sigma_y - sigma_y^2/(4 sigma_e): the parabola touches Euler's curve at sigma_y/2.
    """
    stress = euler / area
    if stress <= yield_strength / 2.0:
        return euler
    return area * yield_strength * (1.0 - yield_strength / (4.0 * stress))


def stepped_euler_load(modulus_inertia: tuple[float, float], lengths: tuple[float, float]) -> float:
    """Pin-ended column of two pieces end to end, E I in N mm2, N: the least root of
    k2 sin(k1 a) cos(k2 b) + k1 cos(k1 a) sin(k2 b).

    k = sqrt(P/EI). Both half waves meet with equal place and slope. The root lies between the loads of the whole length
    with the weaker and with the stiffer piece, and is found there by bisection.
    """
    whole = sum(lengths)
    low, high = (euler_load(1.0, ei, whole) for ei in (min(modulus_inertia), max(modulus_inertia)))

    def meets(load: float) -> float:
        k1, k2 = (math.sqrt(load / ei) for ei in modulus_inertia)
        a, b = k1 * lengths[0], k2 * lengths[1]
        return k2 * math.sin(a) * math.cos(b) + k1 * math.cos(a) * math.sin(b)

    while high - low > 1e-13 * high:
        mid = 0.5 * (low + high)
        if mid in (low, high):
            break
        low, high = (mid, high) if meets(mid) > 0.0 else (low, mid)
    return low


def bent_load(area: float, inertia: float, fibre: float, yield_strength: float, euler: float, offset: float) -> float:
    """Axial load at which the edge of a column yields whose middle line is ``offset`` mm out of line, N.

    P/A + P e c/I /(1 - P/P_E) = sigma_y, solved for P. ``fibre``: c.
    """
    stress = euler / area
    eta = offset * fibre * area / inertia
    half = 0.5 * (yield_strength + (1.0 + eta) * stress)
    return area * (half - math.sqrt(half * half - yield_strength * stress))
