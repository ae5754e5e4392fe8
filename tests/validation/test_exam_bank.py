"""Weighings of exam banks; the trap of readings per wheel and per leg. Source: mass-and-balance exam bank."""

from __future__ import annotations

import pytest

from linkage.loading import Reading, weigh
from linkage.report.validation import Check
from tests.validation.bench import checked, named, passes, printed


@pytest.mark.parametrize("check", checked("exam_bank"), ids=named)
def test_published(check: Check) -> None:
    passes(check)


def test_w8_per_wheel_is_not_per_leg() -> None:
    """The trap: 500 and 6000 kg are what ONE wheel weighs. Read as legs for the nose and wheels for the mains, or as
    wheels without counting them, the CG comes out elsewhere; read as legs throughout, half the aircraft is missing."""

    def ahead_of_mains(nose_per: str, main_per: str) -> tuple[float, float]:
        scales = weigh(
            [
                Reading("nose", 500.0, -10.0, nose_per, legs=1, wheels_per_leg=2),  # type: ignore[arg-type]
                Reading("main", 6000.0, 0.0, main_per, legs=2, wheels_per_leg=2),  # type: ignore[arg-type]
            ]
        )
        return -scales.station_mm, scales.mass_kg

    asked = printed("exam_bank", "W8", "CG ahead of the mains")
    assert ahead_of_mains("wheel", "wheel") == (pytest.approx(asked, rel=1e-15), 25000.0)
    assert ahead_of_mains("leg", "wheel")[0] == pytest.approx(0.2041, abs=5e-5)
    assert ahead_of_mains("group", "group")[0] == pytest.approx(0.7692, abs=5e-5)
    assert ahead_of_mains("leg", "leg") == (pytest.approx(asked), 12500.0)
