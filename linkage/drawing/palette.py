"""Colours and line types: one meaning each, the same in every picture, and never told by colour alone.

Colours are the eight of Okabe and Ito (2008, "Color Universal Design"), which readers with any kind of colour vision
tell apart. Line types follow ISO 128-2 (dash lengths as multiples of the line width d, thick : thin = 2 : 1), phantom
lines for other positions of moving parts are long - short - short as in ASME Y14.2. Values from memory.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from linkage.drawing.scene import Role

BLACK, ORANGE, SKY, GREEN = "#000000", "#E69F00", "#56B4E9", "#009E73"
YELLOW, BLUE, VERMILION, PURPLE = "#F0E442", "#0072B2", "#D55E00", "#CC79A7"
OKABE_ITO = (BLACK, ORANGE, SKY, GREEN, YELLOW, BLUE, VERMILION, PURPLE)

THICK, THIN = 0.5, 0.25
"""Line widths, mm of paper (ISO 128-2 line group 0.5)."""

Dashes = tuple[float, ...]
SOLID: Dashes = ()
DASHED: Dashes = (12, 3)
CHAIN: Dashes = (24, 3, 1, 3)
PHANTOM: Dashes = (24, 3, 6, 3, 6, 3)


@dataclass(frozen=True)
class Hatch:
    """Parallel lines: direction in degrees from the FS axis, spacing in mm of paper."""

    angle_deg: float
    spacing: float
    crossed: bool = False


@dataclass(frozen=True)
class Style:
    """How one role looks. ``layer`` is the drawing order, greater on top."""

    stroke: str
    text: str
    width: float = THIN
    dashes: Dashes = SOLID
    fill: str | None = None
    opacity: float = 1.0
    hatch: Hatch | None = None
    layer: float = 3.0


@dataclass(frozen=True)
class Theme:
    """Paper, ink and the style of each role."""

    name: str
    paper: str
    ink: str
    muted: str
    faint: str
    styles: Mapping[Role, Style]

    def style(self, role: Role) -> Style:
        """Return the style of ``role``."""
        return self.styles[role]


def blend(colour: str, other: str, share: float) -> str:
    """Mix two ``#rrggbb`` colours; ``share`` is how much of ``other`` (0..1)."""
    a, b = _channels(colour), _channels(other)
    return "#" + "".join(f"{round(p + (q - p) * share):02x}" for p, q in zip(a, b, strict=True))


def contrast(colour: str, other: str) -> float:
    """Return the contrast ratio of two colours, 1..21 (WCAG 2 relative luminance)."""
    light, dark = sorted((_luminance(colour), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _channels(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def _luminance(colour: str) -> float:
    linear = [c / 12.92 if (c := v / 255) <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for v in _channels(colour)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _readable(colour: str, paper: str, ink: str, least: float) -> str:
    """Move ``colour`` towards the ink just as far as it takes to stand off the paper."""
    steps = (blend(colour, ink, share / 20) for share in range(21))
    return next((c for c in steps if contrast(c, paper) >= least), ink)


def _theme(name: str, paper: str, ink: str, moving: str, cover: float) -> Theme:
    def style(
        colour: str,
        layer: float,
        *,
        width: float = THIN,
        dashes: Dashes = SOLID,
        fill: str | None = None,
        opacity: float = 0.0,
        hatch: Hatch | None = None,
    ) -> Style:
        stroke = _readable(colour, paper, ink, 3.2)
        text = _readable(colour, paper, ink, 6.0)
        return Style(stroke, text, width, dashes, fill, opacity, hatch, layer)

    muted, faint = blend(ink, paper, 0.32), blend(ink, paper, 0.86)
    grey = blend(ink, paper, 0.45)
    styles = {
        Role.SWEPT: style(SKY, 1.0, fill=SKY, opacity=0.22),
        Role.KEEPOUT: style(GREEN, 1.2, hatch=Hatch(45, 2.8)),
        Role.BAY: style(grey, 2.0, fill=grey, opacity=0.16),
        Role.ENGINE: style(PURPLE, 2.1, fill=PURPLE, opacity=0.16, hatch=Hatch(90, 5.0)),
        Role.HOT: style(ORANGE, 2.2, fill=ORANGE, opacity=0.30, hatch=Hatch(135, 1.5)),
        Role.GROUND: style(ink, 2.4, width=THICK),
        Role.HIDDEN: style(muted, 3.0, dashes=DASHED),
        Role.TRANSIT: style(moving, 3.2, dashes=PHANTOM),
        Role.UP: style(moving, 3.4, dashes=PHANTOM, fill=moving, opacity=0.10),
        Role.OUTLINE: style(ink, 4.0, width=THICK, fill=blend(ink, paper, 0.9), opacity=0.72),
        Role.ACTUATOR: style(ink, 4.2, width=THICK, fill=YELLOW, opacity=cover),
        Role.SPRING: style(ink, 4.3, width=THIN, fill=paper, opacity=0.6),
        Role.CENTRE: style(ink, 5.0, dashes=CHAIN),
        Role.WORST: style(VERMILION, 6.0, width=THICK, fill=VERMILION, opacity=0.30),
    }
    return Theme(name, paper, ink, muted, faint, MappingProxyType(styles))


# Blue is too dark on dark paper, so there the moving gear takes it lightened, not another hue; a full yellow would
# drown the light pin marks drawn on it.
LIGHT = _theme("light", "#ffffff", "#111111", BLUE, cover=0.75)
DARK = _theme("dark", "#15191d", "#eceae4", blend(BLUE, "#ffffff", 0.35), cover=0.4)
THEMES = {theme.name: theme for theme in (LIGHT, DARK)}
