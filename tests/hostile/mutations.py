"""Study documents with faults put in: keys lost, doubled and misspelt, values of the wrong kind, size and sign."""

from __future__ import annotations

import math
from copy import deepcopy
from functools import cache
from typing import Any

from hypothesis import strategies as st

from linkage.document.ways import put
from tests import topologies
from tests.studies import MERROW, OSTREL, table

Path = tuple[str | int, ...]

NUMBERS: list[Any] = [
    0,
    -1,
    1,
    1e-300,
    1e-9,
    0.5,
    90,
    180,
    1e6,
    1e9,
    1e150,
    1e308,
    -1e308,
    2**63,
    10**400,
    math.nan,
    math.inf,
    -math.inf,
]
TEXTS: list[Any] = [
    "",
    " ",
    "nan mm",
    "1e400 mm",
    "-3 mm",
    "5 furlongs",
    "=1+1",
    "@SUM(A1)",
    "../../etc/passwd",
    "/dev/zero",
    "a/b\\c",
    "<script>alert(1)</script>",
    "#set page(width: 1pt)",
    "$ x $",
    "\x00",
    "\x1b[31m",
    "\u202egnp",
    "\ud7ff\ufffe",
    "x" * 5000,
    "__import__('os')",
    "trunnion",
    "knee",
    "lug",
    "leg",
    "airframe",
]
OTHERS: list[Any] = [
    True,
    False,
    None,
    [],
    {},
    [[]],
    [1],
    [1, 2],
    [1, 2, 3],
    [[0, 0], [1, 1]],
    {"a": 1},
    {"along": 1e9},
]


RICH: dict[str, Any] = {
    "bay.item": [
        {"name": "cowling", "butt_lines": [-200, 200], "required": 8, "stay_above": [[900, 300], [1700, 300]]},
        {"name": "box", "butt_lines": [-30, 30], "required": {"build": 3, "heat": 2}, "hot": True,
         "outline": [[1250, 980], [1320, 980], [1320, 1040], [1250, 1040]]},
        {"name": "pipe", "butt_lines": [[20, 60]], "required": 4, "centre": [1420, 940], "radius": 12},
    ],
    "gear.self_gap": 1,
    "gear.neighbours": [["tyre", "leg"], ["leg", "brace"]],
    "state": [{"name": "tyre grown", "tyre": "grown"}],
}  # fmt: skip
"""What half of the small documents have in the bay."""


def bases() -> list[dict[str, Any]]:
    """Small documents of every topology, as plain tables; every second one with a bay and a state of its own, every
    third with tables that the demonstration study has."""
    starter, whole = table(topologies.STARTER), table(MERROW)
    out = []
    for i, variant in enumerate(topologies.VARIANTS.values()):
        plain = deepcopy(starter)
        for field, value in deepcopy({**topologies.BARE, **(RICH if i % 2 else {}), **variant}).items():
            put(plain, field, value)
        plain["tolerances"] = deepcopy(whole["tolerances"])
        if i % 3 == 0:
            plain |= deepcopy({name: whole[name] for name in ("air", "speeds", "tyre", "strut")})
            del plain["air"]["thrust"]  # blows through a propeller that the starter has not
        out.append(plain)
    return out


def whole_studies() -> list[dict[str, Any]]:
    return [table(MERROW), table(OSTREL)]


def places(document: Any) -> list[Path]:
    """Every place of a document, tables and lists too."""
    found: list[Path] = []

    def look(here: Any, way: Path) -> None:
        kind = type(here)
        for key, inner in here.items() if kind is dict else enumerate(here) if kind is list else ():
            found.append(step := (*way, key))
            if type(inner) in (dict, list):
                look(inner, step)

    look(document, ())
    return found


@cache
def _one_of(count: int) -> st.SearchStrategy[int]:
    return st.sampled_from(range(count))


FACTOR = st.sampled_from([-1.0, 0.0, 0.5, 0.9, 0.99, 1.01, 1.1, 2.0, 10.0, 1e3, 1e6, 1e-3])
NUMBER, TEXT, OTHER = st.sampled_from(NUMBERS), st.sampled_from(TEXTS), st.sampled_from(OTHERS)
FAULT = st.sampled_from(["scale", "scale", "number", "text", "other", "lose", "double", "misspell", "swap"])
FAULTS = st.integers(1, 4)


def _scaled(draw: st.DrawFn, value: Any) -> Any:
    factor = draw(FACTOR)
    plain = isinstance(value, float) or (type(value) is int and abs(value) < 10**15)
    return value * factor if plain else value


@st.composite
def mutated(draw: st.DrawFn, documents: list[dict[str, Any]]) -> dict[str, Any]:
    """One of the documents with one to four faults."""
    plain: dict[str, Any] = deepcopy(documents[draw(_one_of(len(documents)))])
    for _ in range(draw(FAULTS)):
        if every := places(plain):
            _mutate(draw, plain, every[draw(_one_of(len(every)))])
    return plain


def _mutate(draw: st.DrawFn, plain: Any, way: Path) -> None:
    here = plain
    for step in way[:-1]:
        here = here[step]
    last, value = way[-1], here[way[-1]]
    match draw(FAULT):
        case "scale":
            here[last] = _scaled(draw, value)
        case "number":
            here[last] = draw(NUMBER)
        case "text":
            here[last] = draw(TEXT)
        case "other":
            here[last] = deepcopy(draw(OTHER))
        case "lose":
            del here[last]
        case "double" if isinstance(here, list):
            here.insert(int(last), deepcopy(value))
        case "misspell" if isinstance(here, dict):
            here[f"{last}x"] = here.pop(last)
        case "swap" if isinstance(here, dict) and len(here) > 1:
            other = sorted(here)[draw(_one_of(len(here)))]
            here[last], here[other] = here[other], here[last]
        case _:
            pass
