"""The board in a real browser: a pin dragged on the canvas, keys, saving, and who is let in."""

from __future__ import annotations

import http.client
import re
import shutil
import subprocess
import sys
import time
import urllib.parse
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from linkage.document.reader import read
from linkage.drawing.axes import new_figure
from linkage.drawing.board.board import Board
from linkage.drawing.board.opening import desk_of
from tests.studies import MERROW


@dataclass
class Page:
    browser: Any
    address: str
    path: Path
    server: subprocess.Popen[str]

    def wait(self, until: Callable[[], Any], seconds: float = 40.0) -> None:
        end = time.monotonic() + seconds
        while not until():
            assert time.monotonic() < end, "waited in vain"
            time.sleep(0.05)

    def press(self, *keys: str) -> None:
        from selenium.webdriver.common.action_chains import ActionChains

        chain = ActionChains(self.browser)
        for key in keys:
            chain = chain.send_keys(key)
        chain.perform()

    def picture(self) -> str:
        return str(self.browser.execute_script("return board.canvas.toDataURL()"))


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    pytest.importorskip("tornado", reason="needs tornado (the extra web)")
    program, driver = shutil.which("chromium"), shutil.which("chromedriver")
    if program is None or driver is None:
        pytest.skip("needs chromium and chromedriver (on Debian: chromium, chromium-driver)")
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    home = tmp_path_factory.mktemp("page")
    path = Path(shutil.copy(MERROW, home / "study.toml"))
    command = [sys.executable, "-m", "linkage", "board", str(path), "--web"]
    options = webdriver.ChromeOptions()
    options.binary_location = program
    for flag in ("--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--window-size=1200,900"):
        options.add_argument(flag)
    options.add_argument(f"--user-data-dir={home / 'profile'}")
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    with ExitStack() as ending:
        server = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, cwd=Path.cwd())
        ending.callback(server.communicate, timeout=20)
        ending.callback(server.terminate)
        assert server.stdout is not None
        found = re.search(r"http://\S+/", line := server.stdout.readline())
        assert found is not None, line
        browser = webdriver.Chrome(options=options, service=Service(driver))
        ending.callback(browser.quit)
        browser.get(found[0])
        shown = Page(browser, found[0], path, server)
        fits = "return window.board && Math.abs(board.canvas.height - innerHeight) < 3"
        drawn = "return board.canvas.toDataURL().length > 30000"
        shown.wait(lambda: browser.execute_script(fits) and browser.execute_script(drawn))
        yield shown


def spot(page: Page, name: str) -> tuple[float, float, float]:
    """Where a pin is on the page, pixels from its upper left corner, and pixels for one mm."""
    width, height = page.browser.execute_script("return [board.canvas.width, board.canvas.height]")
    with desk_of(page.path) as (desk, items):
        board = Board(new_figure(width, height), desk, items)
        z = next(h.at for h in desk.handles if h.name == name)
        (x, y), (x1, _) = board.side.ax.transData.transform([(z.real, z.imag), (z.real + 1, z.imag)])
    return float(x), float(height - y), float(x1 - x)


def test_a_pin_is_dragged_on_the_canvas_and_saved(page: Page) -> None:
    from selenium.webdriver.common.action_chains import ActionChains

    x, y, scale = spot(page, "upper pin")
    before = page.picture()
    canvas = page.browser.find_element("css selector", "#figure canvas")
    size = canvas.size
    chain = ActionChains(page.browser, duration=60)
    chain.move_to_element_with_offset(canvas, round(x - size["width"] / 2), round(y - size["height"] / 2))
    chain.click_and_hold()
    for _ in range(5):
        chain.move_by_offset(4, -2)
    chain.perform()
    page.wait(lambda: page.picture() != before)  # while the pin is still in hand
    ActionChains(page.browser).release().perform()
    page.press("w")
    page.wait(lambda: page.path.read_bytes() != MERROW.read_bytes())
    study = read(page.path).study
    assert study.gear.brace.upper_pin == pytest.approx((1140 + 20 / scale, 550 + 10 / scale), abs=1.6 / scale)
    assert study.gear.brace.upper_link == 200
    assert "# made by the knee stop" in page.path.read_text()


def test_keys_undo_and_save(page: Page) -> None:
    page.press("u", "w")
    page.wait(lambda: page.path.read_bytes() == MERROW.read_bytes())
    before = page.picture()
    page.press("?")
    page.wait(lambda: page.picture() != before)
    page.press("?")
    page.press("\ue004", "\ue014", "w")  # Tab, arrow to the right: the pin after the upper pin, or any other, has moved
    page.wait(lambda: page.path.read_bytes() != MERROW.read_bytes())
    page.press("u", "w")
    page.wait(lambda: page.path.read_bytes() == MERROW.read_bytes())


