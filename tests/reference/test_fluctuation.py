"""Speed fluctuation of whole chains against published formulas, tables and examples.

Every number below is restated with its source.  Where a source gives the formula only, the number
was computed from that formula at 40 digits, outside this program.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import samples
from chains import DEG, THREE_PHASES, measured, planar, three_in_space, turned, twisted

from sim.measure.measure import measure
from sim.motion.solve import solve

DANA = "Dana Industrial Drive Shafts Catalogue, general fundamentals: U = tan β sin β"
# β [deg], U [-]
SINGLE_JOINT = [
    (1, 0.000304632888),
    (2, 0.00121871728),
    (3, 0.00274281124),
    (5, 0.00762513945),
    (7, 0.0149636738),
    (8, 0.0195595038),
    (10, 0.0306188589),
    (12, 0.0441929941),
    (15, 0.0693503541),
    (20, 0.124485152),
    (25, 0.197070132),
    (30, 0.288675135),
    (35, 0.401622544),
    (40, 0.539362846),
    (45, 0.707106781),
]


@pytest.mark.parametrize(("beta", "expected"), SINGLE_JOINT)
def test_a_single_joint_fluctuates_as_the_catalogue_says(beta: float, expected: float) -> None:
    found = measured(planar(beta, 0.0))
    assert found.fluctuation[0, 1] == pytest.approx(expected, rel=1e-6), DANA
    assert found.fluctuation[0, 2] == pytest.approx(expected, rel=1e-6), DANA


@pytest.mark.parametrize(("beta", "expected"), [row for row in SINGLE_JOINT if row[0] <= 20])
def test_the_usual_number_of_angles_is_enough(beta: float, expected: float) -> None:
    found = measured(planar(beta, 0.0), samples_per_turn=128)
    assert found.fluctuation[0, 1] == pytest.approx(expected, rel=1e-4), DANA


@pytest.mark.parametrize(
    ("rpm", "beta", "expected", "tolerance"),
    [
        # Textbook problem reproduced at askfilo.com (…3431373033373734): 1200 rpm, 100 rpm in all,
        # cos β 0.9592.  The page then prints 16.2 deg, which contradicts its own cosine.
        (1200, np.rad2deg(np.arccos(0.9592)), 100.0, 0.5),
        # Textbook problem with answer key at askfilo.com (…3239303638323233): 20.67 deg.
        (1500, 20.67, 200.0, 0.3),
    ],
)
def test_textbook_problems_on_total_fluctuation(
    rpm: float, beta: float, expected: float, tolerance: float
) -> None:
    assert rpm * measured(planar(beta, 0.0)).fluctuation[0, 1] == pytest.approx(
        expected, abs=tolerance
    )


@pytest.mark.parametrize(
    ("angles", "equivalent", "exact"),
    [
        # Rule of signs: Elbe, Technik ch. 3.  Exact residuals: explicit yoke vectors, derived.
        ((5.0, 4.0), 3.0, 0.0027472789),
        ((1.0, 4.0, 4.2), 1.624807681, 0.00080506044),
        ((2.0, 6.0, 6.3), 2.773084925, 0.0023470954),
        ((0.5, 3.0, 3.2), 1.220655562, 0.00045425032),
    ],
)
def test_equivalent_angle_of_joints_with_yokes_in_line(
    angles: tuple[float, ...], equivalent: float, exact: float
) -> None:
    found = measured(planar(*angles)).fluctuation[0, -1]
    assert found == pytest.approx(exact, abs=2e-9)
    one_joint = 1 / np.cos(equivalent * DEG) - np.cos(equivalent * DEG)
    assert found == pytest.approx(one_joint, rel=3e-3)  # small-angle rule


def test_bending_the_same_way_or_to_and_fro_makes_no_difference() -> None:
    # Published rule for joints in one plane: Elbe, Technik ch. 1 (Z and W arrangement).
    to_and_fro = planar(4.0, 6.0)
    plan = np.array([0.0, 4.0, 10.0]) * DEG
    same_way = np.stack([np.cos(plan), np.sin(plan), 0 * plan], axis=-1)
    assert measured(same_way).fluctuation[0, -1] == pytest.approx(
        measured(to_and_fro).fluctuation[0, -1], abs=1e-12
    )


@pytest.mark.parametrize("beta", [2.0, 8.0, 15.0])
def test_equal_angles_with_yokes_in_line_cancel(beta: float) -> None:
    # Elbe, Technik ch. 1: equal angles, inner yokes in one plane, all shafts in one plane.
    assert measured(planar(beta, beta)).fluctuation[0, -1] == pytest.approx(0.0, abs=1e-12)


def test_the_residual_limit_of_a_maker_belongs_to_about_three_degrees() -> None:
    # Elbe, Technik ch. 3: U at most 0.0027, that is β 2.9765 deg.
    assert measured(planar(2.9765, 0.0)).fluctuation[0, -1] == pytest.approx(0.0027, abs=2e-7)


@pytest.mark.parametrize(
    ("turn", "expected"),
    [(30, 0.01955973762), (75, 0.03778774561), (120, 0.03387926937)],
)
def test_joint_planes_turned_against_each_other(turn: float, expected: float) -> None:
    # Two joints of 8 deg.  Qualitative: Elbe, Technik ch. 4.  Numbers: yoke vectors, derived.
    assert measured(twisted(8, 8, turn)).fluctuation[0, -1] == pytest.approx(expected, abs=2e-8)


@pytest.mark.parametrize("turn", [30, 75, 120, -50])
def test_clocking_by_the_matched_phase_cancels_exactly(turn: float) -> None:
    # Elbe, Technik ch. 1 and 4: turn the inner yokes by the angle between the joint planes.
    axes = twisted(8, 8, turn)
    matched = np.rad2deg(measured(axes).matched_phase[0, 0])
    assert np.sin((matched - turn) * DEG) == pytest.approx(0.0, abs=1e-12)
    clocked = measured(axes, [matched])
    assert clocked.fluctuation[0, -1] == pytest.approx(0.0, abs=1e-12)
    assert clocked.phase_error[0, 0] == pytest.approx(0.0, abs=1e-12)


def test_clocking_the_wrong_way_is_no_better() -> None:
    # Elbe, Technik ch. 4: the direction matters.  0.0196: yoke vectors, derived.
    assert measured(twisted(8, 8, 75), [-75]).fluctuation[0, -1] == pytest.approx(0.0196, abs=5e-5)


def test_a_small_phase_error_of_equal_angles() -> None:
    # Derived: β_eq⁴ = 2 β⁴ (1 − cos 2δ), 5 and 5 deg, δ 3 deg; exact by yoke vectors.
    found = measured(planar(5, 5), [3]).fluctuation[0, -1]
    assert found == pytest.approx(0.0007981379, abs=1e-9)
    assert found == pytest.approx((1.617651944 * DEG) ** 2, rel=3e-3)


def test_yokes_a_quarter_turn_out_of_phase_multiply() -> None:
    # Seherr-Thoss, Schmelz and Aucktor, Universal Joints and Driveshafts (from memory): the ratio
    # swings from cos² β to 1/cos² β; 20 deg: 0.8830222216 to 1.1324743314.
    found = measured(planar(20, 20), [90]).fluctuation[0, -1]
    assert found == pytest.approx(1.1324743314 - 0.8830222216, rel=1e-6)


def test_the_phase_of_the_second_order_counts_from_the_level_pin() -> None:
    # Elbe, Technik ch. 2: fastest when the driving yoke lies in the plane of both shafts.
    level, upright = planar(6, 0), planar(6, 0)[:, [0, 2, 1]]
    fast_at_start, slow_at_start = measured(level), measured(upright)
    assert fast_at_start.second_order_phase[0, 1] == pytest.approx(0.0, abs=1e-9)
    assert abs(slow_at_start.second_order_phase[0, 1]) == pytest.approx(np.pi, abs=1e-9)
    # Fourier series of the ratio (Seherr-Thoss, from memory): A = 2 tan²(β/2) to first order.
    assert fast_at_start.second_order[0, 1] == pytest.approx(2 * np.tan(3 * DEG) ** 2, rel=1e-9)


def test_three_shafts_in_space_against_their_pins() -> None:
    """Derived in DEVELOPERS.md; confirmed here by pins that stay perpendicular."""
    motion, found = three_in_space()
    axes, phases = motion.axis[0, 0], THREE_PHASES
    np.testing.assert_allclose(
        np.rad2deg(found.slope[0, 1:4]), [3.32305, 4.27877, 1.28296], atol=6e-6
    )
    np.testing.assert_allclose(
        np.rad2deg(found.joint_angle[0]), [0.49049, 0.99394, 3.07838, 0.64276], atol=6e-6
    )
    np.testing.assert_allclose(
        100 * found.fluctuation[0, 1:], [0.007329, 0.035213, 0.253778, 0.256940], atol=1.5e-6
    )
    assert 100 * found.second_order[0, -1] == pytest.approx(0.128470, abs=6e-7)
    assert np.rad2deg(found.second_order_phase[0, -1]) == pytest.approx(-135.326, abs=6e-4)

    theta = np.linspace(0, 2 * np.pi, 4097)
    middle = (theta[1:] + theta[:-1]) / 2
    ratio = np.diff(turned(axes, phases, theta), axis=0) / np.diff(theta)[:, None]
    np.testing.assert_allclose(found.fluctuation[0], np.ptp(ratio, axis=0), rtol=2e-6, atol=1e-11)
    line = 2 * np.mean(ratio * np.exp(-2j * middle)[:, None], axis=0)
    np.testing.assert_allclose(found.second_order[0], np.abs(line), rtol=2e-6, atol=1e-12)
    np.testing.assert_allclose(found.second_order_phase[0, 1:], np.angle(line)[1:], atol=1e-5)


def test_a_spline_inside_the_rear_shaft_changes_what_reaches_the_pinion() -> None:
    """Derived in DEVELOPERS.md: the same ends with the spline inside shaft 3, 0.263684 %."""
    motion, _ = three_in_space()
    inside = replace(motion.configuration, spline=samples.spline("shaft", 45, 85, 60, 16))
    angle = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    found = measure(solve(inside, states=motion.states, turn_angle=angle))
    assert 100 * found.fluctuation[0, -1] == pytest.approx(0.263684, abs=6e-7)
