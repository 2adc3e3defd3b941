r"""Torque that the joints' uneven turning leaves in the shafts, twice per turn.

Rotors stand at the joints (``torsional_modes.Rotors``).  Behind joint k the rotation is off by
:math:`e_k`, so shaft i winds up by :math:`\theta_{i-1} + e_{i-1} - \theta_i`, the last one by
:math:`e_N` more.  With the rows of B taking the difference of neighbors,

.. math:: (B^T k B + k_g - \omega^2 J)\, \theta = -B^T k e, \qquad T = k (B \theta + e)

k the lossy stiffness of every shaft, :math:`k_g` that of the tie of the last rotor to the ground.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.arrays import Array
from sim.measure.torsional_modes import rotors_of
from sim.scene.parts import Configuration


def twist_torque(
    inertia: ArrayLike,
    stiffness: ArrayLike,
    loss: ArrayLike,
    errors: ArrayLike,
    omega: ArrayLike,
    held: ArrayLike = 0.0,
) -> Array:
    """Return the amplitude of the torque in every shaft.

    Args:
        inertia: Of the rotor at every joint [kg m²], above 0, (..., J).
        stiffness: Of the shafts between them [N m/rad], (..., N), N = J − 1.
        loss: Loss factor of the shafts [-], (...).
        errors: What every joint adds to the rotation behind it [rad], complex amplitudes, (..., J).
        omega: Frequency of the shake [rad/s], (...).
        held: What ties the last rotor to the ground [N m/rad], (...); 0 leaves the row free.

    Returns:
        Torque [N m], zero to peak, (..., N).

    Source:
        Lumped rotors: any handbook of vibration; the joints' part is derived above.
    """
    mass, error = np.asarray(inertia, float), np.asarray(errors, complex)
    lossy = np.asarray(stiffness) * (1 + 1j * np.asarray(loss)[..., None])
    shafts = lossy.shape[-1]
    across = np.eye(shafts, shafts + 1) - np.eye(shafts, shafts + 1, 1)
    wound = error[..., :-1].copy()
    wound[..., -1] += error[..., -1]
    tied = np.zeros((*np.shape(held), shafts + 1))
    tied[..., -1] = held
    inert = tied - np.asarray(omega, float)[..., None] ** 2 * mass
    whole = across.T @ (lossy[..., None] * across) + inert[..., None] * np.eye(shafts + 1)
    turned = np.linalg.solve(whole, -((lossy * wound) @ across)[..., None])[..., 0]
    return np.asarray(np.abs(lossy * (turned @ across.T + wound)))


def uneven_torque(
    configuration: Configuration,
    length: Array,
    error: NDArray[np.complex128],
    speed: Array,
    loss: ArrayLike,
) -> Array | None:
    """Return the torque that swings twice per turn in every shaft.

    Args:
        configuration: Its numbers may be arrays of shape (B,).
        length: Of every shaft [m], (B, N).
        error: Of the rotation by every joint [rad], ``JointWaves.error``, (B, V, J), or (B, 1, J).
        speed: Of the shafts [rad/s], (B, V), or (1, V) for all.
        loss: Loss factor of the tubes [-], (B,) or a number.

    Returns:
        Torque [N m], zero to peak, (B, V, N); None where the scene does not say what turns along.
    """
    rotors = rotors_of(configuration, length)
    if rotors is None:
        return None
    return twist_torque(
        rotors.inertia[:, None],
        rotors.stiffness[:, None],
        np.reshape(loss, (-1, 1)),
        error,
        2 * speed,
        np.reshape(rotors.held, (-1, 1)),
    )
