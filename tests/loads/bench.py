"""Ground loads of a study with some values changed, and a load path of bare numbers."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from linkage.document.study import Study
from linkage.gear import Gear
from linkage.loading import LoadModel, ground_range
from linkage.loading.entry import load_model
from linkage.loads import GroundLoads, PointLoad, ground_loads
from linkage.loads.statics import LoadPath
from linkage.stance import Ground, grounds
from linkage.stroke import Stroke, gear_and_stroke
from tests.studies import MERROW, changed


class Case:
    """A study as the loads take it."""

    def __init__(self, study: Study) -> None:
        self.study = study
        self.gear: Gear
        self.stroke: Stroke
        self.gear, self.stroke = gear_and_stroke(study)
        self.grounds: tuple[Ground, ...] = grounds(study, self.gear)
        self.model: LoadModel = load_model(study)
        self.nose_load = ground_range(self.model, self.grounds[0].stance).nose_load_max.value

    def loads(self) -> GroundLoads:
        return ground_loads(self.study, self.gear, self.stroke, self.grounds, self.model, self.nose_load)


def case(changes: dict[str, Any] | None = None, path: Path = MERROW) -> Case:
    return Case(changed(changes, path)) if changes else _filed(path)


@cache
def _filed(path: Path) -> Case:
    return Case(changed({}, path))


def path_of(
    trunnion: complex,
    lug: complex,
    root: complex,
    brace_bl: float = 0.0,
    bearings: tuple[float, float] | None = None,
    thrust_bearing: str = "pushed",
) -> LoadPath:
    line = (lug - root) / abs(lug - root)
    return LoadPath(trunnion, lug, line, brace_bl, (("upper pin", root, -line),), None, bearings, thrust_bearing)


def load(at: tuple[float, float, float], force: tuple[float, float, float]) -> PointLoad:
    return PointLoad("load", np.array(at), np.array(force), np.zeros(3))
