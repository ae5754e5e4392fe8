"""What comes of pieces as made: every followed result of a whole family of gears."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from linkage.actuation import weights
from linkage.actuation.sources import span
from linkage.clearance import in_space
from linkage.gear import LEG, Gear
from linkage.mechanism.model import Floats
from linkage.mechanism.motion import Motion, trace
from linkage.mechanism.statics import effort_by_work, travel_rate
from linkage.obstacles import Obstacle
from linkage.plane.vectors import dot
from linkage.stance.states import touch
from linkage.stroke import motion_at
from linkage.stroke.family import dead_centre_of, driven_up_of
from linkage.tolerance import pieces
from linkage.tolerance.assembly import Made, assemble
from linkage.tolerance.differences import Slopes, slopes_from, steps_of
from linkage.tolerance.followed import (
    DEAD,
    DRIVEN_UP,
    FORCE_LEFT,
    LEAN,
    LENGTH_DOWN,
    LENGTH_UP,
    OFF_PLACE,
    OFFSET,
    PUSH,
    SWING,
    TILT,
    TRAVEL,
    Setting,
    is_gap,
    spring_force,
    spring_length,
)
from linkage.tolerance.loose import aside
from linkage.tolerance.model import Deviations
from linkage.tolerance.moving import Moving
from linkage.tolerance.places import Family, Watch, gaps_at, least_at

STEPS = 4
"""Newton steps to where an actuator's own end stop leaves the gear; each squares the error."""

NO_LOCK = "does not close in the lock"
NO_REACH = "does not reach leg-up"


@dataclass(frozen=True)
class Outcome:
    """Arrays over the gears by name of result, and for every gear why it fails, "" if it does not."""

    values: dict[str, Floats]
    failure: tuple[str, ...]


@np.errstate(invalid="ignore", divide="ignore")
def value_of(setting: Setting, by: Deviations, name: str) -> Floats:
    """One result alone, for searches; the same numbers as `judge` has."""
    if name != OFFSET and not is_gap(name):
        return judge(replace(setting, watches=()), by).values[name]
    made = assemble(setting.plan, by)
    if name == OFFSET and made.offset is not None:
        return made.offset
    return np.asarray(_full(_gaps(setting, made, by, None, name)[name], by.count))


def judge(setting: Setting, by: Deviations) -> Outcome:
    """Put together and judge every gear."""
    with np.errstate(invalid="ignore", divide="ignore"):
        made = assemble(setting.plan, by)
        gear = made.gear
        closes = np.isfinite(_full(gear.down, by.count))
        if made.offset is not None:
            closes &= np.isfinite(_full(gear.brace.over_centre, by.count))
        length_down = _length(setting, gear, np.zeros((1, 1)))
        rigged = _rigged(setting, by)
        up = driven_up(setting, made, by, rigged)
        values = _down(setting, made, by, length_down, rigged) | _raised(setting, made, by, up)
        values |= (
            _springs(setting, gear, by, up)
            | _gaps(setting, made, by, up)
            | _nose_share(setting, gear, by)
            | _forces(setting, made, by, up)
        )
    failure = np.where(closes, np.where(np.isfinite(up), "", NO_REACH), NO_LOCK)
    return Outcome({k: _full(v, by.count) for k, v in values.items()}, tuple(str(f) for f in failure))


def _full(value: Any, count: int) -> Any:
    return np.broadcast_to(np.asarray(value), (count,)).copy()


def _size(setting: Setting, by: Deviations, name: str) -> Floats:
    return by.sizes[:, setting.plan.index(name)]


def _length(setting: Setting, gear: Gear, driven: Floats) -> Floats:
    """Length of the actuator (n,) at driven rotations (n, 1)."""
    root, pin = gear.pins["actuator root"], gear.pins["actuator pin"]
    ends = trace(gear.plan, gear.drive_sense * driven, [(root.body, root.at), (pin.body, pin.at)])
    return np.asarray(np.abs(ends[1] - ends[0])[:, 0])


def _rigged(setting: Setting, by: Deviations) -> Floats:
    """Length to which the actuator is set in the lock: as drawn, or on the aircraft, its pins still without play."""
    if not setting.plan.study.tolerances.rigged:
        return np.full(by.count, setting.length_down)
    unworn = assemble(setting.plan, setting.plan.tight(by.sizes)).gear
    return _length(setting, unworn, np.zeros((1, 1)))


@np.errstate(invalid="ignore", divide="ignore")
def driven_up(setting: Setting, made: Made, by: Deviations, rigged: Floats | None = None) -> Floats:
    """Driven rotation (n,) at leg-up, rad: where the leg has its swing, or where the actuator's own end stop leaves it;
    NaN where it does not come so far. ``rigged``: length to which the actuator is set in the lock, mm, if known."""
    up: Floats = _full(driven_up_of(made.gear), by.count)
    if not setting.own_end:
        return up
    stroke = setting.length_up - setting.length_down + setting.way * _size(setting, by, pieces.STROKE)
    wanted = (_rigged(setting, by) if rigged is None else rigged) + _size(setting, by, pieces.RIG) + stroke
    for _ in range(STEPS):
        motion = motion_at(made.gear, up[:, None], 1)
        rate = made.gear.drive_sense * travel_rate(motion, made.gear.mechanism, made.gear.effort_at)
        up = up + (wanted - _length(setting, made.gear, up[:, None])) / _full(np.ravel(rate), by.count)
    return np.where(np.abs(up - setting.driven_up) < 0.5 * setting.driven_up, up, np.nan)


