"""What nobody measures of a driveline that shakes: what is taken for it, and its bounds.

The road to the seat is left out: forces go as far as gearbox, brackets and axle.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from sim.arrays import Array
from sim.measure.balance import GRADES
from sim.measure.shake.response import Supports
from sim.scene.parts import Configuration

OUTPUT_LEVER = 0.9  # center of the gearbox and engine to the first joint [m]
LEAST_LEVER = 0.1  # last joint to the axle's center, where the scene has them nearer [m]
AXLE_ASIDE, AXLE_TURNED = 3e6, 330.0  # the axle about the vertical, at the pinion [N/m], [kg]


@dataclass(frozen=True, slots=True, kw_only=True)
class Unknown:
    """Something that is drawn evenly between its bounds [SI unit]."""

    name: str
    usual: float
    least: float
    most: float
    source: str


UNKNOWNS = (
    Unknown(
        name="rubber loss",
        usual=0.10,
        least=0.05,
        most=0.20,
        source="loss factor of a bearing's rubber, from memory of handbooks",
    ),
    Unknown(
        name="tube loss",
        usual=0.02,
        least=0.006,
        most=0.06,
        source="loss factor of a tube with joints and spline: common practice, no source; welded "
        "or bolted steel 0.006 to 0.016 by ENV 1991-2-4:1995, Annex C, as quoted",
    ),
    Unknown(
        name="grade",
        usual=GRADES[0],
        least=GRADES[0],
        most=GRADES[1],
        source="G16 to G40 at top speed, ISO 21940-11",
    ),
    Unknown(
        name="bow",
        usual=0.2e-3,
        least=0.05e-3,
        most=0.3e-3,
        source="half of the runout of 0.4 to 0.6 mm that car manuals allow",
    ),
    Unknown(
        name="output stiffness",
        usual=180e3,
        least=100e3,
        most=300e3,
        source="gearbox and engine of 350 kg on mounts of 8 Hz, at its tail: common practice, no "
        "source",
    ),
    Unknown(
        name="output mass",
        usual=70.0,
        least=40.0,
        most=110.0,
        source="the same: common practice, no source",
    ),
    Unknown(
        name="pinion stiffness",
        usual=370e3,
        least=300e3,
        most=450e3,
        source="leaf springs that wind up, at the pinion: common practice, no source",
    ),
    Unknown(
        name="pinion mass",
        usual=30.0,
        least=20.0,
        most=45.0,
        source="axle that pitches, 3.5 kg m², at the pinion: common practice, no source",
    ),
    Unknown(
        name="end loss",
        usual=0.15,
        least=0.06,
        most=0.30,
        source="loss factor of mounts and springs: common practice, no source",
    ),
)


def levers_of(configuration: Configuration) -> tuple[float, Any]:
    """Return the levers of gearbox and axle about their centers [m], see ``couple_loads``."""
    ahead = np.asarray(configuration.axle - configuration.pinion.point)
    return OUTPUT_LEVER, np.maximum(np.hypot(ahead[..., 0], ahead[..., 2]), LEAST_LEVER)


def supports_of(
    configuration: Configuration, unknown: Mapping[str, Array], *, rigid: bool
) -> tuple[Supports, Supports]:
    """Return what holds every place, aside and upright.

    Args:
        configuration: Its numbers may be arrays of shape (B,).
        unknown: Everything in ``UNKNOWNS``, by name, (B,).
        rigid: Whether gearbox and axle are held rigidly, or on their springs.
    """
    rubber = [np.asarray(bearing.radial) for bearing in configuration.bearings]
    if rigid:
        ends: list[tuple[Any, Any]] = [(np.inf, 0.0)] * 3
    else:
        ends = [
            (unknown["output stiffness"], unknown["output mass"]),
            (AXLE_ASIDE, AXLE_TURNED),
            (unknown["pinion stiffness"], unknown["pinion mass"]),
        ]
    loss = [unknown["rubber loss"]] * len(rubber)
    end_loss = np.zeros(1) if rigid else unknown["end loss"]
    output, *pinions = ends

    def held(pinion: tuple[Any, Any]) -> Supports:
        return Supports(
            stiffness=_columns(output[0], *rubber, pinion[0]),
            loss=_columns(end_loss, *loss, end_loss),
            mass=_columns(output[1], *([0.0] * len(rubber)), pinion[1]),
        )

    return held(pinions[0]), held(pinions[1])


def _columns(*numbers: Any) -> Array:
    """Return numbers side by side, (B, P)."""
    return np.stack(np.broadcast_arrays(*(np.atleast_1d(n) for n in numbers)), axis=-1)
