from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sim.display import METRIC, TRADE_INCH
from sim.errors import DomainError, GeometryError
from sim.measure.measure import measure
from sim.motion.solve import solve
from sim.motion.torque import torque_loads
from sim.scene.parts import Configuration
from sim.show.film.closing import Closing, Figure, balance, closing_of
from sim.show.film.story import TURNS_PER_SECOND, shoot, write_script
from sim.show.film.view import camera_for, spread
from sim.show.report.exchange import exchange_of


def test_the_axle_is_parked_at_ride_then_bumps_then_droops_then_is_launched_at_ride(
    one_piece: Configuration, two_piece: Configuration
) -> None:
    script = write_script([one_piece, two_piece], seconds=6, fps=50)
    assert one_piece.travel is not None
    first_tenth = slice(0, 30)
    np.testing.assert_allclose(script.travel[first_tenth], 0, atol=1e-12)
    np.testing.assert_allclose(script.torque[first_tenth], 0, atol=1e-12)
    assert script.travel.max() == pytest.approx(one_piece.travel.bump, abs=1e-4)
    assert script.travel.min() == pytest.approx(-one_piece.travel.droop, abs=1e-4)
    assert script.travel.argmax() < script.travel.argmin() < np.argmax(script.torque == 1)
    assert script.torque[-1] == 1
    assert script.travel[-1] == 0


def test_nothing_jumps_between_two_frames(two_piece: Configuration) -> None:
    script = write_script([two_piece], seconds=6, fps=24)
    assert two_piece.travel is not None
    whole = two_piece.travel.droop + two_piece.travel.bump
    assert np.abs(np.diff(script.travel)).max() < 0.08 * whole
    assert np.abs(np.diff(script.torque)).max() < 0.15


def test_shafts_turn_slower_than_an_eye_mistakes_for_turning_back(two_piece: Configuration) -> None:
    # A cross looks the same after a quarter turn; less than half of that is seen as it is.
    script = write_script([two_piece], seconds=2, fps=24)
    step = np.diff(script.turn)
    np.testing.assert_allclose(step, 2 * np.pi * TURNS_PER_SECOND / 24)
    assert step.max() < np.pi / 4


def test_two_configurations_go_through_the_travel_that_both_have(
    one_piece: Configuration, two_piece: Configuration
) -> None:
    assert two_piece.travel is not None
    stiffer = replace(two_piece, travel=replace(two_piece.travel, droop=0.05, bump=0.12))
    script = write_script([one_piece, stiffer], seconds=4, fps=24)
    assert (script.droop, script.bump) == (0.05, 0.095)


def test_a_vehicle_without_suspension_is_filmed_at_ride_height_alone(
    two_piece: Configuration,
) -> None:
    still = replace(two_piece, suspension=None, travel=None)
    script = write_script([still], seconds=2, fps=12)
    assert not script.travel.any()
    assert not script.torque.any()
    assert [words for _, words in script.marks] == ["ride height", "ride height"]


def test_the_film_launches_at_the_hardest_wheel_torque_of_the_scene(
    two_piece: Configuration,
) -> None:
    take = shoot(two_piece, write_script([two_piece], seconds=2, fps=12))
    hardest = max(load.wheel_torque for load in torque_loads(two_piece))
    assert take.motion.states[-1].wheel_torque == pytest.approx(hardest)
    assert take.motion.states[0].wheel_torque == 0


def test_the_output_moves_on_its_mounts_as_the_torque_grows(two_piece: Configuration) -> None:
    cases = tuple(
        replace(case, output_move=(0.0, 0.0, 0.008), output_tip=np.deg2rad(1.0))
        if case.name == "hard launch"
        else case
        for case in two_piece.torque_cases
    )
    moving = replace(two_piece, torque_cases=cases)
    take = shoot(moving, write_script([moving], seconds=6, fps=24))
    up = take.motion.joint_center[:, 0, 0, 2]
    assert up[-1] - up[0] == pytest.approx(0.008, abs=1e-9)
    assert np.abs(np.diff(up)).max() < 0.0015
    still = shoot(two_piece, write_script([two_piece], seconds=6, fps=24))
    assert np.ptp(still.motion.joint_center[:, 0, 0, 2]) < 1e-12


