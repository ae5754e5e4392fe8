"""Leg and brace of many candidates over the WHOLE stroke in closed form, without a single pose.

Seen from either end the drag brace and the leg are a four-bar linkage. The distance from the upper pin to the lug is a
cosine law in the leg's swing, the distance from the trunnion to the knee one in the upper link's turn. A cosine over an
interval has known extremes (`linkage.plane.turns`), so that links in line, jams and transmission angles between two
poses cannot be missed. docs/theory-search.md has the argument.

The locked pins and the place of the knee with the leg up are worked out here a second time, beside `linkage.gear.shape`
and `linkage.stroke.family`, from columns alone: so that what passes has come to its pins on two roads, which the last
stage of the cascade and tests/search/test_sound.py hold together.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from linkage.document.study import Study
from linkage.gear.shape import FOLDS, LEAST_LEAN, leg_sense
from linkage.mechanism.model import Floats
from linkage.plane.turns import cosine_over
from linkage.plane.vectors import cross, dot
from linkage.search.candidates import Branch, Candidates, wishes
from linkage.search.rows import Flags, Rows
from linkage.stroke.ends import FURTHEST
from linkage.stroke.motion import SCAN

ROUNDING = 1e-9
"""Relative; what lies nearer than this to a limit counts as beyond it, for two roads to a number differ by less."""

STEP = FURTHEST / (SCAN - 1)
"""Driven rotation between two places at which the full solver looks for the end of the stroke, rad: the gear must also
reach the first of them at or beyond leg-up."""


def drawn(candidates: Candidates, branch: Branch) -> Rows:
    """Pins in the lock and what follows from them, FS + 1j*WL, mm and rad. The row is NaN where it cannot be drawn."""
    c = candidates
    trunnion, upper, sense = c.at("trunnion"), c.at("upper_pin"), leg_sense(branch.folds)
    arm = c.of("lug_along") + 1j * c.of("lug_offset")
    r, s, h = c.of("upper_link"), c.of("lower_link"), c.of("over_centre")
    with np.errstate(invalid="ignore", divide="ignore"):
        first = np.sqrt(np.where(r > h, r * r - h * h, np.nan))
        span = first + np.sqrt(np.where(s > h, s * s - h * h, np.nan))
        base = upper - trunnion
        cosine = (np.abs(base) ** 2 + np.abs(arm) ** 2 - span**2) / (2 * np.abs(base) * np.abs(arm))
        turn = cosine + 1j * np.sqrt(np.where(np.abs(cosine) <= 1, 1 - cosine * cosine, np.nan))
        one = base / np.abs(base) * turn * arm.conjugate() / np.abs(arm)
        other = base / np.abs(base) * turn.conjugate() * arm.conjugate() / np.abs(arm)
        down = np.where(one.imag <= other.imag, one, other)  # as the study is drawn: the leg hangs down
        lug = trunnion + down * arm
        line = (lug - upper) / span
        lean = dot(1j * line, FOLDS[branch.knee_folds])
        fold = 1j * line * np.where(np.abs(lean) < LEAST_LEAN, np.nan, np.sign(lean))
        knee = upper + first * line - h * fold
        drive = np.sign(dot(1j * (knee - upper), fold))
    return Rows(
        c,
        {
            "trunnion": trunnion,
            "upper": upper,
            "down": down,
            "lug": lug,
            "knee": knee,
            "fold": fold,
            "drive_sense": drive,
            "swing": np.radians(c.of("swing_up")),
            "leg_sense": np.full(len(c), sense),
            "span": span,
        },
    )


def closes(rows: Rows, study: Study) -> Flags:
    """The links close in the lock."""
    return np.asarray(np.isfinite(rows["lug"]) & (rows.candidates.of("over_centre") > 0))


def folds(rows: Rows, study: Study) -> Flags:
    """The way in which the knee is said to fold is not along the brace."""
    return np.asarray(np.isfinite(rows["knee"]))


def carries(rows: Rows, study: Study) -> Flags:
    """The axle as the study would draw it, down, up and on its way, is where it was wanted: of the two ways to assemble
    the links the study draws that in which the leg hangs lower."""
    c, wheel = rows.candidates, wishes(study).wheel
    arm = rows["down"] * (c.of("leg_length") + 1j * c.of("axle_offset"))
    down, up = rows["trunnion"] + arm, rows["trunnion"] + arm * np.exp(1j * rows["leg_sense"] * rows["swing"])
    met = (np.abs(down - complex(*wheel.down.at)) <= wheel.down.tolerance) & (
        np.abs(up - complex(*wheel.up.at)) <= wheel.up.tolerance
    )
    if wheel.third is not None:
        third = complex(*wheel.third.at) - rows["trunnion"]
        way = rows["leg_sense"] * np.angle(third / arm)
        met &= (np.abs(np.abs(third) - np.abs(arm)) <= wheel.third.tolerance) & (way > 0) & (way < rows["swing"])
    return np.asarray(met)


def right_way(rows: Rows, study: Study) -> Flags:
    """The knee goes to its line as the upper link turns towards its fold, and from there the leg swings up.

    The reach to the lug is sqrt(c0 + c1 cos(swing + lead)); on its way up the leg must draw the lug in.
    """
    arm, base = rows["lug"] - rows["trunnion"], rows["upper"] - rows["trunnion"]
    sense = rows["leg_sense"]
    rows["c0"] = np.abs(arm) ** 2 + np.abs(base) ** 2
    rows["c1"] = 2 * np.abs(arm) * np.abs(base)
    lead = sense * np.angle(-arm * base.conjugate())
    rows["lead"] = lead
    link = rows["lug"] - rows["knee"]
    rate = rows["drive_sense"] * cross(rows["knee"] - rows["upper"], link) / (sense * cross(arm, link))
    return np.asarray((rate < 0) & (np.sin(lead) > ROUNDING))


def passes_centre(rows: Rows, study: Study) -> Flags:
    """The reach can become the sum of both links: there is a dead centre, the leg a little over-swung."""
    c = rows.candidates
    whole = c.of("upper_link") + c.of("lower_link")
    cosine = (whole**2 - rows["c0"]) / rows["c1"]
    with np.errstate(invalid="ignore"):
        at = np.arccos(np.where(np.abs(cosine) < 1 - ROUNDING, cosine, np.nan))
    rows["dead"] = at
    rows["dead_swing"] = at - rows["lead"]
    return np.asarray((at < rows["lead"]) & np.isfinite(at))


def reaches(rows: Rows, study: Study) -> Flags:
    """With the leg up the links close, knee on the other side of its line, after less than ``FURTHEST``. Leaves also
    the turn at the first place of the full solver's search at or beyond leg-up."""
    c, upper, s = rows.candidates, rows["upper"], rows["drive_sense"]
    lug = rows["trunnion"] + (rows["lug"] - rows["trunnion"]) * np.exp(1j * rows["leg_sense"] * rows["swing"])
    r, other, d = c.of("upper_link"), c.of("lower_link"), lug - upper
    along = 0.5 + 0.5 * (r * r - other * other) / np.abs(d) ** 2
    aside = r * r / np.abs(d) ** 2 - along * along
    line = rows["lug"] - upper
    side = -np.sign(cross(line, rows["knee"] - upper))
    with np.errstate(invalid="ignore"):
        knee = upper + d * (along + 1j * side * np.sqrt(np.where(aside > ROUNDING, aside, np.nan)))
        turn = np.mod(s * np.angle((knee - upper) / (rows["knee"] - upper)), 2 * np.pi)
    rows["lug_up"], rows["knee_up"], rows["turn"] = lug, knee, turn
    rows["looked"] = STEP * np.ceil((turn + ROUNDING) / STEP)
    return np.asarray(np.isfinite(turn) & (rows["looked"] < FURTHEST + ROUNDING))


