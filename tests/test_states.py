"""Parts and engine items in every state: closed forms, brute force, and the worst against measuring every pair."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.clearance import BRACKET, Clearance, bay_gap, clearance, in_space, lateral_gap
from linkage.document.bay import EngineMotion
from linkage.document.states import StateEntry
from linkage.document.study import Study
from linkage.errors import DocumentError
from linkage.gear import LEG, BodyPoint, Gear, GearPart
from linkage.obstacles import Obstacle, obstacles
from linkage.state_gaps import PRESSED_WITHIN, StateReview, required_in, state_review
from linkage.states import NOMINAL, at_corner, cases, corners
from linkage.states.engine import Corner, farthest_move, moved
from linkage.states.parts import hull_core, pressed, strayed, turned, tyre_size
from linkage.stroke import Stroke, gear_and_stroke
from linkage.tracks import PLACE_ROUNDING, core_at, track
from linkage.tyres import grown
from tests.studies import MERROW, changed, solution, source
from tests.topologies import DOOR

GEAR = solution(MERROW).results.gear
STROKE = solution(MERROW).results.stroke
STATES = [
    {"name": "grown", "tyre": "grown"},
    {"name": "engine", "engine": "moving", "mounts": "aged"},
    {"name": "turned and pressed", "turned": 12, "compression": 30, "judged": "contact"},
    {"name": "anywhere", "strut": "any", "judged": "contact"},
    {"name": "together", "engine": "moving", "play": "taken up", "turned": 4, "tyre": "new"},
    {"name": "at rest", "gear": "down", "turned": 40, "strut": "static"},
]


@dataclass(frozen=True)
class Crowded:
    """The demo with many states, its gaps alone."""

    study: Study
    gear: Gear
    stroke: Stroke
    obstacles: tuple[Obstacle, ...]
    clearance: Clearance
    states: StateReview


@cache
def crowded() -> Crowded:
    study = changed({"state": STATES})
    gear, stroke = gear_and_stroke(study)
    bay = obstacles(study, MERROW.parent)
    clear = clearance(study, gear, stroke, bay)
    review = state_review(study, gear, stroke, bay, cases(study, gear, stroke), clear)
    return Crowded(study, gear, stroke, bay, clear, review)


def part(name: str) -> GearPart:
    return next(p for p in GEAR.parts if p.name == name)


def in_leg(z: complex | np.ndarray) -> tuple[Any, Any]:
    """Along and offset in leg axes."""
    w = (z - GEAR.pins["trunnion"].at) / GEAR.down
    return w.real, w.imag


def shape_of(p: GearPart) -> Any:
    z = [q.at for q in p.core]
    xy = [(c.real, c.imag) for c in z]
    return shapely.Polygon(xy) if p.closed else shapely.LineString(xy) if len(xy) > 1 else shapely.Point(xy[0])


# --- parts ----------------------------------------------------------------------------------------------------------


def test_turned_disc_by_its_closed_form() -> None:
    """A disc about an axle on the steer axis, turned by d: half-width R sin d + w/2 cos d, until it stands square."""
    disc = GearPart("disc", (BodyPoint(LEG, GEAR.on_leg(500.0)),), False, 180.0, ((-60.0, 60.0),), True, True, True)
    for d in (0.1, 0.5, 1.0):
        ((lo, hi),) = turned(disc, GEAR, d).butt_lines
        assert hi == pytest.approx(180 * math.sin(d) + 60 * math.cos(d), rel=1e-14) == pytest.approx(-lo, rel=1e-14)
    ((_, hi),) = turned(disc, GEAR, 1.5).butt_lines
    assert hi == pytest.approx(math.hypot(180, 60), rel=1e-14)  # its corner passes the widest place on the way


@settings(max_examples=40, deadline=None, derandomize=True)
@given(
    st.floats(0.0, 1.5),
    st.floats(-40, 40),
    st.sampled_from(["tyre (grown)", "half fork", "piston"]),
    st.integers(0, 2**31),
)
def test_no_point_of_a_turned_part_lies_outside(angle: float, offset: float, name: str, seed: int) -> None:
    rng = np.random.default_rng(seed)
    drawn = part(name)
    drawn = replace(drawn, core=tuple(BodyPoint(q.body, q.at + offset * GEAR.aft) for q in drawn.core))
    held = turned(drawn, GEAR, angle)
    share = rng.dirichlet(np.ones(len(drawn.core)), 500) @ np.array([q.at for q in drawn.core])
    inside = share + drawn.radius * np.sqrt(rng.uniform(size=500)) * np.exp(2j * np.pi * rng.uniform(size=500))
    (low, high) = drawn.butt_lines[0]
    along, u = in_leg(inside)
    y, t = rng.uniform(low, high, 500), rng.uniform(-angle, angle, 500)
    new_u, new_y = u * np.cos(t) - y * np.sin(t), u * np.sin(t) + y * np.cos(t)
    (lo, hi) = held.butt_lines[0]
    assert lo - 1e-9 <= new_y.min() and new_y.max() <= hi + 1e-9
    z = GEAR.on_leg(0.0) + along * GEAR.down + new_u * GEAR.aft
    assert shapely.distance(shapely.points(z.real, z.imag), shape_of(held)).max() <= held.radius + 1e-9


def test_pressed_parts_cover_every_compression_exactly_where_convex() -> None:
    tyre, fork = part("tyre (grown)"), part("half fork")
    (capsule,) = pressed(tyre, GEAR, 0.0, 140.0)
    assert len(capsule.core) == 2 and abs(capsule.core[0].at - capsule.core[1].at) == pytest.approx(140.0, abs=1e-12)
    (held,) = pressed(fork, GEAR, 10.0, 90.0)
    for c in np.linspace(10.0, 90.0, 9):
        (one,) = pressed(fork, GEAR, float(c), float(c))
        assert shapely.covers(shapely.buffer(shape_of(held), 1e-9), shape_of(one))
    # the area of a segment moved along the leg is its offset across times the way
    across = abs(in_leg(fork.core[0].at)[1] - in_leg(fork.core[1].at)[1])
    assert shape_of(held).area - 80 * across == pytest.approx(0.0, abs=1e-9)


def test_a_part_between_leg_and_another_body_is_covered_in_steps() -> None:
    link = GearPart(
        "link",
        (BodyPoint(LEG, GEAR.on_leg(450.0)), BodyPoint("lower link", GEAR.pins["knee"].at)),
        False,
        10.0,
        ((-5.0, 5.0),),
        True,
        False,
    )
    bodies = pressed(link, GEAR, 0.0, 140.0)
    for c in np.random.default_rng(1).uniform(0, 140, 50):
        true = GEAR.on_leg(450.0) - c * GEAR.down
        assert min(abs(b.core[0].at - true) + 10.0 - b.radius for b in bodies) <= 1e-9


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.lists(st.tuples(st.floats(-500, 500), st.floats(-500, 500)), min_size=1, max_size=9))
def test_hull_core_holds_all_its_points(points: list[tuple[float, float]]) -> None:
    core, loose = hull_core([complex(*p) for p in points])
    p = GearPart("x", tuple(BodyPoint(LEG, z) for z in core), len(core) > 2, loose, (), False, False)
    away = shapely.distance(shapely.points(points), shape_of(p))
    assert away.max() <= loose + 1e-9


def test_tyre_sizes_come_from_the_study_or_the_growth_formula() -> None:
    tyre = source(MERROW).study.tyre
    assert tyre_size(tyre, "new") == (360.7 / 2, 125.7)
    assert tyre_size(tyre, "grown") == (371.4 / 2, 130.8)
    assert tyre_size(tyre, "flat") == (85.0, 130.8)
    bare = tyre.model_copy(update={"grown_diameter": None, "grown_width": None})
    formula = grown(360.7, 125.7, 127.0)
    assert tyre_size(bare, "grown") == (formula.diameter / 2, formula.width)


def test_strayed_bounds_the_way_of_every_point() -> None:
    tyre = part("tyre (grown)")
    grown_by = replace(tyre, radius=tyre.radius + 3.0, butt_lines=((-69.4, 66.0),))
    assert strayed(grown_by, (tyre,)) == pytest.approx(5.0)
    assert strayed(tyre, (tyre,)) == 0.0
    (lifted,) = pressed(tyre, GEAR, 56.0, 56.0)
    assert strayed(lifted, (tyre,)) == pytest.approx(56.0)


# --- engine ---------------------------------------------------------------------------------------------------------

MOTION = EngineMotion.model_validate(
    {"pivot": [1330, 1040], "rock": [-1.5, 1], "sag": 8, "fore_aft": [-3, 4], "aged_sag": 5}
)
MOVING = StateEntry(name="m", engine="moving", mounts="aged")


def test_engine_cover_holds_every_place_and_hardly_more() -> None:
    items = solution(MERROW).results.obstacles
    covers = moved(items, MOTION, MOVING)
    rng = np.random.default_rng(3)
    for item, cover in zip(items, covers, strict=True):
        if not item.with_engine:
            assert cover is item
            continue
        held = shapely.buffer(cover.shape, 1e-9)
        places = [
            Corner(math.radians(rng.uniform(-1.5, 1)), rng.uniform(-3, 4), rng.uniform(0, 13)) for _ in range(200)
        ]
        every = [at_corner(item, MOTION, c) for c in places + list(corners(MOTION, MOVING))]
        assert all(shapely.covers(held, every)), item.name
        # nothing reaches further than the item can move
        assert shapely.hausdorff_distance(cover.shape, item.shape) <= farthest_move(item, MOTION, MOVING) + 0.05
        reach = shapely.union_all(every).bounds
        assert np.allclose(cover.shape.bounds, reach, atol=0.06), item.name


def test_required_gap_is_judged_without_what_the_state_does() -> None:
    parts = {"engine_motion": 12, "growth": 6, "deflection": 3, "build": 4, "heat": 25}
    table = changed({"bay.item[3].required": parts}).bay.item[3]
    bare = source(MERROW).study.bay.item[4]
    firewall = next(i for i in source(MERROW).study.bay.item if i.name == "firewall")
    tyre, fork = part("tyre (grown)"), part("half fork")
    assert table.required.gap == 50
    assert required_in(table, StateEntry(name="a"), tyre) == 50
    assert required_in(table, MOVING, tyre) == 38
    assert required_in(table, StateEntry(name="a", tyre="grown"), tyre) == 44
    assert required_in(table, StateEntry(name="a", tyre="grown"), fork) == 50
    assert required_in(table, StateEntry(name="a", judged="contact"), tyre) == 0
    # one number does not say how much of it is for the engine: then it must only not be touched
    assert required_in(bare, MOVING, tyre) == 0
    assert required_in(bare, StateEntry(name="a", play="taken up"), tyre) == 50
    assert required_in(firewall, MOVING, tyre) == 25


# --- gaps in states -------------------------------------------------------------------------------------------------


def test_a_study_without_states_has_the_nominal_one() -> None:
    r = crowded()
    alone = state_review(changed({"state": []}), r.gear, r.stroke, r.obstacles, (), r.clearance)
    assert {g.state for g in alone.gaps} == {NOMINAL} and alone.strut is None
    assert [g.gap for g in alone.gaps if not g.own] == list(r.clearance.per_item())


MEASURED = ("exhaust crossover", "firewall", "oil cooler", "exhaust tailpipe L")


def test_worst_pair_of_a_state_is_that_of_measuring_every_pair() -> None:
    """Passing over pairs that cannot be worst changes nothing."""
    r = crowded()
    every = {c.name: c for c in cases(r.study, r.gear, r.stroke)}
    entries = {i.name: i for i in r.study.bay.item}
    for name in ("engine", "together", "at rest"):
        case = every[name]
        items = moved(r.obstacles, r.study.engine, case.entry)
        for row in r.states.of(name):
            if row.own or row.gap.item not in MEASURED:
                continue
            margins = [
                bay_gap(r.gear, r.stroke, track(r.gear, p, r.stroke.driven_up), o, case.span).gap
                - required_in(entries[o.name], case.entry, p)
                for o in items
                for p in case.parts
                if o.name == row.gap.item and p.name not in o.ignore
            ]
            assert abs(row.gap.margin - min(margins)) <= BRACKET, (name, row.gap.item)


def test_no_sampled_place_comes_nearer_than_the_worst_of_its_state() -> None:
    """The tyre at random poses and compressions, turned, and the engine anywhere: never below the proved gap."""
    r, rng = crowded(), np.random.default_rng(11)
    drawn, motion = part("tyre (grown)"), r.study.engine
    assert motion is not None
    rows = {(g.state, g.gap.item): g.gap for g in r.states.gaps if not g.own}
    for _ in range(60):
        driven = rng.uniform(0, r.stroke.driven_up, 50)
        corner = Corner(math.radians(rng.uniform(-1, 1)), rng.uniform(-3, 3), rng.uniform(0, 12))
        (lifted,) = pressed(drawn, r.gear, c := rng.uniform(0, 140), c)
        for state, p, move in (("anywhere", lifted, None), ("engine", drawn, corner)):
            z = core_at(r.gear, p)(driven)[:, 0]
            for item in r.obstacles:
                shape = at_corner(item, motion, move) if move and item.with_engine else item.shape
                side = shapely.distance(shapely.points(z.real, z.imag), shape) - p.radius - item.radius
                lateral = lateral_gap(p.butt_lines, item.butt_lines)
                if not item.stowed_only and p.name not in item.ignore and (lateral > 0 or side.min() > -p.radius):
                    assert rows[state, item.name].gap <= in_space(lateral, side).min() + 1e-9, (state, item.name)


def test_strut_limit_is_clear_below_and_broken_above() -> None:
    r = crowded()
    limit = r.states.strut
    assert limit is not None and limit.gap is not None
    item = next(o for o in r.obstacles if o.name == limit.gap.item)
    drawn = part(limit.gap.part)

    def least(c: float) -> float:
        (p,) = pressed(drawn, r.gear, c, c)
        z = core_at(r.gear, p)(np.linspace(0, r.stroke.driven_up, 4001))[:, 0]
        return float(shapely.distance(shapely.points(z.real, z.imag), item.shape).min()) - p.radius - item.radius

    assert all(least(c) >= item.required for c in np.linspace(0, limit.clear_to, 30))
    # a sample is never below the least, and the bracket of the gap costs as much again
    assert least(limit.clear_to + 4 * PRESSED_WITHIN) < item.required
    for other in r.obstacles:
        for p in r.gear.parts:
            if p.on_piston and p.name not in other.ignore:
                (held,) = pressed(p, r.gear, 0.0, limit.clear_to)
                assert bay_gap(r.gear, r.stroke, track(r.gear, held, r.stroke.driven_up), other).margin >= 0


def test_worst_state_of_each_item() -> None:
    review = crowded().states
    for worst in review.worst:
        same = [g for g in review.gaps if g.own == worst.own and (g.own or g.gap.item == worst.gap.item)]
        assert worst.gap.margin == min(g.gap.margin for g in same)
    assert {g.gap.item for g in review.worst if not g.own} == {i.name for i in source(MERROW).study.bay.item}
    codes = [f.code for f in solution(MERROW).findings]
    assert codes.count("gap") == len(source(MERROW).study.bay.item) and "gap-state" in codes


def test_worst_states_are_the_same_when_nothing_else_is_measured() -> None:
    """Also from nominal gaps that are only bounded: what is passed over is proved to be no worse."""
    r = crowded()
    every = cases(r.study, r.gear, r.stroke)
    loose = clearance(r.study, r.gear, r.stroke, r.obstacles, closely=False)
    quick = state_review(r.study, r.gear, r.stroke, r.obstacles, every, loose, closely=False)
    assert quick.worst == r.states.worst
    assert len(quick.gaps) < len(r.states.gaps) and quick.strut is None


def test_play_moves_the_axle_as_a_longer_brace_does() -> None:
    """Play in the three pins of the locked brace makes it longer or shorter by three half clearances, which turns the
    leg by that over the arm of the brace: the least that the axle strays. The trunnion's own play comes on top."""
    r = crowded()
    play = r.study.tolerances.pin_clearance_worn
    case = next(c for c in cases(r.study, r.gear, r.stroke) if c.name == "together")
    tyre = next(p for p in case.parts if p.name == "tyre (grown)")
    new, _ = tyre_size(r.study.tyre, "new")
    span, radius = r.gear.brace.span, abs(r.gear.pins["axle"].at - r.gear.pins["trunnion"].at)
    upper, lug, pivot = (r.gear.pins[n].at for n in ("upper pin", "lug", "trunnion"))
    arm = abs(((upper - pivot).conjugate() * (lug - upper)).imag) / span
    locked = play / 2 * (3 * radius / arm)
    growth = tyre.radius - new
    assert locked < growth < 3 * locked


