"""Every fault that a long run of hostile input has found, the case that failed as small as it would go."""

from __future__ import annotations

import pytest

from linkage.glance import glance
from tests import topologies


def test_a_glance_at_a_gear_without_bay_items() -> None:
    """Parts to be kept apart, nothing in the bay."""
    seen = glance(topologies.study("upper link", {"gear.self_gap": 3}))
    assert seen.trouble == ()
    assert seen.clearance is not None
    assert [(g.part, g.item) for g in seen.clearance.own] == [("leg", "brace")]
    assert seen.clearance.own[0].gap == pytest.approx(8.0)  # between the leg's side and the brace's plate
