"""Numbers read off held postures, of one design or of many at once; no turn angle is sampled."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.measure.acceleration import shaft_speed
from sim.measure.critical import critical_speeds
from sim.measure.numbers import Numbers
from sim.measure.ripple import matched_phase
from sim.measure.slip import engaged_length, gap_to_bottom
from sim.measure.waves import Unevenness, residual_angle
from sim.motion.frames import angle_between, slope_of
from sim.motion.motion import Reference
from sim.motion.rows import Rows
from sim.scene.parts import Configuration

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Held:
    """What is read off rows of postures; a row is one state of one design.

    Attributes:
        axis: Unit axes of all members [-], shape (..., M, 3).
        length: Joint center to joint center of every shaft [m], shape (..., N).
        slip: Of the spline that follows the axle [m], shape (...).
        wrap: Turn of the pinion by torque at the same travel [rad], shape (...).
        unevenness: From ``unevenness_of`` the axes.
    """

    axis: Array
    length: Array
    slip: Array
    wrap: Array
    unevenness: Unevenness


def numbers_of(
    configuration: Configuration, reference: Reference, rows: Rows, held: Held
) -> Numbers:
    """Return the numbers of one design, or of many at once.

    Args:
        configuration: Whose; its numbers are floats, or arrays of shape (B,) or (B, 3).
        reference: Lengths as built.
        rows: The states, rows of shape (S,) or (S, B).
        held: What was found there.

    Returns:
        Numbers in which every state is reached.
    """
    joint_angle = angle_between(held.axis[..., :-1, :], held.axis[..., 1:, :])
    speed = shaft_speed(configuration.vehicle, rows.road_speed)
    square = speed[..., None] ** 2
    uneven = held.unevenness
    many = rows.travel.ndim > 1

    def designs_first(values: Array) -> Array:
        return np.moveaxis(values, 1, 0) if many else values[None]

    return Numbers(
        configuration=configuration,
        states=rows.states,
        lost=np.zeros(designs_first(held.slip).shape, bool),
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
        matched_phase=designs_first(matched_phase(held.axis)),
        shaft_speed=designs_first(speed),
        road_speed=designs_first(rows.road_speed),
        shaft_torque=designs_first(rows.shaft_torque),
        wheel_torque=designs_first(rows.wheel_torque),
        travel=designs_first(rows.travel),
        length=designs_first(held.length),
        critical_speed=np.atleast_2d(
            critical_speeds(configuration, longest(reference, rows, held.length))
        ),
    )


def longest(reference: Reference, rows: Rows, length: Array) -> Array:
    """Return every shaft at its longest among the states that turn.

    Args:
        reference: Lengths as built, where no state turns.
        rows: The states, rows of shape (S,) or (S, B).
        length: Joint center to joint center there [m], shape (..., N).

    Returns:
        Lengths [m], shape (N,) or (B, N).
    """
    turning = np.array([state.turning for state in rows.states], bool)
    if not turning.any():
        return np.asarray(np.moveaxis(reference.length, 0, -1))
    return np.asarray(length[turning].max(axis=0))
