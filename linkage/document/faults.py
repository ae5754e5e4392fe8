"""Faults that only show when several tables are read together."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import chain

from linkage.document.gear import GearEntry
from linkage.document.lock_faults import lock_faults
from linkage.document.state_faults import state_faults
from linkage.document.study import Study
from linkage.errors import Fault
from linkage.plane.outlines import polygon_of

SMALLEST_TYRE = 120.0
"""mm; no aircraft tyre in the published tables is this small, so a smaller one is a number in the wrong unit."""


def faults(study: Study) -> list[Fault]:
    """Every cross-table fault of a document that has the right shape."""
    return list(
        chain(
            _units(study),
            _wheelbase(study),
            _cg_height(study),
            _springs(study),
            _names(study),
            _outlines(study),
            _neighbours(study),
            _stations(study),
            _drive(study),
            lock_faults(study.gear),
            state_faults(study),
        )
    )


def _units(study: Study) -> Iterator[Fault]:
    """A figure in inches inside a millimetre file is 25.4 times too small beside the others."""
    declared = study.units.length
    tyre = study.tyre
    for name in ("outside_diameter", "width", "rim_diameter", "static_loaded_radius"):
        value, floor = getattr(tyre, name), SMALLEST_TYRE * {"outside_diameter": 1.0}.get(name, 0.3)
        if value < floor and floor <= value * 25.4 < 20 * floor:
            yield Fault(
                f"tyre.{name}",
                f"{value:g} mm is too small for an aircraft tyre",
                f"a length in {declared}; {value:g} looks like inches: {value * 25.4:g} mm, or write '{value:g} in'",
            )
    wheelbase = abs(study.airframe.main_gear.contact[0] - study.gear.trunnion[0])
    parts = {"gear.leg.length": study.gear.leg.length, "airframe.main_gear.track": study.airframe.main_gear.track}
    for field, value in parts.items():
        if tyre.outside_diameter >= SMALLEST_TYRE and value * 12 < tyre.outside_diameter <= value * 254:
            yield Fault(
                field,
                f"{value:g} mm is {value / tyre.outside_diameter:.3f} of the tyre diameter",
                f"a length in {declared}; {value:g} looks like inches: {value * 25.4:g} mm, or write '{value:g} in'",
            )
    if tyre.outside_diameter > wheelbase > 0:
        yield Fault(
            "tyre.outside_diameter",
            f"{tyre.outside_diameter:g} mm is larger than the distance trunnion to mains {wheelbase:g} mm",
            f"a tyre smaller than {wheelbase:g} mm",
        )


def _wheelbase(study: Study) -> Iterator[Fault]:
    mains, trunnion = study.airframe.main_gear.contact, study.gear.trunnion
    reach = study.gear.leg.length
    if mains[0] <= trunnion[0] + 0.05 * reach:
        yield Fault(
            "airframe.main_gear.contact",
            f"FS {mains[0]:g} mm leaves no wheelbase behind the nose trunnion at FS {trunnion[0]:g} mm",
            f"main wheels well aft of FS {trunnion[0]:g} mm",
        )
    elif mains[0] <= study.airframe.cg_limits.aft:
        yield Fault(
            "airframe.main_gear.contact",
            f"FS {mains[0]:g} mm is not aft of the aft CG limit FS {study.airframe.cg_limits.aft:g} mm",
            f"main wheels aft of FS {study.airframe.cg_limits.aft:g} mm, or the aircraft sits on its tail",
        )


def _cg_height(study: Study) -> Iterator[Fault]:
    ground, empty, record = study.airframe.main_gear.contact[1], study.loading.empty, study.loading.weighing
    given = {"empty.at": empty.at[1] if empty else None, "weighing.cg_wl": record.cg_wl if record else None}
    for name, height in given.items():
        if height is not None and height <= ground:
            yield Fault(
                f"loading.{name}",
                f"WL {height:g} mm is not above the ground at WL {ground:g} mm",
                "a CG above the ground",
            )


def _springs(study: Study) -> Iterator[Fault]:
    """A curve must not give way further than there is room: the stroke of the strut, the section of the tyre."""
    tyre, springs = study.tyre, study.springs
    for name, entry, room, what in (
        ("nose_strut", springs.nose_strut, study.strut.stroke, "strut.stroke"),
        ("nose_tyre", springs.nose_tyre, (tyre.outside_diameter - tyre.rim_diameter) / 2, "section height of the tyre"),
    ):
        if entry is not None and entry.curve is not None and entry.curve[-1][1] > room:
            yield Fault(
                f"springs.{name}.curve",
                f"ends at a deflection of {entry.curve[-1][1]:g} mm",
                f"at most {room:g} mm, the {what}",
            )


def _names(study: Study) -> Iterator[Fault]:
    for field, names in (
        ("loading.item", [i.name for i in study.loading.item]),
        ("gear.part", [p.name for p in study.gear.part] + [d.name for d in study.gear.door]),
        ("gear.spring", [s.name for s in study.gear.spring]),
        ("bay.item", [i.name for i in study.bay.item]),
        ("state", [s.name for s in study.state]),
    ):
        for name in sorted({n for n in names if names.count(n) > 1}):
            yield Fault(field, f"name {name!r} is used {names.count(name)} times", "a name of its own for each")


def _outlines(study: Study) -> Iterator[Fault]:
    for i, item in enumerate(study.bay.item):
        if item.outline is not None:
            reason = _no_outline(item.outline)
            if reason is not None:
                yield Fault(
                    f"bay.item[{i}].outline", f"{item.name!r}: {reason}", "an outline that does not cross itself"
                )
        if item.butt_lines is not None:
            yield from _intervals(f"bay.item[{i}].butt_lines", item.name, item.butt_lines)
        yield from _unknown_parts(study, i)
    for i, part in enumerate(study.gear.part):
        yield from _intervals(f"gear.part[{i}].butt_lines", part.name, part.butt_lines)


@lru_cache(maxsize=1024)
def _no_outline(outline: tuple[tuple[float, float], ...]) -> str | None:
    """Why it is none; kept, for a study that is being changed is looked through anew each time."""
    found = polygon_of([complex(*p) for p in outline])
    return found if isinstance(found, str) else None


def _unknown_parts(study: Study, i: int) -> Iterator[Fault]:
    known = {p.name for p in study.gear.part} | {d.name for d in study.gear.door}
    for name in study.bay.item[i].ignore_parts:
        if name not in known:
            yield Fault(f"bay.item[{i}].ignore_parts", f"no part is called {name!r}", f"one of {sorted(known)}")


def _intervals(field: str, name: str, intervals: tuple[tuple[float, float], ...]) -> Iterator[Fault]:
    if not intervals:
        yield Fault(field, f"{name!r} has no butt-line interval", "at least one [low, high]")
    for low, high in intervals:
        if low >= high:
            yield Fault(field, f"{name!r}: [{low:g}, {high:g}] has no width", "[low, high] with low below high")


def _drive(study: Study) -> Iterator[Fault]:
    air, emergency = study.air, study.gear.emergency
    if air is not None and air.thrust > 0 and study.airframe.propeller is None:
        yield Fault("air.thrust", f"{air.thrust:g} N has no propeller disk to blow through", "an [airframe.propeller]")
    springs = [s.name for s in study.gear.spring]
    for i, damper in enumerate(emergency.damper if emergency is not None else ()):
        field, freed = f"gear.emergency.damper[{i}].on", emergency is not None and emergency.actuator == "freed"
        if damper.on == "actuator" and freed:
            yield Fault(field, "'actuator' is freed and damps nothing", "gear.emergency.actuator = 'bypass'")
        elif damper.on != "actuator" and damper.on not in springs:
            yield Fault(field, f"no unit is called {damper.on!r}", f"one of {['actuator', *springs]}")


def _stations(study: Study) -> Iterator[Fault]:
    """Not a check of the leg alone: where its length is in the wrong unit, that must be said first."""
    leg = study.gear.leg
    for i, station in enumerate(leg.stations):
        if station > leg.length:
            yield Fault(
                f"gear.leg.stations[{i}]",
                f"{station:g} mm is beyond the axle",
                f"at most gear.leg.length {leg.length:g} mm",
            )


def _neighbours(study: Study) -> Iterator[Fault]:
    gear: GearEntry = study.gear
    known = {p.name for p in gear.part} | {d.name for d in gear.door}
    for i, pair in enumerate(gear.neighbours):
        for name in pair:
            if name not in known:
                yield Fault(f"gear.neighbours[{i}]", f"no part is called {name!r}", f"one of {sorted(known)}")
