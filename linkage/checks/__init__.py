"""Results + limits -> findings: everything that is judged, in one form. One module a topic."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import chain

from linkage.checks.doors import doors
from linkage.checks.drive import drive
from linkage.checks.emergency import emergency
from linkage.checks.ends import ends
from linkage.checks.finding import Finding
from linkage.checks.forces import forces
from linkage.checks.gaps import gaps
from linkage.checks.ground import ground
from linkage.checks.linkage import linkage
from linkage.checks.loads import loads
from linkage.checks.lock import lock
from linkage.checks.share import share
from linkage.checks.standing import standing
from linkage.checks.states import states
from linkage.checks.travel import travel
from linkage.checks.tyre import tyre
from linkage.results import Results

__all__ = ["Finding", "findings", "in_order"]

TOPICS = (
    share,
    ground,
    standing,
    tyre,
    linkage,
    loads,
    lock,
    ends,
    doors,
    drive,
    forces,
    emergency,
    travel,
    gaps,
    states,
)


def findings(results: Results) -> tuple[Finding, ...]:
    """All findings, in order."""
    return in_order(chain.from_iterable(topic(results) for topic in TOPICS))


def in_order(found: Iterable[Finding]) -> tuple[Finding, ...]:
    """Failed first, gaps before the rest, then by how near each is to its limit within its unit."""
    return tuple(sorted(found, key=lambda f: (f.passed, f.code not in ("gap", "self-gap"), f.margin)))
