"""Own animation engine against matplotlib's FuncAnimation.save: the same 120 frames at 1280x720, one process."""

from __future__ import annotations

import math
import time
from pathlib import Path

import matplotlib
import numpy as np
import pytest

from linkage.drawing.animation import Clip
from linkage.drawing.axes import dress, lettering, new_figure
from linkage.drawing.letters import Letters
from linkage.drawing.palette import LIGHT
from linkage.drawing.video import find_ffmpeg, save_clip
from tests.benchmarks.measure import least

FRAMES = 120


def moving_picture() -> Clip:
    """Three axes and twelve moving artists, about what a retraction shows."""
    figure = new_figure(1280, 720)
    side = dress(figure.add_axes((0.06, 0.1, 0.52, 0.84)), x="FS, mm", y="WL, mm", title="Side view")
    charts = [dress(figure.add_axes((0.66, y, 0.31, 0.36)), x="swing, deg", y="force, N") for y in (0.58, 0.1)]
    side.set(xlim=(-1, 1), ylim=(-1, 1), aspect="equal")
    angle = np.linspace(0, 2 * math.pi, 200)
    bars = [side.plot([], [], lw=3)[0] for _ in range(6)]
    wheel = side.fill(np.cos(angle), np.sin(angle), alpha=0.3)[0]
    words = [side.text(-0.95, 0.9 - 0.1 * k, "", fontsize=9) for k in range(3)]
    for k, chart in enumerate(charts):
        chart.plot(angle, np.sin((k + 1) * angle))
    marks = [chart.plot([], [], "o")[0] for chart in charts]

    def update(i: int) -> list[object]:
        turn = np.exp(1j * angle[i % 200])
        for k, bar in enumerate(bars):
            bar.set_data([0, (0.1 + 0.12 * k) * turn.real], [0, (0.1 + 0.12 * k) * turn.imag])
        wheel.set_xy(np.column_stack([0.6 * turn.real + 0.2 * np.cos(angle), 0.6 * turn.imag + 0.2 * np.sin(angle)]))
        for k, word in enumerate(words):
            word.set_text(f"reading {k}: {i * 1.25:6.2f} mm")
        for k, mark in enumerate(marks):
            mark.set_data([angle[i % 200]], [math.sin((k + 1) * angle[i % 200])])
        return [*bars, wheel, *words, *marks]

    return Clip(figure, tuple(update(0)), update, FRAMES, fps=30)  # type: ignore[arg-type]


@pytest.mark.benchmark
def test_mp4_is_six_times_faster_than_func_animation(tmp_path: Path) -> None:
    from matplotlib.animation import FFMpegWriter, FuncAnimation

    program = find_ffmpeg()
    if program is None:
        pytest.skip("no ffmpeg")
    clip = moving_picture()
    save_clip(clip, tmp_path / "warm.mp4")
    start = time.perf_counter()
    save_clip(clip, tmp_path / "own.mp4")
    own = time.perf_counter() - start
    with matplotlib.rc_context({"animation.ffmpeg_path": program}):
        start = time.perf_counter()
        movie = FuncAnimation(clip.figure, clip.update, frames=FRAMES, blit=True)  # type: ignore[arg-type]
        movie.save(tmp_path / "theirs.mp4", writer=FFMpegWriter(fps=30))
        theirs = time.perf_counter() - start
    times = {".mp4": own}
    for suffix in (".gif", ".webp"):
        start = time.perf_counter()
        save_clip(clip, tmp_path / f"own{suffix}")
        times[suffix] = time.perf_counter() - start
    sizes = {path.name: path.stat().st_size // 1000 for path in sorted(tmp_path.iterdir())}
    print(f"\nFuncAnimation {theirs:.2f} s; own {times}; sizes kB {sizes}; mp4 ratio {theirs / own:.1f}")
    assert theirs / own >= 6.0


@pytest.mark.benchmark
def test_kept_letters_are_five_times_faster_than_drawn_ones() -> None:
    figure = new_figure(1280, 720)
    letters = Letters(LIGHT, figure.dpi)
    figure.add_artist(letters)
    text = figure.text(0.1, 0.9, "", va="top", **lettering(LIGHT))
    figure.canvas.draw()
    renderer = figure.canvas.get_renderer()  # type: ignore[attr-defined]

    def readout(i: int) -> list[str]:
        return [f"leg swing {i * 1.3:.1f} deg", f"actuator {300 + i * 0.7:.1f} mm", f"least margin {i * 0.11:.1f} mm"]

    def kept() -> None:
        for i in range(40):
            letters.show(readout(i), (128.0, 648.0))
            letters.draw(renderer)

    def drawn() -> None:
        for i in range(40):
            text.set_text("\n".join(readout(i)))
            text.draw(renderer)

    ours, theirs = least(kept, drawn)
    print(f"\nthree lines: kept {ours / 40e-3:.2f} ms, drawn {theirs / 40e-3:.2f} ms, ratio {theirs / ours:.1f}")
    assert theirs >= 5.0 * ours
