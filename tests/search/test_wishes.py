"""Wishes that cannot be met are said before the search begins: which, by how much, what would do."""

from __future__ import annotations

import warnings
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.random import SeedSequence

from linkage.document.wanted import Region
from linkage.document.wishes import read_with_wishes
from linkage.errors import DocumentError
from linkage.obstacles import obstacles
from linkage.search import check_wishes
from linkage.search.inside import wheel_against_items
from linkage.search.regions import along_line, inside, shape_of, spread
from linkage.search.sampling import candidates
from linkage.search.screen import AXLE, FOLD, KNEE, LEG, LOWER, TRUNNION, screen
from linkage.search.screened import PASSED
from tests.search.finding import WANTED, demo, wished
from tests.studies import MERROW, OSTREL

UNIT = {"name": "cylinder", "dead_length": 150, "stroke": 140, "max_force": 3000}


def faults(changes: dict[str, Any]) -> dict[str, str]:
    with pytest.raises(DocumentError) as caught:
        study = wished(changes)
        check_wishes(study, obstacles(study, MERROW.parent))
    return {f.field: f"{f.found}; {f.expected}" for f in caught.value.faults}


def test_the_demo_wishes_are_fine() -> None:
    check_wishes(*demo())


def test_zero_tolerance_names_the_least() -> None:
    found = faults({"wanted.wheel.down.tolerance": 0, "wanted.wheel.third": {"at": [1262, 253], "tolerance": 0}})
    assert set(found) == {"wanted.wheel.down.tolerance", "wanted.wheel.third.tolerance"}
    assert all("at least 0.01 mm" in text for text in found.values())


def test_every_empty_region_at_once() -> None:
    found = faults(
        {
            "wanted.trunnion.fs": [865, 815],
            "wanted.upper_link": [250, 150],
            "wanted.actuator.pin.radius": [140, 60],
            "wanted.upper_pin": {"outline": [[0, 0], [1, 1], [2, 2]]},
        }
    )
    assert {"wanted.trunnion.fs", "wanted.upper_link", "wanted.actuator.pin.radius"} <= set(found)
    assert "is empty" in found["wanted.upper_link"]
    assert any("outline" in field or "outline" in text for field, text in found.items() if "upper_pin" in field)


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"wanted.trunnion": {"fs": [700, 720], "wl": [600, 620]}}, "wanted.trunnion", "perpendicular bisector misses"),
        ({"wanted.folds": ["forward"]}, "wanted.folds", "the other way"),
        ({"wanted.swing_up": [40, 50]}, "wanted.swing_up", "within 87"),
        ({"wanted.leg_length": [100, 200]}, "wanted.leg_length", "within 56"),
        ({"wanted.wheel.third": {"at": [1000, 500]}}, "wanted.wheel.third", "tolerance of at least"),
        ({"wanted.over_centre": [9, 12]}, "wanted.over_centre", "between 1.5 and 8 mm"),
        ({"wanted.upper_pin": {"fs": [700, 720], "wl": [900, 950]}}, "wanted.upper_pin", "engine sump"),
        ({"wanted.wheel.up": {"at": [1434, 750]}}, "wanted.wheel.up", "battery box"),
        ({"gear.actuator.travel_left_at_lock": 0.5}, "gear.actuator.travel_left_at_lock", "at least 1 mm"),
        ({"wanted.actuator.pin": {"along": 90}}, "wanted.actuator.pin", "{radius, angle} on the upper link"),
        ({"wanted.knee_folds": ["sideways"]}, "wanted.knee_folds[0]", "'up'"),
        ({"wanted.wheel.up": {"at": [801, 89]}}, "wanted.wheel.up", "within their tolerances"),
        ({"gear.actuator.pushes": "lower link"}, "gear.actuator.pushes", "'upper link' or 'leg'"),
        ({"wanted.axle_offset": [2000, 3000]}, "wanted.axle_offset", "at most 620.9 mm from the trunnion"),
        ({"wanted.upper_link": [1, 2]}, "wanted.upper_link", "no longer than the over-centre offset"),
        ({"wanted.lower_link": [1, 2]}, "wanted.lower_link", "no longer than the over-centre offset"),
        ({"wanted.wheel.third": {"at": [737, 96.8], "tolerance": 2}}, "wanted.wheel.third", "before or after them"),
        ({"wanted.wheel.down.at": [1, 2, 3]}, "wanted.wheel.down.at", "at most 2 entries"),
        ({"wanted.actuator.catalogue": [UNIT, UNIT]}, "wanted.actuator.catalogue", "'cylinder' 2 times"),
        ({"wanted.weights": 3}, "wanted.weights", "a table"),
    ],
)
def test_contradictions_name_the_wish(changes: dict[str, Any], field: str, words: str) -> None:
    found = faults(changes)
    assert field in found
    assert words in found[field]


