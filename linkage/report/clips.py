"""Animations on disk."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from linkage.errors import DocumentError, Fault
from linkage.solution import Solution

if TYPE_CHECKING:
    from linkage.drawing.frames import Frames

LARGEST = 7680
ENDINGS = (".mp4", ".gif", ".webp", "")


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

    if path.suffix.lower() not in ENDINGS:
        _refuse("--output", repr(path.name), ".mp4, .gif, .webp, or a directory name without an ending")
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
    if which != "extension":
        _refuse("--clip", repr(which), "retraction or extension")
    emergency = solution.results.extension
    if emergency is None:
        _refuse("--clip", "the study has no [gear.emergency]", "a study that says how the gear falls")
    return falling(solution.results, emergency.hardest, fps)


def _pixels(size: str) -> tuple[int, int]:
    match = re.fullmatch(r"(\d{2,4})x(\d{2,4})", size)
    if match is None or not all(320 <= int(v) <= LARGEST for v in match.groups()):
        _refuse("--size", repr(size), f"WIDTHxHEIGHT such as 1280x720, each 320 to {LARGEST}")
    return int(match[1]), int(match[2])


def _refuse(field: str, found: str, expected: str) -> NoReturn:
    raise DocumentError([Fault(field, found, expected)], "command line")
