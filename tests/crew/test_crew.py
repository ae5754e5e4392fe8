"""A crew loses nothing and always gives the same answer."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import textwrap
import threading
import time
from collections.abc import Callable
from concurrent.futures import CancelledError, Future, ProcessPoolExecutor, ThreadPoolExecutor
from pathlib import Path

import pytest

from linkage.crew import LostBatchError, Workers, gather, seeds
from tests.crew.jobs import Job, fails, killed_always, killed_once, spread, threads
from tests.studies import ROOT


def jobs(n: int, flag: Path | None = None, pause: float = 0.0) -> list[Job]:
    return [Job(seed, i, flag if i == n // 2 else None, pause) for i, seed in enumerate(seeds(7, n))]


ALONE = gather(spread, jobs(9)).results


def test_seeds_depend_on_their_place_only() -> None:
    few, many = seeds(5, 3), seeds(5, 8)
    assert [s.generate_state(4).tolist() for s in few] == [s.generate_state(4).tolist() for s in many[:3]]
    assert len({tuple(s.generate_state(4)) for s in many}) == 8


def test_alone_in_order_and_told() -> None:
    heard: list[tuple[int, int]] = []
    found = gather(spread, jobs(9), tell=lambda done, total, rate: heard.append((done, total)))
    assert found.results == ALONE and found.places == tuple(range(9)) and found.done == found.total == 9
    assert not found.stopped and found.redone == 0
    assert heard == [(i + 1, 9) for i in range(9)]


@pytest.mark.parametrize("n", [1, 2, 3])
def test_same_answer_for_any_number_of_workers(n: int) -> None:
    with Workers(n) as crew:
        found = gather(spread, jobs(9), crew)
        assert len(crew.pids()) <= n
    assert found.results == ALONE and not found.stopped


def test_any_executor_will_do() -> None:
    with ThreadPoolExecutor(2) as crew:
        assert gather(spread, jobs(9), crew).results == ALONE


def test_no_batches() -> None:
    with Workers(2) as crew:
        assert gather(spread, [], crew).results == ()


def test_a_killed_worker_loses_nothing(tmp_path: Path) -> None:
    with Workers(2) as crew:
        found = gather(killed_once, jobs(9, tmp_path / "killed"), crew)
    assert (tmp_path / "killed").exists()
    assert found.results == ALONE and found.redone == 1


def test_workers_killed_from_outside_lose_nothing() -> None:
    killed: list[int] = []

    def tell(done: int, total: int, rate: float) -> None:
        if done in (3, 5):
            killed.append(crew.pids()[0])
            os.kill(killed[-1], signal.SIGKILL)

    with Workers(2) as crew:
        found = gather(spread, jobs(9, pause=0.05), crew, tell)
    assert found.results == ALONE and len(set(killed)) == 2


def test_a_batch_that_always_kills_is_named() -> None:
    with Workers(2) as crew:
        with pytest.raises(LostBatchError, match=r"^batch 3 of 9 ended its worker 3 times"):
            gather(killed_always, jobs(9), crew)
        assert gather(spread, jobs(9), crew).results == ALONE  # the crew is fit again


def test_a_pool_that_cannot_be_renewed_names_the_batch(tmp_path: Path) -> None:
    import multiprocessing

    spawn = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(1, spawn) as crew, pytest.raises(LostBatchError, match="was lost with its worker"):
        gather(killed_once, jobs(3, tmp_path / "killed"), crew)


class DeadError(Exception):
    """What the executor below says of a batch lost with its worker."""


class Blaming(ThreadPoolExecutor):
    """Counts the death of a worker against every batch that lay on it, as clusters do."""

    window, deaths = 4, (DeadError,)

    def __init__(self, guilty: int | None, innocent: int) -> None:
        super().__init__(1)
        self.guilty, self.innocent = guilty, innocent
        self.given: list[int] = []

    def submit(self, fn, /, *args, **kwargs):  # type: ignore[no-untyped-def]
        number = args[0].number
        dies = number == self.guilty or (number == self.innocent and number not in self.given)
        self.given.append(number)
        return super().submit(ended, number) if dies else super().submit(fn, *args, **kwargs)


def ended(number: int) -> float:
    raise DeadError(f"batch {number} again")


def test_a_batch_lost_with_another_is_not_blamed() -> None:
    with Blaming(guilty=2, innocent=1) as crew, pytest.raises(LostBatchError, match=r"^batch 3 of 9 was lost"):
        gather(spread, jobs(9), crew)
    assert crew.given.count(2) == 2


def test_a_batch_lost_by_chance_is_done_again() -> None:
    with Blaming(guilty=None, innocent=4) as crew:
        found = gather(spread, jobs(9), crew)
    assert found.results == ALONE and found.redone == 1


def test_a_batch_that_is_given_up_asks_for_the_scheduler() -> None:
    class GivingUp(ThreadPoolExecutor):
        losses = (CancelledError,)

        def submit(self, fn, /, *args, **kwargs):  # type: ignore[no-untyped-def]
            future: Future[float] = Future()
            future.cancel()
            future.set_running_or_notify_cancel()
            return future

    with GivingUp(1) as crew, pytest.raises(LostBatchError, match="is the cluster's scheduler still there"):
        gather(spread, jobs(3), crew)


@pytest.mark.parametrize("make", [lambda: None, lambda: Workers(2), lambda: ThreadPoolExecutor(2)])
def test_an_exception_comes_through_with_its_batch(make: Callable[[], Workers | None]) -> None:
    crew = make()
    with pytest.raises(ValueError, match="this batch is wrong") as caught:
        gather(fails, jobs(9), crew)
    assert caught.value.__notes__ == ["in batch 4 of 9"]
    if crew is not None:
        crew.shutdown()


def test_only_a_few_batches_are_out_at_a_time() -> None:
    class Counting(ThreadPoolExecutor):
        window = 3
        out = most = 0

        def submit(self, fn, /, *args, **kwargs):  # type: ignore[no-untyped-def]
            self.out += 1
            self.most = max(self.most, self.out)
            return super().submit(fn, *args, **kwargs)

    with Counting(2) as crew:
        gather(spread, jobs(30), crew, lambda *_: setattr(crew, "out", crew.out - 1))
        assert crew.most == 3


def test_workers_have_one_thread_of_linear_algebra_each() -> None:
    wanted = os.environ.get("OMP_NUM_THREADS", "1")
    with Workers(1) as crew:
        assert gather(threads, jobs(1), crew).results == (wanted,)


SCRIPT = """
    import sys
    from linkage.crew import Workers, gather, seeds
    from tests.crew.jobs import Job, spread
    if __name__ == "__main__":
        jobs = [Job(s, i, pause=0.2) for i, s in enumerate(seeds(7, 200))]
        crew = Workers(2) if sys.argv[1] == "2" else None
        tell = lambda done, total, rate: print(done, *(crew.pids() if crew else ()), flush=True)
        found = gather(spread, jobs, crew, tell)
        print("stopped", found.stopped, found.done == len(found.results) == len(found.places), found.done, flush=True)
