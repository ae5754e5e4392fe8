"""Bending, shear and torque along the leg: by hand, and by the balance of every piece between two cuts."""

from __future__ import annotations

import numpy as np
import pytest

from linkage.loads import PointLoad
from linkage.loads.leg import LegLine, leg_loads
from linkage.loads.statics import space
from tests.loads.bench import case, load
from tests.studies import OSTREL

NOTHING = PointLoad("brace", np.array([0.0, 0.0, -200.0]), np.zeros(3), np.zeros(3))
PLUMB = LegLine(0j, -1j, 1 + 0j, 200.0, (100.0, 300.0))


def test_a_plumb_cantilever_by_hand() -> None:
    """700 to the right 50 behind the leg line and 900 aft, 500 down: side bending 700 x 500, torque 700 x 50."""
    found = leg_loads(PLUMB, 500.0, [load((50.0, 0.0, -500.0), (900.0, 700.0, 3000.0))], NOTHING)
    assert found.station.tolist() == [0.0, 100.0, 200.0, 200.0, 300.0, 500.0]
    assert found.place == ("trunnion", "", "above lug", "below lug", "", "axle")
    assert found.bend_side == pytest.approx([350_000, 280_000, 210_000, 210_000, 140_000, 0])
    assert found.bend_aft == pytest.approx(900 * (500 - found.station) + 3000 * 50)
    assert found.torque == pytest.approx(np.full(6, 35_000.0))
    assert (found.shear_aft[0], found.shear_side[0], found.axial[0]) == (900.0, 700.0, 3000.0)


def test_the_brace_enters_at_the_lug() -> None:
    """A level push of 2000 forward at the lug, 30 behind the leg line: shear jumps by it, bending has no jump; a push
    along the leg there makes the bending jump."""
    level = PointLoad("brace", np.array([30.0, 0.0, -200.0]), np.array([-2000.0, 0.0, 0.0]), np.zeros(3))
    found = leg_loads(PLUMB, 500.0, [load((0.0, 0.0, -500.0), (800.0, 0.0, 0.0))], level)
    assert found.shear_aft[2] - found.shear_aft[3] == pytest.approx(-2000.0)
    assert found.bend_aft[2] == pytest.approx(found.bend_aft[3])
    assert found.bend_aft[0] == pytest.approx(800 * 500 - 2000 * 200)
    along = PointLoad("brace", np.array([30.0, 0.0, -200.0]), np.array([0.0, 0.0, 1000.0]), np.zeros(3))
    found = leg_loads(PLUMB, 500.0, [load((0.0, 0.0, -500.0), (800.0, 0.0, 0.0))], along)
    assert found.bend_aft[2] - found.bend_aft[3] == pytest.approx(30_000.0)


@pytest.mark.parametrize("path", [None, OSTREL])
def test_every_piece_of_the_leg_is_in_balance(path: object) -> None:
    """Between neighbouring cuts bending falls by shear times length, and nothing else changes; at the trunnion pin the
    leg carries no fore-aft bending, and what it carries sideways is what the bearings take."""
    bench = case() if path is None else case({}, OSTREL)
    for one in bench.loads().conditions:
        leg = one.leg
        length = np.diff(leg.station)
        open_ = length > 0
        size = float(np.abs(leg.bend).max()) + 1.0
        assert np.diff(leg.bend_aft)[open_] == pytest.approx((-leg.shear_aft[:-1] * length)[open_], abs=1e-9 * size)
        assert np.diff(leg.bend_side)[open_] == pytest.approx((-leg.shear_side[:-1] * length)[open_], abs=1e-9 * size)
        for same in (leg.axial, leg.shear_aft, leg.shear_side, leg.torque):
            assert np.diff(same)[open_] == pytest.approx(0.0, abs=1e-9 * size)
        assert leg.bend_aft[0] == pytest.approx(0.0, abs=1e-9 * size)
        held = [x for x in one.airframe if x.name.startswith("trunnion")]
        couple = np.sum([x.moment(space(bench.gear.pins["trunnion"].at)) for x in held], axis=0)
        in_leg_axes = (couple @ space(bench.gear.aft), -(couple @ space(bench.gear.down)))
        assert (leg.bend_side[0], leg.torque[0]) == pytest.approx(in_leg_axes, abs=1e-9 * size)


def test_side_load_bends_towards_its_side_and_torque_follows_the_trail() -> None:
    loads = case().loads()
    (right,), (left,) = loads.under("side load right"), loads.under("side load left")
    assert right.leg.bend_side.min() > 0 > left.leg.bend_side.max()
    assert right.leg.torque[-1] > 0, "the contact trails the steer axis"
    (aft,) = loads.under("aft load")
    assert aft.leg.bend_aft.max() > abs(aft.leg.bend_aft.min())
