"""Values of a design by their paths, apart from its structure; and where each came from.

What is built does nothing but arithmetic with these values, so any may be an array of samples.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from sim.display import DisplayName, display_of
from sim.errors import DomainError

Vector = NDArray[np.float64]
Status = Literal["measured", "assumed", "derived"]
PAIRS = (
    ("aft", "forward"),
    ("right", "left"),
    ("up", "down"),
    ("nose_up", "nose_down"),
    ("seat_above_axle", "seat_below_axle"),
    ("bump", "droop"),
    ("left_bump", "left_droop"),
    ("right_bump", "right_droop"),
    ("tips_up", "tips_down"),
)
OPPOSITES = {a: b for pair in PAIRS for a, b in (pair, pair[::-1])}


def opposite(path: str) -> str:
    """Return the path of the other word of a pair, "bearing.1.down"; "" where a value has none."""
    table, _, key = path.rpartition(".")
    return f"{table}.{OPPOSITES[key]}" if key in OPPOSITES and table != "travel" else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One value of a configuration and where it came from."""

    path: str  # its key, as in "bearing.1.up"; also its name in the uncertainty analysis
    value: float  # value in SI units (radians for angles)
    spread: float  # half width of its 95 % band, same unit; 0 where none is known
    text: str  # as written, or the default as a scene would write it
    # "measured" if written in the file, "assumed" if a default stands in, "derived" if computed
    # from other readings
    status: Status
    line: int  # line in the file; 0 where it is not written


class Values:
    """Values by path, with what is derived from them on the way.

    Attributes:
        display: Units of words.
        derived: Path to value, text and status of everything that no reading gave.
        asked: Paths that were looked at, given or not.
    """

    def __init__(self, given: Mapping[str, Any], display: DisplayName = "metric") -> None:
        self._given, self.display = given, display_of(display)
        self.derived: dict[str, Reading] = {}
        self.asked: set[str] = set()

    def __getitem__(self, path: str) -> Any:
        if path not in self:
            raise DomainError(f"{path} is needed, and no value is given for it")
        return self._given[path]

    def __contains__(self, path: object) -> bool:
        self.asked.add(str(path))
        return path in self._given

    def get(self, path: str) -> Any:
        """Return the value at a path [SI unit], or None."""
        return self._given[path] if path in self else None

    def derive(self, path: str, value: Any, text: str, status: Status = "derived") -> Any:
        """Return the reading at a path [SI unit], or note and return what stands in for it."""
        if path in self:
            return self._given[path]
        self.derived[path] = Reading(
            path=path, value=value, spread=0.0, text=text, status=status, line=0
        )
        return value

    def signed(self, path: str, *, needed: bool = False) -> Any:
        """Return the value at a path, or less that of its opposite [SI unit]; 0 without both."""
        up, down = self.get(path), self.get(opposite(path))
        if up is None and down is not None:
            return -down + 0.0
        if up is None and needed:
            return self[path]
        return 0.0 if up is None else up

    def place(self, path: str) -> Vector:
        """Return the point at a path: aft, right, up [m], shape (..., 3)."""
        aft, up = (self.signed(f"{path}.{key}", needed=True) for key in ("aft", "up"))
        return vector(aft, self.signed(f"{path}.right"), up)


def vector(aft: Any, right: Any, up: Any) -> Vector:
    """Return a read-only vector (..., 3) of three parts that broadcast."""
    stacked = np.empty((*np.broadcast(aft, right, up).shape, 3))
    stacked[..., 0], stacked[..., 1], stacked[..., 2] = aft, right, up
    stacked.setflags(write=False)
    return stacked


def plain(value: Any) -> Any:
    """Return a number of no dimension as a float, arrays of samples as they are."""
    return value if np.ndim(value) else float(value)
