"""A rigid axle with one wheel up and one down."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import samples
from scipy.spatial.transform import Rotation

from sim.motion.frames import rotation_x, rotation_y, rotation_z
from sim.motion.leaf import leaf_posture
from sim.motion.postures import postures
from sim.motion.request import Request

DEG = np.pi / 180


def worked_spring():
    """Return the spring of the worked values, springs 1 m apart, seats over the axle."""
    springs = replace(
        samples.TRUCK_SPRINGS,
        front_eye=samples.place(3000, 0, 520),
        shackle_pivot=samples.place(4385, 0, 600),
        shackle=0.110,
        front_half=0.640,
        rear_half=0.760,
        seat_height=0.080,
        rate=60e3,
        load=7000.0,
        half_rates=(760 / 640) ** 3,
        spacing=1.0,
    )
    return samples.one_piece(
        axle=samples.place(3640, 0, 425),
        suspension=springs,
        vehicle=replace(samples.TRUCK, tire_radius=0.400),
        pinion=samples.pinion_from_axle(samples.place(3640, 0, 425), 345, 35, 20, 3.0),
    )


@pytest.mark.parametrize("side", [1, -1])
def test_rolled_axle_sits_where_the_worked_values_put_it(side):
    # computed from the derivation in DEVELOPERS.md apart from this program; no published value
    held = postures(worked_spring(), 0.0, side * 3 * DEG)
    expected = [3639.2760, side * 4.1869, 425.0]
    assert held.axle_center[0] * 1e3 == pytest.approx(expected, abs=6e-5)
    yaw, roll, pitch = Rotation.from_matrix(held.axle_rotation[0]).as_euler("ZXY", degrees=True)
    assert (yaw, pitch, roll) == pytest.approx((-side * 0.09385, 0.00724, side * 3.0), abs=6e-6)


def test_pinion_of_a_rolled_truck_moves_as_worked_out_by_hand():
    # first order by hand 6.25 and 1.05 mm; exact, apart from this program, 6.22 and 1.12 mm
    made = samples.one_piece()
    level, rolled = postures(made, [0.0, 0.0], [0.0, 3 * DEG]).joint_center[:, -1] * 1e3
    assert rolled[1] - level[1] == pytest.approx(6.22, abs=0.005)
    assert rolled[2] - level[2] == pytest.approx(1.12, abs=0.005)
    leaf, aft = 490.0 - level[2], 3990.0 - level[0]  # spring over the pinion, axle behind it
    by_hand = 3 * DEG * leaf
    assert rolled[1] - level[1] == pytest.approx(by_hand, rel=0.10)
    assert aft > 0


def test_middle_of_the_spring_seats_stays_in_the_middle_and_at_its_height():
    # by definition of the roll of a live axle on leaf springs
    held = postures(worked_spring(), 0.03, 2 * DEG)
    seat = held.axle_center[0] + held.axle_rotation[0] @ [0.0, 0.0, 0.080]
    assert seat[1] == pytest.approx(0.0, abs=1e-15)
    assert held.axle_center[0, 2] == pytest.approx(0.425 + 0.03, abs=1e-15)


@pytest.mark.parametrize("make", [worked_spring, samples.links_van])
def test_wheels_of_a_wound_up_axle_stand_as_the_roll_says(make):
    # sin φ = (right − left travel) / track, whatever the pinion does
    made = make()
    held = postures(made, [0.03, -0.05], [3 * DEG, -2 * DEG], [5000.0, 3000.0])
    across = held.axle_rotation @ [0.0, 1.0, 0.0]
    assert across[:, 2] == pytest.approx(np.sin([3 * DEG, -2 * DEG]), abs=1e-14)


def test_yaw_is_that_of_the_line_through_both_springs():
    # geometry: the axle's line crosses either spring where that spring holds it
    made = worked_spring()
    rolled = Request(made, np.array([0.02]), np.array([3 * DEG]), np.array([5000.0]))
    aft = leaf_posture(rolled, made.suspension).aft[0]
    held = postures(made, 0.02, 3 * DEG, 5000.0)
    ends = [held.axle_center[0] + held.axle_rotation[0] @ [0, side, 0] for side in (-0.5, 0.5)]
    assert [end[0] for end in ends] == pytest.approx(aft, abs=1e-14)


def test_final_drive_on_the_frame_does_not_roll():
    # it does not move with the wheels
    level, rolled = (postures(samples.car(), 0.0, r).joint_center for r in (0.0, 3 * DEG))
    assert rolled == pytest.approx(level, abs=0)


def test_rolled_links_turn_the_pinion_about_the_axle_center():
    # simple form for links seen from the side, common practice, no source
    made = samples.links_van()
    held = postures(made, 0.0, 2 * DEG)
    arm = made.pinion.point - made.axle
    turned = made.axle + Rotation.from_euler("x", 2 * DEG).apply(arm)
    assert held.joint_center[0, -1] == pytest.approx(turned, abs=1e-12)


@pytest.mark.parametrize(
    ("ours", "axis"), [(rotation_x, "x"), (rotation_y, "y"), (rotation_z, "z")]
)
def test_rotations_are_right_handed(ours, axis):
    # scipy.spatial.transform, a general-purpose library
    angles = np.array([-1.0, 0.2, 2.5])
    assert ours(angles) == pytest.approx(
        Rotation.from_euler(axis, angles[:, None]).as_matrix(), abs=1e-15
    )
