"""Chains of joints: cancellation, phase, planes out of line, equivalent angle, a whole chain."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
import samples
from scipy.optimize import brentq

from sim.motion.chain import Ends, hang, reference_of
from sim.motion.frames import angle_between, axis_from_slope, slope_of, unit
from sim.motion.joints import pin_planes, turn
from sim.motion.request import Request

DEG = np.pi / 180
TURN = np.linspace(0.0, 2 * np.pi, 3600, endpoint=False)


def ratios(axes: object, phases: tuple[float, ...]) -> np.ndarray:
    """Return ratios (T, M) of a chain of universal joints; phases in degrees."""
    axis = np.asarray(axes, float)[None]
    kinds = ("universal",) * (axis.shape[1] - 1)
    planes = pin_planes(axis, [p * DEG for p in phases], kinds)
    return turn(planes, TURN[None]).speed_ratio[0]


def flat_chain(*betas: float) -> np.ndarray:
    """Return axes in one plane with these joint angles [deg], bending to and fro."""
    bends = np.cumsum([0.0] + [b * (-1) ** i for i, b in enumerate(betas)])
    return axis_from_slope(bends * DEG)


def crossed_planes(beta: float, turned: float) -> np.ndarray:
    """Return three axes: equal joint angles, the second joint's plane turned about the middle."""
    b, g = beta * DEG, turned * DEG
    ahead = [np.cos(b), -np.sin(b), 0.0]
    behind = [np.cos(b), np.sin(b) * np.cos(g), np.sin(b) * np.sin(g)]
    return np.array([ahead, [1.0, 0.0, 0.0], behind])


def test_two_equal_angles_in_one_plane_with_yokes_in_line_cancel():
    # Elbe, Technik ch. 1: constant speed needs equal angles, yokes in line, shafts in one plane
    assert np.ptp(ratios(flat_chain(8, 8), (0,))[:, -1]) < 1e-14


@pytest.mark.parametrize(
    ("betas", "swing"),
    [
        ((5.0, 4.0), 0.0027472788574108),
        ((1.0, 4.0, 4.2), 0.00080506044435225),
        ((2.0, 6.0, 6.3), 0.0023470954461591),
        ((0.5, 3.0, 3.2), 0.0004542503244232),
    ],
)
def test_residual_fluctuation_of_flat_chains(betas, swing):
    # simulation with yoke vectors at 40 digits, apart from this program
    phases = (0,) * (len(betas) - 1)
    assert np.ptp(ratios(flat_chain(*betas), phases)[:, -1]) == pytest.approx(swing, rel=2e-6)


@pytest.mark.parametrize(
    ("betas", "equivalent"),
    [
        ((5.0, 4.0), 3.0),
        ((1.0, 4.0, 4.2), 1.6248076809272),
        ((2.0, 6.0, 6.3), 2.7730849247724),
        ((0.5, 3.0, 3.2), 1.2206555615734),
    ],
)
def test_chain_fluctuates_about_as_one_joint_of_the_equivalent_angle(betas, equivalent):
    # rule of signs: Elbe, Technik ch. 3; the rule is good to about 0.25 % at such angles
    chain = np.ptp(ratios(flat_chain(*betas), (0,) * (len(betas) - 1))[:, -1])
    alone = np.ptp(ratios(flat_chain(equivalent), ())[:, -1])
    assert chain == pytest.approx(alone, rel=2.5e-3)


@pytest.mark.parametrize("bend", [1, -1], ids=["to and fro", "the same way"])
def test_bends_to_and_fro_or_the_same_way_fluctuate_alike(bend):
    # Elbe, Technik ch. 3: the sign comes from the yokes, not from the way of the bend
    axes = axis_from_slope(np.array([0.0, 5.0, 5.0 - bend * 4.0]) * DEG)
    assert np.ptp(ratios(axes, (0,))[:, -1]) == pytest.approx(0.0027472788574108, rel=2e-6)


def test_residual_of_elbe_limit_is_that_of_a_joint_of_about_three_degrees():
    # Elbe, Technik ch. 3: U ≤ 0.0027, "about 3 degrees"
    assert np.ptp(ratios(flat_chain(2.9765057640543), ())[:, -1]) == pytest.approx(0.0027, abs=1e-9)


