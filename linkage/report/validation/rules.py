"""Ground-load conditions worked by hand from 14 CFR Part 23, 2015 edition, whose text was read."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial

from linkage.document.conditions import ConditionEntry, condition_set
from linkage.loads.conditions import RELATIONS, inclination
from linkage.report.validation.model import Case, case
from linkage.units import POUND

WEIGHT, WHEELBASE, HEIGHT = 3000.0, 80.0, 40.0
SHARES = (0.10, 0.15, 0.20)
INPUTS = "W 3000 lb, L 80 in, CG 40 in up, n 2.67, lift 2/3, K 0.25"
TABLE: tuple[tuple[str, str, tuple[str, str, str]], ...] = (
    ("static", "statics", ("300", "450", "600")),
    ("vertical", "23.499", ("675", "1012.5", "1350")),
    ("aft", "23.499(a)", ("540", "810", "1080")),
    ("forward", "23.499(b)", ("270", "405", "540")),
    ("side", "23.499(c)", ("472.5", "708.8", "945")),
    ("braked roll", "23.493", ("1425", "1567.5", "1710")),
    ("landing", "23.479(a)(2), Appendix C", ("1602", "1903", "2203")),
    ("landing drag", "23.479(a)(2), Appendix C", ("534", "634", "734")),
    ("tyre 0.31 g", "23.733(a)(2)", ("765", "915", "1065")),
    ("drop 0.33 g", "23.725, 23.727", ("795", "945", "1095")),
)


def cfr23() -> Iterator[Case]:
    for name, rule, printed in TABLE:
        ident = "Q1" if name == "static" else "Q5-Q8"
        for share, value in zip(SHARES, printed, strict=True):
            inputs = f"{rule}: static share {share:.0%}; {INPUTS}"
            yield case(ident, "CALC", inputs, name, value, "lb", partial(nose_load, name, share))
    for entry in entries().values():
        if entry.rule == "23.509":
            size = "0.3" if entry.side == 0.0 else "0.15"
            inputs = "23.509: the force at the tow fitting as a part of W"
            yield case("23.509", "READ", inputs, entry.name, size, "W", partial(_resultant, entry), 1e-12, "a rule")
    k = entries()["three-point level landing"].k
    for weight, printed_k, status in ((2000.0, "0.25", "READ"), (4500.0, "0.29", "CALC"), (9000.0, "0.33", "READ")):
        inputs = f"Appendix C: {weight:g} lb; 0.25 up to 3000, 0.33 from 6000 lb, straight between"
        yield case("Q8", status, inputs, "K", printed_k, "1", partial(inclination, k or 0.0, weight * POUND))


def entries() -> dict[str, ConditionEntry]:
    return {c.name: c for c in condition_set("cfr23-2015").condition}


def _resultant(entry: ConditionEntry) -> float:
    return math.hypot(entry.fore_aft or 0.0, entry.side)


def _vertical(entry: ConditionEntry, share: float) -> float:
    """Vertical load in lb."""
    return RELATIONS[entry.basis](entry, WEIGHT * POUND).load(WEIGHT, share * WHEELBASE, HEIGHT, WHEELBASE)


def _dynamic(forward_g: float, share: float) -> float:
    return _vertical(ConditionEntry(name="d", rule="r", basis="dynamic", factor=1, forward_g=forward_g), share)


def nose_load(name: str, share: float) -> float:
    """A column of the table at a static share, lb."""
    known = entries()
    if name in ("tyre 0.31 g", "drop 0.33 g"):
        return _dynamic(float(name.split()[1]), share)
    if name in ("landing", "landing drag"):
        entry = known["three-point level landing"]
        lean = RELATIONS[entry.basis](entry, WEIGHT * POUND).lean
        return _vertical(entry, share) * (1.0 if name == "landing" else lean)
    entry = known[
        {"static": "static 1 g", "vertical": "aft load", "side": "side load right"}.get(
            name, name if name == "braked roll" else f"{name} load"
        )
    ]
    part = {"aft": entry.fore_aft or 0.0, "forward": -(entry.fore_aft or 0.0), "side": entry.side}.get(name, 1.0)
    return _vertical(entry, share) * part
