"""Functions linear in the item masses: mass, moments, and what a pair of ground contacts makes of them.

Everything a loading is judged by is one of these or a ratio of two: CG = moment / mass, nose share = moment
about the main contact / (mass x wheelbase), nose load = that moment x g / wheelbase, tan(tip-back) = that
moment / moment of height. Which is why one routine finds the extremes of all of them.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass
from operator import mul

from linkage.errors import DocumentError, Fault
from linkage.loading.model import LoadModel
from linkage.units import STANDARD_GRAVITY


@dataclass(frozen=True)
class Linear:
    """``constant + sum(weights[i] * kg[i])``, items in model order."""

    constant: float
    weights: tuple[float, ...]

    def __add__(self, other: Linear) -> Linear:
        weights = tuple(a + b for a, b in zip(self.weights, other.weights, strict=True))
        return Linear(self.constant + other.constant, weights)

    def __mul__(self, factor: float) -> Linear:
        return Linear(self.constant * factor, tuple(w * factor for w in self.weights))

    def __neg__(self) -> Linear:
        return self * -1.0

    def __sub__(self, other: Linear) -> Linear:
        return self + -other

    def at(self, masses: Sequence[float]) -> float:
        """Value for these kg in item order."""
        if len(masses) != len(self.weights):
            raise ValueError(f"{len(masses)} masses for {len(self.weights)} items")
        return math.fsum((self.constant, *map(mul, self.weights, masses)))


def constant_form(model: LoadModel, value: float = 1.0) -> Linear:
    """The same number for every loading: as denominator it makes a ratio a plain linear function."""
    return Linear(value, (0.0,) * len(model.items))


def mass_form(model: LoadModel) -> Linear:
    """Total mass, kg."""
    return Linear(model.empty_kg, (1.0,) * len(model.items))


def moment_form(model: LoadModel, axis: complex = 1 + 0j, origin: complex = 0j) -> Linear:
    """First moment of mass along the unit vector ``axis`` of the side view about ``origin``, kg mm.

    ``origin`` is FS + 1j*WL in mm. Axis 1 gives the usual moment about FS 0 (aft positive), axis 1j the
    moment of height.
    """
    empty = complex(model.empty_fs_mm, model.empty_wl_mm)
    arms = tuple(((item.arm - origin) * axis.conjugate()).real for item in model.items)
    return Linear(model.empty_kg * ((empty - origin) * axis.conjugate()).real, arms)


def moment_bl_form(model: LoadModel) -> Linear:
    """First moment of mass to the right of the plane of symmetry, kg mm."""
    return Linear(model.empty_kg * model.empty_bl_mm, tuple(item.bl_mm for item in model.items))


@dataclass(frozen=True)
class Stance2:
    """The aircraft on its wheels: the two ground contacts, ``FS + 1j*WL`` in mm, aircraft frame.

    The ground runs through both contacts, so the ground attitude needs no number of its own: distances
    "along" and "up" are taken along that line and square to it, which is what weight does. Moments along
    aircraft stations would be wrong by the height of the CG times the sine of the attitude.
    """

    nose: complex
    main: complex

    def __post_init__(self) -> None:
        if not (cmath.isfinite(self.nose) and cmath.isfinite(self.main) and self.main.real > self.nose.real):
            found = f"nose contact FS {self.nose.real:g}, main contact FS {self.main.real:g} mm"
            raise DocumentError([Fault("stance", found, "the main contact aft of the nose contact")], "loading")

    @property
    def wheelbase_mm(self) -> float:
        """Distance of the contacts along the ground, mm."""
        return abs(self.main - self.nose)

    @property
    def direction(self) -> complex:
        """Unit vector along the ground, pointing aft, in the aircraft frame."""
        return (self.main - self.nose) / self.wheelbase_mm

    @property
    def pitch_rad(self) -> float:
        """Attitude on the ground, rad, nose up positive: how far the ground rises to the tail as drawn."""
        return cmath.phase(self.direction)

    def to_main_mm(self, cg: complex) -> float:
        """Distance of the main contact aft of the CG along the ground, mm (b)."""
        return ((self.main - cg) * self.direction.conjugate()).real

    def height_mm(self, cg: complex) -> float:
        """Height of the CG above the ground, mm (h)."""
        return ((cg - self.main) * self.direction.conjugate()).imag

    def share(self, cg: complex) -> float:
        """Nose-wheel load / weight for this CG, at rest."""
        return self.to_main_mm(cg) / self.wheelbase_mm

    def nose_load_n(self, mass_kg: float, cg: complex) -> float:
        """Load on the nose wheel at rest, N, 1 g."""
        return mass_kg * STANDARD_GRAVITY * self.share(cg)

    def tip_back_rad(self, cg: complex) -> float:
        """Angle from the vertical over the main contact to the CG, rad, positive with the CG ahead of it."""
        return math.atan2(self.to_main_mm(cg), self.height_mm(cg))

    def arm_at_share(self, share: float) -> float:
        """Arm along :attr:`direction` from FS 0 WL 0 of a CG that puts ``share`` on the nose, mm."""
        return (self.main * self.direction.conjugate()).real - share * self.wheelbase_mm

    def to_main_form(self, model: LoadModel) -> Linear:
        """Mass x distance ahead of the main contact, kg mm: m b."""
        return -moment_form(model, self.direction, self.main)

    def from_nose_form(self, model: LoadModel) -> Linear:
        """Mass x distance aft of the nose contact, kg mm: m l_n."""
        return moment_form(model, self.direction, self.nose)

    def height_form(self, model: LoadModel) -> Linear:
        """Mass x height above the ground, kg mm: m h."""
        return moment_form(model, self.direction * 1j, self.main)

    def nose_load_form(self, model: LoadModel) -> Linear:
        """Load on the nose wheel at rest, N."""
        return self.to_main_form(model) * (STANDARD_GRAVITY / self.wheelbase_mm)

    def main_load_form(self, model: LoadModel) -> Linear:
        """Load on all main wheels together at rest, N."""
        return self.from_nose_form(model) * (STANDARD_GRAVITY / self.wheelbase_mm)
