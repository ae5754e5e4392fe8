"""Files are written whole or not at all."""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
import stat
import tempfile
from collections.abc import Iterator
from pathlib import Path

NEW = 0o644
"""Who may read and write a new file: everybody reads, its owner writes."""


def write_whole(path: Path, content: bytes | str) -> None:
    """Write ``content`` beside ``path`` and move it into place in one step."""
    with whole_file(path) as draft:
        draft.write_bytes(content.encode() if isinstance(content, str) else content)


@contextlib.contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """Yield a draft path with the same suffix; it replaces ``path`` on success and vanishes on failure. Who may read
    and write a file that is there already stays as it is."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with _draft(path) as draft:
        yield draft
        draft.chmod(stat.S_IMODE(path.stat().st_mode) if path.exists() else NEW)
        draft.replace(path)


def write_new(path: Path, content: bytes) -> None:
    """Write a file that is not there yet, whole or not at all. Raises ``FileExistsError`` where somebody was faster."""
    with _draft(path) as draft:
        draft.write_bytes(content)
        draft.chmod(NEW)
        try:
            path.hardlink_to(draft)
        except FileExistsError:
            raise
        except OSError:  # a disk without links: the name is taken first, and is empty for a moment
            path.open("x").close()
            draft.replace(path)


@contextlib.contextmanager
def _draft(path: Path) -> Iterator[Path]:
    """An empty file beside a place, gone in the end unless it was moved."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".draft-", suffix=path.suffix)
    os.close(handle)
    draft = Path(name)
    try:
        yield draft
    finally:
        draft.unlink(missing_ok=True)


@contextlib.contextmanager
def plainly_named(path: Path) -> Iterator[Path]:
    """The file, or a copy of it where its path is no text: libraries that are not of Python refuse such a path."""
    try:
        str(path).encode()
    except UnicodeEncodeError:
        with tempfile.TemporaryDirectory() as scratch:
            copy = Path(scratch) / f"copy{path.suffix}"
            shutil.copyfile(path, copy)
            yield copy
    else:
        yield path


def lost(err: OSError) -> str:
    """What a full disk, or a folder that may not be written, costs, in words."""
    named = Path(str(err.filename or ""))
    where = named.parent if named.name.startswith(".draft-") else named
    return f"cannot write or read {where}: {err.strerror or err}; nothing was changed"


def spreadsheet_safe(text: str) -> str:
    """Keep a spreadsheet from running user text as a formula."""
    return "'" + text if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text


def check_room(folder: Path) -> None:
    """Raise ``OSError`` early where nothing could be written into ``folder``, which need not exist yet."""
    there = next(p for p in (folder, *folder.absolute().parents) if p.exists())
    if not there.is_dir():
        raise NotADirectoryError(errno.ENOTDIR, "is not a folder", str(there))
    try:
        with tempfile.TemporaryFile(dir=there):
            pass
    except OSError as err:
        raise OSError(err.errno, "is no place to write into", str(there)) from err


def printable(text: str) -> str:
    """One line without what could steer a terminal: control and direction codes and line breaks become ``?``."""
    return "".join(c if c.isprintable() else "?" for c in text)
