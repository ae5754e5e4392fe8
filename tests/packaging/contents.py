"""What the wheel and the source archive must hold, and must not."""

from __future__ import annotations

import tarfile
import zipfile
from pathlib import Path

WHOLE = ("linkage", "studies", "docs", "tests")
"""Folders that the source archive holds completely."""
BESIDE = {"README.md", "LICENSE", "DEVELOPERS.md", "pyproject.toml", ".ci/run"}
MADE = {"PKG-INFO", ".gitignore"}
"""Files of the source archive that the build back end adds."""


def files_of(root: Path, *folders: str) -> set[str]:
    """Files below ``folders``, relative to ``root``, without what Python and tools leave behind."""
    return {
        path.relative_to(root).as_posix()
        for folder in folders
        for path in (root / folder).rglob("*")
        if path.is_file() and "__pycache__" not in path.parts and path.suffix != ".pyc"
    }


def wheel_faults(wheel: Path, root: Path) -> list[str]:
    """The wheel holds every file of ``linkage/``, its own description, and nothing else."""
    with zipfile.ZipFile(wheel) as archive:
        names = {n for n in archive.namelist() if not n.endswith("/")}
    described = {n for n in names if n.partition("/")[0].endswith(".dist-info")}
    faults = compared(names - described, files_of(root, "linkage"), wheel.name)
    endings = {n.partition("/")[2] for n in described}
    faults += compared(endings, {"METADATA", "WHEEL", "RECORD", "entry_points.txt", "licenses/LICENSE"}, wheel.name)
    return faults


def sdist_faults(sdist: Path, root: Path) -> list[str]:
    """The source archive holds package, studies, docs and tests completely, the files beside them, and nothing else."""
    with tarfile.open(sdist) as archive:
        names = {n.partition("/")[2] for n in archive.getnames() if archive.getmember(n).isfile()}
    return compared(names - MADE, files_of(root, *WHOLE) | BESIDE, sdist.name)


def compared(found: set[str], wanted: set[str], where: str) -> list[str]:
    missing = [f"{where} lacks {n}" for n in sorted(wanted - found)]
    return missing + [f"{where} holds {n}, which does not belong there" for n in sorted(found - wanted)]
