"""Packages are written once for all tests that only read them."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from linkage.handoff.package import write_package
from tests.handoff.samples import STUDY, handoff, plain


@pytest.fixture(scope="session", params=["mm", "in"])
def finished(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A finished package in mm, then in inches; not to be changed."""
    folder = tmp_path_factory.mktemp("package") / request.param
    write_package(folder, handoff(request.param))
    return folder


@pytest.fixture(scope="session")
def original(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small package in mm; not to be changed."""
    folder = tmp_path_factory.mktemp("small") / "package"
    write_package(folder, handoff(slabs=plain()))
    return folder


@pytest.fixture
def copied_whole(original: Path, tmp_path: Path) -> Path:
    """A copy of the small package that may be broken."""
    return Path(shutil.copytree(original, tmp_path / "package"))


@pytest.fixture
def copied(copied_whole: Path) -> Path:
    """The same as it is without the CAD library: reading STEP takes half the time of a check."""
    path = copied_whole / "manifest.json"
    manifest = json.loads(path.read_text(encoding="utf-8"))
    manifest["files"].pop("keep-out.step", None)
    manifest["left_out"]["keep-out.step"] = "for quick tests"
    path.write_text(json.dumps(manifest), encoding="utf-8")
    (copied_whole / "keep-out.step").unlink(missing_ok=True)
    return copied_whole


@pytest.fixture
def study(tmp_path: Path) -> Path:
    """The study that the packages name."""
    path = tmp_path / "study.toml"
    path.write_bytes(STUDY)
    return path