def test_how_much_further_a_wheel_must_be_is_measured_in_the_side_view() -> None:
    """Beside an item the butt lines keep most of the gap: the place moved by what is named is just far enough."""
    wide = {"bay.item[exhaust tailpipe R].required": 58, "wanted.trunnion": {"fs": [700, 1000], "wl": [400, 900]}}
    text = faults(wide)["wanted.wheel.up"]
    assert "52.6 mm from 'exhaust tailpipe R'" in text
    more = float(text.partition("a place ")[2].partition(" mm")[0])
    away = np.array([404, 270]) / np.hypot(404, 270)  # square to the tailpipe, aft and up
    for further, fine in ((more + 0.5, True), (more - 0.5, False)):
        place = [float(v) for v in np.array([1434.2, 663.6]) + further * away]
        study = wished({**wide, "wanted.wheel.up.at": place})
        near = [f for f in wheel_against_items(study, obstacles(study, MERROW.parent)) if "tailpipe R" in f.found]
        assert bool(near) is not fine


def test_a_wrong_entry_does_not_make_its_list_too_short() -> None:
    outline = [[815, 650], [865, float("nan")], [840, 700]]
    assert set(faults({"wanted.trunnion": {"outline": outline}})) == {"wanted.trunnion.outline[1][1]"}
    assert "at least 3 entries" in faults({"wanted.trunnion": {"outline": outline[:1]}})["wanted.trunnion.outline"]


def test_faults_of_a_file_of_wishes_bear_its_name(tmp_path: Path) -> None:
    (tmp_path / "w.toml").write_text("[wanted.wheel]\ndown = { at = [800.8, 88.8] }\n", encoding="utf-8")
    with pytest.raises(DocumentError, match=r"^w\.toml: 1 fault"):
        read_with_wishes(MERROW, tmp_path / "w.toml")
    with pytest.raises(DocumentError, match=r"^study\.toml: 2 fault"):
        read_with_wishes(MERROW, tmp_path / "w.toml", {"gear.leg.length": -1})


ON_THE_WAY = {"at": [1239.6, 241.7], "tolerance": 2}


@pytest.mark.parametrize(
    "changes",
    [
        {"wanted.trunnion": {"fs": 840, "wl": [650, 710]}},
        {"wanted.trunnion": {"fs": [839.9, 840.1], "wl": [681.9, 682.1]}},
        {"wanted.trunnion": {"outline": [[840, 682], [840.0000001, 682], [840, 682.0000001]]}},
        {"wanted.trunnion": [840, 682], "wanted.wheel.third": ON_THE_WAY},
        {"wanted.trunnion": {"fs": 840, "wl": [650, 710]}, "wanted.wheel.third": ON_THE_WAY},
    ],
)
def test_a_trunnion_with_little_room_is_found_in_it(changes: dict[str, Any]) -> None:
    """A line, a box smaller than the tolerances and a point waste few candidates, and allow a third place."""
    study = wished(changes)
    check_wishes(study, demo()[1])
    given = screen(study, (), candidates(study, SeedSequence(3), 1024, 0), 0).counts
    lost = given[TRUNNION] + given.get(AXLE, 0)
    if "wanted.wheel.third" not in changes:
        assert lost < 300
    assert given[PASSED] > 0


def test_no_warning_of_numbers_that_cannot_be_drawn() -> None:
    study = wished({"wanted.axle_offset": [-3000, 3000]})
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert screen(study, (), candidates(study, SeedSequence(3), 512, 0), 0).counts[LEG] > 0


def test_each_place_and_length_is_a_reason_of_its_own() -> None:
    ranges = {
        TRUNNION: {"wanted.trunnion": {"outline": [[815, 650], [865, 650], [865, 710], [850, 660]]}},
        LEG: {"wanted.leg_length": [590, 591]},
        LOWER: {"wanted.lower_link": [100, 101]},
        KNEE: {"wanted.knee": {"fs": [900, 910], "wl": [500, 600]}},
        FOLD: {"wanted.knee_folds": ["aft"]},
    }
    for reason, changes in ranges.items():
        study = wished(changes)
        assert screen(study, (), candidates(study, SeedSequence(3), 512, 0), 0).counts[reason] > 0


