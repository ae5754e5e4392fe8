"""Nose tyre: dynamic rating, and whether what is swept is as large as the tyre grows."""

from __future__ import annotations

from collections.abc import Iterator

from linkage.checks.finding import Finding
from linkage.results import Results
from linkage.tyres import GROWTH_SOURCE

RULE = "14 CFR 23.733(c), 2015 edition: retracted tyre at its largest size in service touches nothing"


def tyre(r: Results) -> Iterator[Finding]:
    """Load of the nose tyre in N against its dynamic rating; swept size in mm against the grown tyre."""
    check, rated, limit = r.standing.tyre, r.study.tyre.rated_dynamic_load, r.study.limits.tyre_inertia
    if rated is not None:
        force = check.reaction
        yield Finding(
            "tyre-rating",
            f"nose tyre under 1 g down and {limit.factor:g} g forward",
            force.value,
            f"<= {rated:g}",
            rated - force.value,
            "N",
            "",
            str(force.case),
            limit.source,
        )
    yield from _growth(r)


def _growth(r: Results) -> Iterator[Finding]:
    """Every part marked as a tyre against the greater of the growth formula and the declared grown size."""
    check = r.standing.tyre
    diameter = max(check.grown.diameter, check.declared[0] or 0.0)
    width = max(check.grown.width, check.declared[1] or 0.0)
    for part in r.gear.parts:
        if part.tyre and len(part.core) == 1:
            across = max(high for _, high in part.butt_lines) - min(low for low, _ in part.butt_lines)
            source = f"{RULE}; {GROWTH_SOURCE}"
            for what, actual, least in (("diameter", 2 * part.radius, diameter), ("width", across, width)):
                margin = round(actual - least, 9)  # a size typed twice must not fail by its last bit
                subject = f"{part.name}: swept {what} over grown tyre"
                yield Finding("tyre-growth", subject, actual, f">= {least:.1f}", margin, "mm", "", "", source)
