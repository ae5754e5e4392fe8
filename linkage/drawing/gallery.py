"""Every figure of a solved study: what to draw, and its alternative text. Review, page and pack read this list."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from linkage.drawing.axes import new_figure
from linkage.drawing.baggage_chart import baggage_chart
from linkage.drawing.baggage_chart import caption as baggage_caption
from linkage.drawing.baggage_chart import shown as baggage_shown
from linkage.drawing.door_figures import caption as door_caption
from linkage.drawing.door_figures import door_figure
from linkage.drawing.door_figures import shown as door_shown
from linkage.drawing.extension_figures import caption as extension_caption
from linkage.drawing.extension_figures import extension_figure
from linkage.drawing.extension_figures import shown as extension_shown
from linkage.drawing.force_figures import force_caption, force_figure, moment_caption, moment_figure
from linkage.drawing.force_figures import shown as force_shown
from linkage.drawing.leg_loads import caption as leg_caption
from linkage.drawing.leg_loads import leg_figure
from linkage.drawing.leg_loads import shown as leg_shown
from linkage.drawing.load_chart import caption as load_caption
from linkage.drawing.load_chart import load_chart
from linkage.drawing.lock_figures import caption as lock_caption
from linkage.drawing.lock_figures import lock_figure
from linkage.drawing.lock_figures import shown as lock_shown
from linkage.drawing.stance_scene import caption as stance_caption
from linkage.drawing.stance_scene import stance_figure
from linkage.drawing.station_map import caption as station_caption
from linkage.drawing.station_map import station_map
from linkage.drawing.stroke_figures import caption as stroke_caption
from linkage.drawing.stroke_figures import stroke_figure
from linkage.results import Results

if TYPE_CHECKING:
    from matplotlib.figure import Figure


@dataclass(frozen=True)
class Picture:
    """``draw`` returns a figure; ``shown``: whether the study has what it shows; ``alt``: the alternative text.

    ``vector``: a review also writes it as SVG.
    """

    name: str
    title: str
    draw: Callable[[Results], Figure]
    alt: Callable[[Results], str]
    shown: Callable[[Results], bool] = lambda r: True
    vector: bool = False


def _load_share(r: Results) -> Figure:
    figure = new_figure(1100, 760)
    load_chart(r, figure.add_axes((0.09, 0.1, 0.88, 0.8)))
    return figure


def _baggage_map(r: Results) -> Figure:
    figure = new_figure(1100, 760)
    baggage_chart(r, figure.add_axes((0.09, 0.16, 0.88, 0.74)))
    return figure


def _station_map(r: Results) -> Figure:
    figure = new_figure(1100, 760)
    station_map(r, figure.add_axes((0.09, 0.14, 0.88, 0.76)))
    return figure


GALLERY = (
    Picture("load-share", "Load share", _load_share, load_caption),
    Picture("baggage-map", "Allowed combinations", _baggage_map, baggage_caption, baggage_shown),
    Picture("stance", "On the ground", stance_figure, stance_caption, vector=True),
    Picture("station-map", "Where the wheels may be", _station_map, station_caption),
    Picture("leg-loads", "Leg loads", lambda r: leg_figure(r, new_figure(1500, 720)), leg_caption, leg_shown),
    Picture("lock", "The lock", lambda r: lock_figure(r, new_figure(1400, 620)), lock_caption, lock_shown),
    Picture("stroke-curves", "The stroke", stroke_figure, stroke_caption),
    Picture(
        "actuator-force", "Actuator force", lambda r: force_figure(r, new_figure(1500, 720)), force_caption, force_shown
    ),
    Picture(
        "hinge-moments", "Hinge moments", lambda r: moment_figure(r, new_figure(1500, 720)), moment_caption, force_shown
    ),
    Picture(
        "emergency-extension",
        "Emergency extension",
        lambda r: extension_figure(r, new_figure(1600, 640)),
        extension_caption,
        extension_shown,
    ),
    Picture("doors", "Doors", lambda r: door_figure(r, new_figure(1100, 760)), door_caption, door_shown),
)
"""In the order in which a review reads them. File names are the names here with .png."""


def gallery(r: Results) -> tuple[Picture, ...]:
    """The pictures that this study has something to show in."""
    return tuple(p for p in GALLERY if p.shown(r))
