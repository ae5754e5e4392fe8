"""Faults of states: what they name that the study does not have."""

from __future__ import annotations

from collections.abc import Iterator

from linkage.document.states import StateEntry
from linkage.document.study import Study
from linkage.errors import Fault


def state_faults(study: Study) -> Iterator[Fault]:
    """States that name what the study does not have."""
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
