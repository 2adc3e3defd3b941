"""[limits]: limits of the shop."""

from __future__ import annotations

from dataclasses import dataclass

from sim.scene.allowed import In
from sim.scene.keys import default, optional
from sim.scene.structure import Structure
from sim.scene.table import Table
from sim.scene.tables.obstacle import WANTED
from sim.scene.tables.vehicle import row
from sim.scene.values import Values
from sim.units import ACCELERATION, ANGLE, DISTANCE, LENGTH, SHARE

BY_RULES = "by the rule set"
LIMIT_ANGLE = In(ANGLE, "0 to 30 deg", "3 deg", exact=True)
LIMIT_ACCELERATION = In(ACCELERATION, "1 to 10000 rad/s2", "300 rad/s2", exact=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Limits of the shop; None where the shop sets none."""

    gap: float  # least gap to bottoming [m]
    clearance: float  # least clearance to an obstacle [m]
    ground: float | None  # least ground clearance [m], or None
    safe_share: float  # share of the critical speed that may be used [-]
    # keys of [limits] that the scene writes itself; only these can fail where no published source
    # stands behind them
    set_by_shop: frozenset[str] = frozenset()
    least_angle: float | None = None  # [rad], or None
    largest_angle: float | None = None  # [rad], or None
    front_joint: float | None = None  # [rad], or None
    pair_difference: float | None = None  # [rad], or None
    torsional: float | None = None  # [rad/s²], or None
    inertial: float | None = None  # [rad/s²], or None
    launch_motion: float | None = None  # largest swing of a bearing in its rubber [m], or None
    joint_life: float | None = None  # least distance that the joint bearings live [m], or None


class LimitsKeys(Table):
    """Limits of the shop, where no source gives one."""

    gap = default("6 mm", In(LENGTH, "0 to 50 mm", "6 mm", exact=True), "Least gap to bottoming.")
    clearance = default("10 mm", WANTED, "Least clearance to an obstacle.")
    ground = optional(
        In(LENGTH, "0 to 500 mm", "150 mm", exact=True), "Least ground clearance.", "not judged"
    )
    safe_share = default(
        "70 %",
        In(SHARE, "30 to 100 %", "70 %", exact=True),
        "Share of the critical speed that may be used.",
    )
    least_angle = optional(LIMIT_ANGLE, "Least joint angle.", BY_RULES).also("min_angle")
    largest_angle = optional(LIMIT_ANGLE, "Largest joint angle.", BY_RULES).also("max_angle")
    front_joint = optional(
        LIMIT_ANGLE, "Largest angle of the first joint ahead of a center bearing.", BY_RULES
    )
    pair_difference = optional(
        LIMIT_ANGLE, "Largest difference of the two angles of a pair.", BY_RULES
    )
    torsional = optional(LIMIT_ACCELERATION, "Largest acceleration of the pinion.", BY_RULES)
    inertial = optional(LIMIT_ACCELERATION, "Largest acceleration of a shaft.", BY_RULES)
    launch_motion = optional(
        In(LENGTH, "0.1 to 50 mm", "1 mm", exact=True),
        "Largest swing of a bearing in its rubber while pulling away; never more than watched.",
        BY_RULES,
    )
    joint_life = optional(
        In(DISTANCE, "1000 to 10000000 km", "250000 km"),
        "Least life of the joint bearings under the duty.",
        BY_RULES,
    )


def limits(v: Values, s: Structure) -> Limits:
    """Return the limits of the shop."""
    return Limits(set_by_shop=s.set_by_shop, **row(v, "limits", Limits, ("set_by_shop",)))
