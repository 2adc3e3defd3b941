"""Tables of one configuration that no state changes: orders, critical speeds, torques, defaults."""

from __future__ import annotations

from collections.abc import Iterator

from sim.display import SHAFT_SPEED, Display
from sim.measure.measurements import Measurements
from sim.motion.torque import TorqueLoad, torque_loads
from sim.scene.parts import Configuration
from sim.show.report.pages import Table


def bench_tables(m: Measurements, display: Display) -> tuple[Table, ...]:
    """Return the tables that no state changes, in the order of the report.

    Args:
        m: What was measured.
        display: Units shown.
    """
    tables = (
        _as_built(m, display),
        _critical(m, display),
        _torques(m.configuration, display),
        _assumed(m.configuration),
    )
    return tuple(table for table in tables if table.rows)


def _as_built(m: Measurements, display: Display) -> Table:
    """Return what to order, shaft by shaft."""
    unit, fine = display.length, display.fine
    rows = []
    for built in m.as_built:
        tube = m.configuration.shafts[built.shaft - 1].tube
        size = f"{fine.number(tube.outside)} × {fine.say(tube.wall)} {tube.material}"
        bench = [
            "–" if value is None else unit.number(value)
            for value in (built.bench_gap, built.bench_engaged)
        ]
        rows.append((f"shaft {built.shaft}", unit.number(built.length), size, *bench))
    return Table(
        "What to order",
        (
            "shaft",
            f"joint center to joint center, as built [{unit.name}]",
            "tube, outside × wall",
            f"bench gap [{unit.name}]",
            f"bench engaged [{unit.name}]",
        ),
        tuple(rows),
        "Lengths as built: at ride height, no roll, no torque; as the spline slides a shaft may "
        "grow longer. Gap and engaged length as they stand on the bench at that length.",
    )


def _critical(m: Measurements, display: Display) -> Table:
    """Return the critical speed of every shaft with its formula."""
    unit, share = display.speed, m.configuration.limits.safe_share
    rows = (
        (
            f"shaft {c.shaft}",
            display.length.number(c.length),
            SHAFT_SPEED.number(c.speed),
            unit.number(c.road_speed),
            unit.number(c.safe_road_speed),
            unit.number(c.half_road_speed),
        )
        for c in m.critical_speeds
    )
    formulas = "; ".join(dict.fromkeys(c.formula for c in m.critical_speeds))
    top = unit.say(m.configuration.vehicle.top_speed)
    return Table(
        f"Critical speed against top speed {top}",
        (
            "shaft",
            f"longest while it turns [{display.length.name}]",
            "critical [rpm]",
            f"critical at road speed [{unit.name}]",
            f"whirl limit, {share:.2f} of critical [{unit.name}]",
            f"half critical [{unit.name}]",
        ),
        tuple(rows),
        f"Formula: {formulas}. Simple form: rigid supports, even tube; the beam model has its own "
        "table. At half critical the twice-per-turn shake of the joints meets it: noise.",
    )


def _torques(configuration: Configuration, display: Display) -> Table:
    """Return the torque cases with both limits and every default used."""
    unit = display.torque

    def limit(value: float | None) -> str:
        return "not known" if value is None else unit.number(value)

    def row(height: str, load: TorqueLoad) -> tuple[str, ...]:
        return (
            height + load.name,
            unit.number(load.wheel_torque, True),
            unit.number(load.shaft_torque, True),
            limit(load.engine_limited_shaft),
            limit(load.tire_limited_wheel),
            load.basis,
            "; ".join(load.words) or "none",
        )

    return Table(
        "Torque cases",
        (
            "torque case",
            f"at the wheels [{unit.name}]",
            f"in the shaft [{unit.name}]",
            f"engine can give, at the shaft [{unit.name}]",
            f"tires can hold, at the wheels [{unit.name}]",
            "basis",
            "defaults used",
        ),
        tuple(row(height, load) for height, load in _at_heights(configuration)),
        "Drive is positive. At the wheels: both together. Without a height: under the load at ride "
        "height; elsewhere in the travel the heaviest load counts.",
    )


def _at_heights(configuration: Configuration) -> Iterator[tuple[str, TorqueLoad]]:
    """Yield every torque case, and once more under the load of every height that has its own."""
    for load in torque_loads(configuration):
        yield "", load
    for height in () if configuration.travel is None else configuration.travel.heights:
        for load in torque_loads(configuration, height.axle_load) if height.axle_load else ():
            if load.wheel_torque and (not height.cases or load.name in height.cases):
                yield f"{height.name}, ", load


def _assumed(configuration: Configuration) -> Table:
    """Return the readings that nobody took."""
    rows = (
        (reading.path, reading.text)
        for reading in configuration.readings.values()
        if reading.status == "assumed"
    )
    return Table(
        "Assumed, not measured",
        ("reading", "value that stands in"),
        tuple(rows),
        "Write a reading into the scene to replace it; take first the ones that you trust least.",
    )