def test_the_band_holds_the_variation_of_a_whole_turn(two_piece: Configuration) -> None:
    take = shoot(two_piece, write_script([two_piece], seconds=3, fps=24))
    assert (take.lowest <= take.variation + 1e-12).all()
    assert (take.highest >= take.variation - 1e-12).all()
    full = measure(solve(two_piece, states=take.motion.states)).fluctuation[:, -1]
    np.testing.assert_allclose(take.highest - take.lowest, full, rtol=5e-3, atol=1e-7)


def test_an_angle_shown_follows_from_where_the_joints_are(one_piece: Configuration) -> None:
    # Rederived: law of cosines in the triangle of output axis point, joint 1 and joint 2.
    take = shoot(one_piece, write_script([one_piece], seconds=3, fps=24))
    centers = take.motion.joint_center[:, 0]
    slope = one_piece.output.slope
    ahead = centers[:, 0] - np.array([np.cos(slope), 0.0, -np.sin(slope)])
    b = np.linalg.norm(centers[:, 1] - centers[:, 0], axis=1)
    c = np.linalg.norm(centers[:, 1] - ahead, axis=1)
    inside = np.arccos((1 + b**2 - c**2) / (2 * b))
    np.testing.assert_allclose(take.joint_angle[:, 0], np.pi - inside, atol=1e-6)


def test_a_film_of_a_state_out_of_reach_names_configuration_and_state(
    two_piece: Configuration,
) -> None:
    assert two_piece.travel is not None
    far = replace(two_piece, travel=replace(two_piece.travel, droop=0.9))
    with pytest.raises(GeometryError, match=r'configuration "two-piece", .*no torque'):
        shoot(far, write_script([far], seconds=2, fps=24))


def test_a_film_needs_three_frames(two_piece: Configuration) -> None:
    with pytest.raises(DomainError, match="3 frames or more"):
        write_script([two_piece], seconds=0.1, fps=12)


def test_the_whirl_limit_is_the_published_formula_at_the_share_of_the_scene(
    one_piece: Configuration,
) -> None:
    # n = 1.21e8 sqrt(D² + d²) / L² rpm for steel in mm, 0.70 of it for vehicles: IMS Ltd,
    # technical data, critical speeds of drive shafts.
    start, end = one_piece.output.point, one_piece.pinion.point
    length = 1000 * np.linalg.norm(end - start)
    critical = 1.21e8 * np.hypot(101.6, 97.4) / length**2
    road = critical * 2.545 / 60 / 4.1 * 3.6
    whirl = closing_of(measure(solve(one_piece)), METRIC).figures[0]
    assert whirl.value * 3.6 == pytest.approx(0.70 * road, rel=0.01)
    assert whirl.text == f"{whirl.value * 3.6:.0f} km/h"
    assert whirl.note == "at 0.70 of critical\nbelow the top speed of 155 km/h"


def test_closing_numbers_are_the_worst_of_the_sweep(two_piece: Configuration) -> None:
    measured = measure(solve(two_piece))
    _, angle, gap = closing_of(measured, METRIC).figures
    assert angle.value == measured.joint_angle.max()
    assert angle.note.startswith("joint 3, full bump")
    assert angle.note.endswith("hard launch")
    assert not angle.alarming
    assert gap.value <= measured.gap.min()
    assert gap.note.startswith("full bump, hard launch")


def test_the_shaft_that_whirls_first_sets_the_limit(two_piece: Configuration) -> None:
    # Same tube on both shafts, so the longer one has the lower critical speed (formula above).
    measured = measure(solve(two_piece))
    lengths = [built.length for built in measured.as_built]
    longest = measured.critical_speeds[int(np.argmax(lengths))]
    assert lengths[0] != pytest.approx(lengths[1], rel=0.1)
    assert closing_of(measured, METRIC).figures[0].value == longest.safe_road_speed


