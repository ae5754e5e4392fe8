"""Files for bay items with faults put in, all from a seed.

``case(kind, number, seed)`` is always the same file: a small intact one with one to four things done to it, to its
bytes, to its lines, or to what its format means.
"""

from __future__ import annotations

import io
import random
import re
import struct
import zipfile
from collections.abc import Callable

from tests.hostile.intact_files import intact

KINDS = ("dxf", "stl", "step")

NUMBERS = [text.encode() for text in (
    "nan", "-nan", "inf", "-inf", "1e308", "-1e308", "1e400", "1e-320", "-0", "0", "1", "-1", "255", "256", "65536",
    "2147483648", "-2147483649", "9" * 30, "1" * 5000, "0." + "3" * 400, "1e", "1e+", "--5", "0x10", "1_000", "٣٤",
    "1,5", "1.5.5", "", " ", "NaN(1)", "1d5", "True",
)]  # fmt: skip
TEXTS = [text.encode("utf-8", "surrogatepass") for text in (
    "\x1b[2J\x1b[31m", "\x00", "\x07bell", "\u202egnp", "%s%n%x", "=cmd|' /C calc'!A0", "../../etc/passwd",
    "<script>alert(1)</script>", "x" * 10_000, "\ud7ff\ufffe", "\udcff", "%<\\AcVar Date>%", "\\U+0007", "\\M+1DCED",
    "BOX", "*", "*U1", "0", "ENGINE", "EOF", "SECTION",
)]  # fmt: skip
WORDS = [text.encode() for text in (
    "LINE", "INSERT", "SPLINE", "ELLIPSE", "LWPOLYLINE", "3DSOLID", "MESH", "ENDSEC", "BLOCK", "ENDBLK", "VERTEX",
    "SEQEND", "IMAGE", "HELIX", "REGION", "POLYLINE", "TABLE", "RAY", "XLINE", "WIPEOUT", "VIEWPORT", "SURFACE",
)]  # fmt: skip
CODES = (
    "0", "1", "2", "5", "8", "10", "20", "30", "40", "41", "42", "44", "45", "50", "51", "66", "67", "70", "71", "72",
    "73", "74", "90", "210", "220", "230", "310", "330", "999", "1004", "1071", "-1", "32767", "1e3", "9" * 11, "٣",
)  # fmt: skip
CURVES = {
    "CIRCLE": (10, 20, 40),
    "ARC": (10, 20, 40, 50, 51),
    "ELLIPSE": (10, 20, 11, 21, 40, 41, 42),
    "LINE": (10, 20, 11, 21),
    "LWPOLYLINE": (90, 70, 10, 20, 42, 10, 20, 42, 10, 20),
    "SPLINE": (70, 71, 72, 73, 40, 40, 40, 40, 40, 40, 40, 40, 10, 20, 10, 20, 10, 20, 10, 20),
    "SOLID": (10, 20, 11, 21, 12, 22, 13, 23),
    "3DFACE": (10, 20, 30, 11, 21, 31, 12, 22, 32),
    "INSERT": (10, 20, 41, 42, 43, 44, 45, 50, 70, 71, 210, 220, 230),
    "HELIX": (10, 20, 40, 41, 42),
    "MLINE": (10, 20, 70, 72, 73),
}
NUMBER = re.compile(rb"(?<![#\w.])-?\d+\.?\d*(?:[eE][-+]?\d+)?")
FACTORS = (-1.0, 0.0, 1e-9, 0.999, 1.001, 25.4, 1e3, 1e6, 1e12, 1e60)


def case(kind: str, number: int, seed: int) -> bytes:
    """The nth file of a kind."""
    rng = random.Random(f"{seed} {kind} {number}")
    content = rng.choice(intact(kind))
    for _ in range(rng.choice((1, 1, 1, 2, 3, 4))):
        content = rng.choice(ACTS[kind] if rng.random() < 0.7 else BYTES)(content, rng)
    return content


# --- bytes ------------------------------------------------------------------------------------------------------------


def _flip(content: bytes, rng: random.Random) -> bytes:
    out = bytearray(content)
    for _ in range(rng.choice((1, 1, 3, 30))):
        if out:
            out[rng.randrange(len(out))] = rng.randrange(256)
    return bytes(out)


def _cut(content: bytes, rng: random.Random) -> bytes:
    return content[: rng.randrange(len(content) + 1)]


def _lose(content: bytes, rng: random.Random) -> bytes:
    at = rng.randrange(len(content) + 1)
    return content[:at] + content[at + rng.choice((1, 2, 50, 84, 500)) :]


def _put_in(content: bytes, rng: random.Random) -> bytes:
    at = rng.randrange(len(content) + 1)
    piece = rng.choice((b"\x00", b"\n", b"\x1b[31m", b"\xff\xfe", b"\x1a", b" " * 300, rng.randbytes(40)))
    return content[:at] + piece + content[at:]


