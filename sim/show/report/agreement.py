"""Which numbers were confirmed by what: the agreement of the two routes, in tables."""

from __future__ import annotations

from collections.abc import Sequence

from sim.display import DEGREES, Display
from sim.show.report.pages import Table
from sim.show.result import Result
from sim.world.agreement import Agreement, Promise

CONFIRMED = Table(
    "Which numbers were confirmed by what",
    ("number", "confirmed by"),
    (
        (
            "joint angles, slip, gap, engaged length, speed ratios, fluctuation",
            "in this run, by rigid bodies in a physics engine, which is given the same axle "
            "posture: the table above",
        ),
        (
            "axle posture: travel, wrap under torque, roll",
            "not in this run; separately in the tests, against an elastic rod and against links as "
            "rigid bodies",
        ),
        (
            "angular accelerations",
            "computed from the speed ratios confirmed above; of a shaft that no joint turns "
            "unevenly it is exactly 0, where the engine's own motion reads some 5 to 40 rad/s², "
            "which is its noise",
        ),
        ("critical speeds", "not simulated: the published formula named beside them"),
        ("torques", "not simulated: statics of the plates' values, with the defaults named"),
        ("readings", "by nobody but whoever took them"),
    ),
)


def agreement_table(results: Sequence[Result], display: Display) -> Table | None:
    """Return the largest differences of the two routes, or None where only one was run.

    Args:
        results: One a configuration.
        display: Units shown.
    """
    found = [result.agreement for result in results if result.agreement is not None]
    if not found:
        return None
    promise = Promise()
    unit = display.length
    angle, slip = DEGREES.of(promise.joint_angle), unit.of(promise.slip)
    return Table(
        "Largest differences between the exact route and the rigid bodies",
        (
            "configuration",
            f"joint angle [deg], asked ≤ {angle:.3g}",
            f"slip [{unit.name}], asked ≤ {slip:.2g}",
            f"speed ratio [-], asked ≤ {promise.speed_ratio:.0e}",
            f"fluctuation, peak to peak [-], asked ≤ {promise.fluctuation:.0e}",
            f"closure gap of the engine [{unit.name}]",
            "kept",
        ),
        tuple(_row(agreement, display, promise) for agreement in found),
        "; ".join(dict.fromkeys(map(_settings, found))),
    )


def _row(agreement: Agreement, display: Display, promise: Promise) -> tuple[str, ...]:
    """Return the differences of one configuration."""
    unit = display.length
    return (
        agreement.configuration,
        f"{DEGREES.of(agreement.joint_angle):.2g}",
        f"{unit.of(agreement.slip):.2g}",
        f"{agreement.speed_ratio:.1e}",
        f"{agreement.fluctuation:.1e}",
        f"{unit.of(agreement.closure_gap):.2g}",
        "yes" if agreement.keeps(promise) else "no",
    )


def _settings(agreement: Agreement) -> str:
    """Return how the engine was run, in words."""
    s = agreement.settings
    return (
        f"{agreement.engine}: {agreement.states} states held, at least {agreement.heights} heights "
        f"in each of {', '.join(agreement.cases)}; output turned "
        f"{DEGREES.of(agreement.step):.2f} deg a step, {agreement.steps} steps a turn; "
        f"time step {s.time_step:.3g} s, "
        f"{s.iterations} iterations, residual {s.residual:.0e}, error reduction {s.erp:g}"
    )
