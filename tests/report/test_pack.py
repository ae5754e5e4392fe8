"""The pack as a reader opens it: true page sizes, what stands on them, same bytes twice, hostile names."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from linkage.drawing.sheet import A3, ANSI_B
from linkage.report.moves import moves
from linkage.report.pack import pack
from linkage.report.pack.blocks import listing, said, table
from linkage.report.pack.content import CAUTION, content
from linkage.report.page import page as web_page
from linkage.report.sheets import Sheet, sheets
from linkage.sensitivity import Line
from linkage.solution import Solution
from tests.studies import MERROW, solution

SHEET = "<svg xmlns='http://www.w3.org/2000/svg' width='420mm' height='297mm' viewBox='0 0 420 297'/>"
NASTY = '#panic("x") <script> $x_1$ *b* _i_ @ref \\u{41} [a](b) \u05d0\u05d1\u05d2 \u202eevil ' + "W" * 200
needs_text = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="needs pdftotext (Debian: poppler-utils)")


@cache
def worked() -> tuple[tuple[Sheet, ...], tuple[Line, ...]]:
    """Sheets of the demo, and what moves its results."""
    return sheets(solution(MERROW).results), moves(solution(MERROW))


@cache
def demo() -> bytes:
    return pack(solution(MERROW), SHEET, (), *worked())


def bare() -> Solution:
    """No bay, nothing short, no optional part; names that would be markup, run backwards or never end."""
    from linkage.document.reader import Source

    given = solution(MERROW)
    r = given.results
    airframe = r.study.airframe.model_copy(update={"name": NASTY})
    study = r.study.model_copy(update={"title": NASTY, "question": NASTY, "airframe": airframe})
    clear = replace(r.clearance, bay=(), own=(), tightest=())
    states = replace(r.states, gaps=(), worst=(), strut=None)
    loads = replace(r.loads, columns=(), left_out=())
    made = replace(r, study=study, clearance=clear, states=states, obstacles=(), doors=(), extension=None, loads=loads)
    good = tuple(replace(f, subject=NASTY) for f in given.findings if f.passed)[:3]
    text = f"title = '''{NASTY}'''\n\n" + "x" * 900
    return Solution(Source(Path("bare.toml"), "0" * 64, text, study), made, good)


def text_of(pdf: bytes, tmp_path: Path) -> list[str]:
    """Text page by page."""
    path = tmp_path / "pack.pdf"
    path.write_bytes(pdf)
    done = subprocess.run(["pdftotext", "-layout", str(path), "-"], capture_output=True, check=True)
    return done.stdout.decode().split("\f")[:-1]


def sizes(pdf: bytes, tmp_path: Path) -> list[tuple[float, float]]:
    """Page sizes in mm."""
    path = tmp_path / "pack.pdf"
    path.write_bytes(pdf)
    done = subprocess.run(["pdfinfo", "-l", "999", str(path)], capture_output=True, check=True)
    found = re.findall(r"Page +\d+ size: +([\d.]+) x ([\d.]+) pts", done.stdout.decode())
    return [(float(w) * 25.4 / 72, float(h) * 25.4 / 72) for w, h in found]


def test_two_runs_give_the_same_bytes() -> None:
    assert demo().startswith(b"%PDF-")
    assert pack(solution(MERROW), SHEET, ()) == demo()


@needs_text
def test_sheets_have_their_true_size_and_the_rest_is_a4(tmp_path: Path) -> None:
    found = sizes(demo(), tmp_path)
    assert len(found) >= 15
    for size in (A3, ANSI_B):
        assert [p for p in found if p == pytest.approx((size.width, size.height), abs=0.02)], size.name
    assert found[0] == pytest.approx((297, 210), abs=0.02)


@needs_text
def test_every_page_is_numbered_and_cautioned(tmp_path: Path) -> None:
    pages = text_of(demo(), tmp_path)
    for i, page in enumerate(pages, 1):
        assert f"page {i} of {len(pages)}" in page
        # The sheets bring a caution of their own in their border, drawn.
        assert CAUTION in page or len(page) < 600


@needs_text
def test_says_what_a_review_asks_for(tmp_path: Path) -> None:
    pages = text_of(demo(), tmp_path)
    whole, given = " ".join(" ".join(pages).split()), solution(MERROW)
    assert given.source.sha256[:32] in pages[0]
    assert "findings fall short" in pages[0]
    order = ["Job and assumptions", "Findings", "Stations", "Load share", "Ground loads and interface"]
    order += ["Stroke curves", "Lock", "Clearance", "Keep-out", "Worked sheets", "Validation statement"]
    places = [next(i for i, p in enumerate(pages[1:]) if re.search(rf"^ *\d+ {t}$", p, re.M)) for t in order]
    assert places == sorted(places)
    for words in ("ULTIMATE", "published checks", "Guaranteed lower bounds", "agrees", "FS down, in"):
        assert words in whole
    assert "DISAGREES" not in whole and "FAILS" not in whole
    short = next(f for f in given.findings if not f.passed)
    assert whole.index("SHORT") < whole.index("good " + given.findings[-1].subject.split(":")[0])
    assert short.subject in whole


@needs_text
def test_hostile_names_and_empty_sections(tmp_path: Path) -> None:
    pages = text_of(pack(bare(), SHEET, ()), tmp_path)
    whole = " ".join(" ".join(pages).replace("\u200b", "").split())
    assert '#panic("x") <script> $x_1$ *b* _i_ @ref' in whole
    assert "All 3 findings are good" in whole
    assert "no bay items" in whole
    assert "\u202e" not in whole
    assert "x" * 40 in whole


def test_data_is_plain_json_and_user_text_is_never_a_formula() -> None:
    study = bare()
    data, _ = content(study, SHEET, (), *worked())
    json.dumps(data["title"])
    formulas = [b["formula"] for b in data["blocks"] if b["kind"] == "sheet"]
    assert formulas and not any("panic" in f for f in formulas)


@pytest.mark.parametrize("count", [0, 2])
def test_tables(count: int) -> None:
    rows: list[Any] = [("a", -1.5, None)] * count
    made = table(("name", "value, mm", "other"), rows)
    assert made["numeric"] == [False, count > 0, False]
    assert made["rows"] == [["a", "\u22121.50", "-"]] * count


def test_a_finding_that_is_just_short_is_not_printed_as_its_limit() -> None:
    """In the pack and on the page neither; elsewhere see tests/checks/test_finding.py."""
    made = solution(MERROW)
    short = replace(made.findings[0], actual=-14.99996, margin=-4e-5)
    data, _ = content(replace(made, findings=(short,)), "<svg></svg>", (), (), (), close=())
    (block,) = [b for b in data["blocks"] if b["kind"] == "table" and b["columns"][:1] == ["verdict"]]
    assert block["rows"][0][2] == "\u221214.99996" and block["numeric"][2]
    assert ">-14.99996<" in web_page(replace(made, findings=(short,)), "<svg></svg>")


def test_long_words_break_and_listings_keep_their_spaces() -> None:
    assert said("a" * 30).count("\u200b") == 29
    assert said("short words stay") == "short words stay"
    assert listing("  a = 1\nb")["lines"] == ["\u00a0\u00a0a = 1", "b"]
