"""The chain of shafts, hung between output and pinion through the center bearings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array
from sim.motion.bearing_force import given_way, mean_forces
from sim.motion.frames import axis_from_slope, dot, norm, stacked
from sim.motion.motion import Chain, Reference
from sim.motion.request import Request, reference_request
from sim.motion.torque import shaft_torque
from sim.scene.parts import Configuration

COINCIDENT = 1e-6  # two points closer than this [m] give no direction


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ends:
    """Joint centers [m] and axes [-] of output and pinion, each of shape (..., 3)."""

    output: Array
    output_axis: Array
    pinion: Array
    pinion_axis: Array


def ends_at_ride(configuration: Configuration) -> Ends:
    """Return output and pinion as the scene gives them, shapes (1, 3), or (B, 3) of B designs."""
    output, pinion = configuration.output, configuration.pinion
    bearings = [bearing.point for bearing in configuration.bearings]
    output_axis = axis_from_slope(output.slope, output.plan)
    pinion_axis = axis_from_slope(pinion.slope, pinion.plan)
    given = (output.point, output_axis, pinion.point, pinion_axis, *bearings)
    shape = np.broadcast_shapes((1, 3), *(vector.shape for vector in given))
    return Ends(
        output=np.broadcast_to(output.point, shape),
        output_axis=np.broadcast_to(output_axis, shape),
        pinion=np.broadcast_to(pinion.point, shape),
        pinion_axis=np.broadcast_to(pinion_axis, shape),
    )


def reference_of(configuration: Configuration, request: Request | None = None) -> Reference:
    """Return the lengths of the shafts in the reference posture.

    A configuration with shafts already cut (``cut_as``) keeps the lengths of the other one; its
    bearings then sit elsewhere along the coupling shafts, and the spline makes up the rest.

    Shafts that do not go in are refused, or marked as the request says.

    Raises:
        GeometryError: If shafts already cut do not go in, or a tube cannot be made.
    """
    asked = request or reference_request(configuration)
    _refuse_no_tube(asked)
    bare = _own(asked) if configuration.cut_as is None else _kept(asked)
    chain = _hang(asked, bare, ends_at_ride(configuration), _read_places(configuration))
    read = [not bearing.planned for bearing in configuration.bearings]
    weight = mean_forces(configuration, bare, chain, 0.0) * np.array(read, float)[:, None]
    return replace(bare, weight=weight[0] if len(weight) == 1 else weight)


def hang(request: Request, reference: Reference, ends: Ends) -> Chain:
    """Hang the shafts between output and pinion.

    A bearing's rubber gives way along its shaft, so that every shaft keeps its length wherever the
    output moves to; and across it under the mean sideways force, by one step from the unmoved
    bearing: a second one would move it by thousandths of a millimeter.

    Raises:
        GeometryError: If a shaft cannot reach or a joint folds to 90 degrees or more.

    Source:
        Derived in DEVELOPERS.md, the chain.
    """
    places = _read_places(request.configuration)
    chain = _hang(request, reference, ends, places)
    if not places:
        return chain
    torque = shaft_torque(request.configuration, request.wheel_torque)
    given = given_way(request.configuration, reference, chain, torque)
    return _hang(request, reference, ends, [p + given[..., k, :] for k, p in enumerate(places)])


def _hang(request: Request, reference: Reference, ends: Ends, places: Sequence[Array]) -> Chain:
    """Hang the shafts through bearings in given places."""
    configuration = request.configuration
    joint, axes, joints, centers = ends.output, [ends.output_axis], [], []
    output_slip = np.zeros(joint.shape[:-1])
    if configuration.output_spline is not None:
        to_bearing = reference.length[0] - reference.to_joint[0]
        output_slip = _slide(request, joint, axes[0], places[0], to_bearing, 1)
        joint = joint + output_slip[..., None] * axes[0]
    for number, (place, length, behind) in enumerate(
        zip(places, reference.length, reference.to_joint, strict=False), start=1
    ):
        axis, _ = _toward(request, joint, place, f"bearing {number}")
        joints.append(joint)
        axes.append(axis)
        centers.append(joint + np.asarray(length - behind)[..., None] * axis)
        joint = joint + np.asarray(length)[..., None] * axis
    last, pinion = len(configuration.shafts), ends.pinion
    if configuration.spline.at == "shaft":
        axis, distance = _toward(request, joint, pinion, "the pinion joint")
        slip = distance - reference.length[-1]
    else:
        slip = _slide(request, joint, axes[-1], pinion, reference.length[-1], last)
        joint = joint + slip[..., None] * axes[-1]
        axis, _ = _toward(request, joint, pinion, "the pinion joint")
    chain = Chain(
        joint_center=stacked([*joints, joint, pinion], 1),
        axis=stacked([*axes, axis, ends.pinion_axis], 1),
        slip=slip,
        output_slip=output_slip,
        bearing_center=stacked(centers, 1) if centers else np.empty((*slip.shape, 0, 3)),
    )
    _refuse_folded(request, chain.axis)
    return chain


def _read_places(configuration: Configuration) -> list[Array]:
    """Return where the scene says that the bearings are [m]."""
    return [bearing.point for bearing in configuration.bearings]


def _slide(
    request: Request, start: Array, along: Array, target: Array, length: float, shaft: int
) -> Array:
    """Return how far a joint slides along an axis so that its shaft of fixed length reaches."""
    q = target - start
    t = dot(q, along)
    radicand = length**2 - dot(q, q) + t**2
    request.refuse_where(
        radicand < 0,
        lambda s: (
            f"shaft {shaft} cannot reach: it is {request.say(length)} long, its far end lies "
            f"{request.say(np.sqrt(length**2 - radicand[s]))} off the axis that it slides on; "
            + request.look_at(s, "suspension")
        ),
    )
    # minus: the joint ahead of the far end
    return np.asarray(t - np.sqrt(np.maximum(radicand, 0.0)))


def _toward(request: Request, start: Array, target: Array, what: str) -> tuple[Array, Array]:
    """Return unit axes from joints toward a target, and the distances [m]."""
    apart = target - start
    distance = norm(apart)
    request.refuse_where(
        distance < COINCIDENT, lambda s: f"{what} and the joint ahead of it are at one point"
    )
    return apart / distance[..., None], distance


def _refuse_no_tube(request: Request) -> None:
    """Refuse tubes whose wall is none, or thicker than half of the outside diameter."""
    for number, shaft in enumerate(request.configuration.shafts, start=1):
        request.refuse_where(
            np.logical_not(shaft.tube.can_be),
            lambda s, n=number: f"the wall of its tube leaves no shaft {n}",  # type: ignore[misc]
        )


def _refuse_folded(request: Request, axis: Array) -> None:
    """Refuse states in which a joint bends to 90 degrees or more."""
    cosine = dot(axis[..., :-1, :], axis[..., 1:, :])

    def reason(state: int) -> str:
        worst = int(np.argmin(cosine[state]))
        bend = np.degrees(np.arccos(np.clip(cosine[state, worst], -1, 1)))
        what = "hang so low" if request.travel[state] < 0 else "stand so"
        return f"joint {worst + 1} would bend {bend:.0f} deg; the axle cannot {what} on this shaft"

    request.refuse_where(cosine.min(axis=-1) <= 0, reason)


def _own(request: Request) -> Reference:
    """Return the lengths that the configuration's own points give."""
    configuration = request.configuration
    ends = ends_at_ride(configuration)
    joint, lengths = ends.output, []
    for number, bearing in enumerate(configuration.bearings, start=1):
        axis, distance = _toward(request, joint, bearing.point, f"bearing {number}")
        lengths.append(distance + bearing.to_joint)
        joint = bearing.point + np.asarray(bearing.to_joint)[..., None] * axis
    _, distance = _toward(request, joint, ends.pinion, "the pinion joint")
    behind = [bearing.to_joint for bearing in configuration.bearings]
    return Reference(
        length=_by_part([*lengths, distance], distance.shape),
        to_joint=_by_part(behind, distance.shape),
        weight=np.empty(0),
        slip=0.0,
    )


