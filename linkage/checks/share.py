"""Nose share and CG over every loading."""

from __future__ import annotations

from collections.abc import Iterator

from linkage.checks.finding import Finding
from linkage.loading import Extreme
from linkage.results import Results


def share(r: Results) -> Iterator[Finding]:
    """Nose share in % of the weight and CG in mm FS, over every loading, gear down and up."""
    limits, ground = r.study.limits.nose_share, r.share.ground
    if limits.min is not None:
        yield _least("nose-share", "least nose share", ground.share_min, limits.min, "%", "", limits.source, 100)
    if limits.max is not None:
        yield _most("nose-share", "greatest nose share", ground.share_max, limits.max, "%", "", limits.source, 100)
    cg = r.study.airframe.cg_limits
    for gear, span in (("gear down", r.share.cg), ("gear up", r.share.cg_up)):
        yield _least("cg", "CG forward", span.forward, cg.forward, "mm", gear, cg.source)
        yield _most("cg", "CG aft", span.aft, cg.aft, "mm", gear, cg.source)


def _least(
    code: str, subject: str, found: Extreme, bound: float, unit: str, at: str, source: str, scale: float = 1.0
) -> Finding:
    actual, limit = found.value * scale, bound * scale
    return Finding(code, subject, actual, f">= {limit:g}", actual - limit, unit, at, str(found.case), source)


def _most(
    code: str, subject: str, found: Extreme, bound: float, unit: str, at: str, source: str, scale: float = 1.0
) -> Finding:
    actual, limit = found.value * scale, bound * scale
    return Finding(code, subject, actual, f"<= {limit:g}", limit - actual, unit, at, str(found.case), source)
