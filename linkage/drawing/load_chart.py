"""Loading region against CG limits and the wanted nose share."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from linkage.drawing.axes import TEXT_SIZE, dress, lettering
from linkage.drawing.palette import BLUE, GREEN, LIGHT, VERMILION, Theme
from linkage.drawing.text import escaped
from linkage.results import Results

if TYPE_CHECKING:
    from matplotlib.axes import Axes

DENSE = 60
"""Points per straight edge: edges of (mass, moment) are curved over the CG."""


def load_chart(r: Results, ax: Axes, theme: Theme = LIGHT) -> Axes:
    """Mass over CG for every loading, CG limits, and the stations at which the nose share has its wanted values."""
    dress(ax, theme, x="CG station FS, mm (aft +)", y="mass, kg", title=title(r))
    xs, ys = _region(r, ax, theme)
    cg = r.study.airframe.cg_limits
    stance = r.grounds[0].stance
    band = r.share.band
    arms = [float(stance.arm_at_share(s)) for s in band]
    ax.axvspan(min(arms), max(arms), color=GREEN, alpha=0.12, zorder=1)
    low, high = min([*xs, cg.forward, *arms]), max([*xs, cg.aft, *arms])
    pad = 0.06 * (high - low)
    ax.set_xlim(low - pad, high + pad)
    span = max(ys) - min(ys)
    ax.set_ylim(min(ys) - 0.12 * span, max(ys) + 0.3 * span)
    top = max(ys) + 0.27 * span
    for share, arm in zip(band, arms, strict=True):
        ax.axvline(arm, color=GREEN, linewidth=1.0, zorder=2)
        _upright(ax, arm, top, f"nose share {100 * share:.0f} %", theme)
    for station, name in ((cg.forward, "forward CG limit"), (cg.aft, "aft CG limit")):
        ax.axvline(station, color=VERMILION, linewidth=1.2, linestyle=(0, (6, 2, 1, 2)), zorder=2)
        _upright(ax, station, top, name, theme)
    _extremes(r, ax, theme)
    ax.set_label(caption(r))
    return ax


def title(r: Results) -> str:
    """The answer in one line."""
    g = r.share.ground
    return (
        f"Nose share {100 * g.share_min.value:.1f} to {100 * g.share_max.value:.1f} %; {100 * r.share.in_band:.0f} % of"
        f" the loading region lies within {100 * r.share.band[0]:.0f} to {100 * r.share.band[1]:.0f} %"
    )


def caption(r: Results) -> str:
    """Alternative text."""
    c = r.share.cg
    return (
        f"Mass against CG station of {r.study.airframe.name} for every loading: CG from FS {c.forward.value:.0f} to"
        f" {c.aft.value:.0f} mm, mass {c.mass_min.value:.0f} to {c.mass_max.value:.0f} kg. {title(r)}."
    )


def _region(r: Results, ax: Axes, theme: Theme) -> tuple[list[float], list[float]]:
    xs: list[float] = []
    ys: list[float] = []
    for rings in r.share.region.outlines:
        for ring in rings:
            steps = np.linspace(0.0, 1.0, DENSE, endpoint=False)[:, None]
            path = np.concatenate([a + (b - a) * steps for a, b in pairwise(ring)])
            station, mass = path[:, 1] / path[:, 0], path[:, 0]
            ax.fill(station, mass, facecolor=BLUE, alpha=0.18, edgecolor="none", zorder=3)
            ax.plot([*station, station[0]], [*mass, mass[0]], color=BLUE, linewidth=1.4, zorder=4)
            xs += [float(v) for v in station]
            ys += [float(v) for v in mass]
    if not xs:
        corners = np.concatenate(r.share.region.pieces)
        xs, ys = (corners[:, 1] / corners[:, 0]).tolist(), corners[:, 0].tolist()
        ax.plot(xs, ys, color=BLUE, linewidth=1.4, marker="o", zorder=4)
    return xs, ys


def _upright(ax: Axes, x: float, y: float, text: str, theme: Theme) -> None:
    ax.text(x, y, f" {text} ", rotation=90, ha="right", va="top", zorder=6, **lettering(theme, size=TEXT_SIZE - 0.5))


def _extremes(r: Results, ax: Axes, theme: Theme) -> None:
    ground = r.share.ground
    for extreme, side in ((ground.share_min, "left"), (ground.share_max, "right")):
        case = extreme.case
        aboard = ", ".join(f"{name} {kg:.0f}" for name, kg in case.masses if kg > 0) or "nothing"
        ax.plot([case.fs_mm], [case.mass_kg], marker="o", color=theme.ink, markersize=5, zorder=7)
        ax.annotate(
            escaped(f"{100 * extreme.value:.2f} %\n{aboard} kg", 90),
            (case.fs_mm, case.mass_kg),
            xytext=(-8 if side == "left" else 8, 10 if side == "left" else -10),
            textcoords="offset points",
            ha="right" if side == "left" else "left",
            va="bottom" if side == "left" else "top",
            zorder=8,
            **lettering(theme, size=TEXT_SIZE - 0.5),
        )
