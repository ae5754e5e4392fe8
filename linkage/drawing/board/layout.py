"""Where everything stands on the board, for a window of any size. Inches, because letters are measured in points."""

from __future__ import annotations

from dataclasses import dataclass

Box = tuple[float, float, float, float]
"""Left, lower, width, height as fractions of the window."""

HEAD, FOOT, RULER = 0.36, 0.78, 0.98
"""Heights, inches: title line; strips at the foot; the stroke below the side view."""

ROW = 0.185
"""Height of a line of a list, inches."""

GAP_ROWS = 12
"""Lines of the list of gaps at most."""

EDGE = 0.14
SCALE = 0.7
"""Inches left of the side view for its scale."""


@dataclass(frozen=True)
class Layout:
    """Boxes of the areas, and how many lines the two lists have."""

    width: float
    height: float
    side: Box
    stroke: Box
    share: Box
    force: Box
    knee: Box
    gaps: Box
    findings: Box
    foot: Box
    gap_rows: int
    finding_rows: int


def lay_out(width: float, height: float, gaps: int = GAP_ROWS) -> Layout:
    """The board in a window of ``width`` x ``height`` inches, with so many gaps to be listed."""
    width, height = max(width, 6.0), max(height, 4.0)
    column = min(max(0.36 * width, 3.5), 5.2)
    left, right = width - column, width - EDGE
    body_low, body_high = FOOT, height - HEAD
    tall = body_high - body_low

    def box(x0: float, y0: float, x1: float, y1: float) -> Box:
        return (x0 / width, y0 / height, (x1 - x0) / width, (y1 - y0) / height)

    charts = min(max(0.27 * tall, 1.15), 2.0)
    share_low = body_high - 0.62
    charts_low = share_low - charts - 0.12
    lists = charts_low - 0.12 - body_low
    rows = max(int(lists / ROW) - 2, 4)
    gap_rows = max(min(round(0.42 * rows), GAP_ROWS, gaps), 2)
    gaps_low = charts_low - 0.12 - (gap_rows + 1) * ROW
    middle = (left + right) / 2
    return Layout(
        width=width,
        height=height,
        side=box(SCALE, body_low + RULER, left - 0.22, body_high - 0.06),
        stroke=box(SCALE, body_low + 0.36, left - 0.22, body_low + 0.54),
        share=box(left, share_low + 0.22, right, body_high - 0.22),
        force=box(left + 0.42, charts_low + 0.3, middle - 0.06, share_low - 0.26),
        knee=box(middle + 0.42, charts_low + 0.3, right, share_low - 0.26),
        gaps=box(left, gaps_low, right, gaps_low + (gap_rows + 1) * ROW),
        findings=box(left, body_low, right, gaps_low - 0.06),
        foot=box(EDGE, 0.0, right, FOOT),
        gap_rows=gap_rows,
        finding_rows=rows - gap_rows,
    )
