"""How the aircraft stands: side view with tip-back, tail and propeller, plan view with the turnover line."""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from shapely.geometry import MultiPoint, box

from linkage.drawing.axes import lettering, new_figure
from linkage.drawing.gear_scene import bay, part_shape
from linkage.drawing.paint import paint
from linkage.drawing.palette import LIGHT, Theme
from linkage.drawing.scene import Bar, Dimension, Disc, Item, Leader, Note, Path, PinMark, Region, Role, Scene, Window
from linkage.drawing.text import plain
from linkage.loading import LoadCase
from linkage.loading.silhouette import silhouette
from linkage.results import Results
from linkage.tracks import in_state
from linkage.tyres import published
from linkage.units import INCH

if TYPE_CHECKING:
    from matplotlib.figure import Figure

WIDTH, LEFT, GAP, RIGHT, BELOW, ABOVE = 1760, 80, 90, 30, 65, 60
"""Pixels: of the figure, and of the margins round and between the two views."""

BLADE = 16.0
"""Half thickness with which the disc of the propeller is drawn edge-on, mm."""


def stance_figure(r: Results, theme: Theme = LIGHT) -> Figure:
    """Side view and plan view beside each other at one scale."""
    scenes = ((side_scene(r), "WL, mm (up +)"), (plan_scene(r), "BL, mm (right +)"))
    spans = [scene.extent() for scene, _ in scenes]
    across, high = sum(x1 - x0 for x0, _, x1, _ in spans), max(y1 - y0 for _, y0, _, y1 in spans)
    room = WIDTH - LEFT - GAP - RIGHT
    tall = room * high / across
    whole = math.ceil(tall) + BELOW + ABOVE
    figure = new_figure(WIDTH, whole, theme=theme)
    left = float(LEFT)
    for (scene, name), (x0, _, x1, _) in zip(scenes, spans, strict=True):
        width = room * (x1 - x0) / across
        place = (left / WIDTH, BELOW / whole, width / WIDTH, tall / whole)
        ax = paint(scene, figure.add_axes(place), theme, title=False)
        ax.set_ylabel(name, **lettering(theme))
        left += width + GAP
    y = 1.0 - 0.5 * ABOVE / whole
    figure.text(LEFT / WIDTH, y, plain(title(r)), va="center", **lettering(theme, size=11.0, weight="bold"))
    return figure


def title(r: Results) -> str:
    """The answer in one line."""
    tip, over = (math.degrees(v) for v in (r.share.ground.tip_back_min.value, r.standing.turnover.value))
    parts = [f"Tip-back {tip:.1f} deg at least", f"turnover {over:.1f} deg at most"]
    if r.standing.propeller:
        flat = r.standing.clearance(r.standing.flat.state)
        lowest = min(r.standing.clearance(s) for s in ("static", "level"))
        parts.append(f"propeller {lowest:.0f} mm above the ground, {flat:.0f} mm on a flat tyre")
    return "; ".join(parts)


def caption(r: Results) -> str:
    """Alternative text."""
    tail = f" Tail contact at {math.degrees(r.standing.tail):.1f} deg." if r.standing.tail is not None else ""
    return (
        f"Side and plan view of {r.study.airframe.name} on its wheels, nose to the left, wheelbase"
        f" {r.grounds[0].wheelbase:.0f} mm, track {r.study.airframe.main_gear.track:.0f} mm. {title(r)}.{tail}"
    )


def side_scene(r: Results) -> Scene:
    """Static ground, wheels, propeller, every CG, and the angles at the main contact."""
    window = _side_window(r)
    static = r.grounds[0]
    items: list[Item] = [*_context(r, window), *_gear(r), Disc(static.axle, static.radius, Role.OUTLINE, "nose wheel")]
    items += [*_main_wheel(r), _line(static.nose, static.main, window, Role.GROUND, "static ground")]
    items += [_cg_region(r), *_tip_back(r), *_propeller(r, window), *_tail(r)]
    items += _settled(r)
    items.append(Dimension(static.nose, static.main, f"wheelbase {static.wheelbase:.0f}", offset=-9.0))
    return Scene(tuple(items), title(r), caption(r), window)


