"""The table of what every shaft may keep of unbalance."""

from __future__ import annotations

from sim.display import SHAFT_SPEED, Display, plain_number
from sim.measure.measurements import Measurements
from sim.show.report.pages import Table


def balance_table(m: Measurements, display: Display) -> Table:
    """Return the residual unbalance that every shaft may keep."""
    unit, mass = display.unbalance, 1.0 if display.name == "metric" else 0.45359237
    rows = tuple(
        (
            f"shaft {u.shaft}",
            plain_number(u.mass / mass, 1),
            SHAFT_SPEED.number(u.speed),
            f"{unit.number(u.g16)} ({unit.number(u.g16 / 2)})",
            f"{unit.number(u.g40)} ({unit.number(u.g40 / 2)})",
        )
        for u in m.strength.unbalance
    )
    return Table(
        "Balance: residual unbalance that a shaft may keep",
        (
            "shaft",
            f"mass [{'kg' if display.name == 'metric' else 'lb'}]",
            "at top speed [rpm]",
            f"G16, whole (each end) [{unit.name}]",
            f"G40, whole (each end) [{unit.name}]",
        ),
        rows,
        "U = G m/Ω, ISO 21940-11: G16 for drive shafts, G40 for those of cars; older editions "
        "give G40 to all. Tell the balancer which.",
    )
