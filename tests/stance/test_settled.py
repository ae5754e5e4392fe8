"""Extremes on springs: the drawn stance as a limit, and no loading beyond the worst."""

from __future__ import annotations

import math

import numpy as np
import pytest

from linkage.gear import build
from linkage.loading import LoadModel, ground_range, turnover
from linkage.loading.entry import load_model
from linkage.loading.silhouette import silhouette
from linkage.stance import grounds, standing
from linkage.stance.settled import Settled, Shape, settled
from linkage.stance.suspension import suspension
from tests.stance.springs import SPRINGS, as_drawn
from tests.studies import changed

TAIL = {"airframe.tail": [5900, 620]}


def stand(entries, more=None):
    study = changed({"springs": entries, **TAIL, **(more or {})})
    gear = build(study)
    states, model = grounds(study, gear), load_model(study)
    return study, gear, states, model, standing(study, gear, states, model)


def test_springs_that_give_what_is_drawn_change_nothing() -> None:
    study, _, states, model, found = stand(as_drawn(56.0, 360.7 / 2 - 144.8))
    ground = ground_range(model, states[0].stance)
    worst = found.settled
    assert worst is not None
    assert worst.share_min.share == pytest.approx(ground.share_min.value, abs=1e-9)
    assert worst.share_max.share == pytest.approx(ground.share_max.value, abs=1e-9)
    assert worst.nose_load_max.nose_load == pytest.approx(ground.nose_load_max.value, abs=1e-5)
    assert worst.tip_back_min.tip_back == pytest.approx(ground.tip_back_min.value, abs=1e-9)
    over = turnover(model, states[0].stance, study.airframe.main_gear.track).value
    assert worst.turnover_max.turnover == pytest.approx(over, abs=1e-9)
    assert worst.propeller_min is not None
    assert worst.propeller_min.propeller == pytest.approx(found.clearance("static"), abs=1e-6)
    assert worst.tail_min is not None
    assert worst.tail_min.tail == pytest.approx(found.tail, abs=1e-9)


def random_loadings(model: LoadModel, count: int) -> np.ndarray:
    """Feasible loadings: mixtures of points of one silhouette path (one choice of what is aboard)."""
    random = np.random.default_rng(7)
    paths = np.concatenate([silhouette(model, axis, 2).masses for axis in (1 + 0j, 1j)])
    picked = []
    for _ in range(count):
        path = paths[random.integers(len(paths))]
        same = [p for p in paths if ((p > 0) == (path > 0)).all()]
        points = np.concatenate(same)
        picked.append(random.dirichlet(np.full(len(points), 0.2)) @ points)
    return np.array(picked)


def test_no_loading_is_beyond_the_worst() -> None:
    study, gear, _, model, found = stand(SPRINGS)
    springs, worst = suspension(study, gear), found.settled
    assert springs is not None
    assert worst is not None
    shape = Shape(study.airframe.main_gear.track, study.airframe.propeller, complex(*study.airframe.tail or (0, 0)))
    tried: list[Settled] = settled(model, springs, shape, random_loadings(model, 400))
    assert min(s.share for s in tried) >= worst.share_min.share - 1e-9
    assert max(s.share for s in tried) <= worst.share_max.share + 1e-9
    assert max(s.nose_load for s in tried) <= worst.nose_load_max.nose_load + 1e-5
    assert min(s.tip_back for s in tried) >= worst.tip_back_min.tip_back - 1e-9
    assert max(s.turnover for s in tried) <= worst.turnover_max.turnover + 1e-9
    assert worst.propeller_min is not None
    assert min(s.propeller or 0.0 for s in tried) >= (worst.propeller_min.propeller or 0.0) - 1e-6


def test_the_springs_matter() -> None:
    """Nose up under the aft loadings, the aircraft has less tip-back than as drawn."""
    _, _, _, model, found = stand(SPRINGS)
    drawn = ground_range(model, grounds_of())
    assert found.settled is not None
    assert found.settled.tip_back_min.tip_back < drawn.tip_back_min.value - math.radians(0.5)
    assert found.settled.share_min.pitch > 0


def grounds_of():
    study = changed({})
    return grounds(study, build(study))[0].stance


def test_no_springs_no_settled_stance() -> None:
    study = changed({})
    gear = build(study)
    assert standing(study, gear, grounds(study, gear), load_model(study)).settled is None
