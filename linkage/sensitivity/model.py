"""What a result is here, and what bounds it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Bound:
    """What a finding asks of the result, and the room it leaves, in the result's own unit."""

    required: str
    margin: float


@dataclass(frozen=True)
class Rival:
    """What the result would be at another place, of another pair or with another loading, with its slopes; ``which``
    one that is."""

    number: Any
    which: str


@dataclass(frozen=True)
class Found:
    """A result with slopes by every dimension, per inside unit. ``others``: the same result at other places or with
    other loadings that tie with it, and ``tied`` says which; no number at all: ``tied`` says why it has no
    derivative. ``rivals``: the next places, pairs or loadings, any of which may be the extreme after a change."""

    name: str
    title: str
    unit: str
    number: Any
    """A `linkage.plane.duals.Dual`; so are the others."""
    tied: str = ""
    note: str = ""
    others: tuple[Any, ...] = ()
    rivals: tuple[Rival, ...] = ()
