"""A crowded picture for the drawing tests: an invented folding leg in a bay full of boxes. No solver behind it."""

from __future__ import annotations

import numpy as np

from linkage.drawing.scene import Bar, Dimension, Disc, Item, Leader, Note, Path, PinMark, Region, Role, Scene

TRUNNION, WHEEL, ROOT, KNEE, LUG = 840 + 682j, 807 + 144j, 1140 + 550j, 943 + 516j, 821 + 503j
ACTUATOR, HORN, SPRING, SPRING_PIN = 800 + 752j, 1071 + 622j, 815 + 556j, 1180 + 505j

BOXES = (
    ("engine sump and crankcase", Role.ENGINE, (560, 812, 1165, 1250)),
    ("accessory case", Role.ENGINE, (1165, 880, 1300, 1210)),
    ("oil cooler", Role.BAY, (650, 612, 770, 780)),
    ("battery box", Role.BAY, (1500, 880, 1650, 1060)),
    ("firewall", Role.BAY, (1650, 428, 1662, 1330)),
    ("cowl aft lip", Role.BAY, (1638, 428, 1650, 436)),
    ("propeller and spinner", Role.ENGINE, (380, 240, 470, 1960)),
)


def leg(turn: complex, role: Role, named: bool) -> list[Item]:
    """The gear turned about the trunnion (the brace follows stiffly; this is only a picture)."""

    def at(z: complex) -> complex:
        return TRUNNION + (z - TRUNNION) * turn

    def name(text: str) -> str:
        return text if named else ""

    fork = WHEEL + 150j
    return [
        Disc(at(WHEEL), 186, role, name("tyre (grown)")),
        Bar(TRUNNION, at(LUG - 20j), 36, role, name("outer cylinder")),
        Bar(at(LUG - 20j), at(fork), 23, role, name("piston")),
        Bar(at(fork), at(WHEEL), 24, role, name("half fork, left")),
        Bar(at(KNEE), at(LUG), 14, role, name("lower brace link")),
    ]


def crowded() -> Scene:
    """Three gear positions, a keep-out, a dozen bay items, pins, dimensions, notes."""
    from shapely import union_all

    from linkage.drawing.paper import shape_of

    sweep = [np.exp(1j * np.radians(a)) for a in range(0, 93, 4)]
    swept = union_all([shape_of(item) for turn in sweep for item in leg(complex(turn), Role.SWEPT, False)])
    items: list[Item] = [
        Region(swept, Role.SWEPT, "swept region"),
        Region(swept.buffer(12), Role.KEEPOUT, "keep-out, allowance 12 mm"),
    ]
    for name, role, (x0, y0, x1, y1) in BOXES:
        items.append(Path((x0 + 1j * y0, x1 + 1j * y0, x1 + 1j * y1, x0 + 1j * y1), True, role, name))
    pipe = (1205 + 800j, 1245 + 840j, 1515 + 436j, 1465 + 436j)
    items += [Path(pipe, True, Role.HOT, "exhaust tailpipe R"), Path(pipe, True, Role.HOT, "exhaust tailpipe L")]
    items += [Disc(1216 + 828j, 23, Role.HOT, "exhaust crossover")]
    items += [
        Path((735 + 508j, 1638 + 436j), False, Role.HIDDEN, "closed door"),
        Path((440 - 34j, 1700 - 34j), False, Role.GROUND, "static ground"),
    ]
    for degrees, role in ((0, Role.OUTLINE), (46, Role.TRANSIT), (92, Role.UP)):
        items += leg(complex(np.exp(1j * np.radians(degrees))), role, degrees == 0)
    items += [Bar(ROOT, KNEE, 14, Role.OUTLINE, "upper brace link"), Bar(ACTUATOR, HORN, 16, Role.ACTUATOR, "actuator")]
    items += [Bar(SPRING, SPRING_PIN, 11, Role.SPRING, "gas spring"), Leader(1050 + 480j, "gear up, 92 deg", Role.UP)]
    pins = (
        ("trunnion", TRUNNION, True),
        ("brace root", ROOT, True),
        ("knee", KNEE, False),
        ("lug", LUG, False),
        ("axle", WHEEL, False),
    )
    items += [PinMark(at, name, fixed) for name, at, fixed in pins]
    items += [
        Dimension(1193 + 833j, 1191 + 839j, "gap 6.3 mm", Role.WORST),
        Dimension(KNEE, KNEE - 1 + 5j, "over centre 5.0 mm"),
        Dimension(807 - 34j, 858 - 34j, "trail 51 mm"),
        Note("Gear drawn with the strut extended"),
    ]
    return Scene(
        tuple(items),
        "Least margin 0.9 mm: tyre to exhaust crossover",
        "Side view of a nose gear",
        (330, -120, 1780, 1010),
    )
