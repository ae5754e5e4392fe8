"""The loading region against the projected corners, and its part in the band against hand areas and slices."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from linkage.errors import DocumentError
from linkage.loading import (
    LoadItem,
    LoadModel,
    Region,
    Stance2,
    band_fraction,
    cg_range,
    ground_range,
    load_share,
    loading_region,
    moment_form,
)
from tests.loading.models import LEVEL, NOSE_UP, TWO_SEATER, models
from tests.loading.roads import corners, value


def as_shape(region: Region) -> shapely.Geometry:
    return shapely.union_all([shapely.Polygon(outer, holes) for outer, *holes in region.outlines])


def projected(model: LoadModel, axis: complex) -> list[shapely.Geometry]:
    """Hull of the projected corners of each choice."""
    form = moment_form(model, axis)
    return [
        shapely.MultiPoint(np.column_stack([model.empty_kg + c.sum(axis=1), value(form, c)])).convex_hull
        for c in corners(model)
    ]


@settings(max_examples=100, derandomize=True, deadline=None)
@given(models(), st.sampled_from([1 + 0j, NOSE_UP.direction]))
def test_region_equals_projected_corners(model: LoadModel, axis: complex) -> None:
    assume(corners(model))
    region = loading_region(model, axis)
    expected = shapely.union_all(projected(model, axis))
    scale = 1000.0 * 1000.0 * 4000.0  # mass x moment of the largest numbers
    assert region.area == pytest.approx(expected.area, abs=1e-12 * scale)
    assert as_shape(region).symmetric_difference(expected).area <= 1e-12 * scale
    for piece in region.pieces:
        assert len(piece) in (1, 2) or shapely.Polygon(piece).is_valid


def test_pieces_turn_anticlockwise_and_reach_the_extremes() -> None:
    region = loading_region(TWO_SEATER)
    cg = cg_range(TWO_SEATER)
    assert len(region.pieces) == 2
    for piece in region.pieces:
        assert shapely.LinearRing(piece).is_ccw
    arms = np.concatenate([p[:, 1] / p[:, 0] for p in region.pieces])
    mass = np.concatenate([p[:, 0] for p in region.pieces])
    assert arms.min() == pytest.approx(cg.forward.value, rel=1e-12)
    assert arms.max() == pytest.approx(cg.aft.value, rel=1e-12)
    assert (mass.min(), mass.max()) == pytest.approx((538.0, 750.0), rel=1e-12)


def test_a_gap_between_seat_choices_stays_a_gap() -> None:
    """One light crate or nothing: two separate pieces, and the union keeps both."""
    items = (
        LoadItem("fuel", 0.0, 10.0, 2400.0, 700.0, kind="fuel"),
        LoadItem("bag", 0.0, 10.0, 3000.0, 900.0),
        LoadItem("crate", 100.0, 110.0, 2000.0, 800.0, optional=True),
    )
    region = loading_region(LoadModel(500.0, 2300.0, 900.0, items, 700.0))
    assert len(region.outlines) == 2


# Nose contact at 0, mains at 2000, level; empty 500 kg at 1600 puts 100 kg on the nose. One item over the mains adds
# mass only (a), one over the nose adds to both (b): share = (100 + b)/(500 + a + b), and (mass, nose kg) is a linear
# image of the rectangle 100 x 50 of (a, b).
HAND = LoadModel(
    500.0,
    1600.0,
    800.0,
    (LoadItem("a", 0.0, 100.0, 2000.0, 800.0), LoadItem("b", 0.0, 50.0, 0.0, 800.0)),
    mass_cap_kg=1000.0,
)
HAND_STANCE = Stance2(0j, 2000 + 0j)


def test_band_fraction_by_hand() -> None:
    """share >= 0.2 is b >= a/4, leaving out 1250 of 5000; share <= 0.25 is b <= (100 + a)/3, leaving out 1250/3."""
    region = loading_region(HAND)
    assert region.area == pytest.approx(5000.0 * 2000.0, rel=1e-12)
    assert band_fraction(region, HAND_STANCE, 0.2, 0.25) == pytest.approx(2.0 / 3.0, rel=1e-12)
    assert band_fraction(region, HAND_STANCE, 0.0, 1.0) == pytest.approx(1.0, rel=1e-12)
    assert band_fraction(region, HAND_STANCE, 0.9, 1.0) == 0.0


def test_band_fraction_of_lines_and_points() -> None:
    """One free mass: the line a = 0..100 at b = 0 has shares 0.2 .. 1/6; 100/550 at a = 50."""
    line = replace(HAND, items=(HAND.items[0],))
    assert loading_region(line).outlines == ()
    assert band_fraction(loading_region(line), HAND_STANCE, 100 / 550, 0.3) == pytest.approx(0.5, rel=1e-9)
    crate = LoadItem("crate", 50.0, 50.0, 2000.0, 800.0, optional=True)
    points = replace(HAND, items=(crate,))
    assert band_fraction(loading_region(points), HAND_STANCE, 0.19, 0.3) == 0.5


@pytest.mark.parametrize("stance", [LEVEL, NOSE_UP])
@pytest.mark.parametrize("band", [(0.14, 0.17), (0.16, 0.18)])
def test_band_fraction_equals_slices(stance: Stance2, band: tuple[float, float]) -> None:
    """Second road: at each mass the reachable moments of every choice are intervals between the corners' hull edges."""
    masses = np.linspace(538.0, 750.0, 20001)
    masses = (masses[1:] + masses[:-1]) / 2
    form = moment_form(TWO_SEATER, stance.direction)
    intervals = []
    for points in corners(TWO_SEATER):
        mass, moment = TWO_SEATER.empty_kg + points.sum(axis=1), value(form, points)
        low, high = np.full(masses.size, np.inf), np.full(masses.size, -np.inf)
        for i in range(len(mass)):
            for j in range(len(mass)):
                if mass[i] < mass[j]:
                    at = moment[i] + (moment[j] - moment[i]) * (masses - mass[i]) / (mass[j] - mass[i])
                    inside = (masses >= mass[i]) & (masses <= mass[j])
                    low = np.where(inside, np.minimum(low, at), low)
                    high = np.where(inside, np.maximum(high, at), high)
        intervals.append((low, high))

    def length(floor: np.ndarray, ceiling: np.ndarray) -> np.ndarray:
        (a, b), (c, d) = ((np.maximum(lo, floor), np.minimum(hi, ceiling)) for lo, hi in intervals)
        both = np.maximum(np.minimum(b, d) - np.maximum(a, c), 0.0)
        return np.maximum(b - a, 0.0) + np.maximum(d - c, 0.0) - both

    inside = length(masses * stance.arm_at_share(band[1]), masses * stance.arm_at_share(band[0])).sum()
    everything = length(np.full_like(masses, -1e9), np.full_like(masses, 1e9)).sum()
    region = loading_region(TWO_SEATER, stance.direction)
    # Midpoint slices of a piecewise linear width: off by about one slice squared, (1/20000)^2, per kink.
    assert band_fraction(region, stance, *band) == pytest.approx(inside / everything, abs=1e-6)


