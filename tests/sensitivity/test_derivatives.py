"""Every derivative against the whole chain solved again: all dimensions of a study moved together at random, so that
an error of any one of them shows, and cannot hide behind another for two ways at once."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from linkage.clearance import Gap
from linkage.document.study import Study
from linkage.sensitivity import Dimension, Sensitivity, sensitivity
from linkage.solution import Solution
from tests.sensitivity.differences import STEP, along, measured
from tests.studies import MERROW, OSTREL, derivatives, solution
from tests.topologies import STARTER, VARIANTS, solved

AGREE = 1e-8
"""Of the sum of what all dimensions do, each by itself."""


@cache
def found(which: Path | str) -> tuple[Solution, Sensitivity]:
    if isinstance(which, Path):
        return solution(which), derivatives(which)
    return solved(which), sensitivity(solved(which))


def ways(s: Sensitivity, seed: int) -> dict[Dimension, float]:
    """All dimensions that move something; those that tie somewhere, and limits that stand at nought, stay."""
    kinks = {row.dimension.name for line in s.lines for row in line.rows if row.kink}
    moves = {row.dimension.name for line in s.lines for row in line.rows} - kinks
    rng = np.random.default_rng(seed)
    dims = [d for d in s.dimensions if d.name in moves and not (d.kind == "mass" and d.value == 0)]
    sizes = rng.choice([-1.0, 1.0], len(dims)) * rng.uniform(0.5, 1.0, len(dims))
    return {d: float(size) * STEP[d.kind] for d, size in zip(dims, sizes, strict=True)}


def pairs(made: Solution) -> list[tuple[str, Gap]]:
    clear = made.results.clearance
    own = [("self gap", min(clear.own, key=lambda g: g.upper))] if clear.own else []
    return [*((f"gap to {g.item}", g) for g in clear.per_item()), *own]


def agrees(which: Path | str, seed: int, folder: Path, gaps: bool) -> set[str]:
    """Names of the results that were compared."""
    made, s = found(which)
    way = ways(s, seed)
    known = pairs(made) if gaps else []

    def ask(study: Study) -> dict[str, float]:
        return measured(study, folder, known)

    slopes = along(made.results.study, way, ask)
    compared = set()
    for line in s.lines:
        if line.name not in slopes or not line.rows:
            continue
        parts = [row.derivative / row.dimension.factor * way.get(row.dimension, 0.0) for row in line.rows]
        size = sum(abs(p) for p in parts)
        assert sum(parts) == pytest.approx(slopes[line.name], abs=AGREE * size), line.name
        compared.add(line.name)
    return compared


@pytest.mark.parametrize("study", [MERROW, OSTREL], ids=["merrow", "ostrel"])
@pytest.mark.parametrize("seed", [1, 2])
def test_studies(study: Path, seed: int) -> None:
    compared = agrees(study, seed, study.parent, gaps=False)
    assert len(compared) == 29


@pytest.mark.parametrize("study", [MERROW, OSTREL], ids=["merrow", "ostrel"])
def test_gaps_of_studies(study: Path) -> None:
    compared = agrees(study, 3, study.parent, gaps=True)
    assert {name for name, _ in pairs(found(study)[0])} <= compared


@pytest.mark.parametrize("name", VARIANTS)
def test_topologies(name: str) -> None:
    compared = agrees(name, 4, STARTER.parent, gaps=False)
    knee = {"over_centre_mm", "over_centre_deg", "dead_centre_overswing_deg", "knee_stop_force_aft_n"}
    assert len(compared) >= 25
    assert knee <= compared or not found(name)[0].results.gear.brace.has_knee
    assert ("lock_link_over_centre_mm" in compared) == (name == "lock links")


@pytest.mark.parametrize("which", [MERROW, OSTREL, *VARIANTS], ids=str)
def test_values_are_those_of_the_headline(which: Path | str) -> None:
    from linkage.report.headline import headline

    made, s = found(which)
    known = headline(made.results)
    shared = [line for line in s.lines if line.name in known]
    assert len(shared) >= 25
    for line in shared:
        assert line.value == pytest.approx(known[line.name], rel=1e-12, abs=1e-11), line.name
    for gap in made.results.clearance.per_item():  # the true gap lies between the bounds
        value = s.line(f"gap to {gap.item}").value
        assert gap.gap - 1e-9 <= value <= gap.upper + 1e-9