def plan_scene(r: Results) -> Scene:
    """Wheels from above, as FS + 1j*BL, and the distance of the worst CG from the line of the wheels on one side."""
    static, track, over = r.grounds[0].stance, r.study.airframe.main_gear.track, r.standing.turnover.case
    nose = complex(static.nose.real, 0.0)
    main = nose + static.wheelbase_mm  # along the ground, as the CG is
    side = 1.0 if over.bl_mm >= 0.0 else -1.0
    wheel = main + 0.5j * side * track
    cg = main - static.to_main_mm(over.cg) + 1j * over.bl_mm
    along = (wheel - nose) / abs(wheel - nose)
    foot = nose + ((cg - nose) * along.conjugate()).real * along
    height = static.height_mm(over.cg)
    text = f"turnover {math.degrees(r.standing.turnover.value):.1f} deg = atan({height:.0f}/{abs(foot - cg):.0f})"
    items: list[Item] = [
        Path((nose - 0.12 * abs(main - nose), main + 0.2 * abs(main - nose)), role=Role.CENTRE),
        *_tyres(r, nose, main, track),
        Path((nose, main + 0.5j * track), role=Role.HIDDEN),
        Path((nose, main - 0.5j * track), role=Role.HIDDEN),
        PinMark(nose, "nose contact"),
        PinMark(main + 0.5j * track, "main contact"),
        PinMark(main - 0.5j * track),
        PinMark(cg, f"CG at most turnover, h {height:.0f}"),
        Dimension(cg, foot, f"{abs(foot - cg):.0f}", offset=0.0),
        Dimension(main - 0.5j * track, main + 0.5j * track, f"track {track:.0f}", offset=-20.0),
        Leader(foot, text + _wanted(None, r.study.limits.turnover.max), Role.WORST),
    ]
    x0, _, x1, _ = _side_window(r)
    reach = 0.5 * track + 260.0
    return Scene(
        tuple(items), title(r), caption(r), (max(x0, nose.real - 420.0), -reach, min(x1, main.real + 520.0), reach)
    )


def _side_window(r: Results) -> Window:
    static, frame = r.grounds[0], r.study.airframe
    points = [static.nose, static.main, complex(*r.study.gear.trunnion), complex(0.0, r.share.cg.high.value)]
    xs = [z.real for z in points[:3]]
    ys = [z.imag for z in points]
    if frame.propeller is not None:
        xs.append(frame.propeller.plane_fs)
        ys.append(frame.propeller.hub_wl)
    if frame.tail is not None:
        xs.append(frame.tail[0])
        ys.append(frame.tail[1])
    return (min(xs) - 260.0, min(ys) - 300.0, max(xs) + 420.0, max(ys) + 260.0)


def _context(r: Results, window: Window) -> Iterator[Item]:
    """Bay items without their names, so that the place is known; what stands in the propeller disc is left out."""
    propeller = r.study.airframe.propeller
    for item in bay(r.obstacles, window):
        x0, y0, x1, y1 = Scene((item,)).extent()
        disc = propeller is not None and x0 <= propeller.plane_fs <= x1 and y1 - y0 > propeller.diameter / 2
        if not disc and isinstance(item, Region | Disc):
            yield replace(item, label="", role=Role.BAY)


def _gear(r: Results) -> Iterator[Item]:
    """The gear down, its strut at the static compression; the tyre is drawn on its loaded radius elsewhere."""
    for part in r.gear.parts:
        if not part.tyre:
            yield part_shape(r, in_state(part, r.gear, r.grounds[0].compression), 0.0, Role.OUTLINE)


def _main_wheel(r: Results) -> Iterator[Item]:
    """Main wheel in its published loaded size, or just its contact."""
    size, main = published(r.study.airframe.main_gear.tyre), r.grounds[0].main
    if size is None:
        yield PinMark(main, "main contact")
    else:
        radius = size.loaded_radius * INCH
        yield Disc(main + 1j * r.grounds[0].stance.direction * radius, radius, Role.OUTLINE, f"main wheel {size.size}")


def _line(a: complex, b: complex, window: Window, role: Role, label: str) -> Path:
    """The line through two points from one edge of the window to the other."""
    slope = (b - a) / (b - a).real
    return Path((a + slope * (window[0] - a.real), a + slope * (window[2] - a.real)), False, role, label)


def _cg_region(r: Results) -> Region:
    """Hull of the CG of every loading, from its silhouettes."""
    model = r.share.model
    masses = np.concatenate([silhouette(model, axis, 1).masses.reshape(-1, len(model.items)) for axis in (1 + 0j, 1j)])
    arms = np.array([i.arm for i in model.items], dtype=complex)
    total = model.empty_kg + masses.sum(axis=1)
    cg = (model.empty_kg * complex(model.empty_fs_mm, model.empty_wl_mm) + masses @ arms) / total
    return Region(MultiPoint(np.column_stack([cg.real, cg.imag])).convex_hull, Role.SWEPT, "CG of every loading")


