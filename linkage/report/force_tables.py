"""Forces while the gear moves, as CSV: one row a condition, way and pose."""

from __future__ import annotations

import numpy as np

from linkage.actuation.drive import WAYS
from linkage.report.writing import csv_text
from linkage.results import Results


def forces_csv(r: Results) -> str:
    """Actuator force, what is left of its rating, moment of every cause at the driven link, force of every joint.

    Newtons, newton millimetres, towards up and push positive; empty where the actuator does not drive the gear.
    """
    d, swing, driven = r.drive, np.degrees(r.stroke.swing), np.degrees(r.stroke.driven)
    causes, joints = list(d.moment), list(d.joint)
    head = ["condition", "moving", "driven_deg", "swing_deg", "actuator_push_n", "rating_left_n"]
    head += [f"moment_of_{name}_nmm" for name in causes] + [f"force_at_{name}_n" for name in joints]
    rows: list[list[str]] = [[c.replace(" ", "_") for c in head]]
    for i, case in enumerate(d.conditions):
        for j, way in enumerate(WAYS):
            room = np.full(len(swing), np.nan) if d.room is None else d.room[i, j]
            columns = [driven, swing, d.push[i, j], room, *(d.moment[c][i, j] for c in causes)]
            columns += [np.abs(d.joint[n][i, j]) for n in joints]
            numbers = ([f"{v:.6g}" if np.isfinite(v) else "" for v in row] for row in np.array(columns).T)
            rows += [[str(case), way, *row] for row in numbers]
    return csv_text(rows)
