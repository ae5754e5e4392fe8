"""Kill commands at random moments, and look at what they leave: ``python -m tests.hostile.kill 100``.

An output must be absent, or complete, or the older one, untouched. Half of the kills come while files are being
written, which the command's draft beside its output gives away; the rest at any moment. Names of commands after the
number share it among them alone. Every command tells its own verdict when it is through; a process that ended before it
was killed is no kill and is tried again. `tests.hostile.moments` kills before every single step of the writing instead.
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from linkage.document.reader import read
from linkage.handoff.verify import verify
from tests.hostile.moments import older_like, state
from tests.studies import MERROW, OSTREL, ROOT

LINKAGE = [sys.executable, "-m", "linkage"]
WITHOUT_FILMS = "from linkage.report import review; review.clips = lambda *_: {}; from linkage.cli import main; main()"
SAVING = """
import sys
from pathlib import Path
from linkage.drafting.draft import begin, dragged
from linkage.drafting.drag import Keep
from linkage.drafting.keeping import saved, saved_beside
draft = begin(Path(sys.argv[1]) / "study.toml")
while True:
    for step in (3, -3):
        at = next(h.at for h in draft.handles if h.name == "trunnion")
        draft = saved(dragged(draft, "trunnion", at + step, Keep.LENGTHS))
    saved_beside(draft)
"""


@dataclass(frozen=True)
class Command:
    """``line``: what runs, without the output, which comes last; ``file``: name of an output that is one file."""

    line: list[str]
    file: str = ""
    verified: bool = False

    def output(self, folder: Path) -> Path:
        return folder / self.file if self.file else folder


def _of(*words: str) -> list[str]:
    return [*LINKAGE, words[0], str(OSTREL), *words[1:], "-o"]


COMMANDS: dict[str, Command] = {
    "handoff": Command(_of("handoff"), verified=True),
    "review": Command([sys.executable, "-c", WITHOUT_FILMS, "review", str(OSTREL), "-o"], verified=True),
    "trade": Command(_of("trade", "--vary", "gear.brace.over_centre=0.15,0.2", "--workers", "1")),
    "sensitivity": Command(_of("sensitivity", "--result", "nose_share_min")),
    "tolerance": Command(_of("tolerance", "--samples", "200")),
    "find": Command([*LINKAGE, "find", str(MERROW), "--wanted", str(ROOT / "studies" / "merrow_m2r" / "wanted.toml"),
                     "--candidates", "3e4", "--keep", "1", "--workers", "1", "-o"]),
    "compare": Command([*LINKAGE, "compare", str(OSTREL), "--set", "gear.leg.swing_up=89", "-o"]),
    "animate": Command(_of("animate", "--frames", "12", "--size", "320x320"), file="film.gif"),
    "frames": Command(_of("animate", "--frames", "12", "--size", "320x320")),
    "starter": Command([*LINKAGE, "starter"]),
}  # fmt: skip
BOARD = "board"
"""Beside the commands: the board's save."""
ENDED = "ended before"