def _down(setting: Setting, made: Made, by: Deviations, length_down: Floats, rigged: Floats) -> dict[str, Floats]:
    gear = made.gear
    axle = gear.pins["axle"].at
    found: dict[str, Any] = {} if made.offset is None else {OFFSET: made.offset}
    if setting.dead:
        found[DEAD] = setting.way * (_length(setting, gear, dead_centre_of(gear)[:, None]) - length_down)
    left = setting.plan.study.gear.actuator.travel_left_at_lock
    return found | {
        TILT: np.degrees(gear.tilt),
        "axle down FS, mm": axle.real,
        "axle down WL, mm": axle.imag,
        LENGTH_DOWN: length_down,
        TRAVEL: left + setting.way * (length_down - rigged - _size(setting, by, pieces.RIG)),
    }


def _raised(setting: Setting, made: Made, by: Deviations, up: Floats) -> dict[str, Floats]:
    gear = made.gear
    axle, trunnion = gear.pins["axle"], gear.pins["trunnion"]
    place, tip = trace(gear.plan, gear.drive_sense * up[:, None], [(LEG, axle.at), (LEG, trunnion.at + gear.down)])[
        :, :, 0
    ]
    swing = gear.leg_sense * np.angle((tip - trunnion.at) / gear.down)
    return {
        SWING: np.degrees(np.where(swing < 0, swing + 2 * np.pi, swing)),
        DRIVEN_UP: np.degrees(up),
        "axle up FS, mm": place.real,
        "axle up WL, mm": place.imag,
        OFF_PLACE: np.abs(place - setting.axle_up),
        LENGTH_UP: _length(setting, gear, up[:, None]),
    }


def _springs(setting: Setting, gear: Gear, by: Deviations, up: Floats) -> dict[str, Floats]:
    """Length and force of every gas spring at both ends of the stroke."""
    found: dict[str, Floats] = {}
    for entry, law in zip(setting.plan.study.gear.spring, setting.laws, strict=True):
        ends = [gear.pins[f"{entry.name} root"], gear.pins[f"{entry.name} pin"]]
        points = [(p.body, p.at) for p in ends]
        for where, driven in (("down", np.zeros((1, 1))), ("up", up[:, None])):
            root, pin = trace(gear.plan, gear.drive_sense * driven, points)[:, :, 0]
            length = np.abs(pin - root)
            found[spring_length(entry.name, where)] = length
            found[spring_force(entry.name, where)] = law.force(length) * (
                1 + _size(setting, by, f"force of {entry.name}")
            )
    return found


def _gaps(setting: Setting, made: Made, by: Deviations, up: Floats | None, only: str = "") -> dict[str, Floats]:
    """Least value of each followed gap over its watched places; of ``only`` one of them, if a name is given."""
    watches = [w for w in setting.watches if not only or w.result == only]
    families = _families(setting, made, by, up, watches)
    found: dict[str, Floats] = {}
    for w in watches:
        gap = gap_of(setting, w, families[w.pair.no_play], by) - w.pair.less
        found[w.result] = np.minimum(found[w.result], gap) if w.result in found else gap
    return found


def _families(
    setting: Setting, made: Made, by: Deviations, up: Floats | None, watches: Sequence[Watch]
) -> dict[bool, Family]:
    """The gears as made, and where any of the places asks for it the same pieces without play (True). ``up``: driven
    rotation at leg-up, if known."""
    found: dict[bool, Family] = {}
    if any(not w.pair.no_play for w in watches):
        found[False] = Family(made.gear, driven_up(setting, made, by) if up is None else up)
    if any(w.pair.no_play for w in watches):
        tight = setting.plan.tight(by.sizes)
        again = assemble(setting.plan, tight)
        found[True] = Family(again.gear, driven_up(setting, again, tight))
    return found


@np.errstate(invalid="ignore", divide="ignore")
def gap_of(setting: Setting, watch: Watch, family: Family, by: Deviations) -> Floats:
    """Gap in space (n,) at one watched place, mm, surfaces as made."""
    thicker, across = np.zeros(by.count), np.zeros(by.count)
    for one in (watch.pair.one, watch.pair.other):
        surface = _surface(setting, by, one)
        further = _further(setting, family, by, one, surface) if isinstance(one, Moving) else (0.0, 0.0)
        thicker, across = thicker + surface + further[0], across + surface + further[1]
    return np.where(np.isnan(family.up), np.nan, _apart(watch, gaps_at(watch, family) - thicker, across))


