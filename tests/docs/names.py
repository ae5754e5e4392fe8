"""What a user meets in writing: fields of a study, keys of the results, and texts of the package."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

from linkage.document.reader import schema
from linkage.report import moves
from linkage.report.headline import full
from tests.modules import nodes
from tests.studies import ROOT, solution

WORDS = (ROOT / "docs" / "words.md").read_text(encoding="utf-8")


def section(heading: str) -> str:
    """The text of docs/words.md below a heading."""
    return WORDS.split(f"\n## {heading}\n")[1].split("\n## ")[0]


def rows(text: str) -> list[tuple[str, str]]:
    """First two columns of the table in a text."""
    lines = [line for line in text.splitlines() if line.startswith("|")][2:]
    return [(cells[1].strip(), cells[2].strip()) for cells in (line.split("|") for line in lines)]


def tokens(text: str) -> set[str]:
    return set(re.findall(r"[a-z0-9]+", text.lower()))


@cache
def fields() -> set[str]:
    """Every field of a study document, by its own name."""
    table = schema()
    return {name for model in [table, *table["$defs"].values()] for name in model.get("properties", {})}


@cache
def result_keys() -> set[str]:
    """Every key of the full results but those that a study itself names, such as its bay items."""
    done = solution()
    own = set(_texts(done.source.study.model_dump()))
    table = full(done, {"sensitivity": moves.section(moves.moves(done))})
    return {key for key in _keys(table) if key not in own and " " not in key}


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        value = value.values()
    if isinstance(value, str):
        yield value
    elif not isinstance(value, int | float | complex | None):
        for inner in value:
            yield from _texts(inner)


def _keys(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        yield from value
        value = value.values()
    elif not isinstance(value, list):
        return
    for inner in value:
        yield from _keys(inner)


def texts_of(path: Path) -> Iterator[str]:
    """Texts of a module that somebody may read when it runs: all but docstrings; of the command these too."""
    silent = set() if "cli" in path.parts else {id(n.value) for n in nodes(path) if isinstance(n, ast.Expr)}
    for node in nodes(path):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in silent:
            yield node.value
