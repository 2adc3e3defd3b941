"""What is measured, sample by sample: every reading somewhere in its band."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.measure.numbers import Numbers
from sim.measure.sampling import Source
from sim.motion.states import State

Array = NDArray[np.float64]
MOST_STATES = 25


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Values:
    """Numbers of n samples in S states; samples last.

    Attributes:
        joint_angle: True joint angles [rad], shape (S, J, n).
        slip: Of the spline that follows the axle [m], (S, n); its ``gap`` and ``engaged`` [m].
        wrap: Turn of the pinion by torque [rad], (S, n).
        fluctuation: Of every member behind a joint, peak to peak [-], (S, J, n).
        torsional, inertial_drive, inertial_coast: Accelerations, the largest over the shafts
            [rad/s²], (S, n).
        shaft_speed: [rad/s], (S, n).
        shaft_torque: [N m], (S, n).
        matched_phase: Of every shaft in the first state, ride height [rad], shape (1, N, n).
        reach: Largest joint-center distance of every shaft while it turns, against that as it was
            read [-], (1, N, n).
        per_speed: Road speed over shaft speed, against that as it was read [-], (1, n).
        lost: Whether some state cannot be reached, 0 or 1, (1, n).
    """

    joint_angle: Array
    slip: Array
    gap: Array
    engaged: Array
    wrap: Array
    fluctuation: Array
    torsional: Array
    inertial_drive: Array
    inertial_coast: Array
    shaft_speed: Array
    shaft_torque: Array
    matched_phase: Array
    reach: Array
    per_speed: Array
    lost: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spread:
    """Samples of one configuration.

    Attributes:
        sources: What is not known exactly.
        exact: Paths of what was read without a ±.
        seed: Of the random numbers.
        off: How far each source is from its middle [standard deviations], (sources, samples).
        states: The states looked at, ride height at rest first.
        numbers: Of the random samples; ``values`` are the same, samples last.
        numbers_alone: Of the middle, then each source alone at its low end, then each at its high
            end; n = 1 + 2 × sources; ``alone`` are the same, samples last.
    """

    sources: tuple[Source, ...]
    exact: tuple[str, ...]
    seed: int
    off: Array
    states: tuple[State, ...]
    numbers: Numbers
    numbers_alone: Numbers
    values: Values
    alone: Values
