"""[torque_case], [output_move], [road_speed]: torques by name, and what belongs to each."""

from __future__ import annotations

import math
from collections.abc import Container, Sequence
from dataclasses import dataclass
from typing import Any

from sim.scene.allowed import In
from sim.scene.keys import optional
from sim.scene.places import MOVE, TIP
from sim.scene.structure import Structure
from sim.scene.table import Table
from sim.scene.tables.vehicle import Vehicle
from sim.scene.values import Values
from sim.units import STATE_SPEED, TORQUE

NO_TORQUE = "no torque"  # name of the torque case that is always looked at, standing or rolling
FULL_TRAVEL, FULL_TRAVEL_SPEED = "full travel", 50 / 3.6  # [m/s], common practice, no source
DERIVED_CASES = {
    "cruise": ("axle_load",),
    "pull-away": ("engine_torque", "first_gear", "axle_load"),
    "hard launch": ("engine_torque", "first_gear", "axle_load"),
    "engine braking": ("engine_torque", "first_gear"),
}
WRITTEN_TORQUE = In(
    TORQUE,
    "-200000 to 200000 N m",
    "6058 N m at the wheels",
    tails=("at the wheels", "at the shaft"),
)
WRITTEN_SPEED = In(STATE_SPEED, "1 to 320 km/h", "50 km/h", apart=(1.0, 2000.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class TorqueCase:
    """A named torque as the scene gives it; ``motion.torque`` turns it into loads."""

    name: str  # as in "hard launch"
    wheel_torque: float | None = None  # both wheels together [N m], drive positive, or None
    shaft_torque: float | None = None  # in the shaft [N m]; with both None it is derived
    output_move: tuple[float, float, float] = (0.0, 0.0, 0.0)  # (aft, right, up) [m]
    output_tip: float = 0.0  # how its slope changes [rad]
    # road speed that belongs to it [m/s], or None: then the travel and the torque decide
    # (``motion.sweep``)
    road_speed: float | None = None


class OutputMoveKeys(Table):
    """How the output moves on its mounts under a torque case."""

    aft = optional(MOVE, "It moves aft.", "0 mm")
    forward = optional(MOVE, "It moves forward.", "0 mm")
    right = optional(MOVE, "It moves to the right.", "0 mm")
    left = optional(MOVE, "It moves to the left.", "0 mm")
    up = optional(MOVE, "It moves up.", "0 mm")
    down = optional(MOVE, "It moves down.", "0 mm")
    tips_up = optional(TIP, "Its front end tips up.", "0 deg")
    tips_down = optional(TIP, "Its front end tips down.", "0 deg")


def case_names(written: Sequence[str], known: Container[str]) -> tuple[str, ...]:
    """Return "no torque", the derived torque cases whose inputs are known, and those written."""
    given = {*written, "pull-away"} if "hard launch" in written else written  # half of it
    derived = (
        name
        for name, needed in DERIVED_CASES.items()
        if name in given or all(f"vehicle.{key}" in known for key in needed)
    )
    return tuple(dict.fromkeys((NO_TORQUE, *derived, *written)))


def torque_cases(v: Values, s: Structure, vehicle: Vehicle) -> tuple[TorqueCase, ...]:
    """Return the torque cases, "no torque" first."""
    cases = []
    for name in case_names(s.torque_cases, v):
        torque = v.get(f"torque_case.{name}")
        if name == NO_TORQUE:
            torque = 0.0
        in_shaft = s.is_taken(f"torque_case.{name}", "at the shaft")
        move = f"output_move.{name}"
        cases.append(
            TorqueCase(
                name=name,
                wheel_torque=None if in_shaft else torque,
                shaft_torque=torque if in_shaft else None,
                output_move=(
                    v.signed(f"{move}.aft"),
                    v.signed(f"{move}.right"),
                    v.signed(f"{move}.up"),
                ),
                output_tip=v.signed(f"{move}.tips_up"),
                road_speed=_speed(v, s, name, vehicle),
            )
        )
    return tuple(cases)


def _speed(v: Values, s: Structure, name: str, vehicle: Vehicle) -> Any:
    """Return the road speed written for a torque case [m/s], or None."""
    speed = v.get(f"road_speed.{name}")
    if speed is None or not s.is_taken(f"road_speed.{name}", "rpm"):
        return speed
    return speed / (2 * math.pi) * vehicle.tire_circumference / vehicle.axle_ratio


def full_travel_speed(v: Values, s: Structure, vehicle: Vehicle) -> Any:
    """Return the road speed at full droop and full bump [m/s]."""
    written = _speed(v, s, FULL_TRAVEL, vehicle)
    if written is not None:
        return written
    return v.derive(
        f"road_speed.{FULL_TRAVEL}",
        FULL_TRAVEL_SPEED,
        v.display.speed.say(FULL_TRAVEL_SPEED),
        "assumed",
    )
