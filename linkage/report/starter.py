"""A commented study to begin from."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from linkage.errors import DocumentError, Fault
from linkage.files import write_whole

NAME = "study.toml"


def starter_text() -> str:
    """The study that `noseleg starter` writes."""
    return files("linkage.document").joinpath("starter.toml").read_text(encoding="utf-8")


def write_starter(directory: Path) -> Path:
    """Write it into ``directory``; an existing study is never overwritten. Raises ``DocumentError``."""
    path = directory / NAME
    if path.exists():
        raise DocumentError([Fault(str(path), "exists already", "a directory without a study.toml")], "starter")
    if directory.exists() and not directory.is_dir():
        raise DocumentError([Fault(str(directory), "is a file", "a directory")], "starter")
    write_whole(path, starter_text())
    return path
