"""A driveline that shakes, by beam elements of a general rotordynamics library (ROSS).

Only its element matrices are used, without gyroscopic terms; rows, supports, loads and the solution
are written down here apart from the package.  x aft, y right, z up; planes: 0 aside, 1 upright.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache
from itertools import pairwise

import numpy as np
import ross
from numpy.typing import NDArray

Array = NDArray[np.float64]
Complex = NDArray[np.complex128]

STEEL = ross.Material("Steel", rho=7850.0, E=207e9, Poisson=0.3)
PLANE = np.ix_([0, 3, 4, 7], [0, 3, 4, 7])  # deflection, slope in one plane of its 8 freedoms


@cache
def element(length: float, outside: float, inside: float) -> tuple[Array, Array]:
    """Return stiffness and mass of a steel tube in one plane: w, w' in front and behind."""
    one = ross.ShaftElement(length, inside, outside, material=STEEL, gyroscopic=False)
    return one.K()[PLANE], one.M()[PLANE]


@dataclass(frozen=True)
class Tube:
    """A shaft: length, diameters [m], a mass at either end [kg]; hung so far from its front [m]."""

    length: float
    outside: float
    inside: float
    yoke: float
    hung: float | None = None
    bar: tuple[float, float, float] | None = None  # from, to, diameter of a bar in it [m]

    def section(self, place: Array | float) -> tuple[Array, Array]:
        """Return diameters outside and inside at places along it [m]."""
        low, high, diameter = self.bar or (0.0, 0.0, 0.0)
        barred = (np.asarray(place) > low) & (np.asarray(place) < high)
        return np.where(barred, diameter, self.outside), np.where(barred, 0.0, self.inside)


@dataclass(frozen=True)
class Spring:
    """What holds a place: stiffness [N/m] (infinite: rigid), loss factor, mass on it [kg]."""

    stiffness: float
    loss: float = 0.0
    mass: float = 0.0


@dataclass
class Row:
    """Shafts in a row; at a joint they share the deflection, each has its own slope."""

    tubes: Sequence[Tube]
    elements: int = 20
    deflection: list[list[int]] = field(default_factory=list)
    slope: list[list[int]] = field(default_factory=list)
    along: list[Array] = field(default_factory=list)
    hung: list[int] = field(default_factory=list)

    def __post_init__(self) -> None:
        count = 0
        for tube in self.tubes:
            stops = (0.0, tube.hung or 0.0, *(tube.bar or ())[:2], tube.length)
            ends = sorted(set(stops))
            parts = [
                np.linspace(a, b, max(3, round(self.elements * (b - a) / tube.length)) + 1)[:-1]
                for a, b in pairwise(ends)
            ]
            x = np.append(np.concatenate(parts), tube.length)
            w, s = [], []
            for number in range(len(x)):
                if number == 0 and self.deflection:
                    w.append(self.deflection[-1][-1])
                else:
                    w.append(count)
                    count += 1
                s.append(count)
                count += 1
            self.deflection.append(w)
            self.slope.append(s)
            self.along.append(x)
            if tube.hung is not None:
                self.hung.append(w[int(np.argmin(np.abs(x - tube.hung)))])
        self.stiffness, self.mass = np.zeros((2, count, count))
        for tube, w, s, x in zip(self.tubes, self.deflection, self.slope, self.along, strict=True):
            for e, h in enumerate(np.diff(x)):
                outside, inside = tube.section(x[e] + h / 2)
                k, m = element(float(np.round(h, 12)), float(outside), float(inside))
                here = np.ix_([w[e], s[e], w[e + 1], s[e + 1]], [w[e], s[e], w[e + 1], s[e + 1]])
                self.stiffness[here] += k
                self.mass[here] += m
            for end in (w[0], w[-1]):
                self.mass[end, end] += tube.yoke

    @property
    def places(self) -> list[int]:
        """Freedoms of output, bearings and pinion."""
        return [self.deflection[0][0], *self.hung, self.deflection[-1][-1]]

    def forces(
        self, load: Complex, omega: float, springs: Sequence[Spring], loss: float = 0.0
    ) -> Complex:
        """Return what passes behind the mass of every support [N], loads (F,) or (F, C)."""
        whole = self.stiffness * (1 + 1j * loss) - omega**2 * self.mass
        for place, spring in zip(self.places, springs, strict=True):
            if np.isfinite(spring.stiffness):
                whole[place, place] += spring.stiffness * (1 + 1j * spring.loss)
                whole[place, place] -= omega**2 * spring.mass
        rigid = [
            p for p, s in zip(self.places, springs, strict=True) if not np.isfinite(s.stiffness)
        ]
        free = np.setdiff1d(np.arange(len(whole)), rigid)
        moved = np.zeros(np.shape(load), complex)
        moved[free] = np.linalg.solve(whole[np.ix_(free, free)], load[free])
        held = load - whole @ moved  # what holds a rigid place: the load less what the row takes up
        return np.array(
            [
                spring.stiffness * (1 + 1j * spring.loss) * moved[place]
                if np.isfinite(spring.stiffness)
                else held[place]
                for place, spring in zip(self.places, springs, strict=True)
            ]
        )

    def unbalance(self, shaft: int, end: int) -> Array:
        """Return the load of 1 kg m at the front (0) or rear (-1) of a shaft, over Ω²."""
        load = np.zeros(len(self.mass))
        load[self.deflection[shaft][end]] = 1.0
        return load

    def bow(self, shaft: int) -> tuple[Array, Array]:
        """Return the loads of a bow of 1 m at mid-length: what stays, and what goes with Ω².

        The bent shaft was balanced by a mass at each end: force and moment of m q0 Ω² are zero.
        """
        w, s, x = self.deflection[shaft], self.slope[shaft], self.along[shaft]
        tube, wave = self.tubes[shaft], np.pi / self.tubes[shaft].length
        bent = np.zeros(len(self.mass))
        bent[s] = wave * np.cos(wave * x)
        bent[w[1:-1]] = np.sin(wave * x[1:-1])
        fine = np.linspace(0, tube.length, 4001)
        outside, inside = tube.section(fine)
        line = 7850.0 * np.pi / 4 * (outside**2 - inside**2) * np.sin(wave * fine)
        rear = -np.trapezoid(line * fine, fine) / tube.length
        balance = np.zeros(len(self.mass))
        balance[w[-1]] = rear
        balance[w[0]] = -np.trapezoid(line, fine) - rear
        # only the shaft itself is bent: what the neighbors' elements would feel is left out
        own = Row([tube], self.elements)
        shape = np.zeros(len(own.mass))
        shape[own.slope[0]], shape[own.deflection[0]] = bent[s], np.sin(wave * own.along[0])
        stays = np.zeros(len(self.mass))
        held = own.stiffness @ shape
        stays[w], stays[s] = held[own.deflection[0]], held[own.slope[0]]
        return stays, balance


