"""Den Hartog, Mechanics, problem 31 (READ): the toggle, Q = 2 P tan(alpha), here as the lock of a gear.

A brace of two equal links whose knee lies alpha off its line is that toggle: the axial force P in the line of the brace
presses the knee onto its stop with Q. An identity, so the tolerance is rounding.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from linkage.loads import stop_force
from tests.lock.bench import Bench
from tests.topologies import study as variant

LINK = 161.5


@pytest.mark.parametrize("over_centre", [0.5, 2.0, 5.0, 12.0])
def test_stop_of_equal_links_is_the_toggle(over_centre: float) -> None:
    links = {"gear.brace.upper_link": LINK, "gear.brace.lower_link": LINK, "gear.brace.over_centre": over_centre}
    b = Bench(variant("leg", {**links, "gear.leg.swing_up": 40}))
    alpha = math.asin(over_centre / LINK)
    for h in b.lock.held:
        assert h.press == pytest.approx(2 * h.brace * math.tan(alpha), rel=1e-8)
    assert stop_force(b.gear.brace, 1000.0) == pytest.approx(2000.0 * math.tan(alpha), rel=1e-12)


def test_mechanical_advantage_grows_without_bound_towards_centre() -> None:
    """Axial force per newton at the knee: cot(alpha)/2."""
    found = []
    for over_centre in (8.0, 4.0, 2.0, 1.0, 0.5):
        links = {"gear.brace.upper_link": LINK, "gear.brace.lower_link": LINK, "gear.brace.over_centre": over_centre}
        brace = Bench(variant("leg", {**links, "gear.leg.swing_up": 40})).gear.brace
        found.append(1000.0 / stop_force(brace, 1000.0))
    assert all(b > 1.99 * a for a, b in pairwise(found))
