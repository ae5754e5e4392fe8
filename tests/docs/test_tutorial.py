"""docs/tutorial.md, done from its empty file to its verified hand-off: every command, every line shown."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.docs.pages import CUT, blocks, differences, run, steps
from tests.studies import ROOT

PAGE = ROOT / "docs" / "tutorial.md"
STUDY = Path("my-gear") / "study.toml"


def changed(text: str, diff: str) -> str:
    """The study after an edit shown as lines with - and +."""
    old = "\n".join(line[1:].strip() for line in diff.splitlines() if line.startswith("-"))
    new = "\n".join(line[1:].strip() for line in diff.splitlines() if line.startswith("+"))
    assert text.count(old) == 1, f"the page changes a line that is not there once: {old}"
    return text.replace(old, new)


def in_console(text: str, note: Callable[[list[str]], None]) -> None:
    code: int | None = 0
    for step in steps(text):
        if step.command == "echo $?":
            assert step.shown == (str(code),), f"exit code {code}, the page says {step.shown}"
            code = 0
            continue
        assert not code, f"exit code {code} goes unsaid before {step.command}"
        code, output = run(step.command)
        note(differences(step.shown, output))
        assert len([line for line in step.shown if line != CUT]) > 0, f"{step.command} shows nothing"
    assert not code, f"exit code {code} goes unsaid"


def test_tutorial(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("OCP", reason="the hand-off shown has a STEP file")
    monkeypatch.chdir(tmp_path)
    STUDY.parent.mkdir()
    STUDY.write_text("", encoding="utf-8")
    wrong: list[str] = []
    for block in blocks(PAGE):
        if block.language == "toml":
            STUDY.write_text(f"{STUDY.read_text(encoding='utf-8')}\n{block.text}", encoding="utf-8")
        elif block.language == "diff":
            STUDY.write_text(changed(STUDY.read_text(encoding="utf-8"), block.text), encoding="utf-8")
        else:
            assert block.language == "console", "a block that is not run"
            in_console(block.text, wrong.extend)
    assert not wrong, "\n".join(wrong)
    assert {"keep-out.dxf", "keep-out.stl", "manifest.json"} <= {file.name for file in Path("out").iterdir()}


def test_a_wrong_page_is_seen() -> None:
    assert differences(("a", CUT, "c"), ["a", "b", "c"]) == []
    assert differences(("a", "c"), ["a", "b", "c"])
    assert differences(("a", CUT, "d"), ["a", "b", "c"])
    assert differences(("a",), ["a", "b"])
    with pytest.raises(AssertionError, match="goes unsaid"):
        in_console("$ noseleg check no-such-study.toml\nx\n", lambda lines: None)
