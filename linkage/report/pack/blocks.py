"""What a pack is made of: headings, texts, tables, pictures, worked sheets, listings. Plain data for the template.

User text travels as data only: the template shows strings, it never evaluates them. Formulas are the one thing that is
evaluated, and they are made from expressions, not from text.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Any

from linkage.checks.finding import number
from linkage.drawing.text import plain

Block = dict[str, Any]
LONGEST_WORD = 22
"""Characters after which a word may be broken; no word of prose is longer."""


class Printed(str):
    """A number as it is to be printed."""


Cell = str | float | None


def said(text: str, limit: int = 2000) -> str:
    """One line of harmless characters in which every long word may be broken anywhere."""
    return re.sub(rf"\S{{{LONGEST_WORD + 1},}}", lambda m: "\u200b".join(m[0]), plain(text, limit))


def heading(text: str, level: int = 2) -> Block:
    return {"kind": "heading", "text": said(text), "level": level}


def paragraph(text: str) -> Block:
    return {"kind": "text", "text": said(text)}


def table(
    columns: Sequence[str],
    rows: Iterable[Sequence[Cell]],
    widths: Sequence[float] | None = None,
    note: str = "",
    marked: Sequence[bool] = (),
) -> Block:
    """Numbers stand to the right. ``widths``: shares of the width, 0 for as wide as needed; ``marked`` rows are set
    off. A table without rows says so."""
    body = [[_cell(c) for c in row] for row in rows]
    numeric = [
        bool(body) and any(row[i]["n"] for row in body) and all(row[i]["n"] or row[i]["t"] == "-" for row in body)
        for i in range(len(columns))
    ]
    return {
        "kind": "table",
        "columns": [said(c) for c in columns],
        "rows": [[c["t"] for c in row] for row in body],
        "numeric": numeric,
        "widths": list(widths or [0.0] * len(columns)),
        "note": said(note),
        "marked": list(marked) or [False] * len(body),
    }


def picture(file: str, width_mm: float, title: str, alt: str) -> Block:
    """``file`` in the scratch folder; ``width_mm`` as drawn."""
    return {"kind": "picture", "file": file, "width": width_mm, "title": said(title), "alt": said(alt, 4000)}


def row_of_pictures(files: Sequence[tuple[str, str, str]]) -> Block:
    """Pictures side by side: (file, title, alternative text)."""
    return {
        "kind": "pictures",
        "items": [{"file": f, "title": said(t), "alt": said(a, 4000)} for f, t, a in files],
    }


def listing(text: str) -> Block:
    """Lines with their numbers, spaces kept."""
    lines = [_line(line) for line in text.splitlines()]
    return {"kind": "listing", "lines": lines}


def _line(line: str) -> str:
    spaces = len(line) - len(line.lstrip())
    return "\u00a0" * spaces + said(line[spaces:], 20000)


def _cell(value: Cell) -> dict[str, Any]:
    if value is None:
        return {"t": "-", "n": False}
    if isinstance(value, Printed):
        return {"t": minus(value), "n": True}
    if isinstance(value, str):
        return {"t": said(value), "n": False}
    return _cell(Printed(number(float(value) + 0.0)))


def signs(text: str) -> str:
    """Comparisons as they are printed."""
    return text.replace(">=", "\u2265").replace("<=", "\u2264")


def minus(text: str) -> str:
    """A true minus sign, and none before a zero."""
    if text.startswith("-"):
        return text[1:] if not text.strip("-0.") else f"\u2212{text[1:]}"
    return text
