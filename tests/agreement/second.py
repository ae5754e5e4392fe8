"""Every comparison with a second engine, filed: ``python -m tests.agreement.second`` writes docs/second_engines.json.

With names (physics, lagrange, sampling, loadings) only those are run again. The page docs/validation.md
prints the file; tests/agreement/test_second_engines.py repeats a part of it.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from importlib.metadata import version
from typing import Any

from tests.agreement import by_lagrange, by_loadings, by_physics, by_sampling
from tests.agreement.figures import Figure
from tests.agreement.random_gears import BASES, SEED, SPREAD
from tests.studies import ROOT

FILED = ROOT / "docs" / "second_engines.json"

Compare = Callable[[int], tuple[Figure, ...]]
RUNS: dict[str, tuple[Compare, int, int]] = {
    "physics": (by_physics.compare, 36, 6),
    "lagrange": (by_lagrange.compare, 6, 1),
    "sampling": (by_sampling.compare, 24, 1),
    "loadings": (by_loadings.compare, 120, 15),
}
"""Comparison, how many cases are filed, and how many of them a test repeats."""
NOTES = (
    f"Random gears: every pin and length of {len(BASES)} gears (both studies and every topology: "
    + ", ".join(name for name, _ in BASES)
    + f") moved by up to {SPREAD:g} mm, angles by up to 5 deg, the over-centre offset by up to 60 %; masses, centres"
    " and inertias of all bodies made up. Each gear has a generator of its own from (seed, number).",
    "The physics engine gives kinematics, Jacobians with their change in time, mass matrix and bias forces; its loops"
    " are closed by Newton on the gap of two sites, three linear equations a loop and drive give the forces; with those"
    " applied and the loops removed its forward dynamics must return the accelerations and its sensors the other pins."
    " Forces are compared where the drive is not within a twentieth of its largest travel rate of a dead point.",
    "Lagrange's engine is given pose, rates and our drive force, and returns accelerations and closing forces.",
    "A sampled pose or loading can only show that a guarantee is broken, so the bound of those rows is 0 (or rounding);"
    " the rows beside them say how much the guarantee gives away.",
)


def measured(name: str) -> dict[str, Any]:
    """One comparison in full, with the day and the version."""
    compare, many, _ = RUNS[name]
    figures = compare(many)
    for figure in figures:
        if not figure.largest <= figure.bound:
            print(f"{name}: {figure.quantity}: {figure.largest} is over {figure.bound}", file=sys.stderr)
    day = datetime.now(UTC).strftime("%Y-%m-%d")
    return {"date": day, "version": version("noseleg"), "rows": [figure.row() for figure in figures]}


def main(names: Sequence[str]) -> None:
    known = json.loads(FILED.read_text(encoding="utf-8"))["runs"] if names else {}
    runs = known | {name: measured(name) for name in names or RUNS}
    filed = {"command": "python -m tests.agreement.second", "seed": SEED, "runs": runs, "notes": list(NOTES)}
    FILED.write_text(json.dumps(filed, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
