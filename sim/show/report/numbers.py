"""Tables of one configuration over its states: angles, spline, smoothness, phase."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from sim.display import ACCELERATION, DEGREES, PERCENT, SHAFT_SPEED, Display
from sim.measure.measurements import Acceleration, Measurements
from sim.show.common_speed import at_common_speed
from sim.show.report.joint_table import joint_table
from sim.show.report.pages import Table
from sim.show.slide_words import slide_words
from sim.show.tables import member_names

Row = tuple[str, ...]


def state_tables(m: Measurements, display: Display) -> tuple[Table, ...]:
    """Return the tables of one configuration that speak of its states, in the order of the report.

    Args:
        m: What was measured.
        display: Units shown.
    """
    tables = (
        _angles(m),
        joint_table(m, display),
        _spline(m, display),
        _spline_limits(m, display),
        _smoothness(m, display),
        _phases(m),
    )
    return tuple(table for table in tables if table.rows)


def _named(m: Measurements, turning: bool = False) -> list[int]:
    """Return the states at named heights, or those of them that turn, case by case."""
    return [k for k, s in enumerate(m.states) if s.height and (s.turning or not turning)]


def _head(m: Measurements, state: int) -> tuple[str, str]:
    """Return the words for height and torque case of a state."""
    s = m.states[state]
    roll = f", rolled {DEGREES.say(s.roll, signed=True, digits=1)}" if s.roll else ""
    return f"{s.height}{roll}", s.case


def _angles(m: Measurements) -> Table:
    """Return slopes of the members and true joint angles with their parts."""
    names = [name.replace("_", " ") for name in member_names(m.matched_phase.shape[1])]
    joints = range(m.joint_angle.shape[1])

    def row(k: int) -> Row:
        slopes = [DEGREES.number(value, signed=True) for value in m.slope[k]]
        angles = [
            f"{DEGREES.number(m.joint_angle[k, j])} "
            f"({DEGREES.number(m.side_angle[k, j], True)} / "
            f"{DEGREES.number(m.plan_angle[k, j], True)})"
            for j in joints
        ]
        return (*_head(m, k), *slopes, *angles)

    heads = [f"{name} slope [deg]" for name in names] + [f"joint {j + 1} [deg]" for j in joints]
    return Table(
        "Slopes and joint angles",
        ("height", "torque case", *heads),
        tuple(map(row, _named(m))),
        "Slope: front end high is positive. Joint angle: true angle, in brackets its side-view and "
        "plan-view parts.",
    )


def _spline(m: Measurements, display: Display) -> Table:
    """Return slip, gap and engaged length at the named heights."""
    unit = display.length
    rows = (
        (
            *_head(m, k),
            unit.number(m.slip[k], True),
            unit.number(m.gap[k]),
            unit.number(m.engaged[k]),
        )
        for k in _named(m)
    )
    said = slide_words(m.configuration)
    heads = (f"slip [{unit.name}]", f"{said.gap} [{unit.name}]", f"{said.engaged} [{unit.name}]")
    return Table(
        said.where[:1].upper() + said.where[1:],
        ("height", "torque case", *heads),
        tuple(rows),
        "Slip is counted from ride height at rest, drawing apart positive.",
    )


def _spline_limits(m: Measurements, display: Display) -> Table:
    """Return the extremes of the spline over continuous travel, per torque case."""
    unit = display.length

    def at(value: float, travel: float, signed: bool = False) -> str:
        return f"{unit.number(value, signed)} at {unit.number(travel, True)}"

    def reached(travel: float | None) -> str:
        return "no" if travel is None else f"yes, at {unit.number(travel, True)}"

    rows = (
        (
            s.case,
            at(s.least_gap, s.least_gap_travel),
            at(s.least_engaged, s.least_engaged_travel),
            at(s.largest_slip, s.largest_slip_travel, True),
            reached(s.bottoms_at),
            reached(s.pulls_out_at),
        )
        for s in m.slip_limits
    )
    said = slide_words(m.configuration)
    least = ("least gap", "least engaged") if said.what == "spline" else (said.gap, said.engaged)
    heads = (*least, "largest slip", said.closed, said.apart)
    return Table(
        f"{said.what[:1].upper() + said.what[1:]} over continuous travel",
        ("torque case", *(f"{head} [{unit.name}]" for head in heads)),
        tuple(rows),
        "Found by root finding between the heights above; after “at” stands the axle travel.",
    )


def _smoothness(m: Measurements, display: Display) -> Table:
    """Return fluctuation and accelerations, with the speed beside each, and at one for all."""
    common = at_common_speed(m, display)
    names = [name.replace("_", " ") for name in member_names(m.matched_phase.shape[1])][1:]

    def accelerations(k: int, a: Acceleration) -> Iterable[str]:
        yield ACCELERATION.number(a.torsional[k])
        for values, shafts in (
            (a.inertial_drive, a.drive_shaft),
            (a.inertial_coast, a.coast_shaft),
        ):
            which = f" (shaft {shafts[k]})" if len(m.as_built) > 1 else ""
            yield f"{ACCELERATION.number(values[k])}{which}"

    rows = (
        (
            *_head(m, k),
            *(PERCENT.number(value) for value in m.fluctuation[k, 1:]),
            f"{display.speed.number(m.states[k].road_speed)} "
            f"({SHAFT_SPEED.number(m.shaft_speed[k])} rpm)",
            *accelerations(k, m.acceleration),
            *accelerations(k, common),
        )
        for k in _named(m, turning=True)
    )
    kinds = ("pinion uneven", "shaft uneven under drive", "shaft uneven on the overrun")
    at_common = display.speed.say(display.common_speed)
    return Table(
        "Speed fluctuation and angular acceleration",
        (
            "height",
            "torque case",
            *(f"fluctuation, {name} [%]" for name in names),
            f"at road speed [{display.speed.name}] (shaft)",
            *(f"{kind} [rad/s²]" for kind in kinds),
            *(f"{kind} at {at_common} [rad/s²]" for kind in kinds),
        ),
        tuple(rows),
        "Fluctuation: peak to peak over a turn. Accelerations: zero to peak, at the road speed "
        "that belongs to the state. Pinion: at steady output. Shaft: the one with the largest, at "
        "steady output (drive) and at steady pinion (overrun). A shaft that no joint turns "
        "unevenly has exactly 0 here.",
    )


def _phases(m: Measurements) -> Table:
    """Return the yoke phase of every shaft against the one that would suit it, at ride height."""
    ride = next(
        (k for k, s in enumerate(m.states) if s.height == "ride height" and not s.roll), None
    )
    if ride is None:
        return Table("Yoke phase at ride height", (), ())
    rows = []
    for i, shaft in enumerate(m.configuration.shafts):
        known = bool(m.phase_known[ride, i])
        suits = DEGREES.number(m.matched_phase[ride, i], True, 1) if known else "means little here"
        error = DEGREES.number(m.phase_error[ride, i], True, 1) if known else "–"
        rows.append((f"shaft {i + 1}", DEGREES.number(shaft.phase, True, 1), suits, error))
    return Table(
        f"Yoke phase at ride height, {m.states[ride].case}",
        ("shaft", "as built [deg]", "would suit its joint planes [deg]", "difference [deg]"),
        tuple(rows),
        "It means little where a joint of the shaft bends less than half a degree. Ask the maker "
        "before clocking a factory shaft anew: some are out of line on purpose.",
    )


def largest_angle_of(m: Measurements, display: Display) -> tuple[float, str]:
    """Return the largest joint angle among turning states [rad], and where it is, in words."""
    turning = np.array([state.turning for state in m.states])
    angle = np.where(turning[:, None], m.joint_angle, -1.0)
    k, j = (int(i) for i in np.unravel_index(int(np.argmax(angle)), angle.shape))
    return float(angle[k, j]), f"joint {j + 1}, {m.states[k].say(display.name)}"
