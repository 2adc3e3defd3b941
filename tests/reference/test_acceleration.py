"""Angular accelerations against published formulas, tables and limits; sources beside each."""

from __future__ import annotations

import numpy as np
import pytest
from chains import RPM, THREE_PHASES, measured, planar, three_in_space, turned
from scipy.interpolate import make_interp_spline

# β [deg], largest α / ω² [-].
# Formula: Khurmi and Gupta, Theory of Machines, ch. 9 (from memory); numbers from it at 40 digits.
SINGLE_JOINT = [
    (1, 0.000304632895),
    (3, 0.002742816402),
    (5, 0.007625250287),
    (7, 0.0149645114),
    (10, 0.030626033599),
    (15, 0.069433638862),
    (20, 0.124965577344),
    (30, 0.294571098623),
    (45, 0.787200323569),
]


@pytest.mark.parametrize(("beta", "expected"), SINGLE_JOINT)
def test_largest_acceleration_of_a_single_joint(beta: float, expected: float) -> None:
    found = measured(planar(beta, 0.0), shaft_speed=1.0, samples_per_turn=1440).acceleration
    assert found.torsional[0] == pytest.approx(expected, rel=1e-7)
    assert found.inertial_drive[0] == pytest.approx(expected, rel=1e-7)


@pytest.mark.parametrize(("beta", "expected"), SINGLE_JOINT[:7])
def test_the_usual_number_of_angles_is_enough(beta: float, expected: float) -> None:
    found = measured(planar(beta, 0.0), shaft_speed=1.0, samples_per_turn=128).acceleration
    assert found.torsional[0] == pytest.approx(expected, rel=1e-4)


def test_seven_degrees_at_3000_rpm() -> None:
    # The same formula (from memory, at 40 digits): 1476.9381 rad/s², small angles 1473.1622.
    found = measured(planar(7, 0), shaft_speed=3000 * RPM, samples_per_turn=1440).acceleration
    assert found.torsional[0] == pytest.approx(1476.9381, abs=1e-3)
    assert found.torsional[0] == pytest.approx(1473.1622, rel=3e-3)


def test_inertia_torque_of_a_textbook_problem() -> None:
    # Problem at adapala-academy.com: 3 kg m², 30 deg, 2400 rpm.  Answer computed: 55820.164 N m.
    found = measured(planar(30, 0), shaft_speed=2400 * RPM, samples_per_turn=1440).acceleration
    assert 3 * found.torsional[0] == pytest.approx(55820.164, rel=1e-7)


@pytest.mark.parametrize(
    ("limit", "product"),
    [(300, 9476.6456), (400, 10942.688), (500, 12234.297), (1000, 17301.909)],
)
def test_speed_times_angle_that_belongs_to_a_limit(limit: float, product: float) -> None:
    # Small-angle rule α = (2π/60 · π/180 · n β)²; limits from memory (SAE AE-7, DSAG-0200).
    rpm = 3600
    found = measured(planar(product / rpm, 0), shaft_speed=rpm * RPM).acceleration
    assert found.inertial_drive[0] == pytest.approx(limit, rel=2e-3)


# Shaft speed [rpm], angle of joint 1, allowed angle of joint 2 [deg].
# Source: Design Guidelines for Drive Shaft Installation Angle, engineersedge, two-joint table (it
# refers to SAE AE-7 sect. 3.1.1).  The limit behind it is not printed: about 400 rad/s².
TWO_JOINTS = [
    (1500, 0, 7.3),
    (1500, 1, 7.4),
    (1500, 2, 7.6),
    (1500, 3, 7.9),
    (1500, 4, 8.3),
    (1500, 5, 8.9),
    (1500, 6, 9.5),
    (1500, 7, 10.1),
    (1500, 8, 10.8),
    (1500, 9, 11.6),
    (1600, 0, 6.9),
    (1600, 1, 6.9),
    (1600, 2, 7.1),
    (1600, 3, 7.5),
    (1600, 4, 7.9),
    (1600, 5, 8.5),
    (1600, 6, 9.1),
    (1600, 7, 9.8),
    (1600, 8, 10.5),
    (1700, 0, 6.5),
    (1700, 1, 6.5),
    (1700, 2, 6.8),
    (1700, 3, 7.1),
    (1700, 4, 7.6),
    (1700, 5, 8.2),
    (1700, 6, 8.8),
]


