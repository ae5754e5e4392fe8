"""Triangles of an STL file, text or binary, read strictly: every byte of it means what it should, or it is refused."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from linkage.obstacles.model import UnusableFileError

HEAD, RECORD = 84, 50
"""Bytes before the first triangle of a binary file, and of each: 12 floats and a 16-bit word."""

NUMBER = rb"([-+]?+(?:\d++(?:\.\d*+)?+|\.\d++)(?:[eE][-+]?+\d++)?+)"
VERTEX = rb"vertex\s++" + rb"\s++".join((NUMBER,) * 3) + rb"\s++"
FACET = re.compile(
    rb"\s*+facet\s++normal\s++(?:\S++\s++){3}outer\s++loop\s++" + VERTEX * 3 + rb"endloop\s++endfacet(?=\s)",
    re.IGNORECASE,
)
LINE = rb"(?:[ \t][^\r\n]*+)?+(?:[\r\n]++|$)"
BEGIN, END = (re.compile(rb"\s*+" + word + LINE, re.IGNORECASE) for word in (rb"solid", rb"endsolid"))
"""Nothing is matched in two ways (``++``), or a broken file would be tried in all of them."""

EXPECTED = "an intact STL file"


def triangles(path: Path) -> NDArray[np.float64]:
    """(triangles, 3, 3) as the file has them. Raises `UnusableFileError` with what is wrong and where."""
    try:
        content = path.read_bytes()
    except OSError as err:
        raise UnusableFileError(f"{path.name!r} cannot be read ({err.strerror})", EXPECTED) from err
    count = int.from_bytes(content[80:HEAD], "little") if len(content) >= HEAD else -1
    if count >= 0 and len(content) == HEAD + RECORD * count:
        found = _binary(content)
    elif content.lstrip()[:5].lower() == b"solid":
        found = _text(content, path.name)
    else:
        says = f"says {count} triangles in {len(content)} bytes" if count >= 0 else f"has {len(content)} bytes"
        raise UnusableFileError(
            f"{path.name!r} is not readable as STL: it {says} and does not begin with 'solid'",
            f"{EXPECTED}: {HEAD} + {RECORD} bytes a triangle, or text",
        )
    if not len(found):
        raise UnusableFileError(f"{path.name!r} has no triangles", "a closed surface without gaps")
    return found


def _binary(content: bytes) -> NDArray[np.float64]:
    record = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("word", "<u2")])
    with np.errstate(invalid="ignore"):  # a NaN that signals; it is refused with the others
        return np.asarray(np.frombuffer(content, record, offset=HEAD)["corners"], dtype=np.float64)


def _text(content: bytes, name: str) -> NDArray[np.float64]:
    """Solids one after another; names are not looked at."""
    found: list[tuple[bytes | Any, ...]] = []
    at, end = 0, len(content.rstrip())
    while at < end:
        at = _after(BEGIN, content, at, name, "solid NAME")
        while (facet := FACET.match(content, at)) is not None:
            found.append(facet.groups())
            at = facet.end()
        at = _after(
            END, content, at, name, "facet normal x y z, outer loop, three times vertex x y z, endloop, endfacet"
        )
    return np.array(found, dtype=np.float64).reshape(-1, 3, 3)


def _after(pattern: re.Pattern[bytes], content: bytes, at: int, name: str, expected: str) -> int:
    hit = pattern.match(content, at)
    if hit is None:
        at += len(content[at:]) - len(content[at:].lstrip())
        line, rest = content.count(b"\n", 0, at) + 1, content[at : at + 40].split(b"\n")[0].decode("ascii", "replace")
        raise UnusableFileError(f"{name!r} is not readable as STL from line {line} on, {rest!r}", expected)
    return hit.end()
