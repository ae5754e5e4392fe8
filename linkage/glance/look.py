"""Study -> Glance: the same functions as the full solution, the slow ones left out, what has not changed kept."""

from __future__ import annotations

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any, TypeVar

from linkage.actuation import moment_shift, push_by_work
from linkage.actuation.travel import cg_travel
from linkage.clearance import Clearance
from linkage.document.study import Study
from linkage.doors import doors
from linkage.end_stops import brace_run
from linkage.errors import DocumentError, LinkageError
from linkage.gear import build
from linkage.glance.gaps import quick_clearance
from linkage.glance.held import Held
from linkage.glance.judge import LEFT_OUT, judged
from linkage.glance.model import Glance
from linkage.glance.pairs import pairs_of
from linkage.loading import load_share
from linkage.loading.entry import load_model
from linkage.loads.locked import reference_loads
from linkage.loads.statics import load_path
from linkage.lock import lock_travel, stops
from linkage.obstacles import obstacles
from linkage.stance import check_mains, grounds, standing
from linkage.steering import steering
from linkage.stroke import stroke_of

T = TypeVar("T")


def glance(study: Study, held: Held | None = None) -> Glance:
    """Look at a study. ``held``: what earlier glances of the same window left; a new one is as good but slower.

    Never raises a `LinkageError`: what cannot be worked out is missing, and ``trouble`` says why.
    """
    held = Held() if held is None else held
    known: dict[str, Any] = {"study": study}
    trouble: list[str] = []

    def work(name: str, make: Callable[[], Any], *needs: str) -> None:
        """One result, if those it needs are there."""
        if any(known.get(n) is None for n in needs):
            return
        try:
            known[name] = make()
        except LinkageError as err:
            trouble.extend(line for line in _lines(err) if line not in trouble)

    _gear(study, known, work)
    _weight(study, held, known, work)
    _forces(study, known, work)
    work("bay", lambda: held.keep("bay", (study.bay, held.folder), lambda: obstacles(study, held.folder)))
    work("clearance", lambda: _clearance(study, held, known), "stroke", "bay")
    got = SimpleNamespace(**{n: known.get(n) for n in RESULTS})
    return Glance(
        study=study,
        trouble=tuple(trouble),
        gear=got.gear,
        stroke=got.stroke,
        ground=got.grounds[0] if got.grounds else None,
        share=got.share,
        steering=got.steering,
        standing=got.standing,
        loads=got.reference or (),
        locked_by=_locked_by(study, got.stops),
        stops=got.stops,
        lock_travel=got.lock.travel if got.lock else None,
        actuation=got.actuation,
        clearance=got.clearance,
        findings=judged(known),
        left_out=LEFT_OUT,
    )


RESULTS = (
    "gear", "stroke", "grounds", "share", "steering", "standing", "reference", "stops", "lock", "actuation",
    "clearance",
)  # fmt: skip

Work = Callable[..., None]


def _clearance(study: Study, held: Held, known: dict[str, Any]) -> Clearance:
    gear, entry = known["gear"], study.gear
    slices = [s for part in gear.parts for s in part.nested]
    given = (study.bay, entry.part, entry.door, entry.neighbours, entry.self_gap, tuple(s.core[0].body for s in slices))
    pairs = held.keep("pairs", (*given, held.folder), lambda: pairs_of(study, slices, known["bay"]))
    return quick_clearance(gear, known["stroke"], slices, pairs)


def _gear(study: Study, known: dict[str, Any], work: Work) -> None:
    work("gear", lambda: build(study))
    work("stroke", lambda: stroke_of(study, known["gear"]), "gear")
    work("grounds", lambda: grounds(study, known["gear"]), "gear")
    work("steering", lambda: steering(study, known["gear"]), "grounds")


def _weight(study: Study, held: Held, known: dict[str, Any], work: Work) -> None:
    band = study.limits.nose_share.ends(0.0, 1.0)

    def share() -> Any:
        stroke = known.get("stroke")
        shift = moment_shift(known["gear"], stroke) if stroke is not None else 0j
        static = known["grounds"][0]
        found = load_share(known["model"], static.stance, band, shift)
        check_mains(static, found.cg.aft.value)
        return found

    work("model", lambda: held.keep("model", (study.loading,), lambda: load_model(study)))
    work("share", share, "model", "grounds")
    work("standing", lambda: standing(study, known["gear"], known["grounds"], known["model"]), "share")
    work("cg_travel", lambda: cg_travel(known["model"], known["gear"], known["stroke"]), "model", "stroke")


def _forces(study: Study, known: dict[str, Any], work: Work) -> None:
    work("stops", lambda: stops(study.gear, known["gear"]), "gear")
    least = study.limits.over_centre.min

    def lock() -> Any:
        return SimpleNamespace(
            held=(),
            stops=known["stops"],
            travel=lock_travel(known["gear"], known["stroke"], least if least is not None else 0.0),
            release=study.gear.lock.release if study.gear.lock else "",
        )

    work("lock", lock, "stops", "stroke")
    work("path", lambda: load_path(study, known["gear"]), "gear")

    def reference() -> Any:
        nose = known["share"].ground.nose_load_max.value
        return reference_loads(study, known["gear"], known["path"], known["grounds"][0], nose)

    work("reference", reference, "path", "share")
    work("actuation", lambda: push_by_work(study, known["gear"], known["stroke"]), "stroke")
    work("end_stops", lambda: SimpleNamespace(brace=brace_run(study, known["stroke"]), up=None), "stroke")
    work("doors", lambda: doors(study, known["gear"], known["stroke"]), "stroke")


def _locked_by(study: Study, found: Any) -> tuple[str, ...]:
    holds = study.gear.lock.holds if study.gear.lock is not None else ()
    return (*(found.present if found is not None else ()), *holds)


def _lines(err: LinkageError) -> list[str]:
    return [str(f) for f in err.faults] if isinstance(err, DocumentError) else [str(err)]
