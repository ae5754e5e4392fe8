"""What a trade study is: what was varied, and what came out at every point."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from linkage.document.ways import INDEX
from linkage.mechanism.model import Floats

LEAST = ">="
LONGEST = 60
"""Letters of a path with names in it."""


@dataclass(frozen=True)
class Vary:
    """A number of the study and the values it takes, rising, in ``unit`` of the study file (empty: none).

    ``present``: what the study says now, in the same unit; None where it says nothing. ``name``: the path with names of
    entries in its brackets, such as ``loading.item[fuel].max``.
    """

    path: str
    values: tuple[float, ...]
    unit: str = ""
    present: float | None = None
    name: str = ""

    @property
    def known_as(self) -> str:
        """The path for reading: with names, unless they are long."""
        return self.name if 0 < len(self.name) <= LONGEST else self.path

    @property
    def short(self) -> str:
        """The last two names of the path, such as ``brace.upper_pin[0]`` or ``item[fuel].max``; of two the last."""
        steps = re.findall(rf"(?:[^.\[]|\[{INDEX}\])+", self.known_as)
        return ".".join(steps[-2:] if len(steps) > 2 else steps[-1:])


@dataclass(frozen=True)
class Point:
    """One design, solved. ``results``: the headline by its keys; ``limits``: of those results that are judged, each as
    (">=" or "<=", value in the unit of the result); ``margins``: of every finding, by what it is about, in its unit.
    ``worst``: what `check` would name first. ``reason``: why there is none of this, empty if there is."""

    values: tuple[float, ...]
    results: Mapping[str, Any] = field(default_factory=dict)
    limits: Mapping[str, tuple[tuple[str, float], ...]] = field(default_factory=dict)
    margins: Mapping[str, float] = field(default_factory=dict)
    worst: str = ""
    worst_margin: float | None = None
    worst_unit: str = ""
    reason: str = ""

    @property
    def computed(self) -> bool:
        return not self.reason

    @property
    def short(self) -> tuple[str, ...]:
        """Findings that fall short."""
        return tuple(name for name, margin in self.margins.items() if not margin >= 0.0)


@dataclass(frozen=True)
class Trade:
    """``points`` in the order of the first number, then the second; ``present``: the study as it is, None where a
    varied number has no value in it. ``stopped``: ended by hand, the points left out say so as their reason."""

    title: str
    sha256: str
    changes: tuple[str, ...]
    varies: tuple[Vary, ...]
    points: tuple[Point, ...]
    present: Point | None
    stopped: bool = False

    @property
    def shape(self) -> tuple[int, ...]:
        return tuple(len(v.values) for v in self.varies)

    @cached_property
    def computed(self) -> NDArray[np.bool_]:
        return np.array([p.computed for p in self.points]).reshape(self.shape)

    @cached_property
    def keys(self) -> tuple[str, ...]:
        """Every headline key of any point, in their order."""
        return tuple(dict.fromkeys(k for p in self.points for k in p.results))

    @cached_property
    def findings(self) -> tuple[str, ...]:
        """Every finding of any point."""
        return tuple(dict.fromkeys(name for p in self.points for name in p.margins))

    def result(self, name: str) -> Floats:
        """A headline number or the margin of a finding over the points, in their shape; NaN where there is none."""
        return self._over([p.results.get(name, p.margins.get(name)) for p in self.points])

    def limit(self, name: str, side: str) -> Floats:
        """Limit of a result at every point, NaN where it has none."""
        if name in self.findings:
            return np.where(self.computed, 0.0, np.nan) if side == LEAST else np.full(self.shape, np.nan)
        return self._over([dict(p.limits.get(name, ())).get(side) for p in self.points])

    def _over(self, values: list[Any]) -> Floats:
        numbers = [float(v) if isinstance(v, int | float) else np.nan for v in values]
        return np.array(numbers, dtype=np.float64).reshape(self.shape)
