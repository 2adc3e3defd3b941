"""The ends of the driveline and what carries the axle, from the values of a set-up."""

from __future__ import annotations

from typing import Any

import numpy as np

from sim.scene import axle_parts
from sim.scene.shaft_parts import Vector
from sim.scene.structure import Structure
from sim.scene.values import Values, plain, vector
from sim.scene.vehicle_parts import End

SPACING = 1.0  # [m], where neither springs nor track were measured; common practice, no source
SPACING_OF_TRACK = 0.75  # common practice, no source


def turned(along: Vector, angle: Any) -> Vector:
    """Return vectors turned nose up about the vehicle's right axis.

    Args:
        along: Vectors [any], shape (..., 3).
        angle: Turn [rad], nose up positive; broadcasts.

    Returns:
        Turned vectors [same], shape (..., 3).
    """
    c, s = np.cos(angle), np.sin(angle)
    x, y, z = along[..., 0], along[..., 1], along[..., 2]
    return vector(c * x + s * z, y, c * z - s * x)


def turned_angles(slope: Any, plan: Any, turn: Any) -> tuple[Any, Any]:
    """Return slope and plan angle of an axis that is turned nose up.

    Args:
        slope: Slope of the axis [rad], front end high positive.
        plan: Plan angle of the axis [rad].
        turn: Turn about the vehicle's right axis [rad], nose up positive.

    Returns:
        Slope and plan angle after the turn [rad].
    """
    axis = vector(np.cos(slope) * np.cos(plan), np.cos(slope) * np.sin(plan), -np.sin(slope))
    x, y, z = np.moveaxis(turned(axis, turn), -1, 0)
    return plain(np.arctan2(-z, np.hypot(x, y))), plain(np.arctan2(y, x))


def end(v: Values, s: Structure, which: str) -> End:
    """Return the output or the pinion at ride height, to the frame and after any wedge.

    Args:
        v: The values.
        s: The structure.
        which: "output" or "pinion" [text].

    Returns:
        Joint center and axis.
    """
    slope, plan = _to_frame(v, s, which)
    point = v.place(which)
    turn = wedge(v) if which == "pinion" else None
    if turn is not None:
        about = v.place(pivot_path(s))
        point = vector(*np.moveaxis(about + turned(point - about, turn), -1, 0))
        slope, plan = turned_angles(slope, plan, turn)
    return End(point=point, slope=slope, plan=plan)


def wedge(v: Values) -> Any:
    """Return how far wedges turn the pinion nose up [rad], or None without any.

    Args:
        v: The values.

    Returns:
        The turn [rad].
    """
    if "pinion.nose_up" not in v and "pinion.nose_down" not in v:
        return None
    return v.signed("pinion", "nose_up", "nose_down")


def pivot_path(s: Structure) -> str:
    """Return the path of the point about which a wedge turns the pinion.

    Args:
        s: The structure.

    Returns:
        Path of the axle center, or of the mount of a final drive on the frame [text].
    """
    return "suspension.mount" if s.suspension == "frame mounted" else "axle"


def suspension(v: Values, s: Structure) -> axle_parts.Suspension | None:
    """Return what guides the axle.

    Args:
        v: The values.
        s: The structure.

    Returns:
        The suspension, or None where only ride height is looked at.
    """
    if s.suspension == "leaf":
        return _leaf(v, s)
    if s.suspension == "links":
        ends = ("lower_frame", "lower_axle", "upper_frame", "upper_axle")
        points = {name: v.place(f"suspension.{name}") for name in ends}
        return axle_parts.Links(**points, wind_up=v["suspension.wind_up"])
    if s.suspension == "frame mounted":
        return axle_parts.FrameMounted(
            mount=v.place("suspension.mount"), wind_up=v["suspension.wind_up"]
        )
    if s.suspension == "measured":
        return _measured(v, s)
    return None