def test_yokes_three_degrees_out_of_line():
    # simulation with yoke vectors at 40 digits, apart from this program
    swing = np.ptp(ratios(flat_chain(5, 5), (3,))[:, -1])
    assert swing == pytest.approx(0.00079813794525924, abs=2e-9)


def test_yokes_a_quarter_turn_out_of_line_add_up():
    # cos²β to 1/cos²β: Seherr-Thoss, Schmelz, Aucktor, Universal Joints and Driveshafts (memory)
    values = ratios(flat_chain(20, 20), (90,))[:, -1]
    assert values.max() == pytest.approx(1.1324743314318, abs=1e-12)
    assert values.min() == pytest.approx(0.88302222155949, abs=1e-12)


@pytest.mark.parametrize(
    ("turned", "swing"),
    [(30, 0.019559737617165), (75, 0.037787745608228), (120, 0.033879269372371)],
)
def test_joint_planes_out_of_line_fluctuate_with_yokes_in_line(turned, swing):
    # simulation with yoke vectors at 40 digits, apart from this program
    values = ratios(crossed_planes(8, turned), (0,))[:, -1]
    assert np.ptp(values) == pytest.approx(swing, rel=2e-6)


@pytest.mark.parametrize("turned", [30, 75, 120])
def test_yokes_turned_by_the_signed_angle_of_the_planes_cancel(turned):
    # Elbe, Technik ch. 1 and 4: offset the inner yokes by the angle of the joint planes
    assert np.ptp(ratios(crossed_planes(8, turned), (turned,))[:, -1]) < 1e-13


def test_yokes_turned_the_wrong_way_do_not_cancel():
    # Elbe, Technik ch. 4: the direction must be taken from a sketch; here as 150 deg out of line
    wrong = np.ptp(ratios(crossed_planes(8, 75), (-75,))[:, -1])
    assert wrong == pytest.approx(np.ptp(ratios(flat_chain(8, 8), (150,))[:, -1]), rel=1e-5)
    assert wrong == pytest.approx(0.0196, abs=5e-5)


# --- a three-piece shaft, every number ----------------------------------------------------------
# Computed from the derivation in DEVELOPERS.md apart from this program; no published value.

PLACES = {
    "bearings": (samples.bearing(620, 4, -36, 110), samples.bearing(1500, 6, -100, 120)),
    "shafts": (samples.shaft(88.9), samples.shaft(88.9, phase=10), samples.shaft(88.9, phase=-5)),
}


def hung(at: str, pieces: int = 3):
    output = samples.End(point=np.zeros(3), slope=3 * DEG, plan=0.0)
    pinion = samples.End(point=samples.place(2600, 20, -190), slope=2.5 * DEG, plan=0.0)
    parts = PLACES if pieces == 3 else {}
    make = samples.three_piece if pieces == 3 else samples.one_piece
    made = make(output=output, pinion=pinion, **parts)
    made = samples.rigid(replace(made, spline=replace(made.spline, at=at)))
    ends = Ends(
        output=np.zeros((1, 3)),
        output_axis=axis_from_slope(3 * DEG)[None],
        pinion=samples.place(2590, 20, -130)[None],
        pinion_axis=unit([1.0, np.tan(0.2 * DEG), -np.tan(1.5 * DEG)])[None],
    )
    zero = np.zeros(1)
    reference = reference_of(made)
    return reference, hang(Request(made, zero, zero, zero, ("moved",)), reference, ends)


def test_three_piece_shaft_with_midship_spline_hangs_as_computed_by_hand():
    reference, chain = hung("midship")
    assert reference.length[-1] * 1e3 == pytest.approx(983.7759, abs=5e-5)
    assert chain.slip[0] * 1e3 == pytest.approx(-13.1341, abs=5e-5)
    slopes = slope_of(chain.axis[0, 1:4]) / DEG
    assert slopes == pytest.approx([3.32305, 4.27877, 1.28296], abs=6e-6)
    beta = angle_between(chain.axis[0, :-1], chain.axis[0, 1:]) / DEG
    assert beta == pytest.approx([0.49049, 0.99394, 3.07838, 0.64276], abs=6e-6)


