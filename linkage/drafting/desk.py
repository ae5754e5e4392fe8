"""What the board does, without its window: the pin in hand, the place on the stroke, what is shown, what just broke.

The one thing here that changes in place. Every method is one act of the user; none of them raises on a bad study:
``trouble`` then says what is wrong, and what is shown stays as it was last good.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec

from linkage.checks import Finding
from linkage.checks.pairing import Turned
from linkage.drafting import keeping
from linkage.drafting.draft import Draft, Grip, edited, redone, undone
from linkage.drafting.drag import Keep
from linkage.drafting.exact import Exact
from linkage.drafting.glances import AHEAD, Glances
from linkage.drafting.handles import Handle, seen_place
from linkage.drafting.shown import Judge, Shown
from linkage.drafting.sight import Sight, Solver
from linkage.drafting.steps import Snap, nudge
from linkage.errors import LinkageError

P = ParamSpec("P")

PLAY_SECONDS = 4.0
"""s from down to up when the stroke is played."""


def empty_handed(act: Callable[Concatenate[Desk, P], None]) -> Callable[Concatenate[Desk, P], None]:
    """Nothing happens while a pin is in hand: it is worked back from where the gear stood when it was taken."""

    @wraps(act)
    def acted(desk: Desk, /, *given: P.args, **named: P.kwargs) -> None:
        if desk.grip is None:
            act(desk, *given, **named)

    return acted


class Desk:
    """A draft as it is seen, the pin in hand, and the place on the stroke: all that a window needs to know."""

    def __init__(
        self,
        draft: Draft,
        judge: Judge,
        solver: Solver | None = None,
        glancer: Glances | None = None,
    ) -> None:
        """Raises ``MechanismError`` or ``DocumentError`` where the study cannot be judged at all."""
        self.sight = Sight(draft, judge, solver, glancer)
        self.keep, self.snap = Keep.LENGTHS, Snap.OFF
        self.selected = 0
        self.place = 0.0
        self.playing = False
        self.state = 0
        self.trouble, self.message = "", ""
        self.grip: Grip | None = None
        self.pulled: complex | None = None
        self.ended = False
        self._sure = ""
        self._clock: float | None = None
        self._swung: tuple[Shown, float, float] | None = None

    # --- what is shown ------------------------------------------------------------------------------------------------

    @property
    def draft(self) -> Draft:
        return self.sight.draft

    @property
    def shown(self) -> Shown:
        return self.sight.shown

    @property
    def handles(self) -> tuple[Handle, ...]:
        return self.sight.handles

    @property
    def handle(self) -> Handle:
        return self.handles[self.selected]

    @property
    def held(self) -> str:
        """How the state shown holds the gear: moving, down or up."""
        return self.shown.study.state[self.state - 1].gear if self.state else "moving"

    @property
    def driven(self) -> float:
        """Rotation of the driven body where the gear is shown, rad, towards up."""
        place = {"moving": self.place, "down": 0.0, "up": 1.0}[self.held]
        return place * self.shown.driven_up

    @property
    def swing(self) -> float:
        """Leg swing in rad where the gear is shown; asked for several times a picture and worked out once."""
        shown, driven = self.shown, self.driven
        if self._swung is None or self._swung[0] is not shown or self._swung[1] != driven:
            self._swung = shown, driven, shown.swing_at(driven)
        return self._swung[2]

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Exact ones where they are known, else quick ones; worst first."""
        return self.sight.findings

    @property
    def broke(self) -> Turned:
        """What the last change broke and mended."""
        return self.sight.broke

    @property
    def exact(self) -> Exact | None:
        return self.sight.exact

    @property
    def settled(self) -> bool:
        """What is shown is the exact solution."""
        return self.sight.settled

    @property
    def changed(self) -> bool:
        """What is shown is not what the file holds."""
        return self.draft.dirty or self.grip is not None

    @property
    def busy(self) -> bool:
        """The exact solution of what is shown is on its way."""
        return self.sight.solving

    @property
    def looking(self) -> bool:
        """A glance at where the pin was drawn is on its way."""
        return bool(self.sight.sought)

    @property
    def free(self) -> bool:
        """One more place of the pin may be judged."""
        return len(self.sight.sought) < AHEAD

    @property
    def states(self) -> tuple[str, ...]:
        return ("nominal", *(s.name for s in self.shown.study.state))

    def seen(self, handle: Handle) -> complex:
        """Where a pin is seen now, FS + 1j*WL in mm."""
        return seen_place(self.shown.gear, handle, self.driven)

    # --- pins ---------------------------------------------------------------------------------------------------------

    @empty_handed
    def select(self, step: int) -> None:
        self.selected = (self.selected + step) % len(self.handles)

    def grab(self, index: int) -> None:
        self.selected, self.playing, self.trouble, self.message = index, False, "", ""
        self.grip = Grip(self.draft, self.handle.name, self.driven)

    def pull(self, point: complex, now: float, last: bool = False) -> None:
        """The pin in hand is drawn to a point; to the ``last`` one before it is let go, which is judged at once."""
        if self.grip is None:
            return
        self.pulled = point
        try:
            edits = self.grip.edits(point, self.keep, self.snap)
            if last and edits not in (self.sight.edits, self.draft.state.edits):
                self.sight.show(edits, now)
            else:
                self.sight.seek(edits, now)
            if not self.looking:
                self.trouble = ""
        except LinkageError as err:
            self.sight.leave()
            self.trouble = str(err)

    def drop(self, now: float) -> None:
        """The pin in hand is let go; where it cannot be, everything goes back to where it was taken."""
        grip, self.grip, self.pulled = self.grip, None, None
        if grip is None:
            return
        try:
            if self.sight.sought:
                self.sight.show(self.sight.sought[-1], now)
            elif self.trouble:
                self._back(f"not taken: {self.trouble}", now)
                return
            self.sight.draft = edited(self.draft, self.sight.edits, f"{grip.name} moved")
        except LinkageError as err:
            self._back(f"not taken: {err}", now)
        except Exception:
            self._back("", now)
            raise
        else:
            self.message, self.trouble = self._without_exact(), ""

    def cancel(self, now: float) -> None:
        """Let go without moving."""
        if self.grip is not None:
            self.grip, self.pulled = None, None
            self._back("", now)
        self.message, self.trouble, self._sure = "", "", ""

    @empty_handed
    def nudge(self, direction: complex, times: float, now: float) -> None:
        """Move the selected pin by steps."""
        self.grab(self.selected)
        before = self.draft
        step = nudge(self.shown.study.units, self.snap) * times
        self.pull(self.seen(self.handle) + direction * step, now, last=True)
        self.drop(now)
        if self.draft is before and not self.message:
            self.message = f"{self.handle.name} does not move that way with {self.keep.value} and {self.snap.value}"

    def _back(self, message: str, now: float) -> None:
        """Show the draft as it is."""
        self.trouble, self.message = "", message
        self.sight.back(now)

    # --- modes and the stroke -----------------------------------------------------------------------------------------

    def other_keep(self) -> None:
        self.keep = Keep.PLACES if self.keep is Keep.LENGTHS else Keep.LENGTHS

    def next_snap(self) -> None:
        order = list(Snap)
        self.snap = order[(order.index(self.snap) + 1) % len(order)]

    @empty_handed
    def next_state(self, step: int = 1) -> None:
        self.state = (self.state + step) % len(self.states)

    @empty_handed
    def scrub(self, place: float) -> None:
        """Show the gear at a part of the stroke, 0 down to 1 up."""
        self.place, self.playing = min(max(place, 0.0), 1.0), False

    @empty_handed
    def play(self) -> None:
        self.playing = not self.playing
        self._clock = None

    # --- history and file ---------------------------------------------------------------------------------------------

    def undo(self, now: float) -> None:
        self._go(undone(self.draft), "nothing to undo", f"undone: {self.draft.state.done}", now)

    def redo(self, now: float) -> None:
        new = redone(self.draft)
        self._go(new, "nothing to redo", f"done again: {new.state.done}", now)

    @empty_handed
    def _go(self, new: Draft, nothing: str, done: str, now: float) -> None:
        if new.here == self.draft.here:
            self.message = nothing
            return
        try:
            self.sight.show(new.state.edits, now)
        except LinkageError as err:  # it was shown before, so this is not to be expected
            self.trouble = str(err)
            return
        self.sight.draft, self.message, self.trouble = new, done, ""

    @empty_handed
    def save(self, beside: bool = False) -> None:
        if not beside and not self.draft.dirty:
            self.message = "nothing to save"
            return
        try:
            self.sight.draft = keeping.saved_beside(self.draft) if beside else keeping.saved(self.draft)
            self.message = f"saved: {self.draft.path}"
        except LinkageError as err:
            self.message = f"NOT SAVED: {err}"

    @empty_handed
    def reload(self, now: float) -> None:
        """Read the file again; asks once more where that loses changes."""
        if self.draft.dirty and not self._asked_twice("reload", "read the file again and lose the changes"):
            return
        try:
            self.sight.again(keeping.reloaded(self.draft), now)
        except LinkageError as err:
            self.message = f"not read: {err}"
            return
        self.selected, self.state = min(self.selected, len(self.handles) - 1), 0
        self.message, self.trouble = f"read again: {self.draft.path.name}", ""

    def quit(self) -> None:
        """End; asks once more where that loses changes."""
        if not self.changed or self._asked_twice("quit", "quit and lose the changes"):
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
        """Let time pass: play, take answers, ask for the exact solution. True where something is to be shown."""
        played = self._played(now)
        looking = self.looking
        try:
            if not self.sight.tick(now, not self.trouble):
                return played
        except LinkageError as err:
            self.trouble = str(err)
            return True
        if looking:
            self.trouble = ""
        elif told := self._without_exact():
            self.message = told
        return True

    def _without_exact(self) -> str:
        """Why there is no exact solution of what is shown, nothing where there is one or it is to come."""
        return f"exact solution: {self.exact.trouble}" if self.exact is not None and self.exact.trouble else ""

    def _played(self, now: float) -> bool:
        if not self.playing:
            return False
        step = 0.0 if self._clock is None else (now - self._clock) / PLAY_SECONDS
        self._clock = now
        phase = (self.place + step) % 1.0
        self.place = phase if self.place + step < 1.0 or self.place == 1.0 else 1.0
        return True


def degrees(desk: Desk) -> float:
    """Leg swing in degrees where the gear is shown, 0 at the lock and positive towards up."""
    return math.degrees(desk.swing)


__all__ = ["Desk", "degrees"]