def _further(setting: Setting, family: Family, by: Deviations, one: Moving, surface: Floats) -> tuple[Floats, Floats]:
    """How much further than the drawn gear's a part strays, in the side view and across it (n,), mm."""
    side, across = aside(setting.plan, family.gear, one, surface)
    stray = next((s for s in setting.strays if one.loose and s.part == one.part), None)
    if stray is None:
        return side, across
    if one.part not in family.strayed:
        clearance = setting.plan.study.tolerances.pin_clearance_worn
        family.strayed[one.part] = stray.further(by.sizes, family.gear, family.up, clearance)
    return side + family.strayed[one.part], across


def _surface(setting: Setting, by: Deviations, side: Moving | Obstacle) -> Floats:
    """How far a surface stands out (n,), mm; that of a door does not vary."""
    if isinstance(side, Obstacle):
        return _size(setting, by, f"surface of bay item {side.name}")
    typed = side.part < len(setting.plan.study.gear.part)
    return _size(setting, by, f"surface of {side.piece.name}") if typed else np.zeros(by.count)


def slopes_of_places(setting: Setting, watches: Sequence[Watch]) -> list[Slopes]:
    """Of the gap at each watched place, the slopes by all that varies."""
    plan, both = setting.plan, steps_of(setting.plan)
    families = _families(setting, assemble(plan, both), both, None, watches)
    return [slopes_from(plan, gap_of(setting, w, families[w.pair.no_play], both)) for w in watches]


def _apart(watch: Watch, side: Floats, thicker: Floats) -> Floats:
    """Gap in space from the side-view gap; parts beside one another touch only once their butt lines meet too.
    ``thicker``: how much nearer across the aircraft, mm."""
    if watch.pair.lateral <= 0:
        return np.asarray(in_space(0.0, side))
    lateral = watch.pair.lateral - thicker
    apart = np.hypot(np.maximum(lateral, 0.0), np.maximum(side, 0.0))
    return np.where((lateral <= 0) & (side <= 0), np.maximum(lateral, side), apart)


def _nose_share(setting: Setting, gear: Gear, by: Deviations) -> dict[str, Floats]:
    """Static share of the nose wheel at the loadings that are extreme as drawn, %."""
    study = setting.plan.study
    axle = _full(gear.pins["axle"].at - study.strut.static_compression * gear.down, by.count)
    main = np.full(by.count, complex(*study.airframe.main_gear.contact))
    nose = touch(axle, np.full(by.count, study.tyre.static_loaded_radius), main)
    found = {}
    for s in setting.shares:
        heavier, further = _size(setting, by, pieces.MASS), _size(setting, by, pieces.CG)
        moment = s.mass * s.cg + (s.empty + heavier) * (s.empty_cg + further) - s.empty * s.empty_cg
        cg = moment / (s.mass + heavier)
        ground = main - nose
        found[s.name] = 100.0 * dot(main - cg, ground) / np.abs(ground) ** 2
    return found


def _forces(setting: Setting, made: Made, by: Deviations, up: Floats) -> dict[str, Floats]:
    gear, study = made.gear, setting.plan.study
    found = {}
    drive = setting.lean_spot.driven(up)
    ends = [gear.pins[name] for name in (*gear.thrust_line, "trunnion", "lug")]
    near, far, trunnion, lug = trace(gear.plan, gear.drive_sense * drive, [(p.body, p.at) for p in ends])
    lean = np.abs(np.angle((lug - trunnion) / (far - near)))
    found[LEAN] = least_at(np.degrees(np.minimum(lean, np.pi - lean)), *setting.lean_spot.beyond(up))
    if setting.push_spot is None:
        return found
    push = push_at(setting, gear, motion_at(gear, setting.push_spot.driven(up), 1), by)
    peak = -least_at(-push, *setting.push_spot.beyond(up))
    found[PUSH] = peak
    if study.gear.actuator.max_force is not None:
        able = study.gear.actuator.max_force * (1.0 + _size(setting, by, pieces.FORCE))
        found[FORCE_LEFT] = able - peak
    return found


def push_at(setting: Setting, gear: Gear, motion: Motion, by: Deviations) -> Floats:
    """Push of the actuator (n, poses), N, that carries the weight at the greatest load factor and the new springs,
    without friction, air or inertia, by virtual work."""
    study = setting.plan.study
    loads = weights(gear, study.limits.load_factor.max)
    push = effort_by_work(gear.mechanism, motion, loads, gear.effort_at)
    rate = travel_rate(motion, gear.mechanism, gear.effort_at)
    for entry, law in zip(study.gear.spring, setting.laws, strict=True):
        root, pin = gear.pins[f"{entry.name} root"], gear.pins[f"{entry.name} pin"]
        force = law.force(span(motion, root, pin)) * (1.0 + _size(setting, by, f"force of {entry.name}")[:, None])
        push = push - force * travel_rate(motion, gear.mechanism, entry.name) / rate
    return np.asarray(push)
