"""The unevenness of a turn: fluctuation, second order, and the phase that would suit two joints.

Speed ratios repeat every half turn of the output, so all that is asked for is samples that lie
evenly over whole half turns.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array
from sim.errors import DomainError
from sim.motion.frames import cross, dot, unit

UNEVEN = 0.02  # share of a step by which an engine's own angles may miss even spacing


def whole_turns(turn_angle: ArrayLike) -> int:
    """Return how many leading samples of (S, T) cover whole half turns, the closing one left out.

    Raises:
        DomainError: If the angles are uneven, too few, or do not reach half a turn.
    """
    angle = np.asarray(turn_angle, float)
    count = angle.shape[-1]
    step = (angle[..., -1] - angle[..., 0]).mean() / max(count - 1, 1)
    if count < 2 or step <= 0 or np.ptp(np.diff(angle, axis=-1)) > 2 * UNEVEN * step:
        raise DomainError("turn angles must rise evenly")
    half_turns = np.floor((count * step + UNEVEN * step) / np.pi)
    samples = half_turns * np.pi / step
    if half_turns < 1 or abs(samples - round(samples)) > 0.05:
        raise DomainError("turn angles must step evenly through whole half turns of the output")
    if samples / half_turns < 8:
        raise DomainError("turn angles must have 8 or more samples in a half turn")
    return int(samples.round())


def peak(samples: ArrayLike) -> Array:
    """Return the peak of periodic curves (..., T), by a parabola through their largest sample."""
    y = np.asarray(samples, float)
    top = np.argmax(y, axis=-1, keepdims=True)
    before, at, after = (
        np.take_along_axis(y, (top + shift) % y.shape[-1], axis=-1)[..., 0] for shift in (-1, 0, 1)
    )
    bend = 2 * at - before - after
    rise = np.divide((after - before) ** 2, 8 * bend, out=np.zeros_like(at), where=bend > 0)
    return np.asarray(at + rise)


def fluctuation(speed_ratio: ArrayLike) -> Array:
    r"""Return the speed fluctuation: largest minus smallest speed ratio over a turn.

    .. math:: U = \max R - \min R,\quad \text{for one joint } U = 1/\cos\beta - \cos\beta

    Speed ratios [-], (..., T), lie evenly over whole half turns.

    Source:
        Dana, industrial drive shafts catalogue, theory of the universal joint.
    """
    ratio = np.asarray(speed_ratio, float)
    return peak(ratio) + peak(-ratio)


def second_order(turn_angle: ArrayLike, speed_ratio: ArrayLike) -> tuple[Array, Array]:
    r"""Return amplitude and phase of what repeats twice in a turn.

    .. math:: A e^{j\psi} = 2\,\overline{R e^{-2j\theta}},\quad R \approx 1 + A\cos(2\theta+\psi)

    Of rotations of the output [rad] and speed ratios [-], (..., T): A [-], and ψ [rad] within ± π,
    which counts from the output's pin lying level and is 0 where there is no amplitude.

    Source:
        Discrete Fourier transform.
    """
    line = 2 * np.mean(
        np.asarray(speed_ratio, float) * np.exp(-2j * np.asarray(turn_angle, float)), axis=-1
    )
    amplitude = np.abs(line)
    return amplitude, np.where(amplitude > 1e-12, np.angle(line), 0.0)


def matched_phase(axis: ArrayLike) -> Array:
    r"""Return the phase that would let the two joints of every shaft cancel, if their angles match.

    It is the signed angle about the shaft from the plane of its front joint to that of its rear
    joint.  Where a joint is straight, its plane and the result mean nothing (0 is returned).

    .. math:: \gamma_i = \angle_{a_i}(a_{i-1} \times a_i,\ a_i \times a_{i+1}) \bmod \pi

    Axes (..., M, 3) give phases [rad] within ± π/2, (..., M − 2).

    Source:
        Condition: Elbe, technical pages, ch. 1 and 4 (joint planes turned against each other).
        Sign: derived, and confirmed by turning the pins in the tests.
    """
    a = np.asarray(axis, float)
    shaft = a[..., 1:-1, :]
    front, rear = cross(a[..., :-2, :], shaft), cross(shaft, a[..., 2:, :])
    along = dot(cross(front, rear), unit(shaft))
    return half_turn(np.arctan2(along, dot(front, rear)))


def half_turn(angle: ArrayLike) -> Array:
    """Return yokes' angles modulo half a turn [rad], above −π/2 and at most π/2."""
    a = np.asarray(angle, float)
    return np.asarray(a - np.pi * np.ceil(a / np.pi - 0.5))
