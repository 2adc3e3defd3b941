"""An axle followed through readings of the pinion joint at two or more heights."""

from __future__ import annotations

import numpy as np

from sim.arrays import Array
from sim.motion.frames import vector
from sim.motion.request import Request
from sim.scene.parts import MeasuredAxle

ROUNDING = 1e-9  # a travel so little beyond a reading is that reading [m]


def measured_pinion(request: Request, table: MeasuredAxle) -> tuple[Array, Array, Array]:
    """Return the pinion at every travel, between the readings and never beyond them.

    Joint center [m], (..., 3), slope and plan angle [rad], (...), of every row.

    Raises:
        GeometryError: If a travel lies beyond the readings.

    Source:
        Monotone cubics, see ``monotone``.
    """
    low, high = table.travel[..., 0], table.travel[..., -1]
    travel = np.clip(request.travel, low, high)
    request.refuse_where(
        np.abs(request.travel - travel) > ROUNDING,
        lambda s: (
            f"travel {request.say(request.travel[s], True)} was not measured; readings reach from "
            f"{request.say(np.min(low), True)} to {request.say(np.max(high), True)}; "
            "read the pinion there too"
        ),
    )
    point = table.point
    columns = (point[..., 0], point[..., 1], point[..., 2], table.slope, table.plan)
    aft, right, up, slope, plan = (monotone(table.travel, column, travel) for column in columns)
    return vector(aft, right, up), slope, plan


def monotone(x: Array, y: Array, at: Array) -> Array:
    """Return the height of curves through readings, which never swing beyond them.

    Of R readings (..., R) at rising abscissas x (..., R), of any units, heights at places between
    them (...).

    Source:
        Fritsch and Butland 1984, monotone piecewise cubic interpolants; ends: three-point slopes,
        held back where they would swing over (Moler, Numerical Computing with Matlab, ch. 3).
    """
    step = np.diff(x, axis=-1)
    rise = np.diff(y, axis=-1) / step
    slope = _slopes(step, rise)
    left = np.clip((x <= at[..., None]).sum(axis=-1) - 1, 0, step.shape[-1] - 1)

    def there(column: Array) -> Array:
        whole = np.broadcast_to(column, (*at.shape, column.shape[-1]))
        return np.take_along_axis(whole, left[..., None], axis=-1)[..., 0]

    x0, y0, h = there(x[..., :-1]), there(y[..., :-1]), there(step)
    d0, d1, across = there(slope[..., :-1]), there(slope[..., 1:]), there(rise)
    s = at - x0
    bend, twist = (3 * across - 2 * d0 - d1) / h, (d0 + d1 - 2 * across) / h**2
    return np.asarray(y0 + s * (d0 + s * (bend + s * twist)))


def _slopes(step: Array, rise: Array) -> Array:
    """Return the slopes of the curves at their readings, (..., R)."""
    if step.shape[-1] == 1:
        return np.repeat(rise, 2, axis=-1)
    step = np.broadcast_to(step, rise.shape)
    h0, h1, d0, d1 = step[..., :-1], step[..., 1:], rise[..., :-1], rise[..., 1:]
    same = d0 * d1 > 0
    safe0, safe1 = np.where(same, d0, 1.0), np.where(same, d1, 1.0)
    mean = 3 * (h0 + h1) / ((2 * h1 + h0) / safe0 + (h1 + 2 * h0) / safe1)
    first = _end_slope(step[..., 0], step[..., 1], rise[..., 0], rise[..., 1])
    last = _end_slope(step[..., -1], step[..., -2], rise[..., -1], rise[..., -2])
    ends = first[..., None], last[..., None]
    return np.concatenate([ends[0], np.where(same, mean, 0.0), ends[1]], axis=-1)


def _end_slope(h0: Array, h1: Array, d0: Array, d1: Array) -> Array:
    """Return the slope at an end, from the two spans next to it."""
    slope = ((2 * h0 + h1) * d0 - h0 * d1) / (h0 + h1)
    slope = np.where(slope * d0 <= 0, 0.0, slope)
    over = (d0 * d1 <= 0) & (np.abs(slope) > 3 * np.abs(d0))
    return np.where(over, 3 * d0, slope)
