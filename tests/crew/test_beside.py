"""Work beside this process: the same results, whoever does it, and nothing left running."""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
import textwrap
import time
from concurrent.futures import BrokenExecutor
from pathlib import Path

import pytest

from linkage.beside import MOST, beside
from linkage.crew import seeds
from tests.crew.jobs import Job, ended, fails, killed_once, spread, whose
from tests.studies import ROOT

JOBS = [Job(seed, i) for i, seed in enumerate(seeds(7, 6))]
ALONE = [spread(job) for job in JOBS]


def quiet() -> bool:
    """No process of ours is left, within a second or two."""
    until = time.monotonic() + 5.0
    while multiprocessing.active_children() and time.monotonic() < until:
        time.sleep(0.02)
    return not multiprocessing.active_children()


@pytest.mark.parametrize("n", [1, 2, 3])
def test_same_results_for_any_number_of_processes(n: int) -> None:
    with beside(n) as helpers:
        pieces = [helpers.begin(spread, job) for job in JOBS]
        assert [piece.result() for piece in reversed(pieces)] == ALONE[::-1]
        assert pieces[0].result() == ALONE[0]
        assert len(multiprocessing.active_children()) <= n - 1
    assert quiet()


def test_alone_nothing_begins_before_it_is_asked_for(tmp_path: Path) -> None:
    with beside(1) as helpers:
        pieces = [helpers.begin((tmp_path / str(k)).touch) for k in range(3)]
        assert not list(tmp_path.iterdir())
        pieces[1].result()
        assert {p.name for p in tmp_path.iterdir()} >= {"1"}
        assert not multiprocessing.active_children()


def test_two_share_the_work() -> None:
    with beside(2) as helpers:
        first = helpers.begin(whose, 0.0)
        until = time.monotonic() + 60.0
        while not first.future.done() and time.monotonic() < until:
            time.sleep(0.02)  # the other one has begun
        pieces = [helpers.begin(whose, 0.05) for _ in range(8)]
        doers = {piece.result() for piece in pieces}
    assert first.result() != os.getpid()
    assert doers == {os.getpid(), first.result()}


def test_a_lost_process_loses_nothing(tmp_path: Path) -> None:
    with beside(2) as helpers:
        # This process would end too if it had to do the first of them before somebody else was lost with it.
        lost = helpers.begin(killed_once, Job(JOBS[3].seed, 3, tmp_path / "killed"))
        until = time.monotonic() + 60.0
        while not lost.future.done() and time.monotonic() < until:
            time.sleep(0.02)
        assert isinstance(lost.future.exception(), BrokenExecutor)
        after = helpers.begin(whose, 0.0)
        while not after.future.done() and time.monotonic() < until:
            time.sleep(0.02)
        assert lost.result() == ALONE[3]
        assert after.result() != os.getpid()  # another one serves


@pytest.mark.parametrize("n", [1, 2])
def test_an_exception_comes_through(n: int) -> None:
    with beside(n) as helpers:
        piece = helpers.begin(fails, Job(JOBS[3].seed, 3))
        with pytest.raises(ValueError, match="this batch is wrong"):
            piece.result()
    assert quiet()


def test_a_block_that_fails_ends_the_others_at_once() -> None:
    start = time.monotonic()
    with pytest.raises(OSError, match="full"), beside(3) as helpers:
        for _ in range(5):
            helpers.begin(whose, 30.0)
        raise OSError("full")
    assert quiet()
    assert time.monotonic() - start < 15.0


def test_no_more_than_most_unless_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "cpu_count", lambda: 64)
    with beside(None) as helpers:
        assert helpers.others == MOST - 1
    monkeypatch.setattr(os, "cpu_count", lambda: 1)
    with beside(None) as helpers:
        assert helpers.others == 0


SCRIPT = """
    from linkage.beside import beside
    from tests.crew.jobs import whose
    if __name__ == "__main__":
        with beside(2) as helpers:
            pieces = [helpers.begin(whose, 0.0), helpers.begin(whose, 60.0)]
            while WAIT and not pieces[0].future.done():
                pass
            print("begun", helpers._crews[0].pids() or "", flush=True)
            while True:
                pass
"""


@pytest.mark.skipif(os.name != "posix", reason="signals of a terminal")
@pytest.mark.parametrize(("loaded", "kill"), [(True, signal.SIGINT), (False, signal.SIGINT), (True, signal.SIGKILL)])
def test_ctrl_c_and_kill_leave_no_process_and_no_complaint(loaded: bool, kill: int, tmp_path: Path) -> None:
    """Ctrl-C goes to all processes of a terminal, also to one that still loads its libraries."""
    script = tmp_path / "script.py"
    script.write_text(textwrap.dedent(SCRIPT).replace("WAIT", str(loaded)))
    process = subprocess.Popen(
        [sys.executable, str(script)],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    assert process.stdout is not None and process.stdout.readline().startswith("begun")
    if not loaded:
        time.sleep(0.2)  # of the half second that it takes
    if kill == signal.SIGINT:
        os.killpg(process.pid, kill)
    else:
        process.kill()
    _, said = process.communicate(timeout=30)
    assert ended(process.pid)
    assert said.count("Traceback") == (1 if kill == signal.SIGINT else 0), said  # the script's own
