"""Published checks, computed anew by this version of the library each time they are asked for.

The numbers a source prints stand in the cases, with how they are known and a tolerance that follows from the printed
digits. Nothing computed is stored: a change of the library that breaks a check shows in the review pack and in
docs/validation.md, which ``python -m linkage.report.validation`` writes. There is one test file for each source.
"""

from __future__ import annotations

from linkage.report.validation import columns, drive, dynamics, loading, norton, rules, statics, sweeps, wheels
from linkage.report.validation.model import Case, Check, Source
from linkage.report.validation.page import STATUS, markdown, shown

__all__ = ["SOURCES", "STATUS", "Case", "Check", "Source", "markdown", "shown", "validation"]

SOURCES: tuple[Source, ...] = (
    Source("faa_weighing", "FAA-H-8083-1B, chapter 3 and weighing examples", loading.faa_weighing),
    Source("exam_bank", "mass-and-balance exam bank", loading.exam_bank),
    Source("college_physics", "college-physics text problems", loading.college_physics),
    Source("roskam", "Roskam, Airplane Design Part II", loading.roskam),
    Source("raymer", "Raymer, Aircraft Design: A Conceptual Approach, 6th ed.", loading.raymer),
    Source("faa_ac43", "FAA AC 43.13-1B, chapter 10", loading.faa_ac43),
    Source("cfr23", "14 CFR Part 23, 2015 edition, and a table worked from it", rules.cfr23),
    Source("norton", "Norton, Design of Machinery", norton.norton),
    Source("marghitu_dupac", "Marghitu & Dupac, Advanced Dynamics", dynamics.marghitu_dupac),
    Source("marghitu_matlab", "Marghitu, Mechanisms and Robots Analysis with MATLAB, p. 144", dynamics.marghitu_matlab),
    Source("hibbeler_dynamics", "Hibbeler, Engineering Mechanics: Dynamics", dynamics.hibbeler_dynamics),
    Source("beer_johnston_dynamics", "Beer & Johnston, Vector Mechanics: Dynamics", dynamics.beer_johnston_dynamics),
    Source("meriam_dynamics", "Meriam & Kraige, Engineering Mechanics: Dynamics", dynamics.meriam_dynamics),
    Source("beer_johnston_statics", "Beer & Johnston, Vector Mechanics: Statics", statics.beer_johnston_statics),
    Source("den_hartog", "Den Hartog, Mechanics", statics.den_hartog),
    Source("straight_lines", "straight-line linkages of Chebyshev and Peaucellier", statics.straight_lines),
    Source("tyre_sizes", "manufacturer data section, tyre sizes", wheels.tyre_sizes),
    Source("tyre_growth", "manufacturer tables of grown tyre sizes", wheels.tyre_growth),
    Source("steering_geometry", "steering geometry, standard form and a published example", wheels.steering_geometry),
    Source("shigley", "Shigley, Mechanical Engineering Design, power screws", drive.shigley),
    Source(
        "beer_johnston_clamp",
        "Beer & Johnston, Vector Mechanics: Statics, square-threaded clamp",
        drive.beer_johnston_clamp,
    ),
    Source("cylinder_areas", "catalogues of hydraulic cylinders", drive.cylinder_areas),
    Source("gas_law", "gas law", drive.gas_law),
    Source("asce7_wind", "ASCE 7, velocity pressure of wind", drive.asce7_wind),
    Source("pendulum", "tables of the period of a pendulum", drive.pendulum),
    Source("hibbeler_materials", "Hibbeler, Mechanics of Materials", columns.hibbeler_materials),
    Source("aisc_columns", "AISC specification, allowable stress design, columns", columns.aisc_columns),
    Source("swept_areas", "closed forms of swept areas and volumes", sweeps.swept_areas),
)
"""Every source, load split first."""


def validation() -> tuple[Check, ...]:
    """Compute every case now."""
    return tuple(check for source in SOURCES for check in checked(source))


def checked(source: Source) -> tuple[Check, ...]:
    """Compute the cases of one source now."""
    return tuple(Check(source, c, float(c.compute())) for c in source.cases())
