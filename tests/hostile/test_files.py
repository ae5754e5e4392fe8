"""Names, files and folders that mean harm or are in the way: clear messages, nothing half written, nothing run."""

from __future__ import annotations

import ast
import csv
import io
import json
import re
import resource
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from PIL import Image
from typer.testing import CliRunner

from linkage.cli import app
from linkage.document.ways import put
from linkage.drawing import save
from linkage.drawing.animation import Clip
from linkage.drawing.axes import new_figure
from linkage.drawing.video import save_clip
from linkage.files import write_whole
from linkage.folders import staged
from linkage.report import review
from tests.hostile.kill import BOARD, campaign, wrong
from tests.hostile.moments import every_moment
from tests.studies import MERROW, OSTREL, ROOT, table
from tests.topologies import STARTER

NASTY = [
    "../../escape",
    "/abs/olute",
    "a\\b",
    "<script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    "=cmd|' /C calc'!A0",
    "+1+1",
    "-2+3",
    "@SUM(A1)",
    "\tTAB",
    "name\x07bell",
    "line\nbreak",
    "{{7*7}}",
    '#import "x.typ"',
    "$e^x$ $$",
    "\\frac{1}{0}",
    "%%EOF",
    "‮gnp.exe",
]


def run(arguments: list[str]) -> Any:
    return CliRunner().invoke(app, arguments)


