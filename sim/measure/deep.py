"""The numbers that cost more than angles, slip and speeds; of one design or of many at once."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from sim.arrays import Array
from sim.measure.clearance.held import clearances_at
from sim.measure.life import joint_lives
from sim.measure.numbers import Deep, Numbers
from sim.measure.shake.peaks import bounce_peaks, half_critical_forces
from sim.measure.torsion import carried_torques
from sim.measure.whirl.whirl import bearing_modes, row_modes, shaft_speeds
from sim.motion.postures import Postures
from sim.motion.rows import Rows
from sim.scene.parts import Tube

LEAST = 0.01  # [m]; no shaft is shorter, but one that cannot be may seem so


def deep_numbers(numbers: Numbers, rows: Rows, held: Postures, longest: Array) -> Deep:
    """Return beam whirl, strength of tubes, life of joints and clearances.

    With every shaft at its longest [m], (N,) or (B, N). What cannot be reached means nothing, but
    is finite.
    """
    designs = len(numbers.lost)
    shafts = tuple(replace(s, tube=_sound(s.tube)) for s in numbers.configuration.shafts)
    configuration = replace(numbers.configuration, shafts=shafts)
    fits = np.isfinite(longest) & (longest > LEAST)
    long = np.broadcast_to(np.where(fits, longest, 1.0), (designs, longest.shape[-1]))
    modes = row_modes(configuration, long)
    life, distance = joint_lives(numbers)
    pairs, apart = clearances_at(configuration, held, rows.travel, rows.roll)
    apart = np.moveaxis(apart, 1, 0) if apart.ndim > 2 else apart[None]
    if numbers.lost.any():
        apart = np.where(numbers.lost[..., None], 0.0, apart)
    axis = np.moveaxis(held.axis, 1, 0) if held.axis.ndim > 3 else held.axis[None]
    axis = np.broadcast_to(axis, (designs, *axis.shape[1:]))
    sound = ~numbers.lost & np.asarray(fits.all(axis=-1))[..., None]
    critical = shaft_speeds(modes)
    shaped = replace(numbers, configuration=configuration), axis, sound
    speed, force, swing = bounce_peaks(*shaped)
    return Deep(
        beam_speed=critical,
        bearing_mode=bearing_modes(modes),
        bounce_speed=speed,
        bounce_force=force,
        bounce_swing=swing,
        half_critical_force=half_critical_forces(*shaped, critical),
        yield_torque=np.broadcast_to(carried_torques(configuration), long.shape),
        life=life,
        life_distance=distance,
        pairs=pairs,
        clearance=apart,
    )


def _sound(tube: Tube) -> Tube:
    """Return a tube, any other in place of one that cannot be."""
    if np.all(tube.can_be):
        return tube
    usual: dict[str, Any] = {"outside": 0.1, "wall": 0.01}
    given = ((name, getattr(tube, name), value) for name, value in usual.items())
    return replace(tube, **{n: np.where(tube.can_be, own, value) for n, own, value in given})