def runs(rows: Rows, study: Study) -> Flags:
    """No jam: upper and lower link do not line up a second time before leg-up, lower link and leg not before the place
    beyond it at which the full solver looks, where the leg is no lower; and leg-up lies on the way from the lock.
    Leaves the greatest cosine of the transmission angle."""
    c, s, sense = rows.candidates, rows["drive_sense"], rows["leg_sense"]
    r, other = c.of("upper_link"), c.of("lower_link")
    base, crank = rows["upper"] - rows["trunnion"], rows["knee"] - rows["upper"]
    arm = rows["lug"] - rows["trunnion"]
    k0, k1 = np.abs(base) ** 2 + r * r, 2 * np.abs(base) * r
    start = s * np.angle(crank * base.conjugate())
    rows["sharpest"] = _sharpest(np.abs(arm), other, k0, k1, start, rows["turn"])
    beyond = _sharpest(np.abs(arm), other, k0, k1, start, rows["looked"])
    side = np.sign(cross(rows["knee"] - rows["trunnion"], arm))
    low, _ = cosine_over(rows["dead"], rows["swing"] - rows["dead_swing"])
    least = rows["c0"] + rows["c1"] * low
    same = side * cross(rows["knee_up"] - rows["trunnion"], rows["lug_up"] - rows["trunnion"]) > 0
    returns = rows["lead"] + rows["swing"] < 2 * np.pi - rows["dead"] - ROUNDING
    knee = rows["upper"] + crank * np.exp(1j * s * rows["looked"])
    more = sense * np.angle(
        (_lug(rows["trunnion"], knee, np.abs(arm), other, side)) / (rows["lug_up"] - rows["trunnion"])
    )
    reached = (more > ROUNDING) & (rows["swing"] + more < np.pi - ROUNDING)
    whole = (beyond < 1 - ROUNDING) & (least > (r - other) ** 2 + ROUNDING * rows["c0"])
    return np.asarray(whole & same & returns & reached)


def _lug(trunnion: Any, knee: Any, arm: Any, lower: Any, side: Any) -> Any:
    """Arm from the trunnion to the lug for a place of the knee, NaN where the links do not close; ``side``: sign of the
    turn from the knee to it."""
    far = knee - trunnion
    along = 0.5 + 0.5 * (arm * arm - lower * lower) / np.abs(far) ** 2
    aside = (arm / np.abs(far)) ** 2 - along * along
    with np.errstate(invalid="ignore"):
        return far * (along + 1j * side * np.sqrt(np.where(aside > 0, aside, np.nan)))


def _sharpest(arm: Any, lower: Any, k0: Any, k1: Any, start: Any, turn: Any) -> Floats:
    """Greatest |cosine| of the angle between lower link and leg while the upper link turns: 1 where they line up."""
    low, high = cosine_over(start, turn)
    ends = [(arm**2 + lower**2 - (k0 + k1 * c)) / (2 * arm * lower) for c in (low, high)]
    return np.asarray(np.maximum(np.abs(ends[0]), np.abs(ends[1])))


def transmits(rows: Rows, study: Study) -> Flags:
    """Transmission angle over the whole stroke, deg, against the limit of the study and the wish."""
    with np.errstate(invalid="ignore"):
        least = np.degrees(np.arccos(np.minimum(rows["sharpest"], 1.0)))
    rows["transmission"] = least
    own = study.limits.transmission_angle.min
    wanted = study.wanted.transmission_angle if study.wanted is not None else 0.0
    return np.asarray(least >= max(own if own is not None else 0.0, wanted) + np.degrees(ROUNDING))