@pytest.mark.parametrize(("rpm", "first", "second"), TWO_JOINTS)
def test_the_published_two_joint_table_is_a_torsional_limit_of_400(
    rpm: float, first: float, second: float
) -> None:
    below, above = (
        measured(planar(first, second + d), shaft_speed=rpm * RPM).acceleration.torsional[0]
        for d in (-0.1, 0.12)
    )
    assert below < 400 < above


# Spicer DSIG-3311/J3311, largest operating angle [deg] at a shaft speed [rpm], as quoted
# second-hand (tacomaworld.com/posts/26165101).  It follows 1000 rad/s² from 1500 to 3500 rpm.
@pytest.mark.parametrize(
    ("rpm", "angle"), [(3500, 5.0), (3000, 5.8), (2500, 7.0), (2000, 8.7), (1500, 11.5)]
)
def test_the_published_angle_table_is_an_inertial_limit_of_1000(rpm: float, angle: float) -> None:
    found = measured(planar(angle, angle), shaft_speed=rpm * RPM).acceleration
    assert found.inertial_drive[0] == pytest.approx(1000, rel=0.03)


def test_steady_pinion_and_steady_output_are_alike_for_equal_joints() -> None:
    # By symmetry: seen from the pinion, the rear joint drives the shaft as the front joint does.
    found = measured(planar(6, 6)).acceleration
    assert found.inertial_coast[0] == pytest.approx(found.inertial_drive[0], rel=1e-9)
    assert found.torsional[0] == pytest.approx(0.0, abs=1e-7)


def test_three_shafts_in_space_against_their_pins() -> None:
    """Derived in DEVELOPERS.md; confirmed here by pins that stay perpendicular."""
    motion, found = three_in_space()
    axes, phases = motion.axis[0, 0], THREE_PHASES
    own = found.acceleration
    assert own.torsional[0] == pytest.approx(25.6941, abs=6e-5)
    assert own.inertial_drive[0] == pytest.approx(25.3779, abs=6e-5)
    assert own.drive_shaft[0] == 3
    assert own.inertial_coast[0] == pytest.approx(29.2095, abs=1.2e-4)
    assert own.coast_shaft[0] == 2

    omega = 100.0
    theta = np.linspace(0, 2 * np.pi, 2049)
    turns = turned(axes, phases, theta)
    drive = omega**2 * np.abs(np.diff(turns, 2, axis=0)).max(axis=0) / (theta[1] - theta[0]) ** 2
    np.testing.assert_allclose(drive[1:4], [0.7329, 3.5213, 25.3779], atol=5e-4)
    assert own.torsional[0] == pytest.approx(drive[4], rel=1e-5)
    even = np.linspace(turns[0, -1], turns[-1, -1], 2049)  # the pinion turns steadily
    coast = [
        omega**2
        * np.abs(np.diff(_cubic(even, turns[:, -1], turns[:, i]), 2)).max()
        / (even[1] - even[0]) ** 2
        for i in (1, 2, 3)
    ]
    np.testing.assert_allclose(coast, [26.2775, 29.2095, 1.2585], rtol=2e-4)


def test_the_acceleration_grows_with_the_square_of_the_speed() -> None:
    # ω²: definition of the second derivative in time at a steady turn.
    slow, fast = (measured(planar(3, 5), shaft_speed=s).acceleration for s in (50.0, 150.0))
    assert fast.torsional[0] == pytest.approx(9 * slow.torsional[0], rel=1e-12)
    assert fast.inertial_coast[0] == pytest.approx(9 * slow.inertial_coast[0], rel=1e-12)


def _cubic(at: np.ndarray, x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Return a curve's values between its points, by a smooth spline of a general library."""

    return np.asarray(make_interp_spline(x, y, k=5)(at))
