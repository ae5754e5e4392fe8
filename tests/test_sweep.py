"""Keep-out through gear and tracks: closed forms, brute force on random linkages, slices, zones and clip."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely

from linkage.clearance import Clearance, clearance
from linkage.document.study import Study
from linkage.errors import LinkageError
from linkage.gear import Gear
from linkage.obstacles import obstacles
from linkage.plane.outlines import shapes_of
from linkage.states import NOMINAL, cases
from linkage.stroke import Stroke, gear_and_stroke
from linkage.sweep import Swept, clipped, hot_zone, region, sweep
from linkage.tracks import PROOF_CELLS, core_at, track, turning
from tests.studies import MERROW, changed, solution
from tests.topologies import study as variant

TYRE = "tyre (grown)"


def swept(changes: dict[str, Any], only: str | None = None) -> tuple[Study, Gear, Stroke, Swept]:
    study = changed({"state": [], **changes})
    gear, stroke = gear_and_stroke(study)
    if only is not None:
        gear = replace(gear, parts=tuple(p for p in gear.parts if p.name == only))
    bay = obstacles(study, MERROW.parent)
    found = sweep(study, gear, stroke, cases(study, gear, stroke))
    return study, gear, stroke, replace(found, hot=hot_zone(study.keep_out, bay))


def axle_turn(gear: Gear, stroke: Stroke) -> tuple[float, float]:
    """Radius of the axle's circle about the trunnion, and the angle it turns through, over-swing included."""
    return abs(gear.pins["axle"].at - gear.pins["trunnion"].at), gear.swing_up + stroke.overswing


# --- closed forms ---------------------------------------------------------------------------------------------------


def test_tyre_on_its_arc() -> None:
    """A disc of radius r on an arc of radius a through an angle t covers 2*r*a*t + pi*r^2 (a > r, no overlap)."""
    _, gear, stroke, found = swept({}, TYRE)
    radius, arm_turn = gear.parts[0].radius, axle_turn(gear, stroke)
    exact = 2 * radius * math.prod(arm_turn) + math.pi * radius**2
    excess = found.keep_out.side_area - exact
    assert 0 < excess < 0.1 * found.keep_out.side_view.length
    assert found.keep_out.volume == pytest.approx(found.keep_out.side_area * 130.8, rel=1e-12)


def test_filled_torus_about_the_trunnion() -> None:
    """A tyre with rounded edges: every slice of its section sweeps the closed form above, and the sum over slices goes
    from above to the integral over the section as the slices get thinner."""
    shoulder, half = 40.0, 65.4
    volumes = []
    for slices in (4, 16, 50):
        _, gear, stroke, found = swept({"gear.part[0].shoulder": shoulder, "gear.part[0].slices": slices}, TYRE)
        volumes.append(found.keep_out.volume)
    arm, angle = axle_turn(gear, stroke)
    y = (np.arange(400_000) + 0.5) * half / 400_000
    round_off = np.sqrt(shoulder**2 - np.maximum(0.0, y - (half - shoulder)) ** 2)
    r = 185.7 - shoulder + round_off
    exact = 2 * float(np.mean(2 * r * arm * angle + math.pi * r**2)) * half
    assert exact < volumes[2] < volumes[1] < volumes[0] < 1.06 * exact
    assert volumes[2] < 1.004 * exact
    whole = swept({}, TYRE)[3].keep_out.volume
    assert volumes[0] < whole
    # at any butt line the slab there holds the true disc's sweep
    pivot, axle = gear.pins["trunnion"].at, gear.pins["axle"].at
    path = pivot + (axle - pivot) * np.exp(1j * np.linspace(-stroke.overswing, gear.swing_up, 2000))
    line = shapely.LineString(np.column_stack([path.real, path.imag]))
    for at in np.linspace(0.0, half - 1e-6, 12):
        slab = next(s for s in found.keep_out.slabs if s.bl_lo <= at <= s.bl_hi)
        true = float(np.interp(at, y, r))
        assert slab.region.covers(line) and slab.region.boundary.distance(line) >= true - 1e-4


def test_profile_and_shoulder_say_the_same() -> None:
    section = [[0, 185.7], [30, 180], [50, 165], [65.4, 150]]
    _, gear, _, found = swept({"gear.part[0].profile": section}, TYRE)
    assert [(p.butt_lines[0][1], p.radius) for p in gear.parts[0].nested] == [
        (65.4, 165.0),
        (50.0, 180.0),
        (30.0, 185.7),
    ]
    areas = [s.region.area for s in found.keep_out.slabs]
    assert len(areas) == 5 and areas[2] == max(areas) and areas[0] == pytest.approx(areas[4], rel=1e-12)


