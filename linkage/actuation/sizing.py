"""Size of the unit that makes the force: hydraulic cylinder, electric screw, hand pump or crank.

Relations, each its own function: Pascal's law for the cylinder; the screw after Shigley, Mechanical Engineering
Design, section on power screws (raising and lowering torque, efficiency, self-locking; from memory); virtual work for
hand drives.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from linkage.actuation.drive import Drive
from linkage.document.drive import Hand, Hydraulic, Screw
from linkage.document.gear import Actuator
from linkage.stroke import Stroke

LITRE = 1e6
"""mm3."""


def bore_area(bore: float) -> float:
    """mm2 of a bore in mm: the side that pushes."""
    return math.pi / 4 * bore * bore


def ring_area(bore: float, rod: float) -> float:
    """mm2 between bore and rod in mm: the side that pulls."""
    return math.pi / 4 * (bore * bore - rod * rod)


def pressure_for(force: float, area: float, efficiency: float, back: float = 0.0, back_area: float = 0.0) -> float:
    """MPa for a force in N: (force / efficiency + back pressure x its area) / area."""
    return (force / efficiency + back * back_area) / area


def raising_torque(force: float, s: Screw) -> float:
    """N mm at the screw to move it against a force in N (Shigley): F d/2 (l + pi f d sec a)/(pi d - f l sec a), plus
    the collar's F f_c d_c / 2."""
    d, f = s.mean_diameter, s.friction / math.cos(math.radians(s.flank_angle))
    thread = 0.5 * force * d * (s.lead + math.pi * f * d) / (math.pi * d - f * s.lead)
    return thread + 0.5 * force * s.collar_friction * s.collar_diameter


def lowering_torque(force: float, s: Screw) -> float:
    """N mm to let it run with the force (Shigley): negative where it would run by itself."""
    d, f = s.mean_diameter, s.friction / math.cos(math.radians(s.flank_angle))
    thread = 0.5 * force * d * (math.pi * f * d - s.lead) / (math.pi * d + f * s.lead)
    return thread + 0.5 * force * s.collar_friction * s.collar_diameter


def screw_efficiency(s: Screw) -> float:
    """Lead / (2 pi x raising torque for one newton)."""
    return s.lead / (2.0 * math.pi * raising_torque(1.0, s))


def locking_friction(s: Screw) -> float:
    """Least thread friction at which the screw holds by itself, collar included: from the lowering torque being zero.

    With no collar it is lead / (pi d) x cos(flank angle), the tangent of the lead angle for a square thread.
    """
    d, collar = s.mean_diameter, s.collar_friction * s.collar_diameter
    seen = (s.lead * d - collar * math.pi * d) / (math.pi * d * d + collar * s.lead)
    return max(seen * math.cos(math.radians(s.flank_angle)), 0.0)


@dataclass(frozen=True)
class HydraulicSize:
    """Pressures in MPa for the greatest push and pull; flow in l/min at the greatest speed, NaN without a cycle time;
    ``volume`` litres of one stroke; ``power`` W; ``least_bore`` mm at which the working pressure is enough."""

    push_pressure: float
    pull_pressure: float
    available: float
    flow: float
    volume: float
    power: float
    least_bore: float


@dataclass(frozen=True)
class ScrewSize:
    """``torque`` N mm and ``power`` W at the motor for the greatest force at the greatest speed; ``turns`` of the screw
    per stroke, ``rpm`` at the greatest speed; ``lowering`` N mm per N of load at the screw, positive where it holds;
    ``locking_friction``: the least thread friction at which it does."""

    torque: float
    efficiency: float
    turns: float
    rpm: float
    power: float
    lowering: float
    locking_friction: float

    @property
    def self_locking(self) -> bool:
        return self.lowering >= 0.0


@dataclass(frozen=True)
class HandSize:
    """``effort`` N at the grip for the greatest force; crank turns or pump strokes for one stroke of the gear."""

    kind: str
    effort: float
    strokes: float


@dataclass(frozen=True)
class Sizing:
    """``push`` and ``pull``: greatest forces in N over every condition, both ways; ``speed``: greatest, mm/s, NaN
    without a cycle time."""

    push: float
    pull: float
    speed: float
    hydraulic: HydraulicSize | None
    screw: ScrewSize | None
    hand: HandSize | None


def sizing(entry: Actuator, stroke: Stroke, drive: Drive) -> Sizing:
    push = max(float(np.nanmax(drive.push, initial=0.0)), 0.0)
    pull = max(float(np.nanmax(-drive.push, initial=0.0)), 0.0)
    speed = float("nan") if drive.run is None else float(np.max(np.abs(drive.run.actuator_speed)))
    travel = stroke.actuator_stroke
    hydraulic = None if entry.hydraulic is None else size_hydraulic(entry.hydraulic, push, pull, speed, travel)
    screw = None if entry.screw is None else size_screw(entry.screw, max(push, pull), speed, travel)
    return Sizing(push, pull, speed, hydraulic, screw, _hand(entry, push, pull, travel))


def size_hydraulic(h: Hydraulic, push: float, pull: float, speed: float, travel: float) -> HydraulicSize:
    full, ring, back = bore_area(h.bore), ring_area(h.bore, h.rod), h.back_pressure or 0.0
    pushing, pulling = (
        pressure_for(push, full, h.efficiency, back, ring),
        pressure_for(pull, ring, h.efficiency, back, full),
    )
    rod = math.pi / 4 * h.rod * h.rod
    # p A = push/e + b (A - rod)  and  p (A - rod) = pull/e + b A, each solved for the bore's area A
    areas = [
        (push / h.efficiency - back * rod) / (h.pressure - back),
        (pull / h.efficiency + h.pressure * rod) / (h.pressure - back) if pull > 0 else 0.0,
    ]
    flow = full * speed * 60.0 / LITRE
    power = h.pressure * full * speed / 1000.0
    bore = math.sqrt(max(*areas, 0.0) * 4 / math.pi)
    return HydraulicSize(pushing, pulling, h.pressure, flow, full * travel / LITRE, power, bore)


def size_screw(s: Screw, force: float, speed: float, travel: float) -> ScrewSize:
    torque = raising_torque(force, s) / s.efficiency
    rpm = speed / s.lead * 60.0
    power = torque / 1000.0 * 2.0 * math.pi * rpm / 60.0
    return ScrewSize(
        torque, screw_efficiency(s), travel / s.lead, rpm, power, lowering_torque(1.0, s), locking_friction(s)
    )


def _hand(entry: Actuator, push: float, pull: float, travel: float) -> HandSize | None:
    h = entry.hand
    if h is None:
        return None
    if h.kind == "crank" and entry.screw is not None:
        torque = raising_torque(max(push, pull), entry.screw) / (h.ratio * h.efficiency)
        return HandSize("crank", torque / h.arm, travel / entry.screw.lead * h.ratio)
    if entry.hydraulic is None:
        raise ValueError("the document allows a hand pump only with a cylinder")
    return _pump(h, entry.hydraulic, push, pull, travel)


def _pump(h: Hand, cylinder: Hydraulic, push: float, pull: float, travel: float) -> HandSize:
    size = size_hydraulic(cylinder, push, pull, 0.0, travel)
    swept = bore_area(h.piston or 0.0) * (h.throw or 0.0)  # mm3 a stroke
    work = max(size.push_pressure, size.pull_pressure) * swept / h.efficiency
    return HandSize("pump", work / (h.handle_stroke or 1.0), bore_area(cylinder.bore) * travel / swept)
