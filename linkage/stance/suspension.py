"""The aircraft at rest on its struts and tyres: attitude, contacts and load split for any number of loadings at once.

Unknown is the nose share s. A share gives the wheel loads, they give the deflections, those the contacts and the
attitude, and these by moments about the main contact a share again, G(s). G is continuous, so an interval in which
G(s) - s changes sign holds a rest, and false position closes in on it; a scan of the whole range looks for further
ones, and the balance is checked at the end of every call. Second road in the tests: force and moment equations
solved by ``scipy.optimize``.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linkage.document.study import Study
from linkage.errors import MechanismError
from linkage.gear import Gear
from linkage.stance.give import FloatArray, Give, give
from linkage.stance.states import touch
from linkage.units import STANDARD_GRAVITY

ComplexArray = NDArray[np.complex128]

SCAN, MOST_STEPS, MOST_ROUNDS = 17, 80, 60
SETTLED, BALANCED = 1e-12, 1e-11
"""Part of the weight by which the moments miss where the search stops, and may miss at most: rounding only."""


@dataclass(frozen=True)
class Suspension:
    """Where the wheels are as drawn, and what gives way; a ``Give`` that is None keeps its place as drawn.

    ``axle``: nose axle, strut extended; ``down``: unit vector down the leg; ``main``: main contact as drawn, with the
    travel ``drawn`` in it. Points FS + 1j*WL, mm.
    """

    axle: complex
    down: complex
    main: complex
    compression: float
    loaded_radius: float
    round_radius: float
    struts: int
    drawn: float
    nose_strut: Give | None
    nose_tyre: Give | None
    main_gives: tuple[Give, ...]


@dataclass(frozen=True, eq=False)
class Rest:
    """Loadings at rest, arrays (n,): share, contacts and axle (FS + 1j*WL, mm), unit vector aft along the ground, strut
    compression, loaded radius and travel of the main wheels from their drawn place (up positive), mm."""

    share: FloatArray
    nose: ComplexArray
    main: ComplexArray
    axle: ComplexArray
    direction: ComplexArray
    compression: FloatArray
    radius: FloatArray
    main_travel: FloatArray


def suspension(study: Study, gear: Gear) -> Suspension | None:
    """From the document, None if it gives no springs."""
    s, tyre = study.springs, study.tyre
    mains = tuple(
        give(f"springs.{name}", entry)
        for name, entry in (("main_strut", s.main_strut), ("main_tyre", s.main_tyre))
        if entry is not None
    )
    if s.nose_strut is None and s.nose_tyre is None and not mains:
        return None
    drawn = sum(float(g.at(np.array(s.main_drawn_load or 0.0))) for g in mains)
    flat = (tyre.outside_diameter - tyre.rim_diameter) / 2
    return Suspension(
        gear.pins["axle"].at,
        gear.down,
        complex(*study.airframe.main_gear.contact),
        study.strut.static_compression,
        tyre.static_loaded_radius,
        tyre.outside_diameter / 2,
        study.airframe.main_gear.struts,
        drawn,
        give("springs.nose_strut", s.nose_strut, study.strut.stroke) if s.nose_strut else None,
        give("springs.nose_tyre", s.nose_tyre, flat) if s.nose_tyre else None,
        mains,
    )


def rest(s: Suspension, mass: FloatArray, cg: ComplexArray) -> Rest:
    """Every loading (kg, FS + 1j*WL in mm) at rest. ``MechanismError``: it tips onto its tail, it can rest in more than
    one attitude, or a load lies beyond a curve."""
    low, high, over, under = _bracket(s, mass, cg)
    last = np.zeros(mass.shape)
    for _ in range(MOST_STEPS):
        share = (low * under - high * over) / (under - over)
        found = _placed(s, mass, share)
        off = _share(found, cg) - share
        if (np.abs(off) <= SETTLED).all():
            break
        # False position; an end that stays a second time counts half (Illinois), so that both ends move.
        more = off > 0.0
        stays = np.where(np.sign(off) == last, 0.5, 1.0)
        over, under, last = np.where(more, off, over * stays), np.where(more, under * stays, off), np.sign(off)
        low, high = np.where(more, share, low), np.where(more, high, share)
    if not (np.abs(off) <= BALANCED).all():
        raise MechanismError(f"stance: the wheel loads miss balance by {np.abs(off).max():.3g} of the weight")
    _covered(s, mass, found)
    return found


def _bracket(
    s: Suspension, mass: FloatArray, cg: ComplexArray
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Neighbouring shares between which G(s) - s changes sign, once and only once from 0 to 1, and its values there.

    Looked at on a grid and at every share at which a spring changes its rate: between two of them G is all but linear.
    """
    scan = _scan(s, mass)
    count, n = scan.shape
    shares = scan.ravel()
    off = (_share(_placed(s, np.tile(mass, count), shares), np.tile(cg, count)) - shares).reshape(count, n)
    more = off > 0.0
    if not more[0].all():
        k = int(np.argmin(more[0]))
        raise MechanismError(f"stance: at {mass[k]:.5g} kg with the CG at FS {cg[k].real:.1f} mm it tips onto its tail")
    turns = (more[1:] != more[:-1]).sum(axis=0)
    if (turns != 1).any():
        k = int(np.argmax(turns != 1))
        places = ", ".join(f"{100 * scan[i, k]:.0f} %" for i in np.flatnonzero(more[1:, k] != more[:-1, k]))
        raise MechanismError(
            f"stance: at {mass[k]:.5g} kg with the CG at FS {cg[k].real:.1f} mm the springs are so soft that it has"
            f" {turns[k]} attitudes at rest (nose shares near {places or 'none'}); expected one: stiffen [springs]"
        )
    at, every = (more[1:] != more[:-1]).argmax(axis=0), np.arange(n)
    return scan[at, every], scan[at + 1, every], off[at, every], off[at + 1, every]


