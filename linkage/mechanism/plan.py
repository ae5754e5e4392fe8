"""Order of assembly: which bodies can be placed from which, found from the joints alone."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import combinations

from linkage.mechanism.groups import Driven, Group, Slider, Telescope, TwoLinks
from linkage.mechanism.model import GROUND, Joint, Mechanism, Pin, Slide, column


@dataclass(frozen=True)
class Plan:
    """``groups`` in order of assembly; ``loose`` bodies have no closed form and go to Newton together."""

    mechanism: Mechanism
    groups: tuple[Group, ...]
    loose: tuple[str, ...]


def plan(mechanism: Mechanism) -> Plan:
    """Find the order of assembly. Raises ``ValueError`` if the joints do not leave one degree of freedom."""
    if mechanism.mobility != 1:
        raise ValueError(f"the joints leave {mechanism.mobility} degrees of freedom; expected 1")
    driver = mechanism.joint(mechanism.driver)
    groups: list[Group] = [_driven(driver)]
    known = {GROUND, driver.b}
    while group := _next_group(mechanism.joints, known, mechanism.bodies):
        groups.append(group)
        known |= set(group.anchors())
    loose = tuple(b for b in mechanism.bodies if b not in known)
    return Plan(mechanism, tuple(groups), loose)


def needed(plan: Plan, bodies: Collection[str]) -> Plan:
    """The part of the plan without which these bodies cannot be placed."""
    wanted = set(bodies)
    loose = plan.loose if wanted & set(plan.loose) else ()
    for joint in plan.mechanism.joints:
        if {joint.a, joint.b} & set(loose):
            wanted |= {joint.a, joint.b}
    groups: list[Group] = []
    for group in reversed(plan.groups):
        if wanted & group.anchors().keys():
            groups.append(group)
            wanted |= set(group.hosts())
    return Plan(plan.mechanism, tuple(reversed(groups)), loose)


def _driven(joint: Joint) -> Driven:
    if isinstance(joint, Pin):
        return Driven(joint.name, joint.b, column(joint.at), None)
    along = column(joint.along)
    return Driven(joint.name, joint.b, column(joint.at), along / abs(along))


def _next_group(joints: Sequence[Joint], known: set[str], bodies: Sequence[str]) -> Group | None:
    free = [b for b in bodies if b not in known]
    for one, two in combinations(free, 2):
        inner = [j for j in joints if {j.a, j.b} == {one, two}]
        outer1 = [j for j in joints if one in (j.a, j.b) and {j.a, j.b} & known]
        outer2 = [j for j in joints if two in (j.a, j.b) and {j.a, j.b} & known]
        if len(inner) == len(outer1) == len(outer2) == 1:
            group = _group(one, two, outer1[0], inner[0], outer2[0])
            if group is not None:
                return group
    return None


def _group(one: str, two: str, first: Joint, inner: Joint, last: Joint) -> Group | None:
    """The closed form for the two links, or None where there is none (then Newton serves).

    On which of its two bodies a slide is drawn does not matter here: they do not turn on each other.
    """
    name = f"{one} - {two}"
    at_a, at_b = _other(first, one), _other(last, two)
    match first, inner, last:
        case Pin(), Pin(), Pin():
            return TwoLinks(name, one, two, at_a, at_b, column(first.at), column(last.at), column(inner.at))
        case Pin(), Slide(), Pin():
            along = column(inner.along)
            return Telescope(name, one, two, at_a, at_b, column(first.at), column(last.at), along)
        case Pin(), Pin(), Slide():
            return Slider(name, one, two, at_a, at_b, column(first.at), column(inner.at), column(last.along))
        case Slide(), Pin(), Pin():
            return Slider(name, two, one, at_b, at_a, column(last.at), column(inner.at), column(first.along))
    return None


def _other(joint: Joint, body: str) -> str:
    return joint.b if joint.a == body else joint.a
