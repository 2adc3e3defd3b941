"""Samples of one configuration: every reading somewhere in its band."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.explore.evaluate import evaluate
from sim.measure.acceleration import shaft_speed
from sim.measure.numbers import Numbers
from sim.measure.sampling import (
    SAMPLES,
    SEED,
    draw,
    drawn_values,
    exact_readings,
    one_by_one,
    sources_of,
)
from sim.measure.spread import Spread, Values
from sim.motion.states import State
from sim.scene.parts import Configuration


def measure_spread(
    configuration: Configuration,
    states: Sequence[State],
    samples: int = SAMPLES,
    seed: int = SEED,
) -> Spread:
    """Return what is measured when every reading is somewhere in its band.

    Args:
        configuration: As it was read.
        states: The states to look at, ride height without torque first.
        samples: How many samples.
        seed: Of the random numbers.

    Returns:
        The samples; and each source alone at both ends of its band.
    """
    assert configuration.design is not None
    sources = sources_of(configuration)
    off = draw(sources, samples, seed)
    found = [
        evaluate(configuration.design, drawn_values(configuration, sources, part), states)
        for part in (off, one_by_one(sources))
    ]
    alone = found[1]
    return Spread(
        sources=sources,
        exact=exact_readings(configuration),
        seed=seed,
        off=off,
        states=tuple(states),
        numbers=found[0],
        numbers_alone=alone,
        values=_values(found[0], configuration, alone),
        alone=_values(alone, configuration, alone),
    )


def _values(numbers: Numbers, read: Configuration, alone: Numbers) -> Values:
    """Return numbers with their designs last."""

    def last(values: NDArray[Any]) -> NDArray[Any]:
        return np.moveaxis(values, 0, -1)

    faster = shaft_speed(read.vehicle, 1.0) / shaft_speed(numbers.configuration.vehicle, 1.0)
    reach = np.sqrt(alone.critical_speed[:1] / numbers.critical_speed)
    return Values(
        joint_angle=last(numbers.joint_angle),
        slip=last(numbers.slip),
        gap=last(numbers.gap),
        engaged=last(numbers.engaged),
        wrap=last(numbers.wrap),
        fluctuation=last(numbers.fluctuation),
        torsional=last(numbers.torsional),
        inertial_drive=last(numbers.inertial_drive.max(axis=-1)),
        inertial_coast=last(numbers.inertial_coast.max(axis=-1)),
        shaft_speed=last(numbers.shaft_speed),
        shaft_torque=last(numbers.shaft_torque),
        matched_phase=last(numbers.matched_phase[:, :1]),
        reach=last(reach)[None],
        per_speed=np.broadcast_to(faster, (1, len(reach))),
        lost=last(numbers.lost).any(axis=0, keepdims=True).astype(float),
    )
