"""Windows of the readings after the work: their ends carried out, and computed by hand."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import pytest

from sim.explore.allowed import Allowed, allowed
from sim.explore.allowed_rooms import Room, adjustments_of
from sim.explore.evaluate import evaluate
from sim.explore.judged import judged
from sim.judge.rules import load_rules
from sim.scene.parts import Configuration, Design
from sim.scene.reader import load_scene

SCENES = Path(__file__).parent.parent / "scenes"
TRUCK, VAN = SCENES / "orchard_service_truck.toml", SCENES / "lowered_street_van.toml"
RAISED = 'bearing.1.up = "14-1/32 in"'
CLOSE = 'obstacle."frame crossmember".least_clearance = "56 mm"'
BESIDE = 2e-5  # [m] and [rad]: how near to an end is looked at


@cache
def looked(scene: Path, name: str, *changes: str) -> tuple[Configuration, Allowed]:
    """Return a configuration of a scene and what its rule set leaves."""
    read = load_scene(scene, changes=changes, only=name)
    configuration, rules = read.configuration(name), load_rules(read.rules)
    numbers = judged(configuration, rules, as_read=True).measurements.numbers
    return configuration, allowed(configuration, rules, numbers)


def room_of(found: Allowed, name: str) -> Room:
    room = found.room(name)
    assert room is not None
    return room


def fails(scene: Path, name: str, *changes: str) -> bool:
    """Say whether anything fails once lines are written into a scene, by the path of a check."""
    read = load_scene(scene, changes=changes, only=name)
    return judged(read.configuration(name), load_rules(read.rules), as_read=True).findings.fails


def written(path: str, value: float) -> str:
    if path.startswith(("bearing", "spline")):
        return f'{path} = "{1e3 * value:.5f} mm"'
    return f'{path} = "{math.degrees(value):.6f} deg"'


CASES = [
    (TRUCK, "two-piece-wedged", (), "bearing 1 up", {"bearing.1.up": 0.521}),
    (TRUCK, "two-piece-wedged", (), "pinion", {"pinion.nose_up": math.radians(1.5)}),
    (TRUCK, "two-piece-wedged", (), "spline", {"spline.gap": 0.045, "spline.engaged": 0.085}),
    (TRUCK, "two-piece-wedged", (CLOSE,), "bearing 1 up", {"bearing.1.up": 0.521}),
    (VAN, "two-piece", (RAISED,), "bearing 1 up", {"bearing.1.up": 14.03125 * 0.0254}),
]


@pytest.mark.parametrize(("scene", "name", "changes", "adjusted", "values"), CASES)
def test_ends_of_a_room_hold_when_carried_out_and_what_is_beyond_fails(
    scene: Path, name: str, changes: tuple[str, ...], adjusted: str, values: dict[str, float]
) -> None:
    _, found = looked(scene, name, *changes)
    room = room_of(found, adjusted)
    others = [line for line in changes if not line.startswith(tuple(values))]
    for end, way in ((room.low, -1), (room.high, 1))[bool(changes and scene == TRUCK) :]:
        for by, expected in ((end - way * BESIDE, False), (end + way * BESIDE, True)):
            lines = [
                written(path, value + (by if path != "spline.engaged" else -by))
                for path, value in values.items()
            ]
            assert fails(scene, name, *others, *lines) is expected, (lines, room)


def test_a_limit_of_the_shop_on_clearance_narrows_the_room() -> None:
    free = room_of(looked(TRUCK, "two-piece-wedged")[1], "bearing 1 up")
    close = room_of(looked(TRUCK, "two-piece-wedged", CLOSE)[1], "bearing 1 up")
    assert 0 < close.high < free.high - 1e-3
    assert "frame crossmember" in close.above
    assert close.low == pytest.approx(free.low, abs=1e-6)


def test_slopes_are_those_of_the_places_by_hand() -> None:
    """Places of the scene: joint 1 at 1745, 568, bearing at 2395, 521 mm; a wedge of 1.5 deg."""
    _, found = looked(TRUCK, "two-piece-wedged")
    ride = {reading.what: reading for reading in found.at("ride height")}
    up, wedge = room_of(found, "bearing 1 up"), room_of(found, "pinion")

    def slope(height: float) -> float:
        return math.atan2(0.568 - height, 2.395 - 1.745)

    assert ride["output"].value == pytest.approx(math.radians(3.0), abs=1e-9)
    shaft = ride["shaft 1"]
    assert (shaft.low, shaft.value, shaft.high) == pytest.approx(
        (slope(0.521 + up.high), slope(0.521), slope(0.521 + up.low)), abs=1e-6
    )
    pinion = ride["pinion"]
    assert (pinion.low, pinion.value, pinion.high) == pytest.approx(
        [math.radians(4.5) + by for by in (wedge.low, 0.0, wedge.high)], abs=1e-6
    )
    spline = room_of(found, "spline")
    gap = ride["gap"]
    assert (gap.low, gap.value, gap.high) == pytest.approx(
        [0.045 + by for by in (spline.low, 0.0, spline.high)], abs=1e-6
    )


def test_bands_are_those_of_the_readings() -> None:
    """The output was read within 0.25 deg, the gap within 2 mm; a half band is that ±."""
    ride = {
        reading.what: reading for reading in looked(TRUCK, "two-piece-wedged")[1].at("ride height")
    }
    assert ride["output"].band == pytest.approx(math.radians(0.25), rel=0.01)
    assert ride["gap"].band == pytest.approx(0.002, rel=0.01)
    across = math.hypot(0.002, 0.003) / 0.650  # of both heights over the length between them
    assert ride["shaft 1"].band == pytest.approx(across * math.cos(0.072), rel=0.05)


def test_along_cut_shafts_a_bracket_only_draws_its_rubber() -> None:
    """At most 10 mm: common practice, no source."""
    aft = room_of(looked(TRUCK, "two-piece-wedged")[1], "bearing 1 aft")
    assert (aft.low, aft.high) == (-0.010, 0.010)
    assert "rubber" in aft.below
    assert "rubber" in aft.above


def test_nothing_is_left_of_what_fails_as_designed() -> None:
    found = looked(SCENES / "mistakes" / "bearing_hung_far_too_high.toml", "two-piece")[1]
    up = room_of(found, "bearing 1 up")
    assert (up.low, up.high) == (0.0, 0.0)
    assert up.below == up.above != ""


def test_a_shaft_is_moved_by_the_bearing_behind_it_and_the_last_one_by_the_last(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def still(design: Design, rules: object, numbers: object) -> tuple[Room, ...]:
        return tuple(
            Room(adjustment=one, low=-1e-3, high=2e-3, below="low", above="high")
            for one in adjustments_of(design)
        )

    monkeypatch.setattr("sim.explore.allowed.rooms_of", still)
    read = load_scene(SCENES / "long_three_piece_chassis.toml")
    configuration, rules = read.configuration("three-piece"), load_rules(read.rules)
    numbers = evaluate(configuration.design)
    ride = {one.what: one for one in allowed(configuration, rules, numbers).at("ride height")}
    assert {what: one.moved_by for what, one in ride.items()} == {
        "output": "output",
        "shaft 1": "bearing 1 up",
        "shaft 2": "bearing 2 up",
        "shaft 3": "bearing 2 up",
        "pinion": "pinion",
        "gap": "spline",
    }
    # a bearing that hangs higher lets the shaft ahead of it slope less, the last one more
    assert (ride["shaft 1"].below, ride["shaft 1"].above) == ("high", "low")
    assert (ride["shaft 3"].below, ride["shaft 3"].above) == ("low", "high")


def test_heights_that_are_not_reached_have_no_readings() -> None:
    still = looked(SCENES / "courier_estate_car.toml", "shimmed")[1]
    assert {reading.height for reading in still.readings} <= {"ride height", "full droop"}
