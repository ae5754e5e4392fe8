"""The same crew on a Dask cluster: the same answer, and a worker that dies loses nothing."""

from __future__ import annotations

import asyncio
import gc
import os
import signal
import socket
import sys
import time
from collections.abc import Iterator
from concurrent.futures import CancelledError, Future, wait
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from linkage import cluster
from linkage.cluster import Cluster, ClusterError, connect
from linkage.crew import LostBatchError, gather
from tests.crew.jobs import fails, killed_always, killed_once, spread
from tests.crew.test_crew import ALONE, jobs


@pytest.fixture(scope="module")
def local() -> Iterator[Any]:
    """Two worker processes, each with a nanny that starts it again."""
    from distributed import LocalCluster

    with LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=":0", silence_logs=50
    ) as here:
        yield here


@pytest.fixture(scope="module")
def crew(local: Any) -> Iterator[Cluster]:
    with connect(local.scheduler_address) as crew:
        yield crew


def test_same_answer_as_alone(crew: Cluster) -> None:
    assert crew.cautions == () and crew.window == 4
    found = gather(spread, jobs(9), crew)
    assert found.results == ALONE and not found.stopped


def test_a_worker_that_kills_itself_loses_nothing(crew: Cluster, tmp_path: Path) -> None:
    assert gather(killed_once, jobs(9, tmp_path / "killed"), crew).results == ALONE
    assert (tmp_path / "killed").exists()


def test_a_worker_killed_half_way_loses_nothing(crew: Cluster) -> None:
    killed: list[int] = []

    def tell(done: int, total: int, rate: float) -> None:
        if done == 4:
            killed.append(next(iter(crew.client.run(os.getpid).values())))
            os.kill(killed[0], signal.SIGKILL)

    assert gather(spread, jobs(9, pause=0.1), crew, tell).results == ALONE
    assert killed


class Asked:
    """A future of Dask: ``found`` is its result, or what it raises."""

    status = "pending"

    def __init__(self, found: Any) -> None:
        self.found = found

    async def _result(self) -> Any:
        if isinstance(self.found, Exception):
            raise self.found
        return self.found


def test_a_result_is_handed_on_though_its_worker_has_just_died() -> None:
    """It is worked out again then, and pending once more: Dask's own executor raised a TypeError now and then."""
    future: Future[float] = Future()
    asyncio.run(cluster.hand_on(Asked(3.5), future))
    assert future.result(0) == 3.5


@pytest.mark.parametrize("kind", [ValueError, CancelledError])
def test_what_is_raised_is_handed_on(kind: type[Exception]) -> None:
    future: Future[float] = Future()
    asyncio.run(cluster.hand_on(Asked(kind("why")), future))
    with pytest.raises(kind, match="why"):
        future.result(0)


def test_nothing_is_handed_to_one_who_does_not_wait() -> None:
    future: Future[float] = Future()
    future.cancel()
    asyncio.run(cluster.hand_on(Asked(3.5), future))
    assert future.cancelled() and wait([future], 0).done


def test_an_exception_comes_through_with_its_batch(crew: Cluster) -> None:
    with pytest.raises(ValueError, match="this batch is wrong") as caught:
        gather(fails, jobs(9), crew)
    assert caught.value.__notes__ == ["in batch 4 of 9"]


def test_a_batch_that_always_kills_is_named(crew: Cluster) -> None:
    with pytest.raises(LostBatchError, match=r"^batch 3 of 9 was lost with its worker"):
        # a moment of life first: a nanny gives up a worker that ends while it begins
        gather(killed_always, [replace(j, pause=0.4 * (j.number == 2)) for j in jobs(9)], crew)


def test_an_address_where_nobody_listens_is_told_in_time(monkeypatch: pytest.MonkeyPatch) -> None:
    assert cluster.PATIENCE < 10
    monkeypatch.setattr(cluster, "PATIENCE", 2.0)
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        address = f"tcp://127.0.0.1:{free.getsockname()[1]}"
        begin = time.monotonic()
        with pytest.raises(ClusterError, match="no scheduler answers there"):
            connect(address)
    assert time.monotonic() - begin < 4


def test_a_client_that_was_not_made_is_gone_before_the_next_is(monkeypatch: pytest.MonkeyPatch) -> None:
    """Collected while another was being made, it held the whole process for ever: both want the lock of their loops."""
    from distributed import Client

    monkeypatch.setattr(cluster, "PATIENCE", 1.0)
    before = {id(c) for c in gc.get_objects() if isinstance(c, Client)}
    with pytest.raises(ClusterError) as caught:
        connect("nowhere")
    assert caught.value.__cause__ is not None
    assert {id(c) for c in gc.get_objects() if isinstance(c, Client)} <= before


@pytest.mark.parametrize("address", ["nowhere", "http://127.0.0.1:1", ""])
def test_what_is_no_address_is_told(address: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cluster, "PATIENCE", 1.0)
    with pytest.raises(ClusterError, match="expected the address that `dask scheduler` prints"):
        connect(address)


def test_a_cluster_without_workers_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    from distributed import LocalCluster

    monkeypatch.setattr(cluster, "PATIENCE", 1.0)
    with LocalCluster(n_workers=0, dashboard_address=":0") as empty, pytest.raises(ClusterError, match="no workers"):
        connect(empty.scheduler_address)


class Fake:
    """Stands for a client whose workers answer with ``found``."""

    def __init__(self, found: Any) -> None:
        self.found = found

    def wait_for_workers(self, n: int, timeout: float) -> None:
        pass

    def run(self, function: Any, on_error: str) -> dict[str, Any]:
        return {"tcp://w:1": self.found}


def test_workers_that_differ_are_told() -> None:
    here = cluster.about()
    assert cluster.compared(Fake(here), "tcp://s:1") == ()
    (caution,) = cluster.compared(Fake(here | {"numpy": "0.1"}), "tcp://s:1")
    assert caution.startswith("worker tcp://w:1: numpy 0.1, here ")
    (caution,) = cluster.compared(Fake(here | {"code": "other"}), "tcp://s:1")
    assert "code other" in caution


@pytest.mark.parametrize(
    ("found", "told"),
    [
        ({"noseleg": "0.0.1"}, "has noseleg 0.0.1"),
        ({"python": "3.4.0"}, "runs Python 3.4.0"),
        (ModuleNotFoundError("No module named 'linkage'"), "has no noseleg"),
    ],
)
def test_workers_that_cannot_do_this_work_are_refused(found: Any, told: str) -> None:
    answer = found if isinstance(found, Exception) else cluster.about() | found
    with pytest.raises(ClusterError, match=told):
        cluster.compared(Fake(answer), "tcp://s:1")


def test_without_the_extra_the_command_to_install_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(ClusterError, match=r"pip install 'noseleg\[cluster\]'"):
        connect("tcp://127.0.0.1:1")
