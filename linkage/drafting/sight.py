"""What is shown of a draft and how sure it is: a glance at every change, the exact solution when that rests."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from linkage.checks import Finding
from linkage.checks.pairing import Turned, turned
from linkage.document.reader import Source
from linkage.document.write import Raw
from linkage.drafting.draft import Draft
from linkage.drafting.exact import Exact
from linkage.drafting.glances import Glances
from linkage.drafting.handles import handles
from linkage.drafting.shown import Judge, Shown
from linkage.errors import MechanismError

REST = 0.4
"""s without a change after which the exact solution is worked out."""


class Solver(Protocol):
    """Works out exact solutions elsewhere: `linkage.drafting.exact.Exactly`."""

    def ask(self, source: Source) -> int: ...

    def forget(self) -> None: ...

    def answer(self) -> Exact | None: ...


class Sight:
    """A draft, what is shown of it, of which edits, and what these broke. ``judge`` looks here and now, ``glancer`` and
    ``solver`` elsewhere; without them nothing is awaited. ``edits`` are those of the draft's place in its history but
    while a pin is in hand."""

    def __init__(self, draft: Draft, judge: Judge, solver: Solver | None, glancer: Glances | None) -> None:
        """Raises ``MechanismError`` or ``DocumentError`` where the study cannot be judged at all."""
        self.judge, self.solver, self.glancer = judge, solver, glancer
        self._start(draft, judge(draft.study))
        self._due: float | None = 0.0

    def _start(self, draft: Draft, shown: Shown) -> None:
        self.draft, self.shown, self.handles = draft, shown, draft.handles
        self.edits: Mapping[str, Raw] = draft.state.edits
        self.broke = Turned()
        self.exact: Exact | None = None
        self.solving = False
        """The exact solution of what is shown is on its way."""
        self._rest: tuple[Shown, Exact | None] = shown, None
        """What was shown at the draft's place in its history."""

    @property
    def sought(self) -> list[Mapping[str, Raw]]:
        """Edits at which the glancer looks, one after the other."""
        return self.glancer.sought if self.glancer is not None else []

    @property
    def settled(self) -> bool:
        """What is shown is the exact solution."""
        return self.exact is not None and not self.exact.trouble

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Exact ones where they are known, else quick ones; worst first."""
        return self.exact.findings if self.settled and self.exact is not None else self.shown.findings

    def again(self, draft: Draft, now: float) -> None:
        """Begin anew with what was read. Raises ``LinkageError`` and then changes nothing."""
        self.judge.anew()
        shown = self.judge(draft.study)
        self.leave()
        self._start(draft, shown)
        self.wait(now)

    def show(self, edits: Mapping[str, Raw], now: float) -> None:
        """Judge and show the draft with these edits here and now. Raises ``LinkageError`` and then changes nothing."""
        self.leave()
        self._take(edits, self.judge(self.draft.study_of(edits)), now)

    def seek(self, edits: Mapping[str, Raw], now: float) -> None:
        """Show the draft with these edits as soon as they are judged: at once where there is no glancer, which raises
        as ``show`` does, else by a later ``tick``."""
        if edits == [self.edits, *self.sought][-1]:
            return
        if edits == self.draft.state.edits:
            self.back(now)
            return
        if self.glancer is None:
            self.show(edits, now)
            return
        self.glancer.ask(dict(edits), self.draft.origin.study, self.draft.inside_of(edits))

    def back(self, now: float) -> None:
        """Show the draft as it is, as it was shown before."""
        self.leave()
        if self.edits == self.draft.state.edits:
            return
        self.edits = self.draft.state.edits
        self.shown, exact = self._rest
        self.handles, self.broke = handles(self.shown.study, self.shown.gear), Turned()
        self.wait(now)
        if exact is not None:
            self.exact, self._due = exact, None

    def leave(self) -> None:
        """What is sought no longer matters."""
        if self.glancer is not None:
            self.glancer.forget()

    def wait(self, now: float) -> None:
        """The exact solution follows when nothing changes any more."""
        self._due = now + REST
        self.solving, self.exact = False, None
        if self.solver is not None:
            self.solver.forget()

    def tick(self, now: float, sound: bool) -> bool:
        """Look for answers, and ask for the exact solution at rest if what is shown is ``sound``. True where something
        is to be shown. Raises ``MechanismError`` where what was sought cannot be shown."""
        return self._sighted(now) or self._solved(now, sound)

    def _sighted(self, now: float) -> bool:
        found = self.glancer.answer() if self.glancer is not None else None
        if found is None:
            return False
        edits, seen = found
        if isinstance(seen, str):
            raise MechanismError(seen)
        self._take(edits, seen, now)
        return True

    def _solved(self, now: float, sound: bool) -> bool:
        if self.solver is None:
            return False
        if self._due is not None and now >= self._due and sound and not self.sought:
            self._due, self.solving = None, True
            origin = self.draft.origin
            self.solver.ask(Source(origin.path, origin.sha256, origin.text, self.shown.study))
            return True
        found = self.solver.answer() if self.solving else None
        if found is None:
            return False
        self.solving, self.exact = False, found
        before = self._rest[1]
        if not found.trouble and before is not None and not before.trouble:
            self.broke = turned(before.findings, found.findings)
        return True

    def _take(self, edits: Mapping[str, Raw], shown: Shown, now: float) -> None:
        if self.edits == self.draft.state.edits:  # the first step away from a place in the history
            self._rest = self.shown, self.exact
        self.shown, self.edits = shown, dict(edits)
        self.handles = handles(shown.study, shown.gear)
        self.broke = turned(self._rest[0].findings, shown.findings)
        self.wait(now)


__all__ = ["REST", "Sight", "Solver"]