def test_no_unit_of_the_catalogue_is_long_enough() -> None:
    unit = {"name": "too long", "dead_length": 500, "stroke": 200, "max_force": 3000}
    assert "94.1 to 647.6 mm" in faults({"wanted.actuator.catalogue": [unit]})["wanted.actuator.catalogue"]


def test_a_third_place_needs_a_trunnion_region(tmp_path: Path) -> None:
    text = (
        "[wanted.wheel]\ndown = { at = [800.8, 88.8] }\nup = { at = [1434.2, 663.6] }\nthird = { at = [1262, 253] }\n"
    )
    (tmp_path / "w.toml").write_text(text, encoding="utf-8")
    study = read_with_wishes(MERROW, tmp_path / "w.toml").study
    with pytest.raises(DocumentError, match=r"wanted\.trunnion"):
        check_wishes(study, ())


def test_a_file_of_wishes_holds_wishes_only(tmp_path: Path) -> None:
    for text, words in (("title = 'x'", "holds title"), ("[wanted", "not readable"), ("", "no \\[wanted\\]")):
        (tmp_path / "w.toml").write_text(text, encoding="utf-8")
        with pytest.raises(DocumentError, match=words):
            read_with_wishes(MERROW, tmp_path / "w.toml")
    with pytest.raises(DocumentError, match="is missing"):
        read_with_wishes(OSTREL)
    with pytest.raises(DocumentError, match="cannot be read"):
        read_with_wishes(MERROW, tmp_path / "none.toml")


def test_wishes_take_changes_and_units() -> None:
    source = read_with_wishes(MERROW, WANTED, {"wanted.over_centre": ["0.1 in", 7], "wanted.trunnion": [840, 682]})
    wanted = source.study.wanted
    assert wanted is not None
    assert wanted.over_centre == pytest.approx((2.54, 7))
    assert wanted.trunnion is not None
    assert set(wanted.trunnion.corners) == {840 + 682j}


def test_a_trunnion_that_stays_is_judged_by_its_tolerance() -> None:
    for wl, fine in ((682.0, True), (684.0, True), (690.0, False)):
        study = wished({"wanted.trunnion": [840, wl]})
        if fine:
            check_wishes(study, demo()[1])
        else:
            with pytest.raises(DocumentError, match="bisector"):
                check_wishes(study, demo()[1])


HOOK = Region(outline=((0, 0), (100, 0), (100, 20), (20, 20), (20, 100), (0, 100)))


def test_a_region_is_sampled_evenly() -> None:
    rng = np.random.default_rng(3)
    points = spread(HOOK, rng.random(20000), rng.random(20000))
    assert inside(HOOK, points).all()
    foot = np.mean(points.imag <= 20)
    assert foot == pytest.approx(2000 / shape_of(HOOK).area, abs=0.015)
    assert not inside(HOOK, np.array([50 + 50j])).any()


def test_a_line_over_a_region() -> None:
    box = Region(fs=(0, 10), wl=(0, 20))
    low, high = along_line(box, np.array([5 - 5j, 50 + 0j, 0 + 10j]), np.array([1j, 1j, 1 + 0j]))
    assert low[[0, 2]] == pytest.approx([5, 0])
    assert high[[0, 2]] == pytest.approx([25, 10])
    assert np.isnan(low[1])


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"gear.lock_link": {"root": [1000, 700], "upper_link": 60, "over_centre": 2}}, "gear.lock_link"),
        ({"gear.actuator.pin": [900, 520]}, "gear.actuator.pin"),
    ],
)
def test_what_a_search_does_not_move(changes: dict[str, Any], field: str) -> None:
    assert field in faults(changes)


def test_a_drawn_brace_is_asked_for_its_lengths() -> None:
    study, items = demo()
    drawn = study.gear.brace.model_copy(update={"knee": (942.9, 516.0), "upper_link": None})
    with pytest.raises(DocumentError, match="works with lengths"):
        check_wishes(study.model_copy(update={"gear": study.gear.model_copy(update={"brace": drawn})}), items)
