"""What holds the lock, what makes it, and what shortfall of the actuator loses it."""

from __future__ import annotations

from collections.abc import Iterator

from linkage.checks.finding import Finding, within
from linkage.lock import Held
from linkage.results import Results

ROUNDING = 1e-9
POSITIVE_MEANS = "14 CFR 23.729(b), 2015 edition: held down by positive means other than hydraulic pressure"


def lock(r: Results) -> Iterator[Finding]:
    """Stops that set the lock, what holds it against each load (N at the stop), actuator travel left (mm)."""
    for h in r.lock.held:
        if h.press < 0:
            yield _held(r, h)
    yield from _links(r)
    yield from _oil(r)
    yield from _travel(r)
    yield from _stops(r)


def _held(r: Results, h: Held) -> Finding:
    by = ", ".join(n for n in (r.study.gear.lock.holds if r.study.gear.lock else ()) if n != "lock link")
    state = f"ultimate, brace {h.brace:.0f} N (tension -), {by or 'nothing declared holds'}"
    return Finding(
        "lock-hold",
        f"pull off the lock's stop, {h.load.condition.name}",
        h.demand,
        f"<= {h.capacity:.0f}",
        h.margin,
        "N",
        r.lock.seat.what,
        state,
        h.load.condition.rule,
    )


def _links(r: Results) -> Iterator[Finding]:
    judged = [h for h in r.lock.held if h.link_margin is not None]
    if judged:
        worst = min(judged, key=lambda h: h.link_margin or 0.0)
        force, margin = abs(worst.lock_link or 0.0), worst.link_margin or 0.0
        way = "compression" if (worst.lock_link or 0.0) > 0 else "tension"
        yield Finding(
            "lock-link",
            f"axial force of the lock links, {way}",
            force,
            f"<= {force + margin:g}",
            margin,
            "N",
            "",
            f"ultimate, {worst.load.condition.name}",
            "gear.lock_link.max_force",
        )


def _oil(r: Results) -> Iterator[Finding]:
    holds = r.study.gear.lock.holds if r.study.gear.lock else ()
    if "hydraulic lock" in holds:
        others = float(len([h for h in holds if h != "hydraulic lock"]))
        yield Finding(
            "lock-positive", "ways to hold besides oil", others, ">= 1", others - 1, "", "", "", POSITIVE_MEANS
        )


def _travel(r: Results) -> Iterator[Finding]:
    travel, left = r.lock.travel, r.study.gear.actuator.travel_left_at_lock
    if travel is None:
        return
    limits, reserve = r.study.limits.lock_travel, r.study.limits.lock_reserve
    if travel.dead_travel > 0:
        yield from within("lock-travel", "actuator travel, dead centre to lock", travel.dead_travel, limits, "mm")
    state = f"driven back {travel.back:.2f} mm first" if travel.back > ROUNDING else ""
    yield from within("lock-reserve", "actuator travel left to lock", left - travel.back, reserve, "mm", "", state)
    if travel.back > ROUNDING and not r.lock.release:
        yield Finding(
            "lock-release",
            "knee broken by something else than the actuator",
            0.0,
            "gear.lock.release",
            -travel.back,
            "",
            "the lock",
            f"the actuator is driven back {travel.back:.2f} mm there, it cannot break the knee",
            "geometry",
        )


def _stops(r: Results) -> Iterator[Finding]:
    stops = r.lock.stops
    count = float(len(stops.present))
    offsets = "; ".join(
        f"links {o.error:+g} mm: " + (f"offset {o.offset:.1f} mm" if o.offset is not None else f"{o.lack:.2f} mm short")
        for o in stops.held_ends
        if o.error != 0
    )
    state = " and ".join(stops.present) + (f" fight each other; {offsets}" if count > 1 else "")
    yield Finding("stops", "stops that set the lock", count, "1", 0.0 - abs(count - 1), "", "", state, "geometry")
    if "leg stop" in stops.present:
        limits = r.study.limits.over_centre
        for o in stops.held_ends:
            value = o.offset if o.offset is not None else -o.lack
            state = f"links {o.error:+g} mm, ends held by the leg stop"
            yield from within("stop-offset", "over-centre offset", value, limits, "mm", "", state)
