"""Scenes are data: they can be asked, compared and refused without drawing anything."""

from __future__ import annotations

import math
import subprocess
import sys

import numpy as np
import pytest
from shapely.geometry import Point, Polygon

from linkage.drawing.gear_scene import own_role
from linkage.drawing.scene import Bar, Dimension, Disc, Leader, Note, Path, PinMark, Region, Role, Scene
from tests.drawing.crowd import crowded
from tests.studies import MERROW, solution


def test_importing_scenes_loads_no_matplotlib() -> None:
    names = ", ".join(f"linkage.drawing.{name}" for name in ("scene", "palette", "text", "paint", "sheet", "video"))
    code = f"import sys, {names}; assert 'matplotlib' not in sys.modules"
    subprocess.run([sys.executable, "-c", code], check=True)


def test_points_become_a_tuple_so_that_scenes_compare() -> None:
    a = Path(np.array([0, 1 + 2j, 3j]), True, Role.BAY, "box")
    assert a == Path((0, 1 + 2j, 3j), True, Role.BAY, "box")
    assert a.points == (0j, 1 + 2j, 3j)
    assert Scene([a]) == Scene((a,))  # type: ignore[arg-type]


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_no_nan_gets_into_a_scene(bad: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        Path((0, complex(bad, 1), 2), True)
    with pytest.raises(ValueError, match="finite"):
        Disc(complex(1, bad), 2.0)
    with pytest.raises(ValueError, match="finite"):
        Bar(0, 1, bad)
    with pytest.raises(ValueError, match="finite"):
        PinMark(complex(bad, 0), "knee")
    with pytest.raises(ValueError, match="finite"):
        Dimension(0, complex(0, bad), "gap")
    with pytest.raises(ValueError, match="finite"):
        Leader(complex(bad, 0), "here")
    with pytest.raises(ValueError, match="finite"):
        Note("here", complex(bad, 0))
    with pytest.raises(ValueError, match="finite"):
        Scene((), window=(0, 0, bad, 1))
    with pytest.raises(ValueError, match="finite"), np.errstate(invalid="ignore"):
        Region(Polygon([(0, 0), (1, bad), (1, 0)]))


def test_shapes_that_are_none_are_refused_by_name() -> None:
    with pytest.raises(ValueError, match="'tyre': radius=0 must be > 0"):
        Disc(0, 0, label="tyre")
    with pytest.raises(ValueError, match="'door': 1 points"):
        Path((1,), label="door")
    with pytest.raises(ValueError, match="2 points, a drawn path needs 3"):
        Path((1, 2), True)


def test_extent_and_roles() -> None:
    scene = Scene(
        (Disc(10 + 10j, 5, Role.BAY), Bar(0, 20, 2, Role.ACTUATOR), Region(Point(0, 30).buffer(1)), Note("hi"))
    )
    x0, y0, x1, y1 = scene.extent()
    assert (x0, y0, x1) == (-2, -2, 22)
    assert y1 == pytest.approx(31)
    assert scene.roles() == (Role.OUTLINE, Role.SWEPT, Role.BAY, Role.ACTUATOR)
    assert Scene(()).extent() == (0, 0, 1, 1)
    assert Scene((Region(Polygon()),)).extent() == (0, 0, 1, 1)


def test_texts_and_plus() -> None:
    scene = Scene((Disc(0, 1, label="tyre"), Disc(0, 1))).plus([Leader(1j, "look here")])
    assert scene.texts() == ("tyre", "look here")
    assert set(crowded().roles()) >= set(Role) - {Role.CENTRE} | {Role.CENTRE}


def test_actuator_and_springs_are_told_apart_from_the_links() -> None:
    gear = solution(MERROW).results.gear
    roles = {part.name: own_role(gear, part) for part in gear.parts}
    assert {name for name, role in roles.items() if role is Role.ACTUATOR} == {"actuator"}
    assert {name for name, role in roles.items() if role is Role.SPRING} == {"gas spring"}
    assert roles["upper brace link"] is Role.OUTLINE
