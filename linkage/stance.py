"""How the aircraft stands: ground contact of the nose wheel and pitch, for each state of the nose strut and tyre.

The mains stay in their static place, as the study gives it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from linkage.document.study import Study
from linkage.gear import Gear
from linkage.loading.forms import Stance2


@dataclass(frozen=True)
class Ground:
    """One state on the ground, all in the aircraft frame FS + 1j*WL, mm.

    ``pitch``: rad, positive nose up relative to the aircraft's level attitude; ``wheelbase``: along the ground.
    """

    state: str
    compression: float
    radius: float
    axle: complex
    nose: complex
    main: complex
    pitch: float
    wheelbase: float

    @property
    def stance(self) -> Stance2:
        return Stance2(self.nose, self.main)


def ground(state: str, axle: complex, radius: float, main: complex, compression: float) -> Ground:
    """The ground line runs through the main contact and touches the nose wheel's loaded circle from below."""
    forward = axle - main
    reach = abs(forward)
    # seen from the mains, the contact lies asin(R/reach) below the axle, at the tangent's length
    along = math.sqrt(reach * reach - radius * radius)
    line = forward / reach * complex(along / reach, radius / reach)
    nose = main + line * along
    pitch = -math.asin(line.imag)  # a nose contact above the mains means nose down
    return Ground(state, compression, radius, axle, nose, main, pitch, along)


def grounds(study: Study, gear: Gear) -> tuple[Ground, ...]:
    """Static, extended (just touching, tyre round), bottomed, and flat (bottomed strut on a flat tyre, if its radius is
    given)."""
    main = complex(*study.airframe.main_gear.contact)
    tyre, strut = study.tyre, study.strut
    states = [
        ("static", strut.static_compression, tyre.static_loaded_radius),
        ("extended", 0.0, tyre.outside_diameter / 2),
        ("bottomed", strut.stroke, tyre.static_loaded_radius),
    ]
    if tyre.flat_radius is not None:
        states.append(("flat", strut.stroke, tyre.flat_radius))
    return tuple(ground(name, axle_at(gear, c), r, main, c) for name, c, r in states)


def axle_at(gear: Gear, compression: float) -> complex:
    """Axle with the gear down and the strut compressed by so many mm."""
    return gear.pins["axle"].at - compression * gear.down
