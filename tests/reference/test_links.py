"""Side-view links, and the other suspensions that do not bend."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import samples
from scipy.optimize import root

from sim.motion.links import links_posture
from sim.motion.postures import postures
from sim.motion.request import Request
from sim.scene.parts import Links

DEG = np.pi / 180


def sit(made, travel):
    heights = np.atleast_1d(np.asarray(travel, float))
    zero = np.zeros_like(heights)
    return links_posture(Request(made, heights, zero, zero), made.suspension)


def test_four_bar_turns_as_in_the_worked_example():
    # lower pivot raised 80 mm: 3.0798946 deg nose down; circles cut at 40 digits, apart from here
    links = Links(
        lower_frame=samples.place(0, 0, 0),
        lower_axle=samples.place(600, 0, -30),
        upper_frame=samples.place(150, 0, 180),
        upper_axle=samples.place(580, 0, 220),
        wind_up=1e5,
    )
    made = samples.links_van(axle=samples.place(600, 0, -30), suspension=links)
    _, turn = sit(made, 0.080)
    assert turn[0] / DEG == pytest.approx(-3.0798946178804, abs=1e-9)


def test_equal_parallel_links_carry_the_axle_without_turning_it():
    # opposite sides of a parallelogram stay parallel
    links = Links(
        lower_frame=samples.place(0, 0, 0),
        lower_axle=samples.place(600, 0, -30),
        upper_frame=samples.place(100, 0, 180),
        upper_axle=samples.place(700, 0, 150),
        wind_up=1e5,
    )
    made = samples.links_van(axle=samples.place(650, 0, 60), suspension=links)
    _, turn = sit(made, np.linspace(-0.12, 0.12, 9))
    assert np.abs(turn).max() < 1e-12


@pytest.mark.parametrize("travel", [-0.080, -0.033, 0.021, 0.070])
def test_links_keep_their_lengths(travel):
    # rigid links, solved again with a general-purpose root finder on complex numbers
    made = samples.links_van()
    links, axle = made.suspension, complex(*made.axle[[0, 2]])

    def ends(where, turned):
        spun = np.exp(-1j * turned)  # nose up is from up to aft
        return [where + spun * (complex(*p[[0, 2]]) - axle) for p in axle_ends]

    axle_ends = [links.lower_axle, links.upper_axle]
    frame_ends = [complex(*p[[0, 2]]) for p in (links.lower_frame, links.upper_frame)]
    lengths = [abs(complex(*p[[0, 2]]) - f) for p, f in zip(axle_ends, frame_ends, strict=True)]

    def misfit(unknown):
        there = ends(complex(unknown[0], axle.imag + travel), unknown[1])
        return [abs(e - f) - n for e, f, n in zip(there, frame_ends, lengths, strict=True)]

    expected = root(misfit, [axle.real, 0.0], tol=1e-12).x
    aft, turn = sit(made, travel)
    assert aft[0] == pytest.approx(expected[0], abs=1e-10)
    assert turn[0] == pytest.approx(expected[1], abs=1e-10)


def test_bushings_turn_the_pinion_by_torque_over_stiffness():
    # a spring in torsion: 2500 N m on 2500 N m/deg is 1 deg
    made = samples.links_van()
    held = postures(made, [0.0, 0.0], wheel_torque=[0.0, 2500.0])
    assert held.wrap / DEG == pytest.approx([0.0, 1.0], abs=1e-12)
    assert held.axle_center[1] == pytest.approx(held.axle_center[0], abs=1e-15)


def test_final_drive_on_the_frame_tips_about_its_mount_and_ignores_the_wheels():
    # rigid turn about a point: 3000 N m on 3000 N m/deg is 1 deg
    made = samples.car()
    held = postures(made, [0.05, -0.08], [0.03, 0.0], [3000.0, 3000.0])
    turned = np.exp(-1j * DEG)
    mount = complex(*made.suspension.mount[[0, 2]])
    pinion = mount + turned * (complex(*made.pinion.point[[0, 2]]) - mount)
    expected = np.array([[pinion.real, 0.0, pinion.imag]] * 2)
    assert held.joint_center[:, -1] == pytest.approx(expected, abs=1e-12)
    slope = np.arcsin(-held.axis[:, -1, 2]) / DEG
    assert slope == pytest.approx([3.2, 3.2], abs=1e-9)


def test_stiffer_bushings_turn_less():
    # Hooke's law
    made = samples.links_van()
    stiff = replace(made, suspension=replace(made.suspension, wind_up=2 * made.suspension.wind_up))
    soft, hard = (postures(m, 0.02, wheel_torque=3000.0).wrap[0] for m in (made, stiff))
    assert hard == pytest.approx(soft / 2, rel=1e-12)
