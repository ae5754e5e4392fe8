"""How the board calls findings: no two lines of a list look the same, numbers are those of `noseleg check`."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable

from linkage.checks import Finding

GAPS = ("gap", "self-gap")
OTHER_STATE = "gap-state"


def names(findings: Iterable[Finding]) -> Callable[[Finding], str]:
    """What gives a finding a name of its own among these: with its state, or its place where others have another."""
    others = [f for f in findings if f.code != OTHER_STATE]
    kinds = Counter((f.subject, f.required[:2]) for f in others)

    def name(f: Finding) -> str:
        kind = f.subject, f.required[:2]
        if f.code != OTHER_STATE and kinds[kind] < 2:
            return f.subject
        alike = {o.at for o in others if (o.subject, o.required[:2]) == kind}
        more = f.at if f.code != OTHER_STATE and len(alike) > 1 else f.state
        return f"{f.subject}, {more}" if more else f.subject

    return name


def required(f: Finding) -> str:
    """What is wanted, a number by itself as what it is to be."""
    return f.required if f.required[:1] in "<>=" else f"= {f.required}"


def result(f: Finding) -> str:
    """What is and what is wanted."""
    return f"{f.result} {required(f)} {f.unit}".rstrip()


def told(f: Finding, name: str) -> str:
    """The same in words."""
    return f"{name} {f.result} {f.unit}, required {required(f)}".replace("  ", " ").replace(" ,", ",")


def of_state(f: Finding, state: str) -> bool:
    """Whether it is of a state of the study, at whichever corner of it."""
    return f.state == state or f.state.startswith(f"{state} (")
