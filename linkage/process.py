"""How a process of this program is set up before it works, the command's own and those that work for it."""

import atexit
import gc
import os

COLLECTED = (100_000, 20, 20)
"""How many objects may be made before those no longer needed are looked for: libraries make thousands that stay."""

THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")


def set_up() -> None:
    """Best before anything heavy is imported. A gear is many small systems of equations: more threads for each would
    wait for one another longer than they work; the environment may say otherwise. At the end what is left is not
    searched once more for what is no longer needed: all of it goes with the process."""
    for name in THREADS:
        os.environ.setdefault(name, "1")
    gc.set_threshold(*COLLECTED)
    atexit.register(gc.freeze)
