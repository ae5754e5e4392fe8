"""Pictures drawn once, for the files, the page and the pack: as SVG, and as PNG where that is wanted."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from linkage.drawing.gallery import gallery
from linkage.drawing.gap_figures import caption, gap_figure, tightest
from linkage.drawing.gap_figures import title as gap_title
from linkage.drawing.save import png_bytes, svg_text
from linkage.results import Results

if TYPE_CHECKING:
    from matplotlib.figure import Figure


@dataclass(frozen=True)
class Drawn:
    """A picture as text and bytes, so that another process can hand it over; ``png`` is empty where none was wanted;
    ``vector``: a review also writes the SVG as a file of its own."""

    name: str
    title: str
    alt: str
    width_mm: float
    svg: str
    png: bytes = b""
    vector: bool = False


def printed(figure: Figure, name: str, title: str, alt: str, dpi: float | None = None) -> Drawn:
    """A figure as SVG, and as PNG with that many dots an inch, 0 for the figure's own, None for no PNG."""
    width = float(figure.get_figwidth()) * 25.4
    svg = svg_text(figure, title=title, alt=alt, salt=name)
    png = b"" if dpi is None else png_bytes(figure, title=title, alt=alt, dpi=dpi)
    return Drawn(name, title, alt, width, svg, png, vector=False)


def drawn(r: Results) -> tuple[Drawn, ...]:
    """All of the gallery, in its order, without PNG."""
    return tuple(picture(r, p.name, png=False) for p in gallery(r))


def picture(r: Results, name: str, png: bool = True) -> Drawn:
    """One of the gallery."""
    p = next(p for p in gallery(r) if p.name == name)
    made = printed(p.draw(r), p.name, p.title, p.alt(r), 0.0 if png else None)
    return Drawn(**{**made.__dict__, "vector": p.vector})


def close_ups(r: Results) -> tuple[Drawn, ...]:
    """The tightest pairs, each at the pose of its least gap, without PNG."""
    return tuple(
        printed(gap_figure(r, gap), f"gap-{i}", gap_title(gap), caption(gap)) for i, gap in enumerate(tightest(r), 1)
    )
