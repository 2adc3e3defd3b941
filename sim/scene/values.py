"""Values of a set-up by their paths, apart from its structure; and where each came from.

``build`` does nothing but arithmetic with these values, so any of them may be an array of samples.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from sim.scene.fields import Part
from sim.scene.parts import Reading, Status, Vector
from sim.scene.quantity import Quantity
from sim.scene.text import Path


def quantities(part: Part, path: Path = ()) -> Iterator[tuple[Path, Quantity, bool]]:
    """Yield every quantity of a set-up.

    Args:
        part: The set-up, or a table in it.
        path: Its keys.

    Yields:
        Keys, quantity, and whether it was written (else a default stands in).
    """
    for name, field in type(part).model_fields.items():
        value = getattr(part, name)
        here = (*path, field.alias or name)
        if isinstance(value, Quantity):
            yield here, value, name in part.model_fields_set
        elif isinstance(value, Part):
            yield from quantities(value, here)
        elif isinstance(value, dict):
            for key, inner in value.items():
                if isinstance(inner, Quantity):
                    yield (*here, key), inner, True
                else:
                    yield from quantities(inner, (*here, key))


def readings_of(setup: Part, line_of: Mapping[Path, int]) -> dict[str, Reading]:
    """Return the readings and defaults of a set-up by their paths.

    Args:
        setup: The complete set-up.
        line_of: Line where each path was written.

    Returns:
        Path with dots, as in "bearing.1.up", to its reading.
    """
    return {
        ".".join(path): Reading(
            path=".".join(path),
            value=quantity.value,
            spread=quantity.spread,
            text=quantity.text,
            status="measured" if written else "assumed",
            line=line_of.get(path, 0) if written else 0,
        )
        for path, quantity, written in quantities(setup)
    }


class Values:
    """Values by path, with what is derived from them on the way.

    Attributes:
        derived: Path to value, text and status of everything that no reading gave.
    """

    def __init__(self, given: Mapping[str, Any]) -> None:
        self._given = given
        self.derived: dict[str, Reading] = {}

    def __getitem__(self, path: str) -> Any:
        return self._given[path]

    def get(self, path: str) -> Any:
        """Return the value at a path [SI unit], or None."""
        return self._given.get(path)

    def derive(self, path: str, value: Any, text: str, status: Status = "derived") -> Any:
        """Return the reading at a path, or note and return what stands in for it.

        Args:
            path: Its path [text].
            value: What stands in [SI unit].
            text: How it came about, for the report [text].
            status: "derived" from other readings, or "assumed".

        Returns:
            The value [SI unit].
        """
        if path in self._given:
            return self._given[path]
        self.derived[path] = Reading(
            path=path, value=value, spread=0.0, text=text, status=status, line=0
        )
        return value

    def signed(self, path: str, plus: str, minus: str) -> Any:
        """Return the value of a pair of keys under a path [SI unit]; 0 where none is written."""
        if f"{path}.{plus}" in self._given:
            return self._given[f"{path}.{plus}"]
        return -self._given.get(f"{path}.{minus}", 0.0) + 0.0

    def place(self, path: str) -> Vector:
        """Return the point at a path: aft, right, up [m], shape (..., 3)."""
        return vector(
            self.signed(path, "aft", "forward"),
            self.signed(path, "right", "left"),
            self.signed(path, "up", "down"),
        )


def vector(aft: Any, right: Any, up: Any) -> Vector:
    """Return a read-only vector of three parts that broadcast.

    Args:
        aft: First part [any].
        right: Second part [same].
        up: Third part [same].

    Returns:
        The vector, shape (..., 3).
    """
    parts = np.broadcast_arrays(*(np.asarray(p, float) for p in (aft, right, up)))
    stacked = np.stack(parts, axis=-1)
    stacked.setflags(write=False)
    return stacked


def plain(value: Any) -> Any:
    """Return a number of no dimension as a float, arrays of samples as they are.

    Args:
        value: A number or an array [any].

    Returns:
        The same [same].
    """
    return value if np.ndim(value) else float(value)
