"""Load tables as a structures engineer reads them: from the files, with a sum of his own."""

from __future__ import annotations

import csv
import io
import json
from collections import defaultdict
from dataclasses import replace

import numpy as np
import pytest

from linkage.report.headline import full
from linkage.report.load_tables import conditions_csv, interface_csv
from tests.loads.bench import case
from tests.studies import MERROW, OSTREL, solution

FORCE = ("force_fs_aft_n", "force_bl_right_n", "force_wl_up_n")
COUPLE = ("couple_fs_nmm", "couple_bl_nmm", "couple_wl_nmm")
PLACE = ("fs_mm", "bl_mm", "wl_mm")


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def vector(row: dict[str, str], names: tuple[str, ...]) -> np.ndarray:
    return np.array([float(row[n]) for n in names])


@pytest.mark.parametrize("path", [MERROW, OSTREL], ids=["merrow", "ostrel"])
def test_interface_file_adds_up_to_the_wheel_loads(path: object) -> None:
    """Forces and moments about an arbitrary point, read back from the file, within what four decimals leave."""
    about = np.array([123.0, -45.0, 678.0])
    blocks: dict[tuple[str, ...], dict[str, list[np.ndarray]]] = defaultdict(lambda: {"gear": [], "airframe": []})
    for row in rows(interface_csv(solution(path).results)):  # type: ignore[arg-type]
        key = (row["condition"], row["level"], row["strut_compression_mm"], row["loading"])
        force = vector(row, FORCE)
        moment = np.cross(vector(row, PLACE) - about, force) + vector(row, COUPLE)
        blocks[key][row["acts_on"]].append(np.array([*force, *moment]))
    assert len(blocks) >= 14
    for key, block in blocks.items():
        into, out = (np.sum(block[side], axis=0) for side in ("gear", "airframe"))
        assert out[:3] == pytest.approx(into[:3], abs=1e-3), key
        assert out[3:] == pytest.approx(into[3:], abs=3.0), key


def test_ultimate_rows_are_the_limit_rows_times_the_safety_factor() -> None:
    for text, numbers in (
        (interface_csv(solution().results), FORCE + COUPLE),
        (conditions_csv(solution().results), ("brace_compression_n", "knee_stop_n", "leg_bending_greatest_nmm")),
    ):
        found = rows(text)
        limit, ultimate = ([r for r in found if r["level"] == level] for level in ("limit", "ultimate"))
        assert len(limit) == len(ultimate) == len(found) / 2
        for a, b in zip(limit, ultimate, strict=True):
            assert a["condition"] == b["condition"]
            assert vector(b, numbers) == pytest.approx(1.5 * vector(a, numbers), abs=2e-4)


def test_results_name_level_and_loading_of_every_load() -> None:
    table = json.loads(json.dumps(full(solution()), allow_nan=False))
    assert table["ground_conditions"]["safety_factor"] == 1.5
    for row in table["ground_conditions"]["conditions"]:
        assert row["level"] in ("limit", "ultimate")
        assert row["closure_relative"] < 1e-9
        assert row["loading_kg"] and row["mass_kg"] > 0
        assert row["nose_vertical_n"] <= row["nose_vertical_proved_at_most_n"]
        assert row["knee"] == ("pressed on its stop" if row["knee_stop_n"] > 0 else "pulled off its stop")
    assert {"drag brace", "leg", "trunnion left", "upper pin"} <= {row["part"] for row in table["governing_loads"]}
    assert all("ultimate_n" in row or "ultimate_nmm" in row for row in table["governing_loads"])
    assert table["brace_buckling"][0]["margin"] > 0
    points = {p["point"] for p in table["interface_loads"][0]["on_airframe"]}
    assert points == {"trunnion left", "trunnion right", "upper pin", "actuator root"}


def test_names_of_conditions_cannot_run_in_a_spreadsheet() -> None:
    item = {"name": "=1+1", "rule": "@x", "basis": "static", "factor": 1}
    loads = case({"conditions": {"set": "none", "item": [item]}}).loads()
    r = replace(solution().results, loads=loads)
    for row in rows(interface_csv(r)) + rows(conditions_csv(r)):
        assert row["condition"] == "'=1+1" and row["rule"] == "'@x"
