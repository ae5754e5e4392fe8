"""The outcome of a search, complete when built."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from linkage.document.write import Raw
from linkage.search.survivors import Judged, Short


@dataclass(frozen=True)
class Member:
    """A found design: its place in the ranking, what it changes (raw values as written), the text of its study, what
    the full solver says, its score, and whether it was refined."""

    name: str
    changes: Mapping[str, Raw]
    text: str
    judged: Judged
    score: float
    refined: bool


@dataclass(frozen=True)
class Found:
    """``members``, the best first. ``refused``: reason -> how many, most first; of what passed screening only the front
    is looked at further (``looked_at``, ``refined`` of them new from the refinement), and what becomes of both is in
    ``refused_later``. ``present``: the study itself.
    ``excused``: findings that fall short in the present design too. ``stopped``: ended by hand; ``seconds`` of all,
    ``screening`` of them screening; ``redone``: batches done again because their worker was lost."""

    title: str
    sha256: str
    members: tuple[Member, ...]
    present: Judged
    excused: tuple[Short, ...]
    sampled: int
    asked: int
    passed: int
    posed: int
    refused: Mapping[str, int]
    looked_at: int
    refined: int
    refused_later: Mapping[str, int]
    stopped: bool
    seconds: float
    screening: float
    seed: int
    redone: int
