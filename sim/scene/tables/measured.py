"""[suspension] with kind = "measured": any axle, followed through readings."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar, Literal

import numpy as np

from sim.scene.allowed import In
from sim.scene.keys import choice, default, need, optional
from sim.scene.places import PLAN, SLOPE, STIFFNESS, Point
from sim.scene.structure import Structure
from sim.scene.table import NamedKey, Table, numbered
from sim.scene.tables.ends import end, to_frame, turned, turned_angles, wedge
from sim.scene.values import Values, Vector, vector
from sim.units import LENGTH


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MeasuredAxle:
    """Any axle, followed through readings of the pinion joint at two or more heights."""

    on_frame: ClassVar[bool] = False
    travel: Vector  # axle travel of each reading [m], rising, with 0 among them; shape (R,)
    point: Vector  # pinion joint center at each [m], (R, 3)
    slope: Vector  # pinion slope at each [rad], (R,)
    plan: Vector  # pinion plan angle at each [rad], (R,)
    wind_up: float  # wheel torque per turn of the pinion [N m/rad]


class JackedKeys(Point):
    """The pinion joint, measured at another height."""

    bump = optional(
        In(LENGTH, "1 to 400 mm", "70 ± 3 mm"), "Axle raised by this.", "one of the two is needed"
    )
    droop = optional(
        In(LENGTH, "1 to 400 mm", "110 ± 3 mm"), "Axle lowered by this.", "one of the two is needed"
    )
    slope = need(SLOPE, "Slope of the pinion at that height.")
    plan_angle = optional(PLAN, "Top view angle at that height.", "that of [pinion]")
    NEEDS = (*Point.NEEDS, "bump")


class MeasuredKeys(Table):
    """Any axle, followed through readings at other heights; ride height is [pinion] itself."""

    kind = choice(Literal["measured"], "The axle is followed through readings.")
    reading: NamedKey[dict[str, JackedKeys]] = numbered(
        JackedKeys, "Readings, numbered from 1.", needed=True
    )
    wind_up = default(
        "1500 N m/deg ± 60 %", STIFFNESS, "Torque at the wheels that turns the pinion by a degree."
    )


def measured(v: Values, s: Structure) -> MeasuredAxle:
    """Return the readings in order of travel, ride height among them; a wedge turns them all."""
    ride = end(v, s, "pinion")
    turn, center = wedge(v), v.place("axle")
    rows: list[tuple[Any, Vector, Any, Any]] = [(0.0, ride.point, ride.slope, ride.plan)]
    for path in (f"suspension.reading.{number}" for number in range(1, 10)):
        if f"{path}.slope" not in v:
            continue
        travel = v.signed(f"{path}.bump", needed=True)
        point = v.place(path)
        slope, plan = to_frame(v, s, path)
        if turn is not None:
            about = center + vector(0.0, 0.0, travel)
            point = about + turned(point - about, turn)
            slope, plan = turned_angles(slope, plan, turn)
        rows.append((travel, point, slope, plan))
    rows.sort(key=lambda row: float(np.mean(row[0])))
    travels, points, slopes, plans = zip(*rows, strict=True)
    return MeasuredAxle(
        travel=_stack(travels),
        point=np.stack(np.broadcast_arrays(*points), axis=-2),
        slope=_stack(slopes),
        plan=_stack(plans),
        wind_up=v["suspension.wind_up"],
    )


def _stack(column: tuple[Any, ...]) -> Vector:
    """Return a column of values that broadcast, rows last."""
    return np.stack(np.broadcast_arrays(*(np.asarray(x, float) for x in column)), axis=-1)
