"""What every command owes: a look at the folder before the work, a terminal that no name can steer, one way to a crew,
no stale pictures beside new ones."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from typer.testing import CliRunner

import linkage.cli.writing
import linkage.cluster
import linkage.report.trade_study as trade_study
import linkage.search.find as search
from linkage.cli import app
from linkage.cli.crews import crew
from linkage.cli.shared import say
from linkage.errors import DocumentError, Fault
from linkage.handoff.step import CadMissingError, require_cad
from linkage.handoff.verify import verify
from linkage.report.sensitivity_files import lines as sensitivity_lines
from linkage.report.sensitivity_files import write_sensitivity
from linkage.report.terminal import findings_lines
from linkage.report.trade_files import write_trade
from linkage.report.trade_study import Done
from linkage.search.found import Found
from linkage.search.survivors import Judged
from linkage.sensitivity import sensitivity
from linkage.trade import Point, Trade, Vary
from tests.studies import MERROW, OSTREL, solution
from tests.topologies import STARTER

run = CliRunner().invoke
WANTED = MERROW.parent / "wanted.toml"
HARMFUL = "tail\x1b[2J\u202epipe\nFORGED"


@pytest.mark.parametrize(
    "arguments",
    [
        ["trade", "--vary", "gear.brace.over_centre=4,5", "--workers", "1"],
        ["tolerance", "--samples", "200"],
        ["sensitivity", "--result", "nose_share_min"],
        ["compare", "--set", "gear.brace.over_centre=5"],
        ["find", "--wanted", str(WANTED), "--candidates", "100"],
        ["review"],
        ["handoff"],
    ],
    ids=lambda a: a[0],
)
def test_a_folder_that_cannot_be_is_told_before_the_work(arguments: list[str], tmp_path: Path) -> None:
    in_the_way = tmp_path / "a file"
    in_the_way.write_text("")
    done = run(app, [arguments[0], str(MERROW), *arguments[1:], "-o", str(in_the_way / "out")])
    assert done.exit_code == 2
    assert "is not a folder" in done.stderr
    assert done.stdout == "", "the work was done first"


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["verify", "nowhere"], ["DIR nowhere: is not there; expected a folder of a hand-off"]),
        (["verify", str(STARTER)], ["is a file, no folder"]),
        (["handoff", str(STARTER), "-o", "out", "--against", "nowhere"], ["--against nowhere: is not there"]),
        (["handoff", str(STARTER), "-o", "out", "--against", "."], ["--against .: holds no keep-out.json"]),
        (["animate", str(STARTER), "-o", "a.xyz", "--size", "9x9", "--clip", "no"], ["--output", "--size", "--clip"]),
    ],
)
def test_what_is_asked_wrongly_is_told_before_the_work(
    arguments: list[str], words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def never(*given: Any) -> None:
        raise AssertionError("the work began")

    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(linkage.cli.writing, "solved", never)
    done = run(app, arguments)
    assert (done.exit_code, done.stdout) == (2, "")
    assert all(word in done.stderr for word in words)
    assert not list(tmp_path.iterdir())


def harmful_trade(values: tuple[float, ...], names: tuple[str, ...]) -> Trade:
    points = tuple(
        Point(
            (v,), {n: v * k for k, n in enumerate(names, 1)}, {}, {f"{HARMFUL} >= (x), mm": -1.0}, HARMFUL, -1.0, "mm"
        )
        for v in values
    )
    return Trade(HARMFUL, "0", (), (Vary("gear.x", values, "mm", 2.0),), points, None)


def harmful_search() -> Found:
    present = Judged("present", "", HARMFUL, {}, (), {})
    short = (("gap", HARMFUL, HARMFUL),)
    return Found(HARMFUL, "0", (), present, short, 9, 9, 0, 0, {f"too near: {HARMFUL}": 9}, 0, 0, {}, False, 1, 1, 1, 0)


def safe(text: str) -> bool:
    return all(line.isprintable() for line in text.split("\n")) and "\nFORGED" not in text


def test_names_cannot_steer_the_terminal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    done = Done(harmful_trade((1.0, 2.0), ("a_mm",)), (f"{HARMFUL} >= (x), mm",))
    monkeypatch.setattr(trade_study, "trade_study", lambda *given: done)
    out = tmp_path / "trade"
    told = run(app, ["trade", str(MERROW), "--vary", "gear.x=1,2", "--workers", "1", "-o", str(out)])
    assert told.exit_code == 0, told.output
    assert "pipe" in told.stdout and safe(told.stdout)
    assert safe((out / "trade.md").read_text(encoding="utf-8"))

    monkeypatch.setattr(search, "find", lambda *given: harmful_search())
    out = tmp_path / "found"
    told = run(app, ["find", str(MERROW), "--wanted", str(WANTED), "--workers", "1", "-o", str(out)])
    assert told.exit_code == 1, told.output
    assert "pipe" in told.stdout and safe(told.stdout)
    assert safe((out / "found.txt").read_text(encoding="utf-8"))


def test_lines_go_out_harmless(capsys: pytest.CaptureFixture[str]) -> None:
    base = solution(MERROW)
    first, *others = base.findings
    worst = replace(first, subject=HARMFUL, at=HARMFUL)
    say(findings_lines(replace(base, findings=(worst, *others))))
    found = sensitivity(base, ["over_centre_mm"])
    say(sensitivity_lines(replace(found, title=HARMFUL)))
    say(DocumentError([Fault("gear", HARMFUL, "another")]).lines, err=True)
    told = capsys.readouterr()
    assert "tail" in told.out and safe(told.out)
    assert "tail" in told.err and safe(told.err)


def test_work_is_kept_where_nobody_reads(tmp_path: Path) -> None:
    """`noseleg ... -o DIR | head -1`: the reader is gone before the files are written."""
    reader, writer = os.pipe()
    os.close(reader)
    command = [sys.executable, "-m", "linkage", "sensitivity", str(OSTREL), "--result", "over_centre_mm"]
    done = subprocess.run([*command, "-o", str(tmp_path / "out")], stdout=writer, stderr=subprocess.PIPE, check=False)
    os.close(writer)
    assert (done.returncode, done.stderr) == (0, b"")
    assert (tmp_path / "out" / "sensitivity.json").exists()


FULL = Path("/dev/full")
needs_full = pytest.mark.skipif(not FULL.exists(), reason="no disk that is always full")
needs_shell = pytest.mark.skipif(os.name != "posix", reason="no shell")


@needs_full
@pytest.mark.parametrize("arguments", [["check", str(STARTER)], ["schema"], ["--help"]], ids=lambda a: a[0])
def test_what_finds_no_room_is_told_and_is_no_finding(arguments: list[str]) -> None:
    with FULL.open("w") as full:
        command = [sys.executable, "-m", "linkage", *arguments]
        done = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, text=True, check=False)
    assert (done.returncode, done.stderr) == (2, "cannot print: No space left on device\n")


@needs_full
def test_files_are_written_where_lines_find_no_room(tmp_path: Path) -> None:
    with FULL.open("w") as full:
        command = [sys.executable, "-m", "linkage", "sensitivity", str(OSTREL), "--result", "over_centre_mm"]
        done = subprocess.run([*command, "-o", str(tmp_path)], stdout=full, stderr=subprocess.PIPE, check=False)
    assert done.returncode == 2
    assert (tmp_path / "sensitivity.json").exists()


@needs_full
@pytest.mark.parametrize("arguments", [["check", "none.toml"], ["chek"]], ids=lambda a: a[0])
def test_the_exit_code_holds_where_messages_find_no_room(arguments: list[str]) -> None:
    with FULL.open("w") as full:
        done = subprocess.run([sys.executable, "-m", "linkage", *arguments], stderr=full, check=False)
    assert done.returncode == 2


@pytest.mark.parametrize("encoding", ["latin-1:strict", "cp1252:strict", "ascii:strict", "utf-8:strict"])
def test_letters_that_an_encoding_does_not_have_are_no_harm(encoding: str) -> None:
    command = [sys.executable, "-m", "linkage", "check", str(STARTER), "--set", "title=nose → gear"]
    environment = {**os.environ, "PYTHONIOENCODING": encoding, "PYTHONUTF8": "0"}
    done = subprocess.run(command, capture_output=True, env=environment, check=False)
    assert (done.returncode, done.stderr) == (1, b"")
    assert done.stdout.startswith("nose → gear:".encode() if encoding.startswith(("utf", "ascii")) else b"nose ? gear:")


@needs_shell
def test_nothing_is_written_in_place_of_a_closed_terminal(tmp_path: Path) -> None:
    """A file opened while 0, 1 and 2 are free would take their numbers."""
    command = f"{sys.executable} -m linkage handoff {STARTER} -o {tmp_path / 'out'} <&- >&- 2>&-"
    assert subprocess.run(["sh", "-c", command], check=False).returncode == 0
    assert all(check.passed is not False for check in verify(tmp_path / "out", STARTER))


def test_ctrl_c_while_a_library_is_loaded_is_no_library_that_lacks(monkeypatch: pytest.MonkeyPatch) -> None:
    def load(why: Exception | KeyboardInterrupt | None) -> None:
        class Broken:
            @staticmethod
            def find_spec(name: str, *more: Any) -> None:
                if name.startswith("OCP"):
                    raise ImportError("initialization failed") from why

        with monkeypatch.context() as patched:
            patched.setattr(sys, "meta_path", [Broken, *sys.meta_path])
            for name in [n for n in sys.modules if n.partition(".")[0] == "OCP"]:
                patched.delitem(sys.modules, name)
            require_cad()

    with pytest.raises(KeyboardInterrupt):
        load(KeyboardInterrupt())
    for other in (None, ValueError()):
        with pytest.raises(CadMissingError, match="initialization failed"):
            load(other)


@pytest.mark.skipif(sys.platform != "linux", reason="names that are no text")
def test_a_package_in_a_folder_whose_name_is_no_text(tmp_path: Path) -> None:
    folder = tmp_path / os.fsdecode(b"lat\xe9in")
    assert run(app, ["handoff", str(STARTER), "-o", str(folder)]).exit_code == 0
    assert [c for c in verify(folder, STARTER) if c.passed is False] == []


def test_workers_and_cluster_are_one_choice_everywhere(tmp_path: Path) -> None:
    both = ["--workers", "2", "--cluster", "tcp://127.0.0.1:1"]
    for command in (["find", str(MERROW), "--wanted", str(WANTED), "-o", str(tmp_path)], ["tolerance", str(MERROW)]):
        told = run(app, [*command, *both])
        assert told.exit_code == 2
        assert "--workers: given beside --cluster" in told.stderr


@pytest.mark.parametrize(
    ("cautions", "said"), [((), ""), (("another numpy on worker 1",), "caution: another numpy on worker 1\n")]
)
def test_cautions_of_a_cluster_are_said(
    cautions: tuple[str, ...], said: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    @contextmanager
    def connect(address: str) -> Iterator[Any]:
        yield SimpleNamespace(address=address, cautions=cautions)

    monkeypatch.setattr(linkage.cluster, "connect", connect)
    with crew(None, "tcp://there:1") as far:
        assert far is not None and far.address == "tcp://there:1"  # type: ignore[attr-defined]
    assert capsys.readouterr().err == said


def test_one_worker_is_this_process() -> None:
    with crew(1) as alone:
        assert alone is None
    with crew(3) as some:
        assert some is not None and some.window == 3  # type: ignore[attr-defined]


def test_pictures_of_an_earlier_run_go(tmp_path: Path) -> None:
    for folder in (tmp_path / "trade", tmp_path / "sensitivity"):
        folder.mkdir()
        for own in ("notes.txt", "photo.svg", "trade-of-mine.svg", "sensitivity-mine.png"):
            (folder / own).write_text("mine")

    def names(folder: Path) -> set[str]:
        return {p.name for p in folder.iterdir() if p.suffix in (".svg", ".png") and p.read_bytes() != b"mine"}

    grid = tuple(Point((x, y), {"a_mm": x + y, "b_mm": x * y}) for x in (1.0, 2.0) for y in (1.0, 2.0))
    two = replace(
        harmful_trade((1.0, 2.0), ()),
        points=grid,
        varies=(Vary("gear.x", (1.0, 2.0), "mm", 1.0), Vary("gear.y", (1.0, 2.0), "mm", 1.0)),
    )
    write_trade(two, ("a_mm", "b_mm"), tmp_path / "trade")
    assert len(names(tmp_path / "trade")) == 4
    write_trade(two, ("b_mm",), tmp_path / "trade")
    assert names(tmp_path / "trade") == {"trade-1-b-mm.svg", "trade-1-b-mm.png"}
    write_trade(harmful_trade((1.0, 2.0), ("a_mm",)), ("a_mm",), tmp_path / "trade")
    assert names(tmp_path / "trade") == {"trade.svg", "trade.png"}

    base = solution(OSTREL)
    write_sensitivity(sensitivity(base), base, tmp_path / "sensitivity")
    assert "sensitivity-2.png" in names(tmp_path / "sensitivity")
    write_sensitivity(sensitivity(base, ["over_centre_mm"]), base, tmp_path / "sensitivity")
    assert names(tmp_path / "sensitivity") == {"sensitivity-1.svg", "sensitivity-1.png"}
    for folder in (tmp_path / "trade", tmp_path / "sensitivity"):
        assert sum(p.read_bytes() == b"mine" for p in folder.iterdir()) == 4