def test_outline_about_the_trunnion_is_a_ring_sector() -> None:
    """A rectangle fixed on the leg: the closed form of a rectangle that turns about a point on its middle line."""
    near, far, half = 100.0, 500.0, 60.0
    corners = [(near, -half), (far, -half), (far, half), (near, half)]
    plate = {
        "name": "plate",
        "outline": [{"along": a, "offset": b} for a, b in corners],
        "butt_lines": [-5, 5],
    }
    _, gear, stroke, found = swept({"gear.part": [plate], "gear.neighbours": [], "bay.item": []})
    angle = axle_turn(gear, stroke)[1]
    outer = math.hypot(far, half)
    exact = 2 * half * (far - near) + angle * (outer**2 - near**2) / 2 + outer**2 * math.atan(half / far) - far * half
    assert 0 < found.keep_out.side_area - exact < 0.1 * found.keep_out.side_view.length


# --- brute force ----------------------------------------------------------------------------------------------------


def random_gears(count: int, seed: int) -> list[tuple[Gear, Stroke]]:
    rng = np.random.default_rng(seed)
    made: list[tuple[Gear, Stroke]] = []
    while len(made) < count:
        changes = {
            "gear.brace.upper_pin": [1140 + rng.uniform(-60, 60), 550 + rng.uniform(-50, 50)],
            "gear.brace.upper_link": 200 + rng.uniform(-30, 30),
            "gear.brace.lower_link": 123 + rng.uniform(-20, 30),
            "gear.brace.over_centre": rng.uniform(1.0, 9.0),
            "gear.brace.lug": {"along": rng.uniform(140, 240), "offset": rng.uniform(-25, 25)},
            "gear.leg.swing_up": rng.uniform(70, 100),
            "gear.actuator.dead_length": 0,
            "state": [],
        }
        try:
            made.append(gear_and_stroke(changed(changes)))
        except (LinkageError, RuntimeWarning):  # a linkage that does not fold, or that stands exactly on a dead point
            continue
    return made


def test_no_pose_of_random_linkages_lies_outside() -> None:
    """200 000 exact poses of parts of ten random gears, each in its region with its whole disc."""
    rng, tested = np.random.default_rng(5), 0
    for gear, stroke in random_gears(10, 21):
        for part in gear.parts:
            swept_region = region(gear, part, stroke.driven_up, 0.1)
            driven = np.concatenate([[0.0, stroke.driven_up], rng.uniform(0, stroke.driven_up, 2221)])
            shapes = shapes_of(core_at(gear, part)(driven), part.closed)
            border = shapely.boundary(swept_region)
            shapely.prepare([swept_region, border])
            assert np.all(shapely.covers(swept_region, shapes)), part.name
            # the library's discs fall short of true ones, so the disc is tested by its distance to the border
            assert not np.any(shapely.dwithin(border, shapes, part.radius)), part.name
            tested += len(shapes)
    assert tested >= 200_000


def test_slack_holds_between_samples_of_random_linkages() -> None:
    """The way off the chord never exceeds its bound, cells across proof cells included; bodies on a pivot share it."""
    rng = np.random.default_rng(8)
    for gear, stroke in random_gears(4, 3):
        up = stroke.driven_up
        for part in gear.parts:
            path = track(gear, part, up)
            lo = rng.uniform(0, up, 60)
            hi = np.minimum(up, lo + up * 10.0 ** rng.uniform(-5, -0.5, 60))
            bound = path.slack(lo, hi)
            for share in (0.2, 0.5, 0.7):
                true = path.at(lo + share * (hi - lo))
                chord = (1 - share) * path.at(lo) + share * path.at(hi)
                assert np.all(np.abs(true - chord).max(axis=1) <= bound), part.name


def test_turning_range_holds_the_over_swing_between_samples() -> None:
    for gear, stroke in random_gears(3, 4):
        tyre = gear.parts[0]
        turn = turning(gear, tyre, stroke.driven_up)
        assert turn is not None
        arm = gear.pins["axle"].at - turn.pivot
        angles = np.angle((core_at(gear, tyre)(np.linspace(0, stroke.driven_up, 50_001))[:, 0] - turn.pivot) / arm)
        assert turn.lo <= angles.min() and angles.max() <= turn.hi
        assert turn.hi - turn.lo < np.ptp(angles) + 50 * (stroke.driven_up / PROOF_CELLS) ** 2


@pytest.mark.parametrize("name", ["lock links", "door", "upper link", "sliding root"])
def test_turning_range_gives_little_away(name: str) -> None:
    """With lock links the leg runs fast past dead centre, where a bound over whole proof cells is millimetres loose."""
    gear, stroke = gear_and_stroke(variant(name))
    tyre = next(p for p in gear.parts if p.tyre)
    turn = turning(gear, tyre, stroke.driven_up)
    assert turn is not None
    arm = gear.pins["axle"].at - turn.pivot
    driven = np.concatenate([np.linspace(0, stroke.driven_up, 50_001), np.linspace(0, 2 * stroke.dead_centre, 50_001)])
    angles = np.angle((core_at(gear, tyre)(driven)[:, 0] - turn.pivot) / arm)
    assert turn.lo <= angles.min() and angles.max() <= turn.hi
    assert turn.hi - turn.lo < np.ptp(angles) + 1e-5
    exact = 2 * tyre.radius * abs(arm) * np.ptp(angles) + math.pi * tyre.radius**2
    swept_region = region(gear, tyre, stroke.driven_up, 0.1)
    assert 0 < (swept_region.area - exact) / swept_region.length < 0.1


