"""Document -> shape of the brace and of the lock links, gear down and locked.

The branch is chosen here once: the leg hangs down, a knee lies past its line on the side away from its fold. Numbers of
the document may be arrays, a family of designs: one that cannot be drawn is then NaN where a single one raises.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from linkage.document.gear import Brace, GearEntry
from linkage.document.lock import LockLink
from linkage.errors import DocumentError, Fault, MechanismError
from linkage.gear.model import BraceShape
from linkage.plane.vectors import at, dot, plain

FOLDS = {"up": 1j, "down": -1j, "forward": -1.0 + 0j, "aft": 1.0 + 0j}
LEAST_ARM = 1.0
"""mm between pins that are to be two."""

LEAST_LEAN = 0.1
"""Sine of the least angle between a brace and the direction in which its knee is said to fold."""


def leg_sense(folds: str) -> float:
    """Sign of the leg's turn towards up, + from +FS towards +WL: +1 where it folds aft, -1 forward."""
    return 1.0 if folds == "aft" else -1.0


def lock_position(entry: GearEntry) -> tuple[complex, BraceShape]:
    """Unit vector down the leg (FS + 1j*WL) and the shape of the brace in mm and rad, gear down and locked."""
    if entry.leg.tilt is None:
        return _sized_brace(entry)
    tilt = np.radians(entry.leg.tilt)
    down = plain(-np.sin(tilt) - 1j * np.cos(tilt))
    return down, _drawn_brace(entry, down)


def _lug_arm(brace: Brace) -> complex:
    """Lug in leg axes: along + 1j*offset, so that times ``down`` it is the arm from the trunnion."""
    arm: complex = at((brace.lug.along, brace.lug.offset))
    return arm


def _sized_brace(entry: GearEntry) -> tuple[complex, BraceShape]:
    """The leg's direction follows from the length of the locked brace."""
    brace, trunnion, upper = entry.brace, at(entry.trunnion), at(entry.brace.upper_pin)
    span, arm = _locked_span(brace), _lug_arm(brace)
    base = upper - trunnion
    _refuse_short("gear.brace.upper_pin", base)
    _refuse_short("gear.brace.lug", arm)
    cosine = (abs(base) ** 2 + abs(arm) ** 2 - span**2) / (2 * abs(base) * abs(arm))
    if np.ndim(cosine) == 0 and abs(cosine) > 1:
        raise MechanismError(_open_triangle(entry, abs(base), abs(arm), span))
    turn = cosine + 1j * root(1 - cosine * cosine)
    one, other = (base / abs(base) * t * arm.conjugate() / abs(arm) for t in (turn, turn.conjugate()))
    down = plain(np.where(one.imag <= other.imag, one, other)[()])  # the leg hangs down
    lug = trunnion + down * arm
    if brace.kind != "folding":
        return down, _straight(brace, upper, lug)
    line = (lug - upper) / span
    fold = _fold(brace.knee_folds, line, "gear.brace.knee_folds")
    upper_link, lower_link, h = _sizes(brace)
    knee = upper + root(upper_link**2 - h * h) * line - h * fold
    angle = plain(np.arcsin(h / upper_link) + np.arcsin(h / lower_link))
    return down, BraceShape(upper_link, lower_link, h, angle, span, knee, lug, fold)


def _refuse_short(what: str, arm: complex) -> None:
    """From the trunnion to a pin of the brace; in a family such designs do not close."""
    if np.ndim(arm) == 0 and abs(arm) < LEAST_ARM:
        raise MechanismError(
            f"{what} lies {abs(arm):.3g} mm from gear.trunnion: the brace cannot hold the leg there;"
            f" the least that works is {LEAST_ARM:g} mm"
        )


def root(value: Any) -> Any:
    """Square root, NaN below nought."""
    return plain(np.sqrt(np.where(value >= 0, value, np.nan))[()])


def _sizes(brace: Brace) -> tuple[float, float, float]:
    if brace.upper_link is None or brace.lower_link is None or brace.over_centre is None:
        raise ValueError("the document allows link lengths only all together")
    return brace.upper_link, brace.lower_link, brace.over_centre


def _locked_span(brace: Brace) -> Any:
    """Upper pin to lug."""
    if brace.length is not None:
        return brace.length
    upper_link, lower_link, h = _sizes(brace)
    return root(upper_link**2 - h * h) + root(lower_link**2 - h * h)


