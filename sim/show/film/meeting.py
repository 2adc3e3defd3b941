"""The whirl moment: the road speed at which a shaft bows, and how far each layout does there.

Twice per turn the joints, once per turn what is out of balance, shake a shaft; where that meets a
bending mode of its tube, the tube bows.  One rule chooses the speed, one formula says how far each
layout bows at it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim.arrays import Array
from sim.measure.measurements import Measurements
from sim.measure.whirl.crossings import Crossing, road_speed
from sim.measure.whirl.whirl import WhirlMode

LOSS = 0.02
"""Loss factor of a tube with its joints and spline [-]: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bow:
    """How one driveline bends in the moment.

    Attributes:
        mode: The bending mode that it is nearest to.
        meets_at: Road speed at which the order of the moment meets that mode [m/s].
        met: Whether that is the moment's own road speed.
        size: How far it bends, as a multiple of what the same force, not moving, would bend it [-].
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
    bending mode of any layout.

    Args:
        measured: Measurements of the layouts that are compared.
    """
    found = [crossing for one in measured for crossing in _of_tubes(one)]
    if not found:
        return None
    first = min(found, key=lambda crossing: crossing.road_speed)
    bows = tuple(_bow(one, first.order, first.road_speed) for one in measured)
    return Meeting(road_speed=first.road_speed, order=first.order, bows=bows)


def _of_tubes(measured: Measurements) -> list[Crossing]:
    """Return the crossings at which a tube bends, not a bearing on its rubber."""
    whirl = measured.whirl
    return [c for c in whirl.crossings if whirl.modes[c.mode - 1].kind == "bending"]


def _bow(measured: Measurements, order: int, speed: float) -> Bow:
    """Return how a driveline bends at a road speed, in the bending mode that swells most there."""
    vehicle = measured.configuration.vehicle
    bending = [mode for mode in measured.whirl.modes if mode.kind == "bending"]
    meets = [road_speed(vehicle, mode.frequency / order) for mode in bending]
    sizes = [swelling(speed / at) for at in meets]
    k = int(np.argmax(sizes))
    return Bow(mode=bending[k], meets_at=meets[k], met=meets[k] == speed, size=sizes[k])


def swelling(ratio: float) -> float:
    r"""Return how many times as far a mode swings as it would be bent by a force that stands still.

    .. math:: \left|1 - r^2 + j \eta\right|^{-1}

    Of the speed over that at which the mode is met, r [-]; loss factor η.

    Source:
        Any text on vibrations: one degree of freedom with structural damping.
    """
    return float(1 / abs(1 - ratio**2 + 1j * LOSS))


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
