"""From a valid set-up to a Configuration: SI, radians, the vehicle's axes.

The set-up gives the structure (kinds, numbers, choices); every number comes from ``values``.
Only arithmetic that broadcasts is done with it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from sim.scene import parts
from sim.scene.build_axle import end, suspension, travel
from sim.scene.build_joint import joint, stroke
from sim.scene.hung import Setup
from sim.scene.parts import NO_TORQUE, Vector
from sim.scene.quantity import Quantity
from sim.scene.serving import duties, torsion
from sim.scene.values import Values, plain

# From memory of materials handbooks; only the default mass of a shaft uses it [kg/m³].
DENSITY = {"steel": 7850.0, "aluminum": 2700.0}
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


def build_configuration(
    setup: Setup,
    values: Mapping[str, Any],
    *,
    name: str,
    about: str = "",
    like: str = "",
    differences: tuple[str, ...] = (),
    cut_as: parts.Configuration | None = None,
    readings: Mapping[str, parts.Reading] | None = None,
) -> parts.Configuration:
    """Return the configuration of a set-up.

    Args:
        setup: The set-up, which gives the structure.
        values: Value of every reading by its path [SI unit]; numbers, or arrays of samples that
            broadcast with each other.
        name: Name of the configuration [text].
        about: What its author says of it [text].
        like: Name of the configuration that it starts from [text].
        differences: What it changes, in words.
        cut_as: The configuration whose shafts, already cut, it carries.
        readings: The readings that stand behind the values.

    Returns:
        The configuration, with what was derived added to its readings.
    """
    v = Values(values)
    vehicle = _vehicle(v)
    output, pinion = end(v, setup, "output"), end(v, setup, "pinion")
    bearings = tuple(_bearing(v, n) for n in sorted(setup.bearing))
    centers = joint_centers(output.point, bearings, pinion.point)
    shafts = tuple(_shaft(v, setup, n, centers) for n in sorted(setup.shaft))
    joints = tuple(joint(v, setup, n, shafts) for n in range(1, len(shafts) + 2))
    return parts.Configuration(
        name=name,
        about=about,
        differences=differences,
        vehicle=vehicle,
        output=output,
        pinion=pinion,
        axle=v.place("axle"),
        suspension=suspension(v, setup),
        travel=travel(v, setup),
        torque_cases=_torque_cases(v, setup, vehicle),
        full_travel_speed=_full_travel_speed(v, setup, vehicle),
        obstacles=tuple(_obstacle(v, setup, n) for n in setup.obstacle),
        limits=_limits(v, setup),
        series=setup.series,
        shafts=shafts,
        bearings=bearings,
        joints=joints,
        spline=_spline(v, setup, joints),
        output_spline=_output_spline(v, setup),
        cut_as=cut_as,
        readings={**(readings or {}), **v.derived},
        like=like,
        setup=setup,
        duties=duties(v, setup),
        torsion=torsion(v),
        complaints=tuple(_complaint(v, setup, n) for n in setup.complaint),
    )


def joint_centers(
    output: Vector, bearings: Sequence[parts.Bearing], pinion: Vector
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


def case_names(setup: Setup) -> tuple[str, ...]:
    """Return the names of the torque cases, "no torque" first.

    Args:
        setup: The set-up.

    Returns:
        Names: no torque, the derived ones whose inputs are known, and those written.
    """
    written, known = set(setup.torque_case), setup.vehicle
    if "hard launch" in written:
        written.add("pull-away")  # half of it
    derived = (
        name
        for name, needed in DERIVED_CASES.items()
        if name in written or all(getattr(known, key) is not None for key in needed)
    )
    return tuple(dict.fromkeys((NO_TORQUE, *derived, *setup.torque_case)))


def _vehicle(v: Values) -> parts.Vehicle:
    at = {key: v.get(f"vehicle.{key}") for key in parts.Vehicle.__dataclass_fields__}
    at["tire_circumference"] = v.derive(
        "vehicle.tire_circumference",
        ROLLING * at["tire_radius"],
        "6.44 times tire_radius, ± 2 %",
    )
    at["track"] = v.get("axle.track")
    return parts.Vehicle(**at)


def _bearing(v: Values, number: str) -> parts.Bearing:
    path = f"bearing.{number}"
    return parts.Bearing(
        point=v.place(path),
        to_joint=v[f"{path}.to_joint"],
        skew=v[f"{path}.skew"],
        radial=v[f"{path}.radial"],
        axial=v[f"{path}.axial"],
    )


def _shaft(v: Values, setup: Setup, number: str, centers: tuple[Vector, ...]) -> parts.Shaft:
    path, index = f"shaft.{number}", int(number)
    tube = parts.Tube(
        outside=v[f"{path}.tube.outside"],
        wall=v[f"{path}.tube.wall"],
        material=setup.shaft[number].tube.material,
        yield_stress=v.get(f"{path}.tube.yield_stress"),
    )
    area = math.pi / 4 * (tube.outside**2 - tube.inside**2)
    length = np.linalg.norm(centers[index] - centers[index - 1], axis=-1)
    mass = v.derive(
        f"{path}.mass", plain(area * length * DENSITY[tube.material] + YOKES), "tube and 6 kg"
    )
    return parts.Shaft(
        tube=tube,
        phase=v[f"{path}.phase"] + _assembly(v, setup, index),
        mass=mass,
        length=v.get(f"{path}.length"),
    )


def _off_by(v: Values, setup: Setup) -> Any:
    """Return how far from its index marks the spline was assembled [rad]."""
    off = v["spline.off_by"]
    in_teeth = setup.spline.off_by.unit in ("tooth", "teeth")
    return off * 2 * math.pi / v["spline.teeth"] if in_teeth else off


def _assembly(v: Values, setup: Setup, shaft: int) -> Any:
    """Return by how much the spline's assembly clocks a shaft [rad].

    A stub behind a bearing clocks the shaft that carries it, a spline inside a shaft that shaft,
    a spline on the output none: there the whole chain turns.
    """
    last = len(setup.shaft)
    clocked = {"output": 0, "midship": last - 1, "shaft": last}[setup.spline.at]
    return _off_by(v, setup) if shaft == clocked else 0.0


def _spline(v: Values, setup: Setup, joints: Sequence[parts.Joint]) -> parts.Spline:
    teeth = setup.spline.teeth
    return parts.Spline(
        at=setup.spline.at,
        **stroke(v, joints),
        shorter=v.get("spline.shorter"),
        teeth=int(teeth.value) if teeth is not None else None,
        off_by=_off_by(v, setup),
        diameter=v.get("spline.diameter"),
        coating=setup.spline.coating,
    )


def _output_spline(v: Values, setup: Setup) -> parts.OutputSpline | None:
    if setup.output_spline is None:
        return None
    return parts.OutputSpline(gap=v["output_spline.gap"], engaged=v["output_spline.engaged"])


def _torque_cases(v: Values, setup: Setup, vehicle: parts.Vehicle) -> tuple[parts.TorqueCase, ...]:
    cases = []
    for name in case_names(setup):
        written: Quantity | None = setup.torque_case.get(name)
        torque = v.get(f"torque_case.{name}")
        if name == NO_TORQUE:
            torque = 0.0
        in_shaft = written is not None and written.tail == "at the shaft"
        move = f"output_move.{name}"
        cases.append(
            parts.TorqueCase(
                name=name,
                wheel_torque=None if in_shaft else torque,
                shaft_torque=torque if in_shaft else None,
                output_move=(
                    v.signed(move, "aft", "forward"),
                    v.signed(move, "right", "left"),
                    v.signed(move, "up", "down"),
                ),
                output_tip=v.signed(move, "tips_up", "tips_down"),
                road_speed=_speed(v, setup, name, vehicle),
            )
        )
    return tuple(cases)


def _speed(v: Values, setup: Setup, name: str, vehicle: parts.Vehicle) -> Any:
    """Return the road speed written for a torque case [m/s], or None."""
    written = setup.road_speed.get(name)
    if written is None:
        return None
    speed = v[f"road_speed.{name}"]
    if written.unit != "rpm":
        return speed
    return speed / (2 * math.pi) * vehicle.tire_circumference / vehicle.axle_ratio


def _full_travel_speed(v: Values, setup: Setup, vehicle: parts.Vehicle) -> Any:
    """Return the road speed at full droop and full bump [m/s]."""
    written = _speed(v, setup, FULL_TRAVEL, vehicle)
    if written is not None:
        return written
    return v.derive(f"road_speed.{FULL_TRAVEL}", FULL_TRAVEL_SPEED, "50 km/h", "assumed")


def _obstacle(v: Values, setup: Setup, name: str) -> parts.Obstacle:
    path, written = f"obstacle.{name}", setup.obstacle[name]
    return parts.Obstacle(
        name=name,
        start=v.place(f"{path}.from"),
        end=v.place(f"{path}.to"),
        pipe=v.get(f"{path}.pipe"),
        moves=v[f"{path}.moves"],
        rides_on=written.rides_on,
        kind=written.kind,
        least_clearance=v.get(f"{path}.least_clearance"),
    )


def _complaint(v: Values, setup: Setup, name: str) -> parts.Complaint:
    path, written = f"complaint.{name}", setup.complaint[name]
    return parts.Complaint(
        name=name,
        speed=v[f"{path}.speed"],
        frequency=v.get(f"{path}.frequency"),
        spread=0.0 if written.frequency is None else written.frequency.spread,
        when=written.when,
        load=written.load,
    )


def _limits(v: Values, setup: Setup) -> parts.Limits:
    keys = [key for key in parts.Limits.__dataclass_fields__ if key != "set_by_shop"]
    return parts.Limits(
        set_by_shop=frozenset(setup.limits.model_fields_set),
        **{key: v.get(f"limits.{key}") for key in keys},
    )
