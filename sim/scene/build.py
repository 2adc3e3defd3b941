"""From structure and values to parts: SI, radians, the vehicle's axes.

Only arithmetic that broadcasts is done with the values.
"""

from __future__ import annotations

import math
from collections.abc import Container, Mapping, Sequence
from typing import Any

import numpy as np

from sim.scene.build_joint import stroke
from sim.scene.materials import MATERIALS
from sim.scene.service import Duty, Torsion
from sim.scene.shaft_parts import Bearing, Joint, OutputSpline, Shaft, Spline, Tube, Vector
from sim.scene.structure import Structure
from sim.scene.values import Reading, Values, plain
from sim.scene.vehicle_parts import NO_TORQUE, Complaint, Limits, Obstacle, TorqueCase, Vehicle

YOKES = 6.0  # [kg], common practice, no source
ROLLING = (
    2 * math.pi * 1.025
)  # rolling circumference over loaded radius, common practice, no source
FULL_TRAVEL_SPEED = 50 / 3.6  # [m/s], common practice, no source
DERIVED_CASES = {
    "cruise": ("axle_load",),
    "pull-away": ("engine_torque", "first_gear", "axle_load"),
    "hard launch": ("engine_torque", "first_gear", "axle_load"),
    "engine braking": ("engine_torque", "first_gear"),
}
FULL_TRAVEL = "full travel"


def joint_centers(
    output: Vector, bearings: Sequence[Bearing], pinion: Vector
) -> tuple[Vector, ...]:
    """Return the joint centers at ride height, from the front.

    Args:
        output: Center of the first joint [m], shape (..., 3).
        bearings: Center bearings, each ahead of the joint that it carries.
        pinion: Center of the last joint [m], shape (..., 3).

    Returns:
        Joint centers [m], each of shape (..., 3).
    """
    centers = [output]
    for bearing in bearings:
        along = bearing.point - centers[-1]
        axis = along / np.linalg.norm(along, axis=-1, keepdims=True)
        centers.append(bearing.point + np.asarray(bearing.to_joint)[..., None] * axis)
    return (*centers, pinion)


def case_names(written: Sequence[str], known: Container[str]) -> tuple[str, ...]:
    """Return the names of the torque cases, "no torque" first.

    Args:
        written: Names of those that are written.
        known: Paths of the values that are known.

    Returns:
        Names: no torque, the derived ones whose inputs are known, and those written.
    """
    given = {*written, "pull-away"} if "hard launch" in written else written  # half of it
    derived = (
        name
        for name, needed in DERIVED_CASES.items()
        if name in given or all(f"vehicle.{key}" in known for key in needed)
    )
    return tuple(dict.fromkeys((NO_TORQUE, *derived, *written)))


def _row(v: Values, table: str, part: type, but: Sequence[str] = ()) -> dict[str, Any]:
    """Return the values of a table that are fields of a part; those typed None may be missing."""
    keys = {key: kind for key, kind in part.__annotations__.items() if key not in but}
    return {
        key: v.get(f"{table}.{key}") if "None" in kind else v[f"{table}.{key}"]
        for key, kind in keys.items()
    }


def vehicle(v: Values) -> Vehicle:
    """Return what plates and papers say."""
    at = _row(v, "vehicle", Vehicle, ("tire_circumference", "track"))
    at["tire_circumference"] = v.derive(
        "vehicle.tire_circumference",
        ROLLING * at["tire_radius"],
        "6.44 times tire_radius, ± 2 %",
    )
    at["track"] = v.get("axle.track")
    return Vehicle(**at)


def bearing(v: Values, number: int) -> Bearing:
    """Return a center bearing."""
    path = f"bearing.{number}"
    return Bearing(
        point=v.place(path),
        to_joint=v[f"{path}.to_joint"],
        skew=v[f"{path}.skew"],
        radial=v[f"{path}.radial"],
        axial=v[f"{path}.axial"],
    )


