"""Silhouettes: loadings, straight pieces, and nothing outside them."""

from __future__ import annotations

import cmath

import numpy as np
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from linkage.loading import LoadModel, case_faults, extreme, mass_form, moment_form
from linkage.loading.silhouette import silhouette
from tests.loading.models import TWO_SEATER, models
from tests.loading.roads import corners


@settings(max_examples=60, derandomize=True, deadline=None)
@given(models(), st.floats(-3.0, 3.0), st.integers(1, 3))
def test_every_point_is_a_loading_and_the_extremes_are_on_it(model: LoadModel, angle: float, steps: int) -> None:
    assume(corners(model))
    axis = cmath.rect(1.0, angle)
    found = silhouette(model, axis, steps)
    points = found.masses.reshape(-1, len(model.items))
    for masses in points:
        assert case_faults(model, model.case(masses.tolist())) == ()
    form = moment_form(model, axis)
    ratio = (form.constant + points @ np.array(form.weights)) / (model.empty_kg + points.sum(axis=1))
    outer = ratio[found.outer().ravel()]
    for sense, best in (("min", min), ("max", max)):
        exact = extreme(model, form, mass_form(model), sense).value  # type: ignore[arg-type]
        assert abs(best(ratio) - exact) <= 1e-9 * max(abs(exact), 1.0)
        assert abs(best(outer) - exact) <= 1e-9 * max(abs(exact), 1.0)


@settings(max_examples=40, derandomize=True, deadline=None)
@given(models(), st.floats(-3.0, 3.0), st.data())
def test_no_loading_has_more_moment_at_the_same_mass(model: LoadModel, angle: float, data: st.DataObject) -> None:
    """A mixture of corners of one choice against both paths of every choice."""
    sets = corners(model)
    assume(sets)
    axis = cmath.rect(1.0, angle)
    points = data.draw(st.sampled_from(sets))
    weights = np.array(data.draw(st.lists(st.floats(0.01, 1.0), min_size=len(points), max_size=len(points))))
    masses = weights @ points / weights.sum()
    form, found = moment_form(model, axis), silhouette(model, axis, 1)
    total, moment = model.empty_kg + masses.sum(), form.constant + masses @ np.array(form.weights)
    least, most = np.inf, -np.inf
    for path in found.masses:
        along = model.empty_kg + path.sum(axis=1)
        value = form.constant + path @ np.array(form.weights)
        if along[0] - 1e-9 <= total <= along[-1] + 1e-9:
            least, most = min(least, np.interp(total, along, value)), max(most, np.interp(total, along, value))
    assert least - 1e-6 <= moment <= most + 1e-6


def test_points_that_follow_each_other_lie_on_straight_pieces() -> None:
    path = silhouette(TWO_SEATER, 1 + 0j, 4).masses[0]
    steps = np.diff(path, axis=0)
    assert ((steps > 1e-12).sum(axis=1) <= 1).all()  # one item at a time
    assert (steps >= -1e-12).all()
