"""Which finding judges which result, and what room it leaves."""

from __future__ import annotations

from collections.abc import Sequence

from linkage.checks import Finding
from linkage.results import Results
from linkage.sensitivity.model import Bound

AS_DRAWN = {
    "over_centre_mm": ("over-centre", "over-centre offset"),
    "lock_link_over_centre_mm": ("over-centre", "over-centre offset of the lock links"),
    "transmission_angle_min_deg": ("transmission", "least transmission angle"),
    "nose_share_min": ("nose-share", "least nose share"),
    "nose_share_max": ("nose-share", "greatest nose share"),
    "tip_back_deg": ("tip-back", "least tip-back angle"),
    "steer_axis_tilt_deg": ("steer-axis", "steer-axis tilt (top aft +)"),
    "actuator_dead_length_mm": ("dead-length", "length left for actuator ends"),
    "actuator_push_peak_1g_n": ("actuator-force", "actuator push against gravity"),
    "actuator_push_peak_2g_n": ("actuator-force", "actuator push against gravity"),
}
"""Result -> code and subject of the finding on it."""
CG = {
    "cg_min_fs_mm": ("CG forward", "gear down"),
    "cg_max_fs_mm": ("CG aft", "gear down"),
    "cg_min_up_fs_mm": ("CG forward", "gear up"),
    "cg_max_up_fs_mm": ("CG aft", "gear up"),
}
"""Result -> subject and place of the finding on it."""
PUSH = "actuator_push_peak_"
SHARES = ("nose_share_min", "nose_share_max")
"""Parts of the weight, which their findings tell in percent."""


def bounds(name: str, r: Results, findings: Sequence[Finding]) -> tuple[Bound, ...]:
    """Of the result as drawn and in the nominal state, that with the least room first."""
    found = sorted((f for f in findings if _about(name, f, r)), key=lambda f: f.margin)
    if name == "actuator_dead_length_mm":
        return tuple(_dead_length(f, r) for f in found)
    if name.startswith(PUSH):
        return tuple(_push(int(name[len(PUSH)]), f, r) for f in found)
    if name in SHARES:
        least, most = r.study.limits.nose_share.ends()
        asked = f">= {least:g}" if name == SHARES[0] else f"<= {most:g}"
        return tuple(Bound(asked, f.margin / 100) for f in found)
    return tuple(Bound(f.required, f.margin) for f in found)


def _dead_length(f: Finding, r: Results) -> Bound:
    """What must be left at the lock shortens the actuator and lengthens its stroke."""
    entry = r.study.gear.actuator
    least, left = entry.dead_length, 2.0 * entry.travel_left_at_lock
    return Bound(f">= {least + left:g}" + (f", {left:g} of it for travel left at the lock" if left else ""), f.margin)


def _push(factor: int, f: Finding, r: Results) -> Bound:
    """The finding is on the push at the greatest load factor, to which that at any other is in proportion."""
    entry, judged = r.study.gear.actuator, r.study.limits.load_factor.max
    part, most = factor / judged, entry.max_force or 0.0
    why = "" if part == 1.0 else f", as <= {most:g} at {judged:g} g"
    return Bound(f"<= {most * part:g}{why}", f.margin * part)


def _about(name: str, f: Finding, r: Results) -> bool:
    if name in CG:
        return f.code == "cg" and (f.subject, f.at) == CG[name]
    if name.startswith("gap to "):
        item = name.removeprefix("gap to ")
        return f.code == "gap" and f.subject in {f"{g.part} to {g.item}" for g in r.clearance.bay if g.item == item}
    if name == "self gap":
        return f.code == "self-gap"
    settled = f.code in ("nose-share", "tip-back") and f.at != ""
    return not settled and AS_DRAWN.get(name) == (f.code, f.subject)
