r"""A double Cardan joint: two crosses held by a coupling yoke, whose axis should halve the angle.

With the coupling yoke's axis c exactly halfway between the axes a and b the two crosses cancel and
the joint runs even.  A centering device that is worn or out of the middle leaves the half:  the
front cross then bends by the share :math:`s = 1/2 + e/\beta` of the joint angle β, where the error
e grows with the angle.  Both axes and c lie in one plane:

.. math:: c = \frac{\sin((1-s)\beta)\, a + \sin(s\beta)\, b}{\sin\beta}
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array
from sim.motion.frames import angle_between
from sim.scene.parts import Joint

HALF = 0.5


def front_share(joint: Joint) -> float:
    """Return the share of the joint angle at which the front cross bends [-]; 1/2 without error."""
    return HALF + joint.halving_error / joint.halving_error_at


def coupling_axis(front: Array, rear: Array, share: ArrayLike = HALF) -> Array:
    """Return the axis of the coupling yoke.

    Of unit axes ahead and behind (..., 3), and the share of the angle that the front cross takes.

    Source:
        Derived in DEVELOPERS.md, joints of two crosses.
    """
    angle, s = angle_between(front, rear), np.asarray(share, float)
    whole = np.sinc(angle / np.pi)  # right at angle 0 too
    ahead, behind = (part * np.sinc(part * angle / np.pi) / whole for part in (1 - s, s))
    return np.asarray(ahead[..., None] * front + behind[..., None] * rear)