def mouse(page: Page, kind: str, x: float, y: float, held: int) -> None:
    """An event as the browser makes it, the buttons held as they are then."""
    moved = kind == "mouseMoved"
    what = {"type": kind, "x": x, "y": y, "buttons": held, "button": "none" if moved else "left"}
    page.browser.execute_cdp_cmd("Input.dispatchMouseEvent", {**what, "clickCount": 0 if moved else 1})


def test_a_pin_let_go_where_the_page_cannot_see_it_is_let_go(page: Page) -> None:
    """Keys do nothing while a pin is in hand."""
    x, y, scale = spot(page, "upper pin")
    mouse(page, "mouseMoved", x, y, 0)
    mouse(page, "mousePressed", x, y, 1)
    mouse(page, "mouseMoved", x + 8, y - 4, 1)
    time.sleep(0.5)
    mouse(page, "mouseMoved", x + 90, y - 40, 0)
    page.press("w")
    page.wait(lambda: page.path.read_bytes() != MERROW.read_bytes())
    assert read(page.path).study.gear.brace.upper_pin == pytest.approx((1140 + 8 / scale, 550 + 4 / scale), abs=2)
    page.press("u", "w")
    page.wait(lambda: page.path.read_bytes() == MERROW.read_bytes())


def test_two_clicks_leave_no_pin_in_hand(page: Page) -> None:
    from selenium.webdriver.common.action_chains import ActionChains

    x, y, _ = spot(page, "upper pin")
    canvas = page.browser.find_element("css selector", "#figure canvas")
    size = canvas.size
    chain = ActionChains(page.browser)
    chain.move_to_element_with_offset(canvas, round(x - size["width"] / 2), round(y - size["height"] / 2))
    chain.double_click().perform()
    page.press("\ue014", "w")
    page.wait(lambda: page.path.read_bytes() != MERROW.read_bytes(), 10)
    page.press("u", "w")
    page.wait(lambda: page.path.read_bytes() == MERROW.read_bytes())


def test_keys_are_heard_wherever_the_page_has_its_focus(page: Page) -> None:
    page.browser.execute_script("document.activeElement.blur()")
    page.press("\ue014", "w")
    page.wait(lambda: page.path.read_bytes() != MERROW.read_bytes(), 10)
    page.press("u", "w")
    page.wait(lambda: page.path.read_bytes() == MERROW.read_bytes())


def test_a_small_window_scrolls_over_a_board_that_has_room(page: Page) -> None:
    before = page.browser.get_window_size()
    seen = "return [board.canvas.width, board.canvas.height, getComputedStyle(document.body).overflow, innerWidth]"
    page.browser.set_window_size(520, 420)
    page.wait(lambda: page.browser.execute_script(seen)[:3] == [800, 500, "auto"], 15)
    page.browser.set_window_size(before["width"], before["height"])
    page.wait(lambda: (found := page.browser.execute_script(seen))[0] == found[3] and found[2] == "hidden", 15)


def test_the_console_is_silent(page: Page) -> None:
    assert [e for e in page.browser.get_log("browser") if e["level"] in ("SEVERE", "WARNING")] == []


def answer(port: int, path: str, **headers: str) -> int:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
    try:
        connection.request("GET", path, headers=headers)
        return connection.getresponse().status
    finally:
        connection.close()


def test_only_this_machine_under_its_own_name_is_let_in(page: Page) -> None:
    url = urllib.parse.urlsplit(page.address)
    port, own = url.port or 0, url.path
    assert answer(port, own) == 200
    assert answer(port, own, Host=f"board.example:{port}") == 403
    assert answer(port, "/") == answer(port, "/wrong-secret/") == 403
    upgrade = {"Upgrade": "websocket", "Connection": "Upgrade", "Sec-WebSocket-Version": "13"}
    upgrade["Sec-WebSocket-Key"] = "dGhlIHNhbXBsZSBub25jZQ=="
    socket, home = f"{own}ws", f"http://127.0.0.1:{port}"
    assert answer(port, socket, Origin=home, **upgrade) == 101
    assert answer(port, socket, Origin="http://board.example", **upgrade) == 403
    assert answer(port, socket, Origin=home, Host=f"board.example:{port}", **upgrade) == 403
    assert answer(port, "/wrong-secret/ws", Origin=home, **upgrade) == 403


def test_leaving_ends_the_server(page: Page) -> None:
    page.press("q")
    page.wait(lambda: page.server.poll() is not None)
    assert page.server.returncode == 0
    page.wait(lambda: page.browser.execute_script("return getComputedStyle(ended).display") == "block")
