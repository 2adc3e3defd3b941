"""The chain of shafts, hung between output and pinion through the center bearings."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.motion.frames import axis_from_slope
from sim.motion.motion import Reference
from sim.motion.request import Request, reference_request
from sim.scene.parts import Configuration

Array = NDArray[np.float64]
COINCIDENT = 1e-6  # two points closer than this [m] give no direction


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ends:
    """Joint centers [m] and axes [-] of output and pinion, each of shape (S, 3)."""

    output: Array
    output_axis: Array
    pinion: Array
    pinion_axis: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chain:
    """Where the shafts hang.

    Attributes:
        joint_center: Joint centers [m], shape (S, J, 3).
        axis: Unit axes of all members, pointing aft, shape (S, M, 3).
        slip: Slip of the spline that follows the axle [m], drawing apart positive, shape (S,).
        output_slip: Slip of a slip yoke on the output ahead of a bearing [m], shape (S,).
    """

    joint_center: Array
    axis: Array
    slip: Array
    output_slip: Array


def ends_at_ride(configuration: Configuration) -> Ends:
    """Return output and pinion as the scene gives them, shapes (1, 3)."""
    output, pinion = configuration.output, configuration.pinion
    return Ends(
        output=output.point[None],
        output_axis=axis_from_slope(output.slope, output.plan)[None],
        pinion=pinion.point[None],
        pinion_axis=axis_from_slope(pinion.slope, pinion.plan)[None],
    )


def reference_of(configuration: Configuration) -> Reference:
    """Return the lengths of the shafts in the reference posture.

    A configuration with shafts already cut (``cut_as``) keeps the lengths of the other one; its
    bearings then sit elsewhere along the coupling shafts, and the spline makes up the rest.

    Args:
        configuration: Any configuration.

    Returns:
        Lengths as built, bearing to joint behind it, and slip against the spline's marks.

    Raises:
        GeometryError: If shafts already cut do not go in.
    """
    return _own(configuration) if configuration.cut_as is None else _kept(configuration)


def hang(request: Request, reference: Reference, ends: Ends) -> Chain:
    """Hang the shafts between output and pinion.

    Args:
        request: The states, for messages.
        reference: Lengths of the shafts.
        ends: Where output and pinion are.

    Returns:
        Joint centers, axes and slip of every state.

    Raises:
        GeometryError: If a shaft cannot reach or a joint folds to 90 degrees or more.

    Source:
        Derived in DEVELOPERS.md, the chain.
    """
    configuration = request.configuration
    joint, axes, joints = ends.output, [ends.output_axis], []
    output_slip = np.zeros(len(joint))
    if configuration.output_spline is not None:
        to_bearing = reference.length[0] - reference.to_joint[0]
        bearing = configuration.bearings[0].point
        output_slip = _slide(request, joint, axes[0], bearing, to_bearing, 1)
        joint = joint + output_slip[:, None] * axes[0]
    for number, (bearing_part, behind) in enumerate(
        zip(configuration.bearings, reference.to_joint, strict=True), start=1
    ):
        axis, _ = _toward(request, joint, bearing_part.point, f"bearing {number}")
        joints.append(joint)
        axes.append(axis)
        joint = bearing_part.point + behind * axis
    last, pinion = len(configuration.shafts), ends.pinion
    if configuration.spline.at == "shaft":
        axis, distance = _toward(request, joint, pinion, "the pinion joint")
        slip = distance - reference.length[-1]
    else:
        slip = _slide(request, joint, axes[-1], pinion, reference.length[-1], last)
        joint = joint + slip[:, None] * axes[-1]
        axis, _ = _toward(request, joint, pinion, "the pinion joint")
    chain = Chain(
        joint_center=np.stack([*joints, joint, pinion], axis=1),
        axis=np.stack([*axes, axis, ends.pinion_axis], axis=1),
        slip=slip,
        output_slip=output_slip,
    )
    _refuse_folded(request, chain.axis)
    return chain


def _slide(
    request: Request, start: Array, along: Array, target: Array, length: float, shaft: int
) -> Array:
    """Return how far a joint slides along an axis so that its shaft of fixed length reaches."""
    q = target - start
    t = (q * along).sum(axis=-1)
    radicand = length**2 - (q * q).sum(axis=-1) + t**2
    request.refuse_where(
        radicand < 0,
        lambda s: (
            f"shaft {shaft} cannot reach: it is {length * 1e3:.0f} mm long, its far end lies "
            f"{np.sqrt(length**2 - radicand[s]) * 1e3:.0f} mm off the axis that it slides on; "
            + request.look_at(s, "suspension")
        ),
    )
    return np.asarray(t - np.sqrt(radicand))  # minus: the joint ahead of the far end


def _toward(request: Request, start: Array, target: Array, what: str) -> tuple[Array, Array]:
    """Return unit axes from joints toward a target, and the distances [m]."""
    apart = target - start
    distance = np.sqrt((apart * apart).sum(axis=-1))
    request.refuse_where(
        distance < COINCIDENT, lambda s: f"{what} and the joint ahead of it are at one point"
    )
    return apart / distance[:, None], distance


def _refuse_folded(request: Request, axis: Array) -> None:
    """Refuse states in which a joint bends to 90 degrees or more."""
    cosine = np.einsum("smi,smi->sm", axis[:, :-1], axis[:, 1:])

    def reason(state: int) -> str:
        worst = int(np.argmin(cosine[state]))
        bend = np.degrees(np.arccos(np.clip(cosine[state, worst], -1, 1)))
        what = "hang so low" if request.travel[state] < 0 else "stand so"
        return f"joint {worst + 1} would bend {bend:.0f} deg; the axle cannot {what} on this shaft"

    request.refuse_where(cosine.min(axis=1) <= 0, reason)


def _own(configuration: Configuration) -> Reference:
    """Return the lengths that the configuration's own points give."""
    request, ends = reference_request(configuration), ends_at_ride(configuration)
    joint, lengths = ends.output, []
    for number, bearing in enumerate(configuration.bearings, start=1):
        axis, distance = _toward(request, joint, bearing.point, f"bearing {number}")
        lengths.append(float(distance[0]) + bearing.to_joint)
        joint = bearing.point + bearing.to_joint * axis
    _, distance = _toward(request, joint, ends.pinion, "the pinion joint")
    return Reference(
        length=np.array([*lengths, float(distance[0])]),
        to_joint=np.array([bearing.to_joint for bearing in configuration.bearings]),
        slip=0.0,
    )


