"""Save a draft into its study file: only what was changed, whole or not at all, and never over somebody else's work."""

from __future__ import annotations

import stat
import tomllib
from dataclasses import replace
from hashlib import sha256
from itertools import count
from pathlib import Path

from linkage.document.reader import parse
from linkage.drafting.draft import Draft, begin
from linkage.errors import LinkageError
from linkage.files import write_new, write_whole


class SavedElsewhereError(LinkageError):
    """The file no longer holds what was read from it."""


class NotTheSameError(LinkageError):
    """What would be written does not read back as the study that is edited."""


def saved(draft: Draft) -> Draft:
    """Write the draft into its file. Raises ``SavedElsewhereError`` where the file was changed or taken away since it
    was read, ``NotTheSameError`` where the reader would make another study of it, ``LinkageError`` where it cannot or
    must not be written."""
    path = draft.path.resolve()
    text = _proved(draft)
    found = _held_by(path)
    if found != draft.sha256:
        what = "is gone" if found is None else "was saved by somebody else"
        raise SavedElsewhereError(
            f"{draft.path.name} {what} since it was read: nothing written; save it as {free_name(draft.path).name}, or"
            " read the file again"
        )
    if not path.stat().st_mode & stat.S_IWUSR:  # it could be replaced all the same, which is not what was meant
        raise LinkageError(
            f"{draft.path.name} is read-only: nothing written; save it as {free_name(draft.path).name}, or make it"
            " writable"
        )
    _write(path, text)
    return replace(draft, sha256=_hash(text), written=dict(draft.state.edits))


def saved_beside(draft: Draft) -> Draft:
    """Write the draft to a new file beside its own, which is then the one being edited."""
    text, path = _proved(draft), free_name(draft.path)
    try:
        write_new(path, text.encode())
    except OSError as err:
        raise LinkageError(f"{path}: cannot be written ({err.strerror})") from err
    return replace(draft, path=path, sha256=_hash(text), written=dict(draft.state.edits))


def reloaded(draft: Draft) -> Draft:
    """The file as it is now; history and settings are gone. Raises ``DocumentError``, ``MechanismError``."""
    return begin(draft.path)


def free_name(path: Path) -> Path:
    """``study.1.toml`` beside ``study.toml``, or the next number that is free."""
    stem, _, number = path.stem.rpartition(".")
    base = stem if stem and number.isdigit() else path.stem
    names = (path.with_name(f"{base}.{n}{path.suffix}") for n in count(1))
    return next(p for p in names if not p.exists())


def _proved(draft: Draft) -> str:
    """The text to write, once the reader has made the same study of it."""
    back = parse(tomllib.loads(draft.text), draft.path.name)
    if back != draft.study:
        raise NotTheSameError(f"{draft.path.name}: would not read back as the study shown; nothing written")
    return draft.text


def _write(path: Path, text: str) -> None:
    try:
        write_whole(path, text.encode())
    except OSError as err:
        raise LinkageError(f"{path}: cannot be written ({err.strerror})") from err


def _held_by(path: Path) -> str | None:
    try:
        return sha256(path.read_bytes()).hexdigest()
    except OSError:
        return None


def _hash(text: str) -> str:
    return sha256(text.encode()).hexdigest()
