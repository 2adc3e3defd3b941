"""[spline] and [output_spline]: what slides."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from sim.scene.allowed import In
from sim.scene.keys import Problem, choice, default, need, optional
from sim.scene.structure import Coating, SplinePlace, Structure
from sim.scene.table import Table
from sim.scene.tables.joint import Joint
from sim.scene.values import Values
from sim.units import CLOCK, LENGTH, TEETH

GAP = In(LENGTH, "0 to 400 mm", "45 ± 2 mm", "0 to 160 mm")
ENGAGED = In(LENGTH, "1 to 500 mm", "85 ± 2 mm", "10 to 250 mm")
BY_JOINT = "by the plunging joint; needed without one"


@dataclass(frozen=True, slots=True, kw_only=True)
class Spline:
    """The one spline that follows the axle."""

    # "output", "midship" (on the stub behind the last bearing) or "shaft" (inside the last)
    at: SplinePlace
    gap: float  # gap to bottoming at ride height [m]
    engaged: float  # engaged length at ride height [m]
    shorter: float | None  # length of the shorter of the two splines [m], or None
    least_engaged: float  # engaged length it must never go below [m]
    teeth: int | None  # number of teeth, or None
    off_by: float  # how far from its index marks it was assembled [rad]
    diameter: float | None = None  # mean diameter of its teeth [m], or None
    coating: Coating = "greased steel"  # what slides in it


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputSpline:
    """A slip yoke on the output ahead of a center bearing; it does not follow the axle."""

    gap: float
    engaged: float


class SplineKeys(Table):
    """The spline that follows the axle."""

    at = choice(
        SplinePlace,
        "Where it slides: output, a slip yoke on the output; midship, a slip yoke on the stub "
        "behind the last bearing; shaft, inside the last shaft.",
    ).also("location place position")
    gap = optional(GAP, "Gap to bottoming, at ride height.", BY_JOINT).also("slip")
    engaged = optional(ENGAGED, "Engaged length, at ride height.", BY_JOINT).also("engagement")
    shorter = optional(
        In(LENGTH, "5 to 600 mm", "110 mm", "25 to 300 mm"),
        "Length of the shorter of its two splines.",
        "not known",
    )
    least_engaged = default(
        "50 mm",
        In(LENGTH, "1 to 300 mm", "60 mm", exact=True),
        "Engaged length it must never go below.",
    )
    teeth = optional(
        In(TEETH, "6 to 60 teeth", "16 teeth", "10 to 48 teeth"), "Number of teeth.", "not known"
    ).also("tooth tooth_count count")
    diameter = optional(
        In(LENGTH, "10 to 200 mm", "40 mm", "20 to 110 mm"),
        "Mean diameter of its teeth.",
        "its friction is not looked at",
    )
    coating = choice(Coating, "What slides in it.", "greased steel")
    off_by = default(
        "0 deg",
        In(CLOCK, "-90 to 90 deg", "1 tooth", apart=(-20.0, 20.0)),
        "How far from its index marks it was assembled.",
    )

    def check(self) -> Iterator[Problem]:
        """Refuse teeth that are not counted."""
        if self.off_by.unit in ("tooth", "teeth") and self.teeth is None:
            words = 'then teeth must be known, as in teeth = "16 teeth"'
            yield ("off_by",), f" is {self.off_by.text}; {words}"


class OutputSplineKeys(Table):
    """A slip yoke on the output ahead of a center bearing; it does not follow the axle."""

    gap = need(GAP, "Gap to bottoming.")
    engaged = need(ENGAGED, "Engaged length.")


def off_by(v: Values, s: Structure) -> Any:
    """Return how far from its index marks the spline was assembled [rad]."""
    off = v["spline.off_by"]
    in_teeth = s.is_taken("spline.off_by", "teeth")
    return off * 2 * math.pi / v["spline.teeth"] if in_teeth else off


def spline(v: Values, s: Structure, joints: Sequence[Joint]) -> Spline:
    """Return the spline that follows the axle."""
    teeth = v.get("spline.teeth")
    return Spline(
        at=s.spline,
        **_stroke(v, joints),
        shorter=v.get("spline.shorter"),
        teeth=teeth if teeth is None or np.ndim(teeth) else int(teeth),
        off_by=off_by(v, s),
        diameter=v.get("spline.diameter"),
        coating=s.coating,
    )


def _stroke(v: Values, joints: Sequence[Joint]) -> dict[str, Any]:
    """Return gap, engaged and least engaged length [m]; a plunging joint has its plunge left."""
    for joint in joints:
        if joint.plunge is not None:
            outward = joint.plunge - joint.plunge_in
            return {"gap": joint.plunge_in, "engaged": outward, "least_engaged": 0.0}
    return {key: v[f"spline.{key}"] for key in ("gap", "engaged", "least_engaged")}


def output_spline(v: Values) -> OutputSpline | None:
    """Return the slip yoke on the output ahead of a bearing, or None."""
    if "output_spline.gap" not in v:
        return None
    return OutputSpline(gap=v["output_spline.gap"], engaged=v["output_spline.engaged"])
