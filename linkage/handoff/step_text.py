"""The text side of a STEP file (ISO 10303-21): names, colours and header, put into what the CAD library wrote."""

from __future__ import annotations

import re
import textwrap
import unicodedata
from collections.abc import Mapping

from linkage.handoff.model import HandoffError, Provenance, Rgb

LONGEST = 240
"""Characters of one string; the standard's own limit for header strings is 256."""
BODY_KINDS = ("MANIFOLD_SOLID_BREP", "BREP_WITH_VOIDS")

Statements = dict[int, tuple[str, str]]


def part21(text: str) -> str:
    """Text as it goes inside quotes: ASCII, quotes and backslashes doubled, the rest as ``\\X2\\`` or ``\\X4\\``."""
    out = []
    for char in text:
        if char in "'\\":
            out.append(char * 2)
        elif " " <= char <= "~":
            out.append(char)
        elif ord(char) < 0x10000:
            out.append(f"\\X2\\{ord(char):04X}\\X0\\")
        else:
            out.append(f"\\X4\\{ord(char):08X}\\X0\\")
    return "".join(out)


def one_line(text: str) -> str:
    """What of a text goes into the file: control characters as spaces, cut where it is too long."""
    return "".join(" " if unicodedata.category(c)[0] in "CZ" else c for c in text[:LONGEST])


def with_colours(text: str, colours: Mapping[str, Rgb]) -> str:
    """Add a surface colour to every body of the products named in ``colours``, in that order."""
    statements = parsed(text)
    number = max(statements) + 1
    added: list[str] = []
    for product, rgb in colours.items():
        bodies, context = _bodies(statements, product)
        block = _style(number, bodies, context, rgb)
        added += block
        number += len(block)
    end = text.rindex("ENDSEC;")
    return text[:end] + "\n".join(added) + "\n" + text[end:]


def with_shared(text: str) -> str:
    """Write equal points, directions and vectors once: a quarter of the file. No name may be in it yet."""
    head, body = text.split("DATA;\n", 1)
    for kinds in ("CARTESIAN_POINT|DIRECTION", "VECTOR"):
        first: dict[str, str] = {}
        same: dict[str, str] = {}
        for number, inside in re.findall(rf"#(\d+)\s*=\s*((?:{kinds})\s*\([^;]*\));\n", body):
            if first.setdefault(inside, number) != number:
                same[number] = first[inside]

        body = _renumbered(body, same)
    return f"{head}DATA;\n{body}".replace(" = ", "=").replace(",\n    #", ",\n#")


def _renumbered(body: str, same: Mapping[str, str]) -> str:
    """Drop the statements numbered as in ``same`` and point to those they are equal to."""

    def kept(found: re.Match[str]) -> str:
        return "" if found.group(1) in same else found.group(0)

    def pointed(found: re.Match[str]) -> str:
        return "#" + same.get(found.group(1), found.group(1))

    return re.sub(r"#(\d+)", pointed, re.sub(r"#(\d+)\s*=[^;]*;\n", kept, body))


def with_header(text: str, provenance: Provenance) -> str:
    """Put in a header that says what this is; without the time of writing, so that equal input gives equal bytes."""
    schema = re.search(r"FILE_SCHEMA\s*\(\(.*?\)\);", text, re.S)
    if schema is None:
        raise HandoffError("the CAD library wrote a STEP file without a schema")
    said = [
        f"study {provenance.study_name}, SHA-256 {provenance.study_sha256}{provenance.changed}",
        provenance.frame,
        "states: " + "; ".join(provenance.states),
        f"allowance {provenance.allowance_mm} mm, tolerance {provenance.tolerance_mm} mm",
        provenance.guarantee,
        *provenance.cautions,
    ]
    strings = [piece for line in said for piece in textwrap.wrap(line, LONGEST)]
    description = ",\n  ".join(f"'{part21(one_line(piece))}'" for piece in strings)
    name, tool = (part21(one_line(t)) for t in (provenance.study_name, f"noseleg {provenance.tool_version}"))
    return (
        "ISO-10303-21;\nHEADER;\n"
        f"FILE_DESCRIPTION((\n  {description}),'2;1');\n"
        f"FILE_NAME('{name}','2000-01-01T00:00:00',(''),(''),'OCCT','{tool}','');\n"
        f"{schema.group(0)}\n{text[text.index('ENDSEC;') :]}"
    )


def parsed(text: str) -> Statements:
    """Number -> (kind, what is inside the brackets) of every simple statement. No name may hold a semicolon yet."""
    found = re.finditer(r"#(\d+)\s*=\s*(\w+)\s*\((.*?)\);", text, re.S)
    return {int(m.group(1)): (m.group(2), m.group(3)) for m in found}


def _bodies(statements: Statements, product: str) -> tuple[list[int], int]:
    """Bodies of the product and the context of their representation."""
    number = next((k for k, (kind, inside) in statements.items() if kind == "PRODUCT" and product in inside), None)
    for kind in ("PRODUCT_DEFINITION_FORMATION", "PRODUCT_DEFINITION", "PRODUCT_DEFINITION_SHAPE"):
        number = next(
            (k for k, (other, inside) in statements.items() if other == kind and number in _ids(inside)), None
        )
    for kind, inside in statements.values():
        if kind == "SHAPE_DEFINITION_REPRESENTATION" and number in _ids(inside):
            items = _ids(statements[_ids(inside)[1]][1])
            bodies = [k for k in items if k in statements and statements[k][0] in BODY_KINDS]
            if bodies:
                return bodies, items[-1]
    raise HandoffError(f"the CAD library wrote no body for {product}")


def _ids(inside: str) -> list[int]:
    return [int(k) for k in re.findall(r"#(\d+)", inside)]


def _style(first: int, bodies: list[int], context: int, rgb: Rgb) -> list[str]:
    red, green, blue = (f"{c / 255:.6f}" for c in rgb)
    chain = [
        f"COLOUR_RGB('',{red},{green},{blue})",
        f"FILL_AREA_STYLE_COLOUR('',#{first})",
        f"FILL_AREA_STYLE('',(#{first + 1}))",
        f"SURFACE_STYLE_FILL_AREA(#{first + 2})",
        f"SURFACE_SIDE_STYLE('',(#{first + 3}))",
        f"SURFACE_STYLE_USAGE(.BOTH.,#{first + 4})",
        f"PRESENTATION_STYLE_ASSIGNMENT((#{first + 5}))",
        *(f"STYLED_ITEM('color',(#{first + 6}),#{body})" for body in bodies),
    ]
    items = ",".join(f"#{first + 7 + k}" for k in range(len(bodies)))
    chain.append(f"MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',({items}),#{context})")
    return [f"#{first + k} = {line};" for k, line in enumerate(chain)]
