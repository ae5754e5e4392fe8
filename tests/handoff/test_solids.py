"""Meshes of slabs: closed, right way out, right volume, never smaller than the truth."""

from __future__ import annotations

import itertools
import math

import manifold3d
import numpy as np
import pytest
import trimesh
from shapely.affinity import rotate
from shapely.geometry import MultiPolygon, Point, Polygon, box

from linkage.handoff.model import HandoffError, NamedSolid, Slab
from linkage.handoff.solids import GROWTH, Mesh, closed, enclosed_volume, mesh_of
from linkage.handoff.stack import measured
from tests.handoff.samples import TRUNNION, realistic, swept_disc

ANGLE = math.radians(98)


def solid(*slabs: Slab) -> NamedSolid:
    return NamedSolid("a", (0, 0, 0), slabs)


def in_manifold(mesh: Mesh) -> manifold3d.Manifold:
    made = manifold3d.Manifold(manifold3d.Mesh64(mesh.vertices.astype(float), mesh.faces.astype(np.uint64)))
    assert made.status() == manifold3d.Error.NoError
    return made


def assert_good(mesh: Mesh, described: NamedSolid, tolerance: float = 0.05) -> None:
    truth = measured(described)
    other = trimesh.Trimesh(mesh.vertices.astype(float), mesh.faces, process=False)
    assert closed(mesh.faces)
    assert other.is_watertight and other.is_winding_consistent
    assert other.volume == pytest.approx(mesh.volume, rel=1e-9)
    assert in_manifold(mesh).volume() == pytest.approx(mesh.volume, rel=1e-9)
    assert mesh.volume >= truth.volume_mm3
    low, high = np.array(truth.bounds_mm).reshape(2, 3)
    assert np.all(other.bounds[0] <= low) and np.all(other.bounds[0] >= low - tolerance - 1e-3)
    assert np.all(other.bounds[1] >= high) and np.all(other.bounds[1] <= high + tolerance + 1e-3)


def test_a_plate_with_a_hole_has_its_closed_form_volume() -> None:
    plate = solid(Slab(-10, 25, box(100, 50, 400, 150) - box(200, 80, 260, 120)))
    mesh = mesh_of(plate, 0.004)
    assert_good(mesh, plate)
    assert mesh.volume == pytest.approx(35 * (300 * 100 - 60 * 40), rel=1e-4)
    # x = FS, y = BL, z = WL: each axis has a length of its own here, so no two can have been swapped.
    assert np.ptp(mesh.vertices, axis=0) == pytest.approx([300, 35, 100], abs=0.02)


def test_faces_look_outward_and_left_is_not_right() -> None:
    wedge = solid(Slab(0, 10, Polygon([(0, 0), (30, 0), (0, 20)])), Slab(10, 20, box(0, 0, 5, 5)))
    mesh = mesh_of(wedge)
    assert mesh.volume > 0
    # The wide end is at the low butt line.
    low = mesh.vertices[np.abs(mesh.vertices[:, 1]) < 0.1]
    high = mesh.vertices[np.abs(mesh.vertices[:, 1] - 20) < 0.1]
    assert low[:, 0].max() == pytest.approx(30, abs=0.3)
    assert high[:, 0].max() == pytest.approx(5, abs=0.1)


def tyre(bands: int) -> NamedSolid:
    """Filled round tyre on an arc; every band takes the widest radius it has."""
    edges = np.linspace(0, 60, bands + 1)
    slabs = []
    for near, far in itertools.pairwise(edges):
        radius = 120 + math.sqrt(60**2 - near**2)
        slabs.append(Slab(-float(far), float(far), swept_disc(TRUNNION, TRUNNION - 700j, -ANGLE, radius)))
    return solid(*slabs)


