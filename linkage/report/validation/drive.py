"""Published torques of power screws, areas of cylinders, the force of a cold gas spring, wind, and a free swing."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from functools import partial

import numpy as np

from linkage.actuation.air import dynamic_pressure
from linkage.actuation.sizing import bore_area, lowering_torque, raising_torque, ring_area, screw_efficiency
from linkage.actuation.springs import state_factor
from linkage.document.drive import Screw
from linkage.document.gear import Spring
from linkage.extension.integrate import Crossing, integrate
from linkage.report.validation.model import Case, case


def shigley() -> Iterator[Case]:
    """Example 8-1: major diameter 32 mm, pitch 4 mm, double thread: mean diameter 30 mm, lead 8 mm; f = f_c = 0.08,
    collar 40 mm, 6.4 kN."""
    thread = {"lead": 8, "mean_diameter": 30, "friction": 0.08, "flank_angle": 0}
    bare = Screw.model_validate(thread)
    whole = Screw.model_validate(thread | {"collar_diameter": 40, "collar_friction": 0.08})
    inputs = "ex. 8-1: double square thread 32 x 4 mm, f 0.08, collar 40 mm, 6.4 kN"
    for name, screw, up, down in (("thread", bare, "15.94", "-0.466"), ("thread and collar", whole, "26.18", "9.77")):
        yield case(
            "P1", "MEM", inputs, f"raising torque, {name}", up, "N m", partial(_torque, raising_torque, 6400.0, screw)
        )
        yield case(
            "P1",
            "MEM",
            inputs,
            f"lowering torque, {name}",
            down,
            "N m",
            partial(_torque, lowering_torque, 6400.0, screw),
        )
    collar = lambda: _torque(raising_torque, 6400.0, whole) - _torque(raising_torque, 6400.0, bare)  # noqa: E731
    yield case("P1", "MEM", inputs, "torque of the collar", "10.24", "N m", collar)
    yield case("P1", "MEM", inputs, "efficiency", "0.311", "1", partial(screw_efficiency, whole))


def _torque(way: Callable[[float, Screw], float], force: float, screw: Screw) -> float:
    """N m."""
    return way(force, screw) / 1000.0


def beer_johnston_clamp() -> Iterator[Case]:
    """Statics, sample problem 8.5: double square thread, mean diameter 10 mm, pitch 2 mm, friction 0.30. 40 N m press
    with 17.97 kN, and 14.87 N m loosen it."""
    screw = Screw.model_validate({"lead": 4, "mean_diameter": 10, "friction": 0.30, "flank_angle": 0})
    inputs = "sample 8.5: double square thread, mean 10 mm, pitch 2 mm, f 0.30, 17.97 kN"
    why = "the book rounds two angles to 0.1 deg, which moves the torque by so much"
    tightens = partial(_torque, raising_torque, 17970.0, screw)
    yield case("P3", "MEM", inputs, "couple that tightens", "40", "N m", tightens, 0.19, why)
    loosens = partial(_torque, lowering_torque, 17970.0, screw)
    yield case("P3", "MEM", inputs, "couple that loosens", "14.87", "N m", loosens, 0.16, why)


def cylinder_areas() -> Iterator[Case]:
    """Areas as catalogues of hydraulic cylinders print them for the bores and rods of ISO 3320."""
    for bore, rod, full, ring in (
        (40.0, 22.0, "12.57", "8.77"),
        (50.0, 28.0, "19.63", "13.48"),
        (63.0, 45.0, "31.17", "15.27"),
    ):
        inputs = f"bore {bore:g}, rod {rod:g} mm"
        yield case("P4", "MEM", inputs, "area that pushes", full, "cm2", lambda b=bore: bore_area(b) / 100.0)  # type: ignore[misc]
        yield case("P4", "MEM", inputs, "area that pulls", ring, "cm2", lambda b=bore, r=rod: ring_area(b, r) / 100.0)  # type: ignore[misc]


def gas_law() -> Iterator[Case]:
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
        inputs = f"{celsius:g} C against 15 C: ratio of absolute temperatures"
        yield case("P2", "CALC", inputs, "part of the force", printed, "1", partial(state_factor, entry, celsius, 1.0))


def asce7_wind() -> Iterator[Case]:
    """q = 0.00256 V^2 (lb/ft2, mph) at standard density 1.225 kg/m3."""
    pressure = lambda: dynamic_pressure(1.225, 0.44704) / 47.88025898  # noqa: E731
    yield case("P5", "MEM", "1 mph, 1.225 kg/m3", "velocity pressure", "0.00256", "lb/ft2", pressure)


def pendulum() -> Iterator[Case]:
    """T/T0 = 2/pi K(sin(a/2)), as tables of physics print it: the integrator of the emergency extension."""
    for degrees, printed in (
        (10, "1.0019"),
        (30, "1.0174"),
        (60, "1.0732"),
        (90, "1.1803"),
        (120, "1.3729"),
        (150, "1.7622"),
    ):
        inputs = f"pendulum let go at {degrees} deg"
        yield case(
            "P6", "MEM", inputs, "period against that of a small swing", printed, "1", partial(swing, float(degrees))
        )


def swing(degrees: float) -> float:
    """A quarter swing by the integrator, against pi/2."""
    start = np.array([math.radians(degrees), 0.0])
    found = integrate(
        lambda t, y: [float(y[1]), -math.sin(float(y[0]))],
        0.0,
        start,
        [Crossing(0, 0.0, rising=False)],
        60.0,
        1e-9,
        1e-12,
    )
    return float(found.time[-1]) / (math.pi / 2.0)
