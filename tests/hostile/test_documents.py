"""Whatever stands in a study file: findings or a message, never a traceback, NaN, or a wait.

``HOSTILE_DOCUMENTS`` sets how many documents are tried, ``HOSTILE_SEED`` which; docs/hostile.md has the last long run.
"""

from __future__ import annotations

import math
import os
from pathlib import Path
from typing import Any
from zlib import crc32

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from linkage.document.reader import Source, parse, read
from linkage.errors import DocumentError, LinkageError
from linkage.report.headline import headline
from linkage.solution import Solution, solve
from tests.hostile.further import WAYS
from tests.hostile.mutations import bases, mutated, whole_studies
from tests.hostile.watching import SEEN, campaign, is_a_message, kept, peak_mb, timed
from tests.studies import MERROW

LONG = "HOSTILE_DOCUMENTS" in os.environ
DOCUMENTS = int(os.environ.get("HOSTILE_DOCUMENTS", "500"))
SOLVED = 1 if LONG else 5
"""One document in so many goes on from the reader to the solver."""
RARE = 3 if LONG else 60
"""One document in so many goes through another command too if the reader accepts it, another one each time."""
TRIED: set[int] = set()


def new(plain: dict[str, Any], what: str) -> int:
    """A number for the document, even, which numbers drawn with it are not; one that went well is not tried again."""
    draw = crc32(repr(plain).encode("utf-8", "surrogatepass"))
    assume(draw not in TRIED)
    SEEN[f"different {what}"] += 1
    return draw


def judge(plain: dict[str, Any]) -> None:
    with timed("solver"):
        try:
            solution = solve(Source(MERROW, "0" * 64, "", parse(plain)), closely=False)
        except LinkageError as err:
            SEEN[type(err).__name__] += 1
            is_a_message(err)
        else:
            SEEN["solved"] += 1
            _is_whole(solution)


def accepted(plain: dict[str, Any]) -> bool:
    """By the reader."""
    try:
        parse(plain)
    except DocumentError as err:
        is_a_message(err)
        return False
    return True


def further(plain: dict[str, Any], way: str, scratch: Path) -> None:
    """Through one of the other commands too, if the reader accepts the document."""
    if not accepted(plain):
        return
    with timed(way):
        try:
            WAYS[way](plain, scratch)
        except LinkageError as err:
            SEEN[f"{way}: {type(err).__name__}"] += 1
            is_a_message(err)
        else:
            SEEN[f"{way}: whole"] += 1


def _is_whole(solution: Solution) -> None:
    for f in solution.findings:
        assert not any(isinstance(v, float) and math.isnan(v) for v in (f.actual, f.required, f.margin)), f
    for name, value in headline(solution.results).items():
        assert not (isinstance(value, float) and math.isnan(value)), name


@pytest.mark.parametrize("way", WAYS)
def test_unharmed_documents(way: str, tmp_path: Path) -> None:
    """Every way is open: what stops a document is what was done to it."""
    WAYS[way](bases()[1], tmp_path)


@campaign(DOCUMENTS)
@given(mutated(bases()))
def test_mutated_documents(tmp_path_factory: pytest.TempPathFactory, plain: dict[str, Any]) -> None:
    draw = new(plain, "small documents")
    with kept("solver", plain):
        if draw % SOLVED == 0:
            judge(plain)
        else:
            accepted(plain)
    if draw % RARE == 0:
        way = list(WAYS)[draw // RARE % len(WAYS)]
        with kept(way, plain):
            further(plain, way, tmp_path_factory.getbasetemp())
    TRIED.add(draw)


@campaign(max(DOCUMENTS // 25, 4) if LONG else 4)
@given(mutated(whole_studies()))
def test_mutated_whole_studies(tmp_path_factory: pytest.TempPathFactory, plain: dict[str, Any]) -> None:
    draw = new(plain, "whole studies")
    way = ("at_a_glance", "drafted")[draw % 2]
    with kept(f"solver and {way}", plain):
        judge(plain)
        further(plain, way, tmp_path_factory.getbasetemp())
    TRIED.add(draw)


@campaign(max(DOCUMENTS // 5, 40))
@given(st.data())
def test_mutated_bytes(tmp_path_factory: pytest.TempPathFactory, data: st.DataObject) -> None:
    """Bytes changed, lost and put in: a document or a list of faults."""
    SEEN["texts"] += 1
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
    with kept("bytes", bytes(content)):
        try:
            read(path)
        except DocumentError as err:
            is_a_message(err)


def test_what_was_seen() -> None:
    """Runs last in this file: the documents above were of every kind, else nothing was tried."""
    if not SEEN:
        pytest.skip("the documents were tried in another process")
    print(dict(SEEN), f"peak memory {peak_mb()} MB")
    assert SEEN["FAULTS"] == 0
    assert SEEN["DocumentError"] > 0
    assert SEEN["solved"] > 0
