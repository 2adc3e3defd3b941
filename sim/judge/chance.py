"""How often, how surely, and because of what: statistics of samples."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Array, Index

BINS = 100  # of a reading's samples, equally filled; the noise of its share is about BINS / samples


def bins_of(off: ArrayLike) -> Index:
    """Return in which of 100 equally filled bins every sample lies, (sources, n)."""
    z = np.asarray(off, float)
    bins = np.empty(z.shape, np.int64)
    number = np.arange(z.shape[-1]) * BINS // z.shape[-1]
    for row, source in zip(bins, z, strict=True):
        row[np.argsort(source)] = number
    return bins


def shares_of_variance(bins: Index, values: ArrayLike) -> Array:
    r"""Return what share of the variance of a value each source brings about by itself.

    .. math:: S_i = \operatorname{Var}(\operatorname{E}[v \mid z_i]) / \operatorname{Var}(v)

    The mean of the value is taken in bins of the source (``bins_of``), so bends count as well as
    slopes. Shares [-], (sources,), are less what pure chance would give, at least 0.

    Source:
        First-order index: Sobol 1993; Saltelli et al. 2008, Global Sensitivity Analysis.
    """
    v = np.asarray(values, float)
    n = v.size
    centered = v - v.mean()
    variance = float(centered @ centered) / n
    if variance <= 0 or n < 2 * BINS:
        return np.zeros(len(bins))
    shares = np.empty(len(bins))
    for row, place in enumerate(bins):
        count = np.bincount(place, minlength=BINS)
        total = np.bincount(place, centered, minlength=BINS)
        shares[row] = (total**2 / np.maximum(count, 1)).sum() / n / variance
    chance = (BINS - 1) / n
    return np.maximum(0.0, (shares - chance) / (1 - chance))


def band_of(values: ArrayLike) -> tuple[float, float]:
    """Return the middle 95 % of samples [as values]."""
    low, high = np.quantile(np.asarray(values, float), [0.025, 0.975])
    return float(low), float(high)


def agreeing(off: ArrayLike) -> Array:
    r"""Return the weight of every sample once readings were repeated with the same result.

    A second, equal reading is as likely as the first one was: :math:`w \propto e^{-z^2/2}`. Samples
    of what was read again, (sources, n), give weights [-], (n,), their sum 1.

    Source:
        Bayes' rule for normal readings.
    """
    weight = np.exp(-0.5 * (np.asarray(off, float) ** 2).sum(axis=0))
    return np.asarray(weight / weight.sum())
