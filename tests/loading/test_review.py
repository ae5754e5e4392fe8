"""Burn paths of the worst cases, and the map of two items, from the document."""

from __future__ import annotations

import numpy as np
import pytest

from linkage.gear import build
from linkage.loading import load_share
from linkage.loading.entry import load_model
from linkage.loading.review import LoadReview, load_review
from linkage.stance import grounds
from tests.studies import changed


def review(changes=None) -> LoadReview:
    study = changed(changes or {})
    stance = grounds(study, build(study))[0].stance
    return load_review(study, load_share(load_model(study), stance, (0.15, 0.2)))


def test_each_worst_case_burns_down_to_its_least_fuel() -> None:
    found = review()
    assert [b.worst for b in found.burns] == ["least nose share", "greatest nose share", "greatest nose load"]
    for burn in found.burns:
        first, last = burn.path.cases[0], burn.path.cases[-1]
        assert first.mass_kg <= 750.0 + 1e-9
        assert first.kg("fuel") > last.kg("fuel") == 3.0
        assert first.kg("pilot") == last.kg("pilot")


def test_the_least_share_of_the_demo_gets_no_worse_while_fuel_burns() -> None:
    """The tank lies aft of the empty CG but ahead of that loading's: the CG creeps forward by less than 0.1 mm."""
    path = review().burns[0].path.cases
    assert 0.0 < path[0].fs_mm - path[-1].fs_mm < 0.1


def test_burn_order_is_the_document_s() -> None:
    tanks = {
        "loading.map": ["pilot", "passenger"],
        "loading.item[2]": {"name": "main tank", "kind": "fuel", "min": 3, "max": 40, "at": [2375, 720]},
        "loading.item[3]": {"name": "tip tank", "kind": "fuel", "min": 0, "max": 30, "at": [2300, 900]},
    }
    first = review({**tanks, "loading.burn_order": ["tip tank"]}).burns[-1].path.cases
    assert first[0].kg("tip tank") > 0.0 == first[1].kg("tip tank")
    second = review({**tanks, "loading.burn_order": ["main tank", "tip tank"]}).burns[-1].path.cases
    assert second[1].kg("main tank") == 3.0
    assert second[1].kg("tip tank") > 0.0


def test_map_only_where_two_items_are_named() -> None:
    assert review({"loading.map": ["passenger", "baggage"]}).map is not None
    study = changed({})
    bare = study.model_copy(update={"loading": study.loading.model_copy(update={"map": None})})
    stance = grounds(bare, build(bare))[0].stance
    assert load_review(bare, load_share(load_model(bare), stance, (0.15, 0.2))).map is None


def test_a_seat_that_may_be_empty_has_its_own_column() -> None:
    """No grid line is wasted on masses between 0 and the least passenger, and every pair of the demo is a loading."""
    chart = review({"loading.map": ["passenger", "baggage"]}).map
    assert chart is not None
    assert chart.a_kg[0] == 0.0
    assert chart.a_kg[1] == 40.0
    assert chart.possible.all()
    assert chart.share_ok[:, 0].all()  # alone, any baggage keeps the band
    assert not chart.share_ok[-1, -1]
    edge = chart.b_kg[np.argmin(chart.share_ok[:, -1])]
    assert edge == pytest.approx(33.0, abs=0.8)  # kg with a heavy passenger
