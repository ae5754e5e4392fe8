"""What cannot be computed is missing and said; what does not need it is still there."""

from __future__ import annotations

import pytest

from linkage.errors import DocumentError, LinkageError
from linkage.glance import Held, glance
from linkage.loading import ground_range
from linkage.stroke import gear_and_stroke
from tests.studies import MERROW, OSTREL, changed, source


def test_a_gear_that_stops_short_keeps_its_load_share() -> None:
    study = changed({"gear.leg.swing_up": 150})
    with pytest.raises(LinkageError) as raised:
        gear_and_stroke(study)
    g = glance(study)
    assert len(g.trouble) == 1 and str(raised.value).startswith(g.trouble[0])
    assert g.stroke is None and g.clearance is None and g.push is None and g.gaps == ()
    assert g.share is not None and g.ground is not None
    assert g.share.ground == ground_range(g.share.model, g.ground.stance)
    assert g.offset == 5.0 and g.loads and not g.sound and not g.passed
    codes = {f.code for f in g.findings}
    assert "nose-share" in codes and "tip-back" in codes and "gap" not in codes and "transmission" not in codes
    assert not [f for f in g.findings if f.at == "gear up"]


def test_links_that_cannot_close_leave_a_message() -> None:
    g = glance(changed({"gear.brace.upper_pin": [1400, 550]}))
    assert len(g.trouble) == 1 and "cannot close" in g.trouble[0]
    assert g.gear is None and g.share is None and g.findings == () and g.peak is None and g.nose_share is None


def test_an_actuator_that_cannot_be_bought_leaves_the_share() -> None:
    g = glance(changed({"gear.actuator.dead_length": 900}))
    assert "dead_length" in g.trouble[0] and g.share is not None and g.stroke is None


def test_faults_of_the_document_that_show_late_are_lines_of_their_own() -> None:
    study = changed({}, OSTREL)
    loading = study.loading.model_copy(update={"max_mass": 10.0})
    g = glance(study.model_copy(update={"loading": loading}))
    with pytest.raises(DocumentError) as raised:
        from linkage.loading.entry import load_model

        load_model(g.study)
    assert g.trouble == tuple(str(f) for f in raised.value.faults)
    assert g.share is None and g.stroke is not None and g.gaps


def test_mains_ahead_of_the_centre_of_gravity_are_no_share() -> None:
    study = changed({})
    contact = (1500.0, study.airframe.main_gear.contact[1])
    gear = study.airframe.main_gear.model_copy(update={"contact": contact})
    frame = study.airframe.model_copy(update={"main_gear": gear})
    g = glance(study.model_copy(update={"airframe": frame}))
    assert g.share is None and any("main" in line for line in g.trouble)


@pytest.mark.parametrize("path", [MERROW, OSTREL])
def test_what_is_kept_changes_no_answer(path) -> None:  # type: ignore[no-untyped-def]
    held, base = Held(path.parent), source(path).study
    first = glance(base, held)
    trunnion = (base.gear.trunnion[0] + 1.0, base.gear.trunnion[1] - 0.5)
    moved = base.model_copy(update={"gear": base.gear.model_copy(update={"trunnion": trunnion})})
    item = base.bay.item[0].model_copy(update={"required": base.bay.item[-1].required})
    other = base.model_copy(update={"bay": base.bay.model_copy(update={"item": (item, *base.bay.item[1:])})})
    for study in (moved, base, other, moved, base):
        assert glance(study, held).findings == glance(study, Held(path.parent)).findings
    assert glance(base, held).findings == first.findings
    assert glance(moved, held).findings != first.findings
