"""Numbers read off held postures, of one design or of many at once; no turn angle is sampled."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Array, Marks
from sim.measure.acceleration import shaft_speed
from sim.measure.critical import critical_speeds
from sim.measure.numbers import Numbers
from sim.measure.ripple import matched_phase
from sim.measure.slip import engaged_length, gap_to_bottom
from sim.measure.waves import Unevenness, residual_angle, unevenness_of
from sim.motion.frames import angle_between, norm, slope_of
from sim.motion.motion import Reference
from sim.motion.postures import Postures
from sim.motion.rows import Rows
from sim.scene.parts import Configuration


def lengths_of(held: Postures) -> Array:
    """Return joint center to joint center of every shaft in postures [m], (..., N)."""
    return norm(np.diff(held.joint_center, axis=-2))


def numbers_of(
    configuration: Configuration,
    reference: Reference,
    rows: Rows,
    held: Postures,
    uneven: Unevenness,
    lost: Marks | None = None,
) -> Numbers:
    """Return the numbers of one design (rows of shape (S,)), or of many at once (rows (S, B))."""
    joint_angle = angle_between(held.axis[..., :-1, :], held.axis[..., 1:, :])
    speed = shaft_speed(configuration.vehicle, rows.road_speed)
    square = speed[..., None] ** 2
    length, shape = lengths_of(held), rows.travel.shape
    missed = np.zeros(shape, bool) if lost is None else lost

    def designs_first(values: NDArray[Any]) -> NDArray[Any]:
        whole = np.broadcast_to(values, (*shape, *values.shape[len(shape) :]))
        return whole.swapaxes(0, 1) if len(shape) > 1 else whole[None]

    return Numbers(
        configuration=configuration,
        states=rows.states,
        lost=designs_first(missed),
        slope=designs_first(slope_of(held.axis)),
        joint_angle=designs_first(joint_angle),
        slip=designs_first(held.slip),
        gap=designs_first(gap_to_bottom(configuration.spline, held.slip)),
        engaged=designs_first(engaged_length(configuration.spline, held.slip)),
        wrap=designs_first(held.wrap),
        fluctuation=designs_first(2 * uneven.swing),
        residual_angle=designs_first(residual_angle(uneven.swing[..., -1])),
        torsional=designs_first(square[..., 0] * uneven.drive[..., -1]),
        inertial_drive=designs_first(square * uneven.drive[..., :-1]),
        inertial_coast=designs_first(square * uneven.coast),
        in_line=designs_first(_in_line(configuration, held.axis, uneven)),
        matched_phase=designs_first(matched_phase(held.axis)),
        shaft_speed=designs_first(speed),
        road_speed=designs_first(rows.road_speed),
        shaft_torque=designs_first(rows.shaft_torque),
        wheel_torque=designs_first(rows.wheel_torque),
        travel=designs_first(rows.travel),
        length=designs_first(length),
        critical_speed=np.broadcast_to(
            critical_speeds(configuration, longest(reference, rows, length, missed)),
            (*shape[1:], length.shape[-1]) if len(shape) > 1 else (1, length.shape[-1]),
        ),
        start=held.start if len(shape) == 1 else (),
    )


def _in_line(configuration: Configuration, axis: Array, as_is: Unevenness) -> Array:
    """Return the pinion's fluctuation with the yokes of each shaft in line, (..., N)."""
    shafts, found = configuration.shafts, []
    for number, shaft in enumerate(shafts):
        uneven = as_is
        if np.any(shaft.phase):
            turned = (*shafts[:number], replace(shaft, phase=0.0), *shafts[number + 1 :])
            uneven = unevenness_of(replace(configuration, shafts=turned), axis)
        found.append(2 * uneven.swing[..., -1])
    return np.stack(found, axis=-1)


def longest(reference: Reference, rows: Rows, length: Array, lost: Marks | None = None) -> Array:
    """Return every shaft at its longest in states that turn and are reached [m], (N,) or (B, N)."""
    built = np.asarray(np.moveaxis(reference.length, 0, -1))
    turning = np.array([state.turning for state in rows.states], bool)
    if not turning.any():
        return built
    if lost is None or not lost.any():
        return np.asarray(length[turning].max(axis=0))
    reached = ~lost[turning]
    far = np.where(reached[..., None], length[turning], 0.0).max(axis=0)
    return np.where(reached.any(axis=0)[..., None], far, built)