def _kept(configuration: Configuration) -> Reference:
    """Return the lengths of the other configuration, and the slip that makes them fit here."""
    assert configuration.cut_as is not None
    other = reference_of(configuration.cut_as)
    request, ends = reference_request(configuration), ends_at_ride(configuration)
    joint, to_joint = ends.output, other.to_joint.copy()
    for i, bearing in enumerate(configuration.bearings):
        axis, distance = _toward(request, joint, bearing.point, f"bearing {i + 1}")
        if i > 0 or configuration.output_spline is None:
            to_joint[i] = other.length[i] - distance[0]
        request.refuse_where(
            to_joint[i] < 0,
            lambda s, i=i: (  # type: ignore[misc]
                f'shaft {i + 1} of "{configuration.cut_as.name}" ends {-to_joint[i] * 1e3:.0f} '
                f"mm ahead of bearing {i + 1}; look at bearing.{i + 1}.aft"
            ),
        )
        joint = bearing.point + to_joint[i] * axis
    fitted = Reference(length=other.length, to_joint=to_joint, slip=0.0)
    slip = float(hang(request, fitted, ends).slip[0])
    _refuse_misfit(request, slip)
    return Reference(length=other.length, to_joint=to_joint, slip=slip)


def _refuse_misfit(request: Request, slip: float) -> None:
    """Refuse shafts already cut whose spline bottoms or comes apart at ride height."""
    configuration = request.configuration
    assert configuration.cut_as is not None
    gap, engaged = configuration.spline.gap + slip, configuration.spline.engaged - slip
    whose = f'the spline of "{configuration.cut_as.name}" would be'
    request.refuse_where(
        gap < 0, lambda s: f"{whose} {-gap * 1e3:.0f} mm beyond its bottom; the shafts do not go in"
    )
    request.refuse_where(
        engaged <= 0, lambda s: f"{whose} {-engaged * 1e3:.0f} mm apart; the shafts are too short"
    )
