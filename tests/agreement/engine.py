"""A general physics engine as an independent judge: only its kinematics, point Jacobians and bias forces are used.

Its own loop constraints are soft, so the loops are closed here by Newton on the gaps of pairs of sites. The drive force
and the closing pin forces then follow from linear equations; with them applied and the loops removed, its force sensors
return all other pins (force of the parent on the child, in the frame of the site). Metres, kilograms, newtons, radians.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import mujoco
import numpy as np

GRAVITY = 9.80665


@dataclass(frozen=True)
class Part:
    """A body that turns on its parent about ``hinge``, or slides on it along ``along`` with ``hinge`` as its point;
    points as drawn, x + 1j*z."""

    name: str
    parent: str
    hinge: complex
    mass: float
    cg: complex
    inertia: float
    along: complex | None = None


@dataclass(frozen=True)
class Site:
    name: str
    body: str
    at: complex


class Judge:
    """Parts in a tree, parents first. ``loops``: pairs of sites that must meet; ``drive``: sites between which the
    drive pushes (the first may be on the world)."""

    def __init__(
        self, parts: Sequence[Part], sites: Sequence[Site], loops: Sequence[tuple[str, str]], drive: tuple[str, str]
    ) -> None:
        self.parts, self.loops, self.drive = parts, loops, drive
        self.model = mujoco.MjModel.from_xml_string(_text(parts, sites))
        self.data = mujoco.MjData(self.model)
        self.wanted = np.zeros(self.model.nv)

    def close(self, driven: float) -> None:
        """Turn the first part to ``driven`` in small steps from where it is, closing the loops at each."""
        start = float(self.data.qpos[0])
        for angle in np.linspace(start, driven, 2 + int(abs(driven - start) / 0.02))[1:]:
            self.data.qpos[0] = angle
            for _ in range(20):
                self._place()
                gap = np.concatenate([self._at(b) - self._at(a) for a, b in self.loops])
                if np.max(np.abs(gap)) < 1e-14:
                    break
                by = np.concatenate([self._by(b) - self._by(a) for a, b in self.loops])[:, 1:]
                self.data.qpos[1:] -= np.linalg.lstsq(by, gap, rcond=None)[0]
            assert np.max(np.abs(gap)) < 1e-13

    def site(self, name: str) -> complex:
        return complex(*self._at(name))

    def stir(self, rate: float, accel: float) -> None:
        """Speeds and accelerations of all parts from those of the first, by the loops' Jacobian and its change."""
        self.data.qvel[:] = 0.0
        self.data.qvel[0] = rate
        mujoco.mj_forward(self.model, self.data)
        gaps = np.concatenate([self._by(b) - self._by(a) for a, b in self.loops])
        self.data.qvel[1:] = np.linalg.solve(gaps[:, 1:], -gaps[:, 0] * rate)
        mujoco.mj_forward(self.model, self.data)
        turning = np.concatenate([(self._by_dot(b) - self._by_dot(a)) @ self.data.qvel for a, b in self.loops])
        self.wanted[0] = accel
        self.wanted[1:] = np.linalg.solve(gaps[:, 1:], -gaps[:, 0] * accel - turning)

    def velocity(self, name: str) -> complex:
        return complex(*(self._by(name) @ self.data.qvel))

    def acceleration(self, name: str) -> complex:
        return complex(*(self._by(name) @ self.wanted + self._by_dot(name) @ self.data.qvel))

    def hold(
        self, pushes: Mapping[tuple[str, str], float] | None = None
    ) -> tuple[float, dict[str, complex], dict[str, complex]]:
        """What makes the motion it was stirred to, or holds it at rest: drive force, force of a on b at every loop
        (a, b) by the name of b, and of the parent on each part. ``pushes``: what else pushes two sites apart."""
        self.data.xfrc_applied[:] = 0.0
        mujoco.mj_forward(self.model, self.data)
        way, row = self._apart(self.drive)
        columns = [row]
        for a, b in self.loops:
            columns += list(self._by(b) - self._by(a))
        inertia = np.zeros((self.model.nv, self.model.nv))
        mujoco.mj_fullM(self.model, self.data, inertia)
        right, applied = inertia @ self.wanted + self.data.qfrc_bias, []
        for ends, push in (pushes or {}).items():
            along, other = self._apart(ends)
            right -= push * other
            applied.append((ends, push * along))
        held = np.linalg.solve(np.array(columns).T, right)
        closing = {b: complex(held[1 + 2 * i], held[2 + 2 * i]) for i, (_, b) in enumerate(self.loops)}
        applied += zip([self.drive, *self.loops], [held[0] * way, *closing.values()], strict=True)
        for (a, b), force in applied:
            self._apply(b, force)
            self._apply(a, -force)
        mujoco.mj_forward(self.model, self.data)
        size = GRAVITY / 0.01 + np.max(np.abs(self.wanted))
        assert np.max(np.abs(self.data.qacc - self.wanted)) < 1e-9 * size  # 10 mm arms, 1e-9 g
        return float(held[0]), closing, {p.name: self._sensed(p.name) for p in self.parts}

    def couple(self, part: str) -> float:
        """Of the parent on a part that slides, about its point, after `hold`."""
        torque = self.data.site(f"hinge {part}").xmat.reshape(3, 3) @ self.data.sensor(f"couple {part}").data
        return float(-torque[1])  # y points into the side view

    def _apart(self, ends: tuple[str, str]) -> tuple[complex, np.ndarray]:
        """Unit vector from one site to another, and what a unit push between them does on all angles."""
        way = self.site(ends[1]) - self.site(ends[0])
        way /= abs(way)
        return way, (self._by(ends[1]) - self._by(ends[0])).T @ [way.real, way.imag]

    def _place(self) -> None:
        mujoco.mj_kinematics(self.model, self.data)
        mujoco.mj_comPos(self.model, self.data)

    def _at(self, name: str) -> np.ndarray:
        return np.array(self.data.site(name).xpos[[0, 2]])

    def _by(self, name: str) -> np.ndarray:
        """Jacobian of a site's x and z by all angles."""
        out = np.zeros((3, self.model.nv))
        mujoco.mj_jacSite(self.model, self.data, out, None, self.model.site(name).id)
        return out[[0, 2]]

    def _by_dot(self, name: str) -> np.ndarray:
        """Change of `_by` in time at the present speeds."""
        out = np.zeros((3, self.model.nv))
        body = int(self.model.site(name).bodyid[0])
        mujoco.mj_jacDot(self.model, self.data, out, None, self.data.site(name).xpos, body)
        return out[[0, 2]]

    def _apply(self, name: str, force: complex) -> None:
        body = int(self.model.site(name).bodyid[0])
        f = np.array([force.real, 0.0, force.imag])
        self.data.xfrc_applied[body, :3] += f
        self.data.xfrc_applied[body, 3:] += np.cross(self.data.site(name).xpos - self.data.xipos[body], f)

    def _sensed(self, part: str) -> complex:
        force = self.data.site(f"hinge {part}").xmat.reshape(3, 3) @ self.data.sensor(part).data
        return complex(force[0], force[2])


