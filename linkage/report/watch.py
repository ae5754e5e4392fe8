"""Look at a study again whenever its file is saved, and say what that changed."""

from __future__ import annotations

import time
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from hashlib import sha256
from pathlib import Path

from linkage.checks.finding import number
from linkage.document.reader import ENCODING
from linkage.errors import LinkageError
from linkage.files import lost
from linkage.report.compare import Moved, compare, told
from linkage.report.terminal import findings_lines
from linkage.solution import Solution

INTERVAL = 0.3
"""s between two looks at the files."""

MOST = 6
"""Margins named on each side of a change."""

State = tuple[tuple[int, int, str], ...]


@dataclass
class Watch:
    """Files watched, what they were like when last looked at, and the last solution: it changes with every save.

    ``look`` reads the study and solves it; ``say`` prints a line; ``rest`` waits that many seconds.
    """

    path: Path
    look: Callable[[], Solution]
    say: Callable[[str], None]
    rest: Callable[[float], None] = time.sleep
    last: Solution | None = None
    error: LinkageError | OSError | None = None
    before: State = field(default=())

    def begin(self) -> None:
        """Look once, and say everything."""
        now = self.state()
        if self._solve() and self.last is not None:
            for line in findings_lines(self.last):
                self.say(line)
        self._keep(now)

    def run(self) -> None:
        """Wait for saves until somebody interrupts."""
        self.say(f"watching {self.path}; Ctrl-C ends")
        while True:
            self.rest(INTERVAL)
            now = self.state()
            if now == self.before:
                continue
            self.rest(INTERVAL)  # an editor may still be writing
            if self.state() != now:
                continue
            if now:
                self._saved()
            else:
                self.say(f"{self.path} is gone; waiting for it to come back")
            self._keep(now)

    def state(self) -> State:
        """Time, size and hash of the study, then of the files it names; empty while the study is not there."""
        try:
            content = self.path.read_bytes()
        except OSError:
            return ()
        items = self.last.source.study.bay.item if self.last is not None else ()
        named = dict.fromkeys([*(item.file for item in items if item.file is not None), *_named(content)])
        return ((0, len(content), sha256(content).hexdigest()), *(self._beside(name) for name in named))

    def _beside(self, name: str) -> tuple[int, int, str]:
        try:
            about = (self.path.parent / name).stat()
        except OSError:
            return 0, 0, name
        return about.st_mtime_ns, about.st_size, name

    def _keep(self, looked_at: State) -> None:
        """What was looked at, not what is there now: a save during a look must be seen. Files named since are new."""
        known = {name: (stamp, size, name) for stamp, size, name in looked_at[1:]}
        self.before = (looked_at[0], *(known.get(e[2], e) for e in self.state()[1:])) if looked_at else ()

    def _saved(self) -> None:
        self.say("")
        self.say(f"saved {time.strftime('%H:%M:%S')}")
        earlier = self.last
        if self._solve() and self.last is not None:
            for line in changes(earlier, self.last):
                self.say(line)

    def _solve(self) -> bool:
        """Keeps the last good solution where the study is wrong or impossible."""
        try:
            self.last, self.error = self.look(), None
        except (LinkageError, OSError) as err:
            self.error = err
            for line in err.lines if isinstance(err, LinkageError) else (lost(err),):
                self.say(line)
        return self.error is None


@lru_cache(maxsize=2)
def _named(content: bytes) -> tuple[str, ...]:
    """Files that a study names, whether it can be read or not: the one that is missing may come."""
    try:
        entries = tomllib.loads(content.decode(ENCODING))["bay"]["item"]
        return tuple(e["file"] for e in entries if isinstance(e.get("file"), str) and "\0" not in e["file"])
    except (ValueError, LookupError, TypeError, AttributeError, RecursionError):
        return ()


def changes(earlier: Solution | None, now: Solution) -> Iterator[str]:
    """What went short, what was mended, which margins moved, and the count, from one solution to the next."""
    short = sum(not f.passed for f in now.findings)
    if earlier is not None:
        difference = compare(earlier, now)
        yield from (f"NOW SHORT  {told(f)}" for f in difference.newly_short)
        yield from (f"now good   {told(f)}" for f in difference.newly_good)
        yield from _moved("worse", difference.worse)
        yield from _moved("better", difference.better)
        if not (difference.worse or difference.better):
            yield "no margin moved"
    total = len(now.findings)
    yield f"{short} of {total} findings short" if short else f"all {total} findings good"
    yield from (f"SHORT      {told(f)}" for f in now.findings if not f.passed)


def _moved(word: str, moved: tuple[Moved, ...]) -> Iterator[str]:
    """Margins that moved most against what they were; the rest counted."""
    ranked = sorted(moved, key=lambda m: -abs(m.change or 0.0) / max(abs(m.before or 0.0), abs(m.after or 0.0), 1e-9))
    for m in ranked[:MOST]:
        if m.before is not None and m.after is not None:
            line = f"{word:<10} {m.name}: margin {number(m.before)} -> {number(m.after)} {m.unit}"
            yield f"{line} ({m.after - m.before:+.3g})"
    if len(ranked) > MOST:
        yield f"{word:<10} and {len(ranked) - MOST} more margins, each by a smaller part"
