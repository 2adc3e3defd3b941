"""Slip of the spline over axle travel, against lengths worked out for parallel links."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import samples

from sim.motion.postures import postures
from sim.scene.parts import End, Links

DEG = np.pi / 180


def on_parallel_links():
    """Return 500 mm parallel links, level at ride, pinion joint 1300 mm aft and 60 mm down."""
    links = Links(
        lower_frame=samples.place(1000, 0, -200),
        lower_axle=samples.place(1500, 0, -200),
        upper_frame=samples.place(1100, 0, 0),
        upper_axle=samples.place(1600, 0, 0),
        wind_up=1e5,
    )
    made = samples.links_van(
        output=End(point=np.zeros(3), slope=0.0, plan=0.0),
        pinion=End(point=samples.place(1300, 0, -60), slope=0.0, plan=0.0),
        axle=samples.place(1600, 0, -100),
        suspension=links,
    )
    return replace(made, spline=replace(made.spline, at="shaft"))


@pytest.mark.parametrize(
    ("travel", "distance"),
    [(-100, 1299.7833349026), (0, 1301.3838787998), (50, 1297.5322538131), (100, 1290.518003629)],
)
def test_joint_centers_stand_apart_as_parallel_links_bring_them(travel, distance):
    # circle of the links and Pythagoras at 40 digits, apart from this program
    held = postures(on_parallel_links(), travel * 1e-3)
    apart = held.joint_center[0, 1] - held.joint_center[0, 0]
    assert np.linalg.norm(apart) * 1e3 == pytest.approx(distance, abs=1e-6)
    assert held.slip[0] * 1e3 == pytest.approx(distance - 1301.3838787998, abs=1e-6)


def test_slip_range_has_its_extreme_inside_the_travel():
    # 11.728841 mm: required slip is the range of the distance, worked out at 40 digits
    slip = postures(on_parallel_links(), np.linspace(-0.1, 0.1, 4001)).slip
    assert np.ptp(slip) * 1e3 == pytest.approx(11.7288411606, abs=1e-4)
    assert 0 < np.argmax(slip) < 4000


def test_output_spline_keeps_the_shaft_length_and_slides_along_the_output():
    # a rigid shaft is as long in every state; its joint stays on the output's axis
    made = on_parallel_links()
    made = replace(
        made,
        output=End(point=np.zeros(3), slope=2 * DEG, plan=1 * DEG),
        spline=replace(made.spline, at="output"),
    )
    held = postures(made, np.linspace(-0.1, 0.1, 9))
    apart = held.joint_center[:, 1] - held.joint_center[:, 0]
    assert np.linalg.norm(apart, axis=-1) * 1e3 == pytest.approx(1301.3838787998, abs=1e-6)
    slid = held.slip[:, None] * held.axis[:, 0]
    assert held.joint_center[:, 0] == pytest.approx(slid, abs=1e-12)
