"""Pages that are run: blocks of a Markdown page, and consoles whose commands and outputs are compared."""

from __future__ import annotations

import re
import shlex
from dataclasses import dataclass
from pathlib import Path

from typer.testing import CliRunner

from linkage.cli import app

CUT = "..."
"""Stands for lines of an output that the page leaves out."""


@dataclass(frozen=True)
class Block:
    """A fenced block: its language and its lines."""

    language: str
    text: str


@dataclass(frozen=True)
class Step:
    """A command of a console, and the lines shown below it."""

    command: str
    shown: tuple[str, ...]


def blocks(page: Path) -> list[Block]:
    text = page.read_text(encoding="utf-8")
    return [Block(m[1], m[2]) for m in re.finditer(r"^```(\w*)\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)]


def steps(console: str) -> list[Step]:
    """Commands, one ``$`` each, a backslash at the end of a line goes on."""
    joined = console.replace("\\\n", " ")
    parts = [part.splitlines() for part in re.split(r"^\$ ", joined, flags=re.MULTILINE)]
    assert not parts[0], "a console begins with a command"
    return [Step(lines[0].strip(), tuple(line.rstrip() for line in lines[1:])) for lines in parts[1:]]


def run(command: str) -> tuple[int, list[str]]:
    """Exit code and lines of a ``noseleg`` command, in the folder where we are."""
    words = shlex.split(command)
    assert words[0] == "noseleg", f"only noseleg is run, not {words[0]}"
    done = CliRunner().invoke(app, words[1:])
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done.exit_code, [line.rstrip() for line in done.output.splitlines()]


def differences(shown: tuple[str, ...], output: list[str]) -> list[str]:
    """First line of a page that the output lacks; only where the page says ``...`` may other lines lie between."""
    at, loose = 0, False
    for line in (*shown, None):
        if line == CUT:
            loose = True
            continue
        rest = output[at:]
        if line is None:
            return [] if loose or not [x for x in rest if x] else [f"the output goes on: {rest[0]!r}"]
        while rest and rest[0] != line and (loose or not rest[0]):
            rest = rest[1:]
        if not line and not loose:
            continue
        if not rest or rest[0] != line:
            return [f"not in the output: {line!r}; there: {output[at : at + 3]}"]
        at, loose = len(output) - len(rest) + 1, False
    return []
