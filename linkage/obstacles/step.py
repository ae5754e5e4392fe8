"""Triangles of a STEP file (extra `cad`), made by a process of its own that may take so long and so much, not more."""

from __future__ import annotations

import importlib.util
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from linkage.files import plainly_named
from linkage.obstacles.model import UnusableFileError

LONGEST, LONGEST_MB = 4.0, 4.0
"""Seconds of processor time, the kernel once loaded: for any file, and for every MB of it."""

BY_THE_CLOCK = 15.0
"""Times as long where the processor is shared with others, loading too."""

MEMORY = 4 << 30
"""Bytes of address space, most of it the kernel's own libraries."""

EXPECTED = "an intact STEP file of closed solids"

Triangles = tuple[NDArray[np.float64], NDArray[np.int64]]


def triangles(path: Path, deflection: float) -> Triangles:
    """Corners (n, 3) in mm and triangles (m, 3) within ``deflection`` mm of the faces. Raises `UnusableFileError`."""
    if importlib.util.find_spec("OCP") is None:
        raise UnusableFileError(f"{path.name!r} needs the extra 'cad'", "pip install 'noseleg[cad]'")
    seconds = LONGEST + LONGEST_MB * path.stat().st_size / 1e6
    script = Path(__file__).with_name("tessellate.py")
    with tempfile.TemporaryDirectory() as scratch, plainly_named(path) as named:
        result = Path(scratch) / "triangles.npz"
        command = [sys.executable, "-P", str(script), str(named), repr(deflection), str(result), repr(seconds)]
        try:
            done = subprocess.run(
                command,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,  # the kernel talks, and quotes the file
                stderr=subprocess.DEVNULL,
                timeout=BY_THE_CLOCK * seconds,
                preexec_fn=_limits(),
                check=False,
            )
        except subprocess.TimeoutExpired as err:
            raise UnusableFileError(f"{path.name!r} keeps the CAD kernel busy without end", EXPECTED) from err
        if done.returncode != 0 or not result.exists():
            raise UnusableFileError(
                f"the CAD kernel fails on {path.name!r}, or needs more than {seconds:.0f} s or {MEMORY >> 30} GB",
                EXPECTED,
            )
        with np.load(result, allow_pickle=False) as read:
            found: dict[str, Any] = dict(read)
    if "fault" in found:
        raise UnusableFileError(f"{path.name!r} {found['fault']}", EXPECTED)
    return found["corners"], found["faces"]


def _limits() -> Callable[[], None] | None:
    """What the child sets itself before it begins; None where the system has no such limits."""
    try:
        import resource
    except ImportError:
        return None

    def limit() -> None:
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))

    return limit