def run(command: Command, folder: Path) -> subprocess.Popen[bytes]:
    if command.file:
        folder.mkdir(exist_ok=True)
    line = [*command.line, str(command.output(folder))]
    return subprocess.Popen(line, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


def spent(process: subprocess.Popen[bytes]) -> float:
    """Seconds of processor time of a process so far, which a busy machine does not stretch as it does the clock's."""
    return time.clock_gettime(~process.pid << 3 | 2)  # clock_getcpuclockid(3) of Linux


def full_run(command: Command, folder: Path) -> tuple[float, float]:
    """Processor time of a whole run until it begins to write, and from then on; it leaves a complete output."""
    before, now, begun = 0.0, 0.0, False
    with run(command, folder) as process, suppress(OSError):  # it ends just now
        while process.poll() is None:
            now, begun = spent(process), begun or _draft_seen(folder)
            before = before if begun else now
            time.sleep(0.001)
    assert process.returncode in (0, 1), (command.line, process.returncode)
    return before, now - before


def _draft_seen(folder: Path) -> bool:
    """Something is being written beside the folder or in it."""
    return any(
        p.name.startswith(".draft-") for place in (folder.parent, folder) if place.exists() for p in place.iterdir()
    )


def _await(process: subprocess.Popen[bytes], reached: Callable[[], bool]) -> None:
    with suppress(OSError):  # it ends just now
        while process.poll() is None and not reached():
            time.sleep(0.001)


def after_kill(
    command: Command, folder: Path, complete: Path, rng: random.Random, before: float, write: float, replacing: bool
) -> str:
    """Start writing into the folder, kill the process at some moment, and say what there is."""
    with run(command, folder) as process:
        moment = rng.uniform(0.0, before + write)
        if rng.random() < 0.5:
            _await(process, lambda: _draft_seen(folder))
            with suppress(OSError):
                moment = spent(process) + rng.uniform(0.0, 1.1 * write)
        _await(process, lambda: spent(process) >= moment)
        process.kill()
    if process.returncode != -signal.SIGKILL:
        return ENDED
    found = state(folder, complete, replacing)
    if found == "complete" and command.verified:
        failed = [check for check in verify(folder) if check.passed is False]
        return f"HALF WRITTEN: {failed}" if failed else found
    return found


def campaign(
    times: int, seed: int, names: tuple[str, ...] = (*COMMANDS, BOARD), tell: Callable[[str], object] = str
) -> Counter[str]:
    """So many kills, shared by the commands, and what they left; each tells its verdict when it is through."""
    seen = Counter[str]()
    for i, name in enumerate(names):
        share, began = times // len(names) + (i < times % len(names)), time.perf_counter()
        own = saves(share, seed) if name == BOARD else kills(name, share, random.Random(f"{seed} {name}"))
        verdict = f"WRONG {wrong(own)}" if wrong(own) else "nothing half"
        tell(f"{name}: {share} kills, {verdict}; {dict(sorted(own.items()))}; {time.perf_counter() - began:.0f} s")
        seen += own
    return seen


def kills(name: str, times: int, rng: random.Random) -> Counter[str]:
    """Of one command; every second run replaces a complete output, the others write into a new place."""
    command, seen = COMMANDS[name], Counter[str]()
    with tempfile.TemporaryDirectory() as scratch:
        complete = Path(scratch) / "complete"
        before, write = full_run(command, complete)
        while sum(seen.values()) < times:
            home = Path(scratch) / "home"
            folder = home / "out"
            home.mkdir()
            replacing = bool(sum(seen.values()) % 2) and name != "starter"  # which replaces nothing
            if replacing:
                older_like(complete, folder)
            found = after_kill(command, folder, complete, rng, before, write, replacing)
            if found != ENDED:
                seen[f"{name}, {'replacing' if replacing else 'new'}: {found}"] += 1
            shutil.rmtree(home)
    return seen


def saves(times: int, seed: int) -> Counter[str]:
    """Kill a board that saves again and again, into its file and beside it: each file reads as a study."""
    rng, seen = random.Random(f"{seed} {BOARD}"), Counter[str]()
    for _ in range(times):
        with tempfile.TemporaryDirectory() as scratch:
            home = Path(scratch)
            shutil.copyfile(OSTREL, home / "study.toml")
            line = [sys.executable, "-c", SAVING, scratch]
            with subprocess.Popen(line, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as process:
                while not (home / "study.1.toml").exists() and process.poll() is None:
                    time.sleep(0.001)
                time.sleep(rng.uniform(0.0, 1.0))
                assert process.poll() is None, "the board ended by itself"
                process.kill()
            files = sorted(home.glob("*.toml"))
            for path in files:
                if not path.name.startswith(".draft-"):
                    seen["board's save: " + ("complete" if _reads(path) else "HALF WRITTEN")] += 1
    return seen


def _reads(path: Path) -> bool:
    from linkage.errors import LinkageError

    try:
        read(path)
    except LinkageError:
        return False
    return True


def wrong(seen: Counter[str]) -> list[str]:
    return [what for what in seen if "HALF" in what or "LOST" in what or "replacing: absent" in what]


if __name__ == "__main__":
    count, chosen = int(sys.argv[1]) if len(sys.argv) > 1 else 100, tuple(sys.argv[2:]) or (*COMMANDS, BOARD)
    result = campaign(count, int(os.environ.get("HOSTILE_SEED", "1")), chosen, partial(print, flush=True))
    for what, number in sorted(result.items()):
        print(f"{number:4d}  {what}")
    sys.exit(bool(wrong(result)))
