"""Animations on disk."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from linkage.errors import DocumentError, Fault

if TYPE_CHECKING:
    from linkage.drawing.frames import Frames
    from linkage.solution import Solution

LARGEST = 7680
ENDINGS = (".mp4", ".gif", ".webp", "")
CLIPS = ("retraction", "extension")


def check_clip(path: Path, size: str, which: str) -> None:
    """Raise ``DocumentError`` for all of an ending, size and clip that there are not."""
    faults = []
    if path.suffix.lower() not in ENDINGS:
        faults.append(Fault("--output", repr(path.name), ".mp4, .gif, .webp, or a directory name without an ending"))
    if which not in CLIPS:
        faults.append(Fault("--clip", repr(which), " or ".join(CLIPS)))
    if not all(320 <= v <= LARGEST for v in _pixels(size)):
        faults.append(Fault("--size", repr(size), f"WIDTHxHEIGHT such as 1280x720, each 320 to {LARGEST}"))
    if faults:
        raise DocumentError(faults, "command line")


def write_clip(
    solution: Solution,
    path: Path,
    count: int = 120,
    fps: float = 25.0,
    size: str = "1280x720",
    dark: bool = False,
    which: str = "retraction",
    tell: Callable[[str], None] = lambda step: None,
) -> None:
    """Write one clip as the ending of ``path`` says. ``DocumentError`` for a size, clip or ending it cannot do."""
    from linkage.drawing.palette import DARK, LIGHT
    from linkage.drawing.retraction import motion_clip
    from linkage.drawing.video import save_clip

    check_clip(path, size, which)
    run = _frames(solution, which, count, fps)
    clip = motion_clip(solution.results, run, _pixels(size), fps, DARK if dark else LIGHT)
    save_clip(clip, path, lambda done, total: tell(f"{path.name} {done}/{total}"))


def clip_bytes(solution: Solution, path: Path, count: int, fps: float, size: str, which: str) -> bytes:
    """One clip as bytes; ``path``: where to write it first, in a folder that somebody else clears away."""
    write_clip(solution, path, count, fps, size, which=which)
    return path.read_bytes()


def _frames(solution: Solution, which: str, count: int, fps: float) -> Frames:
    from linkage.drawing.frames import falling, steady

    if which == "retraction":
        return steady(solution.results, count)
    emergency = solution.results.extension
    if emergency is None:
        lacking = Fault("--clip", "the study has no [gear.emergency]", "a study that says how the gear falls")
        raise DocumentError([lacking], "command line")
    return falling(solution.results, emergency.hardest, fps)


def _pixels(size: str) -> tuple[int, int]:
    """Width and height; 0 where a text says none."""
    match = re.fullmatch(r"(\d{2,4})x(\d{2,4})", size)
    return (int(match[1]), int(match[2])) if match else (0, 0)
