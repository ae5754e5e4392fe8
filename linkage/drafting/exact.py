"""The exact solution of a draft, worked out in a process of its own so that the board never waits for it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from shapely.geometry.base import BaseGeometry

from linkage.checks import Finding
from linkage.crew import SPAWNED
from linkage.document.reader import Source
from linkage.drafting.clerk import Clerk, Failed
from linkage.errors import LinkageError


@dataclass(frozen=True)
class Exact:
    """What the full solver says of one study. ``keep_out``: side view in mm; ``trouble``: why there is no solution."""

    findings: tuple[Finding, ...] = ()
    keep_out: BaseGeometry | None = None
    trouble: str = ""


class OutdatedError(Exception):
    """A newer study waits: the one at work no longer matters."""


def exactly(source: Source) -> Exact:
    """Solve it here and now."""
    from linkage.solution import solve

    try:
        solution = solve(source, _give_way, closely=False)
    except LinkageError as err:
        return Exact(trouble=str(err))
    return Exact(solution.findings, solution.results.swept.keep_out.side_view)


class Exactly:
    """Solves the study asked for last. What was asked before is dropped, half-way where it is already at work."""

    def __init__(self) -> None:
        self._wanted = SPAWNED.Value("q", 0, lock=False)  # written here only, and no lock to be left behind
        self._clerk = Clerk(_begin, self._wanted)

    def ask(self, source: Source) -> int:
        """Begin with a study; returns its number."""
        self.forget()
        number = int(self._wanted.value)
        self._clerk.ask(_answer, number, source)
        return number

    def forget(self) -> None:
        """What was asked for no longer matters."""
        self._wanted.value += 1
        self._clerk.forget()

    def answer(self) -> Exact | None:
        """The solution of the study asked for last, once; None while there is none."""
        found: tuple[Any, Exact | Failed] | None = self._clerk.answer()
        if found is None:
            return None
        return Exact(trouble=found[1].why) if isinstance(found[1], Failed) else found[1]

    def close(self) -> None:
        """End the process, also in the middle of its work."""
        self.forget()
        self._clerk.close()


# --- in the process ---------------------------------------------------------------------------------------------------

_shared: dict[str, Any] = {}


def _begin(wanted: Any) -> None:
    _shared["wanted"] = wanted


def _answer(number: int, source: Source) -> Exact:
    _shared["number"] = number
    try:
        return exactly(source)
    except OutdatedError:
        return Exact(trouble="a newer study waits")


def _give_way(step: str) -> None:
    """Between two steps of the solver: stop where a newer study waits."""
    wanted = _shared.get("wanted")
    if wanted is not None and wanted.value != _shared["number"]:
        raise OutdatedError(step)
