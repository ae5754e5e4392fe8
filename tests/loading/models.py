"""Loadings for the tests: the invented demo aircraft's, and random ones."""

from __future__ import annotations

from hypothesis import strategies as st

from linkage.loading import LoadItem, LoadModel, Stance2

# An invented two-seater, numbers of its own and not of any study.
TWO_SEATER = LoadModel(
    480.0,
    2250.0,
    930.0,
    (
        LoadItem("pilot", 55.0, 110.0, 2440.0, 880.0),
        LoadItem("passenger", 40.0, 110.0, 2440.0, 880.0, optional=True),
        LoadItem("fuel", 3.0, 70.0, 2375.0, 720.0, kind="fuel"),
        LoadItem("baggage", 0.0, 45.0, 3060.0, 900.0),
    ),
    mass_cap_kg=750.0,
)
LEVEL = Stance2(800.0 + 0.0j, 2620.0 + 0.0j)
NOSE_UP = Stance2(800.0 - 90.0j, 2620.0 + 10.0j)

# Whole kilograms and millimetres, so that whether a loading is feasible is never a matter of rounding.
_kg = st.integers(0, 60)


@st.composite
def items(draw: st.DrawFn, count: int) -> tuple[LoadItem, ...]:
    made = []
    for i in range(count):
        least = draw(_kg)
        made.append(
            LoadItem(
                f"item{i}",
                float(least),
                float(least + draw(_kg)),
                float(draw(st.integers(500, 4000))),
                float(draw(st.integers(300, 1400))),
                bl_mm=float(draw(st.integers(-500, 500))),
                optional=draw(st.booleans()),
                group=draw(st.sampled_from([None, None, "seat", "tray"])),
                kind=draw(st.sampled_from(["payload", "payload", "fuel"])),
            )
        )
    return tuple(made)


@st.composite
def models(draw: st.DrawFn, most: int = 4) -> LoadModel:
    """Random loadings with caps that often bind, and sometimes leave nothing."""
    aboard = draw(items(draw(st.integers(1, most))))
    empty = float(draw(st.integers(200, 600)))
    return LoadModel(
        empty,
        float(draw(st.integers(1500, 2500))),
        float(draw(st.integers(500, 1000))),
        aboard,
        mass_cap_kg=empty + draw(st.integers(0, 200)),
        zero_fuel_cap_kg=draw(st.none() | st.integers(0, 150).map(lambda kg: empty + kg)),
        min_mass_kg=draw(st.none() | st.integers(0, 120).map(lambda kg: empty + kg)),
        empty_bl_mm=float(draw(st.integers(-20, 20))),
    )
