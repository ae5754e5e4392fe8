"""Figures of the forces and of emergency extension: they draw, and say the answer in words, for any gear."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from linkage.actuation.drive import drive
from linkage.actuation.sizing import sizing
from linkage.drawing import extension_figures, force_figures
from linkage.drawing.axes import new_figure
from linkage.drawing.palette import DARK, LIGHT
from linkage.drawing.save import png_bytes
from linkage.extension import extension
from linkage.results import Results
from linkage.stroke import gear_and_stroke
from tests.studies import MERROW, OSTREL, changed, solution
from tests.topologies import study as topology

JAM = {"gear.friction.pin_radius": 90, "gear.friction.coefficient": 1.5}
STALL = {"speeds.gear_operating": 80, "speeds.emergency_extension": 75}


def results(study: Any) -> Results:
    gear, stroke = gear_and_stroke(study)
    found = drive(study, gear, stroke)
    return replace(
        solution(MERROW).results,
        study=study,
        gear=gear,
        stroke=stroke,
        drive=found,
        sizing=sizing(study.gear.actuator, stroke, found),
        extension=extension(study, gear, stroke),
        actuation=solution(MERROW).results.actuation,
    )


def drawn(r: Results, theme: Any = LIGHT) -> list[Any]:
    """All three figures, rendered."""
    made = []
    figures = ((force_figures.force_figure, True), (force_figures.moment_figure, True))
    for draw, _ in (*figures, (extension_figures.extension_figure, extension_figures.shown(r))):
        if _:
            figure = draw(r, new_figure(1400, 640, theme=theme), theme)
            assert len(png_bytes(figure, title="t", alt="a")) > 5000
            made.append(figure)
    return made


@pytest.mark.parametrize("path", [MERROW, OSTREL], ids=lambda p: p.parent.name)
@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda t: t.name)
def test_both_studies(path: Any, theme: Any) -> None:
    figures = drawn(solution(path).results, theme)
    assert len(figures) == 3
    for figure in figures:
        for ax in figure.axes:
            assert ax.get_xlabel()
            assert ax.get_ylabel()


def test_titles_say_the_answer() -> None:
    r = solution(MERROW).results
    c, w, pose = r.drive.worst()
    assert f"{r.drive.push[c, w, pose]:.0f} N push moving up at 92 deg" in force_figures.force_title(r)
    assert "of the rating" in force_figures.force_caption(r)
    assert force_figures.moment_title(r).startswith("Peak moments at the upper link: weight 171")
    assert r.extension is not None
    assert f"in {r.extension.hardest.duration:.1f} s" in extension_figures.title(r)
    assert "53 to 61 m/s" in extension_figures.caption(r)


def test_a_gear_that_stalls_or_binds_draws_too() -> None:
    r = results(changed(STALL))
    assert "stalls at" in extension_figures.title(r)
    drawn(r)
    bound = results(changed(JAM))
    assert force_figures.shown(bound)
    drawn(bound)


def test_nothing_is_drawn_where_friction_holds_everything() -> None:
    r = solution(MERROW).results
    held = replace(r, drive=replace(r.drive, push=np.full_like(r.drive.push, np.nan), room=None))
    assert not force_figures.shown(held)
    assert held.drive.worst() == (0, 0, 0)


@pytest.mark.parametrize("name", ["telescoping", "bell-crank", "lock links"])
def test_other_topologies(name: str) -> None:
    r = results(topology(name))
    r = replace(r, actuation=replace(r.actuation, push=np.zeros((3, len(r.stroke.driven)))))
    assert len(drawn(r)) == 2  # no emergency extension in the starter
