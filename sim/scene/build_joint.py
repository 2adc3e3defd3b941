"""Joints of a set-up: what no scene says of them follows from their kind and their tubes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from sim.scene.shaft_parts import Joint, JointKind, Shaft
from sim.scene.structure import Structure
from sim.scene.values import Values, plain

BINDS_AT = {  # [deg], common practice, no source
    "universal": 20.0,
    "double cardan": 28.0,
    "constant velocity": 18.0,
    "flexible": 3.0,
}
SWING = 1.35  # swing radius over tube radius, common practice, no source
HALVED_AT = 15.0  # [deg], where halving_error is meant without another angle


def joint(v: Values, s: Structure, number: int, shafts: Sequence[Shaft]) -> Joint:
    """Return a joint.

    Args:
        v: The values.
        s: The structure.
        number: Number of the joint, from 1.
        shafts: All shafts from the front; the tubes beside the joint say how large it is.

    Returns:
        The joint.
    """
    path, kind = f"joint.{number}", s.joints[number - 1]
    beside = shafts[max(number - 2, 0) : number]
    radius = np.maximum.reduce([np.asarray(shaft.tube.outside) / 2 for shaft in beside])
    binds = BINDS_AT[kind]
    return Joint(
        kind=kind,
        between_crosses=_between_crosses(v, path, kind),
        largest_angle=v.derive(
            f"{path}.largest_angle", math.radians(binds), f"{binds:.0f} deg", "assumed"
        ),
        swing_radius=v.derive(
            f"{path}.swing_radius",
            plain(SWING * radius),
            "1.35 times the radius of the larger tube",
        ),
        rated_torque=v.get(f"{path}.rated_torque"),
        life_rating=v.get(f"{path}.life_rating"),
        life_basis=s.life_bases.get(number),
        **_halving(v, path),
        **_plunge(v, path),
    )


def _halving(v: Values, path: str) -> dict[str, Any]:
    """Return by how much a coupling yoke fails to halve the angle [rad], and at which [rad]."""
    error = v.get(f"{path}.halving_error")
    if error is None:
        return {}
    at = v.derive(f"{path}.halving_error_at", math.radians(HALVED_AT), "15 deg", "assumed")
    return {"halving_error": error, "halving_error_at": at}


def _plunge(v: Values, path: str) -> dict[str, Any]:
    """Return how far a joint may slide in all, and how much is left to slide together [m]."""
    plunge = v.get(f"{path}.plunge")
    if plunge is None:
        return {}
    inward = v.derive(f"{path}.plunge_in", plunge / 2, "half of plunge", "assumed")
    return {"plunge": plunge, "plunge_in": inward}


def _between_crosses(v: Values, path: str, kind: JointKind) -> Any:
    """Return the distance of the crosses of a double Cardan joint [m]; others have but one."""
    if kind != "double cardan":
        return 0.0
    return v[f"{path}.between_crosses"]


def stroke(v: Values, joints: Sequence[Joint]) -> dict[str, Any]:
    """Return the stroke of the spline; a plunging joint in its place has its plunge left.

    Args:
        v: The values.
        joints: All joints.

    Returns:
        Gap, engaged and least engaged length [m].
    """
    for joint in joints:
        if joint.plunge is not None:
            outward = joint.plunge - joint.plunge_in
            return {"gap": joint.plunge_in, "engaged": outward, "least_engaged": 0.0}
    return {key: v[f"spline.{key}"] for key in ("gap", "engaged", "least_engaged")}
