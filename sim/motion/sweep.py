"""The states that a configuration is looked at in, each with the road speed that belongs to it."""

from __future__ import annotations

import functools
from typing import Any

import numpy as np

from sim.errors import DomainError
from sim.motion.states import Situation, State
from sim.motion.torque import TorqueLoad, torque_loads
from sim.scene.parts import NO_TORQUE, Configuration, Height
from sim.scene.values import plain

SAME_HEIGHT = 1e-9  # [m]
FAST_SHARE = 0.5  # share of droop or bump up to which the vehicle is driven at top speed
RIDE_HEIGHT = Height(name="ride height", left=0.0, right=0.0)


def named_heights(configuration: Configuration) -> tuple[Height, ...]:
    """Return ride height, full droop, full bump, the scene's own heights, and parked low."""
    travel = configuration.travel
    if travel is None or configuration.suspension is None:
        return (RIDE_HEIGHT,)
    droop = Height(name="full droop", left=-travel.droop, right=-travel.droop)
    bump = Height(name="full bump", left=travel.bump, right=travel.bump)
    named = [RIDE_HEIGHT, droop, bump, *travel.heights]
    if travel.parked_low is not None:
        low = travel.parked_low
        named.append(
            Height(name="parked low", left=low, right=low, turning=False, cases=(NO_TORQUE,))
        )
    return tuple(named)


def sweep_states(configuration: Configuration, heights: int = 41) -> tuple[State, ...]:
    """Return every state: heights times torque cases, rolled at ride height, parked low.

    So many heights are spread evenly from full droop to full bump, at least 2; named ones come
    besides. They stand case by case from droop to bump; then rolled ones; then those that do not
    turn.

    Raises:
        DomainError: If wheels of a height differ and the vehicle's track is not known.
    """
    named = named_heights(configuration)
    turning = sorted(
        [h for h in named if h.turning] + _grid(configuration, named, heights),
        key=lambda h: h.left + h.right,
    )
    rolled, still = _rolled(configuration), [h for h in named if not h.turning]
    carried = {h: load_at(configuration, h) for h in {*turning, *rolled, *still}}
    over_travel = {h: speed_over_travel(configuration, h) for h in carried}
    loads = {load: torque_loads(configuration, load) for load in set(carried.values())}
    return tuple(
        _state(configuration, height, loads[carried[height]][number], over_travel[height])
        for group in (turning, rolled, still)
        for number, case in enumerate(configuration.torque_cases)
        for height in group
        if not height.cases or case.name in height.cases
    )


def load_at(configuration: Configuration, height: Height) -> Any:
    """Return the weight on the driven axle at a height [N], or None where nothing is known.

    At ride height it is that of the vehicle, at a height with a load that one. Anywhere else in the
    travel, where the vehicle goes loaded as well, it is the most of these.
    """
    own = configuration.vehicle.axle_load
    if height.axle_load is not None or height is RIDE_HEIGHT or own is None:
        return own if height.axle_load is None else height.axle_load
    return most_load(configuration)


def most_load(configuration: Configuration) -> Any:
    """Return the most weight on the driven axle at any height [N], or None where none is known."""
    heights = () if configuration.travel is None else configuration.travel.heights
    loads = (configuration.vehicle.axle_load, *(h.axle_load for h in heights))
    known = [load for load in loads if load is not None]
    return plain(functools.reduce(np.maximum, known)) if known else None


def _state(
    configuration: Configuration, height: Height, load: TorqueLoad, over_travel: float
) -> State:
    """Return the state of a height under a torque, its road speed found."""
    return State(
        height=height.name,
        case=load.name,
        travel=(height.left + height.right) / 2,
        roll=roll_at(configuration, height),
        wheel_torque=load.wheel_torque,
        shaft_torque=load.shaft_torque,
        turning=height.turning,
        road_speed=road_speed(load, over_travel) if height.turning else 0.0,
        situation=_situation(configuration, height, load),
        axle_load=height.axle_load,
    )


def _situation(configuration: Configuration, height: Height, load: TorqueLoad) -> Situation:
    """Return what a height under a torque is to a rule."""
    if not height.turning:
        return "parked"
    loaded = configuration.travel is not None and height in configuration.travel.heights
    stands = height.left == height.right and (loaded or height.name == RIDE_HEIGHT.name)
    if load.kind == "no torque":
        return ("loaded" if loaded else "ride height") if stands else "travel"
    return load.kind if stands else "extreme"


def _grid(configuration: Configuration, named: tuple[Height, ...], count: int) -> list[Height]:
    """Return evenly spread heights without a name, less those that have one."""
    travel = configuration.travel
    if travel is None or configuration.suspension is None:
        return []
    level = [h.left for h in named if h.left == h.right and h.turning]
    spread = np.linspace(-travel.droop, travel.bump, count)
    return [
        Height(name="", left=float(z), right=float(z))
        for z in spread
        if all(abs(z - known) > SAME_HEIGHT for known in level)
    ]


def _rolled(configuration: Configuration) -> list[Height]:
    """Return ride height with the axle rolled to either side, as wheel travels."""
    travel = configuration.travel
    if travel is None or configuration.suspension is None or travel.roll == 0:
        return []
    rise = _track(configuration, RIDE_HEIGHT.name) / 2 * float(np.sin(travel.roll))
    return [
        Height(name=RIDE_HEIGHT.name, left=-side * rise, right=side * rise) for side in (1.0, -1.0)
    ]


def roll_at(configuration: Configuration, height: Height) -> Any:
    """Return the roll of the axle at a height [rad], right side up positive."""
    if np.all(height.left == height.right):
        return 0.0
    track = _track(configuration, height.name)
    share = (height.right - height.left) / track
    if np.any(np.abs(share) >= 1):
        raise DomainError(f'height "{height.name}": the wheels differ by more than the track')
    return plain(np.arcsin(share))


def _track(configuration: Configuration, height: str) -> float:
    """Return the track [m]; it must be known."""
    if configuration.vehicle.track is None:
        raise DomainError(f'height "{height}" is rolled; then vehicle.track must be known')
    return configuration.vehicle.track


def road_speed(load: TorqueLoad, over_travel: Any) -> Any:
    """Return the highest road speed of a turning state [m/s]: its torque's, or its height's."""
    return plain(np.where(np.isinf(load.road_speed), over_travel, load.road_speed))


def speed_over_travel(configuration: Configuration, height: Height) -> Any:
    """Return the highest road speed at a height where torque does not decide [m/s].

    Top speed within half of the travel, falling evenly to the speed of full travel, the wheel
    nearer to its stop deciding: common practice, no source.
    """
    top, travel, share = configuration.vehicle.top_speed, configuration.travel, 0.0
    if travel is None:
        return top
    for wheel in (height.left, height.right):
        whole = np.where(np.asarray(wheel) > 0, travel.bump, travel.droop)
        gone = np.abs(wheel) / np.where(whole > 0, whole, np.inf)
        share = np.maximum(share, np.minimum(gone, 1.0))
    fall = np.maximum(0.0, (share - FAST_SHARE) / (1 - FAST_SHARE))
    return top + fall * (np.minimum(configuration.full_travel_speed, top) - top)
