"""Where a function crosses nought, closed in on from both sides: many places at once, each to its rounding."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from linkage.mechanism.model import Floats

MOST_STEPS = 120
"""Twice what halving alone needs; a step that is not better than halving is followed by one that halves."""

EPSILON = float(np.finfo(np.float64).eps)


@np.errstate(all="ignore")
def closed_in(
    f: Callable[[Floats], Floats], lo: Floats, hi: Floats, at_lo: Floats, at_hi: Floats, within: float = 0.0
) -> Floats:
    """A place between ``lo`` and ``hi`` (n,) where ``f``, a function of an array (n,), changes sign; its values at both
    ends are given and differ in sign. Between places as near as ``within``, or two roundings, also where f jumps or
    goes through infinity.

    By inverse quadratic steps where three values lie so that one must be good, else by halving: Chandrupatla, Advances
    in Engineering Software 28, 1997 (from memory).
    """
    near, far, f_near, f_far = lo.copy(), hi.copy(), at_lo.copy(), at_hi.copy()
    step = np.clip(at_lo / (at_lo - at_hi), 0.02, 0.98)  # ends are near as a rule, and f straight between them
    found, open_ = np.where(at_lo == 0, lo, hi), (at_lo != 0) & (at_hi != 0)
    for _ in range(MOST_STEPS):
        if not open_.any():
            break
        x = near + step * (far - near)
        fx = np.asarray(f(x), dtype=np.float64)
        same = np.sign(fx) == np.sign(f_near)
        last, f_last = np.where(same, near, far), np.where(same, f_near, f_far)
        far, f_far = np.where(same, far, near), np.where(same, f_far, f_near)
        near, f_near = x, fx
        best = np.where(np.abs(f_near) < np.abs(f_far), near, far)
        found = np.where(open_, best, found)
        least = np.maximum(2.0 * EPSILON * np.abs(best), within) / np.abs(far - near)
        open_ &= (fx != 0) & ~(least > 0.5) & (far != near)
        step = _next(near, far, last, f_near, f_far, f_last)
        step = np.clip(np.where(np.isfinite(step), step, 0.5), least, 1.0 - least)
    return found


def _next(near: Floats, far: Floats, last: Floats, f_near: Floats, f_far: Floats, f_last: Floats) -> Floats:
    """Part of the way from ``near`` to ``far`` at which to look next."""
    xi, phi = (near - far) / (last - far), (f_near - f_far) / (f_last - f_far)
    quadratic = f_near / (f_near - f_far) * f_last / (f_last - f_far) - (last - near) / (far - near) * f_near / (
        f_last - f_near
    ) * f_far / (f_far - f_last)
    good = (phi * phi < xi) & ((1.0 - phi) ** 2 < 1.0 - xi)
    return np.where(good, quadratic, 0.5)
