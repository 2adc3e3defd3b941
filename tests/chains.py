"""Chains of joints at chosen angles, and the same chains turned by their pins alone.

``chain`` hangs shafts of one meter so that every member has the axis that is asked for.
``turned`` finds how far every member has turned from one fact only, that the two pins of a cross
stay perpendicular; speeds and accelerations come from it by finite differences.  It shares no
formula with the program.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import samples

from sim.measure.measure import measure
from sim.measure.measurements import Measurements
from sim.motion.frames import plan_of, slope_of
from sim.motion.motion import Motion
from sim.motion.solve import solve
from sim.motion.states import State
from sim.scene.parts import Bearing, Configuration, End, MeasuredAxle

DEG = np.pi / 180
RPM = 2 * np.pi / 60
TO_JOINT = 0.1
THREE_PHASES = (0.0, 10.0, -5.0)  # [deg] of the shafts of three_in_space


def planar(*angles: float) -> np.ndarray:
    """Return axes that bend by angles [deg] to and fro in the top view, the first one straight aft.

    Bending to and fro, or always the same way, makes no difference to the speed ratio.
    """
    signs = np.array([(-1) ** i for i in range(len(angles))])
    plan = np.concatenate([[0.0], np.cumsum(signs * np.array(angles))]) * DEG
    return np.stack([np.cos(plan), np.sin(plan), np.zeros_like(plan)], axis=-1)


def twisted(first: float, second: float, turn: float) -> np.ndarray:
    """Return axes of output, shaft and pinion: two angles whose planes are turned [all deg].

    The shaft lies straight aft.  The turn is right-handed about it, from the plane of the first
    joint to that of the second.
    """
    b1, b2, g = first * DEG, second * DEG, turn * DEG
    output = [np.cos(b1), -np.sin(b1), 0.0]
    pinion = [np.cos(b2), np.sin(b2) * np.cos(g), np.sin(b2) * np.sin(g)]
    return np.array([output, [1.0, 0.0, 0.0], pinion])


def chain(axes: np.ndarray, phases: Sequence[float] = (), like: Configuration | None = None):
    """Return a configuration whose members have these axes at ride height.

    Args:
        axes: Unit axes of output, shafts and pinion, shape (M, 3).
        phases: Phase of every shaft [deg]; in line where left out.
        like: Gives the vehicle; default: the one-piece sample.
    """
    shafts = len(axes) - 2
    phases = tuple(phases) or (0.0,) * shafts
    joint, bearings = np.zeros(3), []
    for axis in axes[1:-2]:
        point = joint + (1.0 - TO_JOINT) * axis
        bearings.append(Bearing(point=point, to_joint=TO_JOINT, skew=0.0, radial=8e4, axial=3e4))
        joint = joint + axis
    end = joint + axes[-2]
    return replace(
        like or samples.one_piece(),
        output=End(point=np.zeros(3), slope=float(slope_of(axes[0])), plan=float(plan_of(axes[0]))),
        pinion=End(point=end, slope=float(slope_of(axes[-1])), plan=float(plan_of(axes[-1]))),
        axle=end + np.array([0.3, 0.0, 0.0]),
        suspension=None,
        travel=None,
        shafts=tuple(samples.shaft(88.9, phase=phase) for phase in phases),
        bearings=tuple(bearings),
        joints=tuple(samples.joint() for _ in range(shafts + 1)),
        spline=samples.spline("shaft", 45, 85, 60, 16),
    )


def at_ride(configuration: Configuration, shaft_speed: float = 100.0) -> State:
    """Return ride height without torque, the shafts turning at a speed [rad/s]."""
    vehicle = configuration.vehicle
    road = shaft_speed / (2 * np.pi) * vehicle.tire_circumference / vehicle.axle_ratio
    return State(
        height="ride height",
        case="no torque",
        travel=0.0,
        roll=0.0,
        wheel_torque=0.0,
        shaft_torque=0.0,
        turning=True,
        road_speed=road,
    )


def measured(
    axes: np.ndarray,
    phases: Sequence[float] = (),
    *,
    shaft_speed: float = 100.0,
    samples_per_turn: int = 720,
) -> Measurements:
    """Return what the program measures on a chain at ride height."""
    configuration = chain(axes, phases)
    angle = np.linspace(0.0, 2 * np.pi, samples_per_turn, endpoint=False)
    states = [at_ride(configuration, shaft_speed)]
    return measure(solve(configuration, states=states, turn_angle=angle))


def turned(axes: np.ndarray, phases: Sequence[float], theta: np.ndarray) -> np.ndarray:
    """Return the turn of every member [rad], shape (T, M), at turns of the output [rad], (T,).

    The output's pin lies level at 0.  The pin of a driven yoke is the one direction square to its
    own axis and to the driving pin; its turn is followed continuously.
    """
    level = np.array([0.0, 1.0, 0.0])
    start = level - (level @ axes[0]) * axes[0]
    start /= np.linalg.norm(start)
    pin = np.outer(np.cos(theta), start) + np.outer(np.sin(theta), np.cross(axes[0], start))
    turns = [theta]
    for number, axis in enumerate(axes[1:]):
        across = np.cross(axis, pin)
        across /= np.linalg.norm(across, axis=-1, keepdims=True)
        side = across[0]
        up = np.cross(axis, side)
        turns.append(np.unwrap(np.arctan2(across @ up, across @ side)))
        if number < len(phases):
            phase = phases[number] * DEG
            pin = np.cos(phase) * across + np.sin(phase) * np.cross(axis, across)
    return np.stack(turns, axis=-1)


def three_in_space() -> tuple[Motion, Measurements]:
    """Return three shafts on two bearings, askew, in a state away from their reference."""
    mm = samples.place
    slope = np.arctan2(np.tan(1.5 * DEG), np.hypot(1.0, np.tan(0.2 * DEG)))
    table = MeasuredAxle(
        travel=np.array([0.0, 0.06]),
        point=np.stack([mm(2600, 20, -190), mm(2590, 20, -130)]),
        slope=np.array([2.5 * DEG, slope]),
        plan=np.array([0.0, 0.2 * DEG]),
        wind_up=1e5,
    )
    made = replace(
        chain(planar(1, 1, 1, 1), THREE_PHASES),
        output=End(point=mm(0, 0, 0), slope=3 * DEG, plan=0.0),
        pinion=End(point=mm(2600, 20, -190), slope=2.5 * DEG, plan=0.0),
        axle=mm(2900, 0, -200),
        suspension=table,
        travel=samples.Travel(droop=0.0, bump=0.06, parked_low=None, roll=0.0),
        bearings=(samples.bearing(620, 4, -36, 110), samples.bearing(1500, 6, -100, 120)),
        spline=samples.spline("midship", 45, 85, 60, 16),
    )
    configuration = samples.rigid(made)
    state = replace(at_ride(configuration), height="", travel=0.06)
    angle = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    motion = solve(configuration, states=[state], turn_angle=angle)
    return motion, measure(motion)
