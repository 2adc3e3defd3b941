"""One universal joint against published formulas and textbook examples.

The joint bends in plan, so the output's pin lies in the plane of both shafts at θ = 0: the
convention of Elbe, Technik ch. 2, in which φ1 = 0 has the driving yoke in that plane.
"""

from __future__ import annotations

import numpy as np
import pytest

from sim.motion.frames import axis_from_slope
from sim.motion.joints import Turn, pin_planes, turn

DEG = np.pi / 180
FINE = np.linspace(0.0, np.pi, 18001)  # a half turn in steps of 0.01 deg

# beta [deg], highest and lowest ratio, their difference, highest acceleration over the square of
# the input speed, φ1 there [deg], largest lead or lag [deg].
# Sources: extremes and difference, Dana Industrial Drive Shafts Catalogue, general fundamentals;
# acceleration, Khurmi and Gupta, Theory of Machines ch. 9 (formula from memory); its place and the
# lead in closed form from those.  Numbers computed from the published formulas at 40 digits.
TABLE = [
    (1, 1.00015233, 0.999847695, 0.000304632888, 0.000304632895, 44.991273, 0.0043635447),
    (2, 1.00060954, 0.999390827, 0.00121871728, 0.00121871773, 44.965086, 0.017456838),
    (3, 1.00137235, 0.998629535, 0.00274281124, 0.0027428164, 44.921425, 0.039287862),
    (5, 1.00381984, 0.996194698, 0.00762513945, 0.00762525029, 44.781562, 0.10922175),
    (7, 1.00750983, 0.992546152, 0.0149636738, 0.0149645114, 44.571366, 0.21433634),
    (8, 1.00982757, 0.990268069, 0.0195595038, 0.0195613743, 44.43976, 0.28016367),
    (10, 1.01542661, 0.984807753, 0.0306188589, 0.0306260336, 44.123211, 0.43856143),
    (12, 1.02234059, 0.978147601, 0.0441929941, 0.0442145611, 43.735095, 0.63295364),
    (15, 1.03527618, 0.965925826, 0.0693503541, 0.0694336389, 43.017617, 0.99312196),
    (20, 1.06417777, 0.939692621, 0.124485152, 0.124965577, 41.458695, 1.7816819),
    (25, 1.10337792, 0.906307787, 0.197070132, 0.198965459, 39.451018, 2.8171379),
    (30, 1.15470054, 0.866025404, 0.288675135, 0.294571099, 37.02146, 4.1171943),
    (35, 1.22077459, 0.819152044, 0.401622544, 0.417232494, 34.228074, 5.7053882),
    (40, 1.30540729, 0.766044443, 0.539362846, 0.576215339, 31.159013, 7.612598),
    (45, 1.41421356, 0.707106781, 0.707106781, 0.787200324, 27.918373, 9.8792819),
]
BY_ANGLE = {row[0]: row[1:] for row in TABLE}


def joint(beta: float, theta: object) -> Turn:
    axis = np.stack([axis_from_slope(0.0, 0.0), axis_from_slope(0.0, beta * DEG)])[None]
    return turn(pin_planes(axis, (), ("universal",)), np.atleast_2d(theta))


def ratio(beta: float, theta: object) -> np.ndarray:
    return joint(beta, theta).speed_ratio[0, :, 1]


def driven_angle(beta: float, theta: object) -> np.ndarray:
    """Return φ2 [rad]: the driven pin's turn about its shaft since φ1 = 0."""
    axis, pins = axis_from_slope(0.0, beta * DEG), joint(beta, theta).driven_pin[0, :, 0]
    start = joint(beta, 0.0).driven_pin[0, 0, 0]
    across = np.cross(axis, start)
    return np.unwrap(np.arctan2(pins @ across, pins @ start))


