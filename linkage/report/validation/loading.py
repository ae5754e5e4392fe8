"""Published load splits, weighings and ground-load conditions. Rows are worked in the units they are printed in."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from linkage.document.conditions import ConditionEntry, condition_set
from linkage.loading import LoadModel, Reading, Stance2, ground_range, weigh
from linkage.loading import equations as eq
from linkage.loads.conditions import RELATIONS
from linkage.report.validation.model import Case, case
from linkage.units import POUND, STANDARD_GRAVITY

FAA = "FAA-H-8083-1B, weighing examples"
EXAM = "mass-and-balance exam bank"
COLLEGE = "college-physics text problem"


def loading_cases() -> Iterator[Case]:
    yield from _weighings()
    yield from _problems()
    yield from _struts()
    yield from _conditions()


def _weighings() -> Iterator[Case]:
    for ident, mains, printed, what in (
        ("W1", 0.0, "-13.2", "CG aft of the mains, nose 340 of 2006 lb, L 78 in"),
        ("W2", 128.0, "114.8", "CG aft of a datum 128 in ahead of the mains"),
        ("W3", -75.0, "-88.2", "CG aft of a datum 75 in behind the mains"),
    ):
        yield case(ident, FAA, "READ", what, printed, "in", _faa(mains))
    for ident, nose, main, printed, unit in (
        ("W4", (1100.0, 1.2), (2300.0, 3.5), "3.06", "m"),
        ("W6", (6488.0, 161.0), (17783.0, 775.0), "680.3", "in"),
    ):
        what = f"CG of {nose[0]:g} kg at {nose[1]:g} and 2 x {main[0]:g} kg at {main[1]:g} {unit}"
        yield case(ident, EXAM, "READ", what, printed, unit, _two_mains(nose, main))
    what = "CG ahead of the mains, 2 nose wheels x 500 kg, 4 main wheels x 6000 kg, L 10 m"
    yield case("W8", EXAM, "READ", what, "0.4", "m", _per_wheel, within=0.0)


def _faa(mains: float) -> Callable[[], float]:
    return lambda: (
        weigh(
            [Reading("nose", 340.0, mains - 78.0, "wheel"), Reading("mains", 2006.0 - 340.0, mains, "group")]
        ).station_mm
    )


def _two_mains(nose: tuple[float, float], main: tuple[float, float]) -> Callable[[], float]:
    readings = [Reading("nose", *nose, per="leg"), Reading("main", *main, per="leg", legs=2)]
    return lambda: weigh(readings).station_mm


def _per_wheel() -> float:
    nose = Reading("nose", 500.0, -10.0, "wheel", legs=1, wheels_per_leg=2)
    return -weigh([nose, Reading("main", 6000.0, 0.0, "wheel", legs=2, wheels_per_leg=2)]).station_mm


def _ranges(mass: float, cg: complex, nose: float, mains: float) -> Any:
    """Extremes of a loading that cannot vary."""
    model = LoadModel(mass, cg.real, cg.imag, (), mass_cap_kg=mass)
    return ground_range(model, Stance2(complex(nose), complex(mains)))


def _problems() -> Iterator[Case]:
    what = "nose share, CG 2.58, nose wheel 0.800, mains 3.02 m"
    share = lambda: 100.0 * _ranges(1.0, 2.58 + 1j, 0.8, 3.02).share_min.value  # noqa: E731
    yield case("W9", COLLEGE, "READ", what, "19.82", "%", share)
    mass = 2.85e6 / STANDARD_GRAVITY
    nose = lambda: _ranges(mass, 11.8 + 3j, 0.0, 15.0).nose_load_max.value / 1e3  # noqa: E731
    main = lambda: _ranges(mass, 11.8 + 3j, 0.0, 15.0).main_load_max.value / 2e3  # noqa: E731
    yield case("W10", COLLEGE, "READ", "nose load, W 2850 kN, L 15 m, CG 11.8 m aft", "608", "kN", nose)
    yield case("W10", COLLEGE, "READ", "load on each of 2 mains", "1121", "kN", main)


def _struts() -> Iterator[Case]:
    for ident, page, weight, to_main, to_nose, nose, main in (
        ("W13", 231, 127000.0, 60.0, 520.0, "13138", "56931"),
        ("W14", 234, 64905.0, 20.0, 185.0, "6332", "29286"),
        ("W15", 230, 7900.0, 34.0, 171.0, "1310", "3295"),
    ):
        source = f"Roskam, Airplane Design Part II, p. {page}"
        what = f"W {weight:.0f} lb, l_m {to_main:g}, l_n {to_nose:g} in"
        loads = _split(weight, to_main, to_main + to_nose)
        yield case(ident, source, "R2", f"nose load, {what}", nose, "lb", lambda f=loads: f()[0])  # type: ignore[misc]
        yield case(ident, source, "R2", "load on each of 2 main struts", main, "lb", lambda f=loads: f()[1] / 2)  # type: ignore[misc]


def _split(weight: float, b: float, wheelbase: float) -> Callable[[], tuple[float, float]]:
    return lambda: eq.static_split(weight, b, wheelbase)


WEIGHT, WHEELBASE, HEIGHT = 3000.0, 80.0, 40.0
TABLE = {
    "static": ("300", "450", "600"),
    "vertical": ("675", "1012.5", "1350"),
    "aft": ("540", "810", "1080"),
    "forward": ("270", "405", "540"),
    "side": ("472.5", "708.8", "945"),
    "braked roll": ("1425", "1567.5", "1710"),
    "landing": ("1602", "1903", "2203"),
    "landing drag": ("534", "634", "734"),
    "tyre 0.31 g": ("765", "915", "1065"),
    "drop 0.33 g": ("795", "945", "1095"),
}
RULES = {
    "static": "statics",
    "vertical": "23.499",
    "aft": "23.499(a)",
    "forward": "23.499(b)",
    "side": "23.499(c)",
    "braked roll": "23.493",
    "landing": "23.479(a)(2), Appendix C",
    "landing drag": "23.479(a)(2), Appendix C",
    "tyre 0.31 g": "23.733(a)(2)",
    "drop 0.33 g": "23.725, 23.727",
}


def _conditions() -> Iterator[Case]:
    """Worked by hand from the rules, 2015 edition, which were read: 3000 lb, L 80 in, CG 40 in up, n 2.67, lift 2/3."""
    entries = {c.name: c for c in condition_set("cfr23-2015").condition}
    for name, printed in TABLE.items():
        for share, value in zip((0.10, 0.15, 0.20), printed, strict=True):
            source = f"worked table of 14 CFR {RULES[name]}" if name != "static" else "worked table, R = W b / L"
            compute = _condition(name, entries, share)
            what = f"{name}, 3000 lb, static share {share:.0%}"
            yield case("Q5-Q8" if name != "static" else "Q1", source, "CALC", what, value, "lb", compute)


def _condition(name: str, entries: dict[str, ConditionEntry], share: float) -> Callable[[], float]:
    def vertical(entry: ConditionEntry) -> float:
        made = RELATIONS[entry.basis](entry, WEIGHT * POUND)
        return made.load(WEIGHT, share * WHEELBASE, HEIGHT, WHEELBASE)

    def dynamic(forward_g: float) -> ConditionEntry:
        return ConditionEntry(name="d", rule="r", basis="dynamic", factor=1, forward_g=forward_g)

    landing = entries["three-point level landing"]
    lean = RELATIONS[landing.basis](landing, WEIGHT * POUND).lean
    ways: dict[str, Callable[[], float]] = {
        "static": lambda: vertical(entries["static 1 g"]),
        "vertical": lambda: vertical(entries["aft load"]),
        "aft": lambda: vertical(entries["aft load"]) * (entries["aft load"].fore_aft or 0.0),
        "forward": lambda: -vertical(entries["forward load"]) * (entries["forward load"].fore_aft or 0.0),
        "side": lambda: vertical(entries["side load right"]) * entries["side load right"].side,
        "braked roll": lambda: vertical(entries["braked roll"]),
        "landing": lambda: vertical(landing),
        "landing drag": lambda: vertical(landing) * lean,
        "tyre 0.31 g": lambda: vertical(dynamic(0.31)),
        "drop 0.33 g": lambda: vertical(dynamic(0.33)),
    }
    return ways[name]
