"""The table of torque that the joints' uneven turning leaves in the shafts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from sim.display import Display
from sim.explore.shaken import Course
from sim.show.report.pages import Table
from sim.show.shake_view import Shown


def twist_table(shown: Sequence[Shown], display: Display) -> Table | None:
    """Return where torque swings most, twice per turn; None where no scene says what turns along.

    Args:
        shown: The configurations.
        display: Units shown.
    """
    rows = [
        row
        for one in shown
        for course in one.shake.courses
        for row in _rows(one.name, course, display)
    ]
    if not rows:
        return None
    return Table(
        "Torque that swings twice per turn",
        (
            "configuration, state",
            f"most [{display.torque.name}]",
            f"at [{display.speed.name}]",
            "shaft",
        ),
        tuple(rows),
        "Zero to peak, on top of the steady torque, by the joints' uneven turning and the inertias "
        "and stiffness of [torsion], in its gear; in brackets 5 to 95 % as above.",
    )


def _rows(name: str, course: Course, display: Display) -> Iterator[tuple[str, ...]]:
    """Yield the row of one state, where there is one."""
    if course.twist is None:
        return
    read, drawn = course.twist[0], course.twist[1:].max(axis=(1, 2))
    at, shaft = np.unravel_index(read.argmax(), read.shape)
    low, high = np.quantile(drawn, (0.05, 0.95)) if len(drawn) else (read.max(), read.max())
    torque = display.torque
    yield (
        f"{name}, {course.state.say(display.name)}",
        f"{torque.number(float(read.max()))} ({torque.number(low)} to {torque.number(high)})",
        display.speed.number(float(course.speed[at])),
        str(int(shaft) + 1),
    )
