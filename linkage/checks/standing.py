"""Turnover, propeller and tail on the ground, as drawn and settled on springs; lateral CG."""

from __future__ import annotations

import math
from collections.abc import Iterator

from linkage.checks.finding import Finding, within
from linkage.document.quantities import Limits
from linkage.results import Results
from linkage.stance import Settled

ON_SPRINGS = "settled on its springs"


def standing(r: Results) -> Iterator[Finding]:
    """Turnover and tail contact in deg, propeller clearance and lateral CG in mm, drawn and settled."""
    limits, stand, tip = r.study.limits, r.standing, r.share.ground.tip_back_min
    over = stand.turnover
    yield from within(
        "turnover", "greatest turnover angle", math.degrees(over.value), limits.turnover, "deg", "", str(over.case)
    )
    yield from _propeller(r)
    if stand.tail is not None:
        yield _tail(math.degrees(tip.value), math.degrees(stand.tail), limits.tip_back, str(tip.case))
    yield from _lateral(r)
    yield from _settled(r)


def _propeller(r: Results) -> Iterator[Finding]:
    limits, stand = r.study.limits, r.standing
    if not stand.propeller:
        return
    state = min(("static", "level"), key=stand.clearance)
    what = "propeller to ground"
    yield from within("propeller", what, stand.clearance(state), limits.propeller, "mm", "", f"{state}, as drawn")
    lowest = stand.flat.state
    where = f"nose tyre {lowest}, nose strut bottomed"
    yield from within("propeller-flat", what, stand.clearance(lowest), limits.propeller_flat, "mm", "", where)


def _tail(tip_back: float, tail: float, limits: Limits, state: str) -> Finding:
    """Rocked back until the tail touches, the CG must still lie ahead of the mains."""
    what = "least tip-back angle over tail contact"
    return Finding("tail", what, tip_back, f">= {tail:.4g}", tip_back - tail, "deg", "", state, limits.source)


def _lateral(r: Results) -> Iterator[Finding]:
    cg = r.study.airframe.cg_limits
    if cg.lateral is None:
        return
    for side, found in (("left", -r.share.cg.left.value), ("right", r.share.cg.right.value)):
        case = r.share.cg.left.case if side == "left" else r.share.cg.right.case
        margin = cg.lateral - found
        yield Finding(
            "cg", f"CG to the {side}", found, f"<= {cg.lateral:g}", margin, "mm", "gear down", str(case), cg.source
        )


def _settled(r: Results) -> Iterator[Finding]:
    limits, found = r.study.limits, r.standing.settled
    if found is None:
        return
    share = limits.nose_share
    low, high = found.share_min, found.share_max
    if share.min is not None:
        actual, least = 100 * low.share, 100 * share.min
        yield _on_springs("nose-share", "least nose share", actual, f">= {least:g}", actual - least, "%", low, share)
    if share.max is not None:
        actual, most = 100 * high.share, 100 * share.max
        yield _on_springs("nose-share", "greatest nose share", actual, f"<= {most:g}", most - actual, "%", high, share)
    tip, over, propeller = found.tip_back_min, found.turnover_max, found.propeller_min
    angle = math.degrees(tip.tip_back)
    yield from within("tip-back", "least tip-back angle", angle, limits.tip_back, "deg", ON_SPRINGS, str(tip.case))
    angle = math.degrees(over.turnover)
    yield from within("turnover", "greatest turnover angle", angle, limits.turnover, "deg", ON_SPRINGS, str(over.case))
    if propeller is not None and propeller.propeller is not None:
        what, clear = "propeller to ground", propeller.propeller
        yield from within("propeller", what, clear, limits.propeller, "mm", ON_SPRINGS, str(propeller.case))


def _on_springs(
    code: str, subject: str, actual: float, required: str, margin: float, unit: str, at: Settled, limits: Limits
) -> Finding:
    return Finding(code, subject, actual, required, margin, unit, ON_SPRINGS, str(at.case), limits.source)
