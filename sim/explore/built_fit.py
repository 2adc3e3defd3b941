r"""Readings of a truck as built, fused with its scene by weighted least squares.

Every reading :math:`y_i` with deviation :math:`\sigma_i` and every unknown :math:`t_k` with
:math:`\mu_k, s_k` before anything was read give one row,

.. math:: r_i = (y_i - f_i(t))/\sigma_i, \quad r_k = (\mu_k - t_k)/s_k

and :math:`\sum r^2` is made least.  With :math:`A` the change of the rows with
:math:`x = (t - \mu)/s`, the spread of x is :math:`C = (A^T A)^{-1}` and
:math:`q = 1 - \operatorname{diag}(A C A^T)`.  Row i is off from what all others say by
:math:`r_i/q_i` of its own deviations, its normalised residual is :math:`r_i/\sqrt{q_i}`, and
:math:`\sum r^2` has as many degrees of freedom as there are readings.

Source:
    Least squares with prior information, as in textbooks of adjustment; test of the largest
    normalised residual: W. Baarda, A testing procedure for use in geodetic networks, 1968 (from
    memory); derived again in the tests.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from sim.arrays import Array
from sim.errors import GeometryError
from sim.explore.built_model import Model, Seen, hung_to, seen_in
from sim.explore.built_unknowns import (
    KNOWN,
    Origin,
    Unknown,
    as_planned,
    determined,
    moved,
    unknowns_of,
)
from sim.explore.sampling import BAND
from sim.explore.sources import same_reading
from sim.scene.parts import Configuration, Design, Reading
from sim.scene.readback import Readback

STEP = 0.05  # standard deviations, of differences
FELT = 1e-6  # change of a reading over its deviation, below which an unknown plays no part
CHANCE = 0.001  # of sound readings: to be farther apart than this, or one of them farther off
MOST_RESIDUAL = 3.2905  # of a normal distribution, beyond it on either side with that chance
SAME = 0.02  # residuals this much alike cannot be told apart [share]
CHECKED = 0.05  # share of a row that others must check for anything to be said of it; ours
Read = Literal["read"]
STEPS = 12  # sound readings take four or five; what takes longer contradicts
MISSED = 1e6  # residual of a truck that cannot be
NEAR = 1e-3  # of how far off all is: steps below it are no longer taken


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """A reading beside what all the others say of it [m or rad, or the unit of the scene's key]."""

    label: str  # as in "shaft.1.slope" or "bearing.1.up as planned"
    path: str  # path of the reading
    kind: Origin | Read
    value: float
    spread: float  # its ±
    others: float  # what the others say, and their ±; its own value where nothing checks it
    others_spread: float  # infinite where nothing checks it
    residual: float  # normalised residual [-]; 0 where nothing checks it

    @property
    def checked(self) -> bool:
        """Whether anything else says something of it."""
        return bool(np.isfinite(self.others_spread))

    @property
    def times(self) -> float:
        """How far it is off from what the others say, in its own ± [-]."""
        return abs(self.value - self.others) / self.spread


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fit:
    """The values that fit the readings best.

    Attributes:
        design: The truck that carries the shafts of the plan, in the places of the plan.
        unknowns: What plays a part, N of them; ``tied`` names those that the plan shares.
        off: How far each is off its value before [standard deviations], shape (N,).
        spread: Covariance of that, shape (N, N).
        compared: Every reading, then every unknown, beside what the others say.
        predicted: What was to be read by the plan, and its ±, by reading [m or rad], shape (R, 2).
        misfit: Sum of squares [-].
        limit: What sound readings stay below, but for one set in a thousand [-].
        agrees_without: Whether the readings agree without the one that is farthest off.
        not_read: Paths of what the shop set that no reading tells; taken as planned.
    """

    design: Design
    unknowns: tuple[Unknown, ...]
    tied: frozenset[str]
    off: Array
    spread: Array
    compared: tuple[Compared, ...]
    seen: tuple[Seen, ...]
    predicted: Array
    misfit: float
    limit: float
    agrees_without: bool
    not_read: tuple[str, ...]

    @property
    def contradicts(self) -> bool:
        """Whether no set of values fits the readings."""
        return self.misfit > self.limit

    @property
    def suspects(self) -> tuple[Compared, ...]:
        """What disagrees with the others, the likeliest first; some cannot be told apart."""
        worst = max((one.residual for one in self.compared), default=0.0)
        if worst < MOST_RESIDUAL and not self.contradicts:
            return ()
        alike = [one for one in self.compared if one.residual >= (1 - SAME) * worst]
        return tuple(sorted(alike, key=lambda one: (one.kind != "read", round(one.times, 6))))


def fit(plan: Configuration, readback: Readback) -> Fit:
    """Return the values that fit the readings on a truck best.

    Args:
        plan: The configuration that was built, from a scene.
        readback: What was read.

    Raises:
        GeometryError: If the plan, or one off by a little, cannot reach a posture that was read.
    """
    design = hung_to(plan, readback.postures)
    model = Model(design, seen_in(readback.postures))
    every = unknowns_of(plan, design, readback.postures)
    return _Adjustment(plan, model, _shared(plan)).fit(every)


def _shared(plan: Configuration) -> frozenset[str]:
    """Return the paths of readings that a plan shares with the one whose shafts it carries."""
    if plan.cut_as is None:
        return frozenset()
    shared = plan.cut_as.readings.items()
    return frozenset(path for path, one in shared if same_reading(one, plan.readings.get(path)))


class _Adjustment:
    """The rows of one least squares problem."""

    def __init__(self, plan: Configuration, model: Model, tied: frozenset[str]) -> None:
        self.plan, self.model, self.tied = plan, model, tied
        self.value = np.array([one.reading.value for one in model.seen])
        self.sigma = np.array([one.reading.spread for one in model.seen]) / BAND
        self.unknowns: tuple[Unknown, ...] = ()
        self.at: bytes = b""
        self.known: tuple[Array, Array] = (np.empty(0), np.empty(0))

    def fit(self, every: Sequence[Unknown]) -> Fit:
        """Return the best values of what plays a part."""
        from scipy.optimize import least_squares
        from scipy.special import chdtri

        not_read, before = self._choose(every)
        start = np.zeros(len(self.unknowns))
        at_plan = self._known(start)
        found = least_squares(
            self.rows, start, self.slopes, method="lm", xtol=NEAR, ftol=NEAR**2, max_nfev=STEPS
        )
        rows, slopes = self.rows(found.x), self.slopes(found.x)
        misfit, limit = float(rows @ rows), float(chdtri(len(self.value), CHANCE))
        left = _left_by(*at_plan) if misfit > limit else rows
        weighed = at_plan[1] if misfit > limit else slopes
        return Fit(
            design=self.model.design,
            unknowns=self.unknowns,
            tied=self.tied,
            off=found.x,
            spread=_spread(slopes),
            compared=tuple(self._compared(left, weighed)),
            seen=self.model.seen,
            predicted=before,
            misfit=misfit,
            limit=limit,
            agrees_without=self._least(left, weighed) <= limit,
            not_read=not_read,
        )

    def rows(self, x: Array) -> Array:
        """Return the rows of readings, then of unknowns, (R + N,)."""
        return self._known(x)[0]

    def slopes(self, x: Array) -> Array:
        """Return the change of the rows with x, (R + N, N)."""
        return self._known(x)[1]

    def _known(self, x: Array) -> tuple[Array, Array]:
        """Return rows and slopes at x, by one call of the model."""
        if x.tobytes() != self.at:
            self._keep(x, *self._linear(x, self.unknowns))
        return self.known

    def _keep(self, x: Array, expected: Array, change: Array) -> None:
        """Keep rows and slopes at x, from readings as predicted there and their change."""
        missed = ~np.isfinite(expected)
        rows = np.where(missed, MISSED, (self.value - expected) / self.sigma)
        slopes = np.where(missed[:, None], 0.0, -change / self.sigma[:, None])
        self.known = np.append(rows, -x), np.concatenate([slopes, -np.eye(len(x))])
        self.at = x.tobytes()

    def _linear(self, x: Array, unknowns: Sequence[Unknown]) -> tuple[Array, Array]:
        """Return readings (R,) as predicted at x, NaN where nothing can be, and slopes (R, N)."""
        steps = STEP * np.eye(len(x))
        trucks = x[:, None] + np.concatenate([np.zeros((len(x), 1)), steps, -steps], axis=1)
        table, lost = self.model.predict(moved(unknowns, trucks, self.tied))
        up, down = table[1 : len(x) + 1], table[len(x) + 1 :]
        change = (up - down).T / (2 * STEP)
        return (np.full(len(self.value), np.nan) if lost.any() else table[0]), change

    def _choose(self, every: Sequence[Unknown]) -> tuple[tuple[str, ...], Array]:
        """Choose what plays a part; return what was not read, and the plan's own prediction."""
        expected, change = self._linear(np.zeros(len(every)), every)
        if np.isnan(expected).any():
            reason = "off by a little of their ±, its parts cannot reach what was read"
            raise GeometryError(self.plan.name, "as planned", reason)
        sigma = np.array([one.sigma for one in every])
        placed = determined(every, change / sigma, self.sigma)
        planned = [as_planned(one, self.plan) if one.kind == "set" else one for one in every]
        far = [
            one.kind == "set" and share >= KNOWN for one, share in zip(every, placed, strict=True)
        ]
        chosen = [p if unread else one for one, p, unread in zip(every, planned, far, strict=True)]
        felt = np.abs(change / self.sigma[:, None]).max(axis=0) > FELT
        part = np.flatnonzero(felt & np.array([one.spread > 0 for one in chosen]))
        self.unknowns = tuple(chosen[k] for k in part)
        deviation = np.array([one.sigma for one in self.unknowns])
        self._keep(np.zeros(len(part)), expected, change[:, part] / sigma[part] * deviation)
        spread = change / sigma * np.array([one.sigma for one in planned])
        before = np.stack([expected, BAND * np.sqrt((spread**2).sum(axis=1))], axis=-1)
        return tuple(one.key for one, unread in zip(every, far, strict=True) if unread), before

    def _least(self, rows: Array, slopes: Array) -> float:
        """Return the sum of squares without the row that explains most of it."""
        free = 1 - np.einsum("ij,jk,ik->i", slopes, _spread(slopes), slopes)
        worst = np.max(np.where(free > CHECKED, rows**2 / np.maximum(free, CHECKED), 0.0))
        return float(rows @ rows - worst)

    def _compared(self, rows: Array, slopes: Array) -> Iterator[Compared]:
        """Yield every reading, then every unknown, beside what the others say."""
        used = np.einsum("ij,jk,ik->i", slopes, _spread(slopes), slopes)
        left = 1 - used
        seen = ((one.label, one.reading.path, one.reading) for one in self.model.seen)
        named: list[tuple[str, str, Origin | Read, Reading | Unknown]] = [
            *((label, path, "read", one) for label, path, one in seen),
            *((_name(one), one.key, one.kind, one) for one in self.unknowns),
        ]
        for (label, path, kind, one), row, free, share in zip(named, rows, left, used, strict=True):
            checked = free > CHECKED
            deviation = one.spread / BAND
            yield Compared(
                label=label,
                path=path,
                kind=kind,
                value=one.value,
                spread=one.spread,
                others=float(one.value - deviation * row / free) if checked else one.value,
                others_spread=float(one.spread * np.sqrt(share / free)) if checked else np.inf,
                residual=float(abs(row) / np.sqrt(free)) if checked else 0.0,
            )


def _spread(slopes: Array) -> Array:
    """Return the covariance of x, by how rows change with it."""
    return np.asarray(np.linalg.inv(slopes.T @ slopes), float)


def _left_by(rows: Array, slopes: Array) -> Array:
    """Return what the best values leave of rows that are straight in x.

    A bad reading pulls the fit far away, where the model bends; but its error enters straight.  So
    which one it is, is asked where all others are: near the plan.
    """
    return np.asarray(rows - slopes @ (_spread(slopes) @ (slopes.T @ rows)))


def _name(unknown: Unknown) -> str:
    """Return what an unknown is called beside readings."""
    if unknown.kind == "set":
        return f"{unknown.key} as planned"
    return f"{unknown.key} of the scene" if unknown.kind == "scene" else unknown.key