def test_open_doors_stand_still() -> None:
    states = [{"name": "open", "doors": "open"}]
    study = changed({**DOOR, "state": states, "bay.item": []})
    gear, stroke = gear_and_stroke(study)
    (case,) = cases(study, gear, stroke)
    still = next(p for p in case.parts if p.name == "nose door")
    places = core_at(gear, still)(np.linspace(0, stroke.driven_up, 9))
    assert np.ptp(places, axis=0).max() == 0.0
    assert track(gear, still, stroke.driven_up).slack(np.array([0.0]), np.array([1.0]))[0] == PLACE_ROUNDING


# --- bad input ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "path", "says"),
    [
        ({"state": [{"name": "x", "compression": 150}]}, "state[0].compression", "at most 140 mm"),
        ({"state": [{"name": "x", "strut": "any", "compression": 5}]}, "state[0]", "one of them"),
        ({"state": [{"name": "x"}, {"name": "x"}]}, "state", "a name of its own"),
        ({"state": [{"name": "x", "tyre": "bald"}]}, "state[0].tyre", "'grown'"),
        ({"state": [{"name": "x", "turned": 90}]}, "state[0].turned", "90"),
        ({"state": [{"name": "x", "tyre": "flat"}], "tyre.flat_radius": None}, "state[0].tyre", "tyre.flat_radius"),
        ({"state": [{"name": "x", "engine": "moving"}], "engine": None}, "state[0].engine", "an [engine]"),
        ({"state": [{"name": "x", "mounts": "aged"}], "engine.aged_sag": 0}, "state[0].mounts", "engine.aged_sag"),
        ({"state": [{"name": "x", "doors": "open"}]}, "state[0].doors", "[[gear.door]]"),
        (
            {"state": [{"name": "x", "play": "taken up"}], "tolerances.pin_clearance_worn": 0},
            "state[0].play",
            "pin_clearance_worn",
        ),
        ({"bay.item[0].required": {"total": 5, "heat": 3}}, "bay.item[0].required", "one number, or its parts"),
        ({"bay.item[0].required": -1}, "bay.item[0].required", "greater than or equal to 0"),
        ({"engine.rock": [1, -1]}, "engine.rock", "[low, high]"),
        ({"gear.part[0].profile": [[0, 185.7], [50, 186], [65.4, 150]]}, "gear.part[0]", "radii that do not"),
        ({"gear.part[0].profile": [[0, 185.7], [60, 150]]}, "gear.part[0]", "half the width, 65.4 mm"),
        ({"gear.part[0].shoulder": 70}, "gear.part[0]", "at most 65.4 mm"),
        ({"gear.part[1].shoulder": 7}, "gear.part[1]", "for a disc"),
        ({"keep_out.clip": {}}, "keep_out.clip", "ahead_of"),
        ({"keep_out.clip": {"above": [[10, 0], [5, 0]]}}, "keep_out.clip", "aft of the one before"),
    ],
)
def test_states_that_cannot_be(changes: dict[str, Any], path: str, says: str) -> None:
    with pytest.raises(DocumentError) as caught:
        changed(changes)
    text = str(caught.value)
    assert path in text and says in text
