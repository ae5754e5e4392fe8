"""The blit engine draws what a full redraw draws, and its files can be read again."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path as File

import numpy as np
import pytest
from matplotlib.artist import Artist
from PIL import Image

from linkage.drawing import video
from linkage.drawing.animation import Clip, redraw
from linkage.drawing.axes import dress, new_figure
from linkage.drawing.video import even, find_ffmpeg, save_clip
from linkage.errors import LinkageError

COUNT = 8


def clip(width: int = 320, height: int = 240, **options: object) -> Clip:
    """A bar that turns under a still label and over a still grid, a moving point in a second axes, a figure text."""
    figure = new_figure(width, height)
    left = dress(figure.add_axes((0.12, 0.12, 0.5, 0.75)), x="FS, mm", y="WL, mm", title="Turning")
    right = dress(figure.add_axes((0.8, 0.12, 0.18, 0.75)))
    left.set(xlim=(-1, 1), ylim=(-1, 1))
    right.set(xlim=(0, COUNT), ylim=(-1, 1))
    left.axhline(0.2, color="tab:green", zorder=5, lw=4)
    left.text(0, 0, "above", zorder=6)
    right.plot(range(COUNT), np.sin(range(COUNT)))
    (bar,) = left.plot([], [], lw=6, zorder=3, color="tab:red")
    (under,) = left.plot([], [], lw=9, zorder=1, color="tab:blue")
    (mark,) = right.plot([], [], "o", zorder=4)
    word = figure.text(0.02, 0.95, "")

    def update(i: int) -> None:
        z = np.exp(0.7j * i)
        bar.set_data([0, z.real], [0, z.imag])
        under.set_data([0, z.real], [0, -z.imag])
        mark.set_data([i], [np.sin(i)])
        word.set_text(f"frame {i}")

    return Clip(figure, (bar, under, mark, word), update, COUNT, **options)  # type: ignore[arg-type]


def test_frames_equal_a_full_redraw() -> None:
    made = clip()
    for i, frame in enumerate(made.frames()):
        other = clip()
        other.update(i)
        different = (frame != redraw(other.figure)).any(axis=-1).sum()
        assert different <= 3, i
    assert [a.get_animated() for a in made.artists] == [False] * 4


def test_frames_are_arrays_of_their_own_and_can_be_drawn_again() -> None:
    made = clip()
    first = list(made.frames())
    again = list(made.frames([3, 0]))
    assert (first[3] == again[0]).all()
    assert (first[0] == again[1]).all()
    assert (first[0] != first[3]).any()


def test_an_artist_that_would_not_be_drawn_is_refused() -> None:
    made = clip()
    stray = new_figure(10, 10).text(0, 0, "elsewhere")
    with pytest.raises(ValueError, match="directly on the figure"):
        next(Clip(made.figure, (stray,), made.update, 2).frames())
    assert not stray.get_animated()


def test_clips_refuse_nonsense() -> None:
    with pytest.raises(ValueError, match="count=0"):
        Clip(new_figure(10, 10), (), lambda i: i, 0)
    with pytest.raises(ValueError, match="hold must give 8"):
        clip(hold=(1, 2))
    assert clip(hold=(1,) * 7 + (18,), fps=25).seconds() == 1.0


@pytest.mark.parametrize("suffix", [".gif", ".webp"])
def test_pillow_reads_every_frame_again(tmp_path: File, suffix: str) -> None:
    told: list[tuple[int, int]] = []
    made = clip(fps=20, hold=(3, 1, 1, 1, 1, 1, 1, 10))
    path = save_clip(made, tmp_path / f"clip{suffix}", lambda done, total: told.append((done, total)))
    with Image.open(path) as image:
        assert image.n_frames == COUNT  # type: ignore[attr-defined]
        assert image.size == (320, 240)
        durations = []
        for k, frame in enumerate(made.frames()):
            image.seek(k)
            seen = np.asarray(image.convert("RGB"), dtype=int)
            assert np.abs(seen - frame[..., :3]).mean() < 2.5
            durations.append(image.info["duration"])
    assert durations == [150, 50, 50, 50, 50, 50, 50, 500]
    assert told == [(k + 1, COUNT) for k in range(COUNT)]
    assert [p.name for p in tmp_path.iterdir()] == [path.name]


def test_gif_shows_what_each_frame_shows_and_keeps_only_what_changes(tmp_path: File) -> None:
    made = clip(640, 480)
    path = save_clip(made, tmp_path / "clip.gif")
    palette = video._palette(made)
    alone = 0
    with Image.open(path) as image:
        for k, frame in enumerate(made.frames()):
            flat = Image.fromarray(frame).convert("RGB").quantize(palette=palette, dither=Image.Dither.NONE)
            image.seek(k)
            assert np.array_equal(np.asarray(image.convert("RGB")), np.asarray(flat.convert("RGB"))), k
            flat.save(tmp_path / "alone.gif")
            alone += (tmp_path / "alone.gif").stat().st_size
    assert path.stat().st_size < alone / 3


def test_the_same_clip_gives_the_same_bytes(tmp_path: File) -> None:
    for suffix in (".gif", ".webp", *((".mp4",) if find_ffmpeg() else ())):
        a, b = (save_clip(clip(), tmp_path / f"{k}{suffix}").read_bytes() for k in range(2))
        assert a == b, suffix


@pytest.mark.skipif(find_ffmpeg() is None, reason="no ffmpeg")
def test_mp4_of_odd_size_is_readable_and_starts_fast(tmp_path: File) -> None:
    path = save_clip(clip(321, 241, fps=10, hold=(1,) * 7 + (3,)), tmp_path / "clip.mp4")
    data = path.read_bytes()
    assert data.index(b"moov") < data.index(b"mdat")
    program = find_ffmpeg()
    assert program is not None
    done = subprocess.run([program, "-i", str(path), "-f", "null", "-"], capture_output=True, text=True, check=True)
    assert "322x242" in done.stderr
    assert re.findall(r"frame=\s*(\d+)", done.stderr)[-1] == "10"


def test_frames_directory_takes_old_frames_away(tmp_path: File) -> None:
    target = tmp_path / "frames"
    target.mkdir()
    (target / "frame-0099.png").write_bytes(b"old")
    mine = {"notes.txt", "frame-of-mine.png", "frame-12.png"}
    for name in mine:
        (target / name).write_text("mine")
    save_clip(clip(), target)
    assert {p.name for p in target.iterdir()} == {f"frame-{k:04d}.png" for k in range(1, COUNT + 1)} | mine
    assert {(target / name).read_text() for name in mine} == {"mine"}
    with Image.open(target / "frame-0003.png") as image:
        assert image.size == (320, 240)


def test_without_ffmpeg_the_message_says_what_to_do(tmp_path: File, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(video, "find_ffmpeg", lambda: None)
    with pytest.raises(LinkageError, match=r"noseleg\[video\].*\.gif or \.webp"):
        save_clip(clip(), tmp_path / "clip.mp4")
    assert not list(tmp_path.iterdir())


def test_a_failing_ffmpeg_is_reported_and_leaves_nothing(tmp_path: File, monkeypatch: pytest.MonkeyPatch) -> None:
    program = tmp_path / "ffmpeg"
    program.write_text("#!/bin/sh\necho no such coder >&2\nexit 3\n")
    program.chmod(0o755)
    monkeypatch.setattr(video, "find_ffmpeg", lambda: str(program))
    with pytest.raises(LinkageError, match=r"ffmpeg failed \(3\): no such coder"):
        save_clip(clip(), tmp_path / "clip.mp4")
    assert [p.name for p in tmp_path.iterdir()] == ["ffmpeg"]


def test_an_error_in_the_middle_leaves_nothing(tmp_path: File) -> None:
    made = clip()

    def breaks(i: int) -> None:
        if i == 5:
            raise RuntimeError("here")

    for suffix in ("", ".gif", ".webp", *((".mp4",) if find_ffmpeg() else ())):
        with pytest.raises(RuntimeError, match="here"):
            save_clip(Clip(made.figure, made.artists, breaks, COUNT), tmp_path / f"clip{suffix}")
    assert not list(tmp_path.iterdir())


def test_unknown_kinds_and_files_in_the_way_are_refused(tmp_path: File) -> None:
    with pytest.raises(LinkageError, match=r"'.avi'; use .mp4, .gif, .webp or a directory"):
        save_clip(clip(), tmp_path / "clip.avi")
    (tmp_path / "frames").write_text("")
    with pytest.raises(LinkageError, match="this is a file"):
        save_clip(clip(), tmp_path / "frames")


def test_ffmpeg_on_the_path_comes_first(tmp_path: File, monkeypatch: pytest.MonkeyPatch) -> None:
    program = tmp_path / "ffmpeg"
    program.write_text("")
    program.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    assert find_ffmpeg() == shutil.which("ffmpeg") == str(program)


def test_even() -> None:
    frame = np.arange(3 * 5 * 4, dtype=np.uint8).reshape(3, 5, 4)
    out = even(frame)
    assert out.shape == (4, 6, 4)
    assert (out[:3, :5] == frame).all()
    assert isinstance(new_figure(4, 4).text(0, 0, ""), Artist)
