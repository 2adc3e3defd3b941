"""What a set-up becomes in SI units and the vehicle's axes."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from sim.scene import parts
from sim.scene.parts import Configuration
from sim.scene.reader import read_scene

SCENES = Path(__file__).parent.parent / "scenes"
WRITTEN = (SCENES / "orchard_service_truck.toml").read_text("utf-8")
LOADED = WRITTEN[WRITTEN.index("[height.loaded]") : WRITTEN.index("[obstacle.")]
ORCHARD = WRITTEN.replace(LOADED, "")
LEAF = ORCHARD[ORCHARD.index("[suspension]") : ORCHARD.index("[travel]")]


def build(name: str, *edits: tuple[str, str], more: str = "") -> Configuration:
    """Build a configuration of the orchard truck with edits."""
    text = ORCHARD
    for old, new in edits:
        assert old in text
        text = text.replace(old, new)
    return read_scene((text + more).encode()).configuration(name)


def test_places_are_aft_right_up_from_the_datum() -> None:
    two = build("two-piece", ('right = "20 ± 2 mm"', 'left = "20 mm"'))
    assert two.output.point == pytest.approx([1.745, 0, 0.568])
    assert two.pinion.point == pytest.approx([3.6436, -0.020, 0.3781])
    assert two.axle == pytest.approx([3.990, 0, 0.395])
    tank = next(o for o in two.obstacles if o.name == "fuel tank")
    assert tank.start == pytest.approx([2.050, -0.480, 0.360])
    assert not two.output.point.flags.writeable


def test_a_datum_behind_and_above_gives_negative_places() -> None:
    edits = (
        (
            '[output]                                 # first joint\naft = "1745',
            '[output]\nforward = "100',
        ),
        ('up = "568 ± 2 mm"', 'down = "32 mm"'),
    )
    assert build("one-piece", *edits).output.point == pytest.approx([-0.100, 0, -0.032])


def test_a_slope_to_level_is_taken_to_the_frame() -> None:
    edits = (
        ("[output]", '[frame]\nslope = "-1.2 deg"\n\n[output]'),
        ('slope = "3.0 ± 0.25 deg"                 # protractor', 'slope = "1.8 deg to level" # '),
    )
    one = build("one-piece", *edits)
    assert math.degrees(one.output.slope) == pytest.approx(3.0)
    assert math.degrees(one.pinion.slope) == pytest.approx(3.0)  # it was read to the frame


def test_a_slope_to_level_is_corrected_as_a_vector() -> None:
    # Independent: spherical trigonometry.  An axis of slope r and plan p, pitched by f, has the
    # slope asin(sin r cos f − cos r cos p sin f).
    edits = (
        ("[output]", '[frame]\nslope = "4 deg"\n\n[output]'),
        (
            'slope = "3.0 ± 0.25 deg"                 # p',
            'plan_angle = "12 deg"\nslope = "7 deg to level" # p',
        ),
    )
    r, p, f = (math.radians(x) for x in (7, 12, 4))
    exact = math.asin(math.sin(r) * math.cos(f) - math.cos(r) * math.cos(p) * math.sin(f))
    assert build("one-piece", *edits).output.slope == pytest.approx(exact, abs=1e-12)
    assert abs(exact - (r - f)) > 1e-4  # subtracting the readings would not do


def test_a_wedge_turns_the_pinion_about_the_axle_center() -> None:
    # Independent: complex numbers in side view, aft + j up; nose up is clockwise seen from the
    # right with aft to the right.
    turn = math.radians(1.5)
    arm = complex(3643.6 - 3990, 378.1 - 395) * complex(math.cos(turn), -math.sin(turn))
    wedged = build("two-piece-wedged")
    assert wedged.pinion.point * 1000 == pytest.approx([3990 + arm.real, 20, 395 + arm.imag])
    assert math.degrees(wedged.pinion.slope) == pytest.approx(4.5)
    assert wedged.pinion.point[2] > 0.3781  # the nose went up
    down = build("two-piece-wedged", ('pinion.nose_up = "1.5 deg"', 'pinion.nose_down = "1.5 deg"'))
    assert math.degrees(down.pinion.slope) == pytest.approx(1.5)
    assert down.pinion.point[2] < 0.3781


@pytest.mark.parametrize(
    ("name", "place", "clocked"),
    [("one-piece", "midship", None), ("two-piece", "midship", 0), ("two-piece", "shaft", 1)],
)
def test_a_spline_off_its_marks_clocks_the_shaft_that_it_turns(
    name: str, place: str, clocked: int | None
) -> None:
    edits = (
        ('least_engaged = "45 mm"', 'off_by = "-2 teeth"'),
        (
            'at = "midship"\nteeth = "16 teeth"',
            f'at = "{place}"\nteeth = "16 teeth"\noff_by = "1 tooth"',
        ),
    )
    configuration = build(name, *edits)
    phases = [math.degrees(shaft.phase) for shaft in configuration.shafts]
    assert phases == pytest.approx([22.5 * (i == clocked) for i in range(len(phases))])
    off = -2 * 360 / 32 if name == "one-piece" else 22.5
    assert math.degrees(configuration.spline.off_by) == pytest.approx(off)


def test_a_welded_phase_adds_to_the_assembly() -> None:
    edits = (
        ("shaft.2.tube", 'shaft.1.phase = "10 deg"\nshaft.2.tube'),
        ('at = "midship"', 'at = "midship"\noff_by = "-4 deg"'),
    )
    assert math.degrees(build("two-piece", *edits).shafts[0].phase) == pytest.approx(6.0)


def test_defaults_are_shown_as_such() -> None:
    two = build(
        "two-piece", ('tire_circumference = "2545 mm"\n', ""), ('spring_load = "6000 N"\n', "")
    )
    assert two.vehicle.unsprung_share == pytest.approx(0.15)
    assert two.vehicle.tire_circumference == pytest.approx(2 * math.pi * 1.025 * 0.395)
    assert isinstance(two.suspension, parts.LeafSprings)
    assert two.suspension.load == pytest.approx(0.85 * 1448 * 9.80665 / 2)
    assert two.suspension.half_rates == pytest.approx((790 / 620) ** 3)
    assert two.suspension.spacing == 1.0
    assert two.suspension.arm_fraction == 0.75
    assert two.suspension.wrap_control == 0.0
    assert two.suspension.wind_up is None
    assert two.suspension.shackle_kind == "hanging"
    assert two.spline.shorter is None
    assert two.joints[1].largest_angle == pytest.approx(math.radians(20))
    assert two.joints[1].swing_radius == pytest.approx(1.35 * 0.0889 / 2)
    assert two.full_travel_speed == pytest.approx(50 / 3.6)
    status = {path: reading.status for path, reading in two.readings.items()}
    assert status["vehicle.tire_circumference"] == "derived"
    assert status["suspension.spring_load"] == "derived"
    assert status["suspension.spring_spacing"] == "assumed"
    assert status["joint.2.largest_angle"] == "assumed"
    assert status["vehicle.axle_ratio"] == "measured"


def test_the_default_mass_is_the_tube_and_its_yokes() -> None:
    # Independent: mass of a steel tube by mean diameter, 7850 kg/m³, and 6 kg of yokes.
    one = build("one-piece")
    length = math.dist(one.output.point, one.pinion.point)
    tube = math.pi * (0.1016 - 0.0021) * 0.0021 * length * 7850
    assert one.shafts[0].mass == pytest.approx(tube + 6)
    light = build(
        "one-piece",
        (
            'wall = "2.1 mm" }\n\n[configuration.one',
            'wall = "2.1 mm", material = "aluminum" }\n\n[configuration.one',
        ),
    )
    assert light.shafts[0].mass == pytest.approx(tube * 2700 / 7850 + 6)


def test_the_larger_tube_beside_a_joint_gives_its_swing_radius() -> None:
    edit = ('shaft.2.tube = { outside = "88.9 mm"', 'shaft.2.tube = { outside = "101.6 mm"')
    radii = [joint.swing_radius * 1000 for joint in build("two-piece", edit).joints]
    assert radii == pytest.approx([1.35 * 44.45, 1.35 * 50.8, 1.35 * 50.8])


def test_joints_of_their_own_kind() -> None:
    more = (
        'joint.1.kind = "double cardan"\njoint.3.kind = "flexible"\nseries = "1410"\n'
        'joint.2 = { largest_angle = "24 deg", swing_radius = "61 mm", '
        'rated_torque = "1680 N m" }\n'
    )
    wedged = build("two-piece-wedged", more=more)
    first, second, third = wedged.joints
    assert (first.kind, first.between_crosses) == ("double cardan", 0.075)
    assert math.degrees(first.largest_angle) == pytest.approx(28)
    assert math.degrees(second.largest_angle) == pytest.approx(24)
    assert (second.swing_radius, second.rated_torque) == (0.061, 1680)
    assert math.degrees(third.largest_angle) == pytest.approx(3)
    assert wedged.series == "1410"


def test_torque_cases_come_derived_and_as_written() -> None:
    assert [c.name for c in build("one-piece").torque_cases] == [
        "no torque",
        "cruise",
        "pull-away",
        "hard launch",
        "engine braking",
    ]
    written = (
        '[torque_case]\n"hard launch" = "6058 N m at the wheels"\n"pulling a stump" = '
        '"1500 N m at the shaft"\n\n[output_move."hard launch"]\nforward = "3 mm"\nup = "2 mm"\n'
        'tips_down = "0.4 deg"\n\n[road_speed]\n"pulling a stump" = "500 rpm"\n'
        '"full travel" = "40 km/h"\ncruise = "60 mph"\n\n[travel]'
    )
    one = build("one-piece", ("[travel]", written))
    cases = {case.name: case for case in one.torque_cases}
    assert list(cases) == [
        "no torque",
        "cruise",
        "pull-away",
        "hard launch",
        "engine braking",
        "pulling a stump",
    ]
    assert cases["no torque"].wheel_torque == 0.0
    assert (cases["cruise"].wheel_torque, cases["cruise"].shaft_torque) == (None, None)
    assert cases["hard launch"].wheel_torque == 6058
    assert cases["hard launch"].output_move == pytest.approx((-0.003, 0, 0.002))
    assert math.degrees(cases["hard launch"].output_tip) == pytest.approx(-0.4)
    assert cases["pulling a stump"].shaft_torque == 1500
    assert cases["pulling a stump"].wheel_torque is None
    # 500 rpm of the shaft through 4.10 to 1 and 2.545 m a turn of the tire, by hand.
    assert cases["pulling a stump"].road_speed == pytest.approx(500 / 60 / 4.1 * 2.545)
    assert cases["cruise"].road_speed == pytest.approx(60 * 0.44704)
    assert one.full_travel_speed == pytest.approx(40 / 3.6)


G = 9.80665  # [m/s²], standard


def heights(written: str, *edits: tuple[str, str]) -> dict[str, parts.Height]:
    """Return the heights of the orchard truck with some written."""
    one = build("one-piece", *edits, more=written)
    assert one.travel is not None
    return {height.name: height for height in one.travel.heights}


def test_load_of_a_height_is_as_written_or_what_the_springs_take_up() -> None:
    # By hand: 1448 kg, and 2 springs of 48 N/mm over 35 mm are 3360 N; 40 mm in droop 3840 N less.
    written = (
        '[height.loaded]\nbump = "35 mm"\n\n[height.raised]\ndroop = "40 mm"\n\n'
        '[height.weighed]\nbump = "35 mm"\naxle_load = "1900 ± 20 kg"\n'
    )
    found = heights(written)
    assert found["loaded"].axle_load == pytest.approx(1448 * G + 3360)
    assert found["raised"].axle_load == pytest.approx(1448 * G - 3840)
    assert found["weighed"].axle_load == pytest.approx(1900 * G)
    readings = build("one-piece", more=written).readings
    derived = readings["height.loaded.axle_load"]
    assert (derived.status, derived.text) == (
        "derived",
        "axle_load at ride height and 2 times rate times travel",
    )
    assert readings["height.weighed.axle_load"].spread == pytest.approx(20 * G)


def test_springs_never_pull_the_axle_down() -> None:
    # By hand: 110 mm of 80 N/mm, twice, are 17600 N, more than 1448 kg; 15 % of it is the axle's.
    soft = ('rate = "48 N/mm ± 20 %"', 'rate = "80 N/mm"')
    found = heights('[height.raised]\ndroop = "110 mm"\n', soft)
    assert found["raised"].axle_load == pytest.approx(0.15 * 1448 * G)


def test_without_a_rate_or_a_weight_a_height_has_no_load_of_its_own() -> None:
    loaded = '[height.loaded]\nbump = "35 mm"\n'
    links = (
        LEAF,
        '[suspension]\nkind = "frame mounted"\nmount = { aft = "3990 mm", up = "395 mm" }\n\n',
    )
    assert heights(loaded, links)["loaded"].axle_load is None
    weighed = 'axle_load = "1448 ± 30 kg"               # weighbridge, empty\n'
    assert heights(loaded, (weighed, ""))["loaded"].axle_load is None


def test_torque_cases_need_their_plates() -> None:
    edits = (('engine_torque = "610 N m"\n', ""),)
    assert [c.name for c in build("one-piece", *edits).torque_cases] == ["no torque", "cruise"]
    edits = (*edits, ('axle_load = "1448 ± 30 kg"               # weighbridge, empty\n', ""))
    assert [c.name for c in build("one-piece", *edits).torque_cases] == ["no torque"]


def test_named_heights_of_both_wheels_and_of_each() -> None:
    written = (
        'parked_low = "140 mm"\nroll = "3 deg"\n\n[height.loaded]\nbump = "40 mm"\n'
        'torque_cases = "cruise, hard launch"\n\n[height.kerb]\nleft_bump = "60 mm"\n'
        'right_droop = "30 mm"\n\n[obstacle."exhaust pipe"]'
    )
    edits = (
        ('\n[obstacle."exhaust pipe"]', written),
        ('aft = "3990 mm"', 'track = "1.6 m"\naft = "3990 mm"'),
    )
    one = build("one-piece", *edits)
    assert one.travel is not None
    loaded, kerb = one.travel.heights
    assert (loaded.name, loaded.left, loaded.right) == ("loaded", 0.040, 0.040)
    assert loaded.cases == ("cruise", "hard launch")
    assert (kerb.left, kerb.right, kerb.cases, kerb.turning) == (0.060, -0.030, (), True)
    assert (one.travel.parked_low, one.travel.roll) == pytest.approx((0.140, math.radians(3)))
    assert one.vehicle.track == 1.6
    assert isinstance(one.suspension, parts.LeafSprings)
    assert one.suspension.spacing == pytest.approx(1.2)


def test_leaf_springs_as_written() -> None:
    more = (
        'arm_fraction = "83 %"\nhalf_rates = "1.5 to 1"\nshackle_kind = "standing"\n'
        'spring_spacing = "980 mm"\nwrap_control = "1600 N m/deg"\nwind_up = "819 N m/deg ± 40 %"\n'
        'seat_below_axle = "60 mm"\n'
    )
    spring = build(
        "one-piece",
        ('seat_above_axle = "95 mm"                # spring over axle\n', more),
        ('front_half = "620 mm"', 'front_half = "640 mm"'),
    ).suspension
    assert isinstance(spring, parts.LeafSprings)
    assert (spring.arm_fraction, spring.half_rates) == pytest.approx((0.83, 1.5))
    assert (spring.shackle_kind, spring.spacing) == ("standing", 0.98)
    assert spring.seat_height == pytest.approx(-0.060)
    assert spring.wind_up == pytest.approx(819 * 180 / math.pi)
    assert spring.wrap_control == pytest.approx(1600 * 180 / math.pi)
    assert spring.front_eye == pytest.approx([3.370, 0, 0.500])
    assert (spring.rate, spring.load) == (48_000, 6_000)


def test_links_as_written() -> None:
    links = (
        '[suspension]\nkind = "links"\nlower_frame = { aft = "3300 mm", up = "380 mm" }\n'
        'lower_axle = { aft = "3960 mm", up = "310 mm" }\n'
        'upper_frame = { aft = "3500 mm", up = "560 mm" }\n'
        'upper_axle = { aft = "3940 mm", up = "530 mm" }\n\n'
    )
    found = build("one-piece", (LEAF, links)).suspension
    assert isinstance(found, parts.Links)
    assert found.upper_axle == pytest.approx([3.940, 0, 0.530])
    assert found.wind_up == pytest.approx(2500 * 180 / math.pi)


def test_a_final_drive_on_the_frame_turns_about_its_mount() -> None:
    mounted = (
        '[suspension]\nkind = "frame mounted"\nmount = { aft = "3843.6 mm", up = "378.1 mm" }\n\n'
    )
    one = build("two-piece-wedged", (LEAF, mounted))
    assert isinstance(one.suspension, parts.FrameMounted)
    rise = 200 * math.sin(math.radians(1.5))
    assert one.pinion.point[2] * 1000 == pytest.approx(378.1 + rise)
    assert one.suspension.wind_up == pytest.approx(3000 * 180 / math.pi)


def test_measured_heights_come_in_order_with_ride_height_among_them() -> None:
    measured = (
        '[suspension]\nkind = "measured"\nwind_up = "800 N m/deg"\n'
        'reading.1 = { bump = "100 mm", aft = "3641 mm", right = "20 mm", up = "476 mm", '
        'slope = "1.7 deg" }\n'
        'reading.2 = { droop = "110 mm", aft = "3640 mm", right = "20 mm", up = "270 mm", '
        'slope = "4.1 deg", plan_angle = "0.5 deg" }\n\n'
    )
    axle = build("one-piece", (LEAF, measured)).suspension
    assert isinstance(axle, parts.MeasuredAxle)
    # Left out: 600 to 2400 N m/deg, from soft leaf springs to links; common practice, no source.
    left_out = build("one-piece", (LEAF, measured.replace('wind_up = "800 N m/deg"\n', "")))
    assert isinstance(left_out.suspension, parts.MeasuredAxle)
    assert left_out.suspension.wind_up == pytest.approx(1500 * 180 / math.pi)
    guess = left_out.readings["suspension.wind_up"]
    assert (guess.status, guess.spread / guess.value) == ("assumed", pytest.approx(0.6))
    assert axle.travel == pytest.approx([-0.110, 0, 0.100])
    assert axle.point[:, 2] == pytest.approx([0.270, 0.3781, 0.476])
    assert np.degrees(axle.slope) == pytest.approx([4.1, 3.0, 1.7])
    assert np.degrees(axle.plan) == pytest.approx([0.5, 0, 0])
    wedged = build("two-piece-wedged", (LEAF, measured)).suspension
    assert isinstance(wedged, parts.MeasuredAxle)
    assert np.degrees(wedged.slope) == pytest.approx([5.6, 4.5, 3.2], abs=1e-3)
    assert wedged.point[:, 2] == pytest.approx(
        axle.point[:, 2] + 0.35 * math.radians(1.5), abs=3e-4
    )


def test_obstacles_and_limits_as_written() -> None:
    limits = (
        '[limits]\ngap = "8 mm"\nclearance = "12 mm"\nground = "150 mm"\nsafe_share = "65 %"\n'
        'largest_angle = "4 deg"\ntorsional = "300 rad/s2"\n\n[travel]'
    )
    edits = (
        ("[travel]", limits),
        ('pipe = "70 mm"', 'pipe = "70 mm"\nrides_on = "axle"\nkind = "exhaust"'),
    )
    one = build("one-piece", *edits)
    found = one.limits
    assert (found.gap, found.clearance, found.ground) == (0.008, 0.012, 0.150)
    assert (found.safe_share, found.torsional) == pytest.approx((0.65, 300))
    assert found.largest_angle == pytest.approx(math.radians(4))
    assert (found.least_angle, found.inertial) == (None, None)
    assert found.set_by_shop == {
        "gap",
        "clearance",
        "ground",
        "safe_share",
        "largest_angle",
        "torsional",
    }
    pipe, tank = one.obstacles[:2]
    assert (pipe.kind, pipe.rides_on, pipe.pipe, pipe.moves) == ("exhaust", "axle", 0.070, 0.010)
    assert (tank.kind, tank.pipe, tank.least_clearance) == ("fixed part", None, 0.040)
    assert build("one-piece").limits.set_by_shop == frozenset()


def test_a_slip_yoke_on_the_output_ahead_of_a_bearing() -> None:
    spline = "[configuration.two-piece.spline]"
    yoke = '[configuration.two-piece.output_spline]\ngap = "30 mm"\nengaged = "60 mm"\n\n'
    two = build("two-piece", (spline, yoke + spline))
    assert two.output_spline == parts.OutputSpline(gap=0.030, engaged=0.060)


def test_values_may_be_arrays_of_samples() -> None:
    two = build("two-piece", ("[pinion]", '[pinion]\nnose_up = "1.5 deg"'))
    design = two.design
    assert design is not None
    shift = np.linspace(-1, 1, 5)
    many = design.vary({p: r.value + r.spread * shift for p, r in design.readings.items()}).build()
    assert many.pinion.point.shape == (5, 3)
    assert many.pinion.point[2] == pytest.approx(two.pinion.point, abs=1e-15)
    assert np.shape(many.pinion.slope) == np.shape(many.shafts[1].mass) == (5,)
    assert many.shafts[1].mass[2] == pytest.approx(two.shafts[1].mass)
    assert np.ptp(many.bearings[0].point[:, 2]) == pytest.approx(0.006)


def test_every_quantity_of_a_set_up_is_listed_once() -> None:
    paths = list(build("two-piece").readings)
    assert len(paths) == len(set(paths)) > 60
    assert "obstacle.fuel tank.from.left" in paths
    assert "shaft.2.tube.wall" in paths
    assert "limits.gap" in paths
