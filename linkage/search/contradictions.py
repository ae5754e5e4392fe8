"""Wishes that no gear can meet, said before the search begins: which, by how much, and what would do."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

import numpy as np
import shapely

from linkage.document.study import Study
from linkage.document.wanted import Region
from linkage.errors import DocumentError, Fault
from linkage.gear import leg_sense
from linkage.mechanism.model import Complexes, Floats
from linkage.mechanism.positions import bisector, off_bisector, turn_about
from linkage.obstacles import Obstacle
from linkage.plane.outlines import xy
from linkage.search.candidates import wishes
from linkage.search.inside import inside_items, wheel_against_items
from linkage.search.regions import along_line, extent, shape_of
from linkage.search.sampling import fixed, trunnion_region

MARKS = 2001
"""Places of the trunnion along the bisector at which lengths and swings are compared."""


def check_wishes(study: Study, items: tuple[Obstacle, ...]) -> None:
    """Raises ``DocumentError`` with every wish that contradicts another, the study or the bay."""
    found = list(chain(_movable(study), _lock(study)))
    if not found:
        found = list(chain(_trunnion(study), _actuator(study), inside_items(study, items)))
        found += list(wheel_against_items(study, items))
    if found:
        raise DocumentError(found, "wishes")


def _movable(study: Study) -> Iterator[Fault]:
    """What a search can move, and in which form it must be given."""
    gear, w = study.gear, wishes(study)
    push, pin = gear.actuator.pushes, gear.actuator.pin
    if gear.brace.kind != "folding":
        yield Fault("gear.brace.kind", repr(gear.brace.kind), "'folding': a search moves braces with a knee only")
    elif gear.brace.upper_link is None:
        yield Fault("gear.brace.knee", "drawn", "upper_link, lower_link and over_centre: a search works with lengths")
    if gear.lock_link is not None:
        yield Fault("gear.lock_link", "given", "a brace that locks by its own knee: a search does not move lock links")
    if gear.door:
        yield Fault("gear.door", f"{len(gear.door)} given", "no doors: a search does not move them")
    if push not in ("upper link", "leg"):
        yield Fault("gear.actuator.pushes", repr(push), "'upper link' or 'leg' for a search")
    elif pin is None or (pin.along is None if push == "leg" else pin.radius is None):
        form = "{along, offset}" if push == "leg" else "{radius, angle}"
        yield Fault("gear.actuator.pin", "not in axes of what it pushes", f"{form} for a search")
    own = w.actuator.pin
    if own is not None and (own.along is not None) != (push == "leg"):
        form = "{along, offset} on the leg" if push == "leg" else f"{{radius, angle}} on the {push}"
        yield Fault("wanted.actuator.pin", f"not on the {push}, which gear.actuator pushes", form)
    if w.wheel.third is not None and w.trunnion is None:
        found = "is missing, and with a third place the trunnion cannot stay where it is"
        yield Fault("wanted.trunnion", found, "a region of the trunnion")
    if w.actuator.catalogue and gear.actuator.rated:
        yield Fault("wanted.actuator.catalogue", "beside gear.actuator.rated", "one of them")


def _lock(study: Study) -> Iterator[Fault]:
    """Limits that the study sets and every candidate would break."""
    w, limits, actuator = wishes(study), study.limits, study.gear.actuator
    pair, (low, high) = w.over_centre, limits.over_centre.ends(low=0.0)
    if pair is not None and (pair[1] < low or pair[0] > high):
        found = f"[{pair[0]:g}, {pair[1]:g}] mm lies outside limits.over_centre"
        yield Fault("wanted.over_centre", found, f"offsets between {low:g} and {high:g} mm")
    past = pair[0] if pair is not None else study.gear.brace.over_centre or 0.0
    for name, link in (("upper_link", w.upper_link), ("lower_link", w.lower_link)):
        if link is not None and link[1] <= past:
            found = f"[{link[0]:g}, {link[1]:g}] mm is no longer than the over-centre offset, from {past:g} mm"
            yield Fault(f"wanted.{name}", found, f"lengths well above {past:g} mm")
    least = limits.lock_reserve.min
    if least is not None and actuator.travel_left_at_lock < least:
        yield Fault(
            "gear.actuator.travel_left_at_lock",
            f"{actuator.travel_left_at_lock:g} mm is below limits.lock_reserve",
            f"at least {least:g} mm",
        )
    if actuator.pushes == "leg" and not (study.gear.lock is not None and study.gear.lock.release):
        yield Fault("gear.lock.release", "is missing, and an actuator on the leg cannot break the knee", "what does")


def _trunnion(study: Study) -> Iterator[Fault]:
    """Whether a trunnion in its region can carry the axle from down to up, past the third place, as it should."""
    w, region = wishes(study), trunnion_region(study)
    wheel = w.wheel
    down, up = complex(*wheel.down.at), complex(*wheel.up.at)
    field = "wanted.trunnion" if w.trunnion is not None else "gear.trunnion"
    apart, nearest = _missed(region, down, up)
    room = wheel.down.tolerance + wheel.up.tolerance
    if apart > room:
        yield Fault(
            field,
            f"no trunnion there carries the axle from wanted.wheel.down to up: it is {apart:.2f} mm further from one"
            f" than from the other, tolerances {room:g} mm; their perpendicular bisector misses the region",
            f"a region with [{nearest.real:.1f}, {nearest.imag:.1f}] in it, or other wheel places",
        )
        return
    trunnions = _choices(region, down, up)
    senses = [leg_sense(f) for f in w.folds or (study.gear.folds,)]
    swings = np.degrees(np.concatenate([s * turn_about(trunnions, down, up) for s in senses]))
    yield from _third(study, trunnions, down, up, senses)
    if not (swings > 0).any():
        yield Fault(
            "wanted.folds" if w.folds else "gear.folds",
            f"from {field} the axle swings {np.abs(swings).min():.1f} to {np.abs(swings).max():.1f} deg the other way",
            "the other fold, or a trunnion on the other side of the line from down to up",
        )
        return
    yield from _outside("wanted.swing_up", w.swing_up, swings[swings > 0], "deg")
    radius = np.abs(down - trunnions)
    yield from _outside("wanted.leg_length", w.leg_length, _lengths(study, radius), "mm")
    far, offset = float(radius.max()), w.axle_offset
    if offset is not None and max(offset[0], -offset[1]) >= far:
        found = f"[{offset[0]:g}, {offset[1]:g}] mm, but the axle is at most {far:.1f} mm from the trunnion"
        yield Fault("wanted.axle_offset", found, f"offsets between {-far:.1f} and {far:.1f} mm")


def _lengths(study: Study, radius: Floats) -> Floats:
    offset = wishes(study).axle_offset or (study.gear.leg.axle_offset,) * 2
    ends = [np.sqrt(np.maximum(radius**2 - o * o, 0.0)) for o in offset]
    return np.concatenate(ends)


def _outside(field: str, pair: tuple[float, float] | None, values: Floats, unit: str) -> Iterator[Fault]:
    """A wanted range that no trunnion of the region gives, with 1 mm or 1 deg for the tolerances of the places."""
    low, high = float(values.min()), float(values.max())
    if pair is not None and (pair[1] < low - 1 or pair[0] > high + 1):
        yield Fault(
            field,
            f"[{pair[0]:g}, {pair[1]:g}] {unit} contradicts wheel places and trunnion region",
            f"within {low:.1f} to {high:.1f} {unit}",
        )


def _third(study: Study, trunnions: Complexes, down: complex, up: complex, senses: list[float]) -> Iterator[Fault]:
    """A third place off every circle through the other two, or on it but not between them."""
    wheel = wishes(study).wheel
    if wheel.third is None:
        return
    place = complex(*wheel.third.at)
    miss = np.abs(np.abs(place - trunnions) - np.abs(down - trunnions))
    best = int(miss.argmin())
    t = trunnions[best]
    if miss[best] > wheel.third.tolerance + wheel.down.tolerance + wheel.up.tolerance:
        on = t + (place - t) / abs(place - t) * abs(down - t)
        yield Fault(
            "wanted.wheel.third",
            f"is missed by {miss[best]:.2f} mm from every trunnion in its region, tolerance"
            f" {wheel.third.tolerance:g} mm",
            f"such as [{on.real:.1f}, {on.imag:.1f}], or a tolerance of at least {miss[best]:.2f} mm",
        )
        return
    turns = [(s * turn_about(t, down, place), s * turn_about(t, down, up)) for s in senses]
    if not any(0 < way < swing for way, swing in turns) and any(swing > 0 for _, swing in turns):
        half = t + (down - t) * np.exp(0.5j * turn_about(t, down, up))
        yield Fault(
            "wanted.wheel.third",
            "is not passed between wanted.wheel.down and up, but before or after them",
            f"a place on the way, such as [{half.real:.1f}, {half.imag:.1f}]",
        )


def _missed(region: Region, down: complex, up: complex) -> tuple[float, complex]:
    """How much further the region's best place is from one end than from the other, and the bisector's place nearest
    to the region."""
    middle, way = bisector(down, up)
    shape = shape_of(region)
    line = shapely.LineString(xy(np.array([middle - 1e5 * way, middle + 1e5 * way])))
    if shapely.intersects(shape, line):
        at = shapely.intersection(shape, line).centroid
        return 0.0, complex(at.x, at.y)
    points = shapely.get_coordinates(shapely.segmentize(shape, 1.0))  # the best place lies on the rim
    apart = np.abs(off_bisector(points[:, 0] + 1j * points[:, 1], down, up))
    near = shapely.get_coordinates(shapely.shortest_line(line, shape))[0]
    return float(apart.min()), complex(*near)


def _choices(region: Region, down: complex, up: complex) -> Complexes:
    """Places of the trunnion along the bisector inside the region's hull; its own corners where that just misses it."""
    middle, way = bisector(down, up)
    if extent(region) > 0:
        low, high = along_line(region, np.array([middle]), np.array([way]))
        if np.isfinite(low[0]):
            return np.asarray(middle + way * np.linspace(low[0], high[0], MARKS))
    return np.unique(np.array(region.corners))


