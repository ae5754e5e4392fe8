"""User text on its way into a picture: never markup, never control codes, never longer than its place.

Names come from study files, so they may hold ``$`` (which matplotlib would read as mathematics), ``<`` and ``&``,
line breaks, or characters that turn the reading direction of everything after them.
"""

from __future__ import annotations

import textwrap
import unicodedata
from functools import lru_cache

_DIRECTION_CODES = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff")


def plain(text: str, limit: int = 240) -> str:
    """Return ``text`` as one line of harmless characters, at most ``limit`` long (then it ends in an ellipsis).

    Use it with ``parse_math=False``; where that cannot be said, use :func:`escaped`.
    """
    text = str(text)
    harmless = text if text.isascii() and text.isprintable() else "".join(_harmless(c) for c in text)
    line = " ".join(harmless.split())
    return line if len(line) <= limit else line[: max(limit - 1, 0)].rstrip() + "…"


def escaped(text: str, limit: int = 240) -> str:
    """Return plain text for a matplotlib call that has no ``parse_math`` (tick labels, legend entries)."""
    return plain(text, limit).replace("$", r"\$")


def wrapped(text: str, width: int = 26, lines: int = 3) -> str:
    """Break plain text into at most ``lines`` lines of about ``width`` characters; the rest becomes an ellipsis."""
    line = plain(text, max(240, width * lines))
    return "\n".join(textwrap.wrap(line, width, max_lines=lines, placeholder=" …")) or ""


@lru_cache(4096)
def _harmless(character: str) -> str:
    """Keep letters and signs, turn control codes and breaks to spaces, drop what no file format may hold."""
    category = unicodedata.category(character)
    if category in ("Cc", "Zl", "Zp"):
        return " "
    code = ord(character)
    no_character = category == "Cs" or (code & 0xFFFE) == 0xFFFE or 0xFDD0 <= code <= 0xFDEF
    return "" if no_character or character in _DIRECTION_CODES else character
