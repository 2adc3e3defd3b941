"""What rules look at of what slides: gap, engaged length, plunge."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sim.judge.part import Array, Part, Where, in_states
from sim.measure.numbers import Numbers
from sim.scene.parts import plunging_joint

MM = 1000.0


def gap(n: Numbers) -> list[Part]:
    """Gap to bottoming [mm]."""
    return [] if plunging_joint(n.configuration) else [_spline(n, n.gap)]


def engaged(n: Numbers) -> list[Part]:
    """Engaged length of the spline [mm]."""
    return [] if plunging_joint(n.configuration) else [_spline(n, n.engaged)]


def engaged_against_its_least(n: Numbers) -> list[Part]:
    """Engaged length of the spline [mm], against the least that it may keep."""
    reading = n.configuration.readings.get("spline.least_engaged")
    least = np.atleast_1d(np.asarray(n.configuration.spline.least_engaged, float))
    own = reading is not None and reading.status == "measured"
    return [replace(part, limit=MM * least[:, None], own=own) for part in engaged(n)]


def plunge_left(n: Numbers) -> list[Part]:
    """Plunge left at both ends of a joint that slides in place of a spline [mm]."""
    number = plunging_joint(n.configuration)
    if not number:
        return []
    ends = {"inward": n.gap, "outward": n.engaged}
    return [
        in_states(n, Where(kind="joint", number=number, name=name), MM * left)
        for name, left in ends.items()
    ]


def _spline(n: Numbers, length: Array) -> Part:
    """Return a length of the spline [mm]."""
    return in_states(n, Where(kind="spline"), MM * np.asarray(length))
