"""A crew on other machines: workers of a Dask cluster. Needs the extra ``cluster``.

The cluster's scheduler watches its workers by heartbeats and gives what a dead one held to another, so nothing is lost.
Whoever reaches the scheduler can run code on it: use it in a network of your own, or over ``tls://``.
"""

from __future__ import annotations

import gc
import hashlib
import platform
import time
import traceback
from collections.abc import Iterator
from concurrent.futures import CancelledError, Executor, Future
from contextlib import contextmanager
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

from linkage.errors import LinkageError

PATIENCE = 8.0
"""s to wait for a scheduler, and again for the first worker."""
RETRIES = 2
"""Times a batch that failed is tried again: what fails for want of memory or a connection may work elsewhere."""
ASKING = 2.0
"""s between two questions how many workers there are."""
LONELY = 60.0
"""s without any worker after which a cluster is given up; a dead one's successor needs some seconds."""
AHEAD = 2
"""Batches per worker thread, so that none waits while results travel."""
COUNTED = ("numpy", "scipy")
"""Packages that work out numbers."""


class ClusterError(LinkageError):
    """There is no cluster to work with, as it stands."""


class Cluster(Executor):
    """A Dask client as an executor for `linkage.crew.gather`.

    ``cautions``: what differs on the workers; ``losses``: what a future raises where its batch is lost for good;
    ``deaths``: where workers ended again and again with the batch on them, though another there may be the cause.
    """

    def __init__(self, client: Any, cautions: tuple[str, ...] = ()) -> None:
        from distributed.scheduler import KilledWorker

        self.client, self.cautions = client, cautions
        self.losses: tuple[type[Exception], ...] = (CancelledError,)
        self.deaths: tuple[type[Exception], ...] = (KilledWorker,)
        self._window, self._asked, self._manned = AHEAD, time.monotonic() - 2 * ASKING, time.monotonic()

    @property
    def window(self) -> int:
        """Batches to keep in its hands; workers may come and go."""
        if time.monotonic() - self._asked > ASKING:
            with _answering(self.client):
                threads = sum(self.client.nthreads().values())
            self._asked = time.monotonic()
            self._manned = self._asked if threads else self._manned
            if self._asked - self._manned > LONELY:
                raise ClusterError(
                    f"the scheduler at {self.client.scheduler.address} has had no workers for {LONELY:g} s"
                )
            self._window = AHEAD * max(1, threads)
        return self._window

    def submit(self, fn: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
        """Give work to any worker."""
        with _answering(self.client):
            asked = self.client.submit(fn, *args, retries=RETRIES, pure=False, **kwargs)
        future: Future[Any] = Future()
        future.add_done_callback(lambda taken: asked.cancel() if taken.cancelled() else None)
        self.client.loop.add_callback(hand_on, asked, future)
        return future

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """Leave the cluster, which goes on."""
        self.client.close(timeout=2)


async def hand_on(asked: Any, future: Future[Any]) -> None:
    """What comes of work, to the one who waits for it. Dask's own executor asks for the state of the work afterwards,
    and takes a result for an error where its worker has died just as it was fetched.

    Fetched at once, in the client's own loop, as there: the longer it waits, the more is lost with a worker.
    """
    try:
        result, err = await asked._result(), None
    except Exception as raised:
        result, err = None, raised
    if not future.set_running_or_notify_cancel():
        return
    if err is not None:
        future.set_exception(err)
    else:
        future.set_result(result)


def connect(address: str) -> Cluster:
    """The cluster whose scheduler listens at ``address``, such as ``tcp://10.0.0.5:8786``.

    Raises ``ClusterError`` within `PATIENCE` where it cannot be reached, has no workers, or runs another version.
    """
    try:
        import distributed
    except ImportError as err:
        raise ClusterError("--cluster needs Dask: pip install 'noseleg[cluster]'") from err
    try:
        client: Any = distributed.Client(  # type: ignore[no-untyped-call]
            address, timeout=PATIENCE, set_as_default=False
        )
    except (OSError, ValueError) as err:
        _let_go(err)
        raise ClusterError(
            f"--cluster {address}: no scheduler answers there ({err});"
            " expected the address that `dask scheduler` prints, such as tcp://10.0.0.5:8786"
        ) from err
    try:
        return Cluster(client, compared(client, address))
    except BaseException:
        client.close(timeout=2)
        raise


def _let_go(err: BaseException) -> None:
    """A client that was not made ends itself when it is collected. If that is while another is being made, both wait
    for the one lock of their loops for ever, so it happens now."""
    traceback.clear_frames(err.__traceback__)
    err.__traceback__ = None
    gc.collect()


@contextmanager
def _answering(client: Any) -> Iterator[None]:
    try:
        yield
    except OSError as err:
        raise ClusterError(f"the scheduler at {client.scheduler.address} answers no more ({err})") from err


def about() -> dict[str, str]:
    """What decides results here: versions, and a hash of this package's code."""
    found = {"noseleg": _version("noseleg"), "python": platform.python_version()}
    found |= {name: _version(name) for name in (*COUNTED, "distributed")}
    code = hashlib.sha256()
    for path in sorted(Path(__file__).parent.rglob("*.py")):
        code.update(path.read_bytes())
    return found | {"code": code.hexdigest()[:12]}


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "from a checkout"


def compared(client: Any, address: str) -> tuple[str, ...]:
    """Cautions about workers that differ from here; ``ClusterError`` where they cannot do this work."""
    try:
        client.wait_for_workers(1, timeout=PATIENCE)
    except TimeoutError as err:
        raise ClusterError(
            f"--cluster {address}: the scheduler has no workers; start some: dask worker {address} --nthreads 1"
        ) from err
    here = about()
    there = client.run(about, on_error="return")
    return tuple(line for name, found in sorted(there.items()) for line in differences(name, found, here))


def differences(worker: str, found: Any, here: dict[str, str]) -> list[str]:
    if isinstance(found, Exception):
        raise ClusterError(f"worker {worker} has no noseleg {here['noseleg']} ({found}); install the same one there")
    if found["noseleg"] != here["noseleg"]:
        raise ClusterError(f"worker {worker} has noseleg {found['noseleg']}, here {here['noseleg']}; install the same")
    if _minor(found["python"]) != _minor(here["python"]):
        raise ClusterError(f"worker {worker} runs Python {found['python']}, here {here['python']}; use the same")
    return [
        f"worker {worker}: {name} {found[name]}, here {here[name]}; the last digits may differ"
        for name in (*COUNTED, "distributed", "code")
        if found[name] != here[name]
    ]


def _minor(python: str) -> list[str]:
    return python.split(".")[:2]
