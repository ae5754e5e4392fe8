"""Extremes of share, angles and clearances with struts and tyres deflected by each loading."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from linkage.document.airframe import Propeller
from linkage.loading import LoadCase, LoadModel, ground_range, turnover
from linkage.loading.choices import FloatArray
from linkage.loading.forms import Stance2
from linkage.loading.silhouette import silhouette
from linkage.stance.suspension import Rest, Suspension, rest
from linkage.units import STANDARD_GRAVITY

STEPS, ROUNDS, PARTS = 4, 3, 9
"""Points to each straight piece of a silhouette, and how an extreme is then closed in on: 8 times finer a round."""


@dataclass(frozen=True)
class Settled:
    """One loading at rest. Angles rad, lengths mm, N; ``propeller`` None without a propeller, ``tail`` without a tail.

    ``pitch``: nose up positive; ``main_travel``: of the main wheels from their drawn place, up positive; ``tail``: how
    far it can still be rocked back about the mains until the tail touches.
    """

    case: LoadCase
    share: float
    nose_load: float
    compression: float
    loaded_radius: float
    main_travel: float
    pitch: float
    tip_back: float
    turnover: float
    propeller: float | None
    tail: float | None
    nose: complex
    main: complex


@dataclass(frozen=True)
class SettledRange:
    """The worst of each over the silhouettes of all loadings; ``loadings``: how many were solved to begin with."""

    loadings: int
    share_min: Settled
    share_max: Settled
    nose_load_max: Settled
    tip_back_min: Settled
    turnover_max: Settled
    propeller_min: Settled | None
    tail_min: Settled | None


@dataclass(frozen=True)
class Shape:
    """What of the airframe is judged: track in mm, propeller, lowest point of the rear fuselage."""

    track: float
    propeller: Propeller | None
    tail: complex | None


def settled_range(model: LoadModel, springs: Suspension, static: Stance2, shape: Shape) -> SettledRange:
    """Solve the silhouettes of the loadings, then close in on each extreme. Raises as ``rest`` does."""
    sides = [silhouette(model, axis, STEPS) for axis in _axes(model, static, shape)]
    paths = [(path, outer) for s in sides for path, outer in zip(s.masses, s.outer(), strict=True)]
    masses = np.concatenate([path[outer] for path, outer in paths])
    where = [(p, int(k)) for p, (_, outer) in enumerate(paths) for k in np.flatnonzero(outer)]
    values = _quantities(model, springs, shape, masses)
    worst: dict[str, FloatArray] = {}
    for name, found in values.items():
        p, k = where[int(found.argmax())]
        path = paths[p][0]
        worst[name] = path[[max(k - 1, 0), k, min(k + 1, len(path) - 1)]]
    closer = _close_in(lambda m: _quantities(model, springs, shape, m), worst)
    solved = dict(zip(closer, settled(model, springs, shape, np.array(list(closer.values()))), strict=True))
    return SettledRange(
        len(set(map(tuple, masses.tolist()))),
        solved["share_min"],
        solved["share_max"],
        solved["nose_load_max"],
        solved["tip_back_min"],
        solved["turnover_max"],
        solved.get("propeller_min"),
        solved.get("tail_min"),
    )


def settled(model: LoadModel, springs: Suspension, shape: Shape, masses: FloatArray) -> list[Settled]:
    """Loadings at rest, ``masses`` (n, items) in kg. Raises as ``rest`` does."""
    cases = [model.case(row) for row in masses.tolist()]
    cg, total = np.array([c.cg for c in cases]), np.array([c.mass_kg for c in cases])
    r = rest(springs, total, cg)
    angles = _angles(r, cg, np.array([c.bl_mm for c in cases]), shape)
    return [
        Settled(
            case,
            float(r.share[i]),
            float(r.share[i]) * case.mass_kg * STANDARD_GRAVITY,
            float(r.compression[i]),
            float(r.radius[i]),
            float(r.main_travel[i]),
            float(np.angle(r.direction[i])),
            float(angles["tip_back"][i]),
            float(angles["turnover"][i]),
            float(angles["propeller"][i]) if "propeller" in angles else None,
            float(angles["tail"][i]) if "tail" in angles else None,
            complex(r.nose[i]),
            complex(r.main[i]),
        )
        for i, case in enumerate(cases)
    ]


def _axes(model: LoadModel, static: Stance2, shape: Shape) -> list[complex]:
    """Directions whose silhouettes hold the extremes: along the ground for share and load, and turned so that
    the moment along them is what the worst tip-back and turnover are made of."""
    tip = ground_range(model, static).tip_back_min.value
    over = turnover(model, static, shape.track).value
    lean = np.sin(np.arctan2(shape.track, 2.0 * static.wheelbase_mm))
    turned = [1 + 0j, complex(1.0, np.tan(tip)), complex(-np.tan(over) * lean, 1.0)]
    return [static.direction * z / abs(z) for z in turned]


def _quantities(model: LoadModel, springs: Suspension, shape: Shape, masses: FloatArray) -> dict[str, FloatArray]:
    """Everything of which the greatest is looked for, least ones with their sign turned."""
    total = model.empty_kg + masses.sum(axis=1)
    empty = complex(model.empty_fs_mm, model.empty_wl_mm)
    cg = (model.empty_kg * empty + masses @ np.array([i.arm for i in model.items], dtype=complex)) / total
    bl = (model.empty_kg * model.empty_bl_mm + masses @ np.array([i.bl_mm for i in model.items])) / total
    r = rest(springs, total, cg)
    angles = _angles(r, cg, bl, shape)
    found = {
        "share_min": -r.share,
        "share_max": r.share,
        "nose_load_max": r.share * total,
        "tip_back_min": -angles["tip_back"],
        "turnover_max": angles["turnover"],
    }
    return found | {f"{n}_min": -angles[n] for n in ("propeller", "tail") if n in angles}


def _angles(r: Rest, cg: np.ndarray, bl: FloatArray, shape: Shape) -> dict[str, FloatArray]:
    """Tip-back, turnover and what there is of propeller clearance (mm) and tail angle, rad."""
    from_main = (cg - r.main) * r.direction.conj()
    wheelbase = np.abs(r.main - r.nose)
    lean = np.arctan2(shape.track, 2.0 * wheelbase)
    aside = (wheelbase + from_main.real) * np.sin(lean) - np.abs(bl) * np.cos(lean)
    found = {
        "tip_back": np.arctan2(-from_main.real, from_main.imag),
        "turnover": np.arctan2(from_main.imag, aside),
    }
    if shape.propeller is not None:
        found["propeller"] = ((tip(shape.propeller) - r.main) * r.direction.conj()).imag
    if shape.tail is not None:
        found["tail"] = np.angle((shape.tail - r.main) * r.direction.conj())
    return found


def tip(propeller: Propeller) -> complex:
    """Lowest point of the propeller disc, which stands square to the FS axis."""
    return complex(propeller.plane_fs, propeller.hub_wl - propeller.diameter / 2)


def _close_in(
    evaluate: Callable[[FloatArray], dict[str, FloatArray]], brackets: dict[str, FloatArray]
) -> dict[str, FloatArray]:
    """Masses of each extreme, from brackets of three loadings each: all brackets are refined in one call a round."""
    parts = np.linspace(0.0, 1.0, PARTS)[:, None]
    names = list(brackets)
    for _ in range(ROUNDS):
        fine = {n: np.concatenate([a + (b - a) * parts, b + (c - b) * parts[1:]]) for n, (a, b, c) in brackets.items()}
        values = evaluate(np.concatenate([fine[n] for n in names]))
        for i, n in enumerate(names):
            own = values[n][i * len(fine[n]) : (i + 1) * len(fine[n])]
            k = int(own.argmax())
            brackets[n] = fine[n][[max(k - 1, 0), k, min(k + 1, len(own) - 1)]]
    return {n: bracket[1] for n, bracket in brackets.items()}
