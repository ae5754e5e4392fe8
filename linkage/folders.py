"""A folder of files that belong together is put in place together, or not at all."""

from __future__ import annotations

import errno
import os
import shutil
import stat
import tempfile
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from fnmatch import fnmatchcase
from pathlib import Path


@contextmanager
def staged(folder: Path, last: str = "manifest.json", retire: Collection[str] = ()) -> Iterator[Path]:
    """Yield an empty draft folder; on success its files replace those of the same name in ``folder``.

    If the block fails or is interrupted, ``folder`` stays as it was. A new folder is put in place in one step, and so
    is one that replaces an older folder of files (Linux); other files in that are in the new one too. Where it cannot
    be, files are moved one by one, and if that fails half-way, moved back; the file called ``last`` is taken away first
    and put in place last, so that even after a power cut a folder that has it is complete. Files that match a pattern
    of ``retire`` (`fnmatch`, such as ``found-[0-9][0-9].toml``) and that the draft does not have are taken away, so
    that nothing stale stays beside the new ones; other files of ``folder`` are left alone.
    """
    if folder.exists() and not folder.is_dir():
        raise NotADirectoryError(errno.ENOTDIR, "is not a folder", str(folder))
    folder = folder.resolve()  # where a link leads
    folder.parent.mkdir(parents=True, exist_ok=True)
    # Beside the target, so that moving is a rename on the same disk.
    draft = Path(tempfile.mkdtemp(dir=folder.parent, prefix=".draft-"))
    try:
        new, old = draft / "new", draft / "old"
        new.mkdir()
        old.mkdir()
        yield new
        _move_in(new, folder, old, last, retire)
    finally:
        shutil.rmtree(draft, ignore_errors=True)


def exchanged(one: Path, other: Path) -> bool:
    """Two files or folders of one disk change places in one step; False where the system cannot do that."""
    import ctypes

    try:
        call = ctypes.CDLL(None, use_errno=True).renameat2
    except (AttributeError, OSError, TypeError):  # no Linux, or an old one
        return False
    here, swap = -100, 2  # AT_FDCWD, RENAME_EXCHANGE of <fcntl.h> and <linux/fs.h>
    return bool(call(here, os.fsencode(one), here, os.fsencode(other), swap) == 0)


def _stale(path: Path, retire: Collection[str]) -> bool:
    return path.is_file() and any(fnmatchcase(path.name, pattern) for pattern in retire)


def _exchanged(new: Path, folder: Path, retire: Collection[str]) -> bool:
    """The new folder takes the place of the older one at once. Not where somebody stands in the older one, or where it
    holds more than files."""
    names = {p.name for p in new.iterdir()}
    others = [p for p in folder.iterdir() if p.name not in names and not _stale(p, retire)]
    kept: list[Path] = []
    try:
        if Path.cwd().is_relative_to(folder) or not all(p.is_file() and not p.is_symlink() for p in others):
            return False
        for path in others:
            (new / path.name).hardlink_to(path)
            kept.append(new / path.name)
        new.chmod(stat.S_IMODE(folder.stat().st_mode))
        done = exchanged(new, folder)
    except OSError:  # links or the swap are refused, or the working folder is gone
        done = False
    if not done:
        for path in kept:
            path.unlink()
        return False
    for path in new.iterdir():  # what came into the older folder meanwhile
        if path.name not in names and not _stale(path, retire) and not (folder / path.name).exists():
            path.rename(folder / path.name)
    return True


def _move_in(new: Path, folder: Path, old: Path, last: str, retire: Collection[str]) -> None:
    for path in new.iterdir():
        path.chmod(0o644)
    if not folder.exists():
        new.chmod(0o755)
        new.rename(folder)  # all at once
        return
    if _exchanged(new, folder, retire):
        return
    names = sorted((p.name for p in new.iterdir()), key=lambda name: (name == last, name))
    put_aside: list[str] = []
    put_in: list[str] = []
    try:
        there = [p.name for p in folder.iterdir() if p.name in names or _stale(p, retire)]
        for name in sorted(there, key=lambda name: (name != last, name)):
            (folder / name).rename(old / name)
            put_aside.append(name)
        for name in names:
            (new / name).rename(folder / name)
            put_in.append(name)
    except BaseException:
        for name in put_in:
            (folder / name).unlink(missing_ok=True)
        for name in reversed(put_aside):
            (old / name).rename(folder / name)
        raise
