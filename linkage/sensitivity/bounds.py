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
}
"""Result -> code and subject of the finding on it."""
CG = {"cg_min_fs_mm": "CG forward", "cg_max_fs_mm": "CG aft"}
SHARES = ("nose_share_min", "nose_share_max")
"""Parts of the weight, which their findings tell in percent."""


def bounds(name: str, r: Results, findings: Sequence[Finding]) -> tuple[Bound, ...]:
    """Of the result as drawn and in the nominal state, that with the least room first."""
    if name == "actuator_dead_length_mm":
        least = r.study.gear.actuator.dead_length
        room = float(r.stroke.actuator_length.min()) - r.stroke.actuator_stroke - least
        return (Bound(f">= {least:g}, or no such actuator can be had", room),)
    found = [f for f in findings if _about(name, f)]
    found.sort(key=lambda f: f.margin)
    if name in SHARES:
        least, most = r.study.limits.nose_share.ends()
        asked = f">= {least:g}" if name == SHARES[0] else f"<= {most:g}"
        return tuple(Bound(asked, f.margin / 100) for f in found)
    return tuple(Bound(f.required, f.margin) for f in found)


def _about(name: str, f: Finding) -> bool:
    if name in CG:
        return f.code == "cg" and f.subject == CG[name] and f.at == "gear down"
    if name.startswith("gap to "):
        return f.code == "gap" and f.subject.endswith(f" to {name.removeprefix('gap to ')}")
    if name == "self gap":
        return f.code == "self-gap"
    settled = f.code in ("nose-share", "tip-back") and f.at != ""
    return not settled and AS_DRAWN.get(name) == (f.code, f.subject)
