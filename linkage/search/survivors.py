"""What follows screening: candidates as study files, their guaranteed gaps, and the judgement of the full solver.

A design is written first and judged as it is written, so that what a user opens is what was judged.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

import numpy as np

from linkage.actuation.drive import drive
from linkage.clearance import clearance
from linkage.document.paths import numbered, paths
from linkage.document.reader import Source, parse
from linkage.document.write import Raw, manner, rewritten
from linkage.errors import DocumentError, LinkageError
from linkage.glance.held import Held
from linkage.glance.look import glance
from linkage.glance.model import Glance
from linkage.obstacles import obstacles
from linkage.results import Results
from linkage.search.candidates import Candidates, study_of
from linkage.search.screened import FORCE, LOCK, MARGIN, MOMENT
from linkage.solution import Solution, solve

FINE = {"length": 1e-4, "angle": 1e-5, "force": 1e-3}
"""Steps to which a found number is written, in the file's own unit: far below what a wanted place can tell apart, for
the locked pose follows from the links."""

GAP, SELF_GAP = "gap", "self-gap"
PROVED = (GAP, SELF_GAP)
"""Findings that a glance estimates. They are proved afterwards, and refuse even if the present design has them."""

MOVING = "actuator-moving"

Short = tuple[str, str, str]
"""Code, subject and state of a finding that falls short."""


@dataclass(frozen=True)
class Origin:
    """The study from which a search began: where, its text with the settings of the command line, and as read."""

    path: Path
    text: str
    table: Mapping[str, Any]

    @property
    def source(self) -> Source:
        return self.with_changes({})

    def with_changes(self, changes: Mapping[str, Raw]) -> Source:
        """As a file would be read. Raises ``DocumentError``."""
        text = rewritten(self.text, changes) if changes else self.text
        return Source(self.path, sha256(text.encode()).hexdigest(), text, parse(tomllib.loads(text), self.path.name))


def origin(source: Source, settings: Mapping[str, Any]) -> Origin:
    """``settings``: of the command line, by path; those of wishes, which nothing but the search reads, stay out."""
    table = tomllib.loads(source.text)
    placed = {numbered(k, table): v for k, v in settings.items() if k.partition(".")[0] != "wanted"}
    text = rewritten(source.text, placed) if placed else source.text
    return Origin(source.path, text, tomllib.loads(text))


def changes_of(begin: Origin, source: Source, candidates: Candidates, i: int) -> dict[str, Raw]:
    """Raw values of a candidate as they are written, in the study's own units; only those that differ."""
    kinds = paths(begin.table)
    changes: dict[str, Raw] = {}
    for field, value in study_of(source.study, candidates, i).items():
        if isinstance(value, str):
            changes[field] = value
            continue
        kind = kinds.get(field) or kinds.get(field.partition("[")[0]) or "length"
        changes[field] = manner(begin.table, field, kind).raw(value, FINE[kind])
    return changes


@dataclass(frozen=True)
class Trial:
    """A design to be looked at, for a worker. ``excused``: findings that the present design lacks too."""

    begin: Origin
    changes: Mapping[str, Raw]
    name: str
    excused: tuple[Short, ...] = ()


@dataclass(frozen=True)
class Judged:
    """What the full solver says of a design.

    ``reason``: why it cannot be computed, else empty. ``measures``: of `linkage.search.front.COUNTED`, from the full
    results. ``short``: findings that fall short, worst first, by code, subject and state; ``headline``: numbers.
    """

    name: str
    sha256: str
    reason: str
    measures: Mapping[str, float]
    short: tuple[Short, ...]
    headline: Mapping[str, Any]


