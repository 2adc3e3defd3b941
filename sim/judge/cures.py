"""The one change that would cure a finding, worked out on the model and put into its remedy.

Each cure changes one thing: a bearing's place, a wedge, the gap, a shaft's length, a clock angle.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from sim.display import amount
from sim.errors import GeometryError
from sim.judge.findings import Finding
from sim.judge.part import ride_height
from sim.measure.measurements import Measurements
from sim.measure.ripple import fluctuation
from sim.motion.frames import (
    angle_between,
    axis_from_slope,
    plan_of,
    rotation_y,
    side_slope_of,
    slope_of,
)
from sim.motion.postures import postures
from sim.motion.solve import solve
from sim.motion.states import State
from sim.scene.parts import Configuration, FrameMounted, MeasuredAxle

Array = NDArray[np.float64]
Change = Callable[[float], Configuration]

COUPLING_TARGET = math.radians(1.25)  # middle of the published 1 to 1.5 deg
TRIAL = 1e-3  # [m or rad], for differences
FARTHEST = 0.2  # [m], no bracket moves further
LARGEST_WEDGE = math.radians(8)
STOCK_TUBES = tuple(25.4e-3 * inches for inches in (3.0, 3.5, 4.0, 4.5, 5.0))
"""Outside diameters of common shaft tubes [m]; from memory, ask the supplier."""


def with_cures(m: Measurements, findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Return findings with the cure in their remedy, where the model knows one.

    Args:
        m: What was measured.
        findings: The verdicts on it.

    Returns:
        The same findings in the same order.
    """
    return tuple(_cured(m, finding) for finding in findings)


def _cured(m: Measurements, finding: Finding) -> Finding:
    """Return a finding with its cure; one that passes needs none."""
    cure = _CURES.get(finding.rule)
    elsewhere = cure in AT_RIDE_HEIGHT and finding.state not in _ride(m)
    if finding.verdict == "passes" or cure is None or elsewhere:
        return finding
    try:
        words = cure(m, finding)
    except GeometryError:  # the change leads where the parts cannot go
        return finding
    return replace(finding, remedy=f"{words} {finding.remedy}") if words else finding


def _ride(m: Measurements) -> list[State]:
    """Return the states at ride height without torque."""
    return [m.states[number] for number in ride_height(m.states)]


def _number(finding: Finding) -> int:
    """Return the number of the part of a finding."""
    assert finding.part is not None
    return finding.part.number


def _mm(m: Measurements, length: float) -> str:
    """Return a length in words, in the units in which the vehicle was read."""
    return amount(1000 * length, "mm", m.configuration.display)


def _enough(m: Measurements, length: float, way: int) -> str:
    """Return a length rounded up (way 1) or down (way −1) to what is printed, so that it does."""
    step = 0.01 * 25.4e-3 if m.configuration.display == "inch" else 0.1e-3
    return _mm(m, way * math.ceil(way * length / step - 1e-6) * step)


def _ride_axes(configuration: Configuration) -> Array:
    """Return the axes of all members at ride height without torque, (M, 3)."""
    return np.asarray(postures(configuration, [0.0]).axis[0])


def _joints(axes: Array) -> Array:
    """Return the joint angles between axes [rad], (J,)."""
    return angle_between(axes[:-1], axes[1:])


def _bend(axes: Array, joint: int) -> Array:
    """Return the two parts of a joint's bend [rad]: in side view and across."""
    slopes, plans = side_slope_of(axes[joint : joint + 2]), plan_of(axes[joint : joint + 2])
    return np.array([np.diff(slopes)[0], np.diff(plans)[0] * math.cos(slope_of(axes[joint]))])


# --- bearing ----------------------------------------------------------------------------------


