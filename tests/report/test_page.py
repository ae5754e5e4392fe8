"""The review page in a real headless browser: it moves, it sorts, it complains of nothing, names stay text."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from linkage.document.reader import Source
from linkage.report.page import page
from linkage.solution import solve
from tests.studies import MERROW, OSTREL, changed
from tests.topologies import forward

NASTY = "=cmd <script>alert(1)</script> $x_1$ & \u05d0\u05d1 " + "very long " * 12


@cache
def html() -> str:
    study = changed({"title": NASTY, "bay.item[3].name": "<b>crossover</b></script>"})
    return page(solve(Source(MERROW, "0" * 64, "", study)), "<svg></svg>")


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    program, driver = shutil.which("chromium"), shutil.which("chromedriver")
    if program is None or driver is None:
        pytest.skip("needs chromium and chromedriver (on Debian: chromium, chromium-driver)")
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    options = webdriver.ChromeOptions()
    options.binary_location = program
    home = tmp_path_factory.mktemp("browser")
    for flag in ("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"):
        options.add_argument(flag)
    for flag in ("background-networking", "component-update", "sync"):
        options.add_argument(f"--disable-{flag}")
    options.add_argument(f"--user-data-dir={home}")
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    running = webdriver.Chrome(options=options, service=Service(driver))
    path: Path = home / "review.html"
    path.write_text(html(), encoding="utf-8")
    running.get(path.as_uri())
    yield running
    running.quit()


def readout(browser: Any) -> list[str]:
    return [c.text for c in browser.find_elements("css selector", "#readout td.n")]


def test_scrubbing_moves_the_gear_and_its_numbers(browser: Any) -> None:
    before, drawn = readout(browser), browser.find_element("css selector", "#stage g path").get_attribute("d")
    last = browser.execute_script(
        "const s = document.getElementById('pose'); s.value = s.max;"
        "s.dispatchEvent(new Event('input')); return Number(s.max);"
    )
    after = readout(browser)
    assert last >= 60
    assert before[0] == "0.0 deg"
    assert after[0] == "92.0 deg"
    assert after[2] == "436.4 mm"
    assert browser.find_element("css selector", "#stage g path").get_attribute("d") != drawn


def test_tables_sort_by_number_both_ways(browser: Any) -> None:
    table = "#tables table.sorts"
    head = browser.find_elements("css selector", f"{table} th")[2]
    for reverse in (False, True):
        browser.execute_script("arguments[0].click()", head)
        cells = browser.find_elements("css selector", f"{table}:first-of-type tbody tr td:nth-child(3)")
        values = [float(c.get_attribute("data-v")) for c in cells if c.get_attribute("data-v")][:13]
        assert len(values) > 5
        assert values == sorted(values, reverse=reverse)


def test_names_stay_text_and_the_console_is_silent(browser: Any) -> None:
    assert "<script>alert(1)</script>" in browser.find_element("tag name", "h1").text
    assert "<b>crossover</b></script>" in browser.find_element("tag name", "body").text
    assert [entry for entry in browser.get_log("browser") if entry["level"] in ("SEVERE", "WARNING")] == []


def test_page_needs_no_network() -> None:
    text = html()
    assert not re.search(r"""(?:src|href)=["'](?!#)""", text)
    data = re.search(r'<script id="poses" type="application/json">(.*?)</script>', text)
    assert data is not None
    assert len(json.loads(data[1])["rows"]) > 60


def test_worst_finding_comes_first() -> None:
    text = html()
    first = text.index("<tbody>")
    assert text.index("least nose share") - first < 300


def test_study_without_bay_items_and_optional_tables() -> None:
    study = forward({"gear.mass": []})
    text = page(solve(Source(OSTREL, "0" * 64, "", study)), "<svg></svg>")
    assert "Clearance to the bay" in text
