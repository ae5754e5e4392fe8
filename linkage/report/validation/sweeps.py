"""Areas and a volume that moving bodies sweep, in closed form. The library's region is outer and may exceed them by its
tolerance along its border, never fall short."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cache, partial
from typing import Any

import numpy as np

from linkage.plane.envelope import refine, slack_target, sweep_cells, sweep_turning
from linkage.report.validation.model import Case, case

TOL = 0.1
"""mm."""
ARC = math.radians(95.0)
OUTER = f"the sweep is outer by up to {TOL:g} mm along its border"


def swept_areas() -> Iterator[Case]:
    """Each closed form twice: our region never smaller, and larger by no more than the tolerance."""
    rows = (
        (
            "S1",
            "disc r 180 on an arc R 1200, 95 deg",
            "2 r R a + pi r^2",
            "disc",
            2 * 180 * 1200 * ARC + math.pi * 180**2,
        ),
        ("S2", "rectangle 300 to 1300, +-120 about a pivot, 95 deg", "area", "rectangle", _rectangle()),
        (
            "S3",
            "ladder 1000 sliding on two axes",
            "under the astroid, 3 pi L^2/32",
            "ladder",
            3 * math.pi * 1000**2 / 32,
        ),
    )
    for ident, inputs, quantity, name, exact in rows:
        yield case(
            ident,
            "CALC",
            inputs,
            f"{quantity} less our area, if more than 0",
            "0",
            "mm2",
            partial(_short, name, exact),
            0.0,
            "never smaller",
        )
        yield case(
            ident, "CALC", inputs, "mean excess along the border", "0", "mm", partial(_excess, name, exact), TOL, OUTER
        )
    inputs = "tyre R(z) = 120 + sqrt(60^2 - z^2) on an arc R 700, 98 deg"
    yield case("S4", "CALC", inputs, "volume", "58620338", "mm3", tyre_volume, TOL * _tyre_border(), OUTER)


def _rectangle() -> float:
    near, far, half = 300.0, 1300.0, 120.0
    reach = far**2 + half**2
    return 2 * half * (far - near) + ARC * (reach - near**2) / 2 + reach * math.atan(half / far) - far * half


@cache
def _region(name: str) -> Any:
    if name == "disc":
        return sweep_turning([1200.0], False, 0j, 0.0, ARC, 180.0, TOL)
    if name == "rectangle":
        corners = [300.0 - 120j, 1300.0 - 120j, 1300.0 + 120j, 300.0 + 120j]
        return sweep_turning(corners, True, 0j, 0.0, ARC, 0.0, TOL)
    edges, slack = refine(lambda lo, hi: 1000.0 * (1 - np.cos((hi - lo) / 2)), 0.0, math.pi / 2, slack_target(TOL))
    return sweep_cells(np.stack([1000.0 * np.cos(edges), 1000j * np.sin(edges)], axis=1), False, slack, 0.0, TOL)


def _short(name: str, exact: float) -> float:
    return max(0.0, exact - float(_region(name).area))


def _excess(name: str, exact: float) -> float:
    found = _region(name)
    return (float(found.area) - exact) / float(found.length)


def tyre_volume() -> float:
    """Areas swept by the tyre's discs, summed by Gauss's rule over z = 60 sin t."""
    places, weights = np.polynomial.legendre.leggauss(24)
    t = places * math.pi / 2.0
    swept = [
        float(sweep_turning([700.0], False, 0j, 0.0, math.radians(98.0), 120.0 + 60.0 * math.cos(x), TOL).area)
        for x in t
    ]
    return float(np.sum(weights * math.pi / 2.0 * 60.0 * np.cos(t) * np.array(swept)))


def _tyre_border() -> float:
    """Largest border of a disc's sweep times the width, mm2."""
    return (2 * 700.0 * math.radians(98.0) + 2 * math.pi * 180.0) * 120.0
