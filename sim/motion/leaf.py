"""Leaf springs as three links each: front half, axle, rear half, on eye and shackle.

Each half acts as a rigid arm hinged near the seat; hinge springs carry the load, and the wheel
torque winds the axle up against them.  The axle's height is given; its slope is the one at which
hinges, wheel torque and thrust are in balance.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.motion.leaf_links import LeafPose, ThreeLinks, three_links
from sim.motion.request import Request
from sim.scene.parts import LeafSprings

Array = NDArray[np.float64]
STEPS = 20  # from ride height, travel and torque raised together
ITERATIONS = 30  # of Newton's method, at most
CLOSE = 1e-4  # [rad]; the next error is its square
SETTLED = 1e-12  # [rad]
NUDGE = 1e-7  # [rad] for the derivative of the balance


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LeafPosture:
    """Seat turn and wrap [rad], shape (S,), and the axle's aft place at either spring [m], (S, 2).

    The first spring is the left one.
    """

    turn: Array
    wrap: Array
    aft: Array


@dataclass(frozen=True, slots=True, eq=False)
class _Balance:
    """The balance of torques about the axle's pitch axis, for given heights and torques."""

    links: ThreeLinks
    height: Array  # of the axle center at either spring [m], (S, 2)
    torque: Array  # at the wheels [N m], (S,)
    thrust: Array  # at the axle center [N], (S,)
    control: float  # stiffness of a traction bar [N m/rad]
    relaxed: Array  # slope at which the bar is free [rad], (S,)

    def newton(self, slope: Array) -> tuple[Array, Array, LeafPose]:
        """Return the next slope, the stiffness of the balance at this one, and its pose."""
        here, pose = self._surplus(slope)
        stiffness = (self._surplus(slope + NUDGE)[0] - here) / NUDGE
        safe = np.where(stiffness > 0, stiffness, np.inf)  # an unstable slope stays where it is
        return slope - here / safe, stiffness, pose

    def _surplus(self, slope: Array) -> tuple[Array, LeafPose]:
        """Return the torque that turns the seat back [N m], (S,), 0 in balance; and the pose."""
        pose = self.links.pose(self.height, slope[:, None])
        hinges = self.links.hinge_torque(pose).sum(axis=-1)
        bar = self.control * (slope - self.relaxed)
        return hinges + bar - self.torque + self.thrust * pose.aft_slope.mean(axis=-1), pose


def leaf_posture(request: Request, springs: LeafSprings) -> LeafPosture:
    """Return how the axle sits on its leaf springs.

    Args:
        request: Travel, roll and wheel torque of every state.
        springs: Both springs.

    Returns:
        Seat turn, wrap and the axle's aft place at either spring.

    Raises:
        GeometryError: If an arm cannot reach, a shackle cannot close or goes over center, or the
            axle rolls over.

    Source:
        Arms of three quarters: SAE HS-788 (from memory); the balance is derived in
        DEVELOPERS.md, leaf springs.
    """
    axle = request.configuration.axle
    links = three_links(springs, axle)
    side = np.array([-0.5, 0.5]) * springs.spacing
    rise = request.travel[:, None] + side * np.sin(request.roll)[:, None]
    rest = np.zeros_like(request.travel)
    parked = _settle(request, links, rise, rest, 0.0, rest)
    if springs.wind_up is not None:
        slope = parked + request.wheel_torque / springs.wind_up
        _refuse_impossible(request, links, links.pose(axle[2] + rise, slope[:, None]))
    elif request.wheel_torque.any():
        wound = _settle(request, links, rise, request.wheel_torque, springs.wrap_control, parked)
        slope = np.where(request.wheel_torque == 0, parked, wound)
    else:
        slope = parked
    pose = links.pose(axle[2] + rise, slope[:, None])
    return LeafPosture(turn=slope, wrap=slope - parked, aft=pose.aft)


def _settle(
    request: Request,
    links: ThreeLinks,
    rise: Array,
    torque: Array,
    control: float,
    relaxed: Array,
) -> Array:
    """Follow the balance from ride height to the wanted heights and torques; return the slopes."""
    configuration = request.configuration
    radius = configuration.vehicle.tire_radius
    before = slope = np.zeros_like(torque)
    for step in range(1, STEPS + 1):
        share = step / STEPS
        balance = _Balance(
            links=links,
            height=configuration.axle[2] + share * rise,
            torque=share * torque,
            thrust=share * torque / radius,
            control=control,
            relaxed=share * relaxed,
        )
        guess = 2 * slope - before
        before, slope = slope, _iterate(request, balance, guess, last=step == STEPS)
    return slope


def _iterate(request: Request, balance: _Balance, slope: Array, *, last: bool) -> Array:
    """Run Newton's method at one step; refuse what cannot be."""
    for _ in range(ITERATIONS):
        following, stiffness, pose = balance.newton(slope)
        change, slope = np.abs(following - slope), following
        if change.max() < (SETTLED if last else CLOSE):
            break
    _refuse_impossible(request, balance.links, pose)
    request.refuse_where(
        (stiffness <= 0) | (change > (1e3 * SETTLED if last else CLOSE)),
        lambda s: (
            "the axle rolls over: the springs hold no balance against the wheel torque; "
            + request.look_at(s, "suspension.rate", "suspension.wind_up")
        ),
    )
    return slope


def _refuse_impossible(request: Request, links: ThreeLinks, pose: LeafPose) -> None:
    """Refuse poses in which an arm cannot reach or the shackle cannot hold."""
    request.refuse_where(
        (pose.arm_reach >= 1).any(axis=-1),
        lambda s: (
            "the front half of the spring folds over its eye; "
            + request.look_at(s, "suspension.front_half", "suspension.wind_up")
        ),
    )
    least, most = abs(links.rear_arm - links.shackle), links.rear_arm + links.shackle
    request.refuse_where(
        ((pose.span >= most) | (pose.span <= least)).any(axis=-1),
        lambda s: (
            "the shackle cannot close, or goes over center: its pivot and the rear hinge of the "
            f"spring come to {_off(pose.span[s], most) * 1e3:.0f} mm apart, rear arm and shackle "
            f"span {least * 1e3:.0f} mm to {most * 1e3:.0f} mm; "
            + request.look_at(s, "suspension.shackle", "suspension.rear_half")
        ),
    )


def _off(span: Array, most: float) -> float:
    """Return the span that is out of reach: the longest if too long, else the shortest."""
    return float(span.max() if span.max() >= most else span.min())
