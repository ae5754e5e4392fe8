"""Many gears as made, from the tolerance study and by the full chain of each: ``python -m tests.tolerance.compare``.

Each gear is written as a study of its own, solved, its states built anew and every gap proved, which takes seconds; so
the test suite has a few of them only. Prints how far the values lie above those proved, which are lower bounds.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np

from linkage.tolerance import Setting
from linkage.tolerance.followed import GAP, SELF_GAP, STATE
from linkage.tolerance.model import Deviations
from linkage.tolerance.results import judge
from tests.studies import MERROW, OSTREL
from tests.tolerance.bench import merrow
from tests.tolerance.chain import full_gaps
from tests.tolerance.test_states import doors, ends_and_between, inches, loose_axle

STUDIES: dict[str, tuple[Callable[[], Setting], Path]] = {
    "Merrow M2R": (merrow, MERROW),
    "Merrow M2R, loose axle, further states": (loose_axle, MERROW),
    "Merrow M2R, a door that stays open": (doors, MERROW),
    "Ostrel 140, further states": (inches, OSTREL),
}


def above(base: Setting, by: Deviations, folder: Path) -> dict[str, list[float]]:
    """By result, how far the value of each gear lies above the proved one, mm."""
    values = judge(base, by).values
    found: dict[str, list[float]] = {}
    for i in range(by.count):
        for name, gap in full_gaps(base, by.part([i]), folder).items():
            found.setdefault(name, []).append(float(values[name][i]) - gap)
    return found


def kind(base: Setting, name: str) -> str:
    if name == SELF_GAP:
        return "the gear to itself"
    if name.startswith(GAP):
        return "bay items"
    plays = [s.name for s in base.plan.study.state if s.play == "taken up"]
    return "states with play" if any(name.startswith(STATE + p) for p in plays) else "states without play"


def main(count: int) -> None:
    for study, (made, path) in STUDIES.items():
        base = made()
        kinds: dict[str, list[float]] = {}
        for name, values in above(base, ends_and_between(base, count), path.parent).items():
            kinds.setdefault(kind(base, name), []).extend(values)
            if min(values) < -0.005 or max(values) > 0.05:
                print(f"  {name}: {min(values):+.4f} to {max(values):+.4f}")
        for what, values in kinds.items():
            least, most, middle = min(values), max(values), float(np.mean(values))
            print(f"{study}, {count} gears, {what}: {least:+.4f} to {most:+.4f}, mean {middle:+.4f}", flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
