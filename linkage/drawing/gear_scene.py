"""Results -> scenes of the gear in its bay. Which primitives and labels, not how they look."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

import numpy as np
from shapely.geometry import LineString, box

from linkage.clearance import Gap
from linkage.drawing.scene import (
    Bar,
    Dimension,
    Disc,
    Item,
    Leader,
    Path,
    PinMark,
    Region,
    Role,
    Scene,
    Shape,
    Window,
)
from linkage.gear import Gear, GearPart
from linkage.mechanism.model import Complexes
from linkage.obstacles import Obstacle
from linkage.results import Results
from linkage.tracks import core_at, in_state

MARGIN = 60.0
"""mm of bay shown around everything the gear sweeps."""


NAMED = ("upper pin", "knee", "lug", "axle", "lock knee", "lock pin")
"""Moving pins whose names are written beside them."""


def rim(start: complex, end: complex, radius: float, steps: int) -> Complexes:
    """Closed line around a bar with round ends, half circles of so many straight pieces, as drawn and no more."""
    along = end - start
    ahead = along / abs(along) if along else 1.0
    cap = radius * ahead * np.exp(1j * np.linspace(-np.pi / 2, np.pi / 2, steps + 1))
    return np.concatenate([end + cap, start - cap, [end + cap[0]]])


def side_view(r: Results) -> Scene:
    """Gear down, part-way and up, swept region, bay, tightest gap dimensioned."""
    up = r.stroke.driven_up
    window = view_window(r)
    items: list[Item] = [Region(r.swept.keep_out.side_view, Role.KEEPOUT, "keep-out")]
    items += bay(r.obstacles, window)
    items += pose(r, 0.5 * up, Role.TRANSIT)
    items += pose(r, up, Role.UP)
    items += pose(r, 0.0, Role.OUTLINE, labelled=True)
    items += tracks(r)
    items += fixed_pins(r)
    items += ground_line(r, window)
    worst = r.clearance.worst
    if worst is not None:
        items += [part_shape(r, _part(r, worst.part), worst.driven, Role.WORST), *gap_mark(worst)]
    return Scene(tuple(items), title(r), caption(r), window)


def title(r: Results) -> str:
    """The answer in one line."""
    worst = r.clearance.worst
    if worst is None:
        return f"{r.study.title}: no bay items given"
    gap = f"Least margin {worst.margin:.1f} mm: {worst.part} to {worst.item}"
    return f"{gap} at {math.degrees(worst.swing):.1f} deg of {math.degrees(r.gear.swing_up):.0f} deg swing"


def caption(r: Results) -> str:
    """Alternative text."""
    return (
        f"Side view of {r.study.airframe.name}, nose to the left: nose gear down, half-way and up, with the keep-out of"
        f" {r.swept.keep_out.side_area / 1e6:.3f} square metres and {len(r.study.bay.item)} bay items. {title(r)}."
    )


def view_window(r: Results) -> Window:
    """What the gear sweeps and the ground under it; bay items that are larger than that are cut."""
    x0, y0, x1, y1 = r.swept.keep_out.side_view.bounds
    static = r.grounds[0]
    y0 = min(y0, static.nose.imag)
    top = max(y1, *(pins.imag.max() for pins in r.stroke.pins.values()))
    return (x0 - 3 * MARGIN, y0 - MARGIN / 3, x1 + 3 * MARGIN, top + 1.7 * MARGIN)


def pose(r: Results, driven: float, role: Role, labelled: bool = False) -> list[Item]:
    """Every part at one driven rotation; actuator and springs are told apart in the outline of the gear down."""
    items: list[Item] = []
    for part in r.gear.parts:
        own = own_role(r.gear, part) if role is Role.OUTLINE else role
        items.append(part_shape(r, part, driven, own, part.name if labelled else ""))
    return items


def own_role(gear: Gear, part: GearPart) -> Role:
    """A part between the two ends of the actuator or of a spring is drawn as such, any other as an outline."""
    ends = {p.at for p in part.core}
    for name, role in [("actuator", Role.ACTUATOR), *((s, Role.SPRING) for s in gear.springs)]:
        if ends == {p.at for end in ("root", "pin") if (p := gear.pins.get(f"{name} {end}")) is not None}:
            return role
    return Role.OUTLINE


def part_shape(r: Results, part: GearPart, driven: float, role: Role, label: str = "") -> Shape:
    core = core_at(r.gear, in_state(part, r.gear, 0.0))(np.array([driven]))[0]
    if part.closed:
        return Path(tuple(core), True, role, label)
    if len(core) == 1:
        return Disc(complex(core[0]), part.radius, role, label)
    return Bar(complex(core[0]), complex(core[1]), part.radius, role, label)


def bay(obstacles: Iterable[Obstacle], window: Window) -> Iterator[Item]:
    """Bay items with their names, each named once where it is seen; what lies outside the window is cut, a line to stay
    above is drawn as a line."""
    frame = box(*window)
    named: set[str] = set()
    for item in obstacles:
        role = Role.HOT if item.hot else Role.ENGINE if item.with_engine else Role.BAY
        label = "" if item.name in named else item.name
        shape = LineString([(z.real, z.imag) for z in item.line]) if item.line else item.shape
        if shape.distance(frame) > item.radius:
            continue
        named.add(item.name)
        if item.line:
            yield Path(item.line, False, Role.HIDDEN, label)
        elif item.radius > 0:
            yield Disc(complex(item.shape.x, item.shape.y), item.radius, role, label)
        else:
            yield Region(shape.intersection(frame), role, label)


def tracks(r: Results) -> Iterator[Item]:
    """Track of a sliding root as a centre line from the lock to its far end."""
    end = r.study.gear.brace.track_to
    if end is not None:
        yield Path((r.gear.pins["upper pin"].at, complex(*end)), False, Role.CENTRE, "track")


def fixed_pins(r: Results) -> Iterator[PinMark]:
    """Pins on the airframe with their names, moving pins of the gear without."""
    fixed = {j.name for j in r.gear.mechanism.joints if "ground" in (j.a, j.b)}
    for name, point in r.gear.pins.items():
        yield PinMark(point.at, name if name in fixed or name in NAMED else "", name in fixed)


def ground_line(r: Results, window: Window) -> Iterator[Item]:
    """Static ground, if it lies in the picture."""
    static = r.grounds[0]
    along = (static.main - static.nose) / abs(static.main - static.nose)
    left = static.nose + along * (window[0] - static.nose.real)
    right = static.nose + along * (window[2] - static.nose.real)
    yield Path((left, right), False, Role.GROUND, "static ground")


def gap_mark(gap: Gap) -> Iterator[Item]:
    """The tightest gap as a dimension between the nearest points, or a leader where only butt lines keep them apart."""
    if gap.lateral > 0 and abs(gap.ends[0] - gap.ends[1]) < 0.5:
        text = f"gap {gap.gap:.1f} mm sideways (butt lines), required {gap.required:g}"
        yield Leader(gap.ends[0], text, Role.WORST)
    elif gap.gap < 0:
        yield Leader(gap.ends[0], f"contact, {-gap.gap:.1f} mm deep", Role.WORST)
    else:
        yield Dimension(gap.ends[0], gap.ends[1], f"{gap.gap:.1f}", Role.WORST)


def _part(r: Results, name: str) -> GearPart:
    return next(p for p in r.gear.parts if p.name == name)