def _again(content: bytes, rng: random.Random) -> bytes:
    at, to = sorted(rng.randrange(len(content) + 1) for _ in range(2))
    return content[:to] + content[at:to] + content[to:]


def _coded(content: bytes, rng: random.Random) -> bytes:
    """Another encoding, other line ends, other letters."""
    text = content.decode("latin-1")
    ways: tuple[Callable[[], bytes], ...] = (
        lambda: text.encode("utf-16"),
        lambda: text.encode("utf-32"),
        lambda: b"\xef\xbb\xbf" + content,
        lambda: content.replace(b"\n", b"\r\n"),
        lambda: content.replace(b"\n", b"\r"),
        lambda: content.replace(b"\n", b"\n\n"),
        content.upper,
        content.lower,
        lambda: content.replace(b"ENGINE", "ENGÏNE\u202e".encode()),
        lambda: content.replace(b"ENGINE", b"ENG\xefNE"),
        lambda: content[::-1],
    )
    return rng.choice(ways)()


def _other(content: bytes, rng: random.Random) -> bytes:
    """Something else altogether, or that beside it."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("bay.dxf", content)
        archive.writestr("bay.stl", content)
    binary = b"AutoCAD Binary DXF\r\n\x1a\x00"
    kinds = (b"", b"\n", b"\x00" * 300, packed.getvalue(), rng.randbytes(400), b"%PDF-1.7\n", b"GIF89a\x01\x00\x01\x00",
             binary, binary + rng.randbytes(200), b"solid\n", b"solid x\nendsolid x\n", b"0\nEOF\n", b"ISO-10303-21;\n",
             b"  0\nSECTION\n  2\nENTITIES\n  0\nENDSEC\n  0\nEOF\n", b"<?xml version='1.0'?><a/>",
             b"\x00" * 80 + struct.pack("<I", 2**32 - 1))  # fmt: skip
    other = rng.choice(kinds)
    return rng.choice((other, other + content, content + other))


# --- lines and numbers ------------------------------------------------------------------------------------------------


def _lines(content: bytes, rng: random.Random) -> bytes:
    lines = content.split(b"\n")
    at, other = rng.randrange(len(lines)), rng.randrange(len(lines))
    match rng.choice(("lose", "again", "swap", "number", "text", "many", "shuffle")):
        case "lose":
            del lines[at : at + rng.choice((1, 1, 2, 4, 7))]
        case "again":
            lines[at:at] = lines[other : other + rng.choice((1, 2, 7, 20))]
        case "swap":
            lines[at], lines[other] = lines[other], lines[at]
        case "number":
            lines[at] = rng.choice(NUMBERS)
        case "text":
            lines[at] = rng.choice(TEXTS)
        case "many":
            lines[at : at + 2] = lines[at : at + 2] * rng.choice((10, 1000))
        case _:
            some = lines[at : at + 30]
            rng.shuffle(some)
            lines[at : at + 30] = some
    return b"\n".join(lines)


def _number(content: bytes, rng: random.Random) -> bytes:
    """One number of the text is another one, or so many times as large."""
    found = list(NUMBER.finditer(content))
    if not found:
        return content
    hit, new = rng.choice(found), rng.choice(NUMBERS)
    if rng.random() < 0.5:
        new = b"%.9g" % (float(hit[0]) * rng.choice(FACTORS))
    return content[: hit.start()] + new + content[hit.end() :]


def _everywhere(content: bytes, rng: random.Random) -> bytes:
    """One number is replaced wherever it stands."""
    found = sorted(set(NUMBER.findall(content)))
    return content.replace(rng.choice(found), rng.choice(NUMBERS)) if found else content


# --- DXF --------------------------------------------------------------------------------------------------------------


def _tag(content: bytes, rng: random.Random) -> bytes:
    """A pair of a DXF file: its code or its value."""
    lines = content.split(b"\n")
    at = 2 * rng.randrange(max(len(lines) // 2, 1))
    pair = [rng.choice(CODES).encode(), rng.choice((*NUMBERS, *TEXTS, *WORDS))]
    match rng.choice(("both", "put in", "value", "value")):
        case "both":
            lines[at : at + 2] = pair
        case "put in":
            lines[at:at] = pair
        case _:
            lines[at + 1 : at + 2] = pair[1:]
    return b"\n".join(lines)


def _insert(name: str, *more: object) -> bytes:
    return "\n".join(str(v) for v in ("0", "INSERT", 8, "ENGINE", 2, name, 10, 0, 20, 0, *more, "")).encode()


def _block(name: str) -> bytes:
    return f"0\nENDBLK\n0\nBLOCK\n8\n0\n2\n{name}\n70\n0\n10\n0\n20\n0\n".encode()


def _blocks(content: bytes, rng: random.Random) -> bytes:
    """Blocks that hold themselves, one another, or ten of the next ten times over; inserts in rows without end."""
    head, end, tail = content.partition(b"0\nENDBLK")
    if not end:
        return content
    ways: tuple[Callable[[], bytes], ...] = (
        lambda: _insert("BOX"),
        lambda: _insert("B") + _block("B") + _insert("BOX"),
        lambda: b"".join(10 * _insert(f"B{i}") + _block(f"B{i}") for i in range(rng.choice((3, 12)))),
        lambda: b"".join(_insert(f"B{i}") + _block(f"B{i}") for i in range(2000)),
        lambda: _insert("B", 70, 30000, 71, 30000, 44, 1, 45, 1) + _block("B") + b"0\nPOINT\n8\n0\n10\n0\n20\n0\n",
        lambda: _insert("BOX", 70, 3, 71, 2, 44, 90, 45, 70) + _block("B"),
        lambda: _insert("NOBODY"),
        lambda: (
            _insert("B", 41, rng.choice(NUMBERS).decode()) + _block("B") + b"0\nCIRCLE\n8\n0\n10\n5\n20\n5\n40\n3\n"
        ),
    )
    return head + rng.choice(ways)() + end + tail


def _curve(content: bytes, rng: random.Random) -> bytes:
    """One more thing to draw, of any numbers."""
    name = rng.choice(sorted(CURVES))
    lines = [b"0", name.encode(), b"8", b"ENGINE", *([b"2", b"BOX"] if name == "INSERT" else [])]
    for code in CURVES[name]:
        lines += [str(code).encode(), rng.choice((*NUMBERS[:14], b"3", b"500", b"1e6", b"1e9", b"1e12"))]
    at = max(content.rfind(b"0\nENDSEC"), 0)
    return content[:at] + b"\n".join([*lines, b""]) + content[at:]


# --- STL and STEP -----------------------------------------------------------------------------------------------------


def _facets(content: bytes, rng: random.Random) -> bytes:
    """A binary STL's count or one of its numbers; of a text, one facet turned, lost, flat or put in again."""
    if content[:5] != b"solid" and len(content) > 134:
        out = bytearray(content)
        if rng.random() < 0.4:
            struct.pack_into("<I", out, 80, rng.choice((0, 1, 79, 81, 2**31, 2**32 - 1)))
        else:
            at = 84 + 50 * rng.randrange(max((len(out) - 84) // 50, 1)) + 4 * rng.randrange(12)
            number = rng.choice((float("nan"), float("inf"), -float("inf"), 3e38, 1e-40, -0.0, 1e9, 1e20))
            struct.pack_into("<f", out, min(at, len(out) - 4), number)
        return bytes(out)
    facets = content.split(b"endfacet")
    at = rng.randrange(len(facets))
    match rng.choice(("turn", "lose", "again", "flat")):
        case "turn":
            lines = facets[at].split(b"\n")
            facets[at] = b"\n".join(lines[:-3] + lines[-3:][::-1])
        case "lose":
            del facets[at]
        case "again":
            facets[at:at] = [facets[at]] * rng.choice((1, 2, 500))
        case _:
            facets[at] = NUMBER.sub(b"0", facets[at])
    return b"endfacet".join(facets)


def _references(content: bytes, rng: random.Random) -> bytes:
    """One instance of a STEP file refers to another one, to itself or to none."""
    hits = list(re.finditer(rb"#\d+", content))
    if not hits:
        return content
    hit = rng.choice(hits)
    names = sorted({h[0] for h in hits})
    new = rng.choice((*names, b"#0", b"#99999999999999999999", b"$", b"*", b"()", b"'\x1b[31m'", b"#-1"))
    return content[: hit.start()] + new + content[hit.end() :]


def _kind(content: bytes, rng: random.Random) -> bytes:
    """An instance of a STEP file is of another kind."""
    names = sorted(set(re.findall(rb"= ?([A-Z_0-9]+)\(", content)))
    if len(names) < 2:
        return content
    old, new = rng.sample(names, 2)
    return content.replace(old + b"(", new + b"(", rng.choice((1, 1, 100)))


Act = Callable[[bytes, random.Random], bytes]
BYTES: tuple[Act, ...] = (_flip, _cut, _lose, _put_in, _again, _coded, _other)
ACTS: dict[str, tuple[Act, ...]] = {
    "dxf": (_lines, _number, _everywhere, _tag, _tag, _blocks, _curve, _curve),
    "stl": (_lines, _number, _everywhere, _facets, _facets),
    "step": (_lines, _number, _number, _everywhere, _references, _references, _kind),
}
