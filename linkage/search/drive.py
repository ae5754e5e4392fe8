"""Actuator of many candidates over the WHOLE stroke in closed form: it pushes on a body that turns about one pin of the
airframe, so its length is a cosine law in that body's turn."""

from __future__ import annotations

from typing import Any

import numpy as np

from linkage.document.quantities import Lengths
from linkage.document.study import Study
from linkage.mechanism.model import Floats
from linkage.plane.turns import crosses_line
from linkage.search.candidates import wishes
from linkage.search.linkage import ROUNDING
from linkage.search.rows import Flags, Rows
from linkage.stroke.drive import IN_LINE

BACK = 1e-9
"""mm; an actuator counts as driven back beyond this, as in `linkage.checks.lock`."""


def hung(rows: Rows, study: Study) -> None:
    """Leaves how the actuator hangs: the angle at its pivot between pin and root in the lock, at dead centre and with
    the gear up, growing towards up; lengths there, mm."""
    c, root = rows.candidates, rows.candidates.at("root")
    if study.gear.actuator.pushes == "leg":
        pivot, sense = rows["trunnion"], rows["leg_sense"]
        pin = rows["down"] * (c.of("pin_first") + 1j * c.of("pin_second"))
        dead, up = rows["dead_swing"], rows["swing"]
    else:
        pivot, sense = rows["upper"], rows["drive_sense"]
        crank = rows["knee"] - rows["upper"]
        pin = c.of("pin_first") * crank / np.abs(crank) * np.exp(1j * np.radians(c.of("pin_second")))
        dead, up = _turn_at_dead_centre(rows), rows["turn"]
    far = root - pivot
    with np.errstate(invalid="ignore", divide="ignore"):
        lock = sense * np.angle(pin * far.conjugate())
    rows["hang_lock"], rows["hang_dead"], rows["hang_up"] = lock, lock + dead, lock + up
    for name in ("lock", "dead", "up"):
        square = np.abs(far) ** 2 + np.abs(pin) ** 2 - 2 * np.abs(far) * np.abs(pin) * np.cos(rows[f"hang_{name}"])
        rows[f"length_{name}"] = np.sqrt(square)
    rows["root_arm"] = np.abs(far)


def _turn_at_dead_centre(rows: Rows) -> Floats:
    """Turn of the upper link from the lock to dead centre, where it lies along the line to the lug."""
    arm = (rows["lug"] - rows["trunnion"]) * np.exp(1j * rows["leg_sense"] * rows["dead_swing"])
    line = rows["trunnion"] + arm - rows["upper"]
    turn = np.mod(rows["drive_sense"] * np.angle(line / (rows["knee"] - rows["upper"])), 2 * np.pi)
    return np.asarray(turn)


def moves_off(rows: Rows, study: Study) -> Flags:
    """No dead point of the drive from the lock to dead centre: the lever there is least at one of the two ends."""
    hung(rows, study)
    near = [
        rows["root_arm"] * np.abs(np.sin(rows[f"hang_{name}"])) / rows[f"length_{name}"] for name in ("lock", "dead")
    ]
    clear = ~crosses_line(rows["hang_lock"], rows["hang_dead"] - rows["hang_lock"], ROUNDING)
    return np.asarray(clear & (np.minimum(*near) > IN_LINE * (1 + 1e-6)))


def keeps_on(rows: Rows, study: Study) -> Flags:
    """Its length does not turn back between dead centre and leg-up."""
    return np.asarray(~crosses_line(rows["hang_dead"], rows["hang_up"] - rows["hang_dead"], 1e-6))


def fits(rows: Rows, study: Study) -> Flags:
    """There is room for its ends at its shortest: for the study's own dead length, or for a unit of the catalogue whose
    stroke is enough and whose longest is long enough. Leaves which units fit, (designs, units)."""
    entry, stop, units = study.gear.actuator, study.gear.up_stop, wishes(study).actuator.catalogue
    left, over = entry.travel_left_at_lock, stop.overtravel if stop is not None and stop.kind == "actuator" else 0.0
    ends = np.stack([rows["length_lock"], rows["length_dead"], rows["length_up"]])
    short, far = ends.min(axis=0), ends.max(axis=0)
    room = short - (far - short) - 2 * left
    rows["room"] = room
    if not units:
        rows["units"] = np.ones((len(rows), 0), dtype=bool)
        return np.asarray(room >= entry.dead_length + ROUNDING * far)
    grows = rows["length_up"] > rows["length_lock"]
    shortest, longest = short - np.where(grows, left, over), far + np.where(grows, over, left)
    dead, stroke = (np.array([getattr(u, name) for u in units]) for name in ("dead_length", "stroke"))
    fit = (shortest[:, None] >= dead + stroke) & (longest[:, None] <= dead + 2 * stroke)
    rows["units"] = fit & (room[:, None] >= dead + ROUNDING * far[:, None])
    return np.asarray(rows["units"].any(axis=1))


def holds(rows: Rows, study: Study) -> Flags:
    """Actuator travel that the lock can lack, and reserve beyond the furthest place on the way into it, as they are
    judged. Leaves the lock quality of `linkage.search.screened.MEASURES`."""
    limits, left = study.limits, study.gear.actuator.travel_left_at_lock
    way = np.sign(rows["length_up"] - rows["length_lock"])
    travel = way * (rows["length_dead"] - rows["length_lock"])
    back = np.maximum(0.0, -travel)
    near = np.where(back > 0, BACK, 0.0)
    fine = _within(left - back, limits.lock_reserve, near) & ((travel <= 0) | _within(travel, limits.lock_travel, BACK))
    if not (study.gear.lock is not None and study.gear.lock.release):
        fine &= back <= BACK
    least = [pair.ends(low=0.0)[0] for pair in (limits.lock_travel, limits.lock_reserve)]
    rows["lock"] = np.where(travel > 0, travel - least[0], left - back - least[1])
    return np.asarray(fine)


def _within(value: Floats, limits: Lengths, near: Any) -> Flags:
    low, high = limits.ends()
    return np.asarray((value >= low + near) & (value <= high - near))
