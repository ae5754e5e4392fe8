"""Every picture of the gallery drawn once, for the files, the page and the pack."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from linkage.drawing.gallery import gallery
from linkage.drawing.save import svg_text
from linkage.results import Results

if TYPE_CHECKING:
    from matplotlib.figure import Figure


@dataclass(frozen=True)
class Drawn:
    """A picture of the gallery with its SVG; ``vector``: a review also writes it as a file of its own."""

    name: str
    title: str
    alt: str
    figure: Figure
    svg: str
    vector: bool

    @property
    def width_mm(self) -> float:
        return float(self.figure.get_figwidth()) * 25.4


def drawn(r: Results) -> tuple[Drawn, ...]:
    """In the order of the gallery."""
    made = []
    for p in gallery(r):
        figure, alt = p.draw(r), p.alt(r)
        svg = svg_text(figure, title=p.title, alt=alt, salt=p.name)
        made.append(Drawn(p.name, p.title, alt, figure, svg, p.vector))
    return tuple(made)
