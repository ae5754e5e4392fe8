"""What changed between two studies."""

from __future__ import annotations

from pathlib import Path

from linkage.document.reader import Source
from linkage.report.compare import compare, lines
from linkage.report.compare_page import write_comparison
from linkage.solution import Solution, solve
from tests.studies import MERROW, changed, solution


def moved() -> Solution:
    """Firewall 8 mm nearer, more baggage ahead of it, and a name with markup."""
    return solve(
        Source(
            MERROW,
            "",
            "",
            changed(
                {
                    "title": "second <i>revision</i>",
                    "bay.item[9].outline": [[1642, 428], [1642, 1330], [1662, 1330], [1662, 428]],
                    "limits.nose_share.min": 0.14,
                }
            ),
        )
    )


def test_same_study_has_no_difference() -> None:
    assert list(lines(compare(solution(MERROW), solution(MERROW))))[-1] == "nothing changed"


def test_gap_that_fell_short_and_share_that_got_good() -> None:
    difference = compare(solution(MERROW), moved())
    assert {(f.code, f.subject) for f in difference.newly_short} == {
        ("gap", "tyre (grown) to firewall"),
        ("gap-state", "tyre (grown) to firewall"),
    }
    assert [f.subject for f in difference.newly_good] == ["least nose share"]
    assert difference.gaps[0].name.endswith("to firewall")
    assert all("firewall" in g.name for g in difference.gaps)
    change = next(g for g in difference.gaps if g.name == "tyre (grown) to firewall").change
    assert change is not None
    assert abs(change + 8) < 0.01
    assert any("least share came into the band" in line for line in lines(difference))


def test_page_keeps_names_as_text(tmp_path: Path) -> None:
    a, b = solution(MERROW), moved()
    write_comparison(a, b, compare(a, b), tmp_path / "out")
    text = (tmp_path / "out" / "comparison.html").read_text()
    assert "<i>revision</i>" not in text
    assert "&lt;i&gt;revision" in text
    assert (tmp_path / "out" / "overlay.svg").stat().st_size > 10_000
