"""Clips on disk: MP4, GIF, WebP, or a directory of PNG frames. Whole files only, the same bytes from the same tools.

MP4 needs the program ffmpeg: one on the PATH, else the one that the ``video`` extra brings. It is only called as a
process. Everything else needs nothing but Pillow.
"""

from __future__ import annotations

import contextlib
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from itertools import accumulate
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from linkage.drawing.animation import Clip, Frame, Progress
from linkage.errors import LinkageError
from linkage.files import whole_file
from linkage.folders import staged

if TYPE_CHECKING:
    from PIL import Image

FORMATS = (".mp4", ".gif", ".webp")
COLOURS, EXACT = 128, 48
QUALITY = 20
"""x264 constant rate factor; 20 keeps thin lines clean."""
NUMBERED = tuple(f"frame-{'[0-9]' * digits}.png" for digits in range(4, 9))
"""Names that frames have had."""


def save_clip(clip: Clip, path: Path, progress: Progress | None = None) -> Path:
    """Write ``clip`` as the suffix of ``path`` says; a path without suffix becomes a directory of PNG frames.

    Raises ``LinkageError`` when MP4 is wanted and there is no ffmpeg (see :func:`find_ffmpeg`).
    """
    match path.suffix.lower():
        case ".mp4":
            _write_mp4(clip, path, progress)
        case ".gif":
            _write_gif(clip, path, progress)
        case ".webp":
            _write_webp(clip, path, progress)
        case "":
            _write_frames(clip, path, progress)
        case other:
            raise LinkageError(f"{path}: no animation is written as {other!r}; use {', '.join(FORMATS)} or a directory")
    return path


def find_ffmpeg() -> str | None:
    """Return the ffmpeg on the PATH, else the one of imageio-ffmpeg, else None."""
    found = shutil.which("ffmpeg")
    if found is None:
        with contextlib.suppress(ImportError, RuntimeError):
            import imageio_ffmpeg

            found = str(imageio_ffmpeg.get_ffmpeg_exe())
    return found


def _told(clip: Clip, progress: Progress | None) -> Iterator[Frame]:
    """The frames of a clip, telling how far it is."""
    for done, frame in enumerate(clip.frames(), start=1):
        yield frame
        if progress is not None:
            progress(done, clip.count)


def _write_mp4(clip: Clip, path: Path, progress: Progress | None) -> None:
    program = find_ffmpeg()
    if program is None:
        raise LinkageError(
            f"{path}: MP4 needs the program ffmpeg, and there is none. Install the extra"
            " (pip install 'noseleg[video]'), put an ffmpeg on the PATH, or ask for .gif or .webp, which need neither"
        )
    frames = _told(clip, progress)
    first = even(next(frames))
    rows, columns = first.shape[:2]
    source = ["-f", "rawvideo", "-pix_fmt", "rgba", "-s", f"{columns}x{rows}", "-r", f"{clip.fps:g}", "-i", "pipe:0"]
    coding = ["-c:v", "libx264", "-preset", "veryfast", "-crf", str(QUALITY), "-pix_fmt", "yuv420p"]
    # bitexact and no metadata: no version and no time in the file.
    plain = ["-map_metadata", "-1", "-fflags", "+bitexact", "-flags:v", "+bitexact", "-movflags", "+faststart"]
    with whole_file(path) as draft, tempfile.TemporaryFile() as words:
        command = [program, "-hide_banner", "-loglevel", "error", "-y", *source, "-an", *coding, *plain, str(draft)]
        process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=words)
        try:
            _feed(process, first, frames, clip)
        finally:
            with contextlib.suppress(BrokenPipeError):
                process.stdin.close()  # type: ignore[union-attr]
            code = process.wait()
        words.seek(0)
        said = words.read().decode(errors="replace").strip()
        if code != 0:
            raise LinkageError(f"{path}: ffmpeg failed ({code}): {said[-400:] or 'no message'}")


def _feed(process: subprocess.Popen[bytes], first: Frame, rest: Iterator[Frame], clip: Clip) -> None:
    """Send the frames down the pipe, each as often as it is held; a broken pipe is left to the exit code."""
    assert process.stdin is not None
    holds = iter(clip.holds())
    with contextlib.suppress(BrokenPipeError):
        for frame in _chain(first, rest):
            data = frame.data.cast("B")
            for _ in range(next(holds)):
                process.stdin.write(data)
        process.stdin.close()