def _tip_back(r: Results) -> Iterator[Item]:
    """Vertical over the main contact, line to the worst CG, the angle between, b and h."""
    static, tip = r.grounds[0].stance, r.share.ground.tip_back_min
    case: LoadCase = tip.case
    up, main = 1j * static.direction, static.main
    foot = case.cg - up * static.height_mm(case.cg)
    yield Path((main, main + up * 1.15 * static.height_mm(case.cg)), role=Role.CENTRE)
    yield Path((main, case.cg), role=Role.WORST)
    arc = _arc(main, up, tip.value, 0.75 * abs(case.cg - main))
    yield Path(arc, role=Role.WORST)
    text = f"tip-back {math.degrees(tip.value):.1f} deg"
    limits = r.study.limits.tip_back
    yield Leader(arc[len(arc) // 2], text + _wanted(limits.min, limits.max), Role.WORST)
    yield PinMark(case.cg, "CG at least tip-back")
    yield Dimension(foot, case.cg, f"h {abs(case.cg - foot):.0f}", offset=9.0)
    yield Dimension(foot, main, f"b {abs(main - foot):.0f}", offset=9.0)


def _propeller(r: Results, window: Window) -> Iterator[Item]:
    """Disc edge-on, its clearance as it stands, and with the nose tyre flat and the strut bottomed."""
    propeller, flat = r.study.airframe.propeller, r.standing.flat
    if propeller is None:
        return
    hub, half = complex(propeller.plane_fs, propeller.hub_wl), 0.5j * propeller.diameter
    yield Bar(hub - half, hub + half, BLADE, Role.ENGINE, "propeller disc")
    yield _line(flat.nose, flat.main, window, Role.HIDDEN, f"ground, nose tyre {flat.state}, strut bottomed")
    blade = hub - half
    for stance, offset, role in ((r.grounds[0].stance, -9.0, Role.CENTRE), (flat.stance, 9.0, Role.WORST)):
        height = stance.height_mm(blade)
        yield Dimension(blade, blade - 1j * stance.direction * height, f"{height:.0f}", role, offset)


def _tail(r: Results) -> Iterator[Item]:
    """Line from the main contact to the tail and the angle at which it touches."""
    if r.study.airframe.tail is None or r.standing.tail is None:
        return
    tail, static = complex(*r.study.airframe.tail), r.grounds[0].stance
    yield PinMark(tail, "tail")
    yield Path((static.main, tail), role=Role.HIDDEN)
    arc = _arc(static.main, static.direction, r.standing.tail, 0.6 * abs(tail - static.main))
    yield Path(arc, role=Role.CENTRE)
    yield Leader(arc[len(arc) // 2], f"tail contact {math.degrees(r.standing.tail):.1f} deg", Role.CENTRE)


def _settled(r: Results) -> Iterator[Item]:
    """The picture is as drawn; what the springs make of the worst loadings is said in words."""
    found = r.standing.settled
    if found is not None:
        share = f"{100 * found.share_min.share:.1f} to {100 * found.share_max.share:.1f} %"
        text = (
            f"settled on its springs: nose share {share}, tip-back {math.degrees(found.tip_back_min.tip_back):.1f} deg"
        )
        yield Note(text + f" at least, turnover {math.degrees(found.turnover_max.turnover):.1f} deg at most")


def _arc(centre: complex, start: complex, angle: float, radius: float) -> tuple[complex, ...]:
    """Points of an arc about ``centre`` from direction ``start`` on, anticlockwise."""
    return tuple(centre + radius * start * cmath.rect(1.0, angle * k / 24) for k in range(25))


def _tyres(r: Results, nose: complex, main: complex, track: float) -> Iterator[Item]:
    """Footprints of the wheels from above."""
    tyre, size = r.study.tyre, published(r.study.airframe.main_gear.tyre)
    yield _footprint(nose, r.grounds[0].radius, tyre.width)
    if size is not None:
        for side in (0.5j, -0.5j):
            yield _footprint(main + side * track, size.loaded_radius * INCH, size.width_max * INCH)


def _footprint(at: complex, radius: float, width: float) -> Region:
    return Region(box(at.real - radius, at.imag - width / 2, at.real + radius, at.imag + width / 2), Role.OUTLINE)


def _wanted(least: float | None, most: float | None) -> str:
    parts = [f"{sign} {value:g}" for sign, value in (("≥", least), ("≤", most)) if value is not None]
    return f", wanted {' and '.join(parts)}" if parts else ""
