"""From a study to what judges its families: the drawn gear solved once, and what to look at where."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from linkage.actuation import moment_shift, useful
from linkage.actuation.springs import spring_law
from linkage.document.study import Study
from linkage.errors import DocumentError, Fault
from linkage.gear import UPPER, Gear
from linkage.loading import load_share
from linkage.loading.entry import load_model
from linkage.lock import lock_travel
from linkage.mechanism.model import Floats
from linkage.obstacles import Obstacle, obstacles
from linkage.stance import grounds
from linkage.stroke import Stroke, gear_and_stroke
from linkage.tolerance import pieces
from linkage.tolerance.assembly import Blueprint, assemble
from linkage.tolerance.differences import Slopes
from linkage.tolerance.followed import SHARE_MAX, SHARE_MIN, Setting, Share
from linkage.tolerance.loose import Stray, strays
from linkage.tolerance.model import Deviations
from linkage.tolerance.places import Spot, Watch, spot_of
from linkage.tolerance.results import driven_up, push_at, slopes_of_places
from linkage.tolerance.twin import twin
from linkage.tolerance.watching import watched

WIDE = 60.0
"""mm. A gap that is so much larger than the least of its result is not followed at all."""


def setting(study: Study, folder: Path) -> Setting:
    """Solve the drawn gear and lay out what is followed. Raises ``DocumentError`` if nothing may vary,
    ``MechanismError`` if the drawn gear itself cannot be."""
    told, stroke = gear_and_stroke(study)
    by_pieces = twin(study, told)
    gear, _ = gear_and_stroke(by_pieces)
    plan = Blueprint(
        by_pieces,
        gear,
        pieces.dimensions(by_pieces, gear),
        pieces.pins(by_pieces, gear),
        pieces.governing(by_pieces, gear),
    )
    refuse_nothing(plan)
    draft = _setting(plan, gear, stroke, obstacles(study, folder))
    draft = replace(draft, strays=_strays(draft, stroke))
    return replace(draft, watches=_worth(draft, draft.all_watches))


def refuse_nothing(plan: Blueprint) -> None:
    """All tolerances zero: every gear would be the drawn one."""
    t = plan.study.tolerances
    if not any(d.limit > 0 for d in plan.dimensions) and not t.pin_clearance_worn > 0:
        found = "every tolerance is 0, so every gear would be the drawn one"
        raise DocumentError([Fault("tolerances", found, "at least one above 0, such as link_length = 0.15")])


def _setting(plan: Blueprint, gear: Gear, stroke: Stroke, bay: Sequence[Obstacle]) -> Setting:
    axle = stroke.pins["axle"]
    longer = float(stroke.actuator_length[-1] - stroke.actuator_length[0])
    laws = tuple(
        spring_law(s, float(lengths.max()), float(lengths.min()))
        for s in plan.study.gear.spring
        for lengths in (stroke.spring_lengths[s.name],)
    )
    travel = lock_travel(gear, stroke, 0.0)
    near = watched(plan.study, gear, stroke, bay, WIDE)
    found = Setting(
        plan=plan,
        watches=(),
        all_watches=near.watches,
        left_out=near.left_out,
        shares=_shares(plan.study, gear, stroke),
        push_spot=None,
        lean_spot=_spot(stroke, -stroke.transmission),
        laws=laws,
        length_down=float(stroke.actuator_length[0]),
        length_up=float(stroke.actuator_length[-1]),
        way=float(np.sign(longer)),
        driven_up=stroke.driven_up,
        axle_up=complex(axle[-1]),
        back=travel.back if travel is not None else 0.0,
        dead=travel is not None and travel.dead_travel > 0 and gear.driven == UPPER,
    )
    push = push_at(found, gear, stroke.motion, plan.none())[0]
    return replace(found, push_spot=_spot(stroke, np.where(useful(stroke), push, -np.inf)))


def _strays(draft: Setting, stroke: Stroke) -> tuple[Stray, ...]:
    """Of every part that is followed with play taken up."""
    parts = sorted({one.part for w in draft.all_watches for one in w.pair.moving if one.loose})

    def built(by: Deviations) -> tuple[Gear, Floats]:
        made = assemble(draft.plan, by)
        return made.gear, driven_up(draft, made, by)

    return strays(draft.plan, parts, stroke.driven / stroke.driven_up, built) if parts else ()


def _spot(stroke: Stroke, values: Floats) -> Spot:
    """Where values over the poses are greatest."""
    return spot_of(stroke, int(np.nanargmax(values)))


def _shares(study: Study, gear: Gear, stroke: Stroke) -> tuple[Share, ...]:
    """The loadings whose nose share is least and greatest as drawn."""
    model = load_model(study)
    share = load_share(model, grounds(study, gear)[0].stance, (0.0, 1.0), moment_shift(gear, stroke))
    empty = complex(model.empty_fs_mm, model.empty_wl_mm)
    named = ((SHARE_MIN, share.ground.share_min), (SHARE_MAX, share.ground.share_max))
    return tuple(Share(name, e.case.mass_kg, e.case.cg, model.empty_kg, empty) for name, e in named)


def _worth(draft: Setting, watches: Sequence[Watch]) -> tuple[Watch, ...]:
    """Places which to first order may be the least of their result somewhere within the tolerances."""
    wide = [2.0 * _reach(draft.plan, slopes) for slopes in slopes_of_places(draft, watches)]
    best: dict[str, float] = {}
    for w, loose in zip(watches, wide, strict=True):
        best[w.result] = min(best.get(w.result, np.inf), w.margin + loose)
    return tuple(w for w, loose in zip(watches, wide, strict=True) if w.margin - loose <= best[w.result])


def _reach(plan: Blueprint, slopes: Slopes) -> float:
    """How far straight lines take a result within the tolerances; without end where there is no slope. Play counts
    along and across in full, a little more than its circle has."""
    limits = np.array([d.limit for d in plan.dimensions])
    ways = np.abs(np.concatenate([slopes.play.real, slopes.play.imag]))
    much = np.sum(np.abs(slopes.sizes) * limits) + 0.5 * plan.study.tolerances.pin_clearance_worn * np.sum(ways)
    return float(np.nan_to_num(much, nan=np.inf))
