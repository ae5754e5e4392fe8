"""The full chain of one gear as made: a study of its numbers, solved and judged like any single study."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from linkage.clearance import Clearance, Gap, apart, bay_gap, clearance, in_space, lateral_gap, own_gap
from linkage.document.study import Study
from linkage.gear import Gear, GearPart
from linkage.obstacles import Obstacle, obstacles
from linkage.plane.outlines import shapes_of
from linkage.state_gaps.worst import required_in
from linkage.states import Case, cases
from linkage.states.engine import moved
from linkage.stroke import Stroke, gear_and_stroke
from linkage.tolerance.assembly import alone
from linkage.tolerance.followed import SELF_GAP, SWING, Setting, gap_name, state_name
from linkage.tolerance.model import Deviations
from linkage.tolerance.results import judge
from linkage.tracks import Bends, core_at, track

MAY_BE_LEAST = 3.0
"""mm above the least of the samples within which a pair is measured."""


@dataclass(frozen=True)
class Solved:
    study: Study
    gear: Gear
    stroke: Stroke
    items: tuple[Obstacle, ...]
    bends: Bends = field(default_factory=dict)

    @property
    def clear(self) -> Clearance:
        return clearance(self.study, self.gear, self.stroke, self.items, bends=self.bends)

    def states(self, play: str) -> dict[str, float]:
        """Proved least margin of what each state with this play changes, mm, by name; nothing where it changes none."""
        found = {}
        for case in (c for c in cases(self.study, self.gear, self.stroke) if c.entry.play == play):
            near = [(self._sampled(case, *pair), pair) for pair in _changed(self, case)]
            if near:
                least = min(value for value, _ in near)
                found[case.name] = min(
                    self._proved(case, *pair) for value, pair in near if value <= least + MAY_BE_LEAST
                )
        return found

    def _sampled(self, case: Case, one: GearPart, other: GearPart | Obstacle, wanted: float) -> float:
        """At the poses alone."""
        lo, hi = self._span(case, other)
        driven = np.unique(np.linspace(lo, hi, 91))
        part, _ = self._shapes(one, driven)
        there, lines = self._shapes(other, driven)
        side = shapely.distance(part, there) - one.radius - other.radius
        return float(np.min(in_space(lateral_gap(one.butt_lines, lines), side))) - wanted

    def _shapes(self, side: GearPart | Obstacle, driven: Any) -> tuple[Any, Any]:
        if isinstance(side, Obstacle):
            return side.shape, side.butt_lines
        return shapes_of(core_at(self.gear, side)(driven), side.closed), side.butt_lines

    def _span(self, case: Case, other: GearPart | Obstacle) -> tuple[float, float]:
        up = self.stroke.driven_up
        return (up, up) if isinstance(other, Obstacle) and other.stowed_only else case.span

    def _proved(self, case: Case, one: GearPart, other: GearPart | Obstacle, wanted: float) -> float:
        path = track(self.gear, one, self.stroke.driven_up, self.bends)
        gap: Gap
        if isinstance(other, Obstacle):
            gap = bay_gap(self.gear, self.stroke, path, other, case.span)
        else:
            gap = own_gap(
                self.gear, path, track(self.gear, other, self.stroke.driven_up, self.bends), case.span, wanted
            )
        return gap.gap - wanted


def _changed(s: Solved, case: Case) -> Iterator[tuple[GearPart, GearPart | Obstacle, float]]:
    drawn = {piece for part in s.gear.parts for piece in part.nested}
    entries = {item.name: item for item in s.study.bay.item}
    for item, cover in zip(s.items, moved(s.items, s.study.engine, case.entry), strict=True):
        for part in case.parts:
            if part.name in item.ignore or (item.stowed_only and case.entry.gear == "down"):
                continue
            if part not in drawn or cover is not item:
                yield part, cover, required_in(entries[item.name], case.entry, part)
    wanted = 0.0 if case.entry.judged == "contact" else s.study.gear.self_gap
    for one, two in combinations(case.parts, 2):
        if (one not in drawn or two not in drawn) and apart(s.study, one.name, two.name):
            yield one, two, wanted


def solved(base: Setting, by: Deviations, folder: Path) -> Solved:
    """One gear as made, as a study of its own: with the play of ``by``."""
    swing = float(judge(base, by).values[SWING][0])
    single = alone(base.plan, by, swing)
    return Solved(single, *gear_and_stroke(single), obstacles(single, folder))


def full_gaps(base: Setting, by: Deviations, folder: Path) -> dict[str, float]:
    """Every followed gap of one gear by the full chain, by name of result. States with play taken up hold all play of
    the pins, so they are those of the same pieces without."""
    made = solved(base, by, folder)
    found = {gap_name(g.item): g.gap for g in made.clear.per_item()}
    found |= {SELF_GAP: made.clear.own[0].gap} if made.clear.own else {}
    margins = made.states("none") | solved(base, without_play(by), folder).states("taken up")
    return found | {state_name(name): value for name, value in margins.items()}


def without_play(by: Deviations) -> Deviations:
    return replace(by, play=np.zeros_like(by.play))