def _leaf(v: Values, s: Structure) -> axle_parts.LeafSprings:
    def at(key: str) -> Any:
        return v[f"suspension.{key}"]

    track, axle_load = v.get("axle.track"), v.get("vehicle.axle_load")
    sprung = 1 - v["vehicle.unsprung_share"]
    spacing = SPACING if track is None else SPACING_OF_TRACK * track
    return axle_parts.LeafSprings(
        front_eye=v.place("suspension.front_eye"),
        shackle_pivot=v.place("suspension.shackle_pivot"),
        shackle=at("shackle"),
        shackle_kind=s.shackle,
        front_half=at("front_half"),
        rear_half=at("rear_half"),
        seat_height=v.signed("suspension", "seat_above_axle", "seat_below_axle", needed=True),
        rate=at("rate"),
        load=v.derive(
            "suspension.spring_load",
            None if axle_load is None else sprung * axle_load / 2,
            "half of what is sprung of axle_load",
        ),
        arm_fraction=at("arm_fraction"),
        half_rates=v.derive(
            "suspension.half_rates",
            (at("rear_half") / at("front_half")) ** 3,
            "third power of rear_half over front_half",
        ),
        spacing=v.derive(
            "suspension.spring_spacing",
            spacing,
            v.display.length.say(SPACING, digits=0) if track is None else "0.75 times track",
            "assumed" if track is None else "derived",
        ),
        wind_up=v.get("suspension.wind_up"),
        wrap_control=v.derive("suspension.wrap_control", 0.0, "no traction bar", "assumed"),
    )


def _measured(v: Values, s: Structure) -> axle_parts.MeasuredAxle:
    """Return the readings in order of travel, ride height among them; a wedge turns them all."""
    ride = end(v, s, "pinion")
    turn, center = wedge(v), v.place("axle")
    rows: list[tuple[Any, Vector, Any, Any]] = [(0.0, ride.point, ride.slope, ride.plan)]
    for path in (f"suspension.reading.{number}" for number in range(1, 10)):
        if f"{path}.slope" not in v:
            continue
        travel = v.signed(path, "bump", "droop", needed=True)
        point = v.place(path)
        slope, plan = _to_frame(v, s, path)
        if turn is not None:
            about = center + vector(0.0, 0.0, travel)
            point = about + turned(point - about, turn)
            slope, plan = turned_angles(slope, plan, turn)
        rows.append((travel, point, slope, plan))
    rows.sort(key=lambda row: float(np.mean(row[0])))
    travels, points, slopes, plans = zip(*rows, strict=True)
    return axle_parts.MeasuredAxle(
        travel=_stack(travels),
        point=np.stack(np.broadcast_arrays(*points), axis=-2),
        slope=_stack(slopes),
        plan=_stack(plans),
        wind_up=v["suspension.wind_up"],
    )


def _stack(column: tuple[Any, ...]) -> Vector:
    """Return a column of values that broadcast, rows last."""
    return np.stack(np.broadcast_arrays(*(np.asarray(x, float) for x in column)), axis=-1)


def _to_frame(v: Values, s: Structure, path: str) -> tuple[Any, Any]:
    """Return slope and plan angle to the frame [rad]; taken to level, the frame's own is off."""
    slope = v[f"{path}.slope"]
    plan = v.get(f"{path}.plan_angle")
    plan = v["pinion.plan_angle"] if plan is None else plan
    if s.is_taken(f"{path}.slope", "to level"):
        return turned_angles(slope, plan, -v["frame.slope"])
    return slope, plan


def travel(v: Values, s: Structure) -> axle_parts.Travel | None:
    """Return how far the axle goes, with its named heights.

    Args:
        v: The values.
        s: The structure.

    Returns:
        The travel, or None where only ride height is looked at.
    """
    if "travel.droop" not in v:
        return None
    return axle_parts.Travel(
        droop=v["travel.droop"],
        bump=v["travel.bump"],
        parked_low=v.get("travel.parked_low"),
        roll=v["travel.roll"],
        heights=tuple(_height(v, s, name) for name in s.heights),
    )


def _height(v: Values, s: Structure, name: str) -> axle_parts.Height:
    path = f"height.{name}"
    together = f"{path}.bump" in v or f"{path}.droop" in v
    side = ("", "") if together else ("left_", "right_")
    left, right = (v.signed(path, f"{which}bump", f"{which}droop", needed=True) for which in side)
    return axle_parts.Height(
        name=name,
        left=left,
        right=right,
        cases=s.heights[name],
        axle_load=_axle_load(v, s, path, left + right),
    )


def _axle_load(v: Values, s: Structure, path: str, travels: Any) -> Any:
    """Return the weight on the driven axle at a height [N], or None where only that at ride is.

    What is loaded stands on the springs, whose rate tells it; at the least nothing is left on them.
    """
    at_ride = v.get("vehicle.axle_load")
    if at_ride is None or s.suspension != "leaf":
        return v.get(f"{path}.axle_load")
    sprung = at_ride + v["suspension.rate"] * travels
    return v.derive(
        f"{path}.axle_load",
        plain(np.maximum(sprung, v["vehicle.unsprung_share"] * at_ride)),
        "axle_load at ride height and 2 times rate times travel",
    )
