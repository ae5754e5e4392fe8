"""Killed at every moment: a writer is stopped by SIGKILL just before each of its steps on the disk, one after another.

The interpreter announces every step (`sys.addaudithook`): opening, renaming, removing, linking, making folders. A
forked child does the writing and kills itself before step n; what it leaves is judged, n = 0, 1, 2, ... until the
writing comes to its end.
"""

from __future__ import annotations

import os
import shutil
import signal
import sys
import tempfile
import warnings
from collections import Counter
from collections.abc import Callable
from pathlib import Path

STEPS = ("open", "os.", "shutil.", "tempfile.")
"""Beginnings of the names of those announcements that are about files."""

OLDER = b"older\n"
"""What stands in every file of the older output, so that none of the new can be taken for it."""

Judge = Callable[[Path], str]


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


def killed_before(step: int, write: Callable[[], object]) -> bool:
    """Run a writer in a child that dies before its nth step on the disk; False if it came to its end before."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # a forked child of threads that only waits to die
        child = os.fork()
    if child == 0:
        _die_at(step, write)
    _, status = os.waitpid(child, 0)
    if os.WIFEXITED(status) and os.WEXITSTATUS(status) != 0:
        raise AssertionError(f"the writer failed by itself before step {step}")
    return os.WIFSIGNALED(status)


def _die_at(step: int, write: Callable[[], object]) -> None:
    left = [step]

    def hook(event: str, _: object) -> None:
        if event.startswith(STEPS) and event != "os.kill":
            left[0] -= 1
            if left[0] < 0:
                os.kill(os.getpid(), signal.SIGKILL)

    sys.stdout = sys.stderr = Path(os.devnull).open("w")  # noqa: SIM115
    try:
        sys.addaudithook(hook)
        write()
    except BaseException:
        os._exit(1)
    os._exit(0)


def every_moment(write: Callable[[Path], object], every: int = 1) -> Counter[str]:
    """What is seen after a kill before each step (or each ``every``-th), into a new folder and over an older one."""
    seen: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as scratch:
        complete = Path(scratch) / "complete"
        write(complete)
        for replacing in (False, True):
            step = 0
            while True:
                home = Path(scratch) / "home"
                folder = home / "out"
                home.mkdir()
                if replacing:
                    older_like(complete, folder)
                died = killed_before(step, lambda folder=folder: write(folder))  # type: ignore[misc]
                seen[f"{'replacing' if replacing else 'new'}: {state(folder, complete, replacing)}"] += 1
                shutil.rmtree(home)
                if not died:
                    break
                step += every
    return seen
