"""Emergency extension of a study: every corner, the hardest and the fastest in time, and the envelope of speeds."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from linkage.actuation.conditions import Condition
from linkage.document.study import Study
from linkage.extension.energy import durations, energies, path, reserve
from linkage.extension.envelope import Envelope, envelope
from linkage.extension.faller import Faller, acting, make_faller
from linkage.extension.forces import Fall
from linkage.extension.simulate import Extension, simulate
from linkage.extension.table import exact_rows, make_table
from linkage.gear import Gear
from linkage.mechanism.model import Floats
from linkage.stroke import Stroke

CLOSING = 41
"""Places between first contact and lock at which the closing moment is looked at."""


@dataclass(frozen=True)
class EmergencyExtension:
    """``corners``: conditions tried, with ``reserves``: kinetic energy left at dead centre in J; negative where the
    gear stalls, as what it lacks.

    ``energies``: kinetic energy in J over ``driven`` rad from leg-up to the lock (places, corners), below zero what
    lacks. ``hardest`` (most lacking, or if all lock the slowest) and ``fastest`` (most energy at the lock) are
    simulated in time. ``closing``: least moment on the driven link towards the lock in the hardest condition, from
    first contact to the stop, at rest, N mm: below zero the knee goes home by momentum alone. ``disagreement``: of
    the time simulation and the energy along the way at the last place both reach, as part of the greatest energy.
    ``table_error``: see `linkage.extension.table.Table`.
    """

    corners: tuple[Condition, ...]
    reserves: Floats
    driven: Floats
    energies: Floats
    hardest: Extension
    fastest: Extension
    closing: float
    envelope: Envelope
    required_speeds: tuple[float, float]
    disagreement: float
    table_error: float


def extension(study: Study, gear: Gear, stroke: Stroke, closely: bool = True) -> EmergencyExtension | None:
    """The fall under every condition of ``gear.emergency``, in time and along the way; None if the study has none.

    ``closely``: see `linkage.extension.envelope.envelope`. Raises ``MechanismError`` if the unit forces change too
    abruptly over the stroke to be tabulated.
    """
    faller = make_faller(study, gear, stroke)
    if faller is None:
        return None
    slow, fast = required(study)
    cases = corners(faller, slow, fast)
    way = path(faller)
    energy = energies(faller, way, cases)
    left = reserve(way, energy)
    table = make_table(faller)
    hard, quick = (
        int(np.argmin(np.where(left < 0, left, durations(way, energy) ** -1))),
        int(np.argmax(np.where(left > 0, energy[-1], -np.inf))),
    )
    hardest = simulate(faller, table, cases[hard])
    fastest = hardest if quick == hard else simulate(faller, table, cases[quick])
    return EmergencyExtension(
        corners=cases,
        reserves=left,
        driven=way.driven[::2],
        energies=energy,
        hardest=hardest,
        fastest=fastest,
        closing=_closing(faller, cases[hard]),
        envelope=envelope(faller, closely),
        required_speeds=(slow, fast),
        disagreement=max(
            _apart(hardest, way.driven[::2], energy[:, hard]), _apart(fastest, way.driven[::2], energy[:, quick])
        ),
        table_error=table.error,
    )


def required(study: Study) -> tuple[float, float]:
    """Speeds between which the gear has to lock, m/s: stall with flaps up (else at rest) to emergency extension
    speed."""
    speeds = study.speeds
    slow = speeds.stall_clean or 0.0
    return slow, speeds.emergency_extension or speeds.gear_operating or slow


def corners(faller: Faller, slow: float, fast: float) -> tuple[Condition, ...]:
    """Both speeds with springs due and cold, and new and warm."""
    heat, entry = faller.study.temperatures, faller.entry
    weak, new = faller.study.limits.spring_health.ends(1.0, 1.0)
    springs = [(weak, heat.cold_c), (new, heat.warm_c)]
    if not faller.study.gear.spring:
        springs = springs[1:]
    airs = dict.fromkeys((slow, fast))
    sprung, each = bool(faller.study.gear.spring), itertools.product(airs, springs)
    return tuple(Condition(entry.load_factor, v, entry.thrust, h, t, sprung) for v, (h, t) in each)


def _closing(faller: Faller, case: Condition) -> float:
    rows, sources = exact_rows(faller, np.linspace(faller.first_contact, 0.0, CLOSING))
    fall = Fall(faller, acting(faller, [case]).alone(), sources)
    return -max(float(fall.moments(row, 0.0).total) for row in rows)


def _apart(run: Extension, driven: Floats, energy: Floats) -> float:
    """At the lock, or at the node last passed."""
    passed = int(np.flatnonzero(driven >= run.driven[-1] - 1e-9)[-1])
    here = float(np.interp(-driven[passed], -run.driven, run.kinetic)) if not run.locks else float(run.kinetic[-1])
    return abs(here - max(float(energy[passed]), 0.0)) / max(float(np.max(run.kinetic)), 1e-12)
