"""What the collected references hold that is no check, and why."""

from __future__ import annotations

LEFT_OUT: tuple[tuple[str, str], ...] = (
    (
        "bands: nose share, tip-back, turnover, propeller clearance, strut slope",
        "limits, not results: fields of the study with their source",
    ),
    ("nose shares of built aircraft (Roskam II tables 9.1, 9.2)", "statistics of other aircraft, without their data"),
    ("W1's 16.95 %, W4's 19.3 %", "recomputed by the collector, not printed by the source"),
    (
        "23.473 descent velocity, lift and inertia factors; 23.725 drop height",
        "the load factor is a field; no drop test is computed",
    ),
    ("23.303, 23.625 factors; 23.337 and 23.561 factors; 23.397 pedal force", "fields of the study, or not modelled"),
    (
        "23.729, 23.733(c), 23.745, 23.925, 23.1191, 23.1193",
        "requirements without a number of ours to compare; findings where they apply",
    ),
    ("CS-VLA", "quoted and from memory; the same factors as the rows of 14 CFR 23"),
    ("shimmy: Schwab and Meijaard, Somieski's data", "no shimmy is computed"),
    (
        "retraction practice: cycle times, pressures, offsets, lock travels, budgets of gaps",
        "common practice, no source: fields of the study",
    ),
    ("drag coefficients (Hoerner, Raymer), NACA TR 485", "the drag area is a field of the study"),
    ("behaviour near dead centre", "no number; tested in tests/agreement and tests/lock"),
    ("timings, file sizes, library versions, measured excesses", "measurements of other programs on another machine"),
    ("tube leg r 35, 31 094 744 mm3", "its length is not printed"),
    ("under-reach of a library's round buffer", "a property of that library; ours is never short, tests/plane"),
    (
        "standard atmosphere, stepped columns of Timoshenko and Gere, nose loads of other textbooks",
        "density is a field; digits of the others not remembered with confidence",
    ),
)
"""What, and why it is no check."""
