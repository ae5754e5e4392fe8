"""How far struts and tyres give way under load: rates, or curves of load against deflection."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated

from pydantic import Field, model_validator

from linkage.document.quantities import Entry, GapLength, LeastForce, Stiffness


class Springiness(Entry):
    """``rate``, or ``curve`` = pairs [load, deflection] from [0, 0] up, straight between them. One of the two.

    A curve needs rising loads and deflections that never fall: a preload is a step such as [0, 0], [900, 0], ...
    """

    rate: Stiffness | None = None
    curve: Annotated[tuple[tuple[LeastForce, GapLength], ...], Field(min_length=2)] | None = None
    source: str

    @model_validator(mode="after")
    def _one_form(self) -> Springiness:
        if (self.rate is None) == (self.curve is None):
            raise ValueError("expected one of rate and curve")
        return self

    @model_validator(mode="after")
    def _monotonic(self) -> Springiness:
        if self.curve is None:
            return self
        if self.curve[0] != (0.0, 0.0):
            load, deflection = self.curve[0]
            raise ValueError(f"curve begins at [{load:g} N, {deflection:g} mm]; expected [0, 0] first")
        for i, ((load, deflection), (more, further)) in enumerate(pairwise(self.curve), start=1):
            if more <= load:
                raise ValueError(f"curve[{i}] load {more:g} N does not rise; expected above {load:g} N")
            if further < deflection:
                raise ValueError(
                    f"curve[{i}] deflection {further:g} mm falls while the load rises; expected at least"
                    f" {deflection:g} mm"
                )
        return self


class Springs(Entry):
    """Give of struts and tyres; what is left out stays as drawn.

    ``nose_strut``: load along the leg. ``nose_tyre`` and ``main_tyre``: of one tyre, load square to the ground.
    ``main_strut``: of one main leg, vertical travel of its wheel. ``main_drawn_load``: load on one main leg with which
    airframe.main_gear.contact is drawn.
    """

    nose_strut: Springiness | None = None
    nose_tyre: Springiness | None = None
    main_strut: Springiness | None = None
    main_tyre: Springiness | None = None
    main_drawn_load: LeastForce | None = None

    @model_validator(mode="after")
    def _drawn(self) -> Springs:
        main = self.main_strut is not None or self.main_tyre is not None
        if main and self.main_drawn_load is None:
            raise ValueError(
                "main_drawn_load is missing; expected the load on one main leg with which main_gear.contact is drawn"
            )
        return self
