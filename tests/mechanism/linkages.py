"""Linkages for the kernel's tests: textbook ones, drawn once for these and for the published checks, the demo gear, and
random ones grown group by group."""

from __future__ import annotations

import cmath
from collections.abc import Callable, Sequence

import numpy as np

from linkage.mechanism.model import GROUND, Joint, Mechanism, Pin, Slide
from linkage.report.validation.linkages import four_bar as four_bar
from linkage.report.validation.linkages import slider_crank as slider_crank

# The demo gear down and locked, mm: knee and lug from its two bisectors.
TRUNNION, UPPER_PIN, KNEE = 840 + 682j, 1140 + 550j, 942.9154052347341 + 515.9755601631573j
LUG = 820.596556643836 + 503.0488715153656j
ACTUATOR_ROOT, SPRING_ROOT = 800 + 752j, 815 + 556j
DOWN = (LUG - TRUNNION) / abs(LUG - TRUNNION)
AXLE = TRUNNION + DOWN * (594 + 25j)
_ALONG = (KNEE - UPPER_PIN) / abs(KNEE - UPPER_PIN)
HORN = UPPER_PIN + 100 * _ALONG * cmath.exp(-1j * np.radians(56))
SPRING_PIN = UPPER_PIN + 60 * _ALONG * cmath.exp(1j * np.radians(120))


def demo_gear() -> Mechanism:
    """Drag brace, leg, actuator and gas spring of the demo gear, driven by its upper link."""
    return Mechanism(
        (
            Pin("upper pin", GROUND, "upper", UPPER_PIN),
            Pin("knee", "upper", "lower", KNEE),
            Pin("lug", "lower", "leg", LUG),
            Pin("trunnion", GROUND, "leg", TRUNNION),
            Pin("actuator root", GROUND, "barrel", ACTUATOR_ROOT),
            Slide("actuator", "barrel", "rod", HORN, HORN - ACTUATOR_ROOT),
            Pin("actuator pin", "rod", "upper", HORN),
            Pin("spring root", GROUND, "spring barrel", SPRING_ROOT),
            Slide("spring", "spring barrel", "spring rod", SPRING_PIN, SPRING_PIN - SPRING_ROOT),
            Pin("spring pin", "spring rod", "upper", SPRING_PIN),
        ),
        "upper pin",
    )


TRIAD = (0j, 10 + 10j, 35 + 25j, 55 + 20j, 60 - 30j, 45 + 45j, 100 + 50j)


def triad(places: Sequence[complex] = TRIAD) -> Mechanism:
    """A plate on three links, one from the crank and two from the ground: no two-link group in it."""
    return Mechanism(
        (
            Pin("pivot", GROUND, "crank", places[0]),
            Pin("crank pin", "crank", "first link", places[1]),
            Pin("first corner", "first link", "plate", places[2]),
            Pin("second corner", "plate", "second link", places[3]),
            Pin("second root", GROUND, "second link", places[4]),
            Pin("third corner", "plate", "third link", places[5]),
            Pin("third root", GROUND, "third link", places[6]),
        ),
        "pivot",
    )


def random_triad(seed: int) -> Mechanism:
    rng = np.random.default_rng(seed)
    return triad([complex(*rng.uniform(-100, 100, 2)) for _ in TRIAD])


def scotch_yoke(crank: float, drawn: float) -> Mechanism:
    """A block on the crank pin slides up and down in a yoke, which slides sideways on the ground."""
    a = cmath.rect(crank, drawn)
    return Mechanism(
        (
            Pin("pivot", GROUND, "crank", 0j),
            Pin("crank pin", "crank", "block", a),
            Slide("slot", "yoke", "block", a, 1j),
            Slide("guide", GROUND, "yoke", a, 1.0 + 0j),
        ),
        "pivot",
    )


def usable(one: complex, other: complex, least: float = 0.35) -> bool:
    """Two vectors far enough from parallel and long enough for a group to move well away from its drawn position."""
    return min(abs(one), abs(other)) > 15 and abs((one.conjugate() * other).imag) > least * abs(one) * abs(other)


