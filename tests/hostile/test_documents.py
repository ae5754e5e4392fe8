"""Whatever stands in a study file: findings or a message, never a traceback, NaN, or a wait.

``HOSTILE_DOCUMENTS`` sets how many documents are tried; docs/performance.md has the last long run.
"""

from __future__ import annotations

import math
import os
import signal
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from linkage.document.reader import Source, parse, read
from linkage.errors import DocumentError, LinkageError, MechanismError
from linkage.report.headline import headline
from linkage.solution import Solution, solve
from tests.hostile.mutations import bases, mutated, whole_studies
from tests.studies import MERROW

DOCUMENTS = int(os.environ.get("HOSTILE_DOCUMENTS", "500"))
SEED = int(os.environ.get("HOSTILE_SEED", "0"))
LONGEST = 5.0
"""seconds"""
SEEN: Counter[str] = Counter()


@contextmanager
def no_longer_than(seconds: float) -> Iterator[None]:
    """Stop with a traceback of where it hangs, on the process's own clock."""

    def late(*_: Any) -> None:
        raise TimeoutError(f"longer than {seconds:g} s")

    signal.signal(signal.SIGPROF, late)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)


def judge(plain: dict[str, Any]) -> None:
    began = time.process_time()
    with no_longer_than(LONGEST):
        try:
            solution = solve(Source(MERROW, "0" * 64, "", parse(plain)), closely=False)
        except LinkageError as err:
            SEEN[type(err).__name__] += 1
            _is_a_message(err)
        else:
            SEEN["solved"] += 1
            _is_whole(solution)
    SEEN["slowest, ms"] = max(SEEN["slowest, ms"], int(1000 * (time.process_time() - began)))


def _is_a_message(err: LinkageError) -> None:
    text = str(err)
    assert text
    assert "Traceback" not in text
    if isinstance(err, DocumentError):
        assert err.faults
        assert all(f.field and f.expected for f in err.faults)
    else:
        assert isinstance(err, MechanismError)
        assert "nan" not in text.lower().split()


def _is_whole(solution: Solution) -> None:
    for f in solution.findings:
        assert not any(isinstance(v, float) and math.isnan(v) for v in (f.actual, f.required, f.margin)), f
    for name, value in headline(solution.results).items():
        assert not (isinstance(value, float) and math.isnan(value)), name


@settings(
    max_examples=DOCUMENTS,
    deadline=None,
    derandomize=SEED == 0,
    database=None,
    suppress_health_check=list(HealthCheck),
    print_blob=True,
)
@given(mutated(bases()))
def test_mutated_documents(plain: dict[str, Any]) -> None:
    judge(plain)


@settings(
    max_examples=max(DOCUMENTS // 25, 20),
    deadline=None,
    derandomize=SEED == 0,
    database=None,
    suppress_health_check=list(HealthCheck),
)
@given(mutated(whole_studies()))
def test_mutated_whole_studies(plain: dict[str, Any]) -> None:
    judge(plain)


def test_what_was_seen() -> None:
    """Runs last in this file: the documents above were of every kind, else nothing was tried."""
    if not SEEN:
        pytest.skip("the documents were tried in another process")
    print(dict(SEEN))
    assert SEEN["DocumentError"] > 0
    assert SEEN["solved"] > 0


@settings(max_examples=max(DOCUMENTS // 5, 100), deadline=None, derandomize=True, database=None)
@given(st.data())
def test_mutated_bytes(tmp_path_factory: pytest.TempPathFactory, data: st.DataObject) -> None:
    """Bytes changed, lost and put in: a document or a list of faults."""
    content = bytearray(MERROW.read_bytes())
    for _ in range(data.draw(st.integers(1, 6))):
        at = data.draw(st.integers(0, max(len(content) - 1, 0)))
        match data.draw(st.sampled_from(["change", "lose", "put in", "cut"])):
            case "change" if content:
                content[at] = data.draw(st.integers(0, 255))
            case "lose":
                del content[at : at + data.draw(st.integers(1, 40))]
            case "put in":
                content[at:at] = data.draw(st.binary(min_size=1, max_size=8))
            case _:
                del content[max(at, 1) :]
    path = tmp_path_factory.getbasetemp() / "bytes.toml"
    path.write_bytes(bytes(content))
    try:
        read(path)
    except DocumentError as err:
        _is_a_message(err)