def second_orders(
    axes: Array,
    torque: float,
    speed: float,
    inertia: Sequence[float],
    phases: Sequence[float],
    count: int = 256,
) -> Complex:
    """Return the wave of twice the turn angle of every joint's moment [N m], (J, 3).

    Pins by crossing axes, moments normal to both pins of a cross, the speed of each shaft by its
    pin's own turn, and what its inertia takes by differences of that speed.
    """
    theta = np.arange(count) * 2 * np.pi / count
    first = np.array([0.0, 1.0, 0.0]) - axes[0][1] * axes[0]
    first = first / np.linalg.norm(first)
    pin = np.cos(theta)[:, None] * first + np.sin(theta)[:, None] * np.cross(axes[0], first)
    passing, found = np.full(count, float(torque)), []
    for joint in range(len(axes) - 1):
        ahead, behind = axes[joint], axes[joint + 1]
        driven = np.cross(behind, pin)
        driven /= np.linalg.norm(driven, axis=1)[:, None]
        normal = np.cross(pin, driven)
        moment = (passing / (normal @ ahead))[:, None] * normal
        found.append(2 * np.mean(moment * np.exp(-2j * theta)[:, None], axis=0))
        passing = moment @ behind
        if joint < len(inertia):
            base = driven[0]
            turned = np.unwrap(np.arctan2(driven @ np.cross(behind, base), driven @ base))
            swing = np.fft.rfft(turned - theta)
            change = np.fft.irfft(swing * (1j * np.arange(len(swing))) ** 2, count)
            passing = passing - inertia[joint] * speed**2 * change
            phase = phases[joint]
            driven = np.cos(phase) * driven + np.sin(phase) * np.cross(behind, driven)
        pin = driven
    return np.array(found)


def joint_loads(row: Row, axes: Array, moments: Complex, levers: tuple[float, float]) -> Complex:
    """Return the loads of joint moments on the row in both planes, (F, 2).

    The shafts' slopes feel M of the joint ahead and −M of the one behind; gearbox and axle turn
    about centers so far from the end joints [m] and push there.
    """
    load = np.zeros((len(row.mass), 2), complex)

    def pushed(moment: Complex, axis: Array) -> Complex:
        # by virtual work: an end that goes by w' along p turns the section about axis × p
        level = np.array([0.0, 1.0, 0.0]) - axis[1] * axis
        level /= np.linalg.norm(level)
        up = np.cross(axis, level)
        return np.array([np.cross(axis, level), np.cross(axis, up)]) @ moment

    for shaft in range(len(row.tubes)):
        axis = axes[shaft + 1]
        load[row.slope[shaft][0]] += pushed(moments[shaft], axis)
        load[row.slope[shaft][-1]] -= pushed(moments[shaft + 1], axis)
    # the gearbox gets −M and its tail lies behind its center; the pinion lies ahead of the axle's
    load[row.places[0]] += pushed(-moments[0], axes[0]) / levers[0]
    load[row.places[-1]] -= pushed(moments[-1], axes[-1]) / levers[1]
    return load


def longest(aside: Complex, upright: Complex) -> Array:
    """Return the long half axis of an ellipse: the larger singular value of its two phasors."""
    both = np.stack([aside, upright], axis=-1)
    turn = np.stack([both.real, both.imag], axis=-1)
    return np.asarray(np.linalg.svd(turn, compute_uv=False)[..., 0])
