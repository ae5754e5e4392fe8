"""One file for a bay item, read as the study would read it: obstacles that are sound, or a message about that file."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path
from typing import Any

import shapely
from typer.testing import CliRunner

from linkage.cli import app
from linkage.document.study import Study
from linkage.document.ways import put
from linkage.errors import DocumentError
from linkage.obstacles import Obstacle, obstacles
from tests.hostile.watching import SEEN, is_a_message, timed
from tests.studies import changed, table
from tests.topologies import BARE, STARTER

FURTHEST = 1e7
"""mm; no part of an aircraft lies so far from its datum."""


def item(kind: str) -> dict[str, Any]:
    own: dict[str, Any] = {"dxf": {"layer": "ENGINE", "butt_lines": [-50, 50]}, "stl": {"file_unit": "mm", "slices": 3}}
    return {"name": "thing", "required": 1, "file": f"bay.{kind}", **own.get(kind, {"slices": 3})}


@cache
def study_with(kind: str) -> Study:
    return changed({**BARE, "bay.item": [item(kind)]}, STARTER)


def read_as(kind: str, content: bytes, folder: Path) -> str:
    """What came of it: "read", or "refused"."""
    (folder / f"bay.{kind}").write_bytes(content)
    before = sorted(folder.iterdir())
    study = study_with(kind)
    with timed(kind):
        try:
            found = obstacles(study, folder)
        except DocumentError as err:
            about_the_file(err, f"bay.{kind}")
            outcome = "refused"
        else:
            sound(found)
            outcome = "read"
    assert sorted(folder.iterdir()) == before
    SEEN[f"{kind}: {outcome}"] += 1
    return outcome


def about_the_file(err: DocumentError, name: str) -> None:
    """The message says which field, which file, and what is expected, in a few lines of harmless letters."""
    is_a_message(err)
    for fault in err.faults:
        assert fault.field == "bay.item[0].file"
        assert name in fault.found or name in fault.expected, fault
        assert fault.expected.strip()
        assert len(str(fault)) < 1000, fault
        assert str(fault).isprintable(), fault
        assert "object at 0x" not in str(fault), fault


def sound(found: tuple[Obstacle, ...]) -> None:
    assert found
    for one in found:
        assert one.shape.is_valid
        assert one.shape.area > 0
        assert all(math.isfinite(v) and abs(v) < FURTHEST for v in shapely.bounds(one.shape))
        assert one.butt_lines
        assert all(math.isfinite(v) and abs(v) < FURTHEST for pair in one.butt_lines for v in pair)


def checked(kind: str, content: bytes, folder: Path) -> int:
    """The whole `check` of a study with such a file: exit code and nothing written."""
    plain = table(STARTER)
    for field, value in {**BARE, "bay.item": [item(kind)]}.items():
        put(plain, field, value)
    (folder / "study.toml").write_text(_toml(plain), encoding="utf-8")
    (folder / f"bay.{kind}").write_bytes(content)
    before = sorted(folder.iterdir())
    result = CliRunner().invoke(app, ["check", str(folder / "study.toml")])
    assert isinstance(result.exception, SystemExit | None), repr(result.exception)
    assert result.exit_code in (0, 1, 2, 3), result.output
    assert not {c for c in result.output if not (c.isprintable() or c == "\n")}, repr(result.output)
    assert "Traceback" not in result.output
    if result.exit_code == 2:
        assert f"bay.{kind}" in result.output
    else:
        assert " nan" not in result.output.lower()
    assert sorted(folder.iterdir()) == before
    SEEN[f"{kind}: check ends with {result.exit_code}"] += 1
    return result.exit_code


def _toml(plain: dict[str, Any]) -> str:
    import tomlkit

    return tomlkit.dumps(plain)
