"""pyproject.toml declares what the code imports, and the code imports what it declares."""

from __future__ import annotations

import re
import sys
import tomllib
from collections.abc import Iterator
from functools import cache
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

from tests import modules
from tests.studies import ROOT

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
EXTRAS = PROJECT["optional-dependencies"]

RUNS_ALONE = {"pytest-xdist", "ruff", "mypy", "scipy-stubs", "hatchling"}
"""Of the extra `test`: called as programs or by one another, imported by nothing here."""
BEHIND = {"rtree": "trimesh asks it which triangles lie near a point"}
"""Of the extra `test`: imported by a library on behalf of a test."""
OPTIONAL = {"OCP": "cad", "imageio_ffmpeg": "video", "tornado": "web", "distributed": "cluster"}
"""Imports that only an extra may bring."""


def name_of(requirement: str) -> str:
    """The distribution a requirement names, spelled in one way."""
    return plain(re.split(r"[\[<>=!~; ]", requirement, maxsplit=1)[0])


def plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def names(requirements: list[str]) -> set[str]:
    return {name_of(r) for r in requirements} - {plain(PROJECT["name"])}


def imports(folder: str) -> Iterator[tuple[str, Path, bool]]:
    """Top names imported from outside, with the file and whether it happens when the module is loaded."""
    for path in modules.modules(folder):
        early = {id(node) for node in modules.tree(path).body}
        for full, _, node in modules.imports(path):
            top = full.partition(".")[0]
            if top not in sys.stdlib_module_names and top not in ("linkage", "tests"):
                yield top, path, id(node) in early


installed = cache(packages_distributions)


def bringers(folder: str) -> dict[str, set[str]]:
    """For each import of ``folder`` the distributions that bring it; several may share one import name."""
    return {top: {plain(d) for d in installed().get(top, [top])} for top, _, _ in imports(folder)}


def undeclared(folder: str, declared: set[str]) -> set[str]:
    return {top for top, bring in bringers(folder).items() if not bring & declared}


def unused(folder: str, declared: set[str]) -> set[str]:
    return declared - set().union(*bringers(folder).values())


def test_the_library_imports_what_it_declares_and_nothing_else() -> None:
    for_users = [r for extra, needed in EXTRAS.items() if extra != "test" for r in needed]
    declared = names([*PROJECT["dependencies"], *for_users])
    assert not undeclared("linkage", declared)
    assert not unused("linkage", declared)


def test_the_tests_import_what_they_declare() -> None:
    declared = names([*PROJECT["dependencies"], *(r for needed in EXTRAS.values() for r in needed)])
    assert not undeclared("tests", declared)
    assert unused("tests", names(EXTRAS["test"])) == RUNS_ALONE | set(BEHIND)


def test_what_an_extra_brings_is_imported_late() -> None:
    early = {(top, str(path.relative_to(ROOT))) for top, path, first in imports("linkage") if first and top in OPTIONAL}
    assert not early


def test_extras() -> None:
    """Every optional import has its extra, the tests get all of them, and every hint names one that exists."""
    for top, bring in bringers("linkage").items():
        if top in OPTIONAL:
            assert bring & names(EXTRAS[OPTIONAL[top]]), top
    users = sorted(set(EXTRAS) - {"test"})
    assert set(OPTIONAL.values()) == set(users)
    (own,) = [r for r in EXTRAS["test"] if name_of(r) == PROJECT["name"]]
    assert sorted(re.findall(r"\w+", own.partition("[")[2])) == users
    hints = {
        extra
        for path in modules.modules()
        for listed in re.findall(r"noseleg\[([\w,]+)\]", modules.text(path))
        for extra in listed.split(",")
    }
    assert hints == set(users)


@pytest.mark.parametrize("extra", [None, *EXTRAS])
def test_every_requirement_has_a_lowest_version(extra: str | None) -> None:
    for requirement in PROJECT["dependencies"] if extra is None else EXTRAS[extra]:
        if name_of(requirement) not in (PROJECT["name"], "scipy-stubs"):  # the stubs follow scipy
            assert re.search(r">=\d", requirement), requirement