def _move_bearing(m: Measurements, finding: Finding) -> str:
    """Return by how much one bearing moves up or sideways to straighten the joint ahead of it."""
    joint = _number(finding)
    heavy = finding.rule.startswith("coupling")
    limit = math.radians(finding.limit or 0.0)
    target = COUPLING_TARGET if heavy else limit / 2
    best = min(
        (_moved(m, joint, way, target) for way in (2, 1)),
        key=lambda found: abs(found[1][joint - 1] - target),
    )
    distance, angles, way = best
    if not 0 < abs(distance) <= FARTHEST:
        return ""
    word = {2: ("up", "down"), 1: ("to the right", "to the left")}[way][distance < 0]
    others = ", ".join(
        f"joint {k + 1} {math.degrees(a):.1f}" for k, a in enumerate(angles) if k != joint - 1
    )
    return (
        f"Move bearing {joint} by {_mm(m, abs(distance))} {word}: joint {joint} then bends by "
        f"{math.degrees(angles[joint - 1]):.2f} deg ({others} deg)."
    )


def _moved(
    m: Measurements, joint: int, way: int, target: float
) -> tuple[float, tuple[float, ...], int]:
    """Return how far a bearing moves along one axis, the joint angles then, and the axis."""
    configuration = m.configuration

    def change(distance: float) -> Configuration:
        bearing = configuration.bearings[joint - 1]
        point = bearing.point.copy()
        point[way] += distance
        bearings = list(configuration.bearings)
        bearings[joint - 1] = replace(bearing, point=point)
        return replace(configuration, bearings=tuple(bearings), cut_as=None)

    start = _bend(_ride_axes(configuration), joint - 1)
    per = (_bend(_ride_axes(change(TRIAL)), joint - 1) - start) / TRIAL
    distance = round(_reach(start, per, target), 3)
    return distance, tuple(_joints(_ride_axes(change(distance))).tolist()), way


def _reach(start: Array, per: Array, target: float) -> float:
    """Return the least x for which the bend start + x·per has the size of the target, or nearest.

    A quadratic in x; where it has no root, the bend never gets as small: its least is taken.
    """
    square, half = float(per @ per), float(start @ per)
    inside = half**2 - square * (float(start @ start) - target**2)
    root = math.sqrt(max(inside, 0.0))
    return min(((-half + way * root) / square for way in (1, -1)), key=abs)


# --- pinion -----------------------------------------------------------------------------------


def _turn_pinion(m: Measurements, finding: Finding) -> str:
    """Return by how much the pinion turns on wedges to make the last two joints alike."""
    if isinstance(m.configuration.suspension, MeasuredAxle):
        return ""

    def apart(angle: float) -> float:
        last = _joints(_ride_axes(_wedged(m.configuration, angle)))[-2:]
        return float(last[0] - last[1])

    angle = 0.0
    for _ in range(4):
        here = apart(angle)
        per = (apart(angle + TRIAL) - here) / TRIAL
        if abs(per) < 1e-3:
            return ""
        angle -= here / per
    angle = math.radians(round(math.degrees(angle), 1))
    if not 0 < abs(angle) <= LARGEST_WEDGE:
        return ""
    way = "up" if angle > 0 else "down"
    left = math.degrees(abs(apart(angle)))
    return (
        f"Turn the pinion nose {way} by {math.degrees(abs(angle)):.1f} deg: {finding.where} then "
        f"differ by {left:.2f} deg."
    )


def _wedged(configuration: Configuration, angle: float) -> Configuration:
    """Return a configuration with its pinion turned nose up about the axle center."""
    turn, pinion = rotation_y(angle), configuration.pinion
    carrier = configuration.suspension
    about = carrier.mount if isinstance(carrier, FrameMounted) else configuration.axle
    axis = turn @ axis_from_slope(pinion.slope, pinion.plan)
    turned = replace(
        pinion,
        point=about + turn @ (pinion.point - about),
        slope=float(slope_of(axis)),
        plan=float(plan_of(axis)),
    )
    return replace(configuration, pinion=turned, cut_as=None)


# --- spline -----------------------------------------------------------------------------------


def _more_gap(m: Measurements, finding: Finding) -> str:
    """Return how much gap at ride height would keep the least gap everywhere."""
    limits, spline = m.configuration.limits, m.configuration.spline
    missing = limits.gap - finding.value / 1000
    engaged = min([s.least_engaged for s in m.slip_limits] or [float(m.engaged.min())])
    words = (
        f"With a gap of {_enough(m, spline.gap + missing, 1)} at ride height in place of "
        f"{_mm(m, spline.gap)}, by a shaft that is {_enough(m, missing, 1)} shorter, "
        f"{_mm(m, limits.gap)} would be left."
    )
    if engaged - missing < spline.least_engaged:
        words += " It would leave too little engaged: the spline needs more stroke."
    return words


