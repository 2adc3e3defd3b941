"""Torque cases: what reaches wheels and shaft, given or derived, with every default said."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import tau
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike

from sim.errors import DomainError
from sim.motion.road_load import (
    AIR_DENSITY,
    ROLLING_RESISTANCE,
    WEIGHT_OVER_AXLE_LOAD,
    drag_area,
    road_load,
)
from sim.scene.parts import NO_TORQUE, Configuration, TorqueCase
from sim.scene.values import plain

Basis = Literal["given", "derived", "default"]
Kind = Literal["no torque", "overrun", "cruise", "pull-away", "hard launch"]
DRIVES: tuple[Kind, ...] = ("cruise", "pull-away", "hard launch")

# Common practice, no source.
TRANSMISSION_EFFICIENCY = 0.92
AXLE_EFFICIENCY = 0.96
CRUISE_SHARE = 0.10  # of hard launch, if nothing is known
PULL_AWAY_SHARE = 0.5  # of hard launch; our proposal
BRAKING_SHARE = 0.2  # of the engine's torque
BRAKING_GRIP = 0.8  # of what the tires hold without load transfer
PULLED_AWAY = 40 / 3.6  # [m/s], up to which an everyday pull-away lasts; our proposal

NO_SOURCE = "common practice, no source"
AXLE_WORDS = f"axle efficiency {AXLE_EFFICIENCY} ({NO_SOURCE})"


@dataclass(frozen=True, slots=True, kw_only=True)
class TorqueLoad:
    """One torque case with its torques."""

    name: str  # as in "hard launch"
    kind: Any  # what a torque of this size is to the vehicle, whatever its name; to each of many
    wheel_torque: float  # both wheels together [N m], drive positive; winds a live axle up
    shaft_torque: float  # in the shaft [N m]
    road_speed: Any  # highest road speed under it [m/s], inf where the height decides
    # what the engine gives in first gear, high range [N m], or None
    engine_limited_shaft: float | None
    tire_limited_wheel: float | None  # what the tires hold [N m], or None
    basis: Basis  # "given" in the scene, "derived" from the vehicle, or "default"
    words: tuple[str, ...]  # plain statements of every default used


@dataclass(frozen=True, slots=True)
class _Derived:
    """A wheel torque [N m] and how it came about."""

    wheel_torque: float
    basis: Basis
    words: tuple[str, ...]


def torque_loads(configuration: Configuration, axle_load: Any = None) -> tuple[TorqueLoad, ...]:
    """Return the torques of every torque case, with a load on the axle [N] or that of the vehicle.

    Raises:
        DomainError: If a case without torque has a name from which none can be derived.

    Source:
        Limits from statics; factors from common practice, no source.
    """
    if axle_load is not None:
        vehicle = replace(configuration.vehicle, axle_load=axle_load)
        configuration = replace(configuration, vehicle=vehicle)
    launch = _launch(configuration)
    return tuple(_load(configuration, case, launch) for case in configuration.torque_cases)


def shaft_torque(configuration: Configuration, wheel_torque: ArrayLike) -> Any:
    """Return what a torque at the wheels, both together [N m], is in the shaft [N m]."""
    return wheel_torque / _per_shaft(configuration.vehicle.axle_ratio, wheel_torque)


def engine_limited_shaft(configuration: Configuration) -> float | None:
    """Return what the engine gives to the shaft in first gear, high range [N m], or None."""
    vehicle = configuration.vehicle
    if vehicle.engine_torque is None or vehicle.first_gear is None:
        return None
    gears = vehicle.first_gear * vehicle.converter
    return vehicle.engine_torque * gears * TRANSMISSION_EFFICIENCY


def tire_limited_wheel(configuration: Configuration) -> float | None:
    """Return what the tires hold at the wheels on a hard launch [N m], or None."""
    vehicle = configuration.vehicle
    if vehicle.axle_load is None:
        return None
    load = vehicle.axle_load * (1 + vehicle.load_transfer)
    return vehicle.tire_grip * load * vehicle.tire_radius


def top_gear_wheel(configuration: Configuration) -> float | None:
    """Return what the engine holds at the wheels in top gear [N m], or None."""
    vehicle = configuration.vehicle
    if vehicle.engine_torque is None:
        return None
    ratio = vehicle.top_gear * vehicle.axle_ratio
    return vehicle.engine_torque * ratio * TRANSMISSION_EFFICIENCY * AXLE_EFFICIENCY


def _load(configuration: Configuration, case: TorqueCase, launch: _Derived) -> TorqueLoad:
    """Return one torque case with its torques, beside what a hard launch brings."""
    found = _given(configuration, case) or _derive(configuration, case, launch)
    shaft = case.shaft_torque
    if shaft is None:
        shaft = shaft_torque(configuration, found.wheel_torque)
    kind = _kind(configuration, case, found.wheel_torque, launch.wheel_torque)
    return TorqueLoad(
        name=case.name,
        kind=kind,
        road_speed=_road_speed(configuration, case, kind, found.wheel_torque),
        wheel_torque=found.wheel_torque,
        shaft_torque=shaft,
        engine_limited_shaft=engine_limited_shaft(configuration),
        tire_limited_wheel=tire_limited_wheel(configuration),
        basis=found.basis,
        words=found.words,
    )


def _given(configuration: Configuration, case: TorqueCase) -> _Derived | None:
    """Return the wheel torque that a case gives, or None."""
    if case.wheel_torque is not None:
        words = (AXLE_WORDS,) if np.any(case.wheel_torque) else ()
        return _Derived(case.wheel_torque, "given", words)
    if case.shaft_torque is not None:
        ratio = _per_shaft(configuration.vehicle.axle_ratio, case.shaft_torque)
        return _Derived(case.shaft_torque * ratio, "given", (AXLE_WORDS,))
    return None


def _per_shaft(ratio: Any, torque: Any) -> Any:
    """Return wheel torque over shaft torque: the axle loses toward where the power flows."""
    return ratio * AXLE_EFFICIENCY ** np.sign(torque)


def _derive(configuration: Configuration, case: TorqueCase, launch: _Derived) -> _Derived:
    """Derive the wheel torque of a case that the scene leaves open."""
    known: dict[str, Callable[[], _Derived]] = {
        NO_TORQUE: lambda: _Derived(0.0, "given", ()),
        "cruise": lambda: _cruise(configuration, case),
        "pull-away": lambda: _pull_away(launch),
        "hard launch": lambda: launch,
        "engine braking": lambda: _engine_braking(configuration),
    }
    if case.name not in known:
        raise DomainError(
            f'torque case "{case.name}" has no torque; only {", ".join(known)} can be derived'
        )
    return known[case.name]()


def _hard_launch(configuration: Configuration) -> _Derived:
    """Return the smaller of what the engine gives and what the tires hold."""
    vehicle = configuration.vehicle
    engine, tires = engine_limited_shaft(configuration), tire_limited_wheel(configuration)
    words = []
    limits = []
    if engine is not None:
        limits.append(engine * vehicle.axle_ratio * AXLE_EFFICIENCY)
        words.append(f"transmission efficiency {TRANSMISSION_EFFICIENCY} ({NO_SOURCE})")
        words.append(AXLE_WORDS)
        if np.mean(vehicle.low_range) != 1.0:
            low = np.mean(vehicle.low_range)
            words.append(f"high range; low range would give {low:g} times the torque")
    if tires is not None:
        limits.append(tires)
        added = "share of the axle load that a hard launch adds"
        words += _assumed(configuration, "tire_grip", "tire grip", vehicle.tire_grip)
        words += _assumed(configuration, "load_transfer", added, vehicle.load_transfer)
    if not limits:
        return _Derived(0.0, "default", ("no engine torque and no axle load known: no torque",))
    return _Derived(_least(*limits), "derived", tuple(words))


def _pull_away(launch: _Derived) -> _Derived:
    """Return half of what a hard launch brings."""
    share = f"half of hard launch ({NO_SOURCE})"
    basis: Basis = "default" if launch.basis == "default" else "derived"
    return _Derived(PULL_AWAY_SHARE * launch.wheel_torque, basis, (share, *launch.words))


def _launch(configuration: Configuration) -> _Derived:
    """Return the hard launch of a configuration, as its scene gives it or derived."""
    written = (case for case in configuration.torque_cases if case.name == "hard launch")
    case = next(written, None)
    given = None if case is None else _given(configuration, case)
    return given or _hard_launch(configuration)


def _kind(configuration: Configuration, case: TorqueCase, torque: Any, launch: Any) -> Any:
    """Return what a torque at the wheels [N m] is to the vehicle: by its name, else by its size.

    The size is held against that of a hard launch [N m].
    """
    driven: Any = case.name
    if driven not in DRIVES:
        top = top_gear_wheel(configuration)
        light = torque <= (CRUISE_SHARE * launch if top is None else top)
        gentle = np.where(torque <= PULL_AWAY_SHARE * launch, "pull-away", "hard launch")
        driven = np.where(light, "cruise", gentle)
    kinds = np.where(torque == 0, "no torque", np.where(torque < 0, "overrun", driven))
    return kinds if kinds.ndim else str(kinds)


def _road_speed(configuration: Configuration, case: TorqueCase, kind: Any, torque: Any) -> Any:
    """Return the highest road speed under a torque at the wheels, inf where the height decides.

    That is without torque, with cruise torque, or with what the engine drags in top gear. With
    more: first gear at cut-off; an everyday pull-away lasts up to 40 km/h. Never more than top
    speed. A speed that the case gives is used as it is [m/s].

    Source:
        First gear at cut-off is an upper bound; the rest is common practice, no source.
    """
    if case.road_speed is not None:
        return case.road_speed
    vehicle, top = configuration.vehicle, top_gear_wheel(configuration)
    fast = (kind == "no torque") | (kind == "cruise")
    if case.name != "engine braking" and top is not None:  # engine braking is in first gear
        fast = fast | (kind == "overrun") & (np.abs(torque) <= BRAKING_SHARE * top)
    if vehicle.engine_cut_off is None or vehicle.first_gear is None:
        first = configuration.full_travel_speed
    else:
        turns = vehicle.engine_cut_off / vehicle.first_gear / vehicle.axle_ratio / tau  # of a wheel
        first = turns * vehicle.tire_circumference
    held = np.where(kind == "pull-away", PULLED_AWAY, np.inf)
    geared = np.minimum(np.minimum(first, vehicle.top_speed), held)
    return plain(np.where(fast, np.inf, geared))


def _cruise(configuration: Configuration, case: TorqueCase) -> _Derived:
    """Return the torque that road load asks for on the level at top speed."""
    vehicle = configuration.vehicle
    if vehicle.axle_load is None:
        launch = _hard_launch(configuration)
        share = f"cruise torque taken as {CRUISE_SHARE:.2f} of hard launch ({NO_SOURCE})"
        return _Derived(CRUISE_SHARE * launch.wheel_torque, "default", (share, *launch.words))
    car, area = configuration.on_frame, drag_area(configuration)
    speed = vehicle.top_speed if case.road_speed is None else case.road_speed
    force = road_load(configuration, vehicle.axle_load, speed)
    words = (
        f"rolling resistance {ROLLING_RESISTANCE}, air {AIR_DENSITY} kg/m³ ({NO_SOURCE})",
        f"drag area {area} m², as of a {'car' if car else 'light truck'} ({NO_SOURCE})",
        f"vehicle weight {WEIGHT_OVER_AXLE_LOAD:g} times the axle load ({NO_SOURCE})",
        f"on the level at {'top speed' if case.road_speed is None else 'the road speed given'}",
        AXLE_WORDS,
    )
    return _Derived(force * vehicle.tire_radius, "derived", words)


def _engine_braking(configuration: Configuration) -> _Derived:
    """Return the drag of the engine in first gear, not beyond what the tires hold."""
    vehicle, tires = configuration.vehicle, tire_limited_wheel(configuration)
    if vehicle.engine_torque is None or vehicle.first_gear is None:
        return _Derived(0.0, "default", ("no engine torque or first gear known: no torque",))
    torque = BRAKING_SHARE * vehicle.engine_torque * vehicle.first_gear * vehicle.axle_ratio
    drag = f"engine drag {BRAKING_SHARE} of its highest torque, in first gear ({NO_SOURCE})"
    words = [drag, AXLE_WORDS]
    held = np.inf if tires is None else BRAKING_GRIP / (1 + vehicle.load_transfer) * tires
    if np.any(torque > held):
        torque = _least(torque, held)
        words.append(f"held to {BRAKING_GRIP} of what the tires grip ({NO_SOURCE})")
    return _Derived(-torque, "derived", tuple(words))


def _least(*torques: Any) -> Any:
    """Return the least of some torques, sample by sample where they are samples."""
    return plain(np.minimum.reduce(np.broadcast_arrays(*torques)))


def _assumed(configuration: Configuration, key: str, what: str, value: float) -> tuple[str, ...]:
    """Return the words for a vehicle value that the scene does not give."""
    reading = configuration.readings.get(f"vehicle.{key}")
    if reading is not None and reading.status != "assumed":
        return ()
    return (f"{what} {np.mean(value):g} ({NO_SOURCE})",)
