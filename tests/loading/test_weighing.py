"""Scale readings to empty mass and CG."""

from __future__ import annotations

import math

import pytest

from linkage.errors import DocumentError
from linkage.loading import Correction, Reading, weigh


def test_three_scales_with_tare_and_sides() -> None:
    found = weigh(
        [
            Reading("nose", 82.0, -1200.0, "wheel", tare_kg=2.0),
            Reading("left main", 201.0, 600.0, "wheel", tare_kg=1.0, bl_mm=-990.0),
            Reading("right main", 203.0, 600.0, "wheel", tare_kg=1.0, bl_mm=990.0),
        ],
        datum_fs_mm=2020.0,
    )
    assert found.mass_kg == 482.0
    assert found.station_mm == pytest.approx((80 * -1200 + 402 * 600) / 482, rel=1e-12)
    assert found.fs_mm == pytest.approx(2020.0 + found.station_mm, rel=1e-12)
    assert found.bl_mm == pytest.approx(2 * 990 / 482, rel=1e-12)


@pytest.mark.parametrize(("per", "net"), [("wheel", 4 * 99.0), ("leg", 2 * 99.0), ("group", 99.0)])
def test_what_a_reading_stands_for(per: str, net: float) -> None:
    reading = Reading("mains", 100.0, 0.0, per, legs=2, wheels_per_leg=2, tare_kg=1.0)  # type: ignore[arg-type]
    assert reading.net_kg == net


def test_corrections_take_off_what_does_not_belong() -> None:
    found = weigh([Reading("all", 500.0, 2000.0, "group")], corrections=[Correction("fuel", -20.0, 2400.0)])
    assert found.mass_kg == 480.0
    assert found.fs_mm == pytest.approx((500 * 2000 - 20 * 2400) / 480, rel=1e-12)


def test_all_faults_at_once() -> None:
    with pytest.raises(DocumentError) as caught:
        weigh(
            [
                Reading("nose", 1.0, 0.0, "wheel", tare_kg=2.0),
                Reading("left", 1.0, math.nan, "wheel"),
                Reading("right", 1.0, 0.0, "axle"),  # type: ignore[arg-type]
                Reading("tail", 1.0, 0.0, "leg", legs=0),
            ],
            datum_fs_mm=math.inf,
            corrections=[Correction("oil", math.nan, 0.0)],
            level=False,
        )
    assert [f.field for f in caught.value.faults] == [
        "weighing.level",
        "weighing.datum_fs_mm",
        "weighing.readings[nose]",
        "weighing.readings[left]",
        "weighing.readings[right].per",
        "weighing.readings[tail]",
        "weighing.corrections[oil]",
    ]


def test_nothing_weighed() -> None:
    with pytest.raises(DocumentError, match="at least one"):
        weigh([])
    with pytest.raises(DocumentError, match="above 0"):
        weigh([Reading("nose", 0.0, 0.0, "wheel")])