@pytest.mark.parametrize(
    ("travel", "words"),
    [
        (0.0, "ride height"),
        (0.095, "full bump"),
        (-0.110, "full droop"),
        (0.0333, "+33.3 mm travel"),
    ],
)
def test_a_gap_between_the_states_of_the_sweep_counts(
    two_piece: Configuration, travel: float, words: str
) -> None:
    measured = measure(solve(two_piece))
    first, *rest = measured.slip_limits
    worse = replace(first, least_gap=0.001, least_gap_travel=travel)
    gap = closing_of(replace(measured, slip_limits=(worse, *rest)), METRIC).figures[2]
    assert gap.value == 0.001
    assert gap.note == f"{words}, {first.case}\nunder the least gap of 6.0 mm"


def test_a_parked_low_joint_angle_is_no_angle_of_a_turning_joint(
    links_van: Configuration,
) -> None:
    measured = measure(solve(links_van))
    turning = np.array([state.turning for state in measured.states])
    assert not turning.all()
    lied = replace(
        measured, joint_angle=np.where(turning[:, None], measured.joint_angle, np.deg2rad(40))
    )
    assert closing_of(lied, METRIC).figures[1].value < np.deg2rad(30)


def test_among_equal_states_the_one_at_ride_height_is_named(car: Configuration) -> None:
    # A final drive on the frame does not move with the wheels: all heights are alike.
    _, angle, gap = closing_of(measure(solve(car)), METRIC).figures
    assert "ride height" in angle.note
    assert "ride height" in gap.note


def test_a_scene_in_inches_closes_in_miles_an_hour_and_inches(two_piece: Configuration) -> None:
    metric = closing_of(measure(solve(two_piece)), METRIC).figures
    inch = closing_of(measure(solve(two_piece)), TRADE_INCH).figures
    assert inch[0].text == f"{metric[0].value / 0.44704:.0f} mph"
    assert inch[2].text == f"{metric[2].value / 0.0254:.2f} in"


def test_a_gap_used_up_says_that_the_spline_bottoms(two_piece: Configuration) -> None:
    tight = replace(two_piece, spline=replace(two_piece.spline, gap=0.020))
    gap = closing_of(measure(solve(tight)), METRIC).figures[2]
    assert gap.value < 0
    assert gap.text.startswith("−")
    assert gap.note.endswith("the spline bottoms")
    assert gap.alarming


def test_both_sides_of_the_balance_are_said() -> None:
    gains, costs = balance(_closing(1, 30.0, 0.10, 0.010), _closing(2, 80.0, 0.18, 0.004))
    assert gains == "whirl limit 30.0 → 80.0"
    assert costs == (
        "worst joint angle 0.1 → 0.18; least spline gap 0.01 → 0.004; "
        "one joint and one center bearing more"
    )


def test_the_balance_the_other_way_swaps_its_sides() -> None:
    gains, costs = balance(_closing(2, 80.0, 0.18, 0.004), _closing(1, 30.0, 0.10, 0.010))
    assert gains.startswith("worst joint angle 0.18 → 0.1; ")
    assert gains.endswith("; one joint and one center bearing less")
    assert costs == "whirl limit 80.0 → 30.0"


def test_the_film_and_the_report_find_the_same_changes_worth_a_word(
    one_piece: Configuration, two_piece: Configuration
) -> None:
    pair = measure(solve(one_piece)), measure(solve(two_piece))
    gains, costs = balance(*(closing_of(one, METRIC) for one in pair))
    said = exchange_of(*pair, METRIC)
    for film, report in ((gains, said.buys), (costs, said.costs)):
        for name in ("whirl limit", "least spline gap", "one joint and one center bearing"):
            assert (name in film) == (name in "; ".join(report))


def test_a_whirl_limit_further_beyond_top_speed_is_no_gain() -> None:
    low, high = _closing(1, 30.0, 0.10, 0.010), _closing(1, 80.0, 0.10, 0.010)

    def limited(one: Closing, top: float) -> Closing:
        figures = [replace(f, enough=top) if f.name == "whirl limit" else f for f in one.figures]
        return replace(one, figures=tuple(figures))

    for top, gained in ((25.0, False), (50.0, True), (90.0, True)):
        gains, costs = balance(limited(low, top), limited(high, top))
        assert ("whirl limit" in gains) is gained
        assert "whirl limit" not in costs
        gains, costs = balance(limited(high, top), limited(low, top))
        assert ("whirl limit" in costs) is gained


