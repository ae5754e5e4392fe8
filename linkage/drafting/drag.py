"""A pin moved to another place: which numbers of the document change, and to what.

Two ways. *Keep lengths*: the numbers of the document stay but for the pin's own, and the gear closes anew: links keep
their lengths, everything drawn on a moving body goes with it. *Keep places*: all other pins stay where they are drawn
down and locked, and every length, angle and leg measure follows from that. Shapes of parts and masses are measured on
the leg and go with the leg either way.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from enum import StrEnum

import numpy as np

from linkage.document.study import Study
from linkage.document.variants import value_at, varied
from linkage.drafting.handles import Handle, fields_of, handles, knee_at, over_centre
from linkage.errors import MechanismError
from linkage.gear import LEG, Gear, build
from linkage.gear.frame import LINES
from linkage.mechanism.model import GROUND

Fields = dict[str, float]
Rounding = Callable[[Fields, bool], Fields]
"""Values as the file will hold them, in inside units; told whether they are the moved pin's own."""

PLANE_TURN = 360.0

ROUNDING = 1e-9
"""Relative; far above the rounding of a place worked out and back, far below any step."""


class Keep(StrEnum):
    """What stays when a pin moves."""

    LENGTHS = "keep lengths"
    PLACES = "keep places"


def exact(fields: Fields, own: bool) -> Fields:
    """The fields as they are: nothing is rounded."""
    return fields


def moved(study: Study, gear: Gear, name: str, to: complex, keep: Keep, rounding: Rounding = exact) -> Fields:
    """Fields of the document that change, by path, in inside units (angles in deg), when the pin is moved to ``to``
    (FS + 1j*WL in mm, gear down and locked) or as near as what is kept allows. ``gear`` is that of ``study``.

    Raises ``MechanismError`` or ``DocumentError`` where the gear cannot close so.
    """
    grips = {h.name: h for h in handles(study, gear)}
    change = _keeping_places if keep is Keep.PLACES else _keeping_lengths
    new = change(study, gear, grips, grips[name], to, rounding)
    return changed(study, new)


def changed(study: Study, fields: Mapping[str, float]) -> Fields:
    """The fields that the study does not hold already, but for rounding."""

    def held(path: str, value: float) -> bool:
        old = value_at(study, path)
        return old is not None and abs(old - value) <= ROUNDING * max(1.0, abs(value))

    return {path: value for path, value in fields.items() if not held(path, value)}


def _own(study: Study, gear: Gear, handle: Handle, places: Mapping[str, complex], rounding: Rounding) -> Fields:
    """The pin's own fields, rounded."""
    return rounding(_turned(study, fields_of(study, gear, handle, places)), True)


# --- keep places ------------------------------------------------------------------------------------------------------


def _keeping_places(
    study: Study, gear: Gear, grips: Mapping[str, Handle], grip: Handle, to: complex, rounding: Rounding
) -> Fields:
    places = {name: complex(p.at) for name, p in gear.pins.items()} | {h.name: h.at for h in grips.values()}
    places[grip.name] = to
    wanted = fields_of(study, gear, grip, _joined(study, places))
    wanted.pop("gear.brace.lower_link", None)  # three numbers for two coordinates: the others would not stay
    own = rounding(_turned(study, wanted), True)
    places[grip.name] = _placed(gear, grip, own, places)  # the others are to be where the rounded pin really lies
    places = _joined(study, places)
    rest: Fields = {}
    for h in grips.values():
        rest |= rounding(_turned(study, fields_of(study, gear, h, places)), False)
    if study.gear.brace.length is not None:
        rest |= rounding({"gear.brace.length": abs(places["lug"] - places["upper pin"])}, False)
    return {**rest, **own}


def _joined(study: Study, places: dict[str, complex]) -> dict[str, complex]:
    """A lock-link pin that is said to lie on another pin goes with it."""
    link = study.gear.lock_link
    if link is not None and link.pin.pin is not None:
        return places | {"lock pin": places[link.pin.pin]}
    return places


def _turned(study: Study, fields: Fields) -> Fields:
    """An angle stays in the turn in which the document has it."""
    return {
        f: v + PLANE_TURN * round((float(value_at(study, f)) - v) / PLANE_TURN) if f.endswith(".angle") else v
        for f, v in fields.items()
    }


def _placed(gear: Gear, grip: Handle, own: Fields, places: Mapping[str, complex]) -> complex:
    """Where the pin lies with its own fields as rounded."""
    a, b = own.values()
    match grip.form:
        case "on leg" | "axle":
            return complex(places["trunnion"] + gear.down * complex(a, b))
        case "on link":
            start, end = (places[name] for name in LINES[grip.body])
            return complex(start + a * (end - start) / abs(end - start) * np.exp(1j * np.radians(b)))
        case "knee" | "lock knee" if not grip.field.endswith(".knee"):
            pairs = {"knee": ("upper pin", "lug", gear.brace), "lock knee": ("lock root", "lock pin", gear.lock_link)}
            near, far, shape = pairs[grip.form]
            assert shape is not None
            return knee_at(places[near], places[far], a, b, shape.fold)
        case _:
            return complex(a, b)


# --- keep lengths -----------------------------------------------------------------------------------------------------


