"""What the actuator is rated for over its length."""

from __future__ import annotations

import numpy as np

from linkage.document.gear import Actuator
from linkage.errors import DocumentError, Fault
from linkage.mechanism.model import Floats

SLACK = 1e-6
"""mm; a curve may end this far short of the stroke, which is rounding."""


def rated_curve(entry: Actuator, length: Floats) -> Floats | None:
    """Rated push and pull in N at each length in mm, (2, poses); None if the study gives no rating.

    Raises ``DocumentError`` if the curve does not cover the lengths.
    """
    if not entry.rated:
        return None if entry.max_force is None else np.full((2, len(length)), entry.max_force)
    at = [p.length for p in entry.rated]
    low, high = float(np.min(length)), float(np.max(length))
    if at[0] > low + SLACK or at[-1] < high - SLACK:
        raise DocumentError(
            [
                Fault(
                    "gear.actuator.rated",
                    f"{at[0]:g} to {at[-1]:g} mm does not cover the stroke, {low:.1f} to {high:.1f} mm",
                    f"a first length of at most {np.floor(10 * low) / 10:.1f} mm and a last of at least"
                    f" {np.ceil(10 * high) / 10:.1f} mm",
                )
            ]
        )
    push = [p.push for p in entry.rated]
    pull = [p.push if p.pull is None else p.pull for p in entry.rated]
    return np.stack([np.interp(length, at, push), np.interp(length, at, pull)])
