"""The examples of docs/study.md on the lock and on braces of other kinds: each is read, solved and judged."""

from __future__ import annotations

import re
import tomllib
from typing import Any

import pytest

from linkage.document.reader import Source, parse
from linkage.solution import solve
from tests.studies import ROOT, table
from tests.topologies import STARTER

TEXT = (ROOT / "docs" / "study.md").read_text(encoding="utf-8").partition("## Lock, up-lock")[2]
BLOCKS = [tomllib.loads(text)["gear"] for text in re.findall(r"```toml\n(.*?)```", TEXT, re.DOTALL)]


def test_all_five_are_there() -> None:
    assert [next(iter(b)) for b in BLOCKS] == ["lock", "lock_link", "brace", "brace", "door"]


@pytest.mark.parametrize("block", BLOCKS, ids=lambda b: f"{next(iter(b))} {b.get('brace', {}).get('kind', '')}")
def test_an_example_is_read_and_solved(block: dict[str, Any]) -> None:
    plain = table(STARTER)
    plain["bay"], gear = {}, plain["gear"]
    gear["neighbours"] = []
    gear["part"] = [p for p in gear["part"] if p["name"] in ("tyre", "leg")]
    gear["spring"] = [
        {
            "name": "gas spring",
            "root": [815, 556],
            "on": "upper link",
            "pin": {"radius": 60, "angle": 120},
            "force_extended": 450,
            "force_compressed": 560,
        }
    ]
    if "brace" in block:
        gear["spring"] = []
    for name, value in block.items():
        gear[name] = value if name in ("brace", "actuator", "door") else {**gear.get(name, {}), **value}
    solution = solve(Source(STARTER, "0" * 64, "", parse(plain)))
    assert solution.results.lock.held
    codes = {f.code for f in solution.findings}
    assert "lock-hold" in codes
    assert ("door-rod" in codes) == ("door" in block)