def test_top_speed_is_enough_of_a_whirl_limit_in_film_and_report(
    one_piece: Configuration, two_piece: Configuration
) -> None:
    slow = 20.0  # [m/s]; both layouts may go faster before they whirl
    pair = [
        measure(solve(replace(c, vehicle=replace(c.vehicle, top_speed=slow))))
        for c in (one_piece, two_piece)
    ]
    assert all(closing_of(one, METRIC).figures[0].value > slow for one in pair)
    assert "whirl limit" not in balance(*(closing_of(one, METRIC) for one in pair))[0]
    assert "whirl limit" not in "; ".join(exchange_of(*pair, METRIC).buys)


def test_a_gap_that_started_larger_at_ride_height_is_no_gain() -> None:
    one, two = _closing(1, 30.0, 0.10, 0.004), _closing(1, 30.0, 0.10, 0.010)
    apart = replace(two, figures=tuple(replace(f, start=0.005) for f in two.figures))
    assert "spline gap" in balance(one, two)[0]
    assert "spline gap" not in " ".join(balance(one, apart))


def test_equal_configurations_gain_and_cost_nothing() -> None:
    same = _closing(2, 80.0, 0.18, 0.004)
    assert balance(same, same) == ("nothing in these numbers", "nothing in these numbers")


def test_one_camera_sees_every_joint_of_every_take(
    one_piece: Configuration, two_piece: Configuration
) -> None:
    script = write_script([one_piece, two_piece], seconds=1, fps=24)
    takes = [shoot(c, script) for c in (one_piece, two_piece)]
    camera = camera_for(takes, (888, 255))
    for take in takes:
        pixel = project(camera.eye, camera.target, camera.fov, (888, 255), take)
        assert (pixel > 0).all()
        assert (pixel < (888, 255)).all()


def test_the_near_wheel_does_not_hide_the_pinion(one_piece: Configuration) -> None:
    take = shoot(one_piece, write_script([one_piece], seconds=1, fps=24))
    camera = camera_for([take], (888, 510))
    sight = take.motion.joint_center[0, 0, -1] - camera.eye
    track = one_piece.vehicle.track
    assert track is not None
    # Where the line of sight passes the plane of the left wheel, and how far from its center.
    share = (-track / 2 - camera.eye[1]) / sight[1]
    there = camera.eye + share * sight
    apart = np.hypot(there[0] - one_piece.axle[0], there[2] - one_piece.axle[2])
    assert apart > one_piece.vehicle.tire_radius


@pytest.mark.parametrize(
    ("wanted", "found"),
    [
        ([100.0, 300.0], [100.0, 300.0]),
        ([100.0, 110.0], [60.0, 150.0]),
        ([5.0, 300.0], [40.0, 300.0]),
        ([500.0, 520.0, 580.0], [380.0, 470.0, 560.0]),
    ],
)
def test_labels_keep_apart_and_inside(wanted: list[float], found: list[float]) -> None:
    np.testing.assert_allclose(spread(wanted, 90.0, 40.0, 560.0), found, atol=1e-6)


def project(eye, target, fov, size, take):  # type: ignore[no-untyped-def]
    """Project joint centers by similar triangles, written here from the definition of a pinhole."""
    ahead = (target - eye) / np.linalg.norm(target - eye)
    right = np.cross(ahead, [0.0, 0.0, 1.0])
    right /= np.linalg.norm(right)
    up = np.cross(right, ahead)
    offset = take.motion.joint_center[:, 0] - eye
    focal = size[1] / 2 / np.tan(fov / 2)
    depth = offset @ ahead
    column = size[0] / 2 + focal * (offset @ right) / depth
    row = size[1] / 2 - focal * (offset @ up) / depth
    return np.stack([column, row], axis=-1)


def _closing(shafts: int, whirl: float, angle: float, gap: float) -> Closing:
    """Return closing numbers whose words are their values."""
    names = ("whirl limit", "worst joint angle", "least spline gap")
    values = zip(names, (whirl, angle, gap), (1, -1, 1), strict=True)
    figures = tuple(
        Figure(name=name, value=value, text=f"{value:g}" if value < 1 else f"{value:.1f}",
               note="", alarming=False, better=better, step=1e-4)
        for name, value, better in values
    )  # fmt: skip
    return Closing(configuration=f"{shafts}", shafts=shafts, figures=figures)
