"""Angular accelerations that joints force on shafts and pinion, and the speed they belong to."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array
from sim.measure.ripple import fluctuation, peak
from sim.measure.waves import Unevenness
from sim.scene.parts import Vehicle


def shaft_speed(vehicle: Vehicle, road_speed: ArrayLike) -> Array:
    r"""Return the mean speed of the shafts at a road speed.

    .. math:: \omega = 2\pi\, i_a\, v / U

    Road speeds [m/s] of any shape give shaft speeds [rad/s].
    """
    turns = np.asarray(road_speed, float) / vehicle.tire_circumference
    return np.asarray(2 * np.pi * vehicle.axle_ratio * turns)


def per_turn(turn_angle: ArrayLike, curve: ArrayLike) -> Array:
    """Return the derivative of a periodic curve with the output's rotation [unit/rad].

    By Fourier transform; rotations [rad], (S, T), run evenly over whole half turns, the curve is
    (S, T, ...).
    """
    angle, y = np.asarray(turn_angle, float), np.asarray(curve, float)
    count = angle.shape[-1]
    period = (angle[..., -1] - angle[..., 0]).mean() * count / (count - 1)
    order = np.arange(count // 2 + 1) * (2 * np.pi / period)
    lines = np.fft.rfft(y, axis=1) * (1j * order).reshape(-1, *(1,) * (y.ndim - 2))
    return np.asarray(np.fft.irfft(lines, n=count, axis=1))


def unevenness_of_turn(turn_angle: ArrayLike, speed_ratio: ArrayLike) -> Unevenness:
    r"""Return how unevenly members turn, read off a turn at held postures.

    Torsional: the pinion's when the output turns steadily.  Inertial, drive: each shaft's when the
    output turns steadily.  Inertial, coast: each shaft's when the pinion turns steadily.

    .. math::
        \alpha_\text{torsional} = \omega^2 \max|R_p'|, \quad
        \alpha_\text{drive} = \omega^2 \max|R_i'|, \quad
        \alpha_\text{coast} = \omega^2 \max|(R_i/R_p)'/R_p|

    Of rotations of the output [rad], (S, T), evenly over whole half turns, and speed ratios to it
    [-], (S, T, M).

    Source:
        Kinematics of the universal joint; the three kinds are those of SAE AE-7 (from memory).
    """
    ratio = np.asarray(speed_ratio, float)
    shafts, pinion = ratio[..., 1:-1], ratio[..., -1:]
    drive = _largest(per_turn(turn_angle, ratio[..., 1:]))
    coast = _largest(per_turn(turn_angle, shafts / pinion) / pinion)
    swing = fluctuation(np.moveaxis(ratio[..., 1:], 1, -1)) / 2
    return Unevenness(swing=swing, drive=drive, coast=coast)


def _largest(curve: Array) -> Array:
    """Return the largest size over the turn, shape (S, members)."""
    samples = np.moveaxis(curve, 1, -1)
    return np.maximum(peak(samples), peak(-samples))
