"""The driveline as one tree of rigid bodies, closed by points that are held in space.

The tree is output → cross → shaft → cross → … → pinion, with a slider where a spline is.  Only
dimensions go into it (lengths, phases, places of bearings); where its joints stand at the start
follows from where the axes point.  Center bearings and the pinion are points held in space.

Frames at a joint with input axis a, output axis b, driving pin u and driven pin v:
a shaft has X along its axis, Z along the driven pin of its front joint and Y = Z × X; a cross has
Y = u, Z = v.  The next driving pin stands the phase beyond 90 deg about X.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sim.errors import EngineError
from sim.motion.frames import rotation_x, rotation_y, rotation_z, unit
from sim.scene.parts import SplinePlace
from sim.world.engine import Engine

Array = NDArray[np.float64]

STRONG = 1e9  # more than any force here [N or N m]
ARM = 0.3  # from the pinion joint back to the second point that holds its axis [m]
FASTEST = 1e5  # the engine caps joint speeds, by default at 100 [rad/s]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Dimensions:
    """What a driveline is cut to; N shafts.

    Attributes:
        output: Joint center on the output when its spline, if any, has not moved [m], shape (3,).
        axis: Axis of the output, pointing aft, shape (3,).
        lengths: Joint center to joint center without slip [m], shape (N,).
        phases: Rear yoke against front yoke [rad], shape (N,).
        bearings: Centers of the bearings [m], shape (N − 1, 3).
        pivots: Front joint to bearing center along shafts 1 … N − 1 [m], shape (N − 1,).
        spline: Where the spline is that follows the axle.
        output_spline: Whether the output has a slip yoke besides.
    """

    output: Array
    axis: Array
    lengths: Array
    phases: Array
    bearings: Array
    pivots: Array
    spline: SplinePlace
    output_spline: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """One body of the tree and the joint that carries it, in the frame of the body before it.

    Attributes:
        name: What it is.
        moves: "turns x", "turns y", "turns z" or "slides".
        along: Place of the joint along X of the body before it [m].
        clocked: Turn of the joint about that X [rad].
    """

    name: str
    moves: Literal["turns x", "turns y", "turns z", "slides"]
    along: float = 0.0
    clocked: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """A point of a link that is held in space.

    Attributes:
        constraint: The engine's number for it.
        link: Number of the link.
        along: Place of the point along X of the link [m].
    """

    constraint: int
    link: int
    along: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Driveline:
    """A driveline that stands in an engine.

    Attributes:
        body: The engine's number for it.
        members: Links of output, shafts from the front, and pinion.
        crosses: Links of the crosses, from the front.
        slider: Link of the spline that follows the axle.
        output_slider: Link of the slip yoke on the output ahead of a bearing, or None.
        bearings: The points held in the bearings.
        pinion: The two points held on the pinion axis, joint center first.
    """

    body: int
    members: tuple[int, ...]
    crosses: tuple[int, ...]
    slider: int
    output_slider: int | None
    bearings: tuple[Held, ...]
    pinion: tuple[Held, Held]


def tree(dimensions: Dimensions) -> tuple[Link, ...]:
    """Return the bodies of a driveline in order, each carried by the one before it.

    Args:
        dimensions: What it is cut to.

    Returns:
        Its links, the output first and the pinion last.
    """
    last = len(dimensions.lengths)
    links = [Link(name="output", moves="turns x")]
    if dimensions.output_spline or dimensions.spline == "output":
        links.append(Link(name="output spline", moves="slides"))
    along = clocked = 0.0
    for i, (length, phase) in enumerate(zip(dimensions.lengths, dimensions.phases, strict=True), 1):
        links.append(Link(name=f"cross {i}", moves="turns y", along=along, clocked=clocked))
        links.append(Link(name=f"shaft {i}", moves="turns z"))
        along, clocked = float(length), float(np.pi / 2 + phase)
        if (dimensions.spline == "midship" and i == last - 1) or (
            dimensions.spline == "shaft" and i == last
        ):
            links.append(Link(name="spline", moves="slides", along=along))
            along = 0.0
    links.append(Link(name=f"cross {last + 1}", moves="turns y", along=along, clocked=clocked))
    links.append(Link(name="pinion", moves="turns z"))
    return tuple(links)


def start(
    links: Sequence[Link], output: Array, axes: Array, slides: Array, speed: float
) -> tuple[Array, Array]:
    """Return joint positions and speeds with the output's pin horizontal and axes as given.

    A universal joint points its output axis by turning about its two pins; the speeds of both
    axes agree along the normal of the cross, which neither pin can turn.

    Args:
        links: The tree.
        output: Frame of the output, columns X Y Z, shape (3, 3).
        axes: Axes of shafts and pinion, pointing aft, shape (N + 1, 3).
        slides: Positions of the sliders, from the front [m].
        speed: Speed of the output [rad/s].

    Returns:
        Positions [rad or m] and speeds [rad/s or m/s] of all joints, shape (links,).
    """
    frame, axis, turning = output, output[:, 0], speed
    position, rate = np.zeros(len(links)), np.zeros(len(links))
    rate[0] = speed
    aims, shifts = iter(axes), iter(slides)
    for n, link in enumerate(links):
        if link.moves == "slides":
            position[n] = next(shifts)
        if link.moves != "turns y":
            continue
        aim = next(aims)
        frame = frame @ rotation_x(link.clocked)
        pin = frame[:, 1]
        driven = unit(np.cross(aim, pin))
        normal = np.cross(pin, driven)
        position[n] = np.arctan2(driven @ frame[:, 0], driven @ frame[:, 2])
        frame = frame @ rotation_y(position[n])
        position[n + 1] = np.arctan2(aim @ frame[:, 1], aim @ frame[:, 0])
        frame = frame @ rotation_z(position[n + 1])
        after = turning * (axis @ normal) / (aim @ normal)
        difference = after * aim - turning * axis
        rate[n], rate[n + 1] = difference @ pin, difference @ driven
        axis, turning = aim, after
    return position, rate


def build(
    world: Engine,
    dimensions: Dimensions,
    *,
    axes: Array,
    slides: Array,
    pinion: Array,
    speed: float,
) -> Driveline:
    """Put a driveline into an engine, standing as given and turning.

    Args:
        world: Engine whose time step is set (forces become impulses with it).
        dimensions: What it is cut to.
        axes: Axes of shafts and pinion at the start, shape (N + 1, 3).
        slides: Positions of the sliders at the start, from the front [m].
        pinion: Joint center of the pinion at the start [m], shape (3,).
        speed: Speed of the output [rad/s].

    Returns:
        The driveline.

    Raises:
        EngineError: If the engine numbers the bodies in another order.
    """
    links = tree(dimensions)
    frame = output_frame(dimensions.axis)
    body = _bodies(world, links, dimensions.output, frame)
    names = [link.name for link in links]
    position, rate = start(links, frame, axes, slides, speed)
    for n in range(len(links)):
        world.resetJointState(body, n, position[n], rate[n])
    world.setJointMotorControl2(body, 0, world.VELOCITY_CONTROL, targetVelocity=speed, force=STRONG)
    shafts = [names.index(f"shaft {i}") for i in range(1, len(dimensions.lengths) + 1)]
    last = names.index("pinion")
    slider = names.index("output spline" if dimensions.spline == "output" else "spline")
    return Driveline(
        body=body,
        members=(0, *shafts, last),
        crosses=tuple(n for n, link in enumerate(links) if link.moves == "turns y"),
        slider=slider,
        output_slider=names.index("output spline") if dimensions.output_spline else None,
        bearings=tuple(
            _hold(world, body, shaft, float(along), place)
            for shaft, along, place in zip(
                shafts, dimensions.pivots, dimensions.bearings, strict=False
            )
        ),
        pinion=(
            _hold(world, body, last, 0.0, pinion),
            _hold(world, body, last, ARM, pinion + ARM * axes[-1]),
        ),
    )


def output_frame(axis: Array) -> Array:
    """Return the frame of an output whose pin (Y) is horizontal, columns X Y Z, shape (3, 3)."""
    right = np.array([0.0, 1.0, 0.0])
    pin = unit(right - (right @ axis) * axis)
    return np.stack([axis, pin, np.cross(axis, pin)], axis=-1)


def _bodies(world: Engine, links: Sequence[Link], place: Array, frame: Array) -> int:
    """Create the tree, without brakes, damping or the engine's speed limit."""
    count = len(links)
    turn = {"turns x": [1, 0, 0], "turns y": [0, 1, 0], "turns z": [0, 0, 1], "slides": [1, 0, 0]}
    cross = [link.moves == "turns y" for link in links]
    body = world.createMultiBody(
        0,
        -1,
        -1,
        place.tolist(),
        _quaternion(frame),
        linkMasses=[0.1 if small else 1.0 for small in cross],
        linkCollisionShapeIndices=[-1] * count,
        linkVisualShapeIndices=[-1] * count,
        linkPositions=[[link.along, 0.0, 0.0] for link in links],
        linkOrientations=[[np.sin(x / 2), 0, 0, np.cos(x / 2)] for x in (k.clocked for k in links)],
        linkInertialFramePositions=[[0.0, 0.0, 0.0]] * count,
        linkInertialFrameOrientations=[[0.0, 0.0, 0.0, 1.0]] * count,
        linkParentIndices=list(range(count)),  # counted from 1: the base is 0
        linkJointTypes=[
            world.JOINT_PRISMATIC if link.moves == "slides" else world.JOINT_REVOLUTE
            for link in links
        ],
        linkJointAxis=[turn[link.moves] for link in links],
    )
    for n, small in enumerate(cross):
        # Alone in its call: damping in the same call would send it to the base.
        inertia = [1e-4] * 3 if small else [5e-3, 5e-2, 5e-2]
        world.changeDynamics(body, n, localInertiaDiagonal=inertia)
        world.setJointMotorControl2(body, n, world.VELOCITY_CONTROL, force=0)
        _check_link(world, body, n, inertia)
    world.changeDynamics(body, -1, linearDamping=0.0, angularDamping=0.0, maxJointVelocity=FASTEST)
    return int(body)


def _check_link(world: Engine, body: int, n: int, inertia: list[float]) -> None:
    """Read back that link n hangs on the one before it and took its inertia."""
    parent = world.getJointInfo(body, n)[16]
    held = world.getDynamicsInfo(body, n)[2]
    if parent != n - 1 or not np.allclose(held, inertia, rtol=1e-12):
        raise EngineError(
            f"the engine hangs link {n} on link {parent} with inertia {held} kg m²; "
            f"link {n - 1} and {inertia} were asked"
        )


def _hold(world: Engine, body: int, link: int, along: float, place: Array) -> Held:
    """Hold a point of a link in space."""
    number = world.createConstraint(
        body,
        link,
        -1,
        -1,
        world.JOINT_POINT2POINT,
        [0, 0, 0],
        [along, 0.0, 0.0],
        place.tolist(),
    )
    world.changeConstraint(number, maxForce=STRONG)
    return Held(constraint=int(number), link=link, along=along)


def _quaternion(frame: Array) -> list[float]:
    """Return a rotation as x, y, z, w."""
    from scipy.spatial.transform import Rotation

    quaternion: Array = Rotation.from_matrix(frame).as_quat()
    return [float(q) for q in quaternion]