def _scan(s: Suspension, mass: FloatArray) -> FloatArray:
    """Rising shares (k, n) from 0 to 1 for each loading."""
    weight, lean = STANDARD_GRAVITY * mass, abs(s.down.imag)
    nose = [k / lean for k in (s.nose_strut.kinks if s.nose_strut else ())]
    nose += s.nose_tyre.kinks if s.nose_tyre else ()
    rows = [np.full(mass.shape, x) for x in np.linspace(0.0, 1.0, SCAN)]
    rows += [np.clip(k / weight, 0.0, 1.0) for k in nose]
    rows += [np.clip(1.0 - s.struts * k / weight, 0.0, 1.0) for g in s.main_gives for k in g.kinks]
    return np.sort(np.array(rows), axis=0)


def _placed(s: Suspension, mass: FloatArray, share: FloatArray) -> Rest:
    """Where wheels and ground are while the nose carries ``share``, balanced or not."""
    weight = STANDARD_GRAVITY * mass
    nose_load = weight * share
    leg_load = (weight - nose_load) / s.struts
    travel = sum((g.at(leg_load) for g in s.main_gives), np.full(share.shape, -s.drawn))
    main = (s.main + 1j * travel).astype(np.complex128)
    radius = s.round_radius - s.nose_tyre.at(nose_load) if s.nose_tyre else np.full(share.shape, s.loaded_radius)
    compression = np.full(share.shape, s.compression)
    # The strut takes the part of the load along the leg, which depends on the attitude it makes: a weak dependence.
    for _ in range(MOST_ROUNDS):
        axle = s.axle - compression * s.down
        nose = touch(axle, radius, main)
        direction = (main - nose) / np.abs(main - nose)
        if s.nose_strut is None:
            break
        before, compression = compression, s.nose_strut.at(nose_load * (-s.down * (1j * direction).conj()).real)
        if (np.abs(compression - before) <= 1e-12 * (1.0 + s.nose_strut.stop)).all():
            break
    else:
        raise MechanismError("stance: strut compression and attitude find no balance; stiffen springs.nose_strut")
    return Rest(share, nose, main, axle, direction, compression, radius, travel)


def _share(r: Rest, cg: ComplexArray) -> FloatArray:
    ahead: FloatArray = ((r.main - cg) * r.direction.conj()).real / np.abs(r.main - r.nose)
    return ahead


def _covered(s: Suspension, mass: FloatArray, r: Rest) -> None:
    weight = STANDARD_GRAVITY * mass
    nose, leg = float((weight * r.share).max()), float((weight * (1 - r.share)).max()) / s.struts
    lean = float((-s.down * (1j * r.direction).conj()).real.max())
    loads = [(s.nose_strut, nose * lean), (s.nose_tyre, nose), *((g, leg) for g in s.main_gives)]
    beyond = [(g, load) for g, load in loads if g is not None and not g.covers(load)]
    if beyond:
        g, load = beyond[0]
        raise MechanismError(f"{g.name}: the curve ends at {g.points[-1][0]:.0f} N, the loadings reach {load:.0f} N")
