"""[frame], [output], [pinion], [axle]: where the driveline begins and ends, at ride height."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from sim.scene.allowed import In
from sim.scene.keys import Problem, default, need, optional
from sim.scene.places import MOVE, SLOPE, TIP, UPRIGHT, WIDTH, Point, SidePoint, plan_angle
from sim.scene.structure import Structure
from sim.scene.table import Table, TableKey
from sim.scene.values import Values, Vector, plain, vector
from sim.units import ANGLE

TURNED = In(ANGLE, "0 to 20 deg", "1.5 deg")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class End:
    """The output or the pinion at ride height, at rest: a joint center, an axis pointing aft."""

    point: Vector  # joint center [m], (3,)
    slope: float  # inclination of the axis to the frame plane [rad], front end high positive
    plan: float  # top-view angle of the axis [rad], positive to the right toward the rear


class FrameKeys(Table):
    """How the truck stood while it was measured."""

    slope = need(
        In(ANGLE, "-10 to 10 deg", "-1.2 ± 0.1 deg", "-5 to 5 deg", tails=("to level",)),
        "Slope of the frame rail, read with a level; front end high is positive.",
    ).also("angle pitch rake")


class AsDesignedKeys(Table):
    """What the maker's drawing says of the output, to check the readings with."""

    up = optional(UPRIGHT, "Height above the datum.", "not known, or down is written")
    down = optional(UPRIGHT, "Depth below the datum, instead of up.", "see up")
    slope = optional(SLOPE, "Slope of the output axis.", "not known")


class OutputKeys(Point):
    """Center of the first joint, on the transmission or transfer case."""

    slope = need(SLOPE, "Slope of the output axis; front end high is positive.").also("angle")
    plan_angle = plan_angle()
    moves = default("5 mm", MOVE, "How far it may move on its mounts, to any side.")
    tips = default("0.3 deg", TIP, "How far its slope may change as it moves on its mounts.")
    as_designed: TableKey[AsDesignedKeys | None] = TableKey(
        AsDesignedKeys,
        "Height and slope by the maker's drawing, to check the readings with.",
        left_out="not known",
    )


class PinionKeys(Point):
    """Center of the last joint, at ride height."""

    slope = need(SLOPE, "Slope of the pinion axis before any wedge; nose up is positive.").also(
        "angle"
    )
    plan_angle = plan_angle()
    nose_up = optional(
        TURNED,
        "Wedge or turned seats, put in after slope was read or still to be put in: the housing "
        "turns nose up about the axle center.",
        "0 deg",
    ).also("wedge shim")
    nose_down = optional(TURNED, "The same, nose down; instead of nose_up.", "0 deg")
    slope_on_wedge = optional(
        SLOPE, "Slope read again with the wedge in, to check it with.", "not read"
    )

    def check(self) -> Iterator[Problem]:
        """Refuse a slope read on a wedge that is not there."""
        read = self.slope_on_wedge
        if read is not None and self.nose_up is None and self.nose_down is None:
            said = f" is {read.text}, but there is no wedge; write nose_up or nose_down"
            yield ("slope_on_wedge",), said


class AxleKeys(SidePoint):
    """Center of the axle, at ride height."""

    track = optional(WIDTH, "Distance of the tire centers, left to right.", "not known")


def turned(along: Vector, angle: Any) -> Vector:
    """Return vectors (..., 3) turned nose up [rad] about the vehicle's right axis."""
    c, s = np.cos(angle), np.sin(angle)
    x, y, z = along[..., 0], along[..., 1], along[..., 2]
    return vector(c * x + s * z, y, c * z - s * x)


def axis_at(slope: Any, plan: Any) -> Vector:
    """Return the axis (..., 3) of a slope and a plan angle [rad]."""
    return vector(np.cos(slope) * np.cos(plan), np.cos(slope) * np.sin(plan), -np.sin(slope))


def turned_angles(slope: Any, plan: Any, turn: Any) -> tuple[Any, Any]:
    """Return slope and plan angle [rad] of an axis that is turned nose up [rad]."""
    x, y, z = np.moveaxis(turned(axis_at(slope, plan), turn), -1, 0)
    return plain(np.arctan2(-z, np.hypot(x, y))), plain(np.arctan2(y, x))


def end(v: Values, s: Structure, which: str) -> End:
    """Return the output or the pinion at ride height, to the frame and after any wedge."""
    slope, plan = to_frame(v, s, which)
    point = v.place(which)
    turn = wedge(v) if which == "pinion" else None
    if turn is not None:
        about = v.place(pivot_path(s))
        point = vector(*np.moveaxis(about + turned(point - about, turn), -1, 0))
        slope, plan = turned_angles(slope, plan, turn)
    return End(point=point, slope=slope, plan=plan)


def wedge(v: Values) -> Any:
    """Return how far wedges turn the pinion nose up [rad], or None without any."""
    if "pinion.nose_up" not in v and "pinion.nose_down" not in v:
        return None
    return v.signed("pinion.nose_up")


def pivot_path(s: Structure) -> str:
    """Return the path of the axle center, or of the mount of a final drive on the frame."""
    return "suspension.mount" if s.suspension == "frame mounted" else "axle"


def to_frame(v: Values, s: Structure, path: str) -> tuple[Any, Any]:
    """Return slope and plan angle to the frame [rad]; taken to level, the frame's own is off."""
    slope = v[f"{path}.slope"]
    plan = v.get(f"{path}.plan_angle")
    plan = v["pinion.plan_angle"] if plan is None else plan
    if s.is_taken(f"{path}.slope", "to level"):
        return turned_angles(slope, plan, -v["frame.slope"])
    return slope, plan
