"""The only place that knows the order of work: document in, solution out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from linkage.actuation import actuation, moment_shift
from linkage.actuation.drive import drive
from linkage.actuation.sizing import sizing
from linkage.actuation.travel import cg_travel
from linkage.checks import Finding, findings
from linkage.clearance import clearance
from linkage.document.reader import Source
from linkage.doors import doors
from linkage.end_stops import end_stops
from linkage.extension import EmergencyExtension, extension
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
from linkage.sweep import sweep
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
    fall: Callable[[], EmergencyExtension | None] | None = None,
) -> Solution:
    """Solve everything. Raises ``DocumentError`` or ``MechanismError``; ``progress`` is told each step as it begins.

    ``closely``: see `linkage.clearance.clearance`, `linkage.state_gaps.state_review` and
    `linkage.extension.extension`; the findings are the same without it. ``fall`` gives the emergency extension of this
    very study (`linkage.extension.extension_of`) where it was begun elsewhere, such as a future's ``result``.
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
    progress("sweep")
    conditions = cases(study, gear, stroke)
    bends: Bends = {}
    swept = sweep(study, gear, stroke, conditions, bay, bends)
    progress("clearance")
    clear = clearance(study, gear, stroke, bay, closely, bends)
    progress("states")
    states = state_review(study, gear, stroke, bay, conditions, clear, closely, bends)
    progress("emergency extension")  # last, so that it may be worked at elsewhere meanwhile
    falling = extension(study, gear, stroke, closely) if fall is None else fall()
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
        swept=swept,
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
        extension=falling,
    )
    return Solution(source, results, findings(results))
