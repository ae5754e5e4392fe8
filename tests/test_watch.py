"""--watch in a real process: saves in place and by rename, a broken file, Ctrl-C, exit codes."""

from __future__ import annotations

import queue
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from linkage.errors import DocumentError
from linkage.report.watch import Watch, changes
from linkage.solution import Solution
from tests.studies import quick
from tests.topologies import STARTER

NO_LIMIT = "limits.nose_share={min=0.1, source='test'}"
"""With it every finding of the starter study is good."""
PATIENCE = 180.0
"""s for one look, on a machine that has other work."""


class Running:
    """``noseleg check --watch`` with its lines as they come."""

    def __init__(self, *arguments: str) -> None:
        command = [sys.executable, "-u", "-m", "linkage", *arguments]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
        self.lines: queue.Queue[str] = queue.Queue()
        self.seen: list[str] = []
        threading.Thread(target=self._read, daemon=True).start()

    def _read(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.lines.put(line.rstrip("\n"))

    def until(self, words: str) -> list[str]:
        """Lines up to the one with these words."""
        got: list[str] = []
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            try:
                got.append(self.lines.get(timeout=0.2))
            except queue.Empty:
                assert self.process.poll() is None, f"ended early: {self.seen + got}"
                continue
            if words in got[-1]:
                self.seen += got
                return got
        raise AssertionError(f"{words!r} not said: {got}")

    def interrupt(self) -> int:
        self.process.send_signal(signal.SIGINT)
        return self.process.wait(timeout=PATIENCE)


def test_watch_follows_saves_in_place_by_rename_and_through_a_broken_file(tmp_path: Path) -> None:
    study = tmp_path / "study.toml"
    text = STARTER.read_text(encoding="utf-8")
    study.write_text(text, encoding="utf-8")
    running = Running("check", str(study), "--watch", "--set", NO_LIMIT)
    try:
        running.until("watching")
        # in place, something goes short
        study.write_text(text.replace("over_centre = 5\n", "over_centre = 9\n"), encoding="utf-8")
        got = running.until("2 of ")
        assert any(line.startswith("NOW SHORT  over-centre offset <=") for line in got)
        assert any(line.startswith("NOW SHORT  pull off the lock's stop") for line in got)
        # by rename, as editors do, and broken: the last good solution stays what later saves are compared with
        broken = tmp_path / "broken"
        broken.write_text(text.replace("over_centre = 5\n", "over_centre = =\n"), encoding="utf-8")
        broken.replace(study)
        got = running.until("not readable as TOML")
        # gone, and back again mended
        study.unlink()
        running.until("is gone")
        mended = tmp_path / "mended"
        mended.write_text(text.replace("over_centre = 5\n", "over_centre = 5.5\n"), encoding="utf-8")
        mended.replace(study)
        got = running.until("findings good")
        assert any(line.startswith("now good   over-centre offset <=") for line in got)
        assert running.interrupt() == 0
    finally:
        running.process.kill()
    assert not any("Traceback" in line for line in running.seen)


def test_ctrl_c_gives_the_exit_code_of_the_last_look(tmp_path: Path) -> None:
    study = tmp_path / "study.toml"
    study.write_text(
        STARTER.read_text(encoding="utf-8").replace("over_centre = 5\n", "over_centre = -5\n"), encoding="utf-8"
    )
    running = Running("check", str(study), "--watch")
    try:
        running.until("watching")
        assert running.interrupt() == 2
    finally:
        running.process.kill()
    assert any("gear.brace.over_centre" in line for line in running.seen)


def test_a_wrong_change_ends_before_watching() -> None:
    command = [sys.executable, "-m", "linkage", "check", str(STARTER), "--watch", "--set", "nonsense"]
    done = subprocess.run(command, capture_output=True, text=True, timeout=PATIENCE, check=False)
    assert done.returncode == 2
    assert "PATH=VALUE" in done.stderr


class Steps:
    """Stands for time: each rest does the next thing, the last one is Ctrl-C."""

    def __init__(self, *things: object) -> None:
        self.things = list(things)

    def __call__(self, seconds: float) -> None:
        thing = self.things.pop(0) if self.things else KeyboardInterrupt
        if thing is KeyboardInterrupt:
            raise KeyboardInterrupt
        if callable(thing):
            thing()


def test_a_save_during_a_look_is_not_missed(tmp_path: Path) -> None:
    study = tmp_path / "study.toml"
    study.write_text("1")
    looks: list[str] = []

    def look() -> Solution:
        looks.append(study.read_text())
        if len(looks) == 2:
            study.write_text("saved while looking")
        raise DocumentError([], "test")

    watch = Watch(study, look, lambda line: None, Steps(lambda: study.write_text("2"), None, None, None))
    watch.begin()
    with pytest.raises(KeyboardInterrupt):
        watch.run()
    assert looks == ["1", "2", "saved while looking"]


def test_a_file_still_being_written_is_waited_for(tmp_path: Path) -> None:
    study = tmp_path / "study.toml"
    study.write_text("1")
    looks: list[str] = []

    def look() -> Solution:
        looks.append(study.read_text())
        raise DocumentError([], "test")

    steps = Steps(lambda: study.write_text("2"), lambda: study.write_text("2 and more"), None, None)
    watch = Watch(study, look, lambda line: None, steps)
    watch.begin()
    with pytest.raises(KeyboardInterrupt):
        watch.run()
    assert looks == ["1", "2 and more"]


def test_a_file_that_is_named_and_not_there_is_waited_for(tmp_path: Path) -> None:
    """The study cannot be read until it comes."""
    study, named = tmp_path / "study.toml", tmp_path / "hose.dxf"
    study.write_text('[bay]\nitem = [{ file = "hose.dxf" }, { name = "no file" }, { file = 5 }]')
    looks: list[bool] = []

    def look() -> Solution:
        looks.append(named.exists())
        raise DocumentError([], "test")

    watch = Watch(study, look, lambda line: None, Steps(None, lambda: named.write_text("0"), None, None))
    watch.begin()
    with pytest.raises(KeyboardInterrupt):
        watch.run()
    assert looks == [False, True]


def test_a_full_disk_is_waited_out(tmp_path: Path) -> None:
    study = tmp_path / "study.toml"
    study.write_text("1")
    said: list[str] = []

    def look() -> Solution:
        if study.read_text() == "1":
            raise OSError(28, "No space left on device", str(tmp_path / "review"))
        return quick()

    watch = Watch(study, look, said.append, Steps(lambda: study.write_text("2"), None, None))
    watch.begin()
    assert said == [f"cannot write or read {tmp_path / 'review'}: No space left on device; nothing was changed"]
    with pytest.raises(KeyboardInterrupt):
        watch.run()
    assert watch.error is None
    assert watch.last is quick()


def test_changes_name_what_moved_most() -> None:
    solution = quick()
    same = list(changes(solution, solution))
    assert same[0] == "no margin moved"
    assert same[1].endswith("findings short")
    assert same[2].startswith("SHORT      least nose share")
