"""The rig card: what a mechanic measures, as drawn, what it may be, and what is to be expected of gears as built.

What a measure may be is found by moving the one dimension that sets it, all others as drawn and pins without play,
until the first result is short that is judged: so it holds for one measure off at a time.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from linkage.lock import preload, seat
from linkage.mechanism.model import Floats
from linkage.plane.vectors import at
from linkage.stroke import run
from linkage.tolerance import pieces
from linkage.tolerance.asked import force_left
from linkage.tolerance.criteria import Criterion, criteria
from linkage.tolerance.followed import (
    ASKED,
    GAP,
    LENGTH_DOWN,
    LENGTH_UP,
    OFFSET,
    SELF_GAP,
    SWING,
    TILT,
    TRAVEL,
    Setting,
    spring_force,
    spring_length,
)
from linkage.tolerance.ranges import Range, range_of, way_of
from linkage.tolerance.results import judge
from linkage.tolerance.spread import Spread
from linkage.tolerance.watching import names_of

NONE = (np.nan, np.nan)
"""Range of what is measured but not judged."""
LIKELY = (1, 3)
"""Percentiles of a spread that are printed as expected: 2.5 and 97.5 %."""


@dataclass(frozen=True)
class RigLine:
    """``drawn``; ``low`` and ``high``: what it may be (infinite where nothing ends it, NaN where it is not judged);
    ``ends``: what gets short below ``low`` and above ``high``; ``expected``: 95 % of gears as built."""

    name: str
    unit: str
    drawn: float
    low: float
    high: float
    ends: tuple[str, str]
    expected: tuple[float, float]
    how: str


@dataclass(frozen=True)
class RigCard:
    """``left_out``: results that are short as drawn already, so that no range can keep them."""

    lines: tuple[RigLine, ...]
    left_out: tuple[str, ...]


def rig_card(setting: Setting, spread: Spread) -> RigCard:
    """Every line that this gear has."""
    none, judged = setting.plan.none(), criteria(setting)
    as_drawn = judge(setting, none).values
    left = force_left(setting, none, as_drawn[SWING][0])
    if left < np.inf:
        as_drawn[ASKED] = np.array([left])
        judged += (Criterion(ASKED, 0.0, np.inf, "gear.actuator.max_force"),)
    kept = [c for c in judged if c.margin(as_drawn[c.result])[0] >= 0]
    lines = [
        *_lock(setting, spread, kept),
        *_distances(setting, kept),
        *_leg(setting, spread, kept),
        *_actuator(setting, spread, kept),
        *_springs(setting, spread),
        *_clearances(setting, spread, kept),
        *_wear_line(setting),
    ]
    return RigCard(tuple(lines), tuple(c.result for c in judged if c not in kept))


def _expected(spread: Spread, name: str) -> tuple[float, float]:
    s = spread.statistic(name)
    return s.percentiles[LIKELY[0]], s.percentiles[LIKELY[1]]


def _held(span: Range, results: tuple[float, float]) -> tuple[float, float, tuple[str, str]]:
    """What a measure may be, from its values at both ends of a range, and what gets short beyond; infinite where
    nothing was short over the whole span. The measure may fall where the dimension grows."""
    (low, under), (high, over) = sorted(zip(results, span.ends, strict=True), key=lambda end: end[0])
    return (low if under else -np.inf), (high if over else np.inf), (under, over)


def _own(
    setting: Setting, result: str, kept: Sequence[Criterion], held: tuple[float, float, tuple[str, str]]
) -> tuple[float, float, tuple[str, str]]:
    """Nor may a measure be what its own limits do not allow, where the drawn gear is short of them and they are not
    among those kept. Where they end the range, they are its end."""
    low, high, ends = held
    own = next((c for c in criteria(setting) if c.result == result), None)
    if own is None:
        return held
    under = ends[0] == result or (own not in kept and own.low > low)
    over = ends[1] == result or (own not in kept and own.high < high)
    names = (result if under else ends[0], result if over else ends[1])
    return own.low if under else low, own.high if over else high, names


def _lock(setting: Setting, spread: Spread, kept: Sequence[Criterion]) -> Iterator[RigLine]:
    plan = setting.plan
    if plan.gear.locking is None:
        return
    stop = plan.stops[0]
    span = range_of(setting, kept, way_of(setting, **{stop: 1.0}))
    low, high, ends = _own(setting, OFFSET, kept, _held(span, span.values[OFFSET]))
    drawn = spread.statistic(OFFSET).drawn
    how = (
        "knee past a straight edge through the pins at both ends of the pair, load off, play taken up towards the edge"
    )
    yield RigLine("over-centre offset", "mm", drawn, low, high, ends, _expected(spread, OFFSET), how)
    yield from _scale(setting)


def _scale(setting: Setting) -> Iterator[RigLine]:
    """Pull of a spring scale at the knee."""
    study, gear = setting.plan.study, setting.plan.gear
    stroke = run(gear, study.stroke.poses)
    place = seat(gear, stroke)
    pre = preload(study, gear, stroke, place)
    if not np.isfinite(pre.scale) or not pre.springs:
        return
    health = study.limits.spring_health
    gas = sum(pre.springs[s.name] for s in study.gear.spring)
    rest = pre.weight + sum(pre.springs.values()) - gas
    part = [v if v is not None else w for v, w in ((health.min, 0.0), (health.max, 1.0))]
    low, high = sorted((h * gas + rest) * place.rate / place.pull_rate for h in part)
    limit = study.tolerances.spring_force
    likely = sorted((f * gas + rest) * place.rate / place.pull_rate for f in (1 - limit, 1 + limit))
    how = "spring scale at the knee, square to its line, gear on jacks, until the knee just leaves its stop"
    ends = ("limits.spring_health", "limits.spring_health")
    if not study.gear.spring:
        low, high, ends = np.nan, np.nan, ("", "")  # a coil spring has no state of health
    yield RigLine("pull that lifts the knee off its stop", "N", pre.scale, low, high, ends, (likely[0], likely[1]), how)


def _distances(setting: Setting, kept: Sequence[Criterion]) -> Iterator[RigLine]:
    """Between centres of pins."""
    plan = setting.plan
    t, gear = plan.study.tolerances, plan.gear
    place = {name: point.at for name, point in gear.pins.items()}
    if gear.brace.has_knee:
        sizes = [(pieces.UPPER, gear.brace.upper_link), (pieces.LOWER, gear.brace.lower_link)]
    else:
        sizes = [(pieces.BRACE, gear.brace.span)]
    if gear.lock_link is not None:
        sizes += [(pieces.LOCK_UPPER, gear.lock_link.upper_link), (pieces.LOCK_LOWER, gear.lock_link.lower_link)]
    for name, drawn in sizes:
        yield _distance(setting, kept, f"{name}, between pins", drawn, way_of(setting, **{name: 1.0}), t.link_length)
    roots = [("trunnion", "upper pin")]
    roots += [("upper pin", "actuator root")] if plan.study.gear.actuator.root is not None else []
    for start, end in roots:
        line = place[end] - place[start]
        unit = line / abs(line)
        way = way_of(setting, **{f"{end} FS": unit.real, f"{end} WL": unit.imag})
        # both pins may be off, each in FS and WL: the corners of two squares, seen along the line
        limit = 2 * t.pin_position * (abs(unit.real) + abs(unit.imag))
        yield _distance(setting, kept, f"{start} to {end}", abs(line), way, limit)
    lug, axle = (
        at((plan.study.gear.brace.lug.along, plan.study.gear.brace.lug.offset)),
        place["axle"] - place["trunnion"],
    )
    way = way_of(setting, **{"lug along": lug.real / abs(lug), "lug across": lug.imag / abs(lug)})
    yield _distance(setting, kept, "trunnion to lug", abs(lug), way, t.link_length)
    unit = axle / gear.down / abs(axle)
    way = way_of(setting, **{"axle along": unit.real, "axle across": unit.imag})
    yield _distance(setting, kept, "trunnion to axle, strut extended", abs(axle), way, t.axle)


def _distance(
    setting: Setting, kept: Sequence[Criterion], name: str, drawn: float, way: Floats, limit: float
) -> RigLine:
    span = range_of(setting, kept, way)
    low, high, ends = _held(span, (drawn + span.low, drawn + span.high))
    return RigLine(name, "mm", drawn, low, high, ends, (drawn - limit, drawn + limit), "between centres of pins")


def _leg(setting: Setting, spread: Spread, kept: Sequence[Criterion]) -> Iterator[RigLine]:
    name = pieces.LOWER if setting.plan.gear.brace.has_knee else pieces.BRACE
    span = range_of(setting, kept, way_of(setting, **{name: 1.0}))
    low, high, ends = _own(setting, TILT, kept, _held(span, span.values[TILT]))
    how = "inclinometer on the leg, aircraft level, locked; the range is that of the brace's own length"
    yield RigLine(
        "leg down: tilt, top aft +", "deg", spread.statistic(TILT).drawn, low, high, ends, _expected(spread, TILT), how
    )
    how = "inclinometer on the leg, gear up less gear down"
    yield RigLine("leg swing", "deg", spread.statistic(SWING).drawn, *NONE, ("", ""), _expected(spread, SWING), how)


def _actuator(setting: Setting, spread: Spread, kept: Sequence[Criterion]) -> Iterator[RigLine]:
    span = range_of(setting, kept, way_of(setting, **{pieces.RIG: -setting.way or 1.0}))
    low, high, ends = _own(setting, TRAVEL, kept, _held(span, span.values[TRAVEL]))
    how = "what the actuator can still run towards down, gear locked; set by its own length"
    drawn = spread.statistic(TRAVEL).drawn
    yield RigLine("actuator travel left at the lock", "mm", drawn, low, high, ends, _expected(spread, TRAVEL), how)
    down = spread.statistic(LENGTH_DOWN)
    how = "between centres of its pins, gear locked"
    yield RigLine("actuator length, gear down", "mm", down.drawn, *NONE, ("", ""), _expected(spread, LENGTH_DOWN), how)
    up = spread.statistic(LENGTH_UP)
    low, high, ends = *NONE, ("", "")
    if setting.own_end:
        span = range_of(setting, kept, way_of(setting, **{pieces.STROKE: 1.0}))
        low, high, ends = _held(span, span.values[LENGTH_UP])
    how = "between centres of its pins, gear up"
    yield RigLine("actuator length, gear up", "mm", up.drawn, low, high, ends, _expected(spread, LENGTH_UP), how)


def _springs(setting: Setting, spread: Spread) -> Iterator[RigLine]:
    health = setting.plan.study.limits.spring_health
    for entry in setting.plan.study.gear.spring:
        for where in ("down", "up"):
            name = spring_length(entry.name, where)
            how = f"between centres of its pins, gear {where}"
            drawn = spread.statistic(name).drawn
            yield RigLine(
                f"{entry.name} length, gear {where}", "mm", drawn, *NONE, ("", ""), _expected(spread, name), how
            )
            name = spring_force(entry.name, where)
            drawn = spread.statistic(name).drawn
            low = drawn * health.min if health.min is not None else -np.inf
            high = drawn * health.max if health.max is not None else np.inf
            how = f"on a scale at that length, {entry.temperature_c:g} deg C"
            ends = ("limits.spring_health", "limits.spring_health")
            yield RigLine(
                f"{entry.name} force, gear {where}", "N", drawn, low, high, ends, _expected(spread, name), how
            )


def _clearances(setting: Setting, spread: Spread, kept: Sequence[Criterion]) -> Iterator[RigLine]:
    nearest = {w.result: names_of(w.pair) for w in setting.tightest}
    for c in kept:
        if c.result == SELF_GAP or c.result.startswith(GAP):
            name = f"clearance {c.result.removeprefix('gap ').removesuffix(', mm')}"
            drawn = spread.statistic(c.result).drawn
            between = " to ".join(nearest[c.result]) if c.result == SELF_GAP else nearest[c.result][0]
            how = f"least over the stroke, as drawn at the {between}; engine at rest, strut extended"
            yield RigLine(name, "mm", drawn, c.low, np.inf, ("required gap", ""), _expected(spread, c.result), how)


def _wear_line(setting: Setting) -> Iterator[RigLine]:
    t = setting.plan.study.tolerances
    if t.pin_clearance_worn > 0:
        how = "dial gauge, the pin pushed to and fro in its hole"
        low, high = t.pin_clearance_new, t.pin_clearance_worn
        expected = {"new": (low, low), "worn": (high, high), "any": (low, high)}[t.wear]
        yield RigLine("play of every pin, diametral", "mm", low, 0.0, high, ("", "worn limit"), expected, how)
