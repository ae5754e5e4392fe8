"""Published torques of a power screw, and the force of a cold gas spring."""

from __future__ import annotations

from collections.abc import Iterator

from linkage.actuation.sizing import lowering_torque, raising_torque, screw_efficiency
from linkage.actuation.springs import state_factor
from linkage.document.drive import Screw
from linkage.document.gear import Spring
from linkage.report.validation.model import Case, case

SHIGLEY = "Shigley, Mechanical Engineering Design, power screw example 8-1"


def drive_cases() -> Iterator[Case]:
    yield from _power_screw()
    yield from _gas_spring()


def _power_screw() -> Iterator[Case]:
    """Mean diameter 30 mm, lead 8 mm, square thread, friction 0.08, collar 40 mm with 0.08."""
    thread = {"lead": 8, "mean_diameter": 30, "friction": 0.08, "flank_angle": 0}
    bare = Screw.model_validate(thread)
    whole = Screw.model_validate(thread | {"collar_diameter": 40, "collar_friction": 0.08})
    what = "square thread 32 x 8 mm, f 0.08, 6.4 kN"
    for name, screw, printed in (("thread", bare, "15.94"), ("thread and collar", whole, "26.18")):
        yield case(
            "P1", SHIGLEY, "MEM", f"{what}, raising torque, {name}", printed, "N m",
            lambda screw=screw: raising_torque(6400.0, screw) / 1000.0,  # type: ignore[misc]
        )  # fmt: skip
    for name, screw, printed in (("thread", bare, "-0.466"), ("thread and collar", whole, "9.77")):
        yield case(
            "P1", SHIGLEY, "MEM", f"{what}, lowering torque, {name}", printed, "N m",
            lambda screw=screw: lowering_torque(6400.0, screw) / 1000.0,  # type: ignore[misc]
        )  # fmt: skip
    yield case("P1", SHIGLEY, "MEM", f"{what}, efficiency", "0.311", "1", lambda: screw_efficiency(whole))


def _gas_spring() -> Iterator[Case]:
    entry = Spring.model_validate(
        {
            "name": "s",
            "root": [0, 0],
            "on": "upper link",
            "pin": "knee",
            "force_extended": 450,
            "force_compressed": 560,
            "temperature_c": 15,
        }
    )
    for celsius, printed in ((-20.0, "0.879"), (-40.0, "0.809")):
        yield case(
            "P2", "ratio of absolute temperatures", "CALC", f"gas spring at {celsius:g} C, part of its force at 15 C",
            printed, "1", lambda celsius=celsius: state_factor(entry, celsius, 1.0),  # type: ignore[misc]
        )  # fmt: skip
