"""Square-thread power screw of Shigley, Mechanical Engineering Design, example 8-1 (from memory).

Major diameter 32 mm, pitch 4 mm, double thread: mean diameter 30 mm, lead 8 mm; f = f_c = 0.08, collar 40 mm, 6.4 kN.
Printed: raising torque 15.94 + 10.24 = 26.18 N m, lowering -0.466 + 10.24 = 9.77 N m, efficiency 0.311. Tolerances are
half of the last printed digit.
"""

from __future__ import annotations

import pytest

from linkage.actuation.sizing import lowering_torque, raising_torque, screw_efficiency
from linkage.document.drive import Screw

THREAD = {"lead": 8, "mean_diameter": 30, "friction": 0.08, "flank_angle": 0}
COLLAR = {"collar_diameter": 40, "collar_friction": 0.08}


def screw(**more: float) -> Screw:
    return Screw.model_validate(THREAD | more)


def test_raising() -> None:
    assert raising_torque(6400, screw()) / 1000 == pytest.approx(15.94, abs=0.005)
    assert raising_torque(6400, screw(**COLLAR)) / 1000 == pytest.approx(26.18, abs=0.005)


def test_lowering() -> None:
    assert lowering_torque(6400, screw()) / 1000 == pytest.approx(-0.466, abs=0.0005)
    assert lowering_torque(6400, screw(**COLLAR)) / 1000 == pytest.approx(9.77, abs=0.005)


def test_efficiency() -> None:
    assert screw_efficiency(screw(**COLLAR)) == pytest.approx(0.311, abs=0.0005)
