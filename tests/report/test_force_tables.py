"""Sections and the table of the forces: complete, with units, plain JSON."""

from __future__ import annotations

import csv
import io
import json

import pytest

from linkage.report.force_tables import forces_csv
from linkage.report.headline import clean
from linkage.report.sections.drive import about_trunnion, cg_travel, emergency, moving, sizing
from tests.studies import MERROW, OSTREL, solution


@pytest.mark.parametrize("path", [MERROW, OSTREL], ids=lambda p: p.parent.name)
def test_sections_are_plain_json_with_units(path: object) -> None:
    r = solution(path).results  # type: ignore[arg-type]
    for section in (moving, sizing, cg_travel, emergency):
        text = json.dumps(clean(section(r)), allow_nan=False)
        assert "NaN" not in text
    found = clean(moving(r))
    assert len(found["conditions"]) == len(r.drive.conditions)
    assert found["two_roads_relative_difference"] < 1e-10
    assert found["governing"]["joint_n"].keys() == {j.name for j in r.gear.mechanism.joints}


def test_force_at_a_dead_point_is_null() -> None:
    r = solution(OSTREL).results
    assert clean(moving(r))["conditions"][0]["push_up_n"][0] is None


def test_moments_about_the_trunnion_do_the_same_work() -> None:
    r = solution(MERROW).results
    c, w, pose = r.drive.worst()
    moment = r.drive.moment["weight"][c, w]
    about = about_trunnion(r, moment)
    assert about[pose] * r.stroke.swing_rate[pose] == pytest.approx(moment[pose])
    # second road: the weights about the trunnion, with nothing but arms
    trunnion = r.gear.pins["trunnion"].at
    arms = sum(m.kg * (r.stroke.motion.point(m.at.body, m.at.at)[0, pose].real - trunnion.real) for m in r.gear.masses)
    assert about[pose] == pytest.approx(-r.drive.conditions[c].load_factor * 9.80665 * arms, rel=1e-9)


def test_cg_travel_ends_where_the_loading_has_it() -> None:
    r = solution(MERROW).results
    assert complex(r.cg_travel.shift[-1]) == pytest.approx(r.moment_shift)
    found = cg_travel(r)
    mass = r.share.cg.mass_min.value
    assert found["lightest_cg_shift_mm"]["fs"][-1] == pytest.approx(7071.087748290838 / mass)
    assert found["gear_up"]["cg_aft_fs_mm"] == r.share.cg_up.aft.value
    assert found["gear_up"]["cg_aft_pct_chord"] == pytest.approx(100 * (r.share.cg_up.aft.value - 2010) / 1180)
    assert r.cg_travel.aft_range.aft.value >= r.share.cg_up.aft.value
    assert r.cg_travel.forward_range.forward.value <= r.share.cg.forward.value


def test_csv_has_every_condition_way_and_pose() -> None:
    r = solution(MERROW).results
    rows = list(csv.reader(io.StringIO(forces_csv(r))))
    assert len(rows) == 1 + len(r.drive.conditions) * 2 * len(r.stroke.driven)
    assert rows[0][4:6] == ["actuator_push_n", "rating_left_n"]
    assert "moment_of_weight_nmm" in rows[0]
    assert "force_at_knee_n" in rows[0]
    last = dict(zip(rows[0], rows[-1], strict=True))
    assert float(last["actuator_push_n"]) == pytest.approx(r.drive.push[-1, 1, -1], rel=1e-5)
    assert float(last["actuator_push_n"]) + float(last["rating_left_n"]) == pytest.approx(2600, abs=0.1)
