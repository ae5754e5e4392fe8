"""Results + limits -> findings: everything that is judged, in one form."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain


from linkage.document.quantities import Limits


from linkage.results import Results


@dataclass(frozen=True)
class Finding:
    """One judged result. ``margin`` is signed in ``unit``; ``at``: where on the stroke; ``source``: of the limit."""

    code: str
    subject: str
    actual: float
    required: str
    margin: float
    unit: str
    at: str = ""
    state: str = ""
    source: str = ""

    @property
    def passed(self) -> bool:
        """The pass rule, written once."""
        return self.margin >= 0.0


def findings(results: Results) -> tuple[Finding, ...]:
    """All findings, failed first, then by how near each is to its limit within its unit."""
    found = chain(_share(results), _ground(results), _linkage(results), _drive(results), _gaps(results))
    return tuple(sorted(found, key=lambda f: (f.passed, f.code not in ("gap", "self-gap"), f.margin)))


def _within(
    code: str, subject: str, low: float, high: float, limits: Limits, unit: str, state: str = ""
) -> Iterator[Finding]:
    """Both ends of a wanted range, each a finding if the study sets it."""
    least, most = getattr(limits, "min", None), getattr(limits, "max", None)
    if least is not None:
        yield Finding(code, f"least {subject}", low, f">= {least:g}", low - least, unit, "", state, limits.source)
    if most is not None:
        yield Finding(code, f"greatest {subject}", high, f"<= {most:g}", most - high, unit, "", state, limits.source)


def _share(r: Results) -> Iterator[Finding]:
    limits, ground = r.study.limits, r.share.ground
    for code, subject, extreme, bound, sign in (
        ("nose-share", "least nose share", ground.share_min, limits.nose_share.min, 1.0),
        ("nose-share", "greatest nose share", ground.share_max, limits.nose_share.max, -1.0),
    ):
        if bound is not None:
            required = f"{'>=' if sign > 0 else '<='} {100 * bound:g}"
            actual = 100 * extreme.value
            margin = sign * (actual - 100 * bound)
            yield Finding(
                code, subject, actual, required, margin, "%", "", str(extreme.case), limits.nose_share.source
            )
    cg = r.study.airframe.cg_limits
    for gear, span in (("gear down", r.share.cg), ("gear up", r.share.cg_up)):
        low, high = span.forward, span.aft
        yield Finding(
            "cg", "CG forward", low.value, f">= {cg.forward:g}", low.value - cg.forward, "mm", gear, str(low.case), cg.source
        )
        yield Finding("cg", "CG aft", high.value, f"<= {cg.aft:g}", cg.aft - high.value, "mm", gear, str(high.case), cg.source)


def _ground(r: Results) -> Iterator[Finding]:
    tip = r.share.ground.tip_back_min
    yield from _within(
        "tip-back", "tip-back angle", math.degrees(tip.value), math.degrees(tip.value), r.study.limits.tip_back, "deg", str(tip.case)
    )
    tilt = math.degrees(r.steering.tilt)
    yield from _within("steer-axis", "steer-axis tilt (top aft +)", tilt, tilt, r.study.limits.steer_axis_tilt, "deg")


def _linkage(r: Results) -> Iterator[Finding]:
    limits, brace = r.study.limits, r.gear.brace
    yield from _within("over-centre", "over-centre offset", brace.over_centre, brace.over_centre, limits.over_centre, "mm")
    worst = int(r.stroke.transmission.argmin())
    least = math.degrees(float(r.stroke.transmission[worst]))
    for f in _within("transmission", "transmission angle", least, least, limits.transmission_angle, "deg"):
        yield Finding(**{**f.__dict__, "at": f"{math.degrees(float(r.stroke.swing[worst])):.1f} deg swing"})


def _drive(r: Results) -> Iterator[Finding]:
    entry, limit = r.study.gear.actuator, r.study.limits.load_factor
    if entry.max_force is not None:
        for what, force in (("push", r.actuation.peak(limit.max)), ("pull", -r.actuation.pull(limit.max))):
            yield Finding(
                "actuator-force",
                f"actuator {what} against gravity",
                force,
                f"<= {entry.max_force:g}",
                entry.max_force - force,
                "N",
                "",
                f"{limit.max:g} g, gravity only",
                limit.source,
            )
    left, shortest = entry.travel_left_at_lock, float(r.stroke.actuator_length.min())
    room = shortest - r.stroke.actuator_stroke - 2 * left
    yield Finding(
        "dead-length",
        "length left for actuator ends",
        room,
        f">= {entry.dead_length:g}",
        room - entry.dead_length,
        "mm",
        "",
        f"with {left:g} mm of travel left at the lock",
        "geometry",
    )


def _gaps(r: Results) -> Iterator[Finding]:
    state = r.swept.keep_out.states[0]
    for g in r.clearance.per_item():
        at = f"{math.degrees(g.swing):.1f} deg swing"
        yield Finding(
            "gap", f"{g.part} to {g.item}", g.gap, f">= {g.required:g}", g.margin, "mm", at, state, "bay item's required gap"
        )
    for g in r.clearance.own[:1]:
        at = f"{math.degrees(g.swing):.1f} deg swing"
        yield Finding(
            "self-gap", f"{g.part} to {g.item}", g.gap, f">= {g.required:g}", g.margin, "mm", at, state, "gear.self_gap"
        )
