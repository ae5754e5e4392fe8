"""Every point of a trade study by the full solver, on several processes."""

from __future__ import annotations

import copy
import itertools
import math
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from linkage.checks import Finding
from linkage.checks.pairing import by_subject
from linkage.crew import Tell, gather
from linkage.document.reader import Source, parse
from linkage.document.study import Study
from linkage.errors import DocumentError, Fault, LinkageError
from linkage.results import Results
from linkage.solution import Solution, solve
from linkage.trade.model import Point, Trade, Vary
from linkage.trade.vary import placed

Headline = Callable[[Results], Mapping[str, Any]]

JUDGED: dict[str, tuple[tuple[str, str], ...]] = {
    "nose_share_min": (("nose-share", "least nose share"),),
    "nose_share_max": (("nose-share", "greatest nose share"),),
    "tip_back_deg": (("tip-back", ""),),
    "steer_axis_tilt_deg": (("steer-axis", ""),),
    "over_centre_mm": (("over-centre", "over-centre offset"),),
    "transmission_angle_min_deg": (("transmission", ""),),
    "actuator_dead_length_mm": (("dead-length", ""),),
    "actuator_push_peak_2g_n": (("actuator-force", "actuator push"),),
}
"""Headline key -> code and subject of the findings that judge it, where both are one number."""

WRONG = "wrong: "
"""Begins the reason of a point whose study is wrong."""

NOT_REACHED = "not reached: stopped by hand"


@dataclass(frozen=True)
class Work:
    """All that a process needs to solve a point: the study as a plain table, so that all points are of one file."""

    path: Path
    sha256: str
    table: Mapping[str, Any]
    varies: tuple[Vary, ...]
    headline: Headline

    def __call__(self, values: Sequence[float]) -> Point:
        """Solve one point; what cannot be computed says why."""
        try:
            source = Source(self.path, self.sha256, "", self.study(values))
            return measured(tuple(values), solve(source, closely=False), self.headline)
        except DocumentError as err:
            return Point(tuple(values), reason=WRONG + "; ".join(str(f) for f in err.faults))
        except LinkageError as err:
            return Point(tuple(values), reason=f"cannot be computed: {err}")
        except Exception as err:  # an error of ours at one point must not cost the others, and must be seen
            return Point(tuple(values), reason=f"error of the program: {type(err).__name__}: {err}")

    def study(self, values: Sequence[float]) -> Study:
        """The study with the values of one point. Raises ``DocumentError``."""
        table = copy.deepcopy(dict(self.table))
        placed(table, self.varies, values)
        return parse(table, self.path.name)

    def refuse(self) -> None:
        """Raise ``DocumentError`` with the faults that first, middle and last point have word for word: they are not
        of the numbers varied."""
        found: list[tuple[Fault, ...]] = []
        for part in (0.0, 0.5, 1.0):
            try:
                self.study([v.values[int(part * (len(v.values) - 1))] for v in self.varies])
                return
            except DocumentError as err:
                found.append(err.faults)
        shared = [fault for fault in found[0] if all(fault in others for others in found)]
        if shared:
            raise DocumentError(shared, self.path.name)


def run(
    work: Work,
    title: str,
    changes: Sequence[str],
    executor: Executor | None,
    tell: Tell | None = None,
    present: Point | None = None,
) -> Trade:
    """Solve every point, and the study as it is, each design once. ``executor``: any of ``concurrent.futures``; None:
    here. ``present``: the study as it is, if it is solved already. Ctrl-C keeps what is done."""
    grid = list(itertools.product(*(v.values for v in work.varies)))
    here = own(work.varies)
    known = {here: present} if here is not None and present is not None else {}
    jobs = [values for values in dict.fromkeys([*([here] if here is not None else []), *grid]) if values not in known]
    found = gather(work, jobs, executor, tell)
    done = known | {jobs[i]: point for i, point in zip(found.places, found.results, strict=True)}
    points = [done.get(values, Point(values, reason=NOT_REACHED)) for values in grid]
    mine = done.get(here, Point(here, reason=NOT_REACHED)) if here is not None else None
    return Trade(title, work.sha256, tuple(changes), work.varies, tuple(points), mine, found.stopped)


def own(some: Sequence[Vary]) -> tuple[float, ...] | None:
    """The values of the study as it is; None where one has none."""
    values = tuple(v.present for v in some if v.present is not None)
    return values if len(values) == len(some) else None


def measured(values: tuple[float, ...], solution: Solution, headline: Headline) -> Point:
    """What a trade study keeps of a solution."""
    results = headline(solution.results)
    findings = by_subject(solution.findings)
    first = solution.findings[0] if solution.findings else None
    return Point(
        values,
        results,
        {key: limits for key in results if (limits := _limits(key, results[key], solution.findings))},
        {name: f.margin for name, f in zip(_names(findings), findings.values(), strict=True)},
        first.subject if first else "",
        first.margin if first else None,
        first.unit if first else "",
    )


def _names(findings: Mapping[tuple[str, ...], Finding]) -> list[str]:
    """What each finding is about, its side, its code to tell those alike apart, and the unit of its margin."""
    names = []
    for (code, subject, *rest), f in findings.items():
        lead = {"gap": "gap to ", "gap-state": "gap in the other states to "}.get(code, "")
        names.append(
            f"{' '.join([lead + subject, *(part for part in rest if part)])} ({code})"
            + (f", {f.unit}" if f.unit else "")
        )
    return names


def _limits(key: str, value: Any, findings: Sequence[Finding]) -> tuple[tuple[str, float], ...]:
    """Limits of a headline number in its own unit, from the findings that judge it."""
    if key == "least_margin_mm":
        return ((">=", 0.0),) if isinstance(value, float) else ()
    found = []
    for f in findings:
        if any(f.code == code and f.subject.startswith(subject) for code, subject in JUDGED.get(key, ())):
            side = f.required[:2]
            scale = next((s for s in (1.0, 0.01) if math.isclose(value, s * f.actual)), None)  # itself, or in percent
            if scale is not None and side in (">=", "<="):
                found.append((side, scale * (f.actual - f.margin if side == ">=" else f.actual + f.margin)))
    return tuple(found)