def _by_part(columns: Sequence[ArrayLike], shape: tuple[int, ...]) -> Array:
    """Return one number for each part; of many designs a row of them, parts first."""
    table = np.array([np.broadcast_to(column, shape) for column in columns]).reshape(-1, *shape)
    return table[:, 0] if shape == (1,) else table


def _kept(request: Request) -> Reference:
    """Return the lengths of the other configuration, and the slip that makes them fit here."""
    configuration = request.configuration
    assert configuration.cut_as is not None
    other = reference_of(configuration.cut_as, replace(request, configuration=configuration.cut_as))
    ends = ends_at_ride(configuration)
    joint, to_joint = ends.output, list(other.to_joint)
    for i, bearing in enumerate(configuration.bearings):
        axis, distance = _toward(request, joint, bearing.point, f"bearing {i + 1}")
        if i > 0 or configuration.output_spline is None:
            to_joint[i] = other.length[i] - distance
        request.refuse_where(
            to_joint[i] < 0,
            lambda s, i=i: (  # type: ignore[misc]
                f'shaft {i + 1} of "{configuration.cut_as.name}" ends '
                f"{request.say(-np.min(to_joint[i]))} "
                f"ahead of bearing {i + 1}; look at bearing.{i + 1}.aft"
            ),
        )
        joint = bearing.point + np.asarray(to_joint[i])[..., None] * axis
    behind = _by_part(to_joint, np.broadcast_shapes(joint.shape[:-1], *map(np.shape, to_joint)))
    fitted = Reference(length=other.length, to_joint=behind, weight=np.empty(0), slip=0.0)
    slip = _hang(request, fitted, ends, _read_places(configuration)).slip
    _refuse_misfit(request, slip)
    kept: Any = slip if slip.size > 1 else float(slip[0])
    return replace(fitted, slip=kept)


def _refuse_misfit(request: Request, slip: Array) -> None:
    """Refuse shafts already cut whose spline bottoms or comes apart at ride height."""
    configuration = request.configuration
    assert configuration.cut_as is not None
    gap, engaged = configuration.spline.gap + slip, configuration.spline.engaged - slip
    whose = f'the spline of "{configuration.cut_as.name}" would be'
    request.refuse_where(
        gap < 0,
        lambda s: f"{whose} {request.say(-gap[s])} beyond its bottom; the shafts do not go in",
    )
    request.refuse_where(
        engaged <= 0,
        lambda s: f"{whose} {request.say(-engaged[s])} apart; the shafts are too short",
    )
