"""Largest differences found, kept as they come."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any


@dataclass
class Figure:
    """``largest``: of ``count`` differences over ``cases``. ``bound``: what is allowed. ``rounding``: the figure is
    rounding of double precision, so that another machine may have some times as much."""

    engine: str
    quantity: str
    unit: str
    bound: float
    rounding: bool
    largest: float = 0.0
    count: int = 0
    cases: int = 0
    kinds: set[str] = field(default_factory=set)

    def add(self, difference: float, count: int = 1) -> None:
        """NaN counts as infinite."""
        self.largest = max(self.largest, difference) if difference == difference else float("inf")
        self.count += count

    def case(self, kind: str) -> None:
        self.cases += 1
        self.kinds.add(kind)

    def row(self) -> dict[str, Any]:
        return {
            "engine": self.engine,
            "quantity": self.quantity,
            "cases": self.cases,
            "kinds": len(self.kinds),
            "count": self.count,
            "largest": float(f"{self.largest:.3g}") if self.largest < float("inf") else "infinite",
            "bound": self.bound,
            "unit": self.unit,
            "rounding": self.rounding,
        }
