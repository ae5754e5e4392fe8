"""What keeps the lock on its stop when a load pulls it off, and with how much to spare. ULTIMATE loads, N at the stop.

Springs that are declared to hold press all the time and count together, cold and due for replacement. What is left to
hold falls on one of the others: two rigid holders never share by themselves, so the strongest counts alone. Friction
and the weight of the gear itself are not counted.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from linkage.document.study import Study
from linkage.gear import LEG, Gear
from linkage.loads import ConditionLoad, GroundLoads, PointLoad
from linkage.lock.preload import Preload
from linkage.lock.seat import Seat, velocity
from linkage.plane.vectors import dot
from linkage.stroke import Stroke

SPRING, SCREW, OIL, HOOK, INSIDE, LINKS = (
    "spring",
    "self-locking actuator",
    "hydraulic lock",
    "hook",
    "brace lock",
    "lock link",
)


@dataclass(frozen=True)
class Holder:
    """``capacity`` at the stop, N; ``own``: the same as its own force, N; ``per_own``: own force per N at the stop."""

    name: str
    capacity: float
    own: float
    per_own: float


@dataclass(frozen=True)
class Held:
    """The lock under one load, N at the stop, ultimate. ``press``: of the load, positive onto the stop. ``springs``: of
    the springs that count. ``demand``: what the strongest other holder must hold, negative if nothing is left to hold.

    ``brace``: axial force of the brace, compression +. ``lock_link``: of the lock links, None without them.
    ``own``: force in the holder itself, N, 0 if it has nothing to hold.
    """

    load: ConditionLoad
    brace: float
    lock_link: float | None
    press: float
    springs: float
    demand: float
    holder: Holder | None
    link_margin: float | None

    @property
    def capacity(self) -> float:
        return self.holder.capacity if self.holder else 0.0

    @property
    def own(self) -> float:
        return max(self.demand, 0.0) * self.holder.per_own if self.holder else 0.0

    @property
    def margin(self) -> float:
        """Capacity less demand, N."""
        return self.capacity - self.demand


def holders(study: Study, gear: Gear, stroke: Stroke, at: Seat) -> tuple[Holder, ...]:
    """Everything declared to hold, but springs and lock links, strongest first."""
    entry, actuator = study.gear.lock, study.gear.actuator
    if entry is None:
        return ()
    per_push = at.rate / abs(float(stroke.actuator_rate[0])) if stroke.actuator_rate[0] != 0 else math.inf
    static = entry.actuator_force or actuator.max_force or max((r.push for r in actuator.rated), default=0.0)
    known = {
        SCREW: (static, per_push),
        OIL: (entry.hydraulic_force or 0.0, per_push),
        HOOK: (entry.hook.max_force if entry.hook else 0.0, _per_hook(study, gear, stroke, at)),
        INSIDE: (entry.brace_force or 0.0, 1.0),
    }
    found = [Holder(name, own / per, own, per) for name, (own, per) in known.items() if name in entry.holds]
    return tuple(sorted(found, key=lambda h: -h.capacity))


def _per_hook(study: Study, gear: Gear, stroke: Stroke, at: Seat) -> float:
    """Force in the hook per N at the stop."""
    entry = study.gear.lock
    if entry is None or entry.hook is None:
        return math.inf
    speed = velocity(gear, stroke, "hook")
    if entry.hook.line is None:
        moves = abs(speed)
    else:
        turn = math.radians(entry.hook.line)
        moves = abs(float(dot(speed, complex(math.cos(turn), math.sin(turn)))))
    return at.rate / moves if moves > 0 else math.inf


def press_of(gear: Gear, stroke: Stroke, at: Seat, applied: Sequence[PointLoad]) -> float:
    """Force of loads on the leg at the stop of the lock, N, positive onto it: virtual work in the side view."""
    work = 0.0
    for load in applied:
        speed = gear.drive_sense * complex(stroke.motion.velocity(LEG, complex(load.at[0], load.at[2]))[0, 0])
        work += float(dot(speed, complex(load.force[0], load.force[2])))
    return -work / at.rate


def held(study: Study, gear: Gear, stroke: Stroke, at: Seat, loads: GroundLoads, preload: Preload) -> tuple[Held, ...]:
    """For every condition on the whole gear, the load that pulls most and the one that presses most, if they differ."""
    found = holders(study, gear, stroke, at)
    entry, links = study.gear.lock, study.gear.lock_link
    springs = preload.least if entry is not None and SPRING in entry.holds else 0.0
    out: list[Held] = []
    for name in dict.fromkeys(load.condition.name for load in loads.conditions if not load.condition.tow):
        pressed = [(x.factor * press_of(gear, stroke, at, x.applied), x) for x in loads.under(name)]
        for press, load in _extremes(pressed):
            link = None if load.lock_link is None else load.factor * load.lock_link
            limit = links.max_force if links else None
            out.append(
                Held(
                    load=load,
                    brace=load.factor * load.brace,
                    lock_link=link,
                    press=press,
                    springs=springs,
                    demand=-(press + springs),
                    holder=found[0] if found else None,
                    link_margin=None if link is None or limit is None else limit - abs(link),
                )
            )
    return tuple(out)


def _extremes(pressed: Sequence[tuple[float, ConditionLoad]]) -> Iterator[tuple[float, ConditionLoad]]:
    least, most = min(pressed, key=lambda p: p[0]), max(pressed, key=lambda p: p[0])
    yield least
    if most[1] is not least[1]:
        yield most
