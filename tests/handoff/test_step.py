"""STEP, read back by the CAD library: valid, named, coloured, right unit, right volume."""

from __future__ import annotations

import hashlib
import math
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely.geometry import MultiPolygon, Point, box

pytest.importorskip("OCP")

from linkage.handoff import brep, readers
from linkage.handoff.fitted import fitted_web
from linkage.handoff.model import NamedSolid, Slab
from linkage.handoff.stack import stacked
from linkage.handoff.step import product_names, step_bytes
from tests.handoff.samples import handoff, provenance, realistic

TOLERANCE = 0.05


def written(tmp_path: Path, *solids: NamedSolid, unit: str = "mm") -> tuple[str, list[readers.Body]]:
    path = tmp_path / "a.step"
    path.write_bytes(step_bytes(solids, provenance("in" if unit == "in" else "mm"), TOLERANCE))
    return readers.read_step(path)


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_a_drilled_block_has_its_closed_form_volume(tmp_path: Path, unit: str) -> None:
    block = box(100, 50, 400, 150) - Point(250, 100).buffer(30, quad_segs=200)
    found, (body,) = written(tmp_path, NamedSolid("block", (1, 2, 3), (Slab(-10, 25, block),)), unit=unit)
    exact = 35 * (300 * 100 - math.pi * 30**2)
    assert found == unit
    assert body.sound
    assert exact < body.volume_mm3 < exact + 35 * 2 * TOLERANCE * (800 + 60 * math.pi)
    # x = FS, y = BL, z = WL
    assert body.bounds_mm == pytest.approx((100, -10, 50, 400, 25, 150), abs=TOLERANCE)
    assert body.bounds_mm[1] == pytest.approx(-10, abs=1e-9)


def test_a_realistic_keep_out_is_one_small_valid_solid(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    solid = NamedSolid("keep-out", (213, 94, 0), realistic(12))
    _, (body,) = written(tmp_path, solid)
    slabs = stacked(solid)
    web = fitted_web(slabs, TOLERANCE)
    assert web is not None
    exact = sum(p.area * (s.bl_hi - s.bl_lo) for k, s in enumerate(slabs) for p in web.slab(k))
    assert body.sound
    assert body.volume_mm3 == pytest.approx(exact, rel=1e-9)
    assert body.colour == (213, 94, 0)
    assert (tmp_path / "a.step").stat().st_size < 1_000_000
    assert len(brep.solids_in(brep.body_of(solid, TOLERANCE))) == 1
    out, err = capfd.readouterr()
    assert (out, err) == ("", "")


def test_what_cannot_be_one_body_stays_separate_and_true(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    solid = handoff().keep_out
    _, (whole,) = written(tmp_path, solid)
    monkeypatch.setattr(brep, "fitted_web", lambda slabs, tolerance: None)
    _, (apart,) = written(tmp_path, solid)
    assert len(brep.solids_in(brep.body_of(solid, TOLERANCE))) == len(stacked(solid)) > 1
    assert apart.sound and apart.colour == solid.colour and apart.name == "keep-out"
    assert apart.volume_mm3 == pytest.approx(whole.volume_mm3, rel=1e-4)


@pytest.mark.parametrize(
    "region",
    [
        MultiPolygon([box(0, 0, 10, 10), box(20, 0, 30, 10)]),
        MultiPolygon([box(0, 0, 10, 10), box(10, 10, 20, 20)]),
        box(0, 0, 50, 50) - box(10, 10, 20, 20) - box(30, 30, 40, 40),
    ],
    ids=["two parts", "corners touch", "two holes"],
)
def test_regions_of_several_rings(tmp_path: Path, region: shapely.Geometry) -> None:
    slabs = (Slab(0, 5, region), Slab(5, 9, region.buffer(0.02)), Slab(9, 12, box(2, 2, 8, 8)))
    _, (body,) = written(tmp_path, NamedSolid("a", (9, 9, 9), slabs))
    least = sum(s.region.area * (s.bl_hi - s.bl_lo) for s in slabs)
    assert body.sound
    assert least < body.volume_mm3 < least * 1.05


def test_a_closed_pocket_stays_a_pocket(tmp_path: Path) -> None:
    ring = box(0, 0, 50, 50) - box(10, 10, 40, 40)
    slabs = (Slab(0, 5, box(0, 0, 50, 50)), Slab(5, 9, ring), Slab(9, 12, box(0, 0, 50, 50)))
    _, (body,) = written(tmp_path, NamedSolid("a", (9, 9, 9), slabs))
    assert body.sound and body.colour == (9, 9, 9)
    assert body.volume_mm3 == pytest.approx(2500 * 12 - 900 * 4, rel=0.01)


def test_a_messy_stack_is_still_valid_when_read_back(tmp_path: Path) -> None:
    random = np.random.default_rng(5)
    blobs = [
        Point(*random.uniform(-200, 200, 2)).buffer(float(random.uniform(60, 150)), quad_segs=24) for _ in range(4)
    ]
    slabs = []
    for k in range(4):
        grown = [blob.buffer(float(random.choice([0.0, 0.01, 0.03, 2.0]))) for blob in blobs if random.uniform() < 0.8]
        slabs.append(Slab(10.0 * k, 10.0 * k + 10, shapely.union_all(grown or blobs)))
    _, (body,) = written(tmp_path, NamedSolid("a", (1, 2, 3), tuple(slabs)))
    least = sum(s.region.area * 10 for s in slabs)
    assert body.sound and least < body.volume_mm3 < 1.01 * least


def test_awkward_names_come_back(tmp_path: Path) -> None:
    names = ["é", "\"two\" 'three'", "=cmd|x", "a\\b", "Ω 車", "é", "x" * 400, "x" * 401, "SOLID-0000-NAME; #7"]
    slabs = (Slab(0, 1, box(0, 0, 1, 1)),)
    solids = [NamedSolid(n, (k, 2 * k, 3 * k), slabs) for k, n in enumerate(names)]
    _, bodies = written(tmp_path, *solids)
    assert [b.name for b in bodies] == product_names(solids)
    assert [b.colour for b in bodies] == [s.colour for s in solids]
    assert product_names(solids)[:6] == [*names[:5], "é (2)"]


def test_bytes_are_the_same_in_another_process() -> None:
    code = (
        "import hashlib; from linkage.handoff.step import step_bytes; from tests.handoff.samples import handoff;"
        "h = handoff(); print(hashlib.sha256(step_bytes(h.solids, h.provenance)).hexdigest())"
    )
    there = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.strip()
    here = handoff()
    for _ in range(2):
        assert hashlib.sha256(step_bytes(here.solids, here.provenance)).hexdigest() == there
