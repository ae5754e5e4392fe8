"""Animations: frames of the right pose, in every format, and refusals that say what would do."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely
from PIL import Image

from linkage.drawing.animation import redraw
from linkage.drawing.frames import falling, steady
from linkage.drawing.letters import Letters
from linkage.drawing.retraction import _outline, motion_clip
from linkage.errors import DocumentError
from linkage.report.clips import write_clip
from linkage.tracks import core_at
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


def test_frames_of_the_gear_equal_a_full_redraw() -> None:
    run = steady(solution(MERROW).results, 5)
    made, other = (motion_clip(solution(MERROW).results, run, (640, 360)) for _ in range(2))
    for i, frame in enumerate(made.frames([0, 3])):
        other.update((0, 3)[i])
        assert (frame != redraw(other.figure)).any(axis=-1).sum() <= 3


@pytest.mark.parametrize("path", [MERROW, OSTREL], ids=lambda p: p.parent.name)
def test_the_name_of_the_gap_stays_in_the_side_view(path: Path) -> None:
    clip = motion_clip(solution(path).results, steady(solution(path).results, 40), (800, 450))
    (name,) = (a for a in clip.artists if isinstance(a, Letters) and a.ground)
    room = clip.figure.axes[0].bbox
    for i in range(40):
        clip.update(i)
        x, wide = name.at[0], name.kept.width(name.lines[0])
        assert room.x0 <= x - wide * name.right and x + wide * (not name.right) <= room.x1
        assert room.y0 <= name.at[1] - name.kept.height and name.at[1] <= room.y1


def test_outline_is_the_part_itself() -> None:
    r = solution(MERROW).results
    for part in r.gear.parts:
        core = core_at(r.gear, part)(np.array([0.7]))[0]
        outline = shapely.Polygon(_outline(part, core).vertices)
        points = shapely.points(core.real, core.imag)
        true = (
            shapely.Polygon(points) if part.closed else shapely.MultiPoint(points).convex_hull.buffer(part.radius, 64)
        )
        assert outline.symmetric_difference(true).area < 2e-3 * true.area
