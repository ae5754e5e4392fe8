"""Study files of every topology to edit, written to a folder of the test."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import tomlkit

from tests.topologies import VARIANTS, plain

AS_DRAWN: dict[str, Any] = {
    "gear.leg.tilt": 6.0,
    "gear.brace": {"upper_pin": [1140, 550], "lug": {"along": 180}, "knee": [943.0, 516.0], "knee_folds": "up"},
    "gear.lock_link": {"root": [990, 705], "pin": "knee", "knee": [957.5, 630.0], "knee_folds": "aft"},
    "gear.actuator.pin": [1100, 640],
}
"""Links as drawn and a pin of the upper link as a point: all that has to follow when lengths are kept."""

TOPOLOGIES = [*VARIANTS, "as drawn"]


def write_study(folder: Path, name: str) -> Path:
    path = folder / f"{name.replace(' ', '_')}.toml"
    path.write_text(tomlkit.dumps(plain(AS_DRAWN if name == "as drawn" else VARIANTS[name])), encoding="utf-8")
    return path
