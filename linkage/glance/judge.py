"""Findings of a glance: the topics of `linkage.checks`, each as soon as the results are there that it judges."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import chain
from types import SimpleNamespace
from typing import Any, cast

from linkage.checks import TOPICS, Finding, in_order
from linkage.results import Results

NEEDS: Mapping[str, tuple[str, ...]] = {
    "share": ("share",),
    "ground": ("share", "steering"),
    "standing": ("share", "standing"),
    "tyre": ("standing", "gear"),
    "linkage": ("gear", "stroke"),
    "lock": ("gear", "stroke", "lock"),
    "ends": ("end_stops",),
    "doors": ("doors", "stroke"),
    "drive": ("actuation", "stroke"),
    "travel": ("cg_travel", "stroke"),
    "gaps": ("clearance",),
}
"""Topic -> results that it reads, beside the study. Topics that are not here are left to the full solution."""

LEFT_OUT = (
    "actuator-moving",
    "friction-jam",
    "hydraulic-pressure",
    "motor-power",
    "self-locking",
    "hand-effort",
    "up-travel",
    "up-hook",
    "up-hold",
    "up-stall",
    "brace-buckling",
    "lock-hold",
    "lock-link",
    "emergency-locks",
    "emergency-speed",
    "emergency-closing",
    "extension-slam",
    "gap-state",
)
"""Codes of findings that only the full solution looks at."""


def judged(known: Mapping[str, Any]) -> tuple[Finding, ...]:
    """Findings of every topic whose results are ``known`` by the names of `linkage.results.Results`."""
    found = chain.from_iterable(_topics(known))
    # without a stroke nobody knows where the gear is when it is up
    return in_order(f for f in found if known.get("stroke") is not None or f.at != "gear up")


def _topics(known: Mapping[str, Any]) -> Iterator[Iterator[Finding]]:
    # a topic reads nothing but what it judges, so what a glance has stands for the whole
    part = cast(Results, SimpleNamespace(**known))
    for topic in TOPICS:
        needs = NEEDS.get(topic.__name__)
        if needs is not None and all(known.get(name) is not None for name in needs):
            yield topic(part)