def text_of(plain: Any) -> str:
    import tomlkit

    return tomlkit.dumps(plain)


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Review of a study in which every name, note and source means harm."""
    plain = table(OSTREL)
    nasty = iter(NASTY * 50)
    for field in ("title", "question", "airframe.name", "airframe.datum"):
        put(plain, field, next(nasty))
    for table_ in (plain["bay"]["item"], plain["loading"]["item"], plain["gear"]["mass"]):
        for i, item in enumerate(table_):
            item["name"] = f"{next(nasty)} {i}" if i % 2 else f"{next(nasty)}{i}"
    folder = tmp_path_factory.mktemp("nasty")
    (folder / "study.toml").write_text(text_of(plain), encoding="utf-8")
    printed, blank = save._printed, new_figure(40, 30)

    def drawn_once(figure: Any, kind: str, *more: Any, **options: Any) -> bytes:
        return printed(blank if kind == "png" else figure, kind, *more, **options)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(review, "clips", lambda *_: {})  # films show no text that the pictures do not
        patch.setattr(save, "_printed", drawn_once)  # nor does a PNG, whose words beside the picture stay
        result = run(["review", str(folder / "study.toml"), "-o", str(folder / "out")])
    assert result.exit_code in (0, 1), result.output
    return folder


def test_nothing_is_written_beside_the_folder(written: Path) -> None:
    assert {p.name for p in written.iterdir()} == {"study.toml", "out"}
    assert all(p.is_file() for p in (written / "out").iterdir())


def test_no_cell_of_a_spreadsheet_is_a_formula(written: Path) -> None:
    cells = 0
    for path in (written / "out").glob("*.csv"):
        for row in csv.reader(io.StringIO(path.read_text(encoding="utf-8"))):
            for cell in row:
                cells += 1
                number = cell.lstrip("+-").replace(".", "").replace("e", "").replace("-", "").isdigit()
                assert number or not cell.startswith(("=", "+", "-", "@", "\t", "\r")), (path.name, cell)
    assert cells > 1000


def test_the_page_runs_nothing_of_the_study(written: Path) -> None:
    page = (written / "out" / "review.html").read_text(encoding="utf-8")
    for name in ("<script>alert(1)</script>", "<img src=x"):
        assert name not in page
    assert "&lt;img src=x onerror" in page
    svg = (written / "out" / "side-view.svg").read_text(encoding="utf-8")
    assert "<script" not in svg


def test_drawing_and_tables_read_back(written: Path) -> None:
    for path in (written / "out").glob("*.dxf"):
        assert ezdxf.readfile(path).audit().errors == []  # type: ignore[attr-defined]
        assert "\x07" not in path.read_text(encoding="utf-8")
    for path in (written / "out").glob("*.json"):
        json.loads(path.read_text(encoding="utf-8"), parse_constant=pytest.fail)


def test_words_beside_pictures_are_plain(written: Path) -> None:
    found = 0
    for path in (written / "out").glob("*.png"):
        with Image.open(path) as image:
            for word in image.text.values():  # type: ignore[attr-defined]
                found += 1
                assert word.isprintable(), (path.name, word)
    assert found > 10


def test_no_text_is_ever_run() -> None:
    """No eval, exec, compile, sympify or parse_expr, no shell, no pickle of files, anywhere in the package."""
    forbidden = {"eval", "exec", "compile", "sympify", "parse_expr", "system", "popen", "S"}
    worth_a_look = re.compile(rf"\b({'|'.join(forbidden)}|shell)\b")
    texts = {path: path.read_text(encoding="utf-8") for path in (ROOT / "linkage").rglob("*.py")}
    assert len(texts) > 200
    for path, text in texts.items():
        for node in ast.walk(ast.parse(text)) if worth_a_look.search(text) else ():
            if isinstance(node, ast.Call):
                name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
                module = getattr(getattr(node.func, "value", None), "id", "")
                assert name not in forbidden or module in ("re", "shapely", "typst"), f"{path}: {ast.unparse(node)}"
                shell = [k for k in node.keywords if k.arg == "shell" and getattr(k.value, "value", False)]
                assert not shell, f"{path}: {ast.unparse(node)}"


@pytest.mark.parametrize("command", ["review", "handoff"])
@pytest.mark.parametrize("folder", ["/proc/none", "/dev/full/none"])
def test_folders_that_cannot_be_written(command: str, folder: str) -> None:
    began = time.process_time()
    result = run([command, str(OSTREL), "-o", folder])
    assert result.exit_code == 2
    assert "cannot write" in result.output
    assert "Traceback" not in result.output
    assert time.process_time() - began < 1.0  # told before the work begins, not after


def test_a_full_disk(tmp_path: Path) -> None:
    """No file may grow beyond 20 kB, as on a disk that is full."""

    def little() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))

    command = [sys.executable, "-m", "linkage", "handoff", str(OSTREL), "-o", str(tmp_path / "out")]
    done = subprocess.run(command, capture_output=True, text=True, preexec_fn=little, check=False)
    assert done.returncode == 2, done.stderr
    assert "cannot write" in done.stderr
    assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("where", ["../elsewhere.dxf", "/etc/passwd", "sub/../../elsewhere.dxf", "link.dxf"])
def test_references_outside_the_study_folder(where: str, tmp_path: Path) -> None:
    home = tmp_path / "home"
    home.mkdir()
    (tmp_path / "elsewhere.dxf").write_text("0\nEOF\n")
    (home / "link.dxf").symlink_to(tmp_path / "elsewhere.dxf")
    plain = table(STARTER)
    put(plain, "bay.item", [{"name": "a", "butt_lines": [-9, 9], "required": 1, "file": where, "layer": "0"}])
    (home / "study.toml").write_text(text_of(plain), encoding="utf-8")
    result = run(["check", str(home / "study.toml")])
    assert result.exit_code == 2
    assert "folder" in result.output


@pytest.mark.parametrize("command", ["review", "handoff", "animate"])
def test_nothing_is_written_on_bad_input(command: str, tmp_path: Path) -> None:
    for change in ("gear.leg.length=nan", "gear.leg.swing_up=179", "gear.brace.upper_link=3"):
        result = run([command, str(MERROW), "--set", change, "-o", str(tmp_path / "out.gif")])
        assert result.exit_code in (2, 3), result.output
        assert list(tmp_path.iterdir()) == []


def test_killed_at_random_moments() -> None:
    """Of one command and the board here; of all with ``python -m tests.hostile.kill 100``."""
    told: list[str] = []
    seen = campaign(2, seed=5, names=("starter", BOARD), tell=told.append)
    assert [line.split(";")[0] for line in told] == [f"{name}: 1 kills, nothing half" for name in ("starter", BOARD)]
    assert sum(seen.values()) >= 2
    assert wrong(seen) == []


def test_killed_before_every_step_of_writing() -> None:
    """A folder of files that belong together, which was a mixture of old and new ones for some milliseconds; a film as
    pictures, some of which were left; a file."""

    def folder(place: Path) -> None:
        with staged(place, "last.json", ["gone-*"]) as draft:
            for name in ("a.csv", "b.svg", "last.json"):
                (draft / name).write_text("something new\n" * 100)

    figure = new_figure(40, 30)
    dot = figure.text(0, 0, ".")
    film = Clip(figure, (dot,), lambda i: dot.set_x(i / 3), 3)

    def pictures(place: Path) -> None:
        save_clip(film, place)

    def beside(place: Path) -> None:
        place.mkdir(exist_ok=True)
        write_whole(place / "one.txt", "something new\n" * 100)

    for write in (folder, pictures, beside):
        seen = every_moment(write)
        assert wrong(seen) == []
        assert seen["new: complete"] > 0
        assert seen["replacing: complete"] > 0
        assert seen["replacing: older, untouched"] > 3
