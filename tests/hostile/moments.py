"""Killed at every moment: what is seen on the disk just before each step of a writer, one after another.

The interpreter announces every step (`sys.addaudithook`): opening, renaming, removing, linking, making folders. A
forked child does the writing, and at every announcement looks at what there is: what a kill at that moment would leave,
since a killed process changes nothing more. Real kills are in `tests.hostile.kill`.
"""

from __future__ import annotations

import json
import os
import shutil
import sys
import tempfile
import traceback
import warnings
from collections import Counter
from collections.abc import Callable
from pathlib import Path

STEPS = ("open", "os.", "shutil.", "tempfile.")
"""Beginnings of the names of those announcements that are about files."""

OLDER = b"older\n"
"""What stands in every file of the older output, so that none of the new can be taken for it."""


def older_like(complete: Path, target: Path) -> None:
    """The same files as in a complete output, as if an older run had left them, and one of the user's own."""
    for path in sorted(complete.rglob("*")):
        place = target / path.relative_to(complete)
        if path.is_file():
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(OLDER)
    (target / "mine.txt").write_bytes(b"mine\n")


def state(folder: Path, complete: Path, replacing: bool) -> str:
    """What there is to see of an output folder: nothing, all of the older one, all of the new one, or neither."""
    there = {str(p.relative_to(folder)): p for p in folder.rglob("*") if p.is_file() and not _draft(p, folder)}
    if not there:
        return "absent"
    mine = there.pop("mine.txt", None)
    wanted = {str(p.relative_to(complete)): p.stat().st_size for p in complete.rglob("*") if p.is_file()}
    old = {name for name, path in there.items() if path.read_bytes() == OLDER}
    if set(there) != set(wanted) or (old and old != set(there)):
        lacks, more = sorted(set(wanted) - set(there)), sorted(set(there) - set(wanted))
        return f"HALF WRITTEN: lacks {lacks}, has {more} beside, {len(old)} of {len(there)} older"
    if replacing and (mine is None or mine.read_bytes() != b"mine\n"):
        return "LOST a file of the user"
    if old:
        return "older, untouched"
    small = [name for name, path in there.items() if path.stat().st_size < 0.9 * wanted[name]]
    return f"HALF WRITTEN: {small} too small" if small else "complete"


def _draft(path: Path, folder: Path) -> bool:
    """What a killed writer leaves behind carries a name that hides it and says what it is."""
    return any(part.startswith(".draft-") for part in path.relative_to(folder).parts)


def at_every_step(write: Callable[[], object], judge: Callable[[], str]) -> list[str]:
    """What the judge says before each step of the writer on the disk, and last, when it is through."""
    read, told = os.pipe()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # a forked child of threads that do not write
        child = os.fork()
    if child == 0:
        os.close(read)
        _watched(write, judge, told)
    os.close(told)
    with os.fdopen(read, encoding="utf-8") as pipe:
        text = pipe.read()
    os.waitpid(child, 0)
    found: list[str] | str = json.loads(text)
    if isinstance(found, str):
        raise AssertionError(f"the writer or its judge failed: {found}")
    return found


def _watched(write: Callable[[], object], judge: Callable[[], str], told: int) -> None:
    """In a child, for good: such a hook cannot be taken away."""
    seen: list[str] = []
    failed, looking = "", False

    def hook(event: str, _: object) -> None:
        nonlocal looking
        if event.startswith(STEPS) and not looking:
            looking = True  # the judge's own steps
            seen.append(judge())
            looking = False

    try:
        sys.addaudithook(hook)
        write()
        looking = True
        seen.append(judge())
    except BaseException:
        looking, failed = True, traceback.format_exc()
    os.write(told, json.dumps(failed or seen).encode())
    os._exit(0)


def every_moment(write: Callable[[Path], object]) -> Counter[str]:
    """What is seen before each step, into a new folder and over an older one."""
    seen: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as scratch:
        complete = Path(scratch) / "complete"
        write(complete)
        for replacing in (False, True):
            home = Path(scratch) / "home"
            folder = home / "out"
            home.mkdir()
            if replacing:
                older_like(complete, folder)
            found = at_every_step(lambda: write(folder), lambda: state(folder, complete, replacing))  # noqa: B023
            assert found[-1] == "complete", found
            seen.update(f"{'replacing' if replacing else 'new'}: {what}" for what in found)
            shutil.rmtree(home)
    return seen