"""


def begun(tmp_path: Path, workers: str) -> tuple[subprocess.Popen[str], str]:
    """A run in a process group of its own, as in a terminal, with at least four batches done; its last line."""
    script = tmp_path / "run.py"
    script.write_text(textwrap.dedent(SCRIPT), encoding="utf-8")
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    run = subprocess.Popen(
        [sys.executable, str(script), workers],
        env=env,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    assert run.stdout is not None
    line = ""
    for line in run.stdout:
        if int(line.split()[0]) >= 4:
            break
    return run, line


@pytest.mark.parametrize("workers", ["0", "2"])
def test_ctrl_c_keeps_what_is_done(tmp_path: Path, workers: str) -> None:
    run, line = begun(tmp_path, workers)
    os.killpg(run.pid, signal.SIGINT)  # what a terminal does
    out, err = run.communicate(timeout=10)
    last = out.splitlines()[-1].split()
    assert last[:3] == ["stopped", "True", "True"] and 4 <= int(last[3]) < 200
    assert run.returncode == 0 and "Traceback" not in err
    assert gone([int(pid) for pid in line.split()[1:]])


def test_workers_end_with_a_killed_parent(tmp_path: Path) -> None:
    run, line = begun(tmp_path, "2")
    run.kill()
    run.communicate(timeout=10)
    pids = [int(pid) for pid in line.split()[1:]]
    assert len(pids) == 2 and gone(pids)


def gone(pids: list[int]) -> bool:
    """Whether they all end within a few seconds."""
    end = time.monotonic() + 8
    while time.monotonic() < end:
        if not any(alive(pid) for pid in pids):
            return True
        time.sleep(0.05)
    return False


def alive(pid: int) -> bool:
    stat = Path(f"/proc/{pid}/stat")
    try:
        return stat.read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


def test_ctrl_c_while_waiting_for_a_long_batch() -> None:
    with Workers(2) as crew:
        gather(spread, jobs(2), crew)  # both begun
        timer = threading.Timer(0.5, os.kill, (os.getpid(), signal.SIGINT))
        timer.start()
        begin = time.monotonic()
        found = gather(spread, jobs(4, pause=30.0), crew)
        assert found.stopped and found.done == 0 and time.monotonic() - begin < 5