def test_three_piece_shaft_fluctuates_as_computed_by_hand():
    _, chain = hung("midship")
    values = ratios(chain.axis[0], (0, 10, -5))
    percent = 100 * np.ptp(values[:, 1:], axis=0)
    assert percent == pytest.approx([0.007329, 0.035213, 0.253778, 0.256940], abs=1e-6)
    second = 2 * np.mean(values[:, -1] * np.exp(-2j * TURN))
    assert 100 * abs(second) == pytest.approx(0.128470, abs=6e-7)
    assert np.angle(second) / DEG == pytest.approx(-135.326, abs=6e-4)


def test_three_piece_shaft_with_spline_inside_hangs_as_computed_by_hand():
    _, chain = hung("shaft")
    assert chain.slip[0] * 1e3 == pytest.approx(-13.1149, abs=5e-5)
    pinion = ratios(chain.axis[0], (0, 10, -5))[:, -1]
    assert 100 * np.ptp(pinion) == pytest.approx(0.263684, abs=6e-7)


def test_one_piece_shaft_with_output_spline_hangs_as_computed_by_hand():
    reference, chain = hung("output", pieces=1)
    assert reference.length[0] * 1e3 == pytest.approx(2607.0098, abs=5e-5)
    assert chain.slip[0] * 1e3 == pytest.approx(-13.6726, abs=5e-5)


# --- the same geometry, derived again from crosses that must stay square -------------------------


def square_cross_angle(driving_pin: np.ndarray, axis: np.ndarray, near: float) -> float:
    """Return the angle of the driven pin at which it is square to the driving pin."""
    f1 = unit(np.cross(axis, [0.3, -0.5, 0.8]))
    f2 = np.cross(axis, f1)

    def squareness(angle: float) -> float:
        return float(driving_pin @ (np.cos(angle) * f1 + np.sin(angle) * f2))

    grid = near + np.linspace(-1.5, 1.5, 7)
    for low, high in itertools.pairwise(grid):
        if squareness(low) * squareness(high) <= 0:
            return float(brentq(squareness, low, high, xtol=1e-15, rtol=1e-15))
    raise AssertionError("no square cross")


def shaft_angles(axes: np.ndarray, phases: tuple[float, ...], theta: float, near: list[float]):
    """Return how far every driven pin has turned about its shaft, joint by joint."""
    e1 = unit(np.array([0.0, 1.0, 0.0]) - axes[0, 1] * axes[0])
    pin = np.cos(theta) * e1 + np.sin(theta) * np.cross(axes[0], e1)
    found = []
    for joint, axis in enumerate(axes[1:]):
        angle = square_cross_angle(pin, axis, near[joint])
        found.append(angle)
        if joint < len(phases):  # the rear yoke sits at its clock angle from the front yoke
            f1 = unit(np.cross(axis, [0.3, -0.5, 0.8]))
            clocked = angle + phases[joint] * DEG
            pin = np.cos(clocked) * f1 + np.sin(clocked) * np.cross(axis, f1)
    return found


@pytest.mark.parametrize("theta", [0.2, 1.1, 2.7, 4.4])
def test_chain_turns_as_crosses_that_stay_square_make_it(theta):
    # the definition of a universal joint: both pins of the cross at right angles
    slopes, plans = np.array([3, 12, -4, 9, 1]) * DEG, np.array([0, 6, -5, 3, -2]) * DEG
    axes, phases, step = axis_from_slope(slopes, plans), (20.0, -35.0, 8.0), 1e-5
    here = shaft_angles(axes, phases, theta, [0.0] * 4)
    more = np.array(shaft_angles(axes, phases, theta + step, here))
    less = np.array(shaft_angles(axes, phases, theta - step, here))
    kinds = ("universal",) * 4
    planes = pin_planes(axes[None], [p * DEG for p in phases], kinds)
    ours = turn(planes, np.array([[theta]])).speed_ratio[0, 0, 1:]
    assert ours == pytest.approx((more - less) / (2 * step), abs=2e-9)
