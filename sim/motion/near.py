"""The axle near a posture that is known: many samples of one state, each with its own geometry.

Following every sample from ride height would take a hundred times as long; the root of the state
as it was read lies a fraction of a degree away.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.motion.frames import rotation_y
from sim.motion.leaf import LeafPosture
from sim.motion.leaf_links import LeafPose, ThreeLinks, three_links
from sim.motion.links import links_near
from sim.motion.request import Request
from sim.motion.roll import roll_about_middle, roll_on_springs
from sim.motion.suspension import AxlePosture, axle_posture
from sim.scene.parts import Configuration, LeafSprings, Links

Array = NDArray[np.float64]
ITERATIONS = 8  # of the secant method, at most
SETTLED = 1e-6  # [rad]; the next error is the product of the last two
FLAT = 1e-10  # [rad]; so small a move says nothing of the stiffness
LOOSE = 1e-5  # [rad]; a sample that has not settled within this has no balance


@dataclass(frozen=True, slots=True, eq=False)
class Samples(Request):
    """Many samples of one state: what cannot be reached is marked, not refused.

    Attributes:
        lost: Samples that cannot be reached, shape (S,); filled as the posture is sought.
    """

    lost: NDArray[np.bool_] = field(default_factory=lambda: np.zeros(0, bool))

    def refuse_where(self, wrong: ArrayLike, reason: object) -> None:
        """Mark the samples that are wrong."""
        self.lost[:] |= np.asarray(wrong, bool)


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """The posture of the state as it was read: turn, wrap [rad] and aft place of the axle [m]."""

    turn: float
    wrap: float
    aft: float


def samples_at(
    configuration: Configuration, travel: ArrayLike, roll: ArrayLike, wheel_torque: ArrayLike
) -> Samples:
    """Return samples of one state; arguments broadcast over the samples of the configuration."""
    count = len(np.atleast_2d(configuration.output.point))
    rows = [np.broadcast_to(np.asarray(a, float), count) for a in (travel, roll, wheel_torque)]
    return Samples(configuration, rows[0], rows[1], rows[2], lost=np.zeros(count, bool))


def axle_near(request: Samples, known: Known, parked: Array | None = None) -> AxlePosture:
    """Return the axle of every sample.

    Args:
        request: Samples of one state.
        known: Posture of the state as it was read.
        parked: Turn of the axle on leaf springs without torque at the same travel [rad], (S,),
            where it is at hand.

    Returns:
        Postures to 1e-8 rad; samples that cannot be reached are marked in the request.
    """
    suspension = request.configuration.suspension
    match suspension:
        case LeafSprings():
            posture = _leaf(request, suspension, known, parked)
            if request.roll.any():
                center, rotation = roll_on_springs(request, suspension, posture)
            else:
                center, rotation = _level(request, posture)
            return AxlePosture(center=center, rotation=rotation, wrap=posture.wrap)
        case Links():
            return _links(request, suspension, known)
        case _:
            return axle_posture(request)


def _level(request: Samples, posture: LeafPosture) -> tuple[Array, Array]:
    """Return center and rotation of an axle that does not roll."""
    height = request.configuration.axle[..., 2] + request.travel
    center = np.stack([posture.aft[:, 0], np.zeros_like(height), height], axis=-1)
    return center, rotation_y(posture.turn)


def _links(request: Samples, links: Links, known: Known) -> AxlePosture:
    """Return the axle on links, closed from the known posture."""
    aft, turn = links_near(request, links, known.aft, known.turn - known.wrap)
    wrap = request.wheel_torque / links.wind_up
    axle = request.configuration.axle
    side, height = np.broadcast_to(axle[..., 1], aft.shape), axle[..., 2] + request.travel
    rotation = roll_about_middle(request, rotation_y(turn + wrap))
    return AxlePosture(center=np.stack([aft, side, height], axis=-1), rotation=rotation, wrap=wrap)


def _leaf(
    request: Samples, springs: LeafSprings, known: Known, parked: Array | None
) -> LeafPosture:
    """Return the axle on leaf springs."""
    balance = _Balance.of(request, springs)
    if parked is None:
        parked = balance.root(request, known.turn - known.wrap)
    if not request.wheel_torque.any():
        slope = parked
    elif springs.wind_up is not None:
        slope = parked + request.wheel_torque / springs.wind_up
    else:
        loaded = replace(
            balance,
            torque=request.wheel_torque,
            control=springs.wrap_control,
            relaxed=parked,
        )
        slope = loaded.root(request, known.turn)
    pose = balance.pose(slope)
    balance.mark(request, pose)
    aft = np.broadcast_to(pose.aft, (2, len(slope)))
    return LeafPosture(turn=slope, wrap=slope - parked, aft=aft.T)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Balance:
    """The balance of torques about the axle's pitch axis in every sample, see ``leaf``."""

    links: ThreeLinks
    height: Array  # of the axle center at each spring [m], (1, S) level or (2, S)
    torque: Array | float  # at the wheels [N m]
    radius: Array | float  # of the tires [m]
    control: Array | float  # stiffness of a traction bar [N m/rad]
    relaxed: Array | float  # slope at which the bar is free [rad]

    @classmethod
    def of(cls, request: Samples, springs: LeafSprings) -> _Balance:
        """Return the balance without torque."""
        configuration: Configuration = request.configuration
        height = configuration.axle[..., 2] + request.travel
        if request.roll.any():
            side = 0.5 * springs.spacing * np.sin(request.roll)
            height = np.stack([height - side, height + side])
        else:
            height = height[None]
        return cls(
            links=three_links(springs, configuration.axle),
            height=height,
            torque=0.0,
            radius=configuration.vehicle.tire_radius,
            control=0.0,
            relaxed=0.0,
        )

    def root(self, request: Samples, near: float) -> Array:
        """Return the slope of every sample in balance, by the secant method [rad], (S,)."""
        stiff = 2 * (self.links.stiffness[0] + self.links.stiffness[1]) + self.control
        before = np.full(self.height.shape[-1], near)
        surplus = self._surplus(before)
        slope = before - surplus / stiff
        stable = np.ones_like(slope, bool)
        for _ in range(ITERATIONS):
            here = self._surplus(slope)
            moved, gained = slope - before, here - surplus
            flat = np.abs(moved) < FLAT
            stable = np.where(flat, stable, gained * moved > 0)
            change = np.where(flat, 0.0, -here * moved / np.where(flat, 1.0, gained))
            before, surplus, slope = slope, here, slope + change
            worst = np.abs(change)
            if worst.max(initial=0.0) < SETTLED:
                break
        request.lost[:] |= (worst > LOOSE) | ~stable
        return np.asarray(slope)

    def pose(self, slope: Array) -> LeafPose:
        """Return both springs at the slopes of their samples."""
        return self.links.pose(self.height, slope)

    def mark(self, request: Samples, pose: LeafPose) -> None:
        """Mark samples in which an arm cannot reach or the shackle cannot hold."""
        links = self.links
        least, most = np.abs(links.rear_arm - links.shackle), links.rear_arm + links.shackle
        wrong = (pose.arm_reach >= 1) | (pose.span >= most) | (pose.span <= least)
        request.lost[:] |= wrong.any(axis=0)

    def _surplus(self, slope: Array) -> Array:
        """Return the torque that turns the seat back [N m], (S,), 0 in balance."""
        pose = self.links.pose(self.height, slope)
        springs = 2 / len(self.height)
        hinges = springs * self.links.hinge_torque(pose).sum(axis=0)
        bar = self.control * (slope - self.relaxed)
        thrust = self.torque / self.radius
        surplus = hinges + bar - self.torque + thrust * pose.aft_slope.mean(axis=0)
        return np.asarray(surplus)
