"""Results of a changed study in which only loading, stance and stations are solved anew; the rest stays the demo's."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from typing import Any

from linkage.gear import build
from linkage.loading import load_share
from linkage.loading.entry import load_model
from linkage.loading.review import load_review
from linkage.results import Results
from linkage.stance import grounds, standing
from linkage.stations import stations
from tests.studies import changed, solution


def ground_results(changes: dict[str, Any] | None = None) -> Results:
    """The demo's results with some dotted paths changed that touch no moving part."""
    return _solved(json.dumps(changes or {}, sort_keys=True))


@cache
def _solved(changes: str) -> Results:
    base = solution().results
    study = changed(json.loads(changes))
    gear = build(study)
    states, model = grounds(study, gear), load_model(study)
    share = load_share(model, states[0].stance, base.share.band, base.moment_shift)
    stand = standing(study, gear, states, model)
    return replace(
        base,
        study=study,
        gear=gear,
        grounds=states,
        share=share,
        loadings=load_review(study, share),
        standing=stand,
        stations=stations(study, model, states[0], stand),
    )