def shaft(v: Values, s: Structure, number: int, centers: Sequence[Vector]) -> Shaft:
    """Return a shaft between joint centers at ride height."""
    path = f"shaft.{number}"
    tube = Tube(
        outside=v[f"{path}.tube.outside"],
        wall=v[f"{path}.tube.wall"],
        material=s.tubes[number - 1],
        yield_stress=v.get(f"{path}.tube.yield_stress"),
    )
    area = math.pi / 4 * (tube.outside**2 - tube.inside**2)
    length = np.linalg.norm(centers[number] - centers[number - 1], axis=-1)
    density = MATERIALS[tube.material].density
    mass = v.derive(
        f"{path}.mass",
        plain(area * length * density + YOKES),
        f"tube and {v.display.mass.say(YOKES)}",
    )
    return Shaft(
        tube=tube,
        phase=v[f"{path}.phase"] + _assembly(v, s, number),
        mass=mass,
        length=v.get(f"{path}.length"),
    )


def _off_by(v: Values, s: Structure) -> Any:
    """Return how far from its index marks the spline was assembled [rad]."""
    off = v["spline.off_by"]
    in_teeth = s.is_taken("spline.off_by", "teeth")
    return off * 2 * math.pi / v["spline.teeth"] if in_teeth else off


def _assembly(v: Values, s: Structure, number: int) -> Any:
    """Return by how much the spline's assembly clocks a shaft [rad].

    A stub behind a bearing clocks the shaft that carries it, a spline inside a shaft that shaft,
    a spline on the output none: there the whole chain turns.
    """
    last = len(s.tubes)
    clocked = {"output": 0, "midship": last - 1, "shaft": last}[s.spline]
    return _off_by(v, s) if number == clocked else 0.0


def spline(v: Values, s: Structure, joints: Sequence[Joint]) -> Spline:
    """Return the spline that follows the axle."""
    teeth = v.get("spline.teeth")
    return Spline(
        at=s.spline,
        **stroke(v, joints),
        shorter=v.get("spline.shorter"),
        teeth=teeth if teeth is None or np.ndim(teeth) else int(teeth),
        off_by=_off_by(v, s),
        diameter=v.get("spline.diameter"),
        coating=s.coating,
    )


def output_spline(v: Values) -> OutputSpline | None:
    """Return the slip yoke on the output ahead of a bearing, or None."""
    if "output_spline.gap" not in v:
        return None
    return OutputSpline(gap=v["output_spline.gap"], engaged=v["output_spline.engaged"])


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
                    v.signed(move, "aft", "forward"),
                    v.signed(move, "right", "left"),
                    v.signed(move, "up", "down"),
                ),
                output_tip=v.signed(move, "tips_up", "tips_down"),
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


def obstacle(v: Values, s: Structure, name: str) -> Obstacle:
    """Return an obstacle."""
    path, (carrier, kind) = f"obstacle.{name}", s.obstacles[name]
    return Obstacle(
        name=name,
        start=v.place(f"{path}.from"),
        end=v.place(f"{path}.to"),
        pipe=v.get(f"{path}.pipe"),
        moves=v[f"{path}.moves"],
        rides_on=carrier,
        kind=kind,
        least_clearance=v.get(f"{path}.least_clearance"),
    )


def complaint(v: Values, s: Structure, name: str, readings: Mapping[str, Reading]) -> Complaint:
    """Return a complaint; its frequency keeps the ± of its reading."""
    path, (when, load) = f"complaint.{name}", s.complaints[name]
    read = readings.get(f"{path}.frequency")
    return Complaint(
        name=name,
        speed=v[f"{path}.speed"],
        frequency=v.get(f"{path}.frequency"),
        spread=read.spread if read else 0.0,
        when=when,
        load=load,
    )


def limits(v: Values, s: Structure) -> Limits:
    """Return the limits of the shop."""
    return Limits(set_by_shop=s.set_by_shop, **_row(v, "limits", Limits, ("set_by_shop",)))


def duties(v: Values, s: Structure) -> tuple[Duty, ...]:
    """Return the parts of the duty in the order written; none where there is no duty."""
    return tuple(
        Duty(
            name=name,
            share=v[f"duty.{name}.share"],
            case=case,
            height=height,
            road_speed=v.get(f"duty.{name}.road_speed"),
        )
        for name, (case, height) in s.duties.items()
    )


def torsion(v: Values) -> Torsion:
    """Return what the shafts twist between."""
    return Torsion(**_row(v, "torsion", Torsion))
