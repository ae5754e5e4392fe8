"""The examples of docs/study.md are studies, not prose: each block on loading and springs is read and solved."""

from __future__ import annotations

import re
import tomllib
from typing import Any

import pytest

from linkage.document.reader import parse
from linkage.gear import build
from linkage.loading.entry import load_model
from linkage.stance import grounds, standing
from tests.studies import ROOT, table

BLOCKS = [
    tomllib.loads(text)
    for text in re.findall(r"```toml\n(.*?)```", (ROOT / "docs" / "study.md").read_text(encoding="utf-8"), re.DOTALL)
    if re.search(r"^\[(springs|loading\.weighing)\]", text, re.MULTILINE)
]


def test_both_examples_are_there() -> None:
    assert [next(iter(b)) for b in BLOCKS] == ["loading", "springs"]


@pytest.mark.parametrize("block", BLOCKS, ids=lambda b: next(iter(b)))
def test_an_example_is_read_and_solved(block: dict[str, Any]) -> None:
    plain = table()
    if "loading" in block:
        del plain["loading"]["empty"]
        plain["loading"] |= block["loading"]
    else:
        plain |= block
    study = parse(plain)
    gear = build(study)
    found = standing(study, gear, grounds(study, gear), load_model(study))
    assert (found.settled is not None) == ("springs" in block)
    if "loading" in block:
        assert load_model(study).empty_kg == pytest.approx(84.5 - 2.5 + 2 * 207 - 16, rel=1e-15)
