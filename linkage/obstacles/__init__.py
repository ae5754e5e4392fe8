"""Study -> obstacles: bay items typed in the study or read from files beside it."""

from __future__ import annotations

from pathlib import Path

from linkage.document.study import Study
from linkage.errors import DocumentError, Fault
from linkage.obstacles.model import Obstacle, UnusableFileError
from linkage.obstacles.typed import typed

__all__ = ["Obstacle", "obstacles"]


def obstacles(study: Study, folder: Path) -> tuple[Obstacle, ...]:
    """Every slice of every bay item. ``folder``: where the study lies; files are looked for there and below only.

    Raises ``DocumentError`` with every file that cannot be used, and why.
    """
    found: list[Obstacle] = []
    faults: list[Fault] = []
    for i, item in enumerate(study.bay.item):
        if item.file is None:
            found.append(typed(item))
            continue
        from linkage.obstacles.files import from_file

        try:
            found += from_file(item, study, folder)
        except UnusableFileError as err:
            faults.append(Fault(f"bay.item[{i}].file", err.found, err.expected))
    if faults:
        raise DocumentError(faults)
    return tuple(found)
