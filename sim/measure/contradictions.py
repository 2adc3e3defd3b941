r"""Readings of one thing taken twice: do they agree, and if not, which one is out, by how much.

Places, slopes and wedge are the plain readings.  Slopes along the tubes, the output as designed
and the slope on the wedge say again what follows from them.  Every second reading gives one
misclosure :math:`m` (second reading less what follows).  With :math:`A` the change of the
misclosures per change of each reading and :math:`\Sigma` the readings' variances,

.. math:: S = A \Sigma A^T, \quad \chi^2 = m^T S^{-1} m, \quad
          e_i = \frac{a_i^T S^{-1} m}{a_i^T S^{-1} a_i}, \quad
          w_i = \frac{a_i^T S^{-1} m}{\sqrt{a_i^T S^{-1} a_i}}

where :math:`e_i` is the error of reading i that would explain most, and :math:`w_i` its
normalised residual: taking reading i out lowers :math:`\chi^2` by :math:`w_i^2`.

Source:
    Adjustment by conditions and the test of the largest normalised residual: W. Baarda, A testing
    procedure for use in geodetic networks, 1968 (from memory); derived again in the tests.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from sim.arrays import Array
from sim.scene.parts import Configuration, Reading
from sim.scene.tables.ends import turned
from sim.scene.values import Values

BAND = 1.959964  # half width of a 95 % band over the standard deviation
UNSAID_ANGLE = math.radians(0.25)  # ± of a protractor, where none is written; common practice
UNSAID_LENGTH = 0.003  # [m], ± of a tape, where none is written; common practice, no source
MOST_RESIDUAL = 3.0  # one reading in 370 is further out by chance
FAR_FETCHED = 4.0  # times the least error over own ±; what must be further out is not named
SAME = 0.02  # residuals this much alike cannot be told apart [share]
STEP_ANGLE, STEP_LENGTH = 1e-6, 1e-7
SIDES = {"aft": 1, "forward": -1, "right": 1, "left": -1, "up": 1, "down": -1}
WEDGES = ("nose_up", "nose_down")


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspect:
    """A reading that may be out."""

    path: str  # its path, as in "output.up"
    text: str  # as written
    error: float  # by how much it would have to be out [m or rad], reading less truth
    deviation: float  # standard deviation of that error, by the ± of all the readings [same]
    residual: float  # normalised residual, |error| over deviation [-]
    shares: float  # the error over the reading's own standard deviation [-]
    turned: bool  # whether it would fit with its sign turned

    @property
    def angular(self) -> bool:
        """Whether it is an angle."""
        return is_angle(self.path)


@dataclass(frozen=True, slots=True, kw_only=True)
class CrossCheck:
    """How well readings taken twice agree."""

    second: tuple[str, ...]  # paths of the readings that check the others
    apart: tuple[float, ...]  # difference of each from what follows from the others [m or rad]
    expected: tuple[float, ...]  # standard deviation of that, by the ± of all [same]
    misfit: float  # chi squared of all misclosures [-]
    # readings whose removal explains most, the likeliest first; those behind it explain as much and
    # cannot be told from it
    suspects: tuple[Suspect, ...]


def check_readings(configuration: Configuration) -> CrossCheck | None:
    """Return how well the readings taken twice agree, or None where none was."""
    readings = configuration.readings
    second = tuple(path for path in readings if checks_others(path))
    if not second:
        return None
    expected = _Expected(configuration, second)
    names = [path for path in readings if _takes_part(path) and path not in second]
    values = {path: readings[path].value for path in (*names, *second)}
    misclosure = expected.misclosures(values)
    slopes = np.stack([expected.slope(values, path) for path in (*names, *second)], axis=1)
    used = np.flatnonzero(np.any(np.abs(slopes) > 1e-12, axis=0))
    paths = [(*names, *second)[k] for k in used]
    slopes = slopes[:, used]
    sigma = np.array([_deviation(readings[path]) for path in paths])
    variance = (slopes * sigma**2) @ slopes.T
    inverse = np.linalg.inv(variance)
    weight = np.einsum("ik,ij,jk->k", slopes, inverse, slopes)
    error = (slopes.T @ inverse @ misclosure) / weight
    residual = np.abs(error) * np.sqrt(weight)
    suspects = [
        Suspect(
            path=paths[k],
            text=readings[paths[k]].text,
            error=float(error[k]),
            deviation=float(1 / np.sqrt(weight[k])),
            residual=float(residual[k]),
            shares=float(abs(error[k]) / sigma[k]),
            turned=_fits_turned(readings[paths[k]], float(error[k]), float(weight[k])),
        )
        for k in np.flatnonzero(residual >= (1 - SAME) * residual.max())
    ]
    misfit = float(misclosure @ inverse @ misclosure)
    return CrossCheck(
        second=second,
        apart=tuple(misclosure.tolist()),
        expected=tuple(np.sqrt(np.diag(variance)).tolist()),
        misfit=misfit,
        suspects=_likeliest(suspects),
    )


def what_follows(configuration: Configuration) -> dict[str, float]:
    """Return what readings that check others should be, by the others [m or rad], by path."""
    values = {path: reading.value for path, reading in configuration.readings.items()}
    second = tuple(path for path in values if checks_others(path))
    apart = _Expected(configuration, second).misclosures(values)
    return {path: values[path] - float(off) for path, off in zip(second, apart, strict=True)}


def _likeliest(suspects: list[Suspect]) -> tuple[Suspect, ...]:
    """Return those that explain equally much, the likeliest first, without far-fetched ones."""
    least = min(suspect.shares for suspect in suspects)
    near = [suspect for suspect in suspects if suspect.shares <= FAR_FETCHED * least]
    return tuple(
        sorted(near, key=lambda s: (not s.turned, "as_designed" in s.path, round(s.shares, 6)))
    )


def _fits_turned(reading: Reading, error: float, weight: float) -> bool:
    """Say whether an angle that is far out would fit with its sign turned: it is out by twice."""
    if not is_angle(reading.path) or abs(error) * math.sqrt(weight) < MOST_RESIDUAL:
        return False
    return abs(error - 2 * reading.value) * math.sqrt(weight) < MOST_RESIDUAL


def _deviation(reading: Reading) -> float:
    """Return the standard deviation of a reading [m or rad]."""
    unsaid = UNSAID_ANGLE if is_angle(reading.path) else UNSAID_LENGTH
    return (reading.spread or unsaid) / BAND


def is_angle(path: str) -> bool:
    """Say whether the reading of a path is an angle, else a length."""
    return path.endswith(("slope", "slope_on_wedge", "plan_angle", *WEDGES))


def checks_others(path: str) -> bool:
    """Say whether a reading says again what others say.

    Args:
        path: Its path, as in "shaft.1.slope".
    """
    table, _, key = path.rpartition(".")
    along_tube = table.startswith("shaft.") and key == "slope"
    return along_tube or table == "output.as_designed" or path == "pinion.slope_on_wedge"


def _takes_part(path: str) -> bool:
    """Say whether a reading is a place, a slope or a wedge that the checks may depend on."""
    table, _, key = path.rpartition(".")
    if path == "frame.slope":
        return True
    if table.startswith("bearing."):
        return key in SIDES or key == "to_joint"
    if table in ("output", "pinion"):
        return key in SIDES or key == "slope" or key in WEDGES
    return table in ("axle", "suspension.mount") and key in SIDES


class _Expected:
    """What the second readings should be, from the plain ones."""

    def __init__(self, configuration: Configuration, second: tuple[str, ...]) -> None:
        self.second = second
        self.bearings = len(configuration.bearings)
        self.pivot = "suspension.mount" if configuration.on_frame else "axle"
        level = [p for p, r in configuration.readings.items() if r.text.endswith("to level")]
        self.to_level = frozenset(level)

    def misclosures(self, values: Mapping[str, float]) -> Array:
        """Return second readings less what follows from the others [m or rad]."""
        v = Values(values)
        return np.array([values[path] - self._follows(v, path) for path in self.second])

    def slope(self, values: Mapping[str, float], path: str) -> Array:
        """Return the change of the misclosures with one reading."""
        step = STEP_ANGLE if is_angle(path) else STEP_LENGTH
        up, down = ({**values, path: values[path] + way * step} for way in (1, -1))
        return (self.misclosures(up) - self.misclosures(down)) / (2 * step)

    def _follows(self, v: Values, path: str) -> float:
        """Return what a second reading should be."""
        table, _, key = path.rpartition(".")
        if table.startswith("shaft."):
            return self._tube(v, int(table[6:])) + self._level(v, path)
        if path == "pinion.slope_on_wedge":
            slope = float(v["pinion.slope"]) - self._level(v, "pinion.slope")
            return slope + self._turn(v) + self._level(v, path)
        if key == "slope":
            plain = float(v["output.slope"]) - self._level(v, "output.slope")
            return plain + self._level(v, path)
        return SIDES[key] * float(v.place("output")[2])

    def _level(self, v: Values, path: str) -> float:
        """Return the frame's slope for a reading taken to level [rad]."""
        return float(v["frame.slope"]) if path in self.to_level else 0.0

    def _turn(self, v: Values) -> float:
        """Return how far the wedge turns the pinion nose up [rad]."""
        return float(v.signed("pinion.nose_up"))

    def _tube(self, v: Values, number: int) -> float:
        """Return the slope of a shaft to the frame, from the places [rad]."""
        centers = [v.place("output")]
        for k in range(1, self.bearings + 1):
            along = v.place(f"bearing.{k}") - centers[-1]
            far = float(np.linalg.norm(along))
            centers.append(centers[-1] + along * (1 + float(v[f"bearing.{k}.to_joint"]) / far))
        centers.append(self._pinion(v))
        aft, right, up = centers[number] - centers[number - 1]
        return math.atan2(-up, math.hypot(aft, right))

    def _pinion(self, v: Values) -> Array:
        """Return the pinion joint center on its wedge [m]."""
        about = v.place(self.pivot)
        return np.asarray(about + turned(v.place("pinion") - about, self._turn(v)))
