"""Whatever stands in a file for a bay item: obstacles or a message about that file, never a traceback, NaN, or a wait.

``HOSTILE_FILES`` sets how many files of each kind are tried (of STEP one for forty, or ``HOSTILE_STEPS``) and
``HOSTILE_SEED`` which; docs/hostile.md has the last long run. Reading is tried with all of them, the whole `check` with
one in some.
"""

from __future__ import annotations

import os
import struct
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.hostile.bay_files import checked, read_as
from tests.hostile.file_faults import CURVES, case
from tests.hostile.intact_files import intact, old_dxf
from tests.hostile.watching import SEED, SEEN, campaign, kept, peak_mb

FILES = int(os.environ.get("HOSTILE_FILES", "100"))
STEP_FILES = int(os.environ.get("HOSTILE_STEPS", max(FILES // 40, 1) if "HOSTILE_FILES" in os.environ else 1))
"""Each of them is read by a process of its own, which takes a second to begin."""
WHOLE = 50
"""One file in so many goes through the whole `check` too."""


@pytest.mark.parametrize("kind", ["dxf", "stl"])
def test_unharmed_files(kind: str, tmp_path: Path) -> None:
    """What stops a file is what was done to it."""
    for content in dict.fromkeys(intact(kind)):
        assert read_as(kind, content, tmp_path) == "read"


@pytest.mark.parametrize("kind", ["dxf", "stl", "step"])
def test_mutated_files(kind: str, tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    if not intact(kind):
        pytest.skip("needs the extra that reads it")
    capfd.readouterr()
    for number in range(STEP_FILES if kind == "step" else FILES):
        content = case(kind, number, SEED)
        with kept(f"{kind} {number} of seed {SEED}", content):
            read_as(kind, content, tmp_path)
            if kind != "step" and number % WHOLE == 0:
                checked(kind, content, tmp_path)
    said = capfd.readouterr()
    assert said.out + said.err == ""  # no library talks past us to the terminal


NUMBERS = st.one_of(
    st.floats(-2000, 2000),
    st.floats(allow_nan=True, allow_infinity=True),
    st.sampled_from([0.0, -0.0, 1e308, -1e308, 1e-320, 1e12, 900.0, 1000.0]),
)
CURVE = st.sampled_from(sorted(CURVES)).flatmap(
    lambda name: st.tuples(st.just(name), st.tuples(*(NUMBERS for _ in CURVES[name])))
)


@campaign(max(FILES // 2, 50))
@given(st.lists(CURVE, min_size=1, max_size=4))
def test_drawings_of_any_numbers(
    tmp_path_factory: pytest.TempPathFactory, curves: list[tuple[str, tuple[float, ...]]]
) -> None:
    head, _, tail = old_dxf().partition(b"0\nCIRCLE")
    pairs = b""
    for name, numbers in curves:
        pairs += f"0\n{name}\n8\nENGINE\n".encode() + (b"2\nBOX\n" if name == "INSERT" else b"")
        for code, number in zip(CURVES[name], numbers, strict=True):
            whole = 60 <= code < 100
            shown = int(max(-9, min(number, 9))) if whole and number == number else number
            pairs += f"{code}\n{shown}\n".encode()
    content = head + pairs + b"0\nCIRCLE" + tail
    with kept("a drawing", content):
        read_as("dxf", content, tmp_path_factory.getbasetemp())


@campaign(max(FILES // 2, 50))
@given(st.lists(st.tuples(*(NUMBERS for _ in range(3))), min_size=4, max_size=6), st.data())
def test_solids_of_any_corners(
    tmp_path_factory: pytest.TempPathFactory, corners: list[tuple[float, float, float]], data: st.DataObject
) -> None:
    """Triangles between any corners, mostly closed: a fan about the first, and some in any order."""
    rim = range(1, len(corners))
    faces = [(0, a, b) for a, b in zip(rim, [*rim[1:], 1], strict=True)] + [(3, 2, 1)] * (len(corners) == 4)
    faces += data.draw(st.lists(st.tuples(*(st.integers(0, len(corners) - 1) for _ in range(3))), max_size=3))
    content = bytes(80) + struct.pack("<I", len(faces))
    for face in faces:
        numbers = [max(-3.4e38, min(v, 3.4e38)) if v == v else v for i in face for v in corners[i]]
        content += struct.pack("<12fH", 0, 0, 0, *numbers, 0)
    with kept("a solid", content):
        read_as("stl", content, tmp_path_factory.getbasetemp())


def test_what_was_seen() -> None:
    """Runs last in this file: the files above were of every kind, else nothing was tried."""
    kinds = [k for k in ("dxf", "stl", "step") if SEEN[f"{k}: read"] + SEEN[f"{k}: refused"] > 20]
    if not kinds:
        pytest.skip("the files were tried in another process")
    print(dict(SEEN), f"peak memory {peak_mb()} MB")
    assert SEEN["FAULTS"] == 0
    assert all(SEEN[f"{kind}: {what}"] > 0 for kind in kinds for what in ("read", "refused"))
    assert peak_mb() < 1500
