"""How tables, numbers and pictures become files: the same for every command."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from linkage.files import printable, spreadsheet_safe
from linkage.report.headline import clean

KINDS = (".svg", ".png")
"""A picture is saved as both."""


def csv_text(rows: Iterable[Iterable[object]]) -> str:
    """A table as CSV. No text runs as a formula in a spreadsheet; nothing is written for None and for a number that is
    not finite, every digit for the others."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    for row in rows:
        writer.writerow([_cell(value) for value in row])
    return out.getvalue()


def _cell(value: object) -> str:
    if isinstance(value, str):
        return value if _is_number(value) else spreadsheet_safe(value)
    value = clean(value)
    return "" if value is None else repr(value)


def _is_number(text: str) -> bool:
    """Already a number, in digits of its own: its sign begins no formula."""
    try:
        float(text)
    except ValueError:
        return False
    return True


def json_text(table: object) -> str:
    """JSON to be read by people too; numbers that are not finite as null."""
    return json.dumps(clean(table), indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def lines_text(lines: Iterable[str]) -> str:
    """Lines as a text file that is safe to show on a terminal."""
    return "".join(f"{printable(line)}\n" for line in lines)


def save_both(figure: Any, folder: Path, name: str, title: str, alt: str) -> None:
    """A picture as SVG and PNG, with its title and what it shows in words."""
    from linkage.drawing.save import save

    for kind in KINDS:
        save(figure, folder / (name + kind), title=title, alt=alt)


def both(names: Iterable[str]) -> list[str]:
    """File names of pictures that `save_both` writes."""
    return [name + kind for name in names for kind in KINDS]
