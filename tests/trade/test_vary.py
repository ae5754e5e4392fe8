"""What is to be varied, as it is written: values, units, names, faults."""

from __future__ import annotations

import pytest

from linkage.errors import DocumentError
from linkage.trade import Vary, varies
from tests.studies import OSTREL, table
from tests.trade.cases import OFFSET, PIN


def test_values() -> None:
    one, two = varies([f"{OFFSET}=2:8:13", f"{PIN}=1140, 1130,1135"], table())
    assert one.values == tuple(2 + 0.5 * i for i in range(13))
    assert (one.unit, one.present, one.short) == ("mm", 5.0, "brace.over_centre")
    assert two.values == (1130.0, 1135.0, 1140.0)
    assert (two.unit, two.present, two.short) == ("mm", 1140.0, "brace.upper_pin[0]")
    tenth = varies([f"{OFFSET}=0.1:0.7:7"], table())[0]
    assert tenth.values == (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7)


def test_units_are_those_of_the_file_and_defaults_are_known() -> None:
    (inch,) = varies([f"{OFFSET}=0.1:0.3:3"], table(OSTREL))
    assert inch.unit == "in"
    assert inch.present == pytest.approx(0.16)
    plain = table(OSTREL)
    plain["gear"]["brace"]["over_centre"] = "4.064 mm"
    assert varies([f"{OFFSET}=0.1:0.3:3"], plain)[0].present == pytest.approx(0.16, rel=1e-12)
    (angle,) = varies(["limits.transmission_angle.min=10:30:3"], table())
    assert (angle.unit, angle.present) == ("deg", 20.0)
    (named,) = varies(["bay.item[oil cooler].required=5:25:3"], table())
    assert named.path.startswith("bay.item[")
    assert (named.unit, named.present) == ("mm", 20.0)
    assert (named.known_as, named.short) == ("bay.item[oil cooler].required", "item[oil cooler].required")


def test_names_of_entries_are_kept_apart_from_the_path_and_short() -> None:
    def vary(name: str) -> Vary:
        study = table()
        study["bay"]["item"][0]["name"] = name
        return varies(["bay.item[0].required=5:25:3"], study)[0]

    assert vary("pipe [a.b] c").short == 'item["pipe [a.b] c"].required'
    assert vary("pipe [a.b] c").known_as == 'bay.item["pipe [a.b] c"].required'
    assert vary(50 * "long ").known_as == "bay.item[0].required"
    assert vary(50 * "long ").short == "item[0].required"


def test_values_may_carry_their_unit() -> None:
    (one,) = varies([f"{OFFSET}=4mm:0.8 cm:3"], table())
    assert one.values == (4.0, 6.0, 8.0)
    (inch,) = varies([f"{OFFSET}=0.1,'5.08 mm',1 cm"], table(OSTREL))
    assert inch.values == (0.1, 0.2, 0.393700787402)
    (turn,) = varies(["gear.leg.swing_up=1.5 rad,90"], table())
    assert turn.values == (pytest.approx(85.9436692696), 90.0)


def test_all_faults_at_once() -> None:
    with pytest.raises(DocumentError) as err:
        varies([f"{OFFSET}=8:2:3", "gear.nose=1:2:3"], table())
    assert len(err.value.faults) == 2
