"""What rules look at of uneven running: fluctuation and accelerations, at a state's own speed."""

from __future__ import annotations

import numpy as np

from sim.judge.part import Array, Part, Where, in_states
from sim.measure.numbers import Numbers


def pinion_fluctuation(n: Numbers) -> list[Part]:
    """Speed fluctuation of the pinion behind two or more joints, peak to peak [%]."""
    return [in_states(n, Where(kind="pinion"), 100 * n.fluctuation[..., -1])]


def torsional(n: Numbers) -> list[Part]:
    """Torsional acceleration of the pinion [rad/s²]."""
    return [in_states(n, Where(kind="pinion"), n.torsional)]


def torsional_of_one_shaft(n: Numbers) -> list[Part]:
    """Torsional acceleration of the pinion behind a shaft with two universal joints [rad/s²]."""
    crosses = [joint.of_kind.crosses for joint in n.configuration.joints]
    return torsional(n) if crosses == [1, 1] else []


def inertial_drive(n: Numbers) -> list[Part]:
    """Inertial acceleration of every shaft at steady output [rad/s²]."""
    return _by_shaft(n, n.inertial_drive)


def inertial_coast(n: Numbers) -> list[Part]:
    """Inertial acceleration of every shaft at steady pinion [rad/s²]."""
    return _by_shaft(n, n.inertial_coast)


def _by_shaft(n: Numbers, values: Array) -> list[Part]:
    """Return values of every shaft, (B, S, N)."""
    return [
        in_states(n, Where(kind="shaft", number=index + 1), np.asarray(values[..., index]))
        for index in range(values.shape[-1])
    ]
