"""Kill the command at random moments, and look at what it leaves: ``python -m tests.hostile.kill 100``.

A folder must be absent, or complete (`noseleg verify` finds all its files good), or the older one, untouched. Where
an older folder is being replaced there are a few milliseconds in which it has no manifest, which `verify` refuses.
"""

from __future__ import annotations

import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from linkage.handoff.verify import verify
from tests.studies import OSTREL

COMMAND = [sys.executable, "-m", "linkage", "handoff", str(OSTREL)]


def full_run(folder: Path) -> float:
    """Seconds that an undisturbed run takes, which leaves a complete folder."""
    began = time.perf_counter()
    subprocess.run([*COMMAND, "-o", str(folder)], check=True, capture_output=True)
    return time.perf_counter() - began


def after_kill(folder: Path, wait: float) -> str:
    """Start writing into the folder, kill the process after a while, and say what there is."""
    with subprocess.Popen(
        [*COMMAND, "-o", str(folder)], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    ) as process:
        time.sleep(wait)
        process.kill()
    return state(folder)


def state(folder: Path) -> str:
    if not folder.exists():
        return "absent"
    if not (folder / "manifest.json").exists():
        return "no manifest: refused"
    failed = [check for check in verify(folder) if check.passed is False]
    return "complete" if not failed else f"HALF WRITTEN: {failed}"


def campaign(times: int, seed: int) -> Counter[str]:
    """Half of the runs write into a new folder, half replace a complete one."""
    rng, seen = random.Random(seed), Counter[str]()
    with tempfile.TemporaryDirectory() as scratch:
        older = Path(scratch) / "older"
        takes = full_run(older)
        for i in range(times):
            folder = Path(scratch) / f"run-{i}"
            if i % 2:
                shutil.copytree(older, folder)
            # most of the writing is in the last third
            late = rng.uniform(0.6, 1.05) if rng.random() < 0.7 else rng.uniform(0.0, 0.6)
            seen[f"{'replacing' if i % 2 else 'new'}: {after_kill(folder, takes * late)}"] += 1
            shutil.rmtree(folder, ignore_errors=True)
    return seen


if __name__ == "__main__":
    result = campaign(int(sys.argv[1]) if len(sys.argv) > 1 else 100, 1)
    for what, count in sorted(result.items()):
        print(f"{count:4d}  {what}")
    sys.exit(any("HALF" in what or what == "replacing: absent" for what in result))
