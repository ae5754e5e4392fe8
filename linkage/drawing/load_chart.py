"""Loading region against CG limits and the wanted nose share."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from linkage.drawing.axes import TEXT_SIZE, dress, lettering
from linkage.drawing.palette import BLUE, GREEN, LIGHT, VERMILION, Theme
from linkage.drawing.text import wrapped
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
    band = r.share.band
    arms = [station_at(r, s) for s in band]
    ax.axvspan(min(arms), max(arms), color=GREEN, alpha=0.12, zorder=1)
    low, high = min([*xs, cg.forward, *arms]), max([*xs, cg.aft, *arms])
    pad = 0.06 * (high - low)
    ax.set_xlim(low - pad, high + pad)
    span = max(ys) - min(ys)
    ax.set_ylim(min(ys) - 0.12 * span, max(ys) + 0.4 * span)
    top = max(ys) + 0.38 * span
    for share, arm in zip(band, arms, strict=True):
        ax.axvline(arm, color=GREEN, linewidth=1.0, zorder=2)
        _upright(ax, arm, top, f"nose share {100 * share:.0f} %", theme)
    for station, name in ((cg.forward, "forward CG limit"), (cg.aft, "aft CG limit")):
        ax.axvline(station, color=VERMILION, linewidth=1.2, linestyle=(0, (6, 2, 1, 2)), zorder=2)
        _upright(ax, station, top, name, theme)
    _share_lines(r, ax, theme)
    _burns(r, ax, theme)
    _extremes(r, ax, theme)
    ax.set_label(caption(r))
    return ax


def station_at(r: Results, share: float) -> float:
    """FS of a CG with that nose share, at the mean height of the CG (the ground attitude makes it depend on height)."""
    stance = r.grounds[0].stance
    height = (r.share.cg.low.value + r.share.cg.high.value) / 2
    along = stance.direction
    return float((stance.arm_at_share(share) - height * along.imag) / along.real)


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


def _share_lines(r: Results, ax: Axes, theme: Theme) -> None:
    """Thin lines at whole percents of nose share between those of the band."""
    low, high = ax.get_xlim()
    for percent in range(1, 100):
        at = station_at(r, percent / 100)
        if low < at < high and all(abs(percent / 100 - limit) > 1e-9 for limit in r.share.band):
            ax.axvline(at, color=GREEN, linewidth=0.6, linestyle=(0, (2, 3)), zorder=2)
            style = lettering(theme, size=TEXT_SIZE - 1.5, colour=theme.muted)
            across = ax.get_xaxis_transform()
            ax.text(at, 0.01, f" {percent} %", ha="left", va="bottom", zorder=6, transform=across, **style)


def _burns(r: Results, ax: Axes, theme: Theme) -> None:
    """How the worst cases move while their fuel burns off; the longest path is named."""
    steps = np.linspace(0.0, 1.0, DENSE)
    paths = [burn.path.cases for burn in r.loadings.burns]
    longest = max(paths, key=lambda cases: cases[0].mass_kg - cases[-1].mass_kg, default=None)
    for cases in paths:
        mass = np.concatenate([a.mass_kg + (b.mass_kg - a.mass_kg) * steps for a, b in pairwise(cases)])
        moment = np.concatenate([a.moment_kgmm + (b.moment_kgmm - a.moment_kgmm) * steps for a, b in pairwise(cases)])
        ax.plot(moment / mass, mass, color=theme.ink, linewidth=1.1, linestyle=(0, (4, 2)), zorder=6)
        tip, before = (moment[-1] / mass[-1], mass[-1]), (moment[-3] / mass[-3], mass[-3])
        ax.annotate("", tip, before, arrowprops={"arrowstyle": "-|>", "color": theme.ink, "linewidth": 1.1}, zorder=6)
        if cases is longest:
            middle = len(mass) // 2
            style = lettering(theme, size=TEXT_SIZE - 0.5)
            place = (float(moment[middle] / mass[middle]), float(mass[middle]))
            ax.annotate("fuel burning off", place, xytext=(7, 0), textcoords="offset points", zorder=8, **style)


def _upright(ax: Axes, x: float, y: float, text: str, theme: Theme) -> None:
    ax.text(x, y, f" {text} ", rotation=90, ha="right", va="top", zorder=6, **lettering(theme, size=TEXT_SIZE - 0.5))


def _extremes(r: Results, ax: Axes, theme: Theme) -> None:
    """The loadings of least and greatest share, named outside the region."""
    ground = r.share.ground
    for extreme, aft in ((ground.share_min, True), (ground.share_max, False)):
        case = extreme.case
        aboard = ", ".join(f"{name} {kg:.0f}" for name, kg in case.masses if kg > 0) or "nothing"
        ax.plot([case.fs_mm], [case.mass_kg], marker="o", color=theme.ink, markersize=5, zorder=7)
        ax.annotate(
            f"{100 * extreme.value:.2f} % with, kg\n{wrapped(aboard, 18, 4)}",
            (case.fs_mm, case.mass_kg),
            xytext=(9 if aft else -9, 4),
            textcoords="offset points",
            ha="left" if aft else "right",
            va="bottom",
            zorder=8,
            bbox={"facecolor": theme.paper, "edgecolor": "none", "alpha": 0.7, "pad": 1.0},
            **lettering(theme, size=TEXT_SIZE - 0.5),
        )
