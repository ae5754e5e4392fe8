"""Every condition on every loading that matters: wheel, brace, lock, pins, leg. The loads of a review in one result."""

from __future__ import annotations

import cmath
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from linkage.document.study import Study
from linkage.gear import Gear
from linkage.loading import LoadModel
from linkage.loads.buckling import Column, columns
from linkage.loads.conditions import Condition, conditions
from linkage.loads.envelope import ConditionLoad, Governing, governing, worth_keeping
from linkage.loads.leg import LegLine, leg_loads
from linkage.loads.locked import LockedLoad, locking_pair, reference_loads, stop_force
from linkage.loads.lost import push_for_moment
from linkage.loads.statics import (
    LoadPath,
    PointLoad,
    brace_force,
    checked,
    load_path,
    moment_about_trunnion,
    on_airframe,
    point_load,
    space,
)
from linkage.loads.worst import Corner, worst_corners
from linkage.plane.vectors import dot
from linkage.stance import Ground, axle_at
from linkage.stroke import Stroke


@dataclass(frozen=True)
class GroundLoads:
    """``locked``: the reference loads of `linkage.loads.locked`, on ``nose_load`` in N.

    ``conditions``: every condition of the study at the loadings and strut positions that are worst for some part, in
    the study's order; ``governing``: which of them governs which part; ``columns``: buckling of the brace;
    ``left_out``: rules that are no condition here, and why; ``safety_factor``: ultimate / limit; ``source``
    of the set.
    """

    nose_load: float
    locked: tuple[LockedLoad, ...]
    conditions: tuple[ConditionLoad, ...]
    governing: tuple[Governing, ...]
    columns: tuple[Column, ...]
    left_out: tuple[tuple[str, str], ...]
    safety_factor: float
    source: str

    def of(self, name: str) -> LockedLoad:
        """A reference load by its name."""
        return next(load for load in self.locked if load.condition.name == name)

    def under(self, name: str) -> tuple[ConditionLoad, ...]:
        """Loads of one condition of the study."""
        return tuple(load for load in self.conditions if load.condition.name == name)


def ground_loads(
    study: Study, gear: Gear, stroke: Stroke, grounds: Sequence[Ground], model: LoadModel, nose_load: float
) -> GroundLoads:
    """All of it. ``nose_load``: greatest static nose load in N, for the reference loads.

    ``DocumentError`` for a condition on a ground state or tow fitting that is not there; ``MechanismError`` if the
    brace cannot hold the leg; `ClosureError` if the balance fails, which is a fault of the program.
    """
    static = next(g for g in grounds if g.state == "static")
    chosen, left_out = conditions(study, grounds)
    bench = _Bench(study, gear, stroke)
    safety = study.conditions.safety_factor
    kept: list[ConditionLoad] = []
    for condition in chosen:
        kept += worth_keeping(list(bench.loads(condition, worst_corners(condition, model), safety)))
    governs = governing(kept)
    press = next((g.ultimate for g in governs if (g.part, g.what) == ("drag brace", "compression")), 0.0)
    book = study.conditions.chosen_set
    return GroundLoads(
        nose_load,
        reference_loads(study, gear, bench.path, static, nose_load),
        tuple(kept),
        governs,
        columns(study, gear, press),
        left_out,
        safety,
        f"{book.title} ({book.status})" if book.status else book.title,
    )


class _Bench:
    """The gear on the bench: everything about it that does not change from load to load."""

    def __init__(self, study: Study, gear: Gear, stroke: Stroke) -> None:
        self.study, self.gear = study, gear
        self.hold = push_for_moment(gear, stroke)
        self.path: LoadPath = load_path(study, gear)
        arm = gear.brace.lug - gear.pins["trunnion"].at
        self.line = LegLine(
            gear.pins["trunnion"].at, gear.down, gear.aft, float(dot(arm, gear.down)), study.gear.leg.stations
        )
        root = gear.pins.get("actuator root")
        self.actuator = (
            None
            if root is None
            else point_load("actuator root", space(root.at, study.gear.actuator.butt_line), np.zeros(3))
        )

    def loads(self, condition: Condition, corners: Sequence[Corner], safety: float) -> Iterator[ConditionLoad]:
        for corner in corners:
            for strut in condition.struts:
                yield self.load(condition, corner, strut, safety)

    def load(self, condition: Condition, corner: Corner, strut: float, safety: float) -> ConditionLoad:
        applied = self.applied(condition, corner, strut)
        brace = brace_force(self.path, applied)
        airframe = on_airframe(self.path, applied, brace)
        if self.actuator is not None:  # a lock that holds leaves nothing to the actuator
            airframe = (*airframe, self.actuator)
        push = point_load("brace", space(self.path.lug, self.path.brace_bl), brace * space(self.path.line))
        pair, axial = locking_pair(self.gear, self.path, brace)
        end = self.study.gear.leg.length - strut
        return ConditionLoad(
            condition=condition,
            corner=corner,
            strut=strut,
            factor=safety if condition.level == "limit" else 1.0,
            applied=applied,
            brace=brace,
            lock_link=None if self.path.lock_link is None else axial,
            stop=stop_force(pair, axial),
            stop_couple=axial * pair.over_centre,
            airframe=airframe,
            push_if_lost=None if self.hold is None else self.hold * moment_about_trunnion(self.path, applied),
            leg=leg_loads(self.line, end, applied, push),
            closure=checked(applied, airframe, condition.name),
        )

    def applied(self, condition: Condition, corner: Corner, strut: float) -> tuple[PointLoad, ...]:
        """Loads on the gear by the ground and by a tow bar. The ground's own directions are turned by the pitch."""
        ground = condition.ground
        axle = axle_at(self.gear, strut)
        contact = axle + (ground.nose - ground.axle)
        size = corner.weight if condition.of_weight else corner.vertical
        along = cmath.exp(1j * ground.pitch)
        up = corner.vertical * space(1j * along)
        flat = size * (condition.fore_aft * space(along) + condition.side * np.array([0.0, 1.0, 0.0]))
        if condition.at == "axle":
            return (point_load("axle", space(axle), up + flat),)
        if condition.at == "contact":
            return (point_load("ground contact", space(contact), up + flat),)
        fitting = self.study.gear.leg.tow_fitting
        if fitting is None or fitting.along is None:
            raise ValueError("a tow condition without a tow fitting must not come this far")
        place = self.gear.on_leg(fitting.along - strut, fitting.offset)
        return (point_load("axle", space(axle), up), point_load("tow fitting", space(place), flat))
