"""Limits of the rule sets against the manuals they come from; sources beside each."""

from __future__ import annotations

import numpy as np
import pytest
from chains import RPM

from sim.judge.joint_quantities import allowed_angle
from sim.judge.rules import rules_of

# rule set, rule, quantity, relation, limit, unit, source
LIMITS = [
    # GM/Isuzu Hombre service manual 1999, two-piece working angles: front (odd) joint 0.5 or less
    ("two-piece service", "front joint", "odd joint", "at most", 0.5, "deg", "GM/Isuzu Hombre"),
    # GM service manual 2000, two-piece shafts: middle minus rear at most 0.5
    (
        "two-piece service",
        "pair difference",
        "pair difference, more pieces",
        "at most",
        0.5,
        "deg",
        "GM/Isuzu Hombre",
    ),
    # Jeep JK 2007 service manual: cancellation within 1 deg
    (
        "two-piece service",
        "pair difference",
        "pair difference, one-piece",
        "at most",
        1.0,
        "deg",
        "Jeep JK 2007",
    ),
    # Jeep JK 2007, Hyundai body builder 2015: at least 0.5 deg
    ("two-piece service", "least angle", "paired joints", "at least", 0.5, "deg", "Jeep JK 2007"),
    # Jeep JK 2007, Hyundai body builder 2015: 3 deg; Spicer J3311: 3 deg recommended
    (
        "two-piece service",
        "largest static angle",
        "universal joints",
        "at most",
        3.0,
        "deg",
        "Spicer J3311",
    ),
    # Mitsubishi Fuso eCanter body directives 2020, sect. 6.10: not above 6 deg
    (
        "two-piece service",
        "largest operating angle",
        "universal joints",
        "at most",
        6.0,
        "deg",
        "Fuso",
    ),
    # Jeep JK 2007: constant velocity joint below 10, single-joint system below 1.5 deg
    (
        "two-piece service",
        "constant velocity joint",
        "constant velocity joints",
        "at most",
        10.0,
        "deg",
        "Jeep JK 2007",
    ),
    (
        "two-piece service",
        "lone universal joint",
        "lone universal joint",
        "at most",
        1.5,
        "deg",
        "Jeep JK 2007",
    ),
    # International TM 5-4210-230-14&P-1: yokes of parallel lines within 1 deg
    ("two-piece service", "yoke phase", "phase", "at most", 1.0, "deg", "TM 5-4210-230-14&P-1"),
    # Spicer driveshaft service manual 2007: bracket within 3 deg of square
    ("two-piece service", "bracket skew", "bracket skew", "at most", 3.0, "deg", "2007"),
    # Spicer J3311: 1 to 1.5 deg at the input end of each coupling shaft
    ("heavy truck", "coupling joint, least", "coupling joints", "at least", 1.0, "deg", "J3311"),
    ("heavy truck", "coupling joint, most", "coupling joints", "at most", 1.5, "deg", "J3311"),
    # Spicer J3311: both ends equal within 1 deg
    ("heavy truck", "pair difference", "pair difference", "at most", 1.0, "deg", "J3311"),
    # Meritor MM-96147 (rev. 03-21): compound angle not above 5 deg
    (
        "heavy truck",
        "largest operating angle",
        "universal joints",
        "at most",
        5.0,
        "deg",
        "Meritor MM-96147",
    ),
    # Elbe, Technik ch. 3: residual fluctuation at most 0.0027
    (
        "acceleration limits",
        "residual fluctuation",
        "fluctuation of the pinion",
        "at most",
        0.27,
        "%",
        "Elbe",
    ),
    # From memory: SAE AE-7 (400 rad/s²), Spicer DSAG-0200 (300 and 1000 rad/s²)
    (
        "two-piece service",
        "torsional acceleration",
        "torsional acceleration",
        "at most",
        400.0,
        "rad/s²",
        "from memory: SAE AE-7",
    ),
    (
        "heavy truck",
        "torsional acceleration",
        "torsional acceleration",
        "at most",
        300.0,
        "rad/s²",
        "from memory: Spicer DSAG-0200",
    ),
    (
        "acceleration limits",
        "inertial drive acceleration",
        "inertial drive acceleration",
        "at most",
        1000.0,
        "rad/s²",
        "from memory: Spicer DSAG-0200",
    ),
    (
        "acceleration limits",
        "inertial coast acceleration",
        "inertial coast acceleration",
        "at most",
        1000.0,
        "rad/s²",
        "from memory: Spicer DSAG-0200",
    ),
]


@pytest.mark.parametrize(
    ("rule_set", "rule", "quantity", "relation", "limit", "unit", "source"), LIMITS
)
def test_limits_are_those_of_their_sources(
    rule_set: str, rule: str, quantity: str, relation: str, limit: float, unit: str, source: str
) -> None:
    found = [r for r in rules_of(rule_set) if (r.id, r.quantity) == (rule, quantity)]
    assert len(found) == 1
    assert (found[0].relation, found[0].limit, found[0].unit) == (relation, limit, unit)
    assert source in found[0].source
    from_memory = source.startswith("from memory")
    assert found[0].standing == ("from memory" if from_memory else "published")


# Spicer DSIG-3311/J3311, largest operating angle [deg] at a shaft speed [rpm], as quoted
# second-hand (tacomaworld.com/posts/26165101).
ANGLE_TABLE = [
    (5000, 3.2),
    (4500, 3.7),
    (4000, 4.2),
    (3500, 5.0),
    (3000, 5.8),
    (2500, 7.0),
    (2000, 8.7),
    (1500, 11.5),
]


@pytest.mark.parametrize(("rpm", "angle"), ANGLE_TABLE)
def test_the_angle_allowed_at_a_speed(rpm: float, angle: float) -> None:
    assert allowed_angle(np.array([rpm * RPM]))[0] == pytest.approx(angle, abs=1e-9)


def test_the_angle_allowed_outside_the_table_keeps_speed_times_angle() -> None:
    # Spicer GWB, Driveshafts for Industrial Applications: speed times angle governs.
    slow, fast = allowed_angle(np.array([750.0, 10000.0]) * RPM)
    assert slow == pytest.approx(23.0, abs=1e-9)
    assert fast == pytest.approx(1.6, abs=1e-9)


@pytest.mark.parametrize(("rpm", "printed"), [(5000, 3.25), (4000, 4.25), (3000, 5 + 5 / 6)])
def test_the_printed_guide_differs_by_a_twentieth_of_a_degree(rpm: float, printed: float) -> None:
    # The printed guide in degrees and minutes (from memory): 3°15', 4°15', 5°50'.
    assert allowed_angle(np.array([rpm * RPM]))[0] == pytest.approx(printed, abs=0.051)
