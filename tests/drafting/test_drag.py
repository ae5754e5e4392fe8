"""What a moved pin does to the document: the pin arrives, what is kept is kept, nothing else changes."""

from __future__ import annotations

from pathlib import Path

import pytest

from linkage.document.variants import varied
from linkage.drafting.draft import Grip, begin, dragged
from linkage.drafting.drag import Keep, moved
from linkage.drafting.handles import handles, seen_place
from linkage.drafting.steps import Snap
from linkage.errors import LinkageError, MechanismError
from linkage.gear import build
from tests.drafting.files import TOPOLOGIES, write_study
from tests.studies import MERROW, OSTREL

TINY = 1e-6
AWAY = 1.5 - 1.1j


@pytest.mark.parametrize("name", TOPOLOGIES)
def test_a_pin_that_does_not_move_changes_nothing(name: str, tmp_path: Path) -> None:
    draft = begin(write_study(tmp_path, name))
    for h in draft.handles:
        for keep in Keep:
            assert moved(draft.study, draft.gear, h.name, h.at, keep) == {}


@pytest.mark.parametrize("name", TOPOLOGIES)
def test_keeping_places_moves_one_pin_and_no_other(name: str, tmp_path: Path) -> None:
    draft = begin(write_study(tmp_path, name))
    before = {h.name: h.at for h in draft.handles}
    for h in draft.handles:
        new = varied(draft.study, moved(draft.study, draft.gear, h.name, h.at + AWAY, Keep.PLACES))
        after = {g.name: g.at for g in handles(new, build(new))}
        assert after.keys() == before.keys()
        for other, place in after.items():
            assert abs(place - before[other] - (AWAY if other == h.name else 0)) < TINY, (h.name, other)


@pytest.mark.parametrize("snap", list(Snap))
@pytest.mark.parametrize("path", [MERROW, OSTREL], ids=["mm", "in"])
def test_keeping_places_keeps_them_when_the_moved_pin_snaps(path: Path, snap: Snap) -> None:
    """Up to the rounding of the numbers that follow, of which an arm of the leg makes some more."""
    draft = begin(path)
    before = {h.name: h.at for h in draft.handles}
    for h in draft.handles:
        new = dragged(draft, h.name, h.at + 4.2 - 3.1j, Keep.PLACES, snap)
        for g in new.handles:
            assert g.name == h.name or abs(g.at - before[g.name]) < 0.15, (h.name, g.name)


@pytest.mark.parametrize("name", TOPOLOGIES)
def test_keeping_lengths_keeps_the_links(name: str, tmp_path: Path) -> None:
    draft = begin(write_study(tmp_path, name))
    old = draft.gear
    for h in draft.handles:
        new = varied(draft.study, moved(draft.study, old, h.name, h.at + AWAY, Keep.LENGTHS))
        gear = build(new)
        if old.brace.has_knee:
            assert gear.brace.upper_link == pytest.approx(old.brace.upper_link, abs=TINY)
            assert gear.brace.lower_link == pytest.approx(old.brace.lower_link, abs=TINY)
        elif h.name != "knee":
            assert gear.brace.span == pytest.approx(old.brace.span, abs=TINY)
        if old.lock_link is not None and gear.lock_link is not None:
            assert gear.lock_link.upper_link == pytest.approx(old.lock_link.upper_link, abs=TINY)
        there = next(g for g in handles(new, gear) if g.name == h.name)
        if h.name not in ("knee", "lock knee", "lug") and (h.fixed or h.body == "leg"):
            assert abs(there.at - h.at - AWAY) < TINY, h.name


def test_what_is_drawn_on_a_link_goes_with_the_link(tmp_path: Path) -> None:
    draft = begin(write_study(tmp_path, "as drawn"))
    old = draft.gear
    new = build(varied(draft.study, moved(draft.study, old, "upper pin", 1143 + 552j, Keep.LENGTHS)))
    for pin in ("upper pin", "knee"):
        before = abs(old.pins["actuator pin"].at - old.pins[pin].at)
        assert abs(new.pins["actuator pin"].at - new.pins[pin].at) == pytest.approx(before, abs=TINY)
    assert new.brace.over_centre == pytest.approx(old.brace.over_centre, abs=TINY)


def test_the_knee_slides_on_the_circle_of_its_link() -> None:
    draft = begin(MERROW)
    knee, upper = draft.gear.pins["knee"].at, draft.gear.pins["upper pin"].at
    new = dragged(draft, "knee", knee + 2.0j, Keep.LENGTHS)
    assert set(new.state.edits) == {"gear.brace.over_centre"}
    assert abs(new.gear.pins["knee"].at - upper) == pytest.approx(200.0, abs=TINY)
    wanted = upper + 200 * (knee + 2j - upper) / abs(knee + 2j - upper)
    assert abs(new.gear.pins["knee"].at - wanted) < 0.01


@pytest.mark.parametrize("path", [MERROW, OSTREL], ids=["mm", "in"])
def test_a_pin_taken_half_way_up_is_put_where_it_is_dropped(path: Path) -> None:
    draft = begin(path)
    handle = next(h for h in draft.handles if h.name == "actuator pin")
    driven = 1.1
    seen = seen_place(draft.gear, handle, driven)
    new = dragged(draft, "actuator pin", seen + 6 + 4j, Keep.LENGTHS, driven=driven)
    after = seen_place(new.gear, next(h for h in new.handles if h.name == "actuator pin"), driven)
    assert abs(after - seen - 6 - 4j) < 0.05


def test_snapping_is_to_whole_steps_of_the_study_s_own_units() -> None:
    draft = begin(OSTREL)
    upper = draft.gear.pins["upper pin"].at
    step = Grip(draft, "upper pin").edits(upper + 1.9 - 1.4j, Keep.LENGTHS, Snap.STEP)
    assert step == {"gear.brace.upper_pin[0]": 34.05, "gear.brace.upper_pin[1]": 23.95}
    grid = Grip(draft, "upper pin").edits(upper + 8 - 2j, Keep.LENGTHS, Snap.GRID)
    assert grid == {"gear.brace.upper_pin[0]": 34.5}
    fine = Grip(draft, "lug").edits(draft.gear.pins["lug"].at + 1 + 1j, Keep.PLACES, Snap.OFF)
    assert all(round(float(v), 3) == v for v in fine.values())


def test_a_pin_on_another_pin_has_no_handle(tmp_path: Path) -> None:
    draft = begin(write_study(tmp_path, "as drawn"))
    assert "lock pin" not in {h.name for h in draft.handles}
    new = dragged(draft, "knee", draft.gear.pins["knee"].at + 1.0, Keep.PLACES)
    assert new.gear.pins["lock pin"].at == new.gear.pins["knee"].at


def test_links_that_cannot_close_say_by_how_much() -> None:
    draft = begin(MERROW)
    with pytest.raises(MechanismError, match=r"cannot close .* mm"):
        dragged(draft, "upper pin", 1800 + 550j, Keep.LENGTHS)
    with pytest.raises(MechanismError, match=r"misses the lug by \d+\.\d mm"):
        dragged(draft, "knee", 1340 + 550j, Keep.LENGTHS)
    with pytest.raises(LinkageError):
        dragged(draft, "trunnion", 3000 + 682j, Keep.PLACES)
