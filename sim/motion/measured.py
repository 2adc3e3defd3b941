"""An axle followed through readings of the pinion joint at two or more heights."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.motion.request import Request
from sim.scene.parts import MeasuredAxle

Array = NDArray[np.float64]
ROUNDING = 1e-9  # a travel so little beyond a reading is that reading [m]


def measured_pinion(request: Request, table: MeasuredAxle) -> tuple[Array, Array, Array]:
    """Return the pinion at every travel, between the readings and never beyond them.

    Args:
        request: Travel of every state.
        table: The readings.

    Returns:
        Pinion joint center [m], shape (S, 3), slope and plan angle [rad], shape (S,).

    Raises:
        GeometryError: If a travel lies beyond the readings.

    Source:
        Monotone cubics: Fritsch and Butland 1984, as in scipy's PchipInterpolator.
    """
    # A third of a second to import, and few scenes have such an axle.
    from scipy.interpolate import PchipInterpolator

    low, high = table.travel[0], table.travel[-1]
    travel = np.clip(request.travel, low, high)
    request.refuse_where(
        np.abs(request.travel - travel) > ROUNDING,
        lambda s: (
            f"travel {request.travel[s] * 1e3:+.0f} mm was not measured; readings reach from "
            f"{low * 1e3:+.0f} mm to {high * 1e3:+.0f} mm; read the pinion there too"
        ),
    )
    columns = np.column_stack([table.point, table.slope, table.plan])
    values = PchipInterpolator(table.travel, columns)(travel)
    return values[:, :3], values[:, 3], values[:, 4]
