"""Joints of every kind, read from a scene."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from sim.measure.measure import measure
from sim.motion.solve import solve
from sim.scene.parts import Configuration, plunging_joint
from sim.scene.reader import read_scene

BASE = (Path(__file__).parent / "bad_scenes" / "crosses_at_a_plain_joint.toml").read_text("utf-8")
WITHOUT = BASE.replace('joint.2.between_crosses = "75 mm"', "")
SPLINE = 'spline = { at = "midship", gap = "45 mm", engaged = "85 mm" }'


def two_piece(keys: str, spline: str = SPLINE) -> Configuration:
    """Return the two-piece configuration with further keys."""
    text = WITHOUT.replace(SPLINE, spline) + keys + "\n"
    return read_scene(text.encode()).configuration("two-piece")


@pytest.mark.parametrize(
    ("kind", "degrees"),
    # Usual for these kinds: common practice, no source.
    [("universal", 20), ("double cardan", 28), ("constant velocity", 18), ("flexible", 3)],
)
def test_a_joint_binds_at_an_angle_usual_for_its_kind_unless_written(
    kind: str, degrees: float
) -> None:
    usual = two_piece(f'joint.2.kind = "{kind}"')
    assert usual.joints[1].kind == kind
    assert math.degrees(usual.joints[1].largest_angle) == pytest.approx(degrees)
    assert usual.readings["joint.2.largest_angle"].status == "assumed"
    own = two_piece(f'joint.2 = {{ kind = "{kind}", largest_angle = "7.5 deg" }}')
    assert math.degrees(own.joints[1].largest_angle) == pytest.approx(7.5)


def test_a_double_joint_halves_its_angle_unless_the_scene_says_otherwise() -> None:
    plain = two_piece('joint.1 = { kind = "double cardan", between_crosses = "2-15/16 in" }')
    assert plain.joints[0].between_crosses * 1000 == pytest.approx(2.9375 * 25.4)
    assert plain.joints[0].halving_error == 0.0
    worn = two_piece('joint.1 = { kind = "double cardan", halving_error = "-0.5 ± 0.2 deg" }')
    assert math.degrees(worn.joints[0].halving_error) == pytest.approx(-0.5)
    assert math.degrees(worn.joints[0].halving_error_at) == pytest.approx(15.0)
    assert worn.readings["joint.1.halving_error_at"].status == "assumed"
    assert math.degrees(worn.readings["joint.1.halving_error"].spread) == pytest.approx(0.2)
    at = two_piece(
        'joint.1 = { kind = "double cardan", halving_error = "1 deg", halving_error_at = "20 deg" }'
    )
    assert math.degrees(at.joints[0].halving_error_at) == pytest.approx(20.0)


def test_a_plunging_joint_stands_in_for_the_spline() -> None:
    middle = two_piece(
        'joint.2 = { kind = "constant velocity", plunge = "50 mm" }', 'spline.at = "midship"'
    )
    assert plunging_joint(middle) == 2
    assert middle.spline.gap * 1000 == pytest.approx(25.0)
    assert middle.spline.engaged * 1000 == pytest.approx(25.0)
    assert middle.spline.least_engaged == 0.0
    assert middle.readings["joint.2.plunge_in"].text == "half of plunge"
    inward = two_piece(
        'joint.3 = { kind = "constant velocity", plunge = "50 mm", plunge_in = "2 cm" }',
        'spline.at = "shaft"',
    )
    assert plunging_joint(inward) == 3
    assert inward.spline.gap * 1000 == pytest.approx(20.0)
    assert inward.spline.engaged * 1000 == pytest.approx(30.0)


def test_a_plunging_joint_and_a_spline_at_the_same_place_slip_alike() -> None:
    plunging = two_piece(
        'joint.2 = { kind = "constant velocity", plunge = "120 mm" }', 'spline.at = "midship"'
    )
    splined = two_piece('joint.2.kind = "constant velocity"')
    one, other = (measure(solve(made)) for made in (plunging, splined))
    assert one.slip == pytest.approx(other.slip, abs=1e-12)
    assert one.gap == pytest.approx(0.060 + one.slip, abs=1e-12)
    assert one.engaged == pytest.approx(0.060 - one.slip, abs=1e-12)


def test_a_scene_without_a_plunging_joint_has_none() -> None:
    assert plunging_joint(two_piece("")) == 0
