"""[bearing.N]: center bearings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim.scene.allowed import In
from sim.scene.keys import FlagKey, default, need
from sim.scene.places import Point
from sim.scene.structure import Structure
from sim.scene.tables.vehicle import row
from sim.scene.values import Values, Vector
from sim.units import ANGLE, LENGTH, SPRING_RATE

FREE_TRAVEL = 0.005  # of a bearing's rubber [m]; common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bearing:
    """A center bearing at the rear end of the shaft with its number."""

    point: Vector  # its center [m], (3,)
    to_joint: float  # from its center aft to the joint behind it [m]
    skew: float  # bracket out of square, top view [rad]
    radial: float  # stiffness of its rubber across the shaft [N/m]
    axial: float  # the same along it
    free_travel: float = FREE_TRAVEL  # how far its rubber gives before it is on its stop [m]
    planned: bool = False  # whether its place is one on paper, that the shafts never weighed on


class BearingKeys(Point):
    """A center bearing; it carries the rear end of the shaft with its number."""

    to_joint = need(
        In(LENGTH, "0 to 500 mm", "115 ± 1 mm", "40 to 300 mm"),
        "Bearing center to the center of the joint behind it.",
    ).also("stub to_yoke")
    skew = default("0 deg", In(ANGLE, "0 to 20 deg", "6 deg"), "Bracket out of square, top view.")
    radial = default(
        "80 N/mm ± 60 %",
        In(SPRING_RATE, "5 to 5000 N/mm", "80 N/mm ± 50 %", "15 to 1000 N/mm"),
        "Stiffness of its rubber, up and down.",
    ).also("rate stiffness spring_rate")
    axial = default(
        "30 N/mm ± 60 %",
        In(SPRING_RATE, "2 to 5000 N/mm", "30 N/mm ± 50 %", "5 to 500 N/mm"),
        "Stiffness of its rubber, fore and aft.",
    )
    free_travel = default(
        "5 mm",
        In(LENGTH, "0.5 to 50 mm", "6 mm", "2 to 20 mm"),
        "How far its rubber gives, to either side, before it is on its stop.",
    ).also("stop play bump_stop")
    planned = FlagKey(
        "Whether its height is planned on paper; the shafts then sag below it by their weight.",
        left_out="read with the shafts in, weight and all",
    ).also("paper drawn designed")


def bearing(v: Values, s: Structure, number: int) -> Bearing:
    """Return a center bearing."""
    path, planned = f"bearing.{number}", number in s.planned
    numbers = row(v, path, Bearing, ("point", "planned", "free_travel"))
    travel = v.derive(f"{path}.free_travel", FREE_TRAVEL, "5 mm", "assumed")
    return Bearing(point=v.place(path), planned=planned, free_travel=travel, **numbers)


def joint_centers(
    output: Vector, bearings: Sequence[Bearing], pinion: Vector
) -> tuple[Vector, ...]:
    """Return the joint centers at ride height [m], each (..., 3), from the front."""
    centers = [output]
    for bearing in bearings:
        along = bearing.point - centers[-1]
        axis = along / np.maximum(np.linalg.norm(along, axis=-1, keepdims=True), 1e-9)
        centers.append(bearing.point + np.asarray(bearing.to_joint)[..., None] * axis)
    return (*centers, pinion)
