"""Findings of two solutions beside one another: which one is about the same thing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from linkage.checks.finding import Finding

Key = tuple[str, ...]


def by_subject(findings: Iterable[Finding]) -> dict[Key, Finding]:
    """Findings by what they are about; the part that is worst for an item may change, the item does not."""
    found: dict[Key, Finding] = {}
    for f in findings:
        subject = f.subject.split(" to ", 1)[-1] if f.code in ("gap", "gap-state") else f.subject
        key: Key = (f.code, subject, f.required[:2], f.at if f.code == "cg" else "")
        while key in found:
            key = (*key, "again")
        found[key] = f
    return found


@dataclass(frozen=True)
class Turned:
    """Findings that went from good to short, and from short to good; each as it is after the change."""

    broke: tuple[Finding, ...] = ()
    mended: tuple[Finding, ...] = ()


def turned(before: Iterable[Finding], after: Iterable[Finding]) -> Turned:
    """What a change broke and what it mended. A finding that one side does not have counts as good there."""
    old, new = by_subject(before), by_subject(after)
    broke = [f for key, f in new.items() if not f.passed and (key not in old or old[key].passed)]
    mended = [f for key, f in new.items() if f.passed and key in old and not old[key].passed]
    gone = [f for key, f in old.items() if not f.passed and key not in new]
    return Turned(tuple(broke), (*mended, *gone))
