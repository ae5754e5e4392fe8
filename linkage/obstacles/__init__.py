"""Study -> obstacles: bay items typed in the study or read from files beside it."""

from __future__ import annotations

from pathlib import Path

from linkage.document.study import Study
from linkage.obstacles.model import Obstacle
from linkage.obstacles.typed import typed

__all__ = ["Obstacle", "obstacles"]


def obstacles(study: Study, folder: Path) -> tuple[Obstacle, ...]:
    """Every slice of every bay item. ``folder``: where the study lies; files are looked for there and below only.

    Raises ``DocumentError`` with every file that cannot be used, and why.
    """
    del folder
    return tuple(typed(item) for item in study.bay.item)
