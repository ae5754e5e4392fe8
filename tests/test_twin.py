"""A twin of the process does a piece of work, or nobody notices that it did not."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import textwrap
import time
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from linkage.aside import aside_of
from linkage.document.reader import read
from linkage.report.headline import clean, headline
from linkage.solution import solve
from tests.studies import MERROW, OSTREL, ROOT, quick

pytestmark = pytest.mark.skipif(
    sys.platform != "linux" or len(os.sched_getaffinity(0)) < 2, reason="no twins on this machine"
)

HEAD = """
import os, signal, sys, threading, time
from linkage.twin import meanwhile, possible
me = os.getpid()
"""


def script(body: str, code: int = 0) -> list[str]:
    """What a process of its own prints, word by word, until its twin has ended too: this one has threads of the linear
    algebra."""
    done = subprocess.run(
        [sys.executable, "-c", HEAD + textwrap.dedent(body)],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        timeout=30,
        check=False,
    )
    assert done.returncode == code and not done.stderr, done.stderr
    return done.stdout.split()


def test_the_work_is_done_by_another_process_at_the_same_time() -> None:
    body = """
        def work():
            begin = time.monotonic()
            while time.monotonic() < begin + 0.3: pass
            return os.getpid(), begin, time.monotonic()
        with meanwhile(work) as found:
            begin = time.monotonic()
            time.sleep(0.3)
            end = time.monotonic()
            twin, first, last = found()
        print(twin != me, first < end, last > begin)
        try:
            os.kill(twin, 0)
        except ProcessLookupError:
            print("gone")
    """
    assert script(body) == ["True", "True", "True", "gone"]


def test_an_answer_larger_than_a_pipe() -> None:
    assert script("with meanwhile(lambda: bytes(10**7)) as found: print(len(found()))") == ["10000000"]


@pytest.mark.parametrize(
    "ends",
    [
        "os.kill(os.getpid(), signal.SIGKILL)",
        "os._exit(0)",
        "sys.exit(0)",
        "raise MemoryError",
        "return lambda: None",  # cannot be pickled
    ],
)
def test_work_of_a_lost_twin_is_done_here(ends: str) -> None:
    body = f"""
        def work():
            if os.getpid() != me:
                {ends}
            return "here"
        with meanwhile(work) as found:
            print(possible(), found())
    """
    assert script(body) == ["True", "here"]


def test_an_error_is_raised_here_as_without_a_twin() -> None:
    body = """
        from linkage.errors import MechanismError
        def work():
            raise MechanismError("no-gear")
        with meanwhile(work) as found:
            try:
                found()
            except MechanismError as err:
                print(err, err.__traceback__.tb_next is not None)
    """
    assert script(body) == ["no-gear", "True"]


@pytest.mark.parametrize(
    "before",
    [
        "os.sched_setaffinity(0, [next(iter(os.sched_getaffinity(0)))])",
        "threading.Thread(target=time.sleep, args=[1.0], daemon=True).start()",
        "import resource, errno\ndef fork(): raise OSError(errno.EAGAIN, 'full')\nos.fork = fork",
        "sys.platform = 'darwin'",
    ],
    ids=["one processor", "a thread", "no more processes", "another system"],
)
def test_without_a_twin_it_is_done_here(before: str) -> None:
    body = f"{before}\nwith meanwhile(os.getpid) as found: print(found() == me)"
    assert script(body) == ["True"]


def test_no_twin_outlives_what_is_done_beside_it() -> None:
    body = """
        try:
            with meanwhile(lambda: time.sleep(60)):
                children = open(f"/proc/{me}/task/{me}/children").read().split()
                raise ValueError
        except ValueError:
            print(len(children), os.path.exists(f"/proc/{children[0]}"))
    """
    assert script(body) == ["1", "False"]


@contextlib.contextmanager
def checking() -> Iterator[tuple[subprocess.Popen[str], int]]:
    """A check as in a terminal, in a process group of its own, and the id of its twin."""
    run = subprocess.Popen(
        [sys.executable, "-m", "linkage", "check", str(MERROW)],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    try:
        yield run, _twin_of(run)
    finally:
        run.kill()
        run.communicate()


def _twin_of(run: subprocess.Popen[str]) -> int:
    children = Path(f"/proc/{run.pid}/task/{run.pid}/children")
    while run.poll() is None:
        found = children.read_text(encoding="ascii").split()
        if found:
            return int(found[0])
        time.sleep(0.002)
    raise AssertionError("there was no twin")


def _gone(pid: int) -> bool:
    """Whether the process ends within a few seconds."""
    end = time.monotonic() + 8
    while time.monotonic() < end:
        with contextlib.suppress(OSError):
            if Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z":
                time.sleep(0.02)
                continue
        return True
    return False


@pytest.mark.parametrize("wait", [0.0, 0.1, 0.3])
def test_ctrl_c_ends_both(wait: float) -> None:
    with checking() as (run, twin):
        time.sleep(wait)
        os.killpg(run.pid, signal.SIGINT)
        out, err = run.communicate(timeout=10)
        # a shell calls both 130: where a library runs text of its own, python ends as it would have without us
        assert run.returncode in (130, -signal.SIGINT) and not out and not err
        assert _gone(twin)


def test_a_twin_ends_with_a_killed_parent() -> None:
    body = """
        with meanwhile(lambda: time.sleep(60)):
            print(open(f"/proc/{me}/task/{me}/children").read(), flush=True)
            os.kill(me, signal.SIGKILL)
    """
    (twin,) = script(body, -signal.SIGKILL)
    assert _gone(int(twin))


@cache
def checked(study: Path, processors: int = 2) -> tuple[str, int]:
    own = os.sched_getaffinity(0)
    command = [sys.executable, "-m", "linkage", "check", str(study)]
    os.sched_setaffinity(0, list(own)[:processors])
    try:
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    finally:
        os.sched_setaffinity(0, own)
    assert not done.stderr
    return done.stdout, done.returncode


@pytest.mark.parametrize("study", [MERROW, OSTREL], ids=["demo", "inches"])
def test_a_check_says_the_same_with_one_processor(study: Path) -> None:
    assert checked(study, 1) == checked(study, 2)


def test_a_check_whose_twin_is_killed_says_the_same() -> None:
    with checking() as (run, twin):
        os.kill(twin, signal.SIGKILL)
        out, err = run.communicate(timeout=30)
        assert (out, run.returncode) == checked(MERROW) and not err


@pytest.mark.parametrize("study", [MERROW, OSTREL], ids=["demo", "inches"])
def test_the_same_results_with_what_was_done_aside(study: Path) -> None:
    source = read(study)
    apart, whole = solve(source, closely=False, begun=lambda: aside_of(source.study, closely=False)), quick(study)
    assert apart.findings == whole.findings
    assert clean(headline(apart.results)) == clean(headline(whole.results))
    assert [p.region.wkb for p in apart.results.swept.parts] == [p.region.wkb for p in whole.results.swept.parts]
