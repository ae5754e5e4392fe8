"""What a glance keeps for the next one: the parts of the answer whose part of the study has not changed."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeVar

T = TypeVar("T")


@dataclass
class Held:
    """Results of the last glance by name, each with the sub-models it was worked out from. ``folder``: where the study
    lies, for bay items that are files beside it. One for each window; not for several threads at a time."""

    folder: Path = Path()
    kept: dict[Hashable, tuple[tuple[Any, ...], Any]] = field(default_factory=dict)

    def keep(self, name: Hashable, given: tuple[Any, ...], make: Callable[[], T]) -> T:
        """The result kept under a name if it was made of equal parts, else a new one. Frozen parts compare by value, so
        nobody has to be trusted to say what has changed."""
        old = self.kept.get(name)
        if old is not None and all(a is b or a == b for a, b in zip(old[0], given, strict=True)):
            found: T = old[1]
            return found
        made = make()
        self.kept[name] = (given, made)
        return made
