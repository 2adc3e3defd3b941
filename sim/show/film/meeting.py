"""The whirl moment: the road speed at which a shaft bows, and how far each layout does there.

Twice per turn the joints, once per turn what is out of balance, shake a shaft; where that meets a
bending mode of its tube, the tube bows.  One rule chooses the speed, one formula says how far each
layout bows at it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import tau

import numpy as np

from sim.arrays import Array
from sim.measure.measurements import Measurements
from sim.measure.shake.bending import TUBE_LOSS, bent_by_joints
from sim.measure.whirl.crossings import Crossing, road_speed
from sim.measure.whirl.whirl import WhirlMode
from sim.motion.frames import unit
from sim.motion.road_load import cruise_share
from sim.motion.solve import solve

LEAST = 1e-5  # [m]: joints that bend a tube by less do not make it bow; our own choice


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bow:
    """How one driveline bends in the moment.

    Attributes:
        mode: The bending mode in which it swings farthest.
        meets_at: Road speed at which the order of the moment meets that mode [m/s].
        met: Whether that is the moment's own road speed.
        size: How far it swings: twice per turn, by its joints in cruise [m]; once per turn, where
            nothing but chance says how far, as a multiple of what a force at rest would bend it.
    """

    mode: WhirlMode
    meets_at: float
    met: bool
    size: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Meeting:
    """What the moment shows.

    Attributes:
        road_speed: The one at which all layouts are shown [m/s].
        order: Times per turn of the shafts that they are shaken, 1 or 2.
        bows: One a layout.
    """

    road_speed: float
    order: int
    bows: tuple[Bow, ...]


def first_meeting(measured: Sequence[Measurements]) -> Meeting | None:
    """Return the lowest road speed at which a layout's tube bows, or None where none does.

    That is the lowest one, up to 1.2 times top speed, at which shake once or twice per turn meets a
    bending mode of any layout; twice per turn only where the joints bend it by 0.01 mm or more.

    Args:
        measured: Measurements of the layouts that are compared.
    """
    found = [(one, crossing) for one in measured for crossing in _of_tubes(one)]
    for one, crossing in sorted(found, key=lambda pair: pair[1].road_speed):
        order, speed = crossing.order, crossing.road_speed
        if order == 2 and _bow(one, order, speed).size < LEAST:
            continue
        bows = tuple(_bow(each, order, speed) for each in measured)
        return Meeting(road_speed=speed, order=order, bows=bows)
    return None


def _of_tubes(measured: Measurements) -> list[Crossing]:
    """Return the crossings at which a tube bends, not a bearing on its rubber."""
    whirl = measured.whirl
    return [c for c in whirl.crossings if whirl.modes[c.mode - 1].kind == "bending"]


def _bow(measured: Measurements, order: int, speed: float) -> Bow:
    """Return how a driveline bends at a road speed, in the bending mode that swings farthest."""
    vehicle = measured.configuration.vehicle
    modes = measured.whirl.modes
    meets = [road_speed(vehicle, mode.frequency / order) for mode in modes]
    sizes = _by_joints(measured, speed) if order == 2 else [swelling(speed / at) for at in meets]
    bending = [k for k, mode in enumerate(modes) if mode.kind == "bending"]
    k = max(bending, key=lambda k: sizes[k])
    return Bow(mode=modes[k], meets_at=meets[k], met=meets[k] == speed, size=float(sizes[k]))


def _by_joints(measured: Measurements, speed: float) -> Array:
    """Return how far the joints bend the shafts in every mode [m], cruising at a road speed."""
    configuration, vehicle = measured.configuration, measured.configuration.vehicle
    still = next(state for state in measured.states if state.situation == "ride height")
    cruising = [s for s in measured.states if s.situation == "cruise" and s.travel == still.travel]
    fast = cruising[0] if cruising else still
    share = float(cruise_share(configuration, np.array([speed]))[0, 0])
    idle, driven = solve(configuration, states=(still, fast)).axis[:, 0]
    return bent_by_joints(
        configuration,
        unit(idle + share * (driven - idle)),
        [critical.length for critical in measured.critical_speeds],
        share * fast.shaft_torque,
        tau * vehicle.axle_ratio * speed / vehicle.tire_circumference,
    )


def swelling(ratio: float) -> float:
    r"""Return how many times as far a mode swings as it would be bent by a force at rest.

    .. math:: \left|1 - r^2 + j \eta\right|^{-1}

    Of the speed over that at which the mode is met, r [-]; loss factor η.

    Source:
        Any text on vibrations: one degree of freedom with structural damping.
    """
    return float(1 / abs(1 - ratio**2 + 1j * TUBE_LOSS))


def shafts_of(mode: WhirlMode) -> list[tuple[Array, Array]]:
    """Return for every shaft its places as shares of its length, and the deflection there, (P,)."""
    # each hinge is there twice: once as the end of a shaft, once as the start of the next
    hinges = np.flatnonzero(np.diff(mode.place) == 0) + 1
    return [
        ((place - place[0]) / (place[-1] - place[0]), deflection)
        for place, deflection in zip(
            np.split(mode.place, hinges), np.split(mode.deflection, hinges), strict=True
        )
    ]
