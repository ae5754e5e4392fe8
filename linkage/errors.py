"""The errors this package raises on purpose.

::

    LinkageError
      DocumentError     the study says something that cannot be meant: all faults at once
      MechanismError    the study is well-formed, but the thing it describes cannot be built or moved

A result that was computed and falls short is no error: it is a ``Finding`` (see ``linkage.checks``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


class LinkageError(Exception):
    """Base of every error raised on purpose."""

    @property
    def lines(self) -> tuple[str, ...]:
        """The message as lines to tell a user."""
        return (str(self),)


@dataclass(frozen=True)
class Fault:
    """One fault of a document: where, what was found, what was expected."""

    field: str
    found: str
    expected: str

    def __str__(self) -> str:
        return f"{self.field}: {self.found}; expected {self.expected}"


class DocumentError(LinkageError):
    """Wrong input. Carries every fault found, not only the first."""

    def __init__(self, faults: Sequence[Fault], source: str = "study") -> None:
        self.faults = tuple(faults)
        self.source = source
        super().__init__("\n".join(self.lines))

    @property
    def lines(self) -> tuple[str, ...]:
        """The message, a line a fault."""
        return (f"{self.source}: {len(self.faults)} fault(s)", *(f"  {f}" for f in self.faults))


class MechanismError(LinkageError):
    """Cannot be computed. The message says where on the stroke and by how much."""

    @property
    def lines(self) -> tuple[str, ...]:
        return (f"cannot be computed: {self}",)
