"""What changed between two studies."""

from __future__ import annotations

from pathlib import Path

from linkage.document.reader import Source, read
from linkage.report.compare import compare, lines
from linkage.report.compare_page import write_comparison
from linkage.solution import Solution, solve
from tests.studies import MERROW, changed, solution, table
from tests.topologies import STARTER


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


def test_findings_of_one_alone_are_told_and_count() -> None:
    """A bay item more, that the tyre touches: nothing of it was good before."""
    wall: dict[str, object] = {"name": "new wall", "butt_lines": [-500, 500], "required": 25}
    wall["outline"] = [[1640, 430], [1640, 1330], [1662, 1330], [1662, 430]]
    before = solve(read(STARTER))
    after = solve(read(STARTER, {"bay.item": [*table(STARTER)["bay"]["item"], wall]}))
    there, back = compare(before, after), compare(after, before)
    assert [f.subject for f in there.newly_short] == ["tyre to new wall"]
    assert there.new == back.gone == there.newly_short
    assert there.gone == back.new == back.newly_short == ()
    assert any(line.startswith("new        tyre to new wall >=: ") for line in lines(there))
    assert any(line.startswith("gone       tyre to new wall >=: ") for line in lines(back))


def test_lines_say_what_moved_apart_from_one_another() -> None:
    difference = compare(solution(MERROW), moved())
    said = list(lines(difference))
    names = [line.partition(":")[0] for line in said if line.startswith(("worse", "better", "NOW SHORT"))]
    assert len(set(names)) == len(names)
    assert all(": margin " in line for line in said if line.startswith(("worse", "better")))
    short = list(lines(difference, 2))
    assert [line for line in short if not line.startswith("gap ")] == [x for x in said if not x.startswith("gap ")]
    gaps = [line for line in short if line.startswith("gap ")]
    assert gaps[:2] == [line for line in said if line.startswith("gap ")][:2]
    assert gaps[2:] == [f"gap        and {len(difference.gaps) - 2} more pairs, each by less; -o DIR writes them all"]


def test_page_keeps_names_as_text(tmp_path: Path) -> None:
    a, b = solution(MERROW), moved()
    write_comparison(a, b, compare(a, b), tmp_path / "out")
    text = (tmp_path / "out" / "comparison.html").read_text()
    assert "<i>revision</i>" not in text
    assert "&lt;i&gt;revision" in text
    assert (tmp_path / "out" / "overlay.svg").stat().st_size > 10_000
