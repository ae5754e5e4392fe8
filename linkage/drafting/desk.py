"""What the board does, without its window: the pin in hand, the place on the stroke, what is shown, what just broke.

The one thing here that changes in place. Every method is one act of the user; none of them raises on a bad study:
``trouble`` then says what is wrong, and what is shown stays as it was last good.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Protocol

from linkage.checks import Finding
from linkage.checks.pairing import Turned, turned
from linkage.document.reader import Source
from linkage.document.study import Study
from linkage.document.write import Raw
from linkage.drafting import keeping
from linkage.drafting.draft import Draft, Grip, edited, redone, undone
from linkage.drafting.drag import Keep
from linkage.drafting.exact import Exact
from linkage.drafting.handles import Handle, handles, seen_place
from linkage.drafting.shown import Shown
from linkage.drafting.steps import Snap, nudge
from linkage.errors import LinkageError

REST = 0.4
"""s without a change after which the exact solution is worked out."""

PLAY_SECONDS = 4.0
"""s from down to up when the stroke is played."""


class Solver(Protocol):
    """Works out exact solutions elsewhere: `linkage.drafting.exact.Exactly`."""

    def ask(self, source: Source) -> int: ...

    def forget(self) -> None: ...

    def answer(self) -> Exact | None: ...


class Desk:
    """A draft, what is shown of it, the pin in hand, and the place on the stroke: all that a window needs to know."""

    def __init__(self, draft: Draft, judge: Callable[[Study], Shown], solver: Solver | None = None) -> None:
        """Raises ``MechanismError`` or ``DocumentError`` where the study cannot be judged at all."""
        self.draft, self.judge, self.solver = draft, judge, solver
        self.shown = judge(draft.study)
        self.handles: tuple[Handle, ...] = draft.handles
        self.keep, self.snap = Keep.LENGTHS, Snap.OFF
        self.selected = 0
        self.place = 0.0
        self.playing = False
        self.state = 0
        self.trouble, self.message = "", ""
        self.grip: Grip | None = None
        self.pulled: complex | None = None
        self.broke = Turned()
        self.change = ""
        self.exact: Exact | None = None
        self.ended = False
        self._edits: Mapping[str, Raw] = draft.state.edits
        self._quick_before = self.shown.findings
        self._exact_before: tuple[Finding, ...] | None = None
        self._due: float | None = 0.0
        self._asked = False
        self._sure = ""
        self._clock: float | None = None

    # --- what is shown ------------------------------------------------------------------------------------------------

    @property
    def handle(self) -> Handle:
        return self.handles[self.selected]

    @property
    def driven(self) -> float:
        """Rotation of the driven body where the gear is shown, rad, towards up."""
        only = self.shown.study.state[self.state - 1].gear if self.state else "moving"
        place = {"moving": self.place, "down": 0.0, "up": 1.0}[only]
        return place * self.shown.driven_up

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Exact ones where they are known, else quick ones; worst first."""
        return self.exact.findings if self.settled and self.exact is not None else self.shown.findings

    @property
    def settled(self) -> bool:
        """What is shown is the exact solution."""
        return self.exact is not None and not self.exact.trouble

    @property
    def busy(self) -> bool:
        """The exact solution of what is shown is on its way."""
        return self._asked

    @property
    def states(self) -> tuple[str, ...]:
        return ("nominal", *(s.name for s in self.shown.study.state))

    def seen(self, handle: Handle) -> complex:
        """Where a pin is seen now, FS + 1j*WL in mm."""
        return seen_place(self.shown.gear, handle, self.driven)

    # --- pins ---------------------------------------------------------------------------------------------------------

    def select(self, step: int) -> None:
        self.selected = (self.selected + step) % len(self.handles)

    def grab(self, index: int) -> None:
        self.selected, self.playing = index, False
        self.grip = Grip(self.draft, self.handle.name, self.driven)

    def pull(self, point: complex, now: float) -> None:
        """The pin in hand is drawn to a point."""
        if self.grip is None:
            return
        self.pulled = point
        try:
            edits = self.grip.edits(point, self.keep, self.snap)
            if edits != self._edits:
                self._show(edits, now)
            self.trouble = ""
        except LinkageError as err:
            self.trouble = str(err)
            self._wait(now)

    def drop(self, now: float) -> None:
        """The pin in hand is let go; where it cannot be, everything goes back to where it was taken."""
        grip, self.grip, self.pulled = self.grip, None, None
        if grip is None:
            return
        if self.trouble:
            self._back(f"not taken: {self.trouble}", now)
            return
        try:
            new = edited(self.draft, self._edits, f"{grip.name} moved")
        except LinkageError as err:
            self._back(f"not taken: {err}", now)
            return
        if new is self.draft:
            self._back("", now)
            return
        self.draft, self.message, self.trouble = new, "", ""

    def cancel(self, now: float) -> None:
        """Let go without moving."""
        if self.grip is not None:
            self.grip, self.pulled = None, None
            self._back("", now)
        self.message, self.trouble, self._sure = "", "", ""

    def nudge(self, direction: complex, times: float, now: float) -> None:
        """Move the selected pin by steps."""
        if self.grip is not None:
            return
        self.grab(self.selected)
        before = self.draft
        step = nudge(self.shown.study.units, self.snap) * times
        self.pull(self.seen(self.handle) + direction * step, now)
        self.drop(now)
        if self.draft is before and not self.message:
            self.message = f"{self.handle.name} does not move that way with {self.keep.value} and {self.snap.value}"

    def _back(self, message: str, now: float) -> None:
        """Show the draft as it is."""
        self.trouble, self.message = "", message
        if self._edits != self.draft.state.edits:
            self._show(self.draft.state.edits, now)

    # --- modes and the stroke -----------------------------------------------------------------------------------------

    def other_keep(self) -> None:
        self.keep = Keep.PLACES if self.keep is Keep.LENGTHS else Keep.LENGTHS

    def next_snap(self) -> None:
        order = list(Snap)
        self.snap = order[(order.index(self.snap) + 1) % len(order)]

    def next_state(self, step: int = 1) -> None:
        self.state = (self.state + step) % len(self.states)

    def scrub(self, place: float) -> None:
        """Show the gear at a part of the stroke, 0 down to 1 up."""
        self.place, self.playing = min(max(place, 0.0), 1.0), False

    def play(self) -> None:
        self.playing = not self.playing
        self._clock = None

    # --- history and file ---------------------------------------------------------------------------------------------

    def undo(self, now: float) -> None:
        self._go(undone(self.draft), "nothing to undo", f"undone: {self.draft.state.done}", now)

    def redo(self, now: float) -> None:
        new = redone(self.draft)
        self._go(new, "nothing to redo", f"done again: {new.state.done}", now)

    def _go(self, new: Draft, nothing: str, done: str, now: float) -> None:
        if self.grip is not None:
            return
        if new.here == self.draft.here:
            self.message = nothing
            return
        try:
            self._show(new.state.edits, now)
        except LinkageError as err:  # it was shown before, so this is not to be expected
            self.trouble = str(err)
            return
        self.draft, self.message, self.trouble = new, done, ""

    def save(self, beside: bool = False) -> None:
        if self.grip is not None:
            return
        if not beside and not self.draft.dirty:
            self.message = "nothing to save"
            return
        try:
            self.draft = keeping.saved_beside(self.draft) if beside else keeping.saved(self.draft)
            self.message, self.trouble = f"saved: {self.draft.path}", ""
        except LinkageError as err:
            self.message, self.trouble = "", str(err)

    def reload(self, now: float) -> None:
        """Read the file again; asks once more where that loses changes."""
        if self.draft.dirty and not self._asked_twice("reload", "read the file again and lose the changes"):
            return
        try:
            draft = keeping.reloaded(self.draft)
            shown = self.judge(draft.study)
        except LinkageError as err:
            self.trouble = str(err)
            return
        self.draft, self.shown, self.handles = draft, shown, draft.handles
        self.selected, self.state = min(self.selected, len(self.handles) - 1), 0
        self._edits, self.broke, self.change = draft.state.edits, Turned(), ""
        self._quick_before, self._exact_before = shown.findings, None
        self.message, self.trouble = f"read again: {draft.path.name}", ""
        self._wait(now)

    def quit(self) -> None:
        """End; asks once more where that loses changes."""
        if not self.draft.dirty or self._asked_twice("quit", "quit and lose the changes"):
            self.ended = True

    def _asked_twice(self, what: str, meaning: str) -> bool:
        sure, self._sure = self._sure == what, what
        if not sure:
            self.message = f"not saved: the same again to {meaning}"
        return sure

    def other_act(self, act: str) -> None:
        """Any other act in between takes back the question."""
        if self._sure and act != self._sure:
            self._sure = ""

    # --- time ---------------------------------------------------------------------------------------------------------

    def tick(self, now: float) -> bool:
        """Let time pass: play, ask for the exact solution, take its answer. True where something is to be shown."""
        moved = self._played(now)
        if self.solver is None:
            return moved
        if self._due is not None and now >= self._due and not self.trouble:
            self._due, self._asked = None, True
            origin = self.draft.origin
            self.solver.ask(Source(origin.path, origin.sha256, origin.text, self.shown.study))
            return True
        found = self.solver.answer() if self._asked else None
        if found is None:
            return moved
        self._asked, self.exact = False, found
        if found.trouble:
            self.message = f"exact solution: {found.trouble}"
        elif self._exact_before is not None:
            self.broke = turned(self._exact_before, found.findings)
        return True

    def _played(self, now: float) -> bool:
        if not self.playing:
            return False
        step = 0.0 if self._clock is None else (now - self._clock) / PLAY_SECONDS
        self._clock = now
        phase = (self.place + step) % 1.0
        self.place = phase if self.place + step < 1.0 or self.place == 1.0 else 1.0
        return True

    def _wait(self, now: float) -> None:
        """What is shown has changed: the exact solution follows when that rests."""
        self._due = now + REST
        self._asked, self.exact = False, None
        if self.solver is not None:
            self.solver.forget()

    def _show(self, edits: Mapping[str, Raw], now: float) -> None:
        """Judge and show the draft with these edits. Raises ``LinkageError`` and then changes nothing."""
        study = self.draft.study_of(edits)
        shown = self.judge(study)
        if self._edits == self.draft.state.edits:  # the first step away from a place in the history
            self._quick_before, self._exact_before = (
                self.shown.findings,
                self.exact.findings if self.settled and self.exact else None,
            )
        self.shown, self._edits = shown, dict(edits)
        self.handles = handles(study, shown.gear)
        self.broke = turned(self._quick_before, shown.findings)
        self._wait(now)


def degrees(desk: Desk) -> float:
    """Leg swing in degrees where the gear is shown, 0 at the lock and positive towards up."""
    return math.degrees(desk.shown.swing_at(desk.driven))


__all__ = ["Desk", "degrees"]
