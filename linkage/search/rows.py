"""Columns of numbers about candidates, thinned out test by test."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from linkage.search.candidates import Candidates, joined

Flags = NDArray[np.bool_]


@dataclass
class Rows:
    """Candidates still in the running, and what is known of each by name: arrays whose first axis is the designs."""

    candidates: Candidates
    columns: dict[str, Any]

    def __len__(self) -> int:
        return len(self.candidates)

    def __getitem__(self, name: str) -> Any:
        return self.columns[name]

    def __setitem__(self, name: str, value: Any) -> None:
        self.columns[name] = value

    def take(self, which: Any) -> Rows:
        """Some of them, by index or mask."""
        return Rows(self.candidates.take(which), {name: value[which] for name, value in self.columns.items()})


def gathered(pieces: Sequence[Rows], like: Rows) -> Rows:
    """Pieces one after another; without any, none ``like`` these."""
    found = [p for p in pieces if len(p)]
    if not found:
        return like.take(slice(0, 0))
    names = set.intersection(*(set(p.columns) for p in found))
    return Rows(
        joined([p.candidates for p in found]), {n: np.concatenate([p.columns[n] for p in found]) for n in sorted(names)}
    )
