"""Axle postures: at ride height, with torque, as measured, and those that cannot be."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
import samples

from sim.errors import GeometryError
from sim.motion.frames import axis_from_slope, slope_of
from sim.motion.leaf_links import three_links
from sim.motion.postures import postures
from sim.scene.parts import MeasuredAxle, Reading

DEG = np.pi / 180
MAKERS = [
    samples.one_piece,
    samples.two_piece,
    samples.three_piece,
    samples.car,
    samples.links_van,
]


def on_springs(**changes):
    """Return the truck with changed springs."""
    return samples.one_piece(suspension=replace(samples.TRUCK_SPRINGS, **changes))


@pytest.mark.parametrize("make", MAKERS)
def test_at_ride_height_at_rest_everything_is_where_the_scene_puts_it(make):
    made = make()
    held = postures(made, 0.0)
    assert held.axle_center[0] == pytest.approx(made.axle, abs=1e-15)
    assert held.axle_rotation[0] == pytest.approx(np.eye(3), abs=1e-15)
    assert held.joint_center[0, -1] == pytest.approx(made.pinion.point, abs=1e-15)
    pinion_axis = axis_from_slope(made.pinion.slope, made.pinion.plan)
    assert held.axis[0, -1] == pytest.approx(pinion_axis, abs=1e-15)


@pytest.mark.parametrize("make", MAKERS)
def test_drive_torque_lifts_the_nose_and_braking_drops_it(make):
    made = make()
    held = postures(made, 0.02, 0.0, [-1000.0, 0.0, 2000.0])
    assert held.wrap[0] < 0 == held.wrap[1] < held.wrap[2]
    turned = slope_of(held.axis[:, -1]) - slope_of(held.axis[1, -1])
    assert turned == pytest.approx(held.wrap, abs=1e-12)


@pytest.mark.parametrize("make", MAKERS)
def test_pinion_rides_rigidly_with_the_axle(make):
    made = make()
    held = postures(made, [-0.06, 0.03, 0.06], 0.02, [500.0, 0.0, 2500.0])
    arm = np.linalg.norm(held.joint_center[:, -1] - held.axle_center, axis=-1)
    assert arm == pytest.approx(np.linalg.norm(made.pinion.point - made.axle), abs=1e-12)
    turned = held.axle_rotation @ axis_from_slope(made.pinion.slope, made.pinion.plan)
    assert held.axis[:, -1] == pytest.approx(turned, abs=1e-12)
    square = held.axle_rotation @ np.swapaxes(held.axle_rotation, 1, 2)
    assert square == pytest.approx(np.tile(np.eye(3), (3, 1, 1)), abs=1e-12)


@pytest.mark.parametrize("make", MAKERS)
def test_a_posture_does_not_depend_on_its_neighbors(make):
    made = make()
    together = postures(made, np.linspace(-0.08, 0.07, 6), 0.01, np.linspace(-900, 2500, 6))
    alone = postures(made, together_travel := -0.08 + 2 * 0.03, 0.01, -900 + 2 * 680)
    assert together_travel == pytest.approx(np.linspace(-0.08, 0.07, 6)[2])
    assert together.joint_center[2] == pytest.approx(alone.joint_center[0], abs=1e-11)


def test_axle_on_leaf_springs_keeps_the_height_asked_for():
    held = postures(samples.one_piece(), [-0.1, 0.05], 0.0, 4000.0)
    assert held.axle_center[:, 2] == pytest.approx([0.295, 0.445], abs=1e-15)


def test_traction_bar_takes_wrap_away_and_leaves_the_parked_axle_alone():
    free, barred = on_springs(), on_springs(wrap_control=1e5)
    parked = [postures(m, 0.05).axle_rotation for m in (free, barred)]
    assert parked[0] == pytest.approx(parked[1], abs=1e-12)
    wraps = [postures(m, 0.05, 0.0, 5000.0).wrap[0] for m in (free, barred)]
    assert 0 < wraps[1] < wraps[0] / 2


def test_traction_bar_is_free_where_the_axle_parks():
    held = postures(on_springs(wrap_control=1e5), [-0.1, 0.05], 0.0, 1.0)
    assert (held.wrap > 0).all()
    assert held.wrap.max() < 1e-4


def test_measured_wind_up_stands_in_for_rate_and_halves():
    made = on_springs(wind_up=819 / DEG)
    held = postures(made, [0.05, 0.05], 0.0, [0.0, 6058.0])
    assert held.wrap / DEG == pytest.approx([0.0, 6058 / 819], abs=1e-12)
    parked = postures(on_springs(), 0.05)
    assert held.axle_center[0] == pytest.approx(parked.axle_center[0], abs=1e-12)
    assert held.axle_center[1, 0] < held.axle_center[0, 0]  # the seat pulls the axle forward


def test_standing_shackle_holds_its_eye_above_the_line_of_hinge_and_pivot():
    pivot = samples.place(4758, 0, 392)
    standing = on_springs(shackle_kind="standing", shackle_pivot=pivot)
    hanging = samples.one_piece()
    for made, side in ((standing, 1.0), (hanging, -1.0)):
        links = three_links(made.suspension, made.axle)
        pose = links.pose(np.array(made.axle[2]), np.array(0.0))
        eye = 0.490 - links.rear_arm * np.sin(pose.rear)
        x_eye = 3.990 + links.behind + links.rear_arm * np.cos(pose.rear)
        reach = np.hypot(x_eye - links.pivot[0], eye - links.pivot[1])
        assert reach == pytest.approx(0.115, abs=1e-12)
        line = np.interp(x_eye, [3.990 + links.behind, links.pivot[0]], [0.490, links.pivot[1]])
        assert (eye - line) * side > 0
    held = postures(standing, [-0.05, 0.05], 0.0, 3000.0)
    assert (held.wrap > 0).all()


# --- a measured axle ------------------------------------------------------------------------------

ROWS = MeasuredAxle(
    travel=np.array([-0.100, 0.0, 0.080]),
    point=np.array([[3.640, 0.020, 0.280], [3.6436, 0.020, 0.3781], [3.646, 0.021, 0.457]]),
    slope=np.array([4.5, 3.0, 2.0]) * DEG,
    plan=np.array([0.1, 0.0, -0.2]) * DEG,
    wind_up=800 / DEG,
)


def measured(rows=ROWS):
    """Return the truck with readings of its pinion in place of its springs."""
    made = samples.one_piece(suspension=rows)
    return replace(made, pinion=replace(made.pinion, point=rows.point[1]))


def test_measured_axle_passes_through_its_readings():
    held = postures(measured(), ROWS.travel)
    assert held.joint_center[:, -1] == pytest.approx(ROWS.point, abs=1e-12)
    assert held.axis[:, -1] == pytest.approx(axis_from_slope(ROWS.slope, ROWS.plan), abs=1e-12)


def test_measured_axle_with_a_pinion_turned_in_plan_sits_as_given_at_ride_height():
    made = measured(replace(ROWS, plan=ROWS.plan + 2 * DEG))
    made = replace(made, pinion=replace(made.pinion, plan=2 * DEG))
    held = postures(made, 0.0)
    assert held.axle_rotation[0] == pytest.approx(np.eye(3), abs=1e-14)
    assert held.axle_center[0] == pytest.approx(made.axle, abs=1e-14)


def test_measured_axle_never_swings_beyond_its_readings_between_them():
    held = postures(measured(), np.linspace(-0.1, 0.08, 91))
    slope = slope_of(held.axis[:, -1])
    assert (np.diff(slope) <= 1e-12).all()


def test_two_readings_are_a_straight_line():
    rows = replace(
        ROWS, travel=ROWS.travel[:2], point=ROWS.point[:2], slope=ROWS.slope[:2], plan=ROWS.plan[:2]
    )
    held = postures(measured(rows), -0.05)
    assert held.joint_center[0, -1] == pytest.approx(rows.point.mean(axis=0), abs=1e-12)


def test_measured_axle_is_never_extrapolated():
    words = r"travel \+90 mm was not measured; readings reach from −100 mm to \+80 mm"
    with pytest.raises(GeometryError, match=words):
        postures(measured(), [0.0, 0.090])


def test_measured_axle_wraps_about_the_axle_center():
    held = postures(measured(), [0.04, 0.04], 0.0, [0.0, 1600.0])
    assert held.wrap / DEG == pytest.approx([0.0, 2.0], abs=1e-12)
    assert held.axle_center[1] == pytest.approx(held.axle_center[0], abs=1e-12)
    turned = np.diff(slope_of(held.axis[:, -1]))[0] / DEG
    assert turned == pytest.approx(2.0, abs=1e-12)


# --- what cannot be -------------------------------------------------------------------------------


def short_front():
    """Return the truck on springs with very short front halves and very long shackles."""
    return on_springs(
        front_eye=samples.place(3740, 0, 500),
        front_half=0.250,
        shackle_pivot=samples.place(4758, 0, 890),
        shackle=0.400,
    )


def test_without_a_suspension_only_ride_height_can_be_asked():
    bare = samples.one_piece(suspension=None, travel=None)
    assert postures(bare, 0.0, 0.0, 900.0).wrap == pytest.approx([0.0], abs=0)
    for travel, roll in ((0.01, 0.0), (0.0, 0.01)):
        with pytest.raises(GeometryError, match=r"no \[suspension\]; then only ride height"):
            postures(bare, travel, roll)


IMPOSSIBLE = (
    "made, travel, torque, words",
    [
        (short_front(), 0.3, 0.0, r"the front half of the spring folds over its eye; look at trav"),
        (samples.one_piece(), 0.0, 1e5, r"span 478 mm to 708 mm; look at suspension\.shackle"),
        (on_springs(shackle_pivot=samples.place(4650, 0, 592)), 0.0, 0.0, r"come to 474 mm apart"),
        (samples.one_piece(), -0.6, 0.0, r"the shackle cannot close.* look at travel\.droop"),
        (on_springs(rate=2e3, load=9000.0), 0.0, 2000.0, "the axle rolls over: the springs hold"),
        (on_springs(wind_up=100.0), 0.0, 120.0, "the shackle cannot close, or goes over center"),
        (samples.links_van(), 0.6, 0.0, "the links cannot close: the .* link cannot reach; frame"),
    ],
)


@pytest.mark.parametrize(*IMPOSSIBLE)
def test_axle_that_cannot_be_there_is_refused_in_plain_words(made, travel, torque, words):
    with pytest.raises(GeometryError, match=words):
        postures(made, [0.0, travel], 0.0, torque, labels=("ride height", "the other"))


def refused(made, travel, torque):
    with pytest.raises(GeometryError) as error:
        postures(made, [0.0, travel], 0.0, torque)
    return str(error.value)


def lengths(text, unit):
    return [float(n.replace("−", "-")) for n in re.findall(rf"([+−]?[\d.]+) {unit}\b", text)]


@pytest.mark.parametrize(
    ("made", "travel", "torque"),
    [
        *((made, travel, torque) for made, travel, torque, _ in IMPOSSIBLE[1]),
        (measured(), 0.090, 0.0),
    ],
)
def test_refusals_speak_in_the_units_of_the_scene(made, travel, torque):
    metric = refused(made, travel, torque)
    inch = refused(replace(made, display="inch"), travel, torque)
    # 25.4 mm to the inch: international yard and pound, 1959; whole mm against 0.01 in
    assert lengths(metric, "mm")
    assert lengths(inch, "in") == pytest.approx(np.array(lengths(metric, "mm")) / 25.4, abs=0.0251)
    assert " mm" not in inch
    assert " N m" not in inch
    assert " lbf ft at the wheels" in inch


def test_refusal_names_configuration_and_state_and_the_lines_to_look_at():
    reading = Reading(
        path="travel.droop", value=0.6, spread=0.0, text="600 mm", status="measured", line=55
    )
    made = replace(samples.one_piece(), readings={"travel.droop": reading})
    words = (
        'configuration "one-piece", full droop, no torque: the shackle cannot close.*'
        r"look at travel\.droop \(line 55\), suspension\.shackle and suspension\.rear_half"
    )
    with pytest.raises(GeometryError, match=words) as refused:
        postures(made, [0.0, -0.6], labels=("ride height, no torque", "full droop, no torque"))
    assert refused.value.state == "full droop, no torque"


def test_shackle_that_cannot_close_says_what_it_spans():
    words = r"come to 7\d\d mm apart, rear arm and shackle span 478 mm to 708 mm; look at susp"
    with pytest.raises(GeometryError, match=words):
        postures(on_springs(shackle_pivot=samples.place(4900, 0, 592)), 0.0)
