"""The balance of torques about the pitch axis of an axle on leaf springs, and its slope.

One design is followed from ride height; many start from a design near by.  The same last steps
polish both.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from sim.arrays import Array, Index, Marks
from sim.motion.leaf_links import LeafPose, ThreeLinks
from sim.motion.request import Request

Found = tuple[Array, Array]  # slope [rad] and stiffness of the balance there [N m/rad]
STEPS = 20  # from ride height, travel and torque raised together
ITERATIONS = 30  # of Newton's method, at most
CLOSE = 1e-4  # [rad]; the next error is its square
NUDGE = 1e-7  # [rad] for the derivative of the balance
POLISHES = 8  # of the secant method, at most
SETTLED = 1e-11  # [rad²]; the next error is about the product of the last two
FLAT = 1e-10  # [rad]; so small a move says nothing of the stiffness
LOOSE = 1e-5  # [rad]; what has not settled within this has no balance


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Load:
    """What winds the axle up: nothing, or the torque at the wheels against a traction bar.

    What a spring carries beyond its rate gives its hinges a torque more.
    """

    torque: Any = 0.0  # [N m]
    thrust: Any = 0.0  # at the axle center [N]
    control: Any = 0.0  # stiffness of a traction bar [N m/rad]
    relaxed: Any = 0.0  # slope at which the bar is free [rad]
    hinges: tuple[Any, Any] = (0.0, 0.0)  # front and rear, of each spring [N m]

    def share(self, share: float) -> Load:
        """Return a share of the load."""
        return Load(
            torque=share * self.torque,
            thrust=share * self.thrust,
            control=self.control,
            relaxed=share * self.relaxed,
            hinges=(share * self.hinges[0], share * self.hinges[1]),
        )

    def part(self, states: Marks | Index) -> Load:
        """Return the load in some states."""
        return Load(
            torque=self.torque[states] if np.ndim(self.torque) else self.torque,
            thrust=self.thrust[states] if np.ndim(self.thrust) else self.thrust,
            control=self.control,
            relaxed=self.relaxed[states] if np.ndim(self.relaxed) else self.relaxed,
            hinges=tuple(h[:, :, states] if np.ndim(h) else h for h in self.hinges),
        )


@dataclass(frozen=True, slots=True, eq=False)
class Balance:
    """The balance of torques about the axle's pitch axis, for given heights and loads."""

    links: ThreeLinks
    # of the axle center at each spring [m], one for both or two; then an axis for slopes that are
    # tried together, 1; then the rows
    height: Array
    load: Load

    def newton(self, slope: Array) -> tuple[Array, Array, LeafPose]:
        """Return the next slope, the stiffness of the balance at this one, and both poses."""
        (here, beside), pose = self.surplus(np.stack([slope, slope + NUDGE]))
        stiffness = (beside - here) / NUDGE
        safe = np.where(stiffness > 0, stiffness, np.inf)  # an unstable slope stays where it is
        return slope - here / safe, stiffness, pose

    def surplus(self, slope: Array) -> tuple[Array, LeafPose]:
        """Return the torque that turns the seat back at slopes [N m], 0 in balance; the poses."""
        load, pose = self.load, self.links.pose(self.height, slope)
        hinges = 2 / len(self.height) * self.links.hinge_torque(pose, load.hinges).sum(axis=0)
        bar = load.control * (slope - load.relaxed)
        thrust = load.thrust * pose.aft_slope.mean(axis=0)
        return np.asarray(hinges + bar - load.torque + thrust), pose

    def part(self, states: Marks | Index) -> Balance:
        """Return the balance in some states."""
        return Balance(self.links, self.height[:, :, states], self.load.part(states))


def hinges_of(links: ThreeLinks) -> Any:
    """Return the stiffness of all hinges of both springs [N m/rad]."""
    return 2 * (links.stiffness[0] + links.stiffness[1])


def settle(request: Request, balance: Balance, start: Found | None) -> Found:
    """Return the slopes in balance and the stiffness there, from a design near by or followed."""
    return _polish(request, balance, *(start or _follow(request, balance)))


