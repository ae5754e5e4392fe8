"""A folder of files that belong together is put in place together, or not at all."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from fnmatch import fnmatchcase
from pathlib import Path

from linkage.handoff.model import HandoffError


@contextmanager
def staged(folder: Path, last: str = "manifest.json", retire: Collection[str] = ()) -> Iterator[Path]:
    """Yield an empty draft folder; on success its files replace those of the same name in ``folder``.

    If the block fails or is interrupted, ``folder`` stays as it was. If moving fails half-way, what was moved is moved
    back. The file called ``last`` is taken away first and put in place last, so that even after a power cut a folder
    that has it is complete. Files that match a pattern of ``retire`` (`fnmatch`, such as ``found-[0-9][0-9].toml``) and
    that the draft does not have are taken away, so that nothing stale stays beside the new ones; other files of
    ``folder`` are left alone.
    """
    if folder.exists() and not folder.is_dir():
        raise HandoffError(f"{folder} is not a folder")
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


def _stale(path: Path, retire: Collection[str]) -> bool:
    return path.is_file() and any(fnmatchcase(path.name, pattern) for pattern in retire)


def _move_in(new: Path, folder: Path, old: Path, last: str, retire: Collection[str]) -> None:
    for path in new.iterdir():
        path.chmod(0o644)
    if not folder.exists():
        new.chmod(0o755)
        new.rename(folder)  # all at once
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