def test_a_stack_of_tyre_sweeps_encloses_the_closed_form() -> None:
    z = np.linspace(-60, 60, 200_001)
    radius = 120 + np.sqrt(60**2 - z**2)
    exact = float(np.trapezoid(2 * radius * 700 * ANGLE + math.pi * radius**2, z))
    stack = tyre(12)
    mesh = mesh_of(stack)
    assert_good(mesh, stack)
    assert exact < measured(stack).volume_mm3 < mesh.volume < 1.04 * exact
    keep_out = in_manifold(mesh)
    for turn in np.linspace(0, ANGLE, 7):
        at = TRUNNION + (-700j) * np.exp(-1j * turn)
        for near in (0.0, 20.0, 45.0, 55.0):
            disc = Point(at.real, at.imag).buffer(120 + math.sqrt(60**2 - near**2), quad_segs=16)
            wheel = in_manifold(mesh_of(solid(Slab(-near - 0.5, near, disc.buffer(-GROWTH))), GROWTH))
            assert (wheel - keep_out).volume() == pytest.approx(0, abs=1e-6)


def test_a_realistic_stack_is_closed_and_one_piece() -> None:
    stack = solid(*realistic())
    mesh = mesh_of(stack)
    assert_good(mesh, stack)
    assert in_manifold(mesh).genus() == 0
    assert mesh.volume < measured(stack).volume_mm3 * 1.0003


@pytest.mark.parametrize(
    "slabs",
    [
        (Slab(0, 10, MultiPolygon([box(0, 0, 10, 10), box(10, 10, 20, 20)])),),
        (Slab(0, 10, box(0, 0, 10, 10)), Slab(10, 20, box(10, 0, 20, 10))),
        (Slab(0, 10, box(0, 0, 10, 10)), Slab(10, 20, box(10, 10, 20, 20))),
        (Slab(0.1, 0.3, box(0, 0, 10, 10)), Slab(0.3, 0.7, box(5, 5, 15, 15)), Slab(0.7, 1.1, box(0, 0, 10, 10))),
        (Slab(0, 30, box(0, 0, 50, 50) - box(10, 10, 40, 40)), Slab(5, 6, box(0, 0, 50, 50))),
    ],
    ids=["corners touch", "edge on edge", "corner over corner", "odd butt lines", "closed pocket"],
)
def test_touching_pieces_still_close(slabs: tuple[Slab, ...]) -> None:
    assert_good(mesh_of(solid(*slabs)), solid(*slabs))


def test_rounding_to_single_precision_never_brings_it_inside() -> None:
    odd = solid(Slab(-17.123456789, 33.1 / 3, rotate(box(1000.1, 700.7, 1333.3, 901.9), 17.3)))
    mesh = mesh_of(odd)
    assert_good(mesh, odd)
    inner = trimesh.Trimesh(mesh.vertices.astype(float), mesh.faces, process=False)
    corners = [(x, y, z) for x, z in odd.slabs[0].region.exterior.coords for y in (-17.123456789, 33.1 / 3)]
    assert np.all(inner.contains(0.999999 * np.array(corners) + 1e-6 * inner.center_mass))


def test_random_stacks_close() -> None:
    random = np.random.default_rng(3)
    for _ in range(12):
        slabs = []
        for k in range(5):
            turns = np.sort(random.uniform(0, 2 * math.pi, 30))
            ring = random.uniform(30, 100, 30) * np.exp(1j * turns) + complex(*random.uniform(-60, 60, 2))
            region = Polygon(np.column_stack([ring.real, ring.imag])).buffer(0.0)
            slabs.append(Slab(k * 10.1, k * 10.1 + float(random.choice([10.1, 15.0])), region))
        assert_good(mesh_of(solid(*slabs)), solid(*slabs))


def test_open_and_doubled_surfaces_are_noticed() -> None:
    mesh = mesh_of(solid(Slab(0, 1, box(0, 0, 1, 1))))
    assert not closed(mesh.faces[1:])
    assert not closed(np.concatenate([mesh.faces, mesh.faces]))
    assert not closed(np.empty((0, 3), dtype=np.int64))
    assert enclosed_volume(np.empty((0, 3, 3))) == 0


def test_too_far_from_the_datum_is_said() -> None:
    with pytest.raises(HandoffError, match="limit"):
        mesh_of(solid(Slab(0, 1, box(20_000, 0, 20_100, 100))))
