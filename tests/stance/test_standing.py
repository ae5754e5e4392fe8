"""Propeller, tail and side loads as drawn, each by a second road."""

from __future__ import annotations

import cmath
import math
from dataclasses import replace

import numpy as np
import pytest

from linkage.errors import DocumentError
from linkage.gear import build
from linkage.loading.entry import load_model
from linkage.stance import flat, grounds, standing
from tests.studies import OSTREL, changed


def stand(changes=None, path=None):
    study = changed(changes or {}, path) if path else changed(changes or {})
    gear = build(study)
    return study, gear, standing(study, gear, grounds(study, gear), load_model(study))


def test_propeller_clearance_by_turning_the_disc() -> None:
    """Every point of the disc's rim turned about the mains by the pitch, then its least height, in three dimensions."""
    study, gear, found = stand()
    disc = study.airframe.propeller
    assert disc is not None
    for state in (*grounds(study, gear)[:3], flat(study, gear)):
        rim = disc.diameter / 2 * np.exp(1j * np.linspace(0, 2 * np.pi, 7201))  # BL + 1j*WL about the hub
        points = disc.plane_fs + 1j * (disc.hub_wl + rim.imag) - state.main
        least = float((points * cmath.exp(-1j * state.pitch)).imag.min())
        assert found.clearance(state.state) == pytest.approx(least, abs=1e-6)


def test_level_needs_no_pitch() -> None:
    _, _, found = stand()
    assert found.clearance("level") == 1100 - 1720 / 2


def test_flat_without_a_flat_radius_stands_on_the_bead_seat() -> None:
    study, gear, found = stand(path=OSTREL)
    lowest = flat(study, gear)
    assert lowest.radius == study.tyre.rim_diameter / 2
    assert found.clearance("flat, on the rim") < found.clearance("bottomed")
    given, gear, _ = stand({"tyre.flat_radius": 3.4}, OSTREL)
    assert flat(given, gear).state == "flat"


def test_tail_contact_turns_the_tail_onto_the_ground() -> None:
    study, gear, found = stand({"airframe.tail": [5900, 620]})
    static = grounds(study, gear)[0]
    assert found.tail is not None
    turned = (complex(5900, 620) - static.main) * cmath.exp(-1j * found.tail)  # nose up turns the aircraft clockwise
    along = (static.main - static.nose) / abs(static.main - static.nose)
    assert (turned * along.conjugate()).imag == pytest.approx(0.0, abs=1e-9)
    assert math.degrees(found.tail) == pytest.approx(10.7, abs=0.05)


def test_one_main_leg_carries_more_with_the_cg_aside() -> None:
    _, _, even = stand()
    item = {"name": "pilot", "min": 55, "max": 110, "at": [2440, 880], "bl": -250}
    study, gear, aside = stand({"loading.item[0]": item})
    case = aside.side_load.case
    static = grounds(study, gear)[0].stance
    mains = case.mass_kg * 9.80665 * (1 - static.share(case.cg))
    left = mains / 2 + case.mass_kg * 9.80665 * abs(case.bl_mm) / study.airframe.main_gear.track
    assert aside.side_load.value == pytest.approx(left, rel=1e-12)
    assert aside.side_load.value > even.side_load.value
    assert aside.turnover.value > even.turnover.value


def test_a_cg_outside_the_wheels_is_told() -> None:
    item = {"name": "pilot", "min": 55, "max": 110, "at": [2440, 880], "bl": -6000}
    with pytest.raises(DocumentError, match=r"mm outside the line of nose and main wheel with 591 kg \(pilot 110"):
        stand({"loading.item[0]": item})


def test_states_without_a_propeller() -> None:
    study = changed({})
    gear = build(study)
    bare = study.model_copy(update={"airframe": study.airframe.model_copy(update={"propeller": None})})
    found = standing(bare, gear, grounds(bare, gear), load_model(bare))
    assert found.propeller == ()
    with pytest.raises(KeyError):
        found.clearance("static")
    assert replace(found) == found
