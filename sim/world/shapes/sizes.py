"""Sizes of a joint's parts that no scene gives, in proportion to what it does give.

Proportions of common cross-and-yoke joints: common practice, no source.  They make the picture
look right; no number that is measured or judged depends on them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import assert_never

from sim.scene.parts import Configuration, JointKind

BEARING_HALF = 0.017
"""Half the width of a center bearing's bracket [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JointSize:
    """One joint.

    Attributes:
        half_span: Joint center to the outer face of an ear [m].
        cap: Radius of a bearing cap [m].
        reach: Joint center to where the yoke ends in a tube, a flange or a neck [m].
        inside: Half the free width between the ears [m].
        kind: What joint it is.
        apart: Joint center to the center of each cross [m]; 0 but for a double Cardan joint.
        bell_ahead: Whether the housing of a constant velocity joint is ahead of it.
        plunge: How far such a joint slides in all [m].
    """

    half_span: float
    cap: float
    reach: float
    inside: float
    kind: JointKind = "universal"
    apart: float = 0.0
    bell_ahead: bool = True
    plunge: float = 0.0

    @property
    def boss(self) -> float:
        """Radius of the ear around its cap [m]."""
        return 1.52 * self.cap

    @property
    def neck(self) -> float:
        """Radius of a slip yoke's barrel [m]."""
        return 0.58 * self.half_span


def joint_size(configuration: Configuration, number: int) -> JointSize:
    """Return the sizes of a joint by its place from the front, from 0."""
    joint = configuration.joints[number]
    half_span, apart = 0.97 * joint.swing_radius, joint.between_crosses / 2
    return JointSize(
        half_span=half_span,
        cap=0.29 * half_span,
        reach=apart + _reach(joint.kind) * half_span,
        inside=0.63 * half_span,
        kind=joint.kind,
        apart=apart,
        bell_ahead=_bell_ahead(configuration, number),
        plunge=joint.plunge or 0.0,
    )


def _reach(kind: JointKind) -> float:
    """Return how far a part ends from a cross, or another joint's center, in half spans."""
    match kind:
        case "universal" | "double cardan":
            return 1.38
        case "constant velocity":
            return 1.75
        case "flexible":
            return 0.95
    assert_never(kind)


def _bell_ahead(configuration: Configuration, number: int) -> bool:
    """Return whether a housing stands ahead of its joint: on a unit, or on the shaft that slides.

    A joint that slides along the last shaft has its housing there.
    """
    last = len(configuration.joints) - 1
    if configuration.joints[number].plunge is None:
        return number < last
    return not (configuration.spline.at == "shaft" and number == last - 1)


def journal(configuration: Configuration, bearing: int) -> float:
    """Return the radius of the stub that carries a center bearing [m], bearings from 0."""
    return 0.23 * configuration.shafts[bearing].tube.outside


def half_track(configuration: Configuration) -> float:
    """Return half the distance of the tire centers [m]; 1650 mm apart where none is given."""
    track = configuration.vehicle.track
    return (1.650 if track is None else track) / 2


def rail_side(configuration: Configuration) -> float:
    """Return how far a frame rail's web stands from the middle [m]."""
    return 0.52 * half_track(configuration)
