"""The README: its example runs and prints what is shown, its commands exist, its links lead somewhere."""

from __future__ import annotations

import contextlib
import io
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from linkage.cli import app
from tests.docs.pages import blocks
from tests.studies import ROOT

README = ROOT / "README.md"
TEXT = README.read_text(encoding="utf-8")
PAGES = [README, ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").glob("*.md")), *sorted(ROOT.glob("studies/*/*.md"))]


def test_library_example(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    code, shown = (next(b.text for b in blocks(README) if b.language == name) for name in ("python", "text"))
    (tmp_path / "studies").symlink_to(ROOT / "studies")
    monkeypatch.chdir(tmp_path)
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        exec(compile(code, str(README), "exec"), {})
    assert said.getvalue() == shown
    assert (tmp_path / "stroke.svg").stat().st_size > 1000


def test_every_command_is_in_the_readme_and_every_one_there_exists() -> None:
    named = set(re.findall(r"^\| `noseleg (\w+)", TEXT, re.MULTILINE))
    there = {str(c.name or getattr(c.callback, "__name__", "")) for c in app.registered_commands}
    assert named == there


@pytest.mark.parametrize("page", PAGES, ids=lambda p: str(p.relative_to(ROOT)))
def test_commands_and_options_on_pages_exist(page: Path) -> None:
    """Every ``noseleg COMMAND --option`` that a page names."""
    helps: dict[str, str] = {}
    inline = re.findall(r"`(?:\.venv/bin/)?noseleg ([a-z]+ [^`\n]*)", page.read_text(encoding="utf-8"))
    fenced = re.findall(
        r"^(?:\$ )?(?:\S*bin/)?noseleg ([a-z]+ .*)", "".join(b.text for b in blocks(page)), re.MULTILINE
    )
    for line in [*inline, *fenced]:
        command = line.split()[0]
        if command not in helps:
            done = CliRunner().invoke(app, [command, "--help"], env={"COLUMNS": "200"})
            assert done.exit_code == 0, f"{page.name} names a command {command!r}"
            helps[command] = done.output
        for option in re.findall(r"(?<=\s)--?[a-z][a-z-]*", line.split("#")[0]):
            assert option in helps[command], f"{page.name}: {command} {option}"


@pytest.mark.parametrize("page", PAGES, ids=lambda p: str(p.relative_to(ROOT)))
def test_links_lead_somewhere(page: Path) -> None:
    links = re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8"))
    assert not [link for link in links if not (page.parent / link).exists()]
    named = re.findall(r"\bdocs/[a-z-]+\.md", page.read_text(encoding="utf-8"))
    assert not [name for name in named if not (ROOT / name).exists()]
