"""What changed between two keep-outs."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from shapely.geometry import box

from linkage.handoff.against import compare, describe
from linkage.handoff.keepout_json import keep_out_text
from linkage.handoff.model import HandoffError, Slab
from tests.handoff.samples import handoff


def saved(path: Path, *slabs: Slab, allowance: float = 10.0) -> Path:
    whole = handoff(slabs=slabs)
    whole = replace(whole, zones=(), provenance=replace(whole.provenance, allowance_mm=allowance))
    path.write_text(keep_out_text(whole), encoding="utf-8")
    return path


def test_the_same_keep_out_has_not_changed(tmp_path: Path) -> None:
    slabs = handoff().keep_out.slabs
    change = compare(saved(tmp_path / "a", *slabs), saved(tmp_path / "b", *slabs))
    assert not change.any and change.grown_mm3 == change.shrunk_mm3 == change.deepest_growth_mm == 0
    assert describe(change) == ["keep-out unchanged"]


def test_growth_and_loss_are_placed_and_measured(tmp_path: Path) -> None:
    old = saved(tmp_path / "old", Slab(-10, 10, box(0, 0, 100, 50)))
    new = saved(tmp_path / "new", Slab(-10, 0, box(0, 0, 104, 50)), Slab(0, 10, box(30, 0, 100, 50)), allowance=12.0)
    change = compare(new, old)
    assert change.grown_mm3 == pytest.approx(4 * 50 * 10)
    assert change.shrunk_mm3 == pytest.approx(30 * 50 * 10)
    assert change.deepest_growth_mm == pytest.approx(4)
    assert [(s.bl_lo, s.bl_hi) for s in change.slabs] == [(-10, 0), (0, 10)]
    assert change.slabs[0].grown.bounds == (100, 0, 104, 50)
    assert change.slabs[1].shrunk.bounds == (0, 0, 30, 50)
    assert change.said == {"allowance_mm": (10.0, 12.0)}
    lines = describe(change)
    assert lines[0] == "allowance_mm: was 10.0, is 12.0"
    assert lines[3].startswith("shrunk 15.00 cm3: BL 0 to 10, FS 0.0 to 30.0")


def test_new_butt_lines_are_growth_without_limit(tmp_path: Path) -> None:
    old = saved(tmp_path / "old", Slab(0, 10, box(0, 0, 10, 10)))
    new = saved(tmp_path / "new", Slab(0, 12, box(0, 0, 10, 10)))
    change = compare(new, old)
    assert change.grown_mm3 == pytest.approx(200) and math.isinf(change.deepest_growth_mm)
    assert "grown where there was nothing" in describe(change)
    back = compare(old, new)
    assert back.shrunk_mm3 == pytest.approx(200) and back.deepest_growth_mm == 0


def test_rounding_is_no_change(tmp_path: Path) -> None:
    old = saved(tmp_path / "old", Slab(0, 10, box(0, 0, 10, 10)))
    new = saved(tmp_path / "new", Slab(0, 10, box(0, 0, 10.0004, 10)))
    assert not compare(new, old).any


def test_a_missing_file_is_said(tmp_path: Path) -> None:
    with pytest.raises(HandoffError, match="cannot be read"):
        compare(tmp_path / "a", tmp_path / "b")
