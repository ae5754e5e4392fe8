"""A lock with everything it needs, for a study with some values changed."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from linkage.document.study import Study
from linkage.gear import Gear
from linkage.loads import GroundLoads
from linkage.lock import Lock, lock
from linkage.stroke import Stroke
from tests.loads.bench import Case
from tests.studies import MERROW, changed
from tests.topologies import study as variant


class Bench:
    def __init__(self, study: Study) -> None:
        case = Case(study)
        self.study = study
        self.gear: Gear = case.gear
        self.stroke: Stroke = case.stroke
        self.loads: GroundLoads = case.loads()
        self.lock: Lock = lock(study, self.gear, self.stroke, self.loads)


def bench(changes: dict[str, Any] | None = None, path: Path = MERROW) -> Bench:
    return Bench(changed(changes, path)) if changes else filed(path)


@cache
def filed(path: Path = MERROW) -> Bench:
    return Bench(changed({}, path))


@cache
def topology(name: str) -> Bench:
    return Bench(variant(name))
