"""The exact route: from states to Motion in closed form, all states at once."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array
from sim.errors import DomainError
from sim.motion.chain import reference_of
from sim.motion.joints import kinds_of, phases_of, pin_planes, shares_of, turn
from sim.motion.motion import Motion, Reference
from sim.motion.postures import Postures, held_at
from sim.motion.request import Request
from sim.motion.rows import rows_of
from sim.motion.states import State
from sim.motion.sweep import sweep_states
from sim.scene.parts import Configuration

TURN_ANGLES = 128  # over a full turn


def solve(
    configuration: Configuration,
    *,
    states: Sequence[State] | None = None,
    turn_angle: ArrayLike | None = None,
) -> Motion:
    """Return where everything is, in every state, over a turn of the output.

    Args:
        configuration: One complete vehicle with one driveline.
        states: The states; default: the whole sweep, see ``sweep_states``.
        turn_angle: Rotation of the output [rad], shape (T,) or (S, T); default: 128 angles over
            a full turn.

    Returns:
        Motion with K = 1, since every posture is held exactly while the shafts turn.

    Raises:
        GeometryError: If the parts cannot reach a state; names configuration and state.
        DomainError: If there are no states, or turn angles that are not numbers.

    Example:
        >>> from sim.scene.reader import load_scene
        >>> truck = load_scene("scenes/orchard_service_truck.toml").configuration("two-piece")
        >>> from sim.motion.sweep import sweep_states
        >>> solve(truck, states=sweep_states(truck)[:3]).speed_ratio.shape
        (3, 128, 4)
    """
    chosen = sweep_states(configuration) if states is None else tuple(states)
    if not chosen:
        raise DomainError("solve needs at least one state")
    angles = _turn_angles(turn_angle, len(chosen))
    reference = reference_of(configuration)
    held = postures_of(configuration, chosen, reference)
    planes = pin_planes(
        held.axis, phases_of(configuration), kinds_of(configuration), shares_of(configuration)
    )
    turned = turn(planes, angles)
    return Motion(
        configuration=configuration,
        route="solve",
        states=chosen,
        reference=reference,
        turn_angle=angles,
        joint_center=held.joint_center[:, None],
        axis=held.axis[:, None],
        slip=held.slip[:, None],
        output_slip=held.output_slip[:, None],
        bearing_center=held.bearing_center[:, None],
        axle_center=held.axle_center,
        axle_rotation=held.axle_rotation,
        wrap=held.wrap,
        driving_pin=turned.driving_pin,
        driven_pin=turned.driven_pin,
        speed_ratio=turned.speed_ratio,
        start=held.start,
    )


def postures_of(
    configuration: Configuration, states: Sequence[State], reference: Reference | None = None
) -> Postures:
    """Return the postures of states, the output moved as their torque cases say.

    Raises:
        GeometryError: If the parts cannot reach a state; names configuration and state.
    """
    rows = rows_of(configuration, states)
    labels = tuple(state.say(configuration.display) for state in rows.states)
    request = Request(
        configuration, rows.travel, rows.roll, rows.wheel_torque, labels, excess=rows.excess
    )
    lengths = reference or reference_of(configuration)
    return held_at(request, lengths, rows.output_move, rows.output_tip)


def _turn_angles(given: ArrayLike | None, states: int) -> Array:
    """Return turn angles of every state, (S, T)."""
    if given is None:
        given = np.arange(TURN_ANGLES) * (2 * np.pi / TURN_ANGLES)
    angles = np.atleast_1d(np.asarray(given, float))
    if not np.isfinite(angles).all() or angles.size == 0:
        raise DomainError("turn_angle must hold finite angles [rad]")
    if angles.ndim > 2 or (angles.ndim == 2 and angles.shape[0] != states):
        raise DomainError(f"turn_angle has shape {angles.shape}; (T,) or ({states}, T) is needed")
    return np.array(np.broadcast_to(angles, (states, angles.shape[-1])))