def _open_triangle(entry: GearEntry, base: float, arm: float, span: float) -> str:
    low, high = abs(base - arm), base + arm
    nearest, limit = ("longest", high) if span > high else ("shortest", low)
    brace = entry.brace
    links = f"upper_link {brace.upper_link:g} + lower_link {brace.lower_link:g}" if brace.upper_link else ""
    made_of = f"{links}, over centre {brace.over_centre:g}" if links else "length"
    return (
        f"gear.brace: the links cannot close with the gear down: trunnion to upper pin {base:.2f} mm, trunnion to lug"
        f" {arm:.2f} mm, locked brace ({made_of}) {span:.2f} mm; the {nearest} brace that closes is {limit:.2f} mm,"
        f" {abs(span - limit):.2f} mm away"
    )


def _straight(brace: Brace, upper: complex, lug: complex) -> BraceShape:
    """A brace without a knee."""
    span = abs(lug - upper)
    return BraceShape(span / 2, span / 2, 0.0, 0.0, span, (upper + lug) / 2, lug, 1j * (lug - upper) / span, brace.kind)


def _drawn_brace(entry: GearEntry, down: complex) -> BraceShape:
    brace, upper = entry.brace, at(entry.brace.upper_pin)
    lug = at(entry.trunnion) + down * _lug_arm(brace)
    if brace.kind != "folding":
        return _straight(brace, upper, lug)
    if brace.knee is None:
        raise ValueError("the document allows a leg tilt only with a drawn knee")
    fold = _fold(brace.knee_folds, (lug - upper) / abs(lug - upper), "gear.brace.knee_folds")
    shape = _through(upper, at(brace.knee), lug, fold)
    before = np.ndim(shape.over_centre) == 0 and shape.over_centre <= 0
    if before and (entry.lock_link is None or shape.over_centre == 0):
        raise DocumentError([_before_centre("gear.brace.knee", shape, "upper pin - lug")])
    return shape


def _through(near: complex, knee: complex, far: complex, fold: complex) -> BraceShape:
    """The folding pair through three pins."""
    line = (far - near) / abs(far - near)
    h = -dot(knee - near, fold)
    bend = plain(np.arctan2(h, dot(knee - near, line)) + np.arctan2(h, dot(far - knee, line)))
    return BraceShape(abs(knee - near), abs(far - knee), h, bend, abs(far - near), knee, far, fold)


def _before_centre(field: str, shape: BraceShape, line: str) -> Fault:
    h = shape.over_centre
    at = shape.knee - (1.5 - h) * shape.fold
    return Fault(
        field,
        f"[{shape.knee.real:g}, {shape.knee.imag:g}] is on or before centre, {-h:.2f} mm short of the line {line}",
        f"past it, such as [{at.real:.1f}, {at.imag:.1f}] (1.5 mm over centre)",
    )


def lock_link_shape(entry: LockLink, far: complex) -> BraceShape:
    """The pair of lock links from its root to its pin at ``far`` on the brace; the lower one's length is derived."""
    near, path = at(entry.root), "gear.lock_link"
    span = abs(far - near)
    if np.all(span == 0):
        raise DocumentError([Fault(f"{path}.root", "lies on the pin of the lock links", "a root away from it")])
    fold = _fold(entry.knee_folds, (far - near) / span, f"{path}.knee_folds")
    knee = at(entry.knee) if entry.knee is not None else _lock_knee(entry, near, far, fold)
    shape = _through(near, knee, far, fold)
    if np.ndim(shape.over_centre) == 0 and shape.over_centre <= 0:
        raise DocumentError([_before_centre(f"{path}.knee", shape, "lock root - lock pin")])
    return shape


def _lock_knee(entry: LockLink, near: complex, far: complex, fold: complex) -> complex:
    """Knee of lock links given by their upper one and the offset."""
    if entry.upper_link is None or entry.over_centre is None:
        raise ValueError("the document allows lock links only by their knee, or by upper link and offset")
    upper, h, span = entry.upper_link, entry.over_centre, abs(far - near)
    along = root(upper * upper - h * h)
    if np.ndim(along - span) == 0 and along >= span:
        raise DocumentError(
            [
                Fault(
                    "gear.lock_link.upper_link",
                    f"{upper:g} mm leaves no room for a lower lock link: root to pin is {span:.2f} mm",
                    f"below {np.hypot(span, h):.2f} mm",
                )
            ]
        )
    knee: complex = plain(np.where(along < span, near + along * (far - near) / span - h * fold, np.nan)[()])
    return knee


def _fold(knee_folds: str, line: complex, field: str) -> complex:
    """Unit vector square to the line on the side to which the knee folds."""
    lean = dot(1j * line, FOLDS[knee_folds])
    if np.ndim(lean) == 0 and abs(lean) < LEAST_LEAN:
        other = "'forward' or 'aft'" if knee_folds in ("up", "down") else "'up' or 'down'"
        raise DocumentError([Fault(field, f"{knee_folds!r} runs along the brace itself", other)])
    side: complex = plain(1j * line * np.copysign(np.where(abs(lean) < LEAST_LEAN, np.nan, 1.0), lean)[()])
    return side
