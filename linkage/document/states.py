"""States in which keep-out and gaps are judged beside the nominal one: tyre, strut, wheel, engine, play, doors."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import Field, model_validator

from linkage.document.quantities import Angle, Entry, GapLength
from linkage.errors import Fault

if TYPE_CHECKING:
    from linkage.document.study import Study


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


def state_faults(study: Study) -> Iterator[Fault]:
    """States that name what the study does not have."""
    names = [s.name for s in study.state]
    for name in sorted({n for n in names if names.count(n) > 1}):
        yield Fault("state", f"name {name!r} is used {names.count(name)} times", "a name of its own for each")
    for i, state in enumerate(study.state):
        yield from _without(study, state, f"state[{i}]")


def _without(study: Study, state: StateEntry, path: str) -> Iterator[Fault]:
    parts, motion = study.gear.part, study.engine
    stroke, play = study.strut.stroke, study.tolerances.pin_clearance_worn
    pressed = state.compression is not None or state.strut != "extended"
    if state.compression is not None and state.compression > stroke:
        yield Fault(f"{path}.compression", f"{state.compression:g} mm is above strut.stroke", f"at most {stroke:g} mm")
    needs = (
        (state.tyre != "as drawn", not parts or any(p.tyre for p in parts), "tyre", "a [[gear.part]] with tyre = true"),
        (state.tyre == "flat", study.tyre.flat_radius is not None, "tyre", "tyre.flat_radius"),
        (pressed, not parts or any(p.on_piston for p in parts), "strut", "a [[gear.part]] with on_piston = true"),
        (
            state.turned > 0,
            not parts or any(p.tyre or p.steers for p in parts),
            "turned",
            "a part with tyre = true or steers = true",
        ),
        (state.engine == "moving", motion is not None, "engine", "an [engine]"),
        (state.mounts == "aged", motion is not None and motion.aged_sag > 0, "mounts", "engine.aged_sag"),
        (state.play == "taken up", play > 0, "play", "tolerances.pin_clearance_worn"),
        (state.doors == "open", bool(study.gear.door), "doors", "a [[gear.door]]"),
    )
    for asked, there, key, expected in needs:
        if asked and not there:
            field = "compression" if key == "strut" and state.compression is not None else key
            yield Fault(f"{path}.{field}", f"{getattr(state, field)!r} needs {expected}", expected)
