"""States in which keep-out and gaps are judged beside the nominal one: tyre, strut, wheel, engine, play, doors."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from linkage.document.quantities import Angle, Entry, GapLength


class StateEntry(Entry):
    """One state of gear and engine. What is left out is as in the nominal state: parts as drawn, strut extended, wheel
    straight, engine at rest, no play, gear moving over the whole stroke."""

    name: str
    gear: Literal["moving", "down", "up"] = "moving"
    """Whether the gear moves over its stroke, or rests at one end of it."""
    tyre: Literal["as drawn", "new", "grown", "flat"] = "as drawn"
    """Tyre parts take radius and width of this tyre from [tyre]; a flat one the grown width."""
    strut: Literal["extended", "static", "bottomed", "any"] = "extended"
    """any: stuck at any compression, all of them are covered."""
    compression: GapLength | None = None
    """Stuck at this compression, instead of ``strut``."""
    turned: Annotated[Angle, Field(ge=0, lt=90)] = 0.0
    """Wheel anywhere up to this angle off centre, to both sides."""
    engine: Literal["at rest", "moving"] = "at rest"
    """moving: everywhere within [engine] rock, sag and fore_aft."""
    mounts: Literal["new", "aged"] = "new"
    """aged: the engine anywhere down to [engine] aged_sag lower."""
    play: Literal["none", "taken up"] = "none"
    """taken up: every pin anywhere within its worn clearance."""
    doors: Literal["driven", "open"] = "driven"
    """open: doors stay where they are with the gear down, whatever the gear does."""
    keep_out: bool = False
    """Whether the keep-out covers this state too."""
    judged: Literal["required gap", "contact", "no"] = "required gap"
    """contact: a failure state, in which items need only not be touched; no: reported only."""
    note: str = ""

    @model_validator(mode="after")
    def _one_strut(self) -> StateEntry:
        if self.compression is not None and self.strut != "extended":
            raise ValueError(f"strut {self.strut!r} and compression; expected one of them")
        return self
