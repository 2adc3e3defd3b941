"""Postures at any travel: what stays while the shafts turn; made for root finding."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array
from sim.motion.chain import Ends, hang, reference_of
from sim.motion.frames import axis_from_slope
from sim.motion.motion import Chain, Reference, Start
from sim.motion.request import Request
from sim.motion.suspension import AxlePosture, axle_posture, pinion_of
from sim.scene.parts import Configuration


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Postures(Chain):
    """Where everything is, in every row: S states of one design, or (S, B) of B designs."""

    axle_center: Array  # [m], (..., 3)
    axle_rotation: Array  # from ride height, (..., 3, 3)
    wrap: Array  # pinion turn by torque at the same travel [rad], nose up positive, (...)
    start: Start = ()  # what designs near by may start from


def postures(
    configuration: Configuration,
    travel: ArrayLike,
    roll: ArrayLike = 0.0,
    wheel_torque: ArrayLike = 0.0,
    output_move: ArrayLike = (0.0, 0.0, 0.0),
    output_tip: ArrayLike = 0.0,
    *,
    labels: tuple[str, ...] = (),
    reference: Reference | None = None,
    start: Start = (),
) -> Postures:
    """Return the postures of one configuration; arguments broadcast over the S states.

    Args:
        configuration: Any configuration.
        travel: Mean axle travel [m], bump positive, shape (S,) or one number.
        roll: Axle roll [rad], right side up positive.
        wheel_torque: Both wheels together [N m], drive positive.
        output_move: How the output joint moves on its mounts [m], shape (3,) or (S, 3).
        output_tip: How the output's slope changes [rad].
        labels: Name of every state for messages; left out, messages give the travel.
        reference: From ``reference_of``, where it is at hand.
        start: Of states near by, where they are at hand; empty, each is followed from ride height.

    Returns:
        Joint centers, axes, slip and axle of every state.

    Raises:
        GeometryError: If the parts cannot reach a state; names configuration and state.

    Example:
        >>> from sim.scene.reader import load_scene
        >>> truck = load_scene("scenes/orchard_service_truck.toml").configuration("two-piece")
        >>> postures(truck, [0.0]).slip.round(9)
        array([0.])
    """
    move = np.atleast_2d(np.asarray(output_move, float))
    given = (travel, roll, wheel_torque, output_tip, move[:, 0])
    heights, rolls, torques, tips, _ = (
        np.atleast_1d(a) for a in np.broadcast_arrays(*(np.asarray(g, float) for g in given))
    )
    request = Request(configuration, heights, rolls, torques, labels)
    return held_at(request, reference or reference_of(configuration), move, tips, start)


def held_at(
    request: Request, reference: Reference, move: Array, tip: Array, start: Start = ()
) -> Postures:
    """Return the postures of one design in some states, or of many designs at once.

    Moves of the output joint [m], (S, 3), (S, B, 3) or (1, 3), and changes of its slope [rad]
    broadcast with the rows.

    Raises:
        GeometryError: If a row cannot be reached and the request marks none.
    """
    axle = axle_posture(request, start)
    chain = hang(request, reference, _ends(request, axle, move, tip))
    return Postures(
        **{field.name: getattr(chain, field.name) for field in fields(chain)},
        axle_center=axle.center,
        axle_rotation=axle.rotation,
        wrap=axle.wrap,
        start=axle.start,
    )


def _ends(request: Request, axle: AxlePosture, move: Array, tip: Array) -> Ends:
    """Return where output and pinion are."""
    pinion, pinion_axis = pinion_of(request, axle)
    output, shape = request.configuration.output, pinion.shape
    return Ends(
        output=np.broadcast_to(output.point + move, shape),
        output_axis=np.broadcast_to(axis_from_slope(output.slope + tip, output.plan), shape),
        pinion=pinion,
        pinion_axis=pinion_axis,
    )
