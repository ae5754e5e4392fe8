"""The filed studies as plain tables and as documents, for tests that change a value or two."""

from __future__ import annotations

import tomllib
from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from linkage.document.reader import Source, parse, read
from linkage.document.study import Study
from linkage.document.ways import put

if TYPE_CHECKING:
    from linkage.sensitivity import Sensitivity
    from linkage.solution import Solution

ROOT = Path(__file__).parent.parent
MERROW = ROOT / "studies" / "merrow_m2r" / "study.toml"
OSTREL = ROOT / "studies" / "ostrel_140" / "study.toml"


@cache
def _filed(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


def table(path: Path = MERROW, changes: dict[str, Any] | None = None) -> dict[str, Any]:
    """The study as a plain table that may be altered, with some dotted paths changed."""
    plain = deepcopy(_filed(path))
    for field, value in (changes or {}).items():
        put(plain, field, deepcopy(value))
    return plain


def changed(changes: dict[str, Any], path: Path = MERROW) -> Study:
    """The study with some dotted paths changed."""
    return parse(table(path, changes), path.name)


@cache
def source(path: Path = MERROW) -> Source:
    return read(path)


@cache
def solution(path: Path = MERROW) -> Solution:
    from linkage.solution import solve

    return solve(source(path))


@cache
def quick(path: Path = MERROW) -> Solution:
    """As `noseleg check` solves it."""
    from linkage.solution import solve

    return solve(source(path), closely=False)


@cache
def derivatives(path: Path = MERROW) -> Sensitivity:
    """Of every result, by every dimension."""
    from linkage.sensitivity import sensitivity

    return sensitivity(solution(path))
