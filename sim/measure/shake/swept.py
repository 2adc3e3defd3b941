r"""How far a resonance builds up while the shaft speed runs through it: less than it does steadily.

A lightly damped mode that a force of growing frequency :math:`\omega = h t` meets at its own
frequency :math:`\omega_n` follows, in an envelope that turns slowly,

.. math:: A = \frac{\omega_n}{2} \max_t \left| \int_{-\infty}^{t}
    e^{-\eta \omega_n (t - \tau) / 2}\, e^{j h \tau^2 / 2}\, d\tau \right|

The integral is Faddeeva's function :math:`w(z) = e^{-z^2} \operatorname{erfc}(-jz)`: with
:math:`s = \sqrt h\, t` and :math:`\epsilon = \eta \omega_n / (2 \sqrt h)` its size is
:math:`\sqrt{\pi / 2h}\, |w(-(\epsilon + js) e^{-j\pi/4} / \sqrt 2)|`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array
from sim.errors import DomainError

# The largest swing comes at s from 0 (slow) to 2.157 (undamped): close enough for five digits.
_AFTER = np.linspace(0.0, 2.2, 256)


def swept_amplification(loss: ArrayLike, frequency: ArrayLike, rate: ArrayLike) -> Array:
    r"""Return the largest swing over that by the same force at rest, passed at a steady rate.

    Args:
        loss: Loss factor η of the mode [-], above 0, any shape; well below 1.
        frequency: Natural frequency :math:`\omega_n` of the mode [rad/s], above 0, likewise.
        rate: How fast the frequency of the force rises [rad/s²], above 0, likewise.

    Returns:
        Amplification [-]; 1/η where the rate is slow, never more.

    Raises:
        DomainError: If one of them is not above 0.

    Source:
        F. M. Lewis, Vibration during acceleration through a critical speed, Trans. ASME 54 (1932),
        from memory; the closed form is derived above.
    """
    from scipy.special import wofz  # only where a resonance is passed: its import takes a while

    given = [np.asarray(number, float) for number in (loss, frequency, rate)]
    if not all(np.all(number > 0) for number in given):
        raise DomainError("loss factor, natural frequency and rate must be above 0")
    eta, own, rise = given
    half = own / (2 * np.sqrt(rise))
    turned = np.exp(-0.25j * np.pi) / np.sqrt(2)
    swing = np.abs(wofz(-((eta * half)[..., None] + 1j * _AFTER) * turned)).max(axis=-1)
    return np.asarray(half * np.sqrt(np.pi / 2) * swing)