def _follow(request: Request, balance: Balance) -> Found:
    """Follow the balance from ride height to the wanted heights and loads."""
    ride = request.configuration.axle[..., 2]
    slope = move = change = np.zeros_like(request.travel)
    for step in range(1, STEPS + 1):
        share = step / STEPS
        height = ride + share * (balance.height - ride)
        here = Balance(balance.links, height, balance.load.share(share))
        found, stiffness = _iterate(request, here, slope + move + change)
        change = found - slope - move if step > 1 else change
        move, slope = found - slope, found
    return slope, stiffness


def _iterate(request: Request, balance: Balance, slope: Array) -> Found:
    """Run Newton's method at one step; refuse what cannot be."""
    for _ in range(ITERATIONS):
        following, stiffness, pose = balance.newton(slope)
        change, slope = np.abs(following - slope), following
        if change.max() < CLOSE:
            break
    refuse_impossible(request, balance.links, pose)
    _refuse_loose(request, (stiffness <= 0) | ~(change <= CLOSE))
    return slope, stiffness


def _polish(request: Request, balance: Balance, slope: Array, stiffness: Array) -> Found:
    """Run the secant method from slopes near by, at which the stiffness is known.

    A state in which every design has settled is left out of the next step.
    """
    (surplus,), _ = balance.surplus(slope[None])
    change = -surplus / stiffness
    found, stiff = np.empty_like(change), np.empty_like(change)
    loose = np.empty(change.shape, bool)
    states, rest = np.arange(len(change)), tuple(range(1, change.ndim))
    for _ in range(POLISHES):
        last, before, slope = change, surplus, slope + change
        (surplus,), _ = balance.surplus(slope[None])
        flat = np.abs(last) < FLAT
        steep = (surplus - before) / np.where(flat, 1.0, last)
        stiffness = np.where(flat, stiffness, steep)
        stable = stiffness > 0
        change = np.where(stable, -surplus / np.where(stable, stiffness, 1.0), 0.0)
        found[states], stiff[states] = slope + change, stiffness
        loose[states] = ~stable | ~(np.abs(change) <= LOOSE)
        left = ~(np.abs(change * last) < SETTLED).all(axis=rest)
        if not left.any():
            break
        if not left.all():
            states, balance = states[left], balance.part(left)
            change, surplus, slope, stiffness = (
                rows[left] for rows in (change, surplus, slope, stiffness)
            )
    _refuse_loose(request, loose)
    return found, stiff


def _refuse_loose(request: Request, wrong: Marks) -> None:
    """Refuse what has no balance."""
    request.refuse_where(
        wrong,
        lambda s: (
            "the axle rolls over: the springs hold no balance against the wheel torque; "
            + request.look_at(s, "suspension.rate", "suspension.wind_up")
        ),
    )


def refuse_impossible(request: Request, links: ThreeLinks, pose: LeafPose) -> None:
    """Refuse poses in which an arm cannot reach or the shackle cannot hold."""
    every = tuple(range(pose.span.ndim - request.travel.ndim))  # springs, and slopes tried
    request.refuse_where(
        (pose.arm_reach >= 1).any(axis=every),
        lambda s: (
            "the front half of the spring folds over its eye; "
            + request.look_at(s, "suspension.front_half", "suspension.wind_up")
        ),
    )
    least, most = np.abs(links.rear_arm - links.shackle), links.rear_arm + links.shackle
    request.refuse_where(
        ((pose.span >= most) | (pose.span <= least)).any(axis=every),
        lambda s: (
            "the shackle cannot close, or goes over center: its pivot and the rear hinge of the "
            f"spring come to {request.say(_off(pose.span[..., s], most))} apart, rear arm and "
            f"shackle span {request.say(least)} to {request.say(most)}; "
            + request.look_at(s, "suspension.shackle", "suspension.rear_half")
        ),
    )


def _off(span: Array, most: float) -> float:
    """Return the span that is out of reach: the longest if too long, else the shortest."""
    return float(span.max() if span.max() >= most else span.min())
