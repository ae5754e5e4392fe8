"""Positions and pin forces against a general physics engine, on three ways to drive a folding brace, both knee sides.

Bounds: positions 1e-9 m, forces 1e-8 of the largest, away from dead points.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest

from linkage.mechanism import (
    GROUND,
    Joint,
    Load,
    Mechanism,
    Pin,
    Slide,
    balance,
    effort_by_work,
    plan,
    solve,
    travel_rate,
)
from tests.agreement.engine import GRAVITY, Judge, Part, Site
from tests.mechanism import linkages as demo

MM = 1e-3
UPPER_PIN, LUG, TRUNNION = demo.UPPER_PIN * MM, demo.LUG * MM, demo.TRUNNION * MM
ROOT, HORN, AXLE = demo.ACTUATOR_ROOT * MM, demo.HORN * MM, demo.AXLE * MM
ON_LEG = TRUNNION + 0.12 * demo.DOWN + 0.05j * demo.DOWN
CRANK_PIVOT, CRANK_ROD, CRANK_PIN, ROD_END = 1.10 + 0.80j, 1.00 + 0.76j, 1.08 + 0.90j, HORN


def knee(side: int) -> complex:
    """The demo knee, or its mirror image on the other side of the line upper pin - lug."""
    if side > 0:
        return demo.KNEE * MM
    line = (LUG - UPPER_PIN) / abs(LUG - UPPER_PIN)
    return UPPER_PIN + ((demo.KNEE * MM - UPPER_PIN) * line.conjugate()).conjugate() * line


@dataclass(frozen=True)
class Case:
    mechanism: Mechanism
    judge: Judge
    parts: tuple[Part, ...]
    sites: tuple[Site, ...]


def strut(root: complex, end: complex, body: str) -> list[Joint]:
    return [
        Pin("root", GROUND, "barrel", root),
        Slide("actuator", "barrel", "rod", end, end - root),
        Pin("actuator pin", "rod", body, end),
    ]


def brace(side: int) -> tuple[list[Joint], list[Part]]:
    k = knee(side)
    joints: list[Joint] = [
        Pin("upper", GROUND, "upper", UPPER_PIN),
        Pin("lower", "upper", "lower", k),
        Pin("lug", "lower", "leg", LUG),
        Pin("leg", GROUND, "leg", TRUNNION),
    ]
    parts = [
        Part("upper", "world", UPPER_PIN, 1.1, 0.6 * UPPER_PIN + 0.4 * k + 0.01j, 0.004),
        Part("lower", "upper", k, 0.7, 0.5 * (k + LUG) - 0.02j, 0.001),
        Part("leg", "world", TRUNNION, 15.7, TRUNNION + 0.7 * (AXLE - TRUNNION), 0.6),
    ]
    return joints, parts


def case(topology: str, side: int) -> Case:
    joints, parts = brace(side)
    sites = [Site("lug on lower", "lower", LUG), Site("lug", "leg", LUG), Site("axle", "leg", AXLE)]
    loops = [("lug on lower", "lug")]
    if topology == "bell-crank":
        joints += [
            Pin("crank", GROUND, "crank", CRANK_PIVOT),
            Pin("push rod", "crank", "push rod", CRANK_ROD),
            Pin("rod end", "push rod", "upper", ROD_END),
        ]
        parts += [
            Part("crank", "world", CRANK_PIVOT, 0.6, (CRANK_PIVOT + CRANK_ROD + CRANK_PIN) / 3, 0.001),
            Part("push rod", "crank", CRANK_ROD, 0.4, 0.5 * (CRANK_ROD + ROD_END), 0.0005),
        ]
        sites += [Site("rod end on rod", "push rod", ROD_END), Site("rod end", "upper", ROD_END)]
        loops.append(("rod end on rod", "rod end"))
    body, end = {"link": ("upper", HORN), "output": ("leg", ON_LEG), "bell-crank": ("crank", CRANK_PIN)}[topology]
    joints += strut(ROOT, end, body)
    sites += [Site("root", "world", ROOT), Site("pin", body, end)]
    judge = Judge(parts, sites, loops, ("root", "pin"))
    return Case(Mechanism(tuple(joints), "upper"), judge, tuple(parts), tuple(sites))


@pytest.mark.parametrize("side", [1, -1], ids=["knee below", "knee above"])
@pytest.mark.parametrize("topology", ["link", "output", "bell-crank"])
def test_positions_and_forces(topology: str, side: int) -> None:
    c = case(topology, side)
    q = np.linspace(-0.06, -1.3, 13)
    motion = solve(plan(c.mechanism), q)
    loads = [Load(p.name, p.cg, -1j * GRAVITY * p.mass) for p in c.parts]
    found = balance(c.mechanism, motion, loads, "actuator")
    by_work = effort_by_work(c.mechanism, motion, loads, "actuator")[0]
    compared = 0
    for i in range(len(q)):
        assert motion.margin[0, i] > 1e-3
        c.judge.close(float(q[i]))
        for s in c.sites:
            body = GROUND if s.body == "world" else s.body
            assert abs(motion.point(body, s.at)[0, i] - c.judge.site(s.name)) < 1e-9
        if abs(travel_rate(motion, c.mechanism, "actuator")[0, i]) < 5e-3:
            continue  # within about 3 deg of a dead point of the drive
        drive, closing, hinges = c.judge.hold()
        largest = max(abs(f) for f in hinges.values())
        assert abs(found.effort[0, i] - drive) < 1e-8 * largest
        assert abs(by_work[i] - drive) < 1e-8 * largest
        for name, force in (closing | hinges).items():
            assert abs(found.joint[name][0, i] - force) < 1e-8 * largest, name
        compared += 1
    assert compared >= 10
