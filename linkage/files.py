"""Files are written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Iterator
from pathlib import Path


def write_whole(path: Path, content: bytes | str) -> None:
    """Write ``content`` beside ``path`` and move it into place in one step."""
    with whole_file(path) as draft:
        draft.write_bytes(content.encode() if isinstance(content, str) else content)


@contextlib.contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """Yield a draft path with the same suffix; it replaces ``path`` on success and vanishes on failure."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".draft-", suffix=path.suffix)
    os.close(handle)
    draft = Path(name)
    try:
        yield draft
        draft.chmod(0o644)
        draft.replace(path)
    finally:
        draft.unlink(missing_ok=True)


def spreadsheet_safe(text: str) -> str:
    """Keep a spreadsheet from running user text as a formula."""
    return "'" + text if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text
