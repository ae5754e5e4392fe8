"""What a loading review shows beside the extremes: the weighing, how fuel burns off, and the map of two items."""

from __future__ import annotations

from dataclasses import dataclass

from linkage.document.study import Study
from linkage.loading.burn import BurnPath, burn_path, topped_up
from linkage.loading.combinations import BaggageMap, baggage_map
from linkage.loading.entry import weighed
from linkage.loading.share import LoadShare
from linkage.loading.weighing import Weighed

MAP_POINTS = 61


@dataclass(frozen=True)
class Burn:
    """Fuel burning off from the loading of one worst case, its tanks filled up first as far as the cap allows."""

    worst: str
    path: BurnPath


@dataclass(frozen=True)
class LoadReview:
    """``weighed``: from scale readings, None if the study gives the empty aircraft as numbers. ``burns``: one of each
    worst case, those that begin alike only once. ``map``: None unless the study names two items."""

    weighed: Weighed | None
    burns: tuple[Burn, ...]
    map: BaggageMap | None


def load_review(study: Study, share: LoadShare) -> LoadReview:
    """Everything of it. ``DocumentError`` on names that are no items."""
    cg, pair = study.airframe.cg_limits, study.loading.map
    chart = None
    if pair is not None:
        chart = baggage_map(share.model, *pair, share.stance, share.band, (cg.forward, cg.aft), MAP_POINTS)
    return LoadReview(weighed(study), _burns(study, share), chart)


def _burns(study: Study, share: LoadShare) -> tuple[Burn, ...]:
    found: dict[BurnPath, str] = {}
    worst = {
        "least nose share": share.ground.share_min,
        "greatest nose share": share.ground.share_max,
        "greatest nose load": share.ground.nose_load_max,
        "CG forward": share.cg.forward,
        "CG aft": share.cg.aft,
    }
    for name, extreme in worst.items():
        path = burn_path(share.model, topped_up(share.model, extreme.case), study.loading.burn_order)
        if len(path.cases) > 1:
            found.setdefault(path, name)
    return tuple(Burn(name, path) for path, name in found.items())
