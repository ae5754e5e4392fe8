"""A family built at once equals its designs built one by one, and its strokes end where theirs do."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from linkage.document.study import Study
from linkage.document.variants import value_at, varied
from linkage.errors import DocumentError, MechanismError
from linkage.gear import build
from linkage.stroke import gear_and_stroke, motion_at
from linkage.stroke.family import driven_up_of
from tests import topologies
from tests.studies import MERROW, OSTREL, changed

STUDIES = {"merrow": changed({}, MERROW), "ostrel": changed({}, OSTREL)}
DIMENSIONS = [
    "gear.trunnion[0]",
    "gear.trunnion[1]",
    "gear.brace.upper_pin[0]",
    "gear.brace.upper_pin[1]",
    "gear.leg.length",
    "gear.leg.swing_up",
    "gear.actuator.root[0]",
]
"""Numbers that every study has."""


def spread(study: Study, n: int, share: float) -> dict[str, Any]:
    rng = np.random.default_rng(7)
    return {d: value_at(study, d) * (1 + share * rng.uniform(-1, 1, n)) for d in DIMENSIONS}


@pytest.mark.parametrize("name", STUDIES)
def test_a_family_is_its_designs(name: str) -> None:
    study, n = STUDIES[name], 12
    numbers = spread(study, n, 0.004)
    family = build(varied(study, numbers))
    poses = np.linspace(0.0, 1.2, 9)
    moved = motion_at(family, poses)
    for i in range(n):
        one = build(varied(study, {d: float(v[i]) for d, v in numbers.items()}))
        alone = motion_at(one, poses)
        for pin, point in one.pins.items():
            several = np.broadcast_to(family.pins[pin].at, n)[i]
            assert several == pytest.approx(point.at, abs=1e-9), pin
            there = moved.point(point.body, family.pins[pin].at)[i]
            assert there == pytest.approx(alone.point(point.body, point.at)[0], abs=1e-8), pin


@pytest.mark.parametrize("name", STUDIES)
def test_where_strokes_end(name: str) -> None:
    study, n = STUDIES[name], 12
    numbers = spread(study, n, 0.02)
    numbers["gear.leg.swing_up"] = np.linspace(60.0, 130.0, n)
    ends = driven_up_of(build(varied(study, numbers)))
    reached = 0
    for i in range(n):
        try:
            _, stroke = gear_and_stroke(varied(study, {d: float(v[i]) for d, v in numbers.items()}))
        except MechanismError:
            continue  # it may end in closed form and yet jam on the way
        reached += 1
        assert ends[i] == pytest.approx(stroke.driven_up, abs=1e-9)
    assert reached >= 4


@pytest.mark.parametrize("name", topologies.VARIANTS)
def test_where_the_stroke_of_every_topology_ends(name: str) -> None:
    gear, stroke = gear_and_stroke(topologies.study(name))
    assert driven_up_of(gear) == pytest.approx(stroke.driven_up, abs=1e-9)


def test_a_design_that_cannot_be_drawn_is_nan_among_the_others() -> None:
    study = STUDIES["merrow"]
    gear = build(varied(study, {"gear.brace.upper_link": np.array([200.0, 20.0, 400.0])}))
    assert np.isnan(gear.brace.knee).tolist() == [False, True, True]
    assert np.isnan(driven_up_of(gear)).tolist() == [False, True, True]
    with pytest.raises(MechanismError):
        build(varied(study, {"gear.brace.upper_link": 20.0}))


def test_one_number_stays_a_number_of_python() -> None:
    gear = build(STUDIES["merrow"])
    assert type(gear.down) is complex
    assert type(gear.brace.over_centre_angle) is float
    assert type(gear.swing_up) is float
    assert gear.swing_up == math.radians(92)


def test_a_path_that_is_not_there() -> None:
    with pytest.raises(DocumentError, match=r"gear\.brace\.upper_pim: no such place.*upper_pin"):
        varied(STUDIES["merrow"], {"gear.brace.upper_pim": 1.0})


def test_the_others_move_on_beside_one_that_cannot_be_drawn() -> None:
    study = STUDIES["merrow"]
    gear = build(varied(study, {"gear.brace.upper_link": np.array([200.0, 20.0])}))
    moved = motion_at(gear, np.linspace(0.0, 1.0, 5))
    knee = moved.point("lower link", gear.pins["knee"].at)
    assert np.isfinite(knee[0]).all()
    assert np.isnan(knee[1]).all()
