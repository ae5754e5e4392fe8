"""Loading of a study: empty aircraft, given or weighed, and what may be aboard."""

from __future__ import annotations

from collections import Counter
from typing import Annotated, Literal

from pydantic import Field, model_validator

from linkage.document.quantities import Entry, Length, Mass, Point, PositiveMass, SignedMass


class Empty(Entry):
    """Empty aircraft, gear down."""

    mass: PositiveMass
    at: Point
    bl: Length = 0.0


class Item(Entry):
    name: str
    min: Mass
    max: Mass
    at: Point
    bl: Length = 0.0
    optional: bool = False
    group: str | None = None
    """Optional items of one group exclude each other."""
    kind: Literal["payload", "fuel"] = "payload"

    @model_validator(mode="after")
    def _ordered(self) -> Item:
        if self.min > self.max:
            raise ValueError(f"min {self.min:g} kg is above max {self.max:g} kg; expected min at most {self.max:g} kg")
        if self.group is not None and not self.optional:
            raise ValueError(f"group {self.group!r} is for optional items; expected optional = true")
        return self


class ReadingEntry(Entry):
    """What one scale said, or several equal ones. ``per`` says whether ``reading`` and ``tare`` stand for each wheel,
    each leg or the whole group; ``station`` counts from the datum of the weighing, aft positive."""

    name: str
    reading: Mass
    station: Length
    per: Literal["wheel", "leg", "group"]
    legs: Annotated[int, Field(ge=1)] = 1
    wheels_per_leg: Annotated[int, Field(ge=1)] = 1
    tare: Mass = 0.0
    bl: Length = 0.0


class CorrectionEntry(Entry):
    """Something weighed that is not part of the empty aircraft (negative mass), or that was missing (positive)."""

    name: str
    mass: SignedMass
    station: Length
    bl: Length = 0.0


class Weighing(Entry):
    """A weighing, aircraft level, gear down. ``datum_fs``: aircraft FS of the point the stations are measured from.
    ``cg_wl``: height of the empty CG, which a level weighing cannot tell."""

    cg_wl: Length
    datum_fs: Length = 0.0
    level: Literal[True] = True
    reading: Annotated[tuple[ReadingEntry, ...], Field(min_length=1)]
    correction: tuple[CorrectionEntry, ...] = ()
    source: str = ""


class LoadingEntry(Entry):
    """Empty aircraft (gear down) and what may be loaded. ``empty`` as numbers or as a ``weighing``, one of them."""

    empty: Empty | None = None
    weighing: Weighing | None = None
    item: tuple[Item, ...] = ()
    max_mass: PositiveMass
    max_zero_fuel_mass: PositiveMass | None = None
    min_mass: PositiveMass | None = None
    """Least total mass that counts as a loading, such as the least flying mass."""
    burn_order: tuple[str, ...] = ()
    """Fuel items in the order in which they are emptied; those not named follow as listed."""
    map: tuple[str, str] | None = None
    """Two items whose combinations are drawn against the limits, such as forward and aft baggage."""

    @model_validator(mode="after")
    def _one_empty(self) -> LoadingEntry:
        if (self.empty is None) == (self.weighing is None):
            found = "empty and weighing are both given" if self.empty else "neither empty nor weighing is given"
            raise ValueError(f"{found}; expected one of them")
        return self

    @model_validator(mode="after")
    def _can_be_loaded(self) -> LoadingEntry:
        if self.empty is None:
            return self
        least = self.empty.mass + sum(i.min for i in self.item if not i.optional)
        if least > self.max_mass:
            raise ValueError(
                f"max_mass {self.max_mass:g} kg is below the least mass {least:g} kg (empty and all items at min);"
                f" expected max_mass at least {least:g} kg"
            )
        return self

    @model_validator(mode="after")
    def _known_names(self) -> LoadingEntry:
        names = [i.name for i in self.item]
        fuels = [i.name for i in self.item if i.kind == "fuel"]
        for field, wanted, known in (("map", self.map or (), names), ("burn_order", self.burn_order, fuels)):
            for name in wanted:
                if name not in known:
                    what = "an item" if field == "map" else "an item of kind fuel"
                    raise ValueError(f"{field} {name!r} is not {what}; expected one of {', '.join(known) or 'none'}")
            if any(n > 1 for n in Counter(wanted).values()):
                raise ValueError(f"{field} names {wanted[0]!r} twice; expected different items")
        return self
