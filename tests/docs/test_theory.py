"""Every part that computes has its page, and docs/theory.md leads to every page."""

from __future__ import annotations

import re

from tests.studies import ROOT
from tests.test_import_direction import FLOORS

TEXT = (ROOT / "docs" / "theory.md").read_text(encoding="utf-8")
COMPUTES_NOTHING = {
    *{"units", "errors", "files", "crew", "cluster", "document", "results", "checks", "solution"},
    *{"drawing", "report", "cli", "__main__"},
}
"""Readers, judges, drawers and writers: their rules are in docs/architecture.md, study.md and results.md."""


def test_every_part_has_a_page() -> None:
    parts = {name for floor in FLOORS for name in floor} - COMPUTES_NOTHING
    listed = {name for row in re.findall(r"^\| (`.*?) \|", TEXT, re.MULTILINE) for name in re.findall(r"`(\w+)`", row)}
    assert listed == parts


def test_every_page_is_listed() -> None:
    pages = {page.name for page in (ROOT / "docs").glob("theory-*.md")}
    assert pages and pages <= set(re.findall(r"\(([a-z-]+\.md)\)", TEXT))


def test_architecture_shows_the_floors() -> None:
    """The picture in docs/architecture.md is the order that the imports are held to."""
    text = (ROOT / "docs" / "architecture.md").read_text(encoding="utf-8")
    drawn = re.search(r"## Floors\n.*?```\n(.*?)```", text, re.DOTALL)
    assert drawn
    shown = [set(line.split(" | ")) for line in drawn[1].splitlines()]
    assert shown == [set(floor) for floor in reversed(FLOORS) if floor != ["__main__"]]
