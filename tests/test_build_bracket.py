"""Where the bracket belongs, as a tape finds it: every length against the scene's own places."""

from __future__ import annotations

from pathlib import Path

import pytest

from sim.explore.allowed import Allowed
from sim.explore.allowed_rooms import Room, adjustments_of
from sim.scene.parts import Configuration
from sim.scene.reader import load_scene, read_scene
from sim.show.paper.build_bracket import Measure, bracket_measures

SCENES = Path(__file__).parent.parent / "scenes"
ROOMS = {"up": (-0.002, 0.005), "aft": (-0.010, 0.030), "right": (-0.004, 0.006)}


def configuration(scene: str, name: str, *changes: str) -> Configuration:
    return load_scene(SCENES / f"{scene}.toml", changes=changes, only=name).configuration(name)


def measures(of: Configuration, number: int = 1) -> dict[str, Measure]:
    """Return what a tape finds, by its words, with rooms made by hand."""
    assert of.design is not None
    rooms = []
    for one in adjustments_of(of.design):
        low, high = ROOMS.get(one.name.split()[-1], (0.0, 0.0))
        rooms.append(Room(adjustment=one, low=low, high=high, below="a", above="b"))
    found = Allowed(rooms=tuple(rooms), readings=())
    return {one.what: one for one in bracket_measures(of, number, found, "metric")}


def in_mm(one: Measure) -> float:
    return round(1e3 * one.length, 6)


def test_lengths_and_windows_of_the_demo_truck() -> None:
    """Bearing 2395 aft, 10 right, 521 up; rails 430 out, from 636 up; crossmember from 2700."""
    found = measures(
        configuration("orchard_service_truck", "two-piece-wedged", 'bearing.1.right = "10 mm"')
    )
    expected = {
        "Foot, ahead of the front face of the frame crossmember": (305, "275 to 315"),
        "Foot, aft of the datum": (2395, "2385 to 2425"),
        "Foot, above the rail's bottom edge": (90, ""),  # bolted on, whatever row is taken
        "Bearing, below the rail's bottom edge": (115, "110 to 117"),
        "Bearing, from the left rail's outer face": (440, "436 to 446"),
        "Bearing, from the right rail's outer face": (420, "414 to 424"),
    }
    assert {what: (in_mm(one), one.may) for what, one in found.items()} == expected
    assert found["Bearing, from the left rail's outer face"].sides == ("left",)
    assert found["Bearing, from the right rail's outer face"].sides == ("right",)
    assert found["Foot, aft of the datum"].sides == ("left", "right")


def test_behind_the_cross_part_its_rear_face_is_the_hook() -> None:
    """Crossmember from 2700 to 2760; a bearing at 2800 hangs 40 behind it."""
    found = measures(
        configuration("orchard_service_truck", "two-piece-wedged", 'bearing.1.aft = "2800 mm"')
    )
    one = found["Foot, behind the rear face of the frame crossmember"]
    assert (in_mm(one), one.may) == (40, "30 to 70")


def test_rails_of_two_heights_are_told_apart() -> None:
    """The van's rails stand 12 in up, its bearing at 14, the foot 1/4 in above that."""
    line = 'right_rail = {apart = "16 in", up = "12-1/2 in", height = "4-1/2 in", '
    line += 'flange = "2-1/4 in", thickness = "1/8 in"}'
    text = (SCENES / "lowered_street_van.toml").read_text(encoding="utf-8")
    changed = text.replace("[left_rail]", f"[right_rail]\n{_lines(line)}\n[left_rail]", 1)
    scene = read_scene(changed.encode("utf-8"))
    found = measures(scene.configuration("two-piece"))
    inches = {what: round(one.length / 0.0254, 6) for what, one in found.items()}
    assert inches["Bearing, above the left rail's bottom edge"] == 2
    assert inches["Bearing, above the right rail's bottom edge"] == 1.5
    assert inches["Foot, above the left rail's bottom edge"] == 2.25
    assert inches["Bearing, from the left rail's outer face"] == 15.5
    assert inches["Bearing, from the right rail's outer face"] == 16


def _lines(table: str) -> str:
    """Return an inline table as lines."""
    inside = table.partition("{")[2].rstrip("}")
    return "\n".join(part.strip() for part in inside.split(", "))


@pytest.mark.parametrize(("number", "aft"), [(1, 2636), (2, 3935)])
def test_without_rails_the_hook_gives_the_height(number: int, aft: float) -> None:
    of = configuration("long_three_piece_chassis", "three-piece")
    found = measures(of, number)
    assert in_mm(found[f"Bearing {number}, aft of the datum"]) == aft
    part = next(o for o in of.obstacles if o.name == "third crossmember")
    edge = min(float(part.start[2]), float(part.end[2]))
    height = float(of.bearings[number - 1].point[2])
    below = found[f"Bearing {number}, below the lower edge of the third crossmember"]
    assert in_mm(below) == pytest.approx(1e3 * (edge - height))


@pytest.mark.parametrize("scene", ["orchard_service_truck", "lowered_street_van"])
def test_a_bracket_stands_no_farther_off_than_the_readings_may_say_later(scene: str) -> None:
    """The shafts are cut: 10 mm of rubber (common practice, no source) are all that there is."""
    of = next(c for c in load_scene(SCENES / f"{scene}.toml").configurations if c.bearings)
    assert of.design is not None
    (aft,) = (one for one in adjustments_of(of.design) if one.name == "bearing 1 aft")
    assert 0.0 < aft.back == aft.forth <= 0.010
