"""Tables as plain text."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence


def columns(rows: Sequence[Sequence[str]], right: Collection[int] = (), gap: str = "  ") -> Iterator[str]:
    """Rows as lines, every column as wide as its widest cell; ``right``: columns that end at the right."""
    wide = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))] if rows else []
    for row in rows:
        cells = (c.rjust(w) if i in right else c.ljust(w) for i, (c, w) in enumerate(zip(row, wide, strict=True)))
        yield gap.join(cells).rstrip()
