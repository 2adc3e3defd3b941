"""How far the joints bend the shafts twice per turn, in every mode of the row on its supports."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array
from sim.measure.shake.couples import joint_waves, polar_inertia
from sim.measure.shake.loads import couple_loads
from sim.measure.shake.response import longest
from sim.measure.shake.row import row_of
from sim.measure.shake.unknown import UNKNOWNS, levers_of
from sim.measure.whirl.modes import chain_modes, deflected, meshes_of
from sim.measure.whirl.whirl import spans_of
from sim.scene.parts import Configuration

TUBE_LOSS = next(one.usual for one in UNKNOWNS if one.name == "tube loss")


def bent_by_joints(
    configuration: Configuration, axis: Array, length: ArrayLike, torque: float, turning: float
) -> Array:
    r"""Return how far the shafts swing in every mode of ``measure_whirl``, by their joints.

    .. math:: w_k = \frac{|\phi_k|_{max}\, |\sum_c f_{kc}|}
        {|\omega_k^2 (1 + j\eta) - 4 \Omega^2|}

    Of unit modal mass, φ being its shape and f the load of one joint moment on it.  Gearbox and
    axle are rigid; the loss is that of a usual tube, which near a mode decides alone.

    Args:
        configuration: Whose shafts.
        axis: Unit axes of all members, pointing aft, (M, 3).
        length: Of every shaft, joint center to joint center [m], (N,).
        torque: In the output [N m].
        turning: Shaft speed [rad/s].

    Returns:
        Largest deflection anywhere along the row, zero to peak, in its longest direction [m], (K,).

    Source:
        Modal superposition: any text on structural dynamics.
    """
    long = np.atleast_2d(np.asarray(length, float))
    waves = joint_waves(configuration, axis[None], polar_inertia(configuration, long))
    loads = couple_loads(row_of(configuration, long), waves, levers_of(configuration))
    sizes = torque * loads.by_torque[0] + turning**2 * loads.by_speed[0]
    spans = spans_of(configuration, long[0], rubber=True)
    modes, meshes = chain_modes(spans), meshes_of(spans)
    freedoms = [int(own[0].freedom[1]) for own in meshes]
    freedoms += [int(own[-1].freedom[3]) for own in meshes]
    freedoms += [meshes[0][0].front, meshes[-1][-1].rear]
    square = modes.frequency[0] ** 2
    swings = modes.shape[0][:, freedoms] @ sizes
    swings = swings / (square * (1 + 1j * TUBE_LOSS) - 4 * turning**2)[:, None]
    largest = np.abs(deflected(spans, modes)[1]).max(axis=1)
    return np.asarray(longest(swings[:, 0], swings[:, 1]) * largest)