def _text(parts: Sequence[Part], sites: Sequence[Site]) -> str:
    origin = {"world": 0j} | {p.name: p.hinge for p in parts}

    def marks(body: str) -> str:
        return "".join(f'<site name="{s.name}" pos="{_xyz(s.at - origin[body])}"/>' for s in sites if s.body == body)

    def branch(p: Part) -> str:
        inside = "".join(branch(child) for child in parts if child.parent == p.name)
        return (
            f'<body name="{p.name}" pos="{_xyz(p.hinge - origin[p.parent])}">{_joint(p)}'
            f'<inertial pos="{_xyz(p.cg - p.hinge)}" mass="{p.mass!r}" diaginertia="{f"{p.inertia!r} " * 3}"/>'
            f'<site name="hinge {p.name}"/>{marks(p.name)}{inside}</body>'
        )

    sensors = "".join(f'<force name="{p.name}" site="hinge {p.name}"/>' for p in parts)
    sensors += "".join(f'<torque name="couple {p.name}" site="hinge {p.name}"/>' for p in parts)
    tree = "".join(branch(p) for p in parts if p.parent == "world")
    return (
        f'<mujoco><compiler angle="radian"/><option gravity="0 0 {-GRAVITY!r}"><flag contact="disable"/></option>'
        f"<worldbody>{marks('world')}{tree}</worldbody><sensor>{sensors}</sensor></mujoco>"
    )


def _joint(p: Part) -> str:
    return '<joint type="hinge" axis="0 -1 0"/>' if p.along is None else f'<joint type="slide" axis="{_xyz(p.along)}"/>'


def _xyz(z: complex) -> str:
    return f"{float(z.real)!r} 0 {float(z.imag)!r}"
