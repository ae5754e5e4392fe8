"""``noseleg --help`` as a designer meets it: one plain sentence for each command, every option explained."""

from __future__ import annotations

import re

import pytest
from typer.testing import CliRunner

from linkage.cli import app

COMMANDS = sorted(str(c.name or getattr(c.callback, "__name__", "")) for c in app.registered_commands)
LONGEST = 50
"""Letters of a sentence that a terminal of 80 shows whole."""


def shown(*words: str) -> str:
    done = CliRunner().invoke(app, [*words, "--help"], env={"COLUMNS": "80"})
    assert done.exit_code == 0
    return done.output


def test_every_command_has_one_whole_sentence() -> None:
    lines = dict(re.findall(r"^  (\w+)  +(\S.*)$", shown().split("Commands:")[1], re.MULTILINE))
    assert sorted(lines) == COMMANDS
    for name, sentence in lines.items():
        assert sentence.endswith(".") and not sentence.endswith("..."), f"{name}: {sentence}"
        assert len(sentence) <= LONGEST, f"{name}: {sentence}"


@pytest.mark.parametrize("command", COMMANDS)
def test_every_option_is_explained_in_plain_words(command: str) -> None:
    text = shown(command)
    options = re.findall(r"^  (-[^\n]*?)(?:  +(\S.*))?$", text.partition("Options:")[2], re.MULTILINE)
    assert options
    assert not [option for option, words in options if not words]
    typed = re.findall(r"<(?:int|float|str|list)\b[^>]*>", text)
    assert not typed, "an option says a type of the program instead of what it takes"
