"""Tolerances and wear: what the parts as made may differ by from the drawing."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from linkage.document.quantities import Entry, GapLength, Mass, PositiveLength

Part = Annotated[float, Field(ge=0, lt=1)]


class Tolerances(Entry):
    """Every tolerance is the half range: 0.15 stands for +/- 0.15. One of 0 is a dimension held exactly.

    ``pin_clearance_new`` and ``pin_clearance_worn`` are diametral; the state "play taken up" judges the worn one.
    """

    pin_clearance_new: GapLength = 0.0
    """Hole less pin, diametral, as made."""
    pin_clearance_worn: GapLength = 0.0
    """The same when the pin is due for replacement."""
    link_length: GapLength = 0.0
    """Between two holes of one piece: links, lug, pins of actuator and springs on what they push."""
    pin_position: GapLength = 0.0
    """FS and WL of every pin on the airframe, each for itself."""
    knee_stop: GapLength = 0.0
    """Of the stop that makes the lock: over-centre offset at the knee; of a leg stop, travel of the lug."""
    axle: GapLength = 0.0
    """Place of the axle along the leg and square to it, each for itself."""
    part_size: GapLength = 0.0
    """By which the surface of each part of the gear may stand out or lie back, all parts for themselves."""
    bay_item: GapLength = 0.0
    """By which the surface of each bay item may stand nearer or farther."""
    actuator_length: GapLength = 0.0
    """Length of the actuator between its pins at its own end stop, as rigged."""
    actuator_stroke: GapLength = 0.0
    """Between the actuator's own end stops."""
    actuator_force: Part = 0.0
    """Of `gear.actuator.max_force`, as a part of it."""
    spring_force: Part = 0.0
    """Of the force of each spring, as a part of it."""
    empty_mass: Mass = 0.0
    """Uncertainty of the weighing."""
    empty_cg: GapLength = 0.0
    """Uncertainty of the weighing, along FS."""
    rigged: bool = False
    """The actuator's length is set on the aircraft, in the lock: what the build does to it is then taken out, and
    ``actuator_length`` is what remains."""
    knee_stop_arm: PositiveLength | None = None
    """From the pin of the knee to where the faces of its stop meet. With it, play in that pin lets the links turn on
    the stop; without it that effect is left out."""
    distribution: Literal["uniform", "normal"] = "uniform"
    """Uniform: anywhere in the range alike. Normal: the ends of the range lie ``sigmas`` standard deviations from the
    middle, and what lies beyond is cut off."""
    sigmas: Annotated[float, Field(ge=0.5, le=8)] = 3.0
    wear: Literal["new", "worn", "any"] = "worn"
    """Clearance of every pin in the samples: as new, worn to its limit, or anywhere between (each pin for itself)."""
    source: str = "uniform where only the limits are known: JCGM 100:2008, 4.3.7 (from memory)"

    @model_validator(mode="after")
    def _wears_larger(self) -> Tolerances:
        new, worn = self.pin_clearance_new, self.pin_clearance_worn
        if 0 < worn < new:
            raise ValueError(f"pin_clearance_worn {worn:g} mm is below pin_clearance_new; expected at least {new:g} mm")
        return self