class Grower:
    """Grows a random mechanism: every new group hangs on two bodies that are there already, one of them moving."""

    def __init__(self, seed: int, by_slide: bool = False) -> None:
        self.rng = np.random.default_rng(seed)
        at = self.point()
        first: Joint = Pin("drive", GROUND, "body 0", at)
        if by_slide:
            first = Slide("drive", GROUND, "body 0", at, self.direction())
        self.joints: list[Joint] = [first]
        self.known = [GROUND, "body 0"]

    def point(self) -> complex:
        return complex(*self.rng.uniform(-100, 100, 2))

    def direction(self) -> complex:
        return cmath.rect(self.rng.uniform(0.5, 3.0), self.rng.uniform(-np.pi, np.pi))

    def hosts(self) -> tuple[str, str]:
        moving = str(self.rng.choice(self.known[1:]))
        other = str(self.rng.choice([b for b in self.known if b != moving]))
        return (moving, other) if self.rng.random() < 0.5 else (other, moving)

    def names(self) -> tuple[str, str]:
        k = len(self.known)
        return f"body {k - 1}", f"body {k}"

    def pin(self, one: str, two: str, at: complex) -> Pin:
        a, b = (one, two) if self.rng.random() < 0.5 else (two, one)
        return Pin(f"{a} / {b}", a, b, at)

    def slide(self, one: str, two: str, at: complex, along: complex) -> Slide:
        a, b = (one, two) if self.rng.random() < 0.5 else (two, one)
        return Slide(f"{a} > {b}", a, b, at, along)

    def draw(self, good: Callable[[complex, complex, complex], bool]) -> tuple[complex, complex, complex]:
        while True:
            a, b, c = self.point(), self.point(), self.point()
            if good(a, b, c):
                return a, b, c

    def two_links(self) -> None:
        (p, q), (one, two) = self.hosts(), self.names()
        a, b, c = self.draw(lambda a, b, c: usable(c - a, c - b))
        self.add([self.pin(p, one, a), self.pin(one, two, c), self.pin(two, q, b)], one, two)

    def telescope(self) -> None:
        (p, q), (one, two) = self.hosts(), self.names()
        along = self.direction()
        a, b, c = self.draw(lambda a, b, c: usable(1j * 100 * along, b - a, 0.5))
        self.add([self.pin(p, one, a), self.slide(one, two, c, along), self.pin(two, q, b)], one, two)

    def slider(self) -> None:
        (p, rail), (link, block) = self.hosts(), self.names()
        along = self.direction()
        a, _, c = self.draw(lambda a, b, c: usable(1j * 100 * along, c - a, 0.5))
        at = c + along * self.rng.uniform(-20, 20)
        self.add([self.pin(p, link, a), self.pin(link, block, c), self.slide(rail, block, at, along)], link, block)

    def add(self, joints: list[Joint], *bodies: str) -> None:
        self.joints += joints
        self.known += bodies

    def mechanism(self) -> Mechanism:
        order = self.rng.permutation(len(self.joints))
        return Mechanism(tuple(self.joints[i] for i in order), "drive")


def grown(seed: int, groups: int = 3, by_slide: bool = False) -> Mechanism:
    """A random mechanism with that many two-link groups of all kinds, joints in random order."""
    grower = Grower(seed, by_slide)
    kinds = [grower.two_links, grower.telescope, grower.slider]
    for kind in grower.rng.permutation(np.resize(np.arange(3), groups)):
        kinds[kind]()
    return grower.mechanism()


def marks(mechanism: Mechanism) -> list[tuple[str, complex]]:
    """Points to watch: every joint on both its bodies, and one far out on each body."""
    out: list[tuple[str, complex]] = []
    for joint in mechanism.joints:
        out += [(body, complex(joint.at)) for body in (joint.a, joint.b) if body != GROUND]
    return out + [(body, 70.0 - 40.0j) for body in mechanism.bodies]
