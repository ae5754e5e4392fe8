"""The drawing sheets of a solved study, with their title block."""

from __future__ import annotations

from linkage import __version__
from linkage.drawing.drawn import Drawn, printed
from linkage.drawing.gear_scene import caption, side_view
from linkage.drawing.gear_scene import title as side_title
from linkage.drawing.sheet import A3, Sheet, Size, TitleBlock, draw_sheet
from linkage.solution import Solution


def side_view_sheet(solution: Solution, size: Size = A3, number: str = "1 / 1") -> Sheet:
    """The side view at true scale on a sheet, with border and title block; ``number``: which sheet of how many."""
    r = solution.results
    scene = side_view(r)
    block = TitleBlock(
        title=scene.title,
        study=solution.source.title,
        study_hash=solution.source.sha256[:12],
        version=__version__,
        owner=r.study.airframe.name,
        states="; ".join(r.swept.keep_out.states),
        sheet=number,
    )
    return draw_sheet(scene, block, size=size)


def side_drawn(solution: Solution, size: Size, name: str, dpi: float | None = None) -> Drawn:
    """The side view on a sheet, with PNG if ``dpi`` is given."""
    r = solution.results
    return printed(side_view_sheet(solution, size).figure, name, side_title(r), caption(r), dpi)
