"""Imports go one way. The order below is the picture in docs/architecture.md, lowest floor first."""

from __future__ import annotations

from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

from tests import modules
from tests.studies import ROOT

PACKAGE = ROOT / "linkage"

FLOORS = [
    ["units", "errors", "files", "folders", "process", "twin"],
    ["crew", "cluster"],
    ["beside"],
    ["plane", "tyres"],
    ["document", "mechanism"],
    ["gear", "loading", "obstacles"],
    ["stroke"],
    ["tracks", "states"],
    ["sweep", "stance"],
    ["loads", "actuation", "clearance", "steering", "stations"],
    ["state_gaps"],
    ["lock"],
    ["end_stops", "doors"],
    ["extension"],
    ["aside"],
    ["results"],
    ["checks"],
    ["glance"],
    ["solution"],
    ["sensitivity"],
    ["search"],
    ["drafting"],
    ["trade"],
    ["tolerance"],
    ["drawing", "handoff"],
    ["report"],
    ["cli"],
    ["__main__"],
]
FLOOR = {name: i for i, names in enumerate(FLOORS) for name in names}
ONLY_IN = {
    "pydantic": {"document"},
    "tomlkit": {"document"},
    "matplotlib": {"drawing"},
    "PIL": {"drawing"},
    "ezdxf": {"handoff", "obstacles"},
    "manifold3d": {"handoff", "obstacles"},
    "trimesh": {"handoff"},
    "OCP": {"handoff", "obstacles"},
    "typer": {"cli"},
    "rich": {"cli"},
    "dask": {"cluster"},
    "distributed": {"cluster"},
}
MODULES = [p for p in modules.modules() if p != PACKAGE / "__init__.py"]


def room(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imported(path: Path) -> set[str]:
    names = set()
    for module, taken, _ in modules.imports(path):
        names |= {f"linkage.{name}" for name in taken} if module == "linkage" and taken else {module}
    return names


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_imports_run_downwards(path: Path) -> None:
    here = room(path)
    assert here in FLOOR, f"{here} has no floor: add it to FLOORS and to docs/architecture.md"
    for name in imported(path):
        parts = name.split(".")
        if parts[0] == "linkage" and len(parts) > 1 and parts[1] != here and parts[1] in FLOOR:
            assert FLOOR[parts[1]] < FLOOR[here], f"{here} may not import {name}"
        allowed = ONLY_IN.get(parts[0])
        assert allowed is None or here in allowed, f"{here} may not import {name}: only {allowed} may"


def test_kernel_has_no_aircraft_word() -> None:
    words = ("gear", "brace", "trunnion", "knee", "leg ", "wheel", "tyre", "aircraft", "fuselage")
    for path in [p for p in MODULES if room(p) in ("plane", "mechanism")]:
        text = modules.text(path).lower()
        assert not [w for w in words if w in text], path


def test_top_level_holds_only_what_it_should() -> None:
    allowed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "linkage", "studies", "tests", "docs", "LICENSE"}
    made = {"out", "dist", "build"}
    found = {p.name for p in ROOT.iterdir() if not p.name.startswith(".")}
    assert found - made <= allowed


def test_no_two_modules_import_each_other() -> None:
    """Not round about either, nor for types alone, nor inside a function. A package's own face hands names on."""
    named = {".".join(path.relative_to(ROOT).with_suffix("").parts): path for path in MODULES}
    wants = {
        name: {other for other in taken_from(path) if other in named} - {name}
        for name, path in named.items()
        if path.name != "__init__.py"
    }
    assert len(wants) > 300 and sum(map(len, wants.values())) > 1000
    try:
        TopologicalSorter(wants).prepare()
    except CycleError as err:
        pytest.fail(" <- ".join(err.args[1]))


def taken_from(path: Path) -> set[str]:
    """Modules that one imports, also as names taken from their package."""
    found = set()
    for module, names, _ in modules.imports(path):
        found |= {module, *(f"{module}.{name}" for name in names)}
    return found