def _chain(first: Frame, rest: Iterator[Frame]) -> Iterator[Frame]:
    yield first
    for frame in rest:
        yield even(frame)


def even(frame: Frame) -> Frame:
    """Return a frame with even sides (the last row or column doubled), as video coding wants them."""
    rows, columns = frame.shape[:2]
    if rows % 2 or columns % 2:
        frame = np.pad(frame, ((0, rows % 2), (0, columns % 2), (0, 0)), mode="edge")
    return np.ascontiguousarray(frame)


def _durations(clip: Clip, unit_ms: int) -> list[int]:
    """Milliseconds of each frame in whole ``unit_ms``, rounded so that the sum stays right."""
    ends = [round(total * 1000 / clip.fps / unit_ms) for total in accumulate(clip.holds())]
    return [max(b - a, 1) * unit_ms for a, b in zip([0, *ends], ends, strict=False)]


def _write_gif(clip: Clip, path: Path, progress: Progress | None) -> None:
    """One palette for all frames, no dithering: flat areas stay flat, and what a frame does not change is left out of
    it (``optimize``), a fifth of the file."""
    from PIL import Image

    palette = _palette(clip)
    images = (_rgb(frame).quantize(palette=palette, dither=Image.Dither.NONE) for frame in _told(clip, progress))
    _save_images(images, path, format="GIF", duration=_durations(clip, 10), disposal=1, optimize=True)


def _save_images(images: Iterator[Image.Image], path: Path, **options: Any) -> None:
    """All images as one file that plays for ever."""
    first = next(images)
    with whole_file(path) as draft:
        first.save(draft, save_all=True, append_images=images, loop=0, **options)


def _palette(clip: Clip) -> Image.Image:
    """The colours of a few frames spread over the clip, so that what appears late has its colour too."""
    from PIL import Image

    few = sorted({round(k * (clip.count - 1) / 4) for k in range(5)})
    seen = np.concatenate([frame[::2, ::2, :3].reshape(-1, 3) for frame in clip.frames(few)])
    packed = seen.astype(np.uint32) @ np.array([65536, 256, 1], dtype=np.uint32)
    colours, counts = np.unique(packed, return_counts=True)
    # Paper, ink and fills keep their exact colours. No second one close by: Pillow looks colours up in steps of four.
    exact = _apart(_unpacked(colours[np.argsort(-counts, kind="stable")[:2000]]), EXACT)
    strip = Image.fromarray(seen[None, :, :])
    blends = np.array(strip.quantize(COLOURS).getpalette(), dtype=np.uint8).reshape(-1, 3)
    palette = Image.new("P", (1, 1))
    palette.putpalette(_apart(np.concatenate([exact, blends]), COLOURS).tobytes())
    return palette


def _apart(colours: Frame, most: int, least: int = 7) -> Frame:
    """Take colours in turn, but none that is closer than ``least`` steps in every channel to one already taken."""
    taken = colours[:1]
    for colour in colours[1:]:
        if len(taken) == most:
            break
        if np.abs(taken.astype(int) - colour).max(axis=1).min() >= least:
            taken = np.concatenate([taken, colour[None, :]])
    return taken


def _unpacked(packed: NDArray[np.uint32]) -> Frame:
    """Turn 0xrrggbb numbers into rows of three bytes."""
    return np.stack([packed >> 16, packed >> 8, packed], axis=-1).astype(np.uint8)


def _write_webp(clip: Clip, path: Path, progress: Progress | None) -> None:
    images = (_rgb(frame) for frame in _told(clip, progress))
    durations = _durations(clip, 1)
    _save_images(images, path, format="WEBP", duration=durations, quality=85, method=2, minimize_size=False)


def _write_frames(clip: Clip, directory: Path, progress: Progress | None) -> None:
    """Write ``frame-0001.png`` and so on, all together or none; those of a longer clip before are taken away."""
    if directory.exists() and not directory.is_dir():
        raise LinkageError(f"{directory}: frames need a directory, and this is a file")
    width = max(len(str(clip.count)), 4)
    with staged(directory, f"frame-{1:0{width}d}.png", NUMBERED) as draft:
        for number, frame in enumerate(_told(clip, progress), start=1):
            _rgb(frame).save(draft / f"frame-{number:0{width}d}.png", format="PNG", compress_level=3)


def _rgb(frame: Frame) -> Image.Image:
    from PIL import Image

    return Image.fromarray(frame).convert("RGB")
