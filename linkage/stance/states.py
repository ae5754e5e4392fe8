"""Ground contact of the nose wheel and pitch, for each fixed state of the nose strut and tyre.

The mains stay in their static place, as the study gives it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linkage.document.study import Study
from linkage.errors import DocumentError, Fault, MechanismError
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
    """The ground line runs through the main contact and touches the nose wheel's loaded circle from below.

    ``MechanismError`` if the main contact lies inside that circle.
    """
    if abs(axle - main) <= radius:
        raise MechanismError(
            f"stance, {state}: the nose wheel of radius {radius:g} mm reaches the main contact, {abs(axle - main):g} mm"
            " away"
        )
    nose = complex(touch(np.array([axle]), np.array([radius]), np.array([main]))[0])
    line = nose - main
    pitch = -math.asin(line.imag / abs(line))  # a nose contact above the mains means nose down
    return Ground(state, compression, radius, axle, nose, main, pitch, abs(line))


def touch(
    axle: NDArray[np.complex128], radius: NDArray[np.float64], main: NDArray[np.complex128]
) -> NDArray[np.complex128]:
    """Where a line through ``main`` touches the circle about ``axle`` from below, (n,), mm."""
    forward = axle - main
    reach = np.abs(forward)
    # seen from the mains, the contact lies asin(R/reach) below the axle, at the tangent's length
    along = np.sqrt(reach * reach - radius * radius)
    contact: NDArray[np.complex128] = main + forward / reach * (along + 1j * radius) / reach * along
    return contact


def check_mains(static: Ground, aft: float) -> None:
    """With a loading whose CG (``aft``: the furthest aft, FS in mm) lies behind the mains the aircraft sits on its
    tail, and no share means anything: ``DocumentError``."""
    if static.main.real <= aft:
        raise DocumentError(
            [
                Fault(
                    "airframe.main_gear.contact",
                    f"FS {static.main.real:g} mm is ahead of the CG at FS {aft:.1f} mm of some loading",
                    f"main wheels aft of FS {aft:.1f} mm",
                )
            ]
        )


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
    found = [ground(name, axle_at(gear, c), r, main, c) for name, c, r in states]
    return (*found, flat(study, gear)) if tyre.flat_radius is not None else tuple(found)


def flat(study: Study, gear: Gear) -> Ground:
    """Nose strut bottomed on a flat tyre; with no flat radius given it stands on the bead seat, lower still."""
    strut, radius = study.strut, study.tyre.flat_radius
    name, radius = ("flat", radius) if radius is not None else ("flat, on the rim", study.tyre.rim_diameter / 2)
    return ground(name, axle_at(gear, strut.stroke), radius, complex(*study.airframe.main_gear.contact), strut.stroke)


def axle_at(gear: Gear, compression: float) -> complex:
    """Axle, FS + 1j*WL in mm, with the gear down and the strut compressed by so many mm."""
    return gear.pins["axle"].at - compression * gear.down
