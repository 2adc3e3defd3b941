"""The driveline as a chain of bodies, each carried by the one before it through one joint.

Frames: a member has X along its axis.  The driving pin of a joint is Y of its first body; that
pin stands, about X, the phase beyond the driven pin of the same shaft.

A universal joint turns about Y of the member before it (its driving pin, which the cross follows)
and then about Z of the cross (its driven pin).  A joint that runs even (double Cardan, constant
velocity, flexible) turns about Y, about Z and about Y again by the same angle as first: read
backward it is the same, so it mirrors the input in the plane that halves the joint angle.

A double Cardan joint that does not halve its angle is two universal joints at one place: front
cross, coupling yoke, rear cross.  Where the coupling yoke points must be held from outside.  Only
directions decide how it turns, so the distance of its crosses is left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sim.motion.frames import rotation_x, rotation_y, rotation_z, unit
from sim.scene.parts import SplinePlace

Array = NDArray[np.float64]
Moves = Literal["turns x", "turns y", "turns z", "slides"]
Part = Literal["member", "spline", "cross", "coupling yoke", "middle"]

_TURN = {"turns x": rotation_x, "turns y": rotation_y, "turns z": rotation_z}
_COLUMN = {"turns x": 0, "turns y": 1, "turns z": 2}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Dimensions:
    """What a driveline is cut to; N shafts.

    Attributes:
        output: Joint center on the output when its spline, if any, has not moved [m], shape (3,).
        axis: Axis of the output, pointing aft, shape (3,).
        lengths: Joint center to joint center without slip [m], shape (N,).
        phases: Rear yoke against front yoke [rad], shape (N,).
        even: Whether each joint runs even, as a universal joint does not; N + 1 of them.
        coupled: Whether each joint has a coupling yoke that does not halve its angle; such a
            joint does not run even.
        bearings: Centers of the bearings [m], shape (N − 1, 3).
        pivots: Front joint to bearing center along shafts 1 … N − 1 [m], shape (N − 1,).
        spline: Where the spline is that follows the axle.
        output_spline: Whether the output has a slip yoke besides.
    """

    output: Array
    axis: Array
    lengths: Array
    phases: Array
    even: tuple[bool, ...]
    bearings: Array
    pivots: Array
    spline: SplinePlace
    output_spline: bool
    coupled: tuple[bool, ...] = ()

    @property
    def members(self) -> tuple[str, ...]:
        """Names of output, shafts from the front, and pinion."""
        shafts = (f"shaft {i + 1}" for i in range(len(self.lengths)))
        return ("output", *shafts, "pinion")


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """One body of the chain and the joint that carries it, in the frame of the body before it.

    Attributes:
        name: What it is: a member, "joint 1" (its cross, or the front one), "joint 1, middle",
            "joint 1, coupling yoke" and "joint 1, rear", or a spline.
        moves: How its joint moves.
        part: What kind of body it is; a "middle" halves the angle of a joint that runs even.
        along: Place of the joint along X of the body before it [m].
        clocked: Turn of the joint about that X [rad].
    """

    name: str
    moves: Moves
    part: Part = "member"
    along: float = 0.0
    clocked: float = 0.0


def tree(dimensions: Dimensions) -> tuple[Link, ...]:
    """Return the bodies of a driveline in order.

    Args:
        dimensions: What it is cut to.

    Returns:
        Its links, the output first and the pinion last.
    """
    last = len(dimensions.lengths)
    links = [Link(name="output", moves="turns x")]
    if dimensions.output_spline or dimensions.spline == "output":
        links.append(Link(name="output spline", moves="slides", part="spline"))
    along = clocked = 0.0
    for k, member in enumerate(dimensions.members[1:], start=1):
        even = dimensions.even[k - 1]
        links.append(
            Link(name=f"joint {k}", moves="turns y", part="cross", along=along, clocked=clocked)
        )
        if k in couplings(dimensions):
            links.append(
                Link(name=f"joint {k}, coupling yoke", moves="turns z", part="coupling yoke")
            )
            # The ears of the coupling yoke in line: the rear cross turns about its Z.
            links.append(
                Link(name=f"joint {k}, rear", moves="turns y", part="cross", clocked=-np.pi / 2)
            )
        if even:
            links.append(Link(name=f"joint {k}, middle", moves="turns z", part="middle"))
        links.append(Link(name=member, moves="turns y" if even else "turns z"))
        if k > last:
            break
        along = float(dimensions.lengths[k - 1])
        clocked = float(dimensions.phases[k - 1]) + (0.0 if even else np.pi / 2)
        if {"output": 0, "midship": last - 1, "shaft": last}[dimensions.spline] == k:
            links.append(Link(name="spline", moves="slides", part="spline", along=along))
            along = 0.0
    return tuple(links)


def couplings(dimensions: Dimensions) -> tuple[int, ...]:
    """Return the numbers of the joints, from 1, whose coupling yoke must be held."""
    return tuple(k for k, coupled in enumerate(dimensions.coupled, start=1) if coupled)


def output_frame(axis: Array) -> Array:
    """Return the frame of an output whose pin is horizontal.

    Args:
        axis: Its axis, pointing aft, shape (3,).

    Returns:
        Columns X (the axis), Y (the pin, to the right) and Z, shape (3, 3).
    """
    right = np.array([0.0, 1.0, 0.0])
    pin = unit(right - (right @ axis) * axis)
    return np.stack([axis, pin, np.cross(axis, pin)], axis=-1)


def start(
    links: Sequence[Link], frame: Array, axes: Array, slides: Array, speed: float
) -> tuple[Array, Array]:
    """Return joint positions and speeds with the output's pin horizontal and the axes as given.

    Args:
        links: The chain.
        frame: Frame of the output, shape (3, 3).
        axes: Axes of coupling yokes, shafts and pinion in their order, pointing aft, each (3,).
        slides: Positions of the sliders, from the front [m].
        speed: Speed of the output [rad/s].

    Returns:
        Positions [rad or m] and speeds [rad/s or m/s] of all joints, shape (links,).
    """
    position, rate = np.zeros((2, len(links)))
    position[[n for n, link in enumerate(links) if link.moves == "slides"]] = slides
    rate[0], turning = speed, speed * frame[:, 0]
    first = [n for n, k in enumerate(links) if k.part == "cross"]
    for n, axis in zip(first, axes, strict=True):
        frame = frame @ rotation_x(links[n].clocked)
        even = links[n + 1].part == "middle"
        angles = _aim_even(frame, axis) if even else _aim_universal(frame, axis)
        pins_here = []
        for m, angle in enumerate(angles, start=n):
            pins_here.append(frame[:, _COLUMN[links[m].moves]])
            frame = frame @ _TURN[links[m].moves](angle)
        # Both ends agree: turning + Σ rate · pin = speed behind · axis.
        free = [pins_here[0] + pins_here[2], pins_here[1]] if even else pins_here
        *rates, behind = np.linalg.solve(np.stack([*free, -axis], axis=-1), -turning)
        count = len(angles)
        position[n : n + count] = angles
        rate[n : n + count] = [*rates, rates[0]][:count]
        turning = behind * axis
    return position, rate


def _aim_universal(frame: Array, axis: Array) -> tuple[float, float]:
    """Return the turns about Y and Z that bring X to the axis."""
    driven = unit(np.cross(axis, frame[:, 1])) @ frame
    first = float(np.arctan2(driven[0], driven[2]))
    x, y, _ = axis @ frame @ rotation_y(first)
    return first, float(np.arctan2(y, x))


def _aim_even(frame: Array, axis: Array) -> tuple[float, float, float]:
    """Return the turns about Y, Z and Y that bring X to the axis by the shortest way."""
    x, y, z = axis @ frame
    half = np.sqrt((1 + x) / 2)  # cosine of half the joint angle; that turn is (half, 0, −z, y)
    outer = float(np.arctan2(-z, 1 + x))
    return outer, float(2 * np.arcsin(y / (2 * half))), outer
