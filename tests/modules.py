"""The modules of the package and of its tests, each read and parsed once for all tests that look at their text."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from tests.studies import ROOT


@cache
def modules(folder: str = "linkage") -> tuple[Path, ...]:
    """Every module below a folder of the project."""
    return tuple(sorted((ROOT / folder).rglob("*.py")))


@cache
def text(path: Path) -> str:
    return path.read_text(encoding="utf-8")


@cache
def tree(path: Path) -> ast.Module:
    return ast.parse(text(path))


@cache
def nodes(path: Path) -> tuple[ast.AST, ...]:
    """Every node of a module's tree."""
    return tuple(ast.walk(tree(path)))


def imports(path: Path) -> Iterator[tuple[str, tuple[str, ...], ast.AST]]:
    """Full names of modules imported, what is taken from them, and where in the tree. Imports relative to a package are
    refused: they hide their direction."""
    for node in nodes(path):
        if isinstance(node, ast.Import):
            yield from ((alias.name, (), node) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0 and node.module, f"{path}: relative imports hide the direction"
            yield node.module, tuple(alias.name for alias in node.names), node
