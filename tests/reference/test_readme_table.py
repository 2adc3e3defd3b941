"""The README's table of checked numbers, computed again here so that it cannot go stale.

Every row names its source in the README's own words; the files of this folder hold many more.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest
from chains import RPM, measured, planar, twisted
from reference.test_elastic_leaf_spring import LAUNCH, of_rod, of_solve, orchard_truck, rod_of
from reference.test_slip import on_parallel_links

from sim.measure.critical import critical_speed
from sim.motion.frames import angle_between, unit
from sim.motion.postures import postures

README = Path(__file__).parents[2] / "README.md"


def compound(side: float, plan: float) -> float:
    return float(
        np.rad2deg(
            angle_between(
                [1.0, 0.0, 0.0], unit([1.0, np.tan(np.deg2rad(plan)), np.tan(np.deg2rad(side))])
            )
        )
    )


def ripple(*angles: float) -> float:
    return float(measured(planar(*angles)).fluctuation[0, -1])


def acceleration(angle: float, rpm: float) -> float:
    chain = measured(planar(angle, 0.0), shaft_speed=rpm * RPM, samples_per_turn=2880)
    return float(chain.acceleration.inertial_drive[0])


def clocked(phase: float) -> float:
    return float(measured(twisted(8, 8, 75), [phase]).fluctuation[0, -1])


def slip_range() -> float:
    return 1e3 * float(np.ptp(postures(on_parallel_links(), np.linspace(-0.1, 0.1, 4001)).slip))


def rod_wrap() -> tuple[float, float]:
    """Return the wrap of the orchard truck by an elastic rod and by the program [deg]."""
    truck, ride = orchard_truck(), np.zeros(1)
    rod = rod_of(truck)
    turns = of_rod(truck, rod, ride, LAUNCH), of_solve(truck, ride, LAUNCH)
    return tuple(float(np.rad2deg(turn[0, 1])) for turn in turns)  # type: ignore[return-value]


def whirl(outside: float, wall: float, length: float) -> float:
    inches = 25.4e-3
    speed = critical_speed(outside * inches, (outside - 2 * wall) * inches, length * inches)
    return float(speed / RPM)


@cache
def rows() -> list[tuple[str, str, float, float, str]]:
    """Return quantity, source, their value, our value, format."""
    rod, ours = rod_wrap()
    return [
        (
            "speed fluctuation of one joint at 20 deg",
            "Dana Industrial Drive Shafts Catalogue, U = tan β sin β",
            0.124485152,
            ripple(20, 0),
            ".6f",
        ),
        (
            "largest acceleration of one joint, 7 deg at 3000 rpm, rad/s²",
            "Khurmi and Gupta, Theory of Machines ch. 9, formula from memory",
            1476.9381,
            acceleration(7, 3000),
            ".2f",
        ),
        (
            "fluctuation of joints of 1, 4 and 4.2 deg, %",
            "yoke vectors turned in the test",
            0.080506044,
            100 * ripple(1, 4, 4.2),
            ".6f",
        ),
        (
            "the same, 8 deg twice, planes 75 deg apart, yokes in line, %",
            "yoke vectors turned in the test (rule: Elbe, Technik ch. 1)",
            3.7787746,
            100 * clocked(0),
            ".5f",
        ),
        (
            "the same, yokes turned by those 75 deg, %",
            "Elbe, Technik ch. 1: cancels",
            0.0,
            100 * clocked(75),
            ".5f",
        ),
        (
            "true angle of 2.5 deg in side view and 2.15 deg in top view, deg",
            "Spicer J3311, p. 10 (printed to 0.1)",
            3.3,
            compound(2.5, 2.15),
            ".1f",
        ),
        (
            "true angle of 2.5 and 5.5 deg, deg",
            "Vetus coupling manual, sect. 3.2, tangent form",
            6.0351986,
            compound(2.5, 5.5),
            ".5f",
        ),
        (
            "slip range on parallel 500 mm links over ± 100 mm, mm",
            "circle and Pythagoras at 40 digits",
            11.728841,
            slip_range(),
            ".4f",
        ),
        (
            "wrap of the orchard truck at 6058 N m, deg",
            "elastic rod with its own force balance, written in the test",
            rod,
            ours,
            ".2f",
        ),
        (
            "critical speed, 3 × 0.083 in steel tube, 54 in, rpm",
            "IMS Ltd, technical data, 1.21e8 form",
            6742.0396,
            whirl(3.0, 0.083, 54.0),
            ".1f",
        ),
    ]


def line(quantity: str, source: str, theirs: float, ours: float, style: str) -> str:
    """Return a row of the table as the README prints it."""
    apart = abs(theirs - ours)
    difference = f"{apart:.0e}" if apart > 1e-12 else "0"
    return f"| {quantity} | {source} | {theirs:{style}} | {ours:{style}} | {difference} |"


def test_the_readme_states_what_is_computed() -> None:
    table = README.read_text(encoding="utf-8")
    for row in rows():
        _, source, theirs, ours, style = row
        # As close as the source prints; the rod is another model: within 0.05 deg of it.
        if "elastic rod" in source:
            assert ours == pytest.approx(theirs, abs=0.05)
        else:
            assert f"{ours:{style}}" == f"{theirs:{style}}"
        # The last cell is rounding noise that differs from machine to machine.
        assert line(*row).rsplit("|", 2)[0] in table
