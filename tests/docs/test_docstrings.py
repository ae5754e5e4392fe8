"""What the packages offer explains itself: every module, and every name that a package hands out."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

from tests.modules import modules, tree
from tests.studies import ROOT

MODULES = modules()
PACKAGES = [p for p in MODULES if p.name == "__init__.py" and "cli" not in p.parts]


def file_of(module: str) -> Path:
    path = ROOT / module.replace(".", "/")
    return path / "__init__.py" if path.is_dir() else path.with_suffix(".py")


def defined(path: Path, name: str) -> tuple[Path, ast.stmt] | None:
    """Where a name of a module is made: followed through imports; None for a constant or a module."""
    if not path.is_file():
        return None
    for node in tree(path).body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and node.name == name:
            return path, node
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("linkage"):
            for alias in node.names:
                if (alias.asname or alias.name) == name and file_of(str(node.module)) != path:
                    return defined(file_of(str(node.module)), alias.name)
    return None


def listed(path: Path) -> list[str]:
    """The names in ``__all__``."""
    for node in tree(path).body:
        if isinstance(node, ast.Assign) and any(isinstance(t, ast.Name) and t.id == "__all__" for t in node.targets):
            return [str(name) for name in ast.literal_eval(node.value)]
    return []


def offered(path: Path) -> Iterator[str]:
    """Names a package or module hands out: those it lists, and in a package also those it imports from its own."""
    yield from listed(path)
    if path.name == "__init__.py":
        for node in tree(path).body:
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("linkage"):
                yield from (alias.asname or alias.name for alias in node.names)


def test_modules_explain_themselves() -> None:
    silent = [path for path in MODULES if path.stat().st_size and not ast.get_docstring(tree(path))]
    assert not silent, f"say nothing of themselves: {silent}"


def test_offered_names_are_explained() -> None:
    silent = []
    for path in (path for path in MODULES if "cli" not in path.parts):
        for name in dict.fromkeys(offered(path)):
            found = defined(path, name)
            if found is not None and not ast.get_docstring(found[1]):  # type: ignore[arg-type]
                silent.append(f"{name} of {found[0].relative_to(ROOT)}")
    assert not silent, "without a docstring: " + ", ".join(silent)


def test_names_are_found() -> None:
    """The test above would pass for nothing if it saw nothing."""
    seen = {name for path in PACKAGES for name in offered(path) if defined(path, name)}
    assert {"Gear", "build", "Stroke", "findings", "moved", "solve"} <= seen
    assert len(seen) > 150
