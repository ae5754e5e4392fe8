"""Ground loads by a second road: the linkage's own pin equilibrium with the stop as a couple at the knee, and a blind
derivation of the demo's numbers."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from linkage.gear import LEG
from linkage.mechanism.statics import Load, balance, effort_by_work, reactions
from linkage.stroke import motion_at
from tests.loads.bench import Case, case
from tests.studies import MERROW, OSTREL

LOCK_LINK: dict[str, Any] = {
    "gear.leg.swing_up": 40,  # not the demo's stroke: these lock links only have to hold
    "gear.lock_link": {"root": [1190, 720], "pin": "knee", "upper_link": 70, "over_centre": 3, "knee_folds": "aft"},
}


def planar(bench: Case, name: str) -> list[Load]:
    """The condition's loads in the side view, on the leg."""
    (found, *_) = bench.loads().under(name)
    return [Load(LEG, complex(x.at[0], x.at[2]), complex(x.force[0], x.force[2])) for x in found.applied]


@pytest.mark.parametrize("condition", ["static 1 g", "aft load", "forward load", "braked roll"])
@pytest.mark.parametrize("study", ["merrow", "ostrel", "lock links"])
def test_pins_and_stop_couple_as_the_linkage_itself_has_them(study: str, condition: str) -> None:
    """The stop holds its knee by a couple between the two links: put the effort there and solve all pins at once."""
    bench = case(LOCK_LINK if study == "lock links" else {}, OSTREL if study == "ostrel" else MERROW)
    gear = bench.gear
    knee = "lock knee" if gear.lock_link is not None else "knee"
    locked = motion_at(gear, np.array([0.0]))
    held = balance(gear.mechanism, locked, planar(bench, condition), knee)
    (found, *_) = bench.loads().under(condition)
    size = float(np.linalg.norm(found.wheel))
    assert abs(held.effort.item()) == pytest.approx(abs(found.stop_couple), rel=1e-7, abs=1e-6 * size)
    on_ground = reactions(gear.mechanism, held)
    total: dict[str, complex] = {}
    for load in found.airframe:
        name = "trunnion" if load.name.startswith("trunnion") else load.name
        total[name] = total.get(name, 0j) + complex(load.force[0], load.force[2])
    for name, force in total.items():
        assert on_ground[name].item() == pytest.approx(force, abs=1e-7 * size), name


def test_lock_links_hold_the_knee_when_it_has_no_stop() -> None:
    loads = case(LOCK_LINK).loads()
    (aft,) = loads.under("aft load")
    assert aft.lock_link is not None and aft.at("lock root") is not None
    assert any(g.part == "lock links" for g in loads.governing)
    with_stop = LOCK_LINK | {"gear.brace.stop": True}
    (both,) = case(with_stop).loads().under("aft load")
    assert both.lock_link is None and both.at("lock root") is None


@pytest.mark.parametrize("study", ["merrow", "ostrel"])
def test_actuator_without_the_lock_by_pin_equilibrium_and_by_work(study: str) -> None:
    bench = case() if study == "merrow" else case({}, OSTREL)
    gear = bench.gear
    locked = motion_at(gear, np.array([0.0]))
    for name in ("aft load", "forward load", "side load right"):
        loads = planar(bench, name)
        (found,) = bench.loads().under(name)
        assert found.push_if_lost == pytest.approx(
            balance(gear.mechanism, locked, loads, gear.effort_at).effort.item(), rel=1e-6
        )
        assert found.push_if_lost == pytest.approx(
            effort_by_work(gear.mechanism, locked, loads, gear.effort_at).item(), rel=1e-9
        )


def test_demo_against_a_blind_derivation() -> None:
    """Numbers of a derivation of the demo made without this code: static stance, loads along the ground."""
    loads = case().loads()
    blind = {"static 1 g": -234.97616556455924, "aft load": 6309.87253922415, "forward load": -3947.980828392463}
    for name, brace in blind.items():
        assert loads.of(name).brace == pytest.approx(brace, rel=1e-9)
        (found,) = loads.under(name)
        assert found.brace == pytest.approx(brace, rel=1e-9)
        assert found.stop == pytest.approx(loads.of(name).stop, rel=1e-9)
    assert loads.of("aft load").stop == pytest.approx(414.507206, abs=5e-7)
    assert loads.nose_load == pytest.approx(1231.3616659400484, rel=1e-12)
