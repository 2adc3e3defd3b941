"""Readings files: what is read, what is assumed, what is refused and in which words."""

from __future__ import annotations

import math
from functools import cache

import pytest

from sim.errors import DomainError, SceneError
from sim.scene.parts import Scene
from sim.scene.readback import chosen_configuration, read_readback
from sim.scene.reader import load_scene

HEAD = 'format = "halfturn readings 1"\nwho = "M. Reyes"\ndate = "2026-11-20"\n'
NAMED = HEAD + 'configuration = "two-piece"\n'
BARE = 'configuration = "two-piece"\n[on_the_wheels]\ngap = "45 mm"\n'


@cache
def truck() -> Scene:
    """Return the demo truck."""
    return load_scene("scenes/orchard_service_truck.toml")


def refused(text: str) -> str:
    """Return why a readings file is refused."""
    with pytest.raises(SceneError) as caught:
        read_readback(text.encode(), "readings.toml", truck())
    return str(caught.value)


def test_readings_come_posture_by_posture_with_their_spread_and_line() -> None:
    text = NAMED + (
        'odometer = "48210 km"\n'
        '[on_the_wheels]\nframe.slope = "0.6 ± 0.1 deg"\n'
        'output.slope = "3.6 ± 0.1 deg to level"\nbearing.1.down = "20 ± 1 mm"\n'
        '[height.jacked]\ndroop = "70 ± 3 mm"\ngap = "41-1/2 in"\n'.replace("41-1/2", "1-1/2")
    )
    found = read_readback(text.encode(), "r.toml", truck())
    wheels, jacked = found.postures
    assert (found.configuration, found.who, found.date, found.odometer) == (
        "two-piece", "M. Reyes", "2026-11-20", "48210 km",
    )  # fmt: skip
    assert wheels.height == "ride height"
    assert wheels.frame is not None
    assert wheels.frame.value == pytest.approx(math.radians(0.6))
    assert wheels.to_level == {"output.slope"}
    slope, place = wheels.readings
    assert (slope.path, slope.line) == ("output.slope", 8)
    assert slope.spread == pytest.approx(math.radians(0.1))
    assert (place.path, place.value, place.line) == ("bearing.1.down", pytest.approx(0.02), 9)
    assert jacked.height == "jacked"
    assert jacked.travel is not None
    assert (jacked.travel.path, jacked.travel.value) == ("droop", pytest.approx(0.07))
    assert jacked.readings[0].value == pytest.approx(0.0381)  # 1-1/2 in


@pytest.mark.parametrize(
    ("line", "usual"),
    [
        ('pinion.slope = "3 deg"', math.radians(0.25)),
        ('bearing.1.up = "531 mm"', 0.002),
        ('bearing.1.aft = "2395 mm"', 0.003),
        ('gap = "45 mm"', 0.002),
    ],
)
def test_a_reading_without_a_spread_has_that_of_the_usual_tool(line: str, usual: float) -> None:
    # protractor to a quarter of a degree, tape to 2 mm up and 3 mm along: common practice, no
    # source
    found = read_readback(f"{NAMED}[on_the_wheels]\n{line}\n".encode(), "r.toml", truck())
    (reading,) = found.postures[0].readings
    assert reading.spread == pytest.approx(usual)
    assert found.assumed == {f"ride height: {line.partition(' =')[0]}"}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (BARE, 'format is missing; write format = "halfturn readings 1"'),
        (HEAD.replace("readings 1", "scene 1") + BARE, 'this program reads "halfturn readings 1"'),
        (HEAD.replace("11-20", "11-31") + BARE, "readings.toml:3: date is"),
        (HEAD.replace("2026-11-20", "20 Nov") + BARE, "write year, month and day"),
        (HEAD + '[on_the_wheels]\ngap = "45 mm"\n', "which one was built?  allowed: one-piece"),
        (HEAD + BARE.replace("two-p", "tow-p"), "did you mean two-piece"),
        (NAMED, 'nothing is read; write a reading, as in [on_the_wheels] gap = "45 ± 1 mm"'),
        (NAMED + "[on_the_wheels]\ngap = 45\n", 'on_the_wheels, gap is 45; say the unit'),
        (NAMED + '[on_the_wheels]\ngap = "45 kg"\n', "kg is the unit of"),
        (NAMED + '[on_the_wheels]\ngab = "45 mm"\n', "gab is not a known key; allowed: frame"),
        (NAMED + '[on_the_wheels]\nshaft.3.slope = "3 deg"\n', "shaft 3: shaft 1 to 2 can be read"),
        (NAMED + '[on_the_wheels]\nbearing.2.up = "5 mm"\n', "bearing 2: bearing 1 can be read"),
        (
            NAMED + '[on_the_wheels]\njoint.1.up = "5 mm"\n',
            "joint 1: joint 2 can be read here; the first joint is output",
        ),
        (NAMED + "[on_the_wheels]\nshaft.1.tube = 1\n", "shaft 1, tube is not a known key"),
        (
            NAMED + '[on_the_wheels]\noutput.slope = "3 deg to level"\n',
            'then the frame must be read too: frame.slope = "0.6 ± 0.1 deg"',
        ),
        (NAMED + '[on_the_wheels]\npinion.up = "1 mm"\npinion.down = "1 mm"\n', "keep one"),
        (NAMED + '[height.jacked]\ngap = "45 mm"\n', 'as in bump = "70 ± 3 mm", or name a height'),
        (
            NAMED + '[height.jacked]\nbump = "120 mm"\ngap = "45 mm"\n',
            "height “jacked”, bump is 120 mm; the axle goes to 95.0 mm at full bump",
        ),
        (
            NAMED + '[height.loaded]\nbump = "40 mm"\ngap = "45 mm"\n',
            "the scene says how far",
        ),
        (
            NAMED + '[height."full droop"]\ndroop = "9 mm"\ngap = "45 mm"\n',
            "give it a name of its own",
        ),
        ("format = 1\nwho = [1]\n", "who is a list"),
    ],
)  # fmt: skip
def test_bad_readings_are_refused_by_file_line_part_and_what_is_allowed(
    text: str, words: str
) -> None:
    said = refused(text)
    assert words.replace("“", '"').replace("”", '"') in said
    assert said.startswith("readings.toml")


def test_every_problem_is_told_at_once() -> None:
    said = refused(NAMED + '[on_the_wheels]\ngap = "x"\noutput.slop = "3 deg"\n')
    assert "readings.toml:6: on_the_wheels, gap" in said
    assert "readings.toml:7: on_the_wheels, output.slop" in said


def test_an_axle_that_does_not_move_is_read_on_the_wheels_only() -> None:
    scene = load_scene("scenes/courier_estate_car.toml")
    name = scene.configurations[0].name
    text = HEAD + f'configuration = "{name}"\n[at_full_droop]\npinion.slope = "1 deg"\n'
    with pytest.raises(SceneError, match="the axle of this scene does not move"):
        read_readback(text.encode(), "r.toml", scene)


def test_the_configuration_that_was_built_must_be_told_once() -> None:
    with pytest.raises(DomainError, match="which one was built"):
        chosen_configuration(truck(), None)
    with pytest.raises(SceneError, match='--only asks for "one-piece"; keep one'):
        read_readback((HEAD + BARE).encode(), "r.toml", truck(), "one-piece")
    assert chosen_configuration(truck(), "one-piece").name == "one-piece"
