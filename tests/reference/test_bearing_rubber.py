"""How a center bearing's rubber gives way, and what follows: statics and lengths, worked here.

Source: a coupling shaft is one rigid part from joint to joint; so what moves its front end along
moves its rear end and the bearing's inner ring alike.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import samples

from sim.motion.solve import solve
from sim.motion.states import State
from sim.scene.parts import End, OutputSpline, TorqueCase
from sim.world.simulate import simulate

MM, DEG = 1e-3, np.pi / 180
AFT = TorqueCase(name="hard launch", wheel_torque=0.0, output_move=(6 * MM, 0.0, 0.0))


def state(travel: float = 0.0, case: str = "hard launch", torque: float = 0.0) -> State:
    return State(
        height="",
        case=case,
        travel=travel,
        roll=0.0,
        wheel_torque=torque,
        shaft_torque=0.0,
        turning=True,
        road_speed=0.0,
    )


def in_line(**changes):
    """Return a driveline on one straight level line, its output pushed 6 mm aft."""
    ends = {
        "output": End(point=samples.place(1700, 0, 500), slope=0.0, plan=0.0),
        "pinion": End(point=samples.place(3600, 0, 500), slope=0.0, plan=0.0),
    }
    made = samples.two_piece(
        bearings=(samples.bearing(2400, 0, 500, 110),),
        suspension=None,
        travel=None,
        torque_cases=(TorqueCase(name="no torque"), AFT),
        **ends,
    )
    return replace(made, **changes)


@pytest.mark.parametrize("place", ["midship", "shaft"])
def test_a_coupling_shaft_carries_the_push_of_the_output_on_to_the_spline(place):
    # By hand: all on one line, so 6 mm in front are 6 mm at joint 2, in the rubber and in the
    # spline behind.
    spline = replace(samples.two_piece().spline, at=place)
    still, pushed = (
        solve(in_line(spline=spline), states=[state(case=case)])
        for case in ("no torque", "hard launch")
    )
    moved = pushed.bearing_center - still.bearing_center
    np.testing.assert_allclose(moved[0, 0], [[6 * MM, 0, 0]], atol=1e-12)
    assert pushed.slip[0, 0] - still.slip[0, 0] == pytest.approx(-6 * MM, abs=1e-12)


def test_a_slip_yoke_on_the_output_takes_the_push_up():
    made = in_line(output_spline=OutputSpline(gap=20 * MM, engaged=60 * MM))
    pushed = solve(made, states=[state()])
    np.testing.assert_allclose(pushed.bearing_center[0, 0, 0], [2.4, 0, 0.5], atol=1e-12)
    assert pushed.slip[0, 0] == pytest.approx(0.0, abs=1e-12)
    assert pushed.output_slip[0, 0] == pytest.approx(-6 * MM, abs=1e-12)


def test_six_millimeters_at_the_output_are_six_less_of_gap_at_full_bump():
    # The front shaft points down by about 3 deg: 6 mm · cos 3 deg, and half a millimeter to spare.
    pushed = samples.two_piece(torque_cases=(TorqueCase(name="no torque"), AFT))
    slip = [solve(pushed, states=[state(0.095, case)]).slip for case in ("no torque", AFT.name)]
    assert (slip[1] - slip[0]).item() == pytest.approx(-6 * MM, abs=0.05 * MM)


@pytest.mark.parametrize("name", ["two_piece", "three_piece"])
def test_shafts_keep_their_lengths_in_every_torque_case_in_both_routes(name):
    # a length is a length: joint center to joint center, less what the spline slides
    made = getattr(samples, name)()
    made = replace(made, torque_cases=(TorqueCase(name="no torque"), AFT))
    states = [state(0.02, case) for case in ("no torque", AFT.name)]
    for motion in (solve(made, states=states), simulate(made, states=states)):
        length = np.linalg.norm(np.diff(motion.joint_center, axis=2), axis=-1)
        length[..., -2] -= motion.slip  # the stub is behind the last bearing
        assert np.ptp(length, axis=(0, 1)).max() < 0.01 * MM
        np.testing.assert_allclose(length[0, 0], motion.reference.length, atol=0.01 * MM)
