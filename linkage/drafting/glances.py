"""Glances at a draft worked out in a process of its own, so that a picture is drawn while the next one is judged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from linkage.document.study import Study
from linkage.document.variants import varied
from linkage.document.write import Raw
from linkage.drafting.clerk import Clerk, Failed
from linkage.drafting.shown import Judge, Shown
from linkage.errors import LinkageError

AHEAD = 2
"""Studies on their way: while one is judged the next one lies ready, so that the process never waits."""


class Glances:
    """Judges studies, one after the other. ``folder``: where they lie."""

    def __init__(self, folder: Path, base: Study) -> None:
        """``base``: of which the studies to be judged are changes."""
        self._folder, self._base = folder, base
        self._clerk = Clerk(_begin, folder, base, at_once=AHEAD)

    def warm(self) -> None:
        """Start the process and look once, while nobody waits for it."""
        self._clerk.ask(_look, {})
        self._clerk.forget()

    def ask(self, edits: Mapping[str, Raw], base: Study, changes: Mapping[str, float]) -> None:
        """Begin with the study that has these numbers (inside units), which are those of the edits, in place of those
        of ``base``, which goes over only when it is another."""
        if base is not self._base:
            self._base = base
            self._clerk.tell(self._folder, base)
        self._clerk.ask(_look, dict(changes), about=(edits, varied(base, changes)))

    @property
    def sought(self) -> list[Mapping[str, Raw]]:
        """Edits whose answers have not been taken, oldest first."""
        return [edits for edits, _ in self._clerk.awaited]

    def forget(self) -> None:
        """Whatever was asked for no longer matters."""
        self._clerk.forget()

    def answer(self) -> tuple[Mapping[str, Raw], Shown | str] | None:
        """The edits asked for first and what comes of them, once, or why it cannot be shown; None while it is not
        there."""
        found: tuple[Any, Shown | str | Failed] | None = self._clerk.answer()
        if found is None:
            return None
        (edits, study), seen = found
        if isinstance(seen, Failed):
            return edits, seen.why
        return edits, replace(seen, study=study) if isinstance(seen, Shown) else seen

    def close(self) -> None:
        """End the process."""
        self._clerk.close()


# --- in the process ---------------------------------------------------------------------------------------------------

_known: dict[str, Any] = {}
_NONE: Any = None


def _begin(folder: Path, base: Study) -> None:
    _known.update(judge=Judge(folder), base=base)


def _look(changes: Mapping[str, float]) -> Shown | str:
    try:
        shown: Shown = _known["judge"](varied(_known["base"], changes))
    except LinkageError as err:
        return str(err)
    return replace(shown, study=_NONE)  # the one who asks has it, and it is more than all the rest
