"""What every output says about itself."""

from __future__ import annotations

CAUTIONS = (
    "Preliminary study, not a showing of compliance: a licensed structures engineer and the authority, or the local"
    " rules for home-built aircraft, decide.",
    "Planar, rigid linkage. Flexibility, misalignment, wear, impact and fatigue only where stated.",
    "Loads are LIMIT loads unless marked ULTIMATE.",
    "The over-centre offset is nominal: check what remains after wear and tolerance.",
    "Clearance holds only for the bay items entered and the states listed: check on jacks, with full pedal and after a"
    " hot engine shut-down.",
    "The engine bay is a fire zone: hoses, wiring and fuel or oil lines near the gear need their own protection.",
    "Stored energy: shock strut, gas spring, hydraulic pressure. Fit ground locks before any work on the gear.",
)

GUARANTEE = (
    "In every listed state and at every moment of the stroke each part lies inside the keep-out; in the side view the"
    " sweep of a part exceeds its true sweep by about the tolerance at most, allowance aside."
)