@pytest.mark.parametrize(
    ("beta", "turned", "expected"), [(30, 45, 49.106605350869), (20, 200, 201.17283218516)]
)
def test_driven_shaft_stands_where_the_published_position_formula_puts_it(beta, turned, expected):
    # tan φ2 = tan φ1 / cos β: Spicer GWB, Driveshafts for Industrial Applications, p. 38
    path = np.linspace(0.0, turned * DEG, 400)
    assert driven_angle(beta, path)[-1] / DEG == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    ("beta", "turned", "expected"),
    [
        (10, 0, 1.0154266118857),
        (10, 45, 0.99988283128114),
        (10, 90, 0.98480775301221),
        (25, 60, 0.9486672489896),
        (30, 30, 1.0658774200424),
    ],
)
def test_speed_ratio_follows_the_textbook_formula(beta, turned, expected):
    # i = cos β / (1 − sin²β cos²φ1): textbook solution, askfilo.com 3431373033373734
    assert ratio(beta, turned * DEG)[0] == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize("beta", BY_ANGLE)
def test_speed_ratio_swings_between_the_published_extremes(beta):
    highest, lowest, swing, *_ = BY_ANGLE[beta]
    values = ratio(beta, FINE)
    assert values.max() == pytest.approx(highest, rel=6e-9)
    assert values.min() == pytest.approx(lowest, rel=6e-10)
    assert np.ptp(values) == pytest.approx(swing, rel=2e-8)


@pytest.mark.parametrize("beta", BY_ANGLE)
def test_highest_acceleration_and_its_place_are_the_published_ones(beta):
    _, _, _, highest, place, _ = BY_ANGLE[beta]
    step = 1e-4
    here = np.sort(np.concatenate([FINE[: len(FINE) // 2], [place * DEG]]))
    acceleration = (ratio(beta, here + step) - ratio(beta, here - step)) / (2 * step)
    # speed over the square of the input speed: dR/dθ; falling in the first quarter turn
    assert acceleration.min() == pytest.approx(-highest, rel=1e-7, abs=1e-11)
    if beta >= 3:  # below, rounding hides the place
        assert here[np.argmin(acceleration)] / DEG == pytest.approx(place, abs=0.011)


@pytest.mark.parametrize("beta", BY_ANGLE)
def test_driven_shaft_leads_and_lags_by_the_published_gimbal_error(beta):
    # quantity named in the Dana Industrial Drive Shafts Catalogue; closed form derived from it
    path = FINE
    assert np.abs(driven_angle(beta, path) - path).max() / DEG == pytest.approx(
        BY_ANGLE[beta][-1], rel=1e-6
    )


def test_speeds_are_equal_where_the_examination_solution_says():
    # tan φ1 = √cos β: UPSC ESE Mechanical 2013 paper 2, solution (testbook.com)
    assert ratio(30, 42.94140286488 * DEG)[0] == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize(
    ("speed", "angle", "highest", "lowest", "tolerance"),
    [
        # 1200 rpm, 100 rpm in all: askfilo.com 3431373033373734 (its 16.2 deg contradicts its own
        # cos β = 0.9592)
        (1200, np.degrees(np.arccos(0.9592)), 1251, 1151, 0.5),
        # 1500 rpm, 200 rpm in all: askfilo.com 3239303638323233, answer key 20.67 deg
        (1500, 20.67, 1603.25, 1403.39, 0.15),
        # 25 deg at 100 rad/s: problem at askfilo.com, answer from the formula
        (100, 25.0, 110.33779189625, 90.630778703665, 1e-9),
    ],
)
def test_textbook_examples_of_permitted_fluctuation_come_out(
    speed, angle, highest, lowest, tolerance
):
    values = speed * ratio(angle, FINE)
    assert values.max() == pytest.approx(highest, abs=tolerance)
    assert values.min() == pytest.approx(lowest, abs=tolerance)


def test_twelve_and_a_half_percent_belong_to_twenty_degrees():
    # problem at askfilo.com; 1/cos β − cos β = 0.125
    assert np.ptp(ratio(20.040400498695, FINE)) == pytest.approx(0.125, abs=1e-10)


def test_acceleration_of_seven_degrees_at_3000_rpm_in_rad_per_square_second():
    # Khurmi and Gupta ch. 9 (formula from memory): 1476.9381, small-angle 1473.1622 rad/s²
    speed, step = 3000 * 2 * np.pi / 60, 1e-4
    slope = (ratio(7, FINE + step) - ratio(7, FINE - step)) / (2 * step)
    assert speed**2 * np.abs(slope).max() == pytest.approx(1476.9381, abs=1e-3)
