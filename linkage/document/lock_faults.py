"""Faults of lock, brace kind and doors that only show when several tables are read together."""

from __future__ import annotations

from collections.abc import Iterator

from linkage.document.gear import GearEntry
from linkage.errors import Fault

RESERVED = {"leg", "upper link", "lower link", "upper lock link", "lower lock link", "brace", "bell-crank", "crank rod"}


def lock_faults(gear: GearEntry) -> Iterator[Fault]:
    """A knee that is not past its line needs lock links, and what holds the lock needs to be there."""
    yield from _offset(gear)
    links = gear.lock_link is not None
    if links and gear.brace.kind != "folding":
        yield Fault("gear.lock_link", f"a {gear.brace.kind} brace has no knee to hold", "a folding brace")
    if gear.actuator.pushes == "brace" and gear.brace.kind != "telescoping":
        yield Fault("gear.actuator.pushes", f"'brace' is a {gear.brace.kind} one", "a telescoping brace")
    yield from _holders(gear)
    taken = RESERVED | {s.name for s in gear.spring} | {"actuator"}
    for i, door in enumerate(gear.door):
        if door.name in taken:
            yield Fault(f"gear.door[{i}].name", f"{door.name!r} is the name of another body", "a name of its own")


def _offset(gear: GearEntry) -> Iterator[Fault]:
    offset = gear.brace.over_centre
    if offset is not None and (offset == 0 or (offset < 0 and gear.lock_link is None)):
        yield Fault(
            "gear.brace.over_centre",
            f"{offset:g} mm puts the knee on or before centre",
            "above 0 mm (common practice 1.5 to 8 mm, no source); below 0 mm only with [gear.lock_link]",
        )


def _holders(gear: GearEntry) -> Iterator[Fault]:
    missing = {
        "lock link": (gear.lock_link is None, "a [gear.lock_link]"),
        "spring": (not gear.spring and not gear.lock_spring, "a [[gear.spring]] or [[gear.lock_spring]]"),
        "self-locking actuator": (not gear.actuator.self_locking, "gear.actuator.self_locking = true"),
        "brace lock": (gear.brace.kind == "folding", "a telescoping brace, or one whose root slides"),
    }
    for holder in gear.lock.holds if gear.lock else ():
        absent, expected = missing.get(holder, (False, ""))
        if absent:
            yield Fault("gear.lock.holds", f"{holder!r} is not in this gear", expected)