def _actuator(study: Study) -> Iterator[Fault]:
    """Whether any unit is as long as root and pin can be apart."""
    w, entry = wishes(study), study.gear.actuator
    root = shape_of(w.actuator.root or fixed(entry.root or (0.0, 0.0)))
    on_leg = entry.pushes == "leg"
    pivot = shape_of(trunnion_region(study) if on_leg else w.upper_pin or fixed(study.gear.brace.upper_pin))
    pin, own = w.actuator.pin, entry.pin
    if pin is not None:
        pair = pin.along if on_leg else pin.radius
        arm = float(np.hypot(max(map(abs, pair or (0.0,))), max(map(abs, pin.offset)) if on_leg else 0.0))
    else:
        arm = 0.0 if own is None else float(np.hypot(own.along or own.radius or 0.0, own.offset if on_leg else 0.0))
    corners = [shapely.get_coordinates(shape) for shape in (root, pivot)]
    ends = [abs(complex(*a) - complex(*b)) for a in corners[0] for b in corners[1]]
    far, near = max(ends) + arm, max(0.0, float(shapely.distance(root, pivot)) - arm)
    if not w.actuator.catalogue:
        if entry.dead_length > far:
            yield Fault("wanted.actuator", f"root and pin are at most {far:.1f} mm apart, gear.actuator.dead_length is"
                        f" {entry.dead_length:g} mm", "regions further apart, or a shorter dead_length")  # fmt: skip
        return
    if all(u.dead_length + u.stroke > far or u.dead_length + 2 * u.stroke < near for u in w.actuator.catalogue):
        sizes = ", ".join(
            f"{u.name} {u.dead_length + u.stroke:g} to {u.dead_length + 2 * u.stroke:g} mm"
            for u in w.actuator.catalogue
        )
        yield Fault(
            "wanted.actuator.catalogue",
            f"no unit is as long as root and pin are apart, {near:.1f} to {far:.1f} mm: {sizes}",
            "a unit of such a length, or other regions",
        )
