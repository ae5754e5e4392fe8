"""What moves the results, as the review shows it: in results.json, on the page, in the pack, the same numbers."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pytest

from linkage.report.headline import full, headline
from linkage.report.moves import COLUMNS, TITLE, moves, rows, section
from linkage.report.pack.sections import moved as pack_section
from linkage.report.page import page
from linkage.report.writing import json_text
from linkage.sensitivity import WORST, Line
from tests.studies import MERROW, OSTREL, changed, solution


@cache
def moved(path: Path) -> tuple[Line, ...]:
    return moves(solution(path))


@pytest.mark.parametrize("path", [MERROW, OSTREL], ids=lambda p: p.parent.name)
def test_results_of_the_headline_and_the_tightest_gap(path: Path) -> None:
    made = json.loads(json_text(full(solution(path), {"sensitivity": section(moved(path))})))
    found = made["sensitivity"]
    gaps = [name for name in found if name.startswith("gap to ")]
    assert gaps == [f"gap to {made['headline']['least_margin_item']}"]
    assert found[gaps[0]]["bounds"][0]["margin"] == pytest.approx(made["headline"]["least_margin_mm"], abs=0.06)
    same = [name for name in found if name in made["headline"]]
    assert len(same) > 20
    for name in same:
        assert found[name]["value"] == pytest.approx(made["headline"][name], rel=1e-9)
        assert 1 <= len(found[name]["dimensions"]) <= WORST or found[name]["tie"]
    others = {"wheel_up_fs_mm", "wheel_up_wl_mm", "cg_min_up_fs_mm", "cg_max_up_fs_mm"}
    assert set(found) - set(same) - set(gaps) == others


def test_a_derivative_is_what_a_small_change_does() -> None:
    """Trail by the steered axle's offset, by solving the study anew."""
    from linkage.document.reader import Source
    from linkage.solution import solve

    entry = next(x for x in section(moved(MERROW))["trail_mm"]["dimensions"] if x["name"] == "gear.leg.axle_offset")
    step, base = 0.01, solution(MERROW)
    study = changed({"gear.leg.axle_offset": base.results.study.gear.leg.axle_offset + step})
    after = headline(solve(Source(MERROW, "0" * 64, "", study), closely=False).results)["trail_mm"]
    assert (after - headline(base.results)["trail_mm"]) / step == pytest.approx(entry["derivative"], rel=1e-3)


def test_page_and_pack_show_the_same() -> None:
    told = list(rows(moved(MERROW)))
    assert len({cells[0] for cells, _ in told}) == len(moved(MERROW))
    html = page(solution(MERROW), "<svg></svg>", (), (), moved(MERROW))
    assert TITLE in html
    assert TITLE not in page(solution(MERROW), "<svg></svg>", ())
    table = list(pack_section(moved(MERROW)))[-1]
    assert tuple(table["columns"]) == COLUMNS
    assert len(table["rows"]) == len(told)
    for (result, dimension, slope, *_), row in zip([cells for cells, _ in told], table["rows"], strict=True):
        assert f"<td>{dimension}</td><td>{slope}</td>" in html
        assert (row[1].replace("\u200b", ""), row[2]) == (dimension, slope)
        assert row[0] == "" or row[0].replace("\u200b", "")[:20] == result[:20]


def test_a_tolerance_that_is_too_wide_is_set_off() -> None:
    from linkage.document.reader import Source
    from linkage.solution import solve

    study = changed({"tolerances.pin_position": 30})
    wide = moves(solve(Source(MERROW, "0" * 64, "", study), closely=False))
    table = list(pack_section(wide))[-1]
    assert any(table["marked"]) and not all(table["marked"])
    used = [row[5] for row, mark in zip(table["rows"], table["marked"], strict=True) if mark]
    assert all(text.endswith("too wide") for text in used)
