"""A study given by its pieces: the same gear, told by link lengths and by holes in links.

A drawing may give the knee or a pin of a link as a place in the aircraft. What is made are pieces: a link keeps its
holes wherever the gear stands. So places on moving bodies become places on those bodies, and a drawn brace becomes link
lengths and the offset of its stop.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from linkage.document.gear import Brace, GearEntry
from linkage.document.quantities import Place
from linkage.document.study import Study
from linkage.gear import LEG, Gear
from linkage.gear.frame import LINES


def twin(study: Study, gear: Gear) -> Study:
    """The study told by its pieces. ``gear`` is the one built of it."""
    entry = study.gear
    changed: dict[str, Any] = {
        "brace": _brace(entry.brace, gear),
        "leg": entry.leg.model_copy(update={"tilt": None}),
        "actuator": _actuator(entry, gear),
        "spring": tuple(_moved(s, gear, s.on, "pin") for s in entry.spring),
        "lock_spring": tuple(
            _moved(_moved(s, gear, s.start_on, "start"), gear, s.end_on, "end") for s in entry.lock_spring
        ),
        "door": tuple(_moved(d, gear, d.on, "rod_on_gear") for d in entry.door),
        "mass": tuple(_moved(m, gear, m.on, "at") for m in entry.mass),
        "part": tuple(_moved(p, gear, p.on, "centre", "start", "end", "outline") for p in entry.part),
    }
    if entry.lock_link is not None and gear.lock_link is not None:
        sizes = {"knee": None, "upper_link": gear.lock_link.upper_link, "over_centre": gear.lock_link.over_centre}
        changed["lock_link"] = _moved(entry.lock_link.model_copy(update=sizes), gear, "upper link", "pin")
    if entry.lock is not None and entry.lock.hook is not None:
        hook = _moved(entry.lock.hook, gear, entry.lock.hook.on, "at")
        changed["lock"] = entry.lock.model_copy(update={"hook": hook})
    if entry.up_stop is not None:
        changed["up_stop"] = _moved(entry.up_stop, gear, LEG, "at")
    return study.model_copy(update={"gear": entry.model_copy(update=changed)})


def _brace(brace: Brace, gear: Gear) -> Brace:
    shape = gear.brace
    if brace.kind != "folding":
        return brace.model_copy(update={"length": shape.span})
    sizes = {"upper_link": shape.upper_link, "lower_link": shape.lower_link, "over_centre": shape.over_centre}
    return brace.model_copy(update={"knee": None, **sizes})


def _actuator(entry: GearEntry, gear: Gear) -> Any:
    moved = _moved(entry.actuator, gear, entry.actuator.pushes, "pin")
    if entry.actuator.crank is not None:
        crank = _moved(entry.actuator.crank, gear, entry.actuator.crank.drives, "end")
        moved = moved.model_copy(update={"crank": crank})
    return moved


def _moved(table: Any, gear: Gear, body: str, *fields: str) -> Any:
    """The table with its places on ``body`` told on that body."""
    update: dict[str, Any] = {}
    for field in fields:
        value = getattr(table, field)
        if isinstance(value, Place):
            update[field] = on_body(value, gear, body)
        elif value is not None:
            update[field] = tuple(on_body(p, gear, body) for p in value)
    return table.model_copy(update=update)


def on_body(place: Place, gear: Gear, body: str) -> Place:
    """The same place told on its body; as it is where it already is, or where the body has no line of its own."""
    if place.at is None:
        return place
    here = complex(*place.at)
    if body == LEG:
        arm = (here - gear.pins["trunnion"].at) / gear.down
        return Place(along=float(arm.real), offset=float(arm.imag))
    ends = LINES.get(body)
    if ends is None or not set(ends) <= gear.pins.keys():
        return place
    start, end = (gear.pins[name].at for name in ends)
    arm = (here - start) / (end - start) * abs(end - start)
    return Place(radius=float(abs(arm)), angle=float(np.degrees(np.angle(arm)))) if abs(arm) > 0 else place
