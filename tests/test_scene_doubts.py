"""Doubts: what can be computed but is likely not meant is said, and stops nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from sim.scene.reader import read_scene

SCENES = Path(__file__).parent.parent / "scenes"
ORCHARD = (SCENES / "orchard_service_truck.toml").read_text("utf-8")
OUTPUT_SLOPE = 'slope = "3.0 ± 0.25 deg"                 # protractor'


def doubts(*edits: tuple[str, str], more: str = "") -> tuple[str, ...]:
    """Return the doubts about the orchard truck with edits."""
    text = ORCHARD
    for old, new in edits:
        assert old in text
        text = text.replace(old, new, 1)
    return read_scene((text + more).encode(), "orchard.toml").doubts


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (
            OUTPUT_SLOPE,
            'slope = "-6.0 deg" #',
            "output.slope is -6.0 deg, but the first shaft drops 5.7 deg to the rear; front end",
        ),
        (
            '"2545 mm"',
            '"2045 mm"',
            "vehicle.tire_circumference is 2045 mm; a tire with 395 ± 5 mm under the axle rolls",
        ),
        (
            'top_gear = "0.69 to 1"',
            'top_gear = "1.69 to 1"',
            "vehicle.top_speed is 155 km/h: the engine would turn 7033 rpm in top gear, cut off at",
        ),
        (
            'first_gear = "4.17 to 1"\ntop_gear = "0.69 to 1"',
            'first_gear = "1.0 to 1"\ntop_gear = "1.2 to 1"',
            "vehicle.top_gear is 1.2 to 1, first_gear 1.0 to 1; first gear is the larger number",
        ),
        (
            'aft = "3990 mm"\nup = "395 mm"',
            'aft = "3990 mm"\nup = "850 mm"',
            "axle.up and tire_radius put the ground 77 mm above the lowest joint;",
        ),
        (
            "# --- The configurations",
            '[spline]\ngap = "30 mm"\n\n# --- The',
            "spline.gap is written again in every configuration, so this line is never used",
        ),
        (
            "[travel] ",
            '[limits]\ngap = "1 mm"\n\n[travel] ',
            "limits.gap is 1 mm; the usual limit is 6 mm, and every report will say",
        ),
        (
            "[travel] ",
            '[limits]\nclearance = "0 mm"\n\n[travel] ',
            "limits.clearance is 0 mm; the usual limit is 10 mm",
        ),
        (
            "[travel] ",
            '[limits]\nsafe_share = "90 %"\n\n[travel] ',
            "limits.safe_share is 90 %; the usual limit is 70 %, and every report will say",
        ),
        (
            'least_clearance = "40 mm"',
            'least_clearance = "2 mm"',
            'obstacle "fuel tank", least_clearance is 2 mm; the usual limit is 10 mm',
        ),
        (
            'least_engaged = "60 mm"',
            'least_engaged = "10 mm"',
            'configuration "two-piece", spline.least_engaged is 10 mm; the usual limit is 50 mm',
        ),
        (
            'pinion.nose_up = "1.5 deg"',
            'pinion.slope = "4.5 deg"',
            'configuration "two-piece-wedged", pinion.slope is changed, its place is not; turning',
        ),
        (
            'pinion.nose_up = "1.5 deg"',
            'joint.2.largest_angle = "48 deg"',
            "joint 2, largest_angle is 48 deg; a universal joint binds at about 30 deg",
        ),
    ],
)
def test_a_contradiction_is_doubted(old: str, new: str, said: str) -> None:
    edits = [(old, new)]
    if "850 mm" in new:  # the springs go with the axle
        edits += [('seat_above_axle = "95 mm"', 'seat_below_axle = "360 mm"')]
    found = doubts(*edits)
    assert len(found) == 1
    assert "doubtful: " in found[0]
    assert said in found[0]


def test_two_configurations_alike_are_doubted() -> None:
    more = '\n[configuration.copy]\nlike = "two-piece"\n'
    (found,) = doubts(more=more)
    assert found.startswith("orchard.toml:123: doubtful: ")
    assert 'configuration "copy" is the same as "two-piece"' in found


def test_a_pinion_turned_twice_is_doubted() -> None:
    more = 'pinion.slope = "4 deg"\npinion.up = "380 mm"\n'
    (found,) = doubts(more=more)
    assert "pinion.slope is measured anew, and nose_up still turns it" in found


def test_a_pinion_measured_anew_is_not_doubted() -> None:
    more = 'pinion.slope = "4.5 deg"\npinion.up = "387 mm"\n'
    assert doubts(('pinion.nose_up = "1.5 deg"\n', ""), more=more) == ()


def test_a_doubt_about_an_inherited_line_is_said_once() -> None:
    assert len(doubts(('"2545 mm"', '"2045 mm"'))) == 1