def test_moving_the_datum_changes_no_fraction() -> None:
    shift = 5000.0
    items = tuple(replace(i, fs_mm=i.fs_mm + shift) for i in TWO_SEATER.items)
    moved = replace(TWO_SEATER, empty_fs_mm=TWO_SEATER.empty_fs_mm + shift, items=items)
    there = Stance2(LEVEL.nose + shift, LEVEL.main + shift)
    here = band_fraction(loading_region(TWO_SEATER), LEVEL, 0.15, 0.17)
    assert 0.0 < here < 1.0
    assert band_fraction(loading_region(moved), there, 0.15, 0.17) == pytest.approx(here, rel=1e-9)


def test_band_needs_the_ground_frame() -> None:
    with pytest.raises(ValueError, match="ground direction"):
        band_fraction(loading_region(TWO_SEATER), NOSE_UP, 0.15, 0.2)


def test_load_share_is_complete() -> None:
    result = load_share(TWO_SEATER, NOSE_UP, (0.14, 0.17), retraction_kgmm=1000.0 + 0j)
    assert result.ground == ground_range(TWO_SEATER, NOSE_UP)
    assert result.cg == cg_range(TWO_SEATER)
    assert result.cg_up.forward.value > result.cg.forward.value
    assert result.region.axis == 1
    assert result.in_band == band_fraction(loading_region(TWO_SEATER, NOSE_UP.direction), NOSE_UP, 0.14, 0.17)
    level = load_share(TWO_SEATER, LEVEL, (0.15, 0.2))
    assert level.ground_region is level.region


def test_share_of_all_loadings_in_band_means_extremes_in_band() -> None:
    ground = ground_range(TWO_SEATER, LEVEL)
    around = (ground.share_min.value - 1e-9, ground.share_max.value + 1e-9)
    assert load_share(TWO_SEATER, LEVEL, around).in_band == pytest.approx(1.0, rel=1e-12)


@pytest.mark.parametrize("band", [(0.2, 0.15), (0.15, 0.15), (-0.1, 0.2), (0.15, 1.5), (float("nan"), 0.2)])
def test_a_band_that_is_none_is_refused(band: tuple[float, float]) -> None:
    with pytest.raises(DocumentError, match="nose_share_band"):
        load_share(TWO_SEATER, LEVEL, band)
