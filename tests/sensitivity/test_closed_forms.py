"""Derivatives of lock, stroke ends and ground on the demo, from closed forms written out here anew and differentiated
by mpmath in 50 digits: law of cosines for the locked leg, two circles for the knee with the gear up."""

from __future__ import annotations

from collections.abc import Callable

import mpmath
import pytest
from mpmath import mp, mpc, mpf

from linkage.sensitivity import Sensitivity, sensitivity
from tests.studies import MERROW, solution

NUMBERS = {
    "gear.trunnion[0]": 840,
    "gear.trunnion[1]": 682,
    "gear.brace.upper_pin[0]": 1140,
    "gear.brace.upper_pin[1]": 550,
    "gear.brace.lug.along": 180,
    "gear.brace.lug.offset": 0,
    "gear.brace.upper_link": 200,
    "gear.brace.lower_link": 123,
    "gear.brace.over_centre": 5,
    "gear.leg.length": 594,
    "gear.leg.axle_offset": 25,
    "gear.leg.swing_up": 92,
    "gear.actuator.root[0]": 800,
    "gear.actuator.root[1]": 752,
    "gear.actuator.pin.radius": 100,
    "gear.actuator.pin.angle": -56,
}
"""Of the demo, typed here."""
Given = dict[str, mpf]


def turned(angle: mpf) -> mpc:
    return mpmath.expj(angle)


def lock(n: Given) -> tuple[mpc, mpc, mpc, mpc]:
    """Trunnion, upper pin, unit vector down the leg, knee."""
    trunnion = mpc(n["gear.trunnion[0]"], n["gear.trunnion[1]"])
    upper = mpc(n["gear.brace.upper_pin[0]"], n["gear.brace.upper_pin[1]"])
    r, s, h = (n[f"gear.brace.{k}"] for k in ("upper_link", "lower_link", "over_centre"))
    down = leg(n, mpmath.sqrt(r * r - h * h) + mpmath.sqrt(s * s - h * h))
    lug = trunnion + down * mpc(n["gear.brace.lug.along"], n["gear.brace.lug.offset"])
    line = (lug - upper) / abs(lug - upper)
    # the line runs forward from the upper pin, so that up is to its right
    return trunnion, upper, down, upper + mpmath.sqrt(r * r - h * h) * line + 1j * line * h


def leg(n: Given, span: mpf) -> mpc:
    """Unit vector down the leg with the brace so long, by the law of cosines at the trunnion."""
    trunnion = mpc(n["gear.trunnion[0]"], n["gear.trunnion[1]"])
    base = mpc(n["gear.brace.upper_pin[0]"], n["gear.brace.upper_pin[1]"]) - trunnion
    arm = mpc(n["gear.brace.lug.along"], n["gear.brace.lug.offset"])
    angle = mpmath.acos((abs(base) ** 2 + abs(arm) ** 2 - span**2) / (2 * abs(base) * abs(arm)))
    return base / abs(base) * turned(-angle) * mpmath.conj(arm) / abs(arm)


def up(n: Given) -> tuple[mpc, mpc]:
    """Directions of the upper link, locked and up."""
    trunnion, upper, down, knee = lock(n)
    arm = mpc(n["gear.brace.lug.along"], n["gear.brace.lug.offset"])
    lug = trunnion + down * arm * turned(mpmath.radians(n["gear.leg.swing_up"]))
    r, s = n["gear.brace.upper_link"], n["gear.brace.lower_link"]
    reach = lug - upper
    d = abs(reach)
    bend = mpmath.acos((r * r + d * d - s * s) / (2 * r * d))
    return (knee - upper) / r, reach / d * turned(-bend)


def overswing(n: Given) -> mpf:
    r, s, h = (n[f"gear.brace.{k}"] for k in ("upper_link", "lower_link", "over_centre"))
    locked = leg(n, mpmath.sqrt(r * r - h * h) + mpmath.sqrt(s * s - h * h))
    return -mpmath.degrees(mpmath.arg(leg(n, r + s) / locked))


def rotation(n: Given) -> mpf:
    locked, raised = up(n)
    return -mpmath.degrees(mpmath.arg(raised / locked))


def pin(n: Given, link: mpc) -> mpc:
    """Of the actuator, with the upper link in that direction."""
    upper = mpc(n["gear.brace.upper_pin[0]"], n["gear.brace.upper_pin[1]"])
    return upper + n["gear.actuator.pin.radius"] * link * turned(mpmath.radians(n["gear.actuator.pin.angle"]))


def length(n: Given, link: mpc) -> mpf:
    return abs(pin(n, link) - mpc(n["gear.actuator.root[0]"], n["gear.actuator.root[1]"]))


def wheel(n: Given) -> mpc:
    trunnion, _, down, _ = lock(n)
    arm = mpc(n["gear.leg.length"], n["gear.leg.axle_offset"])
    return trunnion + down * arm * turned(mpmath.radians(n["gear.leg.swing_up"]))


def bend(n: Given) -> mpf:
    h = n["gear.brace.over_centre"]
    links = (n["gear.brace.upper_link"], n["gear.brace.lower_link"])
    return mpmath.degrees(sum(mpmath.asin(h / link) for link in links))


def tilt(n: Given) -> mpf:
    down = lock(n)[2]
    return mpmath.degrees(mpmath.atan2(-down.real, -down.imag))


RESULTS: dict[str, Callable[[Given], mpf]] = {
    "over_centre_deg": bend,
    "dead_centre_overswing_deg": overswing,
    "driven_rotation_deg": rotation,
    "wheel_up_fs_mm": lambda n: wheel(n).real,
    "wheel_up_wl_mm": lambda n: wheel(n).imag,
    "actuator_length_down_mm": lambda n: length(n, up(n)[0]),
    "actuator_length_up_mm": lambda n: length(n, up(n)[1]),
    "steer_axis_tilt_deg": tilt,
}


@pytest.fixture(scope="module")
def found() -> Sensitivity:
    return sensitivity(solution(MERROW))


@pytest.mark.parametrize("name", RESULTS)
def test_against_fifty_digits(name: str, found: Sensitivity) -> None:
    line, number = found.line(name), RESULTS[name]
    ours = {row.dimension.path: row.derivative for row in line.rows}
    with mp.workdps(50):
        given = {path: mpf(value) for path, value in NUMBERS.items()}
        assert line.value == pytest.approx(float(number(given)), rel=1e-11, abs=1e-11)
        slopes = {
            path: float(mpmath.diff(lambda x, path=path: number({**given, path: x}), given[path])) for path in NUMBERS
        }
    size = max(abs(s) for s in slopes.values())
    assert {path for path, s in slopes.items() if abs(s) > 1e-9 * size} == set(ours)
    for path, slope in slopes.items():
        assert ours.get(path, 0.0) == pytest.approx(slope, rel=1e-9, abs=1e-13 * size), path
