"""How a process of this program is set up before it works, the command's own and those that work for it."""

import atexit
import gc
import os
import sys
from io import TextIOWrapper

COLLECTED = (100_000, 20, 20)
"""How many objects may be made before those no longer needed are looked for: libraries make thousands that stay."""

THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")


def set_up() -> None:
    """Best before anything heavy is imported. A gear is many small systems of equations: more threads for each would
    wait for one another longer than they work; the environment may say otherwise. At the end what is left is not
    searched once more for what is no longer needed: all of it goes with the process."""
    _open_ends()
    for name in THREADS:
        os.environ.setdefault(name, "1")
    gc.set_threshold(*COLLECTED)
    atexit.register(gc.freeze)


def _open_ends() -> None:
    """Where input, output or messages are closed (``>&-``), nothing is read and nobody told; but no file that is opened
    later may stand in their place, and be written to by what means the terminal."""
    for place in range(3):
        try:
            os.fstat(place)
        except OSError:
            os.set_inheritable(os.open(os.devnull, os.O_RDWR), True)  # takes the lowest number that is free
    sys.stdout = sys.stdout or os.fdopen(1, "w", encoding="utf-8", closefd=False)
    sys.stderr = sys.stderr or os.fdopen(2, "w", encoding="utf-8", closefd=False)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper) and stream.errors == "strict":
            stream.reconfigure(errors="replace")  # letters that a terminal or a file of its encoding does not have


def interrupted(err: BaseException) -> bool:
    """Whether an error is what a library made of Ctrl-C while it was being loaded."""
    chain: BaseException | None = err
    while chain is not None and not isinstance(chain, KeyboardInterrupt):
        chain = chain.__cause__ or chain.__context__
    return chain is not None
