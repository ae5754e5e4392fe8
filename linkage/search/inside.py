"""Wishes that lie in what the gear must miss: a region wholly inside an item, a wheel place that touches one."""

from __future__ import annotations

import math
from collections.abc import Iterator

import shapely

from linkage.clearance import in_space, lateral_gap
from linkage.document.gear import Part
from linkage.document.quantities import Place
from linkage.document.study import Study
from linkage.document.wanted import WantedPlace
from linkage.errors import Fault
from linkage.obstacles import Obstacle
from linkage.search.candidates import wishes
from linkage.search.regions import shape_of

PINS = {
    "wanted.trunnion": "trunnion",
    "wanted.upper_pin": "upper pin",
    "wanted.knee": "knee",
    "wanted.actuator.root": "actuator root",
}


def inside_items(study: Study, items: tuple[Obstacle, ...]) -> Iterator[Fault]:
    """A region wholly inside an item in the side view, where a part that holds the pin meets the item's butt lines. An
    arm that carries the pin beside the gear is thus no obstacle to it."""
    w = wishes(study)
    regions = (w.trunnion, w.upper_pin, w.knee, w.actuator.root)
    for (field, pin), region in zip(PINS.items(), regions, strict=True):
        held = [p for p in study.gear.part if _holds(p, pin)]
        if region is None or not held:
            continue
        shape = shape_of(region)
        for item in items:
            met = [p.name for p in held if p.name not in item.ignore and _beside(p, item) <= 0]
            if met and not item.stowed_only and shapely.covers(shapely.buffer(item.shape, item.radius), shape):
                yield Fault(
                    field, f"lies wholly inside {item.name!r}, where {met[0]!r} must not be", "a region outside it"
                )


def wheel_against_items(study: Study, items: tuple[Obstacle, ...]) -> Iterator[Fault]:
    """A wanted place of the axle at which a disc on the axle comes too near to an item, wherever in its tolerance."""
    wheel = wishes(study).wheel
    places = {"down": wheel.down, "up": wheel.up, **({"third": wheel.third} if wheel.third is not None else {})}
    discs = [p for p in study.gear.part if p.centre is not None and p.centre.pin == "axle" and p.profile is None]
    for name, place in places.items():
        for item in items:
            if item.stowed_only and name != "up":
                continue
            for part in discs:
                if part.name not in item.ignore and part.shoulder is None:
                    yield from _too_near(f"wanted.wheel.{name}", place, part, item)


def _too_near(field: str, place: WantedPlace, part: Part, item: Obstacle) -> Iterator[Fault]:
    centre, beside = shapely.Point(*place.at), _beside(part, item)
    apart = float(shapely.distance(centre, item.shape))
    if apart == 0:
        apart = -float(shapely.distance(centre, shapely.boundary(item.shape)))
    side = apart + place.tolerance - item.radius - (part.radius or 0.0)
    gap = float(in_space(beside, side))
    if gap < item.required:
        at = f"{gap:.1f} mm from" if gap >= 0 else "in contact with"
        needed = math.sqrt(max(item.required**2 - max(beside, 0.0) ** 2, 0.0))
        yield Fault(
            field,
            f"{part.name!r} is {at} {item.name!r} there, required {item.required:g} mm",
            f"a place {needed - side:.1f} mm further away in the side view",
        )


def _holds(part: Part, pin: str) -> bool:
    """Whether the pin lies on the part: named in its shape, or the trunnion within a bar along the leg."""
    named = [p for p in (part.centre, part.start, part.end, *(part.outline or ())) if p is not None]
    if any(p.pin == pin for p in named):
        return True
    return pin == "trunnion" and _reaches_back(part.start, part.end)


def _reaches_back(start: Place | None, end: Place | None) -> bool:
    if start is None or end is None or start.along is None or start.offset or end.offset:
        return False
    return start.along <= 0 <= (end.along if end.along is not None else 0.0)


def _beside(part: Part, item: Obstacle) -> float:
    return lateral_gap(part.butt_lines, item.butt_lines)
