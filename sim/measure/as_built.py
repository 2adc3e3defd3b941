"""What to order: the length of every shaft and how its spline is set on the bench."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from sim.measure.measurements import AsBuilt
from sim.measure.slip import engaged_length, gap_to_bottom
from sim.scene.parts import Spline


def as_built(length: ArrayLike, spline: Spline, slip: float) -> tuple[AsBuilt, ...]:
    """Return joint-center lengths in the reference posture and the spline's setting there.

    The spline of a midship stub is part of the shaft that the last bearing carries; one on the
    output stays on the vehicle, so no shaft has a bench setting for it.

    Of lengths and slip in the reference posture [m]; the slip is 0 unless the shafts were cut for
    another configuration.
    """
    lengths = np.asarray(length, float).tolist()
    owner = {"output": 0, "midship": len(lengths) - 1, "shaft": len(lengths)}[spline.at]
    return tuple(
        AsBuilt(
            shaft=number,
            length=long,
            bench_gap=float(gap_to_bottom(spline, slip)) if number == owner else None,
            bench_engaged=float(engaged_length(spline, slip)) if number == owner else None,
        )
        for number, long in enumerate(lengths, start=1)
    )
