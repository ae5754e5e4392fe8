"""Ground loads as CSV: what each condition does, and what the arms' designer must take. Millimetres and newtons."""

from __future__ import annotations

from collections.abc import Iterator

from linkage.loads import ConditionLoad, PointLoad
from linkage.report.sections.loads import knee
from linkage.report.writing import csv_text
from linkage.results import Results

INTERFACE = (
    "condition",
    "rule",
    "level",
    "acts_on",
    "point",
    "fs_mm",
    "bl_mm",
    "wl_mm",
    "force_fs_aft_n",
    "force_bl_right_n",
    "force_wl_up_n",
    "couple_fs_nmm",
    "couple_bl_nmm",
    "couple_wl_nmm",
    "strut_compression_mm",
    "loading",
)

CONDITIONS = (
    "condition",
    "rule",
    "level",
    "attitude",
    "strut_compression_mm",
    "loading",
    "mass_kg",
    "wheel_fs_aft_n",
    "wheel_bl_right_n",
    "wheel_wl_up_n",
    "brace_compression_n",
    "knee_stop_n",
    "knee",
    "actuator_lock_holds_n",
    "actuator_push_lock_lost_n",
    "steering_torque_nmm",
    "leg_bending_greatest_nmm",
    "leg_shear_greatest_n",
)


def interface_csv(r: Results) -> str:
    """Loads ON the airframe, condition by condition, limit and then ultimate, with the loads on the gear they carry.

    In each such block the forces on the airframe add up to those on the gear, and so do their moments.
    """
    return csv_text([INTERFACE, *(row for load in r.loads.conditions for row in _block(load))])


def conditions_csv(r: Results) -> str:
    """One row a condition, loading, strut position and level."""
    return csv_text([CONDITIONS, *(row for load in r.loads.conditions for row in _condition(load))])


def levels(load: ConditionLoad) -> tuple[tuple[str, float], ...]:
    """(level, factor) of every level this load can be stated at."""
    if load.condition.level == "ultimate":
        return (("ultimate", 1.0),)
    return (("limit", 1.0), ("ultimate", load.factor))


def _block(load: ConditionLoad) -> Iterator[list[str]]:
    for level, factor in levels(load):
        for acts_on, points in (("gear", load.applied), ("airframe", load.airframe)):
            for point in points:
                yield [
                    load.condition.name,
                    load.condition.source,
                    level,
                    acts_on,
                    point.name,
                    *_numbers(point, factor),
                    f"{load.strut:.3f}",
                    str(load.corner.case),
                ]


def _numbers(point: PointLoad, factor: float) -> list[str]:
    place = [f"{v:.4f}" for v in point.at]
    return place + [_plain(factor * float(v)) for v in (*point.force, *point.couple)]


def _condition(load: ConditionLoad) -> Iterator[list[str]]:
    for level, factor in levels(load):
        numbers = (load.brace, load.stop)
        yield [
            load.condition.name,
            load.condition.source,
            level,
            load.condition.ground.state,
            f"{load.strut:.3f}",
            str(load.corner.case),
            f"{load.corner.case.mass_kg:.3f}",
            *(_plain(factor * float(v)) for v in load.wheel),
            *(_plain(factor * v) for v in numbers),
            knee(load),
            _plain(0.0),
            "" if load.push_if_lost is None else _plain(factor * load.push_if_lost),
            _plain(factor * float(load.leg.torque[-1])),
            _plain(factor * float(load.leg.bend.max())),
            _plain(factor * float(load.leg.shear.max())),
        ]


def _plain(value: float) -> str:
    """Four decimals, and no minus before a zero."""
    return f"{round(value, 4) + 0.0:.4f}"
