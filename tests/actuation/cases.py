"""The demo gear with some causes of force switched off, solved for its forces alone."""

from __future__ import annotations

from functools import cache
from typing import Any

from linkage.actuation.drive import Drive, drive
from linkage.gear import Gear
from linkage.stroke import Stroke, gear_and_stroke
from tests.studies import changed

LONELY: dict[str, Any] = {"stroke.poses": 181}
NO_FRICTION: dict[str, Any] = {"gear.friction": None, "gear.spring[0].friction": 0}
AT_REST: dict[str, Any] = {"gear.actuator.cycle_time": None, "gear.actuator.screw": None}
STILL: dict[str, Any] = {"air": None}
UNSPRUNG: dict[str, Any] = {"gear.spring[0].force_extended": 1e-12, "gear.spring[0].force_compressed": 1e-12}


def solved(*changes: dict[str, Any]) -> tuple[Gear, Stroke, Drive]:
    study = changed({k: v for part in (LONELY, *changes) for k, v in part.items()})
    gear, stroke = gear_and_stroke(study)
    return gear, stroke, drive(study, gear, stroke)


@cache
def demo() -> tuple[Gear, Stroke, Drive]:
    """Everything on."""
    return solved()
