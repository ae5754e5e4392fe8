"""Everything `noseleg review` writes, in one package with a manifest."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from linkage import __version__
from linkage.handoff.package import Written, write_package
from linkage.report.hand_over import hand_over
from linkage.report.headline import full
from linkage.report.load_tables import conditions_csv, interface_csv
from linkage.report.tables import stroke_csv
from linkage.results import Results
from linkage.solution import Solution

Tell = Callable[[str], None]
FRAMES = 120


@dataclass(frozen=True)
class Review:
    """What was written where, and what was left out and why."""

    package: Written
    left_out: dict[str, str]

    def lines(self) -> Iterator[str]:
        yield f"wrote {len(self.package.files)} files to {self.package.folder}: {', '.join(sorted(self.package.files))}"
        for name, why in self.left_out.items():
            yield f"left out {name}: {why}"


def write_review(solution: Solution, folder: Path, tell: Tell = lambda step: None) -> Review:
    """Write results, pictures, animation and keep-out files into ``folder``: all, or nothing changes there."""
    left_out: dict[str, str] = {}
    more = {
        "results.json": (json.dumps(full(solution), indent=1, ensure_ascii=False, allow_nan=False) + "\n").encode(),
        "stroke.csv": stroke_csv(solution.results).encode(),
        "ground-loads.csv": conditions_csv(solution.results).encode(),
        "interface-loads.csv": interface_csv(solution.results).encode(),
    }
    tell("pictures")
    more |= pictures(solution)
    tell("animation")
    more |= clips(solution, left_out, tell)
    package = write_package(folder, hand_over(solution), more, tell)
    return Review(package, {**dict(package.left_out), **left_out})


def pictures(solution: Solution) -> dict[str, bytes]:
    """Side view as SVG and PNG on a sheet, load-share chart as PNG."""
    from linkage.drawing.axes import new_figure
    from linkage.drawing.gear_scene import caption, side_view
    from linkage.drawing.load_chart import caption as load_caption
    from linkage.drawing.load_chart import load_chart
    from linkage.drawing.save import png_bytes, svg_text
    from linkage.drawing.sheet import TitleBlock, draw_sheet

    r = solution.results
    scene = side_view(r)
    block = TitleBlock(
        title=scene.title,
        study=r.study.title,
        study_hash=solution.source.sha256[:12],
        version=__version__,
        owner=r.study.airframe.name,
        states="; ".join(r.swept.keep_out.states),
    )
    sheet = draw_sheet(scene, block).figure
    chart = new_figure(1100, 760)
    load_chart(r, chart.add_axes((0.09, 0.1, 0.88, 0.8)))
    alt = caption(r)
    return {
        "side-view.svg": svg_text(sheet, title=scene.title, alt=alt).encode(),
        "side-view.png": png_bytes(sheet, title=scene.title, alt=alt, dpi=130),
        **leg_picture(r),
        "load-share.png": png_bytes(chart, title="Load share", alt=load_caption(r)),
    }


def leg_picture(r: Results) -> dict[str, bytes]:
    """Bending and shear along the leg as PNG; nothing if the study has no ground condition that loads the gear."""
    from linkage.drawing.axes import new_figure
    from linkage.drawing.leg_loads import caption, leg_figure, shown
    from linkage.drawing.save import png_bytes

    if not shown(r):
        return {}
    return {"leg-loads.png": png_bytes(leg_figure(r, new_figure(1500, 720)), title="Leg loads", alt=caption(r))}


def clips(solution: Solution, left_out: dict[str, str], tell: Tell) -> dict[str, bytes]:
    """The retraction as GIF, and as MP4 where there is an ffmpeg."""
    from linkage.drawing.retraction import retraction
    from linkage.drawing.video import find_ffmpeg, save_clip

    made: dict[str, bytes] = {}
    with tempfile.TemporaryDirectory() as scratch:
        for name in ("retraction.gif", "retraction.mp4"):
            if name.endswith(".mp4") and find_ffmpeg() is None:
                left_out[name] = "needs ffmpeg: install the extra (pip install 'noseleg[video]') or put one on the PATH"
                continue
            size = (960, 540) if name.endswith(".gif") else (1280, 720)
            path = Path(scratch) / name
            save_clip(
                retraction(solution.results, FRAMES, size),
                path,
                lambda done, count, name=name: tell(f"{name} {done}/{count}"),  # type: ignore[misc]
            )
            made[name] = path.read_bytes()
    return made