def proved(trial: Trial) -> float | str:
    """Proved lower bound of the least margin to all bay items, mm, infinite without any, or why the design is refused;
    it is refused also for a gap that falls short in the present design.

    A glance comes first, for most of what the full solver refuses shows there at a tenth of the cost.
    """
    try:
        study = trial.begin.with_changes(trial.changes).study
        folder = trial.begin.path.parent
        look = glance(study, Held(folder))
        reason, gear, stroke = _seen(look, trial.excused), look.gear, look.stroke
        if reason or gear is None or stroke is None:  # either is missing only where there is trouble
            return reason
        room = drive(study, gear, stroke).room
        if room is not None and np.nanmin(room) < 0 and not any(code == MOVING for code, _, _ in trial.excused):
            return f"{MOVING} short: actuator with friction"
        gaps = clearance(study, gear, stroke, obstacles(study, folder), closely=False)
    except LinkageError as err:
        return _reason(err)
    if gaps.own and gaps.own[0].margin < 0:
        return f"{SELF_GAP} short: {gaps.own[0].part} to {gaps.own[0].item}"
    if gaps.worst is not None and gaps.worst.margin < 0:
        return f"{GAP} short: {gaps.worst.part} to {gaps.worst.item}"
    return gaps.worst.margin if gaps.worst is not None else math.inf


def _seen(look: Glance, excused: Sequence[Short]) -> str:
    """The first finding that falls short and is no estimate."""
    if look.trouble:
        return look.trouble[0].strip().partition(":")[0]
    for f in look.findings:
        if not f.passed and f.code not in PROVED and (f.code, f.subject, f.state) not in excused:
            return f"{f.code} short: {f.subject}"
    return ""


def judged(trial: Trial) -> Judged:
    """The full solver on a design."""
    try:
        source = trial.begin.with_changes(trial.changes)
        solution = solve(source, closely=False)
    except LinkageError as err:
        return Judged(trial.name, "", _reason(err), {}, (), {})
    short = tuple((f.code, f.subject, f.state) for f in solution.findings if not f.passed)
    return Judged(trial.name, source.sha256, "", measured(solution.results), short, told(solution))


def measured(r: Results) -> dict[str, float]:
    """The measures of a search from full results. Force with friction and in every condition; ``lock`` as in
    `linkage.search.screened.MEASURES`, 0 for a brace without a knee; the margin infinite without bay items."""
    worst = r.clearance.worst
    push = abs(r.drive.push)
    return {
        MARGIN: worst.margin if worst is not None else math.inf,
        FORCE: float(push[push == push].max(initial=0.0)),
        MOMENT: abs(r.moment_shift.real),
        LOCK: _lock_left(r),
    }


def _lock_left(r: Results) -> float:
    travel, limits = r.lock.travel, r.study.limits
    if travel is None:
        return 0.0
    if travel.dead_travel > 0:
        return travel.dead_travel - (limits.lock_travel.min or 0.0)
    return r.study.gear.actuator.travel_left_at_lock - travel.back - (limits.lock_reserve.min or 0.0)


def told(solution: Solution) -> dict[str, Any]:
    """Numbers of a found design beside its measures."""
    r = solution.results
    worst = r.clearance.worst
    return {
        "findings_short": sum(not f.passed for f in solution.findings),
        "least_margin_part": worst.part if worst else None,
        "least_margin_item": worst.item if worst else None,
        "nose_share_min": r.share.ground.share_min.value,
        "nose_share_max": r.share.ground.share_max.value,
        "actuator_length_down_mm": float(r.stroke.actuator_length[0]),
        "actuator_length_up_mm": float(r.stroke.actuator_length[-1]),
        "transmission_angle_min_deg": math.degrees(r.stroke.transmission.min()),
    }


def refusal(design: Judged, excused: Sequence[Short]) -> str:
    """Why the full solver refuses a design, empty if it does not. ``excused``: what the present design lacks too."""
    if design.reason:
        return design.reason
    new = [f for f in design.short if f not in excused]
    return f"{new[0][0]} short: {new[0][1]}" if new else ""


def _reason(err: LinkageError) -> str:
    """One line without numbers of its own, so that like can be counted with like."""
    if isinstance(err, DocumentError):
        return f"not a study: {err.faults[0].field}"
    return f"cannot be computed: {str(err).partition(':')[0].partition(' at ')[0][:60]}"