def _keeping_lengths(
    study: Study, gear: Gear, grips: Mapping[str, Handle], grip: Handle, to: complex, rounding: Rounding
) -> Fields:
    sized = _sized(study, gear)
    places = {name: complex(p.at) for name, p in gear.pins.items()} | {grip.name: to}
    if grip.form == "knee":
        own = rounding({"gear.brace.over_centre": _offset_towards(study, gear, to)}, True)
    elif grip.form == "lock knee":
        own = rounding({"gear.lock_link.over_centre": _lock_offset_towards(gear, to)}, True)
    elif grip.name == "lug":
        own = _own(study, gear, grip, places | {"lug": _on_circle(gear, to)}, rounding)
    else:
        own = _own(study, gear, grip, places, rounding)
    new = build(varied(sized, own))
    kept = {f: v for f, v in own.items() if _given(study, f)}
    return {**rounding(_followed(study, gear, new, grips, grip), False), **kept}


def _given(study: Study, field: str) -> bool:
    """A length of links that are given as drawn is no field of the document."""
    drawn = (
        study.gear.brace.knee is not None,
        study.gear.lock_link is not None and study.gear.lock_link.knee is not None,
    )
    return not (drawn[0] and field == "gear.brace.over_centre") and not (
        drawn[1] and field == "gear.lock_link.over_centre"
    )


def _sized(study: Study, gear: Gear) -> Study:
    """The same gear with its links given by their lengths instead of as drawn."""
    entry, brace, links = study.gear, study.gear.brace, study.gear.lock_link
    if entry.leg.tilt is not None:
        shape = gear.brace
        lengths = (
            {"length": shape.span}
            if not shape.has_knee
            else {
                "knee": None,
                "upper_link": shape.upper_link,
                "lower_link": shape.lower_link,
                "over_centre": shape.over_centre,
            }
        )
        brace = brace.model_copy(update=lengths)
        entry = entry.model_copy(update={"leg": entry.leg.model_copy(update={"tilt": None}), "brace": brace})
    if links is not None and links.knee is not None and gear.lock_link is not None:
        upper, offset = gear.lock_link.upper_link, gear.lock_link.over_centre
        links = links.model_copy(update={"knee": None, "upper_link": upper, "over_centre": offset})
        entry = entry.model_copy(update={"lock_link": links})
    return study.model_copy(update={"gear": entry})


def _on_circle(gear: Gear, to: complex) -> complex:
    """The lug keeps the length of the locked brace: the nearest place on the circle about the upper pin."""
    upper = gear.pins["upper pin"].at
    return complex(upper + gear.brace.span * _unit(to - upper))


def _offset_towards(study: Study, gear: Gear, to: complex) -> float:
    """Over-centre offset, mm, with which the knee lies in the direction of ``to`` from the upper pin, both links and
    the lug's place on the leg as they are. The leg turns with it."""
    upper, trunnion, old = gear.pins["upper pin"].at, gear.pins["trunnion"].at, gear.pins["lug"].at
    shape, arm = gear.brace, abs(old - trunnion)
    knee = upper + shape.upper_link * _unit(to - upper)
    reach = abs(trunnion - knee)
    room = min(shape.lower_link + arm - reach, reach - abs(shape.lower_link - arm))
    if room < 0:
        raise MechanismError(f"knee: the lower link misses the lug by {-room:.1f} mm from there")
    along = (shape.lower_link**2 - arm**2 + reach**2) / (2 * reach)
    aside = 1j * np.sqrt(max(shape.lower_link**2 - along**2, 0.0))
    lugs = [knee + (along + s * aside) * _unit(trunnion - knee) for s in (1, -1)]
    lug = min(lugs, key=lambda z: abs(z - old))
    return over_centre(upper, knee, lug, shape.fold)


def _lock_offset_towards(gear: Gear, to: complex) -> float:
    root, pin, shape = gear.pins["lock root"].at, gear.pins["lock pin"].at, gear.lock_link
    assert shape is not None
    return over_centre(root, root + shape.upper_link * _unit(to - root), pin, shape.fold)


def _unit(z: complex) -> complex:
    return z / abs(z) if z else 1.0 + 0j


def _followed(study: Study, old: Gear, new: Gear, grips: Mapping[str, Handle], grip: Handle) -> Fields:
    """Fields of places given as [FS, WL] down and locked, which have moved with their body, and of links as drawn."""
    fields: Fields = {}
    for h in grips.values():
        if h.form in ("knee", "lock knee") and h.field.endswith(".knee"):
            point = complex(new.pins[h.name].at)
        elif h.form == "point" and h.name != grip.name and h.body != GROUND and h.body in LINES:
            point = _rigid(old, new, h.body, h.at)
        else:
            continue
        fields |= {f"{h.field}[0]": point.real, f"{h.field}[1]": point.imag}
    if study.gear.leg.tilt is not None:
        fields["gear.leg.tilt"] = float(np.degrees(new.tilt))
    return fields


def _rigid(old: Gear, new: Gear, body: str, point: complex) -> complex:
    """Where a point fixed on a body lies once the body lies elsewhere."""
    if body == LEG:
        return complex(new.pins["trunnion"].at + (point - old.pins["trunnion"].at) * new.down / old.down)
    start, end = LINES[body]
    turn = _unit(new.pins[end].at - new.pins[start].at) / _unit(old.pins[end].at - old.pins[start].at)
    return complex(new.pins[start].at + (point - old.pins[start].at) * turn)


__all__ = ["Fields", "Keep", "Rounding", "changed", "exact", "moved"]
