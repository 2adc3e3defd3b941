"""Table of readings that were taken twice: what the second one shows against the others."""

from __future__ import annotations

from sim.display import DEGREES, Display
from sim.measure.contradictions import BAND, is_angle
from sim.measure.measurements import Measurements
from sim.scene.words import part_name
from sim.show.report.pages import Table


def read_twice(m: Measurements, display: Display) -> tuple[Table, ...]:
    """Return how far second readings are from what follows from the others; none without any.

    Args:
        m: What was measured.
        display: Units shown.
    """
    check = m.cross_check
    if check is None:
        return ()
    rows = []
    for path, apart, expected in zip(check.second, check.apart, check.expected, strict=True):
        unit = DEGREES if is_angle(path) else display.length
        reading = m.configuration.readings[path]
        rows.append(
            (
                part_name(tuple(path.split("."))),
                reading.text,
                unit.say(apart, signed=True),
                f"± {unit.say(BAND * expected)}",
            )
        )
    first = check.suspects[0]
    unit = DEGREES if first.angular else display.length
    likeliest = part_name(tuple(first.path.split(".")))
    out = unit.say(first.error, signed=True)
    return (
        Table(
            "Readings taken twice",
            ("second reading", "read", "apart from the others", "expected, 95 %"),
            tuple(rows),
            f"If one reading is out, it is likeliest {likeliest}, by {out} "
            f"({first.residual:.1f} standard deviations; beyond 3 they contradict each other). "
            "Adjustment by conditions, largest normalised residual (Baarda 1968, from memory).",
        ),
    )
