"""A study being edited: what was changed, what can be undone, and what the file holds. Never changed in place."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import Any

from linkage.document.paths import numbered
from linkage.document.reader import Source, parse, read
from linkage.document.study import Study
from linkage.document.variants import value_at, varied
from linkage.document.ways import put
from linkage.document.write import Raw, manner, rewritten
from linkage.drafting.drag import Keep, changed, moved
from linkage.drafting.handles import Handle, drawn_place, handles
from linkage.drafting.steps import Snap, kind_of, rounded
from linkage.gear import Gear, build


@dataclass(frozen=True)
class State:
    """One place in the history: raw values by path that differ from the file as first read, and what was done."""

    edits: Mapping[str, Raw] = field(default_factory=dict)
    done: str = ""


@dataclass(frozen=True)
class Draft:
    """A study with its history. ``origin``: the file as first read, with ``settings`` (of the command line) in its
    study; ``path`` and ``sha256``: the file that a save replaces, and what it held when last read or written;
    ``written``: the edits that it holds, None if it lacks the settings."""

    origin: Source
    settings: Mapping[str, Any]
    path: Path
    sha256: str
    states: tuple[State, ...] = (State(),)
    here: int = 0
    written: Mapping[str, Raw] | None = None

    @property
    def state(self) -> State:
        return self.states[self.here]

    @property
    def dirty(self) -> bool:
        return self.written is None or dict(self.state.edits) != dict(self.written)

    @cached_property
    def table(self) -> dict[str, Any]:
        """The file as first read as a plain table, with the settings."""
        table = tomllib.loads(self.origin.text)
        for path, value in self.settings.items():
            put(table, path, value)
        return table

    @cached_property
    def study(self) -> Study:
        return self.study_of(self.state.edits)

    def study_of(self, edits: Mapping[str, Raw]) -> Study:
        """The study with these edits, unchecked."""
        return varied(self.origin.study, self.inside_of(edits))

    def inside_of(self, edits: Mapping[str, Raw]) -> dict[str, float]:
        """Raw values as a study holds them once read."""
        return {path: self._inside(path, raw) for path, raw in edits.items()}

    def as_read(self, path: str, raw: Raw) -> bool:
        """Whether a raw value means what the file said when it was first read."""
        return bool(self._inside(path, raw) == value_at(self.origin.study, path))

    def _inside(self, path: str, raw: Raw) -> float:
        return manner(self.table, path, kind_of(path)).inside(raw)

    @cached_property
    def gear(self) -> Gear:
        return build(self.study)

    @cached_property
    def handles(self) -> tuple[Handle, ...]:
        return handles(self.study, self.gear)

    @cached_property
    def text(self) -> str:
        """The file as a save writes it."""
        return rewritten(self.origin.text, {**self.settings, **self.state.edits})

    @property
    def source(self) -> Source:
        """The study as it stands, for the solver."""
        return Source(self.path, self.sha256, self.text, self.study)


def begin(path: Path, settings: Mapping[str, Any] | None = None) -> Draft:
    """Read a study to edit it. Raises ``DocumentError``, or ``MechanismError`` for one that cannot be drawn."""
    origin = read(path, settings)
    table = tomllib.loads(origin.text)
    placed = {numbered(field, table): value for field, value in (settings or {}).items()}
    draft = Draft(origin, placed, path, origin.sha256, written=None if settings else {})
    _ = draft.handles
    return draft


@dataclass(frozen=True)
class Grip:
    """A pin being moved from a draft: every place is worked out from the draft as it was when the pin was taken, so
    that the way there leaves no trace. ``driven``: rotation in rad, towards up, at which the gear is shown then."""

    draft: Draft
    name: str
    driven: float = 0.0

    def edits(self, point: complex, keep: Keep, snap: Snap) -> dict[str, Raw]:
        """Raw values with the pin seen at ``point``, FS + 1j*WL in mm. Raises as `linkage.drafting.drag.moved`."""
        draft = self.draft
        handle = next(h for h in draft.handles if h.name == self.name)
        place = drawn_place(draft.gear, handle, self.driven, point)
        raw: dict[str, Raw] = {}

        def rounding(fields: dict[str, float], own: bool) -> dict[str, float]:
            inside, written = rounded(draft.table, changed(draft.study, fields), snap, own)
            raw.update(written)
            return {**fields, **inside}

        changes = moved(draft.study, draft.gear, self.name, place, keep, rounding)
        new = dict(draft.state.edits) | {path: raw[path] for path in changes}
        return {path: value for path, value in new.items() if not draft.as_read(path, value)}


def edited(draft: Draft, edits: Mapping[str, Raw], done: str) -> Draft:
    """The draft with a further state, which the reader must accept as a document: ``DocumentError`` if not."""
    if dict(edits) == dict(draft.state.edits):
        return draft
    states = (*draft.states[: draft.here + 1], State(dict(edits), done))
    new = replace(draft, states=states, here=draft.here + 1)
    check(new)
    return new


def check(draft: Draft) -> Study:
    """Read the draft's text as a file would be read. Raises ``DocumentError`` with every fault found."""
    return parse(tomllib.loads(draft.text), draft.path.name)


def undone(draft: Draft) -> Draft:
    """One state back in the history; the first stays as it is."""
    return replace(draft, here=max(draft.here - 1, 0))


def redone(draft: Draft) -> Draft:
    """One state forward in the history; the last stays as it is."""
    return replace(draft, here=min(draft.here + 1, len(draft.states) - 1))


def dragged(draft: Draft, name: str, point: complex, keep: Keep, snap: Snap = Snap.OFF, driven: float = 0.0) -> Draft:
    """A pin taken, moved to where it is seen at ``point`` and let go."""
    edits = Grip(draft, name, driven).edits(point, keep, snap)
    return edited(draft, edits, f"{name} moved ({keep.value})")
