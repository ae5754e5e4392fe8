"""Exact extremes of random loadings against brute force: all corners of the feasible set, and loadings by chance."""

from __future__ import annotations

import numpy as np

from linkage.errors import DocumentError
from linkage.loading import LoadItem, LoadModel, Stance2, constant_form, extreme, ground_range, mass_form
from linkage.units import STANDARD_GRAVITY
from tests.agreement.figures import Figure
from tests.agreement.random_gears import SEED
from tests.loading.roads import choices_by_definition, corners, polytope

CHANCES = 4000
"""Loadings by chance for each set."""


def figures() -> tuple[Figure, ...]:
    name = f"enumeration with numpy {np.__version__}"
    return (
        Figure(
            name,
            "extremes of nose load, share, main load and tip-back against all corners",
            "of the larger",
            1e-12,
            True,
        ),
        Figure(name, "by how much a loading by chance goes beyond them", "of the larger", 1e-12, True),
    )


def random_sets(count: int, seed: int) -> list[tuple[LoadModel, Stance2]]:
    """Loadings with two to five items, caps that often bind, and a stance each; none that allows nothing."""
    made: list[tuple[LoadModel, Stance2]] = []
    i = 0
    while len(made) < count:
        rng = np.random.default_rng([seed, i, 4])
        i += 1
        items = []
        for k in range(int(rng.integers(2, 6))):
            least = float(rng.integers(0, 60))
            items.append(
                LoadItem(
                    f"item {k}",
                    least,
                    least + float(rng.integers(0, 80)),
                    float(rng.integers(500, 4000)),
                    float(rng.integers(300, 1400)),
                    optional=bool(rng.random() < 0.5),
                    group=[None, None, "seat"][int(rng.integers(3))],
                    kind="fuel" if rng.random() < 0.3 else "payload",
                )
            )
        empty = float(rng.integers(250, 600))
        caps = {
            "mass_cap_kg": empty + float(rng.integers(40, 260)),
            "zero_fuel_cap_kg": empty + float(rng.integers(20, 200)) if rng.random() < 0.5 else None,
            "min_mass_kg": empty + float(rng.integers(0, 60)) if rng.random() < 0.5 else None,
        }
        model = LoadModel(empty, float(rng.integers(1800, 2400)), float(rng.integers(500, 1000)), tuple(items), **caps)
        nose, main = complex(700, rng.uniform(-80, 80)), complex(float(rng.uniform(2500, 2900)), rng.uniform(-20, 20))
        try:
            extreme(model, mass_form(model), constant_form(model), "min")
        except DocumentError:
            continue
        made.append((model, Stance2(nose, main)))
    return made


def compare(count: int, seed: int = SEED) -> tuple[Figure, ...]:
    found = figures()
    for i, (model, stance) in enumerate(random_sets(count, seed)):
        for figure in found:
            figure.case(f"{len(model.items)} items")
        exact = ground_range(model, stance)
        pairs = (
            (0, exact.nose_load_min.value, exact.nose_load_max.value),
            (1, exact.share_min.value, exact.share_max.value),
            (2, None, exact.main_load_max.value),
            (3, exact.tip_back_min.value, exact.tip_back_max.value),
        )
        at_corners = _judged(model, stance, np.concatenate(corners(model)))
        chances = _by_chance(model, np.random.default_rng([seed, i, 5]))
        by_chance = _judged(model, stance, chances)
        for which, low, high in pairs:
            for value, sign in ((low, -1.0), (high, 1.0)):
                if value is None:
                    continue
                best, size = sign * float((sign * at_corners[which]).max()), max(abs(at_corners[which]).max(), 1e-9)
                found[0].add(abs(value - best) / size)
                beyond = float((sign * by_chance[which]).max()) - sign * value
                found[1].add(max(0.0, beyond) / size, len(chances))
    return found


def _judged(model: LoadModel, stance: Stance2, masses: np.ndarray) -> tuple[np.ndarray, ...]:
    """Nose load and load of the mains in N, share, tip-back in rad, from moments about the contacts: no form of the
    library is used. ``masses`` (loadings, items)."""
    arms = np.array([i.arm for i in model.items])
    total = model.empty_kg + masses.sum(axis=1)
    cg = (model.empty_kg * complex(model.empty_fs_mm, model.empty_wl_mm) + masses @ arms) / total
    along = (stance.main - stance.nose) / abs(stance.main - stance.nose)
    local = (cg - stance.nose) * along.conjugate()
    wheelbase = abs(stance.main - stance.nose)
    share = (wheelbase - local.real) / wheelbase
    weight = total * STANDARD_GRAVITY
    return weight * share, share, weight * (1.0 - share), np.arctan((wheelbase - local.real) / local.imag)


def _by_chance(model: LoadModel, rng: np.random.Generator) -> np.ndarray:
    """Masses within every limit: drawn in each item's range, scaled down where a cap binds, and kept if they pass."""
    kept: list[np.ndarray] = []
    aboard = list(choices_by_definition(model))
    for choice in aboard:
        a, b = polytope(model, choice)
        low = np.array([model.items[i].min_kg for i in choice])
        high = np.array([model.items[i].max_kg for i in choice])
        drawn = low + (high - low) * rng.beta(0.4, 0.4, (max(1, CHANCES // len(aboard)), len(choice)))
        drawn = drawn[(drawn @ a.T <= b).all(axis=1)]
        full = np.zeros((len(drawn), len(model.items)))
        full[:, list(choice)] = drawn
        kept.append(full)
    mixed = rng.dirichlet(np.ones(2), 500)  # between two corners of one choice every loading is allowed
    for part in corners(model):
        pairs = part[rng.integers(0, len(part), (500, 2))]
        kept.append(np.einsum("ij,ijk->ik", mixed, pairs))
    return np.concatenate(kept)
