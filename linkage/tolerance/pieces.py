"""The dimensions and pins of a study that vary: one list, in one order, for everything that follows."""

from __future__ import annotations

from collections.abc import Iterator

from linkage.document.quantities import Place
from linkage.document.study import Study
from linkage.gear import Gear
from linkage.lock import stops
from linkage.tolerance.model import Dimension

KNEE_STOP, LOCK_STOP, LEG_STOP = "knee stop", "lock-link stop", "leg stop"
UPPER, LOWER, BRACE = "upper link", "lower link", "brace length"
LOCK_UPPER, LOCK_LOWER = "upper lock link", "lower lock link"
RIG, STROKE, FORCE = "actuator length", "actuator stroke", "actuator force"
MASS, CG = "empty mass", "empty CG FS"


def governing(study: Study, gear: Gear) -> tuple[str, ...]:
    """The stops that set the lock, the one that is taken to govern first; none without an over-centre pair."""
    if gear.locking is None:
        return ()
    present = stops(study.gear, gear).present
    own = LOCK_STOP if gear.lock_link is not None else KNEE_STOP
    return tuple(dict.fromkeys(s for s in (own, KNEE_STOP, LEG_STOP) if s in present)) or (own,)


def dimensions(study: Study, gear: Gear) -> tuple[Dimension, ...]:
    """Every number that may vary, also those that are held (limit 0)."""
    return (*_airframe(study), *_links(study, gear), *_units(study), *_surfaces(study), *_masses(study))


def pins(study: Study, gear: Gear) -> tuple[str, ...]:
    """Pins whose play is followed."""
    brace = ("trunnion", "upper pin", *(("knee",) if gear.brace.has_knee else ()), "lug")
    lock = ("lock root", "lock knee", "lock pin") if gear.lock_link is not None else ()
    own = ("actuator root", "actuator pin") if study.gear.actuator.root is not None else ()
    return (*brace, *lock, *own)


def _airframe(study: Study) -> Iterator[Dimension]:
    limit, field = study.tolerances.pin_position, "pin_position"
    names = ["trunnion", "upper pin"]
    names += ["lock root"] if study.gear.lock_link is not None else []
    names += ["actuator root"] if study.gear.actuator.root is not None else []
    names += [f"{s.name} root" for s in study.gear.spring]
    for name in names:
        yield Dimension(f"{name} FS", limit, "mm", field)
        yield Dimension(f"{name} WL", limit, "mm", field)


def _links(study: Study, gear: Gear) -> Iterator[Dimension]:
    t = study.tolerances
    names = [UPPER, LOWER] if gear.brace.has_knee else [BRACE]
    names += [LOCK_UPPER, LOCK_LOWER] if gear.lock_link is not None else []
    for name in names:
        yield Dimension(name, t.link_length, "mm", "link_length")
    held = {"lug": study.gear.brace.lug, "lock pin": study.gear.lock_link.pin if study.gear.lock_link else None}
    held["actuator pin"] = study.gear.actuator.pin
    held |= {f"{s.name} pin": s.pin for s in study.gear.spring}
    for name, place in held.items():
        if _own_hole(place):
            yield Dimension(f"{name} along", t.link_length, "mm", "link_length")
            yield Dimension(f"{name} across", t.link_length, "mm", "link_length")
    for stop in governing(study, gear):
        yield Dimension(stop, t.knee_stop, "mm", "knee_stop")
    yield Dimension("axle along", t.axle, "mm", "axle")
    yield Dimension("axle across", t.axle, "mm", "axle")


def _own_hole(place: Place | None) -> bool:
    """A hole of its own, not one that is a pin of another name."""
    return place is not None and place.pin is None


def _units(study: Study) -> Iterator[Dimension]:
    t = study.tolerances
    yield Dimension(RIG, t.actuator_length, "mm", "actuator_length")
    yield Dimension(STROKE, t.actuator_stroke, "mm", "actuator_stroke")
    yield Dimension(FORCE, t.actuator_force, "", "actuator_force")
    for spring in study.gear.spring:
        yield Dimension(f"force of {spring.name}", t.spring_force, "", "spring_force")


def _surfaces(study: Study) -> Iterator[Dimension]:
    t = study.tolerances
    for part in study.gear.part:
        yield Dimension(f"surface of {part.name}", t.part_size, "mm", "part_size")
    for item in study.bay.item:
        yield Dimension(f"surface of bay item {item.name}", t.bay_item, "mm", "bay_item")


def _masses(study: Study) -> Iterator[Dimension]:
    yield Dimension(MASS, study.tolerances.empty_mass, "kg", "empty_mass")
    yield Dimension(CG, study.tolerances.empty_cg, "mm", "empty_cg")
