"""The driveline put into the engine: a chain of bodies, closed by points held in space.

Only dimensions go into it (lengths, phases, places of bearings); where its joints stand at the
start follows from where the axes point.  Center bearings and the pinion are points held in space.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from sim.errors import EngineError
from sim.world.engine import Engine
from sim.world.tree import Dimensions, Link, couplings, output_frame, start, tree

Array = NDArray[np.float64]

STRONG = 1e9  # more than any force here [N or N m]
ARM = 0.3  # from a joint back to the point that holds the axis of pinion or coupling yoke [m]
ERP_OF_GEARS = 0.8
FASTEST = 1e5  # the engine caps joint speeds, by default at 100 [rad/s]


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
        joints: First link of every joint, which its driving pin turns with, from the front.
        slider: Link of the spline that follows the axle.
        output_slider: Link of the slip yoke on the output ahead of a bearing, or None.
        couplings: A point held on every coupling yoke that does not halve its joint's angle.
        bearings: The points held in the bearings.
        pinion: The two points held on the pinion axis, joint center first.
    """

    body: int
    members: tuple[int, ...]
    joints: tuple[int, ...]
    slider: int
    output_slider: int | None
    couplings: tuple[Held, ...]
    bearings: tuple[Held, ...]
    pinion: tuple[Held, Held]


def build(
    world: Engine,
    dimensions: Dimensions,
    *,
    axes: Array,
    slides: Array,
    pinion: Array,
    speed: float,
    yokes: Sequence[tuple[Array, Array]] = (),
) -> Driveline:
    """Put a driveline into an engine, standing as given and turning.

    Args:
        world: Engine whose time step is set (forces become impulses with it).
        dimensions: What it is cut to.
        axes: Axes of shafts and pinion at the start, shape (N + 1, 3).
        slides: Positions of the sliders at the start, from the front [m].
        pinion: Joint center of the pinion at the start [m], shape (3,).
        speed: Speed of the output [rad/s].
        yokes: Joint center [m] and axis of every coupling yoke that is held, from the front.

    Returns:
        The driveline.

    Raises:
        EngineError: If the engine numbers the bodies in another order.
    """
    links = tree(dimensions)
    frame = output_frame(dimensions.axis)
    body = _bodies(world, links, dimensions.output, frame)
    number = {link.name: n for n, link in enumerate(links)}
    members = tuple(number[name] for name in dimensions.members)
    joints = tuple(number[f"joint {k}"] for k in range(1, len(members)))
    for joint, behind, even in zip(joints, members[1:], dimensions.even, strict=True):
        if even:
            _gear(world, body, joint, behind)
    coupled = couplings(dimensions)
    aims = list(axes)
    for k, (_, axis) in reversed(list(zip(coupled, yokes, strict=True))):
        aims.insert(k - 1, axis)
    position, rate = start(links, frame, np.array(aims), slides, speed)
    for n in range(len(links)):
        world.resetJointState(body, n, position[n], rate[n])
    world.setJointMotorControl2(body, 0, world.VELOCITY_CONTROL, targetVelocity=speed, force=STRONG)
    held = zip(members[1:], dimensions.pivots, dimensions.bearings, strict=False)
    return Driveline(
        body=body,
        members=members,
        joints=joints,
        slider=number["output spline" if dimensions.spline == "output" else "spline"],
        output_slider=number["output spline"] if dimensions.output_spline else None,
        couplings=tuple(
            _hold(world, body, number[f"joint {k}, coupling yoke"], ARM, place + ARM * axis)
            for k, (place, axis) in zip(coupled, yokes, strict=True)
        ),
        bearings=tuple(_hold(world, body, n, float(along), place) for n, along, place in held),
        pinion=(
            _hold(world, body, members[-1], 0.0, pinion),
            _hold(world, body, members[-1], ARM, pinion + ARM * axes[-1]),
        ),
    )


def _bodies(world: Engine, links: Sequence[Link], place: Array, frame: Array) -> int:
    """Create the tree, without brakes, damping or the engine's speed limit."""
    count = len(links)
    turn = {"turns x": [1, 0, 0], "turns y": [0, 1, 0], "turns z": [0, 0, 1], "slides": [1, 0, 0]}
    small = [link.part not in ("member", "spline") for link in links]
    body = world.createMultiBody(
        0,
        -1,
        -1,
        place.tolist(),
        _quaternion(frame),
        linkMasses=[0.1 if tiny else 1.0 for tiny in small],
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
    for n, tiny in enumerate(small):
        # Alone in its call: damping in the same call would send it to the base.
        inertia = [5e-3] * 3 if tiny else [5e-3, 5e-2, 5e-2]
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


def _gear(world: Engine, body: int, first: int, last: int) -> None:
    """Make two joints of the body turn by the same angle."""
    number = world.createConstraint(
        body, first, body, last, world.JOINT_GEAR, [0, 1, 0], [0, 0, 0], [0, 0, 0]
    )
    world.changeConstraint(
        number, gearRatio=-1, relativePositionTarget=0, erp=ERP_OF_GEARS, maxForce=STRONG
    )


def _quaternion(frame: Array) -> list[float]:
    """Return a rotation as x, y, z, w."""
    quaternion: Array = Rotation.from_matrix(frame).as_quat()
    return [float(q) for q in quaternion]
