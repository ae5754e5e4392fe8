"""Animations: frames of the right pose, in every format, and refusals that say what would do."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from linkage.drawing.frames import falling, steady
from linkage.errors import DocumentError
from linkage.report.clips import write_clip
from tests.studies import MERROW, OSTREL, solution


@pytest.mark.parametrize("path", [MERROW, OSTREL], ids=lambda p: p.parent.name)
def test_frames_run_from_lock_to_up_at_steady_actuator_speed(path: Path) -> None:
    r = solution(path).results
    run = steady(r, 60)
    assert run.driven[0] == 0.0
    assert run.driven[-1] == pytest.approx(r.stroke.driven_up)
    assert np.all(np.diff(run.driven) > 0)
    steps = np.diff(run.length)[2:]
    assert steps == pytest.approx(np.full_like(steps, steps.mean()), rel=0.02)
    assert max(run.hold) > 1


def test_emergency_extension_runs_in_real_time() -> None:
    r = solution(MERROW).results
    assert r.extension is not None
    run = falling(r, r.extension.hardest, 25.0)
    assert run.time is not None
    assert run.count / 25 == pytest.approx(float(r.extension.hardest.time[-1]), abs=0.1)
    assert run.swing_deg[0] > 85


def test_gif_and_png_frames(tmp_path: Path) -> None:
    write_clip(solution(MERROW), tmp_path / "a.gif", 3, size="640x360")
    with Image.open(tmp_path / "a.gif") as picture:
        assert picture.size == (640, 360)
        assert getattr(picture, "n_frames", 1) == 3
    write_clip(solution(MERROW), tmp_path / "frames", 2, size="640x360", dark=True)
    assert len(list((tmp_path / "frames").glob("*.png"))) == 2


@pytest.mark.parametrize(
    ("name", "size", "which", "words"),
    [
        ("a.avi", "640x360", "retraction", ".mp4, .gif"),
        ("a.gif", "big", "retraction", "1280x720"),
        ("a.gif", "64x64", "retraction", "320"),
        ("a.gif", "640x360", "sideways", "retraction or extension"),
    ],
)
def test_refusals(name: str, size: str, which: str, words: str, tmp_path: Path) -> None:
    with pytest.raises(DocumentError, match=words):
        write_clip(solution(MERROW), tmp_path / name, 3, size=size, which=which)
    assert not list(tmp_path.iterdir())
