"""JSON that any strict reader takes: no NaN, no Infinity, fixed order, size limited on reading."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, NoReturn

from linkage.handoff.model import HandoffError

LIMIT_BYTES = 200_000_000


def text(value: Any, indent: int | None = None) -> str:
    """JSON text; raises ``ValueError`` on NaN or Infinity."""
    separators = (",", ":") if indent is None else (",", ": ")
    return json.dumps(value, ensure_ascii=False, allow_nan=False, indent=indent, separators=separators)


def read_object(path: Path, limit_bytes: int = LIMIT_BYTES) -> dict[str, Any]:
    """Read one JSON object. Raises ``HandoffError`` if it is missing, too big, broken, or holds NaN."""
    try:
        size = path.stat().st_size
        if size > limit_bytes:
            raise HandoffError(f"{path.name}: {size} bytes, limit {limit_bytes}")
        value = json.loads(path.read_text(encoding="utf-8"), parse_constant=_refuse)
    except OSError as fault:
        raise HandoffError(f"{path.name}: cannot be read: {fault.strerror}") from fault
    except (ValueError, RecursionError) as fault:
        raise HandoffError(f"{path.name}: not readable as JSON: {fault}") from fault
    if not isinstance(value, dict):
        raise HandoffError(f"{path.name}: expected a JSON object")
    return value


def _refuse(word: str) -> NoReturn:
    raise ValueError(f"{word} is not allowed")
