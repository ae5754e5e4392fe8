"""Which pose each frame of a clip shows, and the numbers beside it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linkage.extension import Extension
from linkage.mechanism.model import Floats
from linkage.results import Results
from linkage.stroke import swing_at

HOLD = 20
"""Frame times for which the picture stands still at the lock, at the tightest gap and at leg-up."""


@dataclass(frozen=True)
class Frames:
    """Driven rotation of each frame and the readouts there; ``time`` in s for a clip in real time, else None."""

    driven: Floats
    swing_deg: Floats
    length: Floats
    push: Floats
    knee: Floats
    margin: Floats
    pair: tuple[tuple[str, str], ...]
    hold: tuple[int, ...]
    time: Floats | None = None

    @property
    def count(self) -> int:
        return len(self.driven)


def steady(r: Results, count: int) -> Frames:
    """The retraction as a steady actuator would run it: equal steps of actuator length."""
    length, driven = r.stroke.actuator_length, r.stroke.driven
    run = np.maximum.accumulate(length * np.sign(length[-1] - length[0]))
    run = run + 1e-9 * np.arange(len(run))  # an actuator on the leg stands still until dead centre
    chosen = np.interp(np.linspace(run[0], run[-1], count), run, driven)
    chosen[0], chosen[-1] = driven[0], driven[-1]
    shown = _frames(r, chosen, None)
    tight = int(np.argmin(np.where(np.isfinite(shown.margin), shown.margin, np.inf)))
    hold = tuple(HOLD if i in (0, tight, count - 1) else 1 for i in range(count))
    return Frames(**{**shown.__dict__, "hold": hold})


def falling(r: Results, fall: Extension, fps: float) -> Frames:
    """An emergency extension in real time; the last frame stands."""
    times = np.arange(0.0, float(fall.time[-1]) + 1.0 / fps, 1.0 / fps)
    shown = _frames(r, np.interp(times, fall.time, fall.driven), times)
    return Frames(**{**shown.__dict__, "hold": (*shown.hold[:-1], HOLD)})


def _frames(r: Results, driven: Floats, time: Floats | None) -> Frames:
    s = r.stroke

    def at(values: Floats) -> Floats:
        return np.interp(driven, s.driven, np.nan_to_num(values))

    near = np.abs(s.driven[None, :] - driven[:, None]).argmin(axis=1)
    pair = tuple(r.clearance.tightest[i] for i in near) if r.clearance.tightest else ()
    return Frames(
        driven,
        np.degrees(swing_at(r.gear, driven)),
        at(s.actuator_length),
        at(r.actuation.push[0]),
        at(s.knee_offset),
        np.interp(driven, s.driven, r.clearance.curve),
        pair,
        (1,) * len(driven),
        time,
    )