# --- states, zones, clip --------------------------------------------------------------------------------------------


def test_keep_out_of_states_holds_the_nominal_one_and_the_state() -> None:
    states = [
        {"name": "pressed", "strut": "any", "keep_out": True},
        {"name": "steered", "turned": 30, "gear": "down", "keep_out": True},
        {"name": "left out", "tyre": "grown"},
    ]
    study, gear, stroke, found = swept({"state": states})
    plain = swept({})[3].keep_out
    assert found.keep_out.states == (NOMINAL, "pressed", "steered")
    assert found.keep_out.side_view.buffer(1e-6).covers(plain.side_view)
    assert found.keep_out.volume > plain.volume
    pressed = cases(study, gear, stroke)[0]
    for part in pressed.parts:
        z = core_at(gear, part)(np.linspace(0, stroke.driven_up, 200))
        assert np.all(shapely.covers(found.keep_out.side_view, shapes_of(z, part.closed)))
    assert (
        max(s.bl_hi for s in found.keep_out.slabs)
        == max(p.butt_lines[0][1] for p in cases(study, gear, stroke)[1].parts if p.tyre)
        > 112
    )


def test_inner_and_hot_zone() -> None:
    *_, found = swept({"keep_out.allowance": 10, "keep_out.inner_zone": True, "keep_out.hot_zone": 30})
    alone = swept({}, TYRE)[3].keep_out
    assert sum((s.bl_hi - s.bl_lo) * s.region.area for s in found.inner) == pytest.approx(alone.volume, rel=1e-9)
    crossover = next(o for o in obstacles(changed({}), MERROW.parent) if o.name == "exhaust crossover")
    zone = next(s for s in found.hot if s.bl_lo == -260 and s.bl_hi == 260)
    assert math.pi * 53**2 < zone.region.area < math.pi * 53.1**2
    assert zone.region.covers(crossover.shape)
    assert len(found.hot) == 3


def test_clip_keeps_what_is_above_and_ahead_and_says_so() -> None:
    clip = {"above": [[735, 508], [1638, 436]], "ahead_of": 1500}
    _, _, _, found = swept({"keep_out.clip": clip})
    plain = swept({})[3].keep_out
    kept, words = found.keep_out, found.keep_out.clip
    assert "below the line [735, 508], [1638, 436]" in words and "aft of FS 1500" in words
    assert kept.side_view.bounds[2] == 1500.0 and kept.volume < plain.volume
    rng = np.random.default_rng(2)
    points = np.column_stack([rng.uniform(600, 1700, 4000), rng.uniform(0, 1000, 4000)])
    line = np.interp(points[:, 0], [735, 1638], [508, 436])
    stays = (points[:, 1] > line) & (points[:, 0] < 1500)
    inside = shapely.contains_xy(plain.side_view, *points.T)
    assert np.array_equal(shapely.contains_xy(kept.side_view, *points.T), inside & stays)
    empty = clipped(plain.side_view, shapely.box(-9, -9, -8, -8))
    assert empty.is_empty


def test_an_outline_between_two_bodies_must_stay_simple() -> None:
    """Its sweep is proved only while it does not cross itself."""
    places = [{"along": 300, "offset": -20}, {"along": 420, "offset": -20}, "upper pin", "actuator root"]
    part = {"name": "sheet", "outline": places, "butt_lines": [-5, 5]}
    study = changed({"gear.part": [part], "gear.neighbours": [], "bay.item": [], "state": []})
    gear, stroke = gear_and_stroke(study)
    with pytest.raises(LinkageError, match=r"crosses itself|not simple"):
        region(gear, gear.parts[0], stroke.driven_up, 0.1)


def test_slices_only_widen_gaps() -> None:
    """A tyre that is narrower at its edges comes nowhere nearer than the whole disc."""

    def gaps(changes: dict[str, Any]) -> Clearance:
        study = changed({"state": [], **changes})
        gear, stroke = gear_and_stroke(study)
        return clearance(study, gear, stroke, obstacles(study, MERROW.parent))

    whole = {(g.part, g.item): g.gap for g in solution(MERROW).results.clearance.bay}
    cut = gaps({"gear.part[0].shoulder": 50, "gear.part[0].slices": 2})
    assert len(cut.bay) > len(whole)
    for g in cut.bay:
        assert g.gap >= whole[g.part, g.item] - 0.05
    beside = [g.gap for g in cut.bay if g.part == TYRE and g.item == "exhaust tailpipe R"]
    assert min(beside) == whole[TYRE, "exhaust tailpipe R"] < sorted(beside)[1]
