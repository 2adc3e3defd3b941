"""A resonance passed at a steady rate, against the oscillator followed in time.

Lewis: F. M. Lewis, Vibration during acceleration through a critical speed, Trans. ASME 54 (1932),
from memory: a mode that is passed fast builds up less, and its peak comes after resonance.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import cumulative_simpson

from sim.errors import DomainError
from sim.measure.shake.swept import swept_amplification

# Loss factor [-], natural frequency [rad/s], rate [rad/s²], and the amplification, worked out apart
# from this package by adding up the integral in steps of 0.002/√rate.
CASES = [
    (0.10, 80.0, 100.0, 6.491),
    (0.10, 80.0, 10.0, 9.393),
    (0.05, 80.0, 100.0, 8.478),
    (0.20, 80.0, 100.0, 4.269),
]


@pytest.mark.parametrize(("loss", "frequency", "rate", "expected"), CASES)
def test_the_amplification_is_the_integral(loss, frequency, rate, expected):
    assert swept_amplification(loss, frequency, rate) == pytest.approx(expected, abs=6e-4)


def followed(loss: float, frequency: float, rate: float) -> float:
    """Return the largest swing over that at rest, of x'' + η ω x' + ω² x = ω² sin(h t²/2).

    By Duhamel's integral: what every push of the past leaves now is a damped sine.  Split into
    sin a cos b − cos a sin b it is two running sums; steps of a hundredth of the fastest turn.
    """
    decay = loss * frequency / 2
    own = frequency * np.sqrt(1 - loss**2 / 4)
    end = frequency / rate + 5 / np.sqrt(rate)
    time = np.linspace(0.0, end, int(end * rate * end / (2 * np.pi) * 100))
    push = frequency**2 * np.sin(rate * time**2 / 2) * np.exp(decay * (time - end))
    sine, cosine = (
        cumulative_simpson(push * wave(own * time), x=time, initial=0.0)
        for wave in (np.sin, np.cos)
    )
    swing = np.exp(decay * (end - time)) / own
    return float(np.abs(swing * (np.sin(own * time) * cosine - np.cos(own * time) * sine)).max())


@pytest.mark.parametrize(("loss", "frequency", "rate", "_"), CASES)
def test_the_oscillator_followed_in_time_swings_as_far(loss, frequency, rate, _):
    # The envelope leaves out terms of the order of the loss factor: 4 % here, and ten times less
    # for a mode ten times faster with as much less damping, whose envelope is the same.
    for more, within in ((1, 0.04), (10, 0.004)):
        given = loss / more, frequency * more, rate
        assert swept_amplification(*given) == pytest.approx(followed(*given), rel=within)


@pytest.mark.parametrize("loss", [0.02, 0.1, 0.2])
def test_a_slow_pass_builds_up_all_the_way(loss):
    slow = (loss * 80.0 / 2) ** 2 / 1e4
    assert swept_amplification(loss, 80.0, slow) == pytest.approx(1 / loss, rel=1e-4)


def test_a_pass_without_damping_peaks_as_the_integrals_of_fresnel_do():
    # ∫ exp(jτ²/2) from −∞ to s: largest of √π |(C + 1/2) + j (S + 1/2)|, 2.9344 near s = 2.157.
    from scipy.special import fresnel

    sine, cosine = fresnel(np.linspace(0, 3, 300001) / np.sqrt(np.pi))
    largest = np.sqrt(np.pi) * np.hypot(cosine + 0.5, sine + 0.5).max()
    found = swept_amplification(1e-9, 80.0, 100.0)
    assert found == pytest.approx(80 / 2 / 10 * largest, rel=2e-5)


def test_faster_is_less_and_never_more_than_steady():
    loss, rate = np.array([[0.05], [0.2]]), np.logspace(-2, 4, 25)
    found = swept_amplification(loss, 80.0, rate)
    assert found.shape == (2, 25)
    assert np.all(np.diff(found) < 0)
    assert np.all(found < 1 / loss * (1 + 1e-12))


@pytest.mark.parametrize("given", [(0.0, 80.0, 100.0), (0.1, -1.0, 100.0), (0.1, 80.0, 0.0)])
def test_what_never_passes_is_refused(given):
    with pytest.raises(DomainError, match="above 0"):
        swept_amplification(*given)
