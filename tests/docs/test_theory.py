"""Every part that computes has its page, and docs/theory.md leads to every page."""

from __future__ import annotations

import re

import pytest

from linkage import clearance, tracks
from linkage.glance import gaps as glance_gaps
from linkage.glance import nearest
from linkage.glance.pairs import ALONG
from linkage.plane import envelope
from linkage.states import engine, parts
from linkage.stroke import motion
from linkage.tolerance.spread import BATCH
from tests.studies import ROOT
from tests.test_import_direction import FLOORS

TEXT = (ROOT / "docs" / "theory.md").read_text(encoding="utf-8")
COMPUTES_NOTHING = {
    *{"units", "errors", "files", "folders", "process", "twin", "beside", "crew", "cluster"},
    *{"document", "aside", "results", "checks", "solution", "drawing", "report", "cli", "__main__"},
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


NUMBERS = [
    ("theory-glance.md", "between 61 poses", glance_gaps.POSES, 61),
    ("theory-glance.md", "at most 0.5 mm", glance_gaps.WITHIN, 0.5),
    ("theory-glance.md", "at most twelve poses", glance_gaps.DEPTHS, 12),
    ("theory-glance.md", "four times over", nearest.ROUNDS, 4),
    ("theory-glance.md", "cut into three", nearest.PIECES, 3),
    ("theory-glance.md", "Twelve fixed directions", len(ALONG), 12),
    ("theory-sweep.md", "at most\n0.05 mm", clearance.BRACKET, 0.05),
    ("theory-sweep.md", "512 equal cells", tracks.PROOF_CELLS, 512),
    ("theory-sweep.md", "cut into 16 pieces", tracks.PROOF_PIECES, 16),
    ("theory-sweep.md", "below 0.25 rad", tracks.WIDEST_LOOSE, 0.25),
    ("theory-sweep.md", "1e-5 mm is added", tracks.PLACE_ROUNDING, 1e-5),
    ("theory-sweep.md", "33 compressions", parts.STRUT_STEPS + 1, 33),
    ("theory-sweep.md", "outer by 0.02 mm", engine.COVER, 0.02),
    ("theory-sweep.md", "at most 0.28 of the tolerance", envelope.SLACK_SHARE, 0.28),
    ("theory.md", "grid of 2001 samples", motion.SCAN, 2001),
    ("theory-tolerance.md", "4096 gears a batch", BATCH, 4096),
]


@pytest.mark.parametrize(("page", "words", "value", "said"), NUMBERS)
def test_numbers_on_the_pages_are_those_of_the_code(page: str, words: str, value: float, said: float) -> None:
    text = " ".join((ROOT / "docs" / page).read_text(encoding="utf-8").split())
    assert " ".join(words.split()) in text
    assert value == said