def _more_engaged(m: Measurements, finding: Finding) -> str:
    """Return how much longer a shaft or spline would keep the least engaged length."""
    spline = m.configuration.spline
    missing = spline.least_engaged - finding.value / 1000
    gap = min([s.least_gap for s in m.slip_limits] or [float(m.gap.min())])
    fits = gap - missing >= m.configuration.limits.gap
    what = "A shaft" if fits else "A spline"
    why = "" if fits else ", since a longer shaft would bottom,"
    kept = _mm(m, spline.least_engaged)
    return f"{what} that is {_enough(m, missing, 1)} longer{why} keeps {kept} engaged."


# --- whirl, clocking, bracket -----------------------------------------------------------------


def _whirl_slower(m: Measurements, finding: Finding) -> str:
    """Return the length, the tube or the road speed that would keep the share of critical."""
    number = _number(finding)
    critical = m.critical_speeds[number - 1]
    tube, top = m.configuration.shafts[number - 1].tube, m.configuration.vehicle.top_speed
    more = top / critical.safe_road_speed
    length = critical.length / math.sqrt(more)
    # D² + (D − 2w)² = more² (D₀² + d₀²), solved for D
    squares = more**2 * (tube.outside**2 + tube.inside**2)
    outside = tube.wall + math.sqrt(squares / 2 - tube.wall**2)
    slow = amount(3.6 * critical.safe_road_speed, "km/h", m.configuration.display)
    short = (
        f"Shaft {number} at most {_enough(m, length, -1)} long in place of "
        f"{_mm(m, critical.length)}"
    )
    stock = next((size for size in STOCK_TUBES if size >= outside), None)
    if stock is None:
        largest = _mm(m, STOCK_TUBES[-1])
        return (
            f"{short} would do; no common tube up to {largest} with the same wall would. "
            f"Else keep to {slow}."
        )
    return (
        f"{short}, or a tube of {_mm(m, stock)} with the same wall (the next common size), would "
        f"do; else keep to {slow}."
    )


def _clock_back(m: Measurements, finding: Finding) -> str:
    """Return what the pinion's fluctuation would be with the yokes of a shaft in line."""
    index = _number(finding) - 1
    configuration, ride = m.configuration, ride_height(m.states)
    if not ride:
        return ""
    shafts = list(configuration.shafts)
    shafts[index] = replace(shafts[index], phase=0.0)
    in_line = replace(configuration, shafts=tuple(shafts))
    ratio = solve(in_line, states=[m.states[ride[0]]]).speed_ratio
    then = 100 * float(fluctuation(np.moveaxis(ratio, 1, -1))[0, -1])
    now = 100 * float(m.fluctuation[ride[0], -1])
    change = f"in place of {now:.2f} %" if abs(now - then) >= 0.005 else "just as it does now"
    return f"In line, the pinion's speed would fluctuate by {then:.2f} % at ride height, {change}."


def _square_up(m: Measurements, finding: Finding) -> str:
    """Return by how much a bracket turns back."""
    return f"Turn the bracket back by {finding.value:.1f} deg."


_CURES: dict[str, Callable[[Measurements, Finding], str]] = {
    "front joint, most": _move_bearing,
    "coupling joint, least": _move_bearing,
    "coupling joint, most": _move_bearing,
    "pair difference": _turn_pinion,
    "bottoming": _more_gap,
    "gap reserve": _more_gap,
    "pull-out": _more_engaged,
    "engaged reserve": _more_engaged,
    "critical speed": _whirl_slower,
    "yoke phase": _clock_back,
    "index marks": _clock_back,
    "bracket skew": _square_up,
}
AT_RIDE_HEIGHT = (_move_bearing, _turn_pinion)
"""Cures that are worked out there, and said of no other state."""
