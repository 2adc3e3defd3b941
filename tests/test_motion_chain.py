"""How the shafts hang, and what cannot hang."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import samples

from sim.errors import GeometryError
from sim.motion.chain import Ends, ends_at_ride, hang, reference_of
from sim.motion.frames import angle_between, axis_from_slope, rotation_z
from sim.motion.joints import kinds_of, phases_of, pin_planes, turn
from sim.motion.postures import postures
from sim.motion.request import Request
from sim.scene.parts import Bearing, End, OutputSpline

MAKERS = [samples.one_piece, samples.two_piece, samples.three_piece, samples.car]


def requests(made, count=1):
    zero = np.zeros(count)
    return Request(made, zero, zero, zero)


@pytest.mark.parametrize("make", [*MAKERS, samples.links_van])
def test_slip_is_nothing_in_the_reference_posture(make):
    made = make()
    chain = hang(requests(made), reference_of(made), ends_at_ride(made))
    assert chain.slip == pytest.approx([0.0], abs=1e-15)
    assert chain.joint_center[0, 0] == pytest.approx(made.output.point, abs=1e-15)
    assert chain.joint_center[0, -1] == pytest.approx(made.pinion.point, abs=0)


@pytest.mark.parametrize("make", MAKERS)
def test_shafts_keep_their_lengths_in_every_state(make):
    made = make()
    length = reference_of(made).length
    held = postures(made, np.linspace(-0.08, 0.08, 7), 0.02, 2000.0)
    apart = np.linalg.norm(np.diff(held.joint_center, axis=1), axis=-1)
    if made.spline.at == "shaft":
        apart[:, -1] -= held.slip
    if made.spline.at == "midship":
        apart[:, -2] -= held.slip
    assert apart == pytest.approx(np.tile(length, (7, 1)), abs=1e-12)


@pytest.mark.parametrize("make", MAKERS)
def test_axes_run_from_joint_to_joint_through_the_bearings(make):
    made = samples.rigid(make())
    held = postures(made, [-0.05, 0.06])
    along = np.diff(held.joint_center, axis=1)
    along /= np.linalg.norm(along, axis=-1, keepdims=True)
    assert held.axis[:, 1:-1] == pytest.approx(along, abs=1e-12)
    for number, bearing in enumerate(made.bearings):
        aft = held.joint_center[:, number + 1] - bearing.point
        assert np.abs(np.cross(aft, held.axis[:, number + 1])).max() < 1e-12


@pytest.mark.parametrize("make", MAKERS)
@pytest.mark.parametrize("heading", [0.3, -1.2])
def test_turning_the_whole_scene_about_the_vertical_changes_nothing(make, heading):
    made, spin = make(), rotation_z(heading)
    held = postures(made, np.linspace(-0.08, 0.08, 5), 0.03, 1500.0)
    ends = Ends(
        output=np.tile(made.output.point, (5, 1)),
        output_axis=held.axis[:, 0],
        pinion=held.joint_center[:, -1],
        pinion_axis=held.axis[:, -1],
    )

    def end(given: End) -> End:
        return replace(given, point=spin @ given.point, plan=given.plan + heading)

    def moved(bearing: Bearing) -> Bearing:
        return replace(bearing, point=spin @ bearing.point)

    turned_scene = replace(
        made,
        output=end(made.output),
        pinion=end(made.pinion),
        bearings=tuple(moved(b) for b in made.bearings),
    )
    turned_ends = Ends(
        output=ends.output @ spin.T,
        output_axis=ends.output_axis @ spin.T,
        pinion=ends.pinion @ spin.T,
        pinion_axis=ends.pinion_axis @ spin.T,
    )
    before = hang(requests(made, 5), reference_of(made), ends)
    assert reference_of(turned_scene).length == pytest.approx(reference_of(made).length, abs=1e-12)
    after = hang(requests(turned_scene, 5), reference_of(turned_scene), turned_ends)
    assert after.slip == pytest.approx(before.slip, abs=1e-12)
    assert after.joint_center == pytest.approx(before.joint_center @ spin.T, abs=1e-12)
    assert angles(after.axis) == pytest.approx(angles(before.axis), abs=1e-12)
    assert swings(made, after.axis) == pytest.approx(swings(made, before.axis), abs=1e-8)


def angles(axis):
    return angle_between(axis[:, :-1], axis[:, 1:])


def swings(made, axis):
    """Return the fluctuation of every member over a turn."""
    theta = np.tile(np.linspace(0, np.pi, 7200), (len(axis), 1))
    planes = pin_planes(axis, phases_of(made), kinds_of(made))
    return np.ptp(turn(planes, theta).speed_ratio, axis=1)


# --- shafts already cut ---------------------------------------------------------------------------


def landed(aft=2.403, up=0.528, **changes):
    """Return the two-piece truck with its brace landed elsewhere, on shafts already cut."""
    first = samples.two_piece()
    bearing = replace(first.bearings[0], point=np.array([aft, 0.0, up]))
    made = samples.two_piece(name="as-landed", bearings=(bearing,), cut_as=first)
    return replace(made, **changes)


def test_shafts_already_cut_keep_their_lengths():
    made = landed()
    reference, cut = reference_of(made), reference_of(made.cut_as)
    assert reference.length == pytest.approx(cut.length, abs=0)
    held = postures(made, [-0.05, 0.0, 0.05])
    first = np.linalg.norm(held.joint_center[:, 1] - held.slip[:, None] * held.axis[:, 1], axis=-1)
    assert first.shape == (3,)
    stub = held.joint_center[:, 1] - held.slip[:, None] * held.axis[:, 1]
    assert np.linalg.norm(stub - held.joint_center[:, 0], axis=-1) == pytest.approx(
        cut.length[0], abs=1e-12
    )
    assert np.linalg.norm(held.joint_center[:, 2] - held.joint_center[:, 1], axis=-1) == (
        pytest.approx(cut.length[1], abs=1e-12)
    )


def test_bearing_landed_further_aft_sits_further_back_on_its_shaft():
    reference = reference_of(landed(aft=2.403, up=0.531))
    assert reference.to_joint[0] == pytest.approx(0.115 - 0.008, abs=2e-5)


def test_slip_of_shafts_already_cut_counts_from_the_marks_they_were_cut_with():
    made = landed()
    reference = reference_of(made)
    held = postures(made, 0.0)
    assert held.slip[0] == pytest.approx(reference.slip, abs=1e-15)
    assert reference.slip != 0
    same = landed(aft=2.395, up=0.531)
    assert reference_of(same).slip == pytest.approx(0.0, abs=1e-15)


def test_pinion_further_aft_draws_the_splines_of_cut_shafts_apart():
    first = samples.two_piece()
    aft = replace(first.pinion, point=first.pinion.point + samples.place(10, 0, 0))
    made = replace(first, pinion=aft, cut_as=first)
    assert reference_of(made).slip == pytest.approx(0.010, abs=1e-4)


@pytest.mark.parametrize(
    ("move", "words"),
    [
        (-57, 'ride height, no torque: the spline of "two-piece" would be 12 mm beyond its bottom'),
        (95, 'the spline of "two-piece" would be 9 mm apart; the shafts are too short'),
    ],
)
def test_shafts_already_cut_that_do_not_fit_are_refused(move, words):
    first = samples.two_piece()
    moved = replace(first.pinion, point=first.pinion.point + samples.place(move, 0, 0))
    with pytest.raises(GeometryError, match=words):
        reference_of(replace(first, pinion=moved, cut_as=first))


@pytest.mark.parametrize(
    ("move", "words"),
    [
        (-57, r'the spline of "two-piece" would be 0\.4[5-9] in beyond its bottom'),  # 12 mm
        (95, r'the spline of "two-piece" would be 0\.3[3-7] in apart'),  # 9 mm
    ],
)
def test_shafts_that_do_not_fit_are_told_in_the_units_of_the_scene(move, words):
    first = samples.two_piece(display="inch")
    moved = replace(first.pinion, point=first.pinion.point + samples.place(move, 0, 0))
    with pytest.raises(GeometryError, match=words):
        reference_of(replace(first, pinion=moved, cut_as=first))


def test_bearing_landed_behind_the_end_of_its_shaft_is_refused():
    with pytest.raises(GeometryError, match=r'shaft 1 of "two-piece" ends 5 mm ahead of bearing 1'):
        reference_of(landed(aft=2.515, up=0.531))
    with pytest.raises(GeometryError, match=r"ends 0\.\d\d in ahead of bearing 1"):
        reference_of(replace(landed(aft=2.515, up=0.531), display="inch"))


# --- a slip yoke on the output ahead of a bearing -----------------------------------------------


def yoke_ahead(**changes):
    return samples.two_piece(output_spline=OutputSpline(gap=0.03, engaged=0.06), **changes)


def test_output_slip_takes_up_how_the_output_moves():
    held = postures(yoke_ahead(), [0.0, 0.0], output_move=[[0, 0, 0], [0.010, 0, 0]])
    assert held.output_slip == pytest.approx([0.0, -0.010], abs=1e-4)
    bearing = yoke_ahead().bearings[0].point
    reach = np.linalg.norm(bearing - held.joint_center[:, 0], axis=-1)
    assert reach[1] == pytest.approx(reach[0], abs=1e-12)


def test_output_slip_does_not_follow_the_axle():
    held = postures(samples.rigid(yoke_ahead()), np.linspace(-0.1, 0.09, 5))
    assert held.output_slip == pytest.approx(np.zeros(5), abs=1e-15)
    assert np.ptp(held.slip) > 0.005


def test_without_it_the_output_moves_the_first_joint_itself():
    held = postures(samples.two_piece(), 0.0, output_move=[0.010, 0.002, -0.003])
    moved = samples.two_piece().output.point + samples.place(10, 2, -3)
    assert held.joint_center[0, 0] == pytest.approx(moved, abs=1e-15)
    assert held.output_slip == pytest.approx([0.0], abs=0)


def test_cut_shafts_with_an_output_yoke_slide_on_the_output():
    made = yoke_ahead()
    moved = replace(made.bearings[0], point=made.bearings[0].point + samples.place(8, 0, 0))
    cut = replace(made, bearings=(moved,), cut_as=made)
    reference = reference_of(cut)
    assert reference.to_joint[0] == pytest.approx(0.115, abs=0)
    assert postures(cut, 0.0).output_slip[0] == pytest.approx(0.008, abs=1e-4)


def test_output_tip_turns_the_output_axis():
    held = postures(samples.two_piece(), 0.0, output_tip=np.radians(0.5))
    assert held.axis[0, 0] == pytest.approx(axis_from_slope(np.radians(3.5)), abs=1e-15)


# --- what cannot be -------------------------------------------------------------------------------


def test_shaft_that_cannot_reach_is_refused_by_name():
    made = samples.one_piece()
    ends = ends_at_ride(made)
    far = replace(ends, pinion=np.array([[3.6, 2.9, 0.3]]))
    words = r'configuration "one-piece", travel 0 mm.*shaft 1 cannot reach: it is 1908 mm long'
    with pytest.raises(GeometryError, match=words):
        hang(requests(made), reference_of(made), far)
    inch = replace(made, display="inch")
    with pytest.raises(
        GeometryError, match=r"shaft 1 cannot reach: it is 75\.\d\d in long"
    ):  # 1908
        hang(requests(inch), reference_of(inch), far)


def test_joint_that_folds_is_refused_by_number():
    made = samples.two_piece()
    back = replace(made.spline, at="shaft")
    made = replace(made, spline=back)
    ends = replace(ends_at_ride(made), pinion=np.array([[2.4, 0.0, 0.2]]))
    low = Request(made, np.array([-0.3]), np.zeros(1), np.zeros(1), ("full droop, no torque",))
    words = r"full droop, no torque: joint 3 would bend 106 deg; the axle cannot hang so low"
    with pytest.raises(GeometryError, match=words):
        hang(low, reference_of(made), ends)
    with pytest.raises(GeometryError, match="the axle cannot stand so on this shaft"):
        hang(requests(made), reference_of(made), ends)


def test_bearing_at_the_joint_ahead_of_it_is_refused():
    made = samples.two_piece()
    bearing = replace(made.bearings[0], point=made.output.point)
    with pytest.raises(GeometryError, match="bearing 1 and the joint ahead of it are at one point"):
        reference_of(replace(made, bearings=(bearing,)))
