"""The only place that knows the order of work: document in, solution out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from linkage.actuation import actuation, moment_shift
from linkage.actuation.drive import drive
from linkage.actuation.sizing import sizing
from linkage.actuation.travel import cg_travel
from linkage.aside import Aside, aside
from linkage.checks import Finding, findings
from linkage.clearance import clearance
from linkage.document.reader import Source
from linkage.doors import doors
from linkage.end_stops import end_stops
from linkage.loading import load_share
from linkage.loading.entry import load_model
from linkage.loading.review import load_review
from linkage.loads import ground_loads
from linkage.lock import lock
from linkage.obstacles import obstacles
from linkage.results import Results
from linkage.stance import check_mains, grounds, standing
from linkage.state_gaps import state_review
from linkage.states import cases
from linkage.stations import stations
from linkage.steering import steering
from linkage.stroke import gear_and_stroke
from linkage.sweep import hot_zone
from linkage.tracks import Bends

Progress = Callable[[str], None]


@dataclass(frozen=True)
class Solution:
    """One study solved: where it was read from, its results, and what they are judged to be, worst first."""

    source: Source
    results: Results
    findings: tuple[Finding, ...]

    @property
    def passed(self) -> bool:
        return all(f.passed for f in self.findings)


def solve(
    source: Source,
    progress: Progress = lambda step: None,
    closely: bool = True,
    begun: Callable[[], Aside] | None = None,
) -> Solution:
    """Solve everything. Raises ``DocumentError`` or ``MechanismError``; ``progress`` is told each step as it begins.

    ``closely``: see `linkage.clearance.clearance`, `linkage.state_gaps.state_review` and
    `linkage.extension.extension`; the findings are the same without it. ``begun`` gives what `linkage.aside.aside_of`
    finds of this very study, where another process is at that, such as a future's ``result``.
    """
    study = source.study
    bay = obstacles(study, source.path.parent)
    progress("linkage")
    gear, stroke = gear_and_stroke(study)
    stances = grounds(study, gear)
    static = stances[0]
    shift = moment_shift(gear, stroke)
    progress("load share")
    band = study.limits.nose_share.ends(0.0, 1.0)
    share = load_share(load_model(study), static.stance, band, shift)
    check_mains(static, share.cg.aft.value)
    review = load_review(study, share)
    progress("stance")
    stand = standing(study, gear, stances, share.model)
    places = stations(study, share.model, static, stand)
    progress("ground loads")
    loads = ground_loads(study, gear, stroke, stances, share.model, share.ground.nose_load_max.value)
    by_weight = actuation(study, gear, stroke)
    progress("forces")
    forces = drive(study, gear, stroke)
    conditions = cases(study, gear, stroke)
    bends: Bends = {}
    if begun is None:
        progress("emergency extension and sweep")
        begun = _known(aside(study, gear, stroke, closely, bends))
    try:
        progress("clearance")
        clear = clearance(study, gear, stroke, bay, closely, bends)
        progress("states")
        states = state_review(study, gear, stroke, bay, conditions, clear, closely, bends)
    except Exception:
        begun()  # what is wrong with the sweep is told first, as gaps would come of it
        raise
    found = begun()
    steer = steering(study, gear)
    results = Results(
        study=study,
        gear=gear,
        stroke=stroke,
        grounds=stances,
        share=share,
        moment_shift=shift,
        steering=steer,
        loads=loads,
        actuation=by_weight,
        swept=replace(found.swept, hot=hot_zone(study.keep_out, bay)),
        clearance=clear,
        states=states,
        obstacles=bay,
        loadings=review,
        standing=stand,
        stations=places,
        lock=lock(study, gear, stroke, loads),
        end_stops=end_stops(study, gear, stroke),
        doors=doors(study, gear, stroke),
        drive=forces,
        sizing=sizing(study.gear.actuator, stroke, forces),
        cg_travel=cg_travel(share.model, gear, stroke),
        extension=found.fall,
    )
    return Solution(source, results, findings(results))


def _known(found: Aside) -> Callable[[], Aside]:
    return lambda: found
