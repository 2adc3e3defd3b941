"""Levers and lines: what a change says is what its lines give, in the file and in the model."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from random_vehicles import random_scene
from scene_lines import with_lines

from sim import units
from sim.explore.cures_changes import BEARING, PINION, PUT_RIGHT, levers_of, signed
from sim.explore.cures_lines import amount, carried_out, lines, replaced
from sim.scene.parts import Design, Scene
from sim.scene.reader import load_scene, read_scene

SCENES = Path(__file__).parents[1] / "scenes"
MM, INCH, DEG = 1e-3, 25.4e-3, math.pi / 180


def scene_of(text: str) -> Scene:
    return read_scene(text.encode())


def design_of(text: str, name: str) -> Design:
    design = scene_of(text).configuration(name).design
    assert design is not None
    return design


def shipped(name: str, configuration: str) -> Design:
    design = load_scene(SCENES / f"{name}.toml").configuration(configuration).design
    assert design is not None
    return design


def without_brace(name: str, configuration: str) -> Design:
    """Return a shipped design of which nobody wrote where its bearing may hang."""
    text = (SCENES / f"{name}.toml").read_text("utf-8")
    return design_of(re.sub(r"\[brace.*?(?=\[left_rail)", "", text, flags=re.DOTALL), configuration)


def changes(design: Design) -> list[tuple[str, dict[str, float]]]:
    """Return the words and values of the farthest steps of every lever, to both sides."""
    found = []
    for lever in levers_of(design):
        for k in {len(lever.says) - 1, max(len(lever.says) - 2, 0)}:
            found.append((lever.says[k], {p: float(v[k]) for p, v in lever.values.items()}))
    return found


def assert_same(one: Design, other: Design) -> None:
    """Assert that two designs have the same values, ± and words, and the same structure."""
    assert one.structure == other.structure
    assert one.values.keys() == other.values.keys()
    for path, value in one.values.items():
        assert value == other.values[path], path
    written = [
        {p: (r.text, r.value, r.spread, r.status) for p, r in d.readings.items()}
        for d in (one, other)
    ]
    assert written[0] == written[1]


@pytest.mark.parametrize("seed", range(8, 64, 7))
def test_lines_in_the_file_give_the_design_that_was_tried(seed: int) -> None:
    text = random_scene(seed)
    design = design_of(text, "only")
    for _, values in changes(design):
        said = lines(design, values)
        assert_same(design_of(with_lines(text, "only", said), "only"), carried_out(design, said))


@pytest.mark.parametrize("path", sorted(SCENES.glob("*.toml")), ids=lambda path: path.stem)
def test_every_change_can_be_written_into_a_shipped_scene(path: Path) -> None:
    text = path.read_text("utf-8")
    for configuration in scene_of(text).configurations[-1:]:
        assert configuration.design is not None
        for _, values in changes(configuration.design):
            said = lines(configuration.design, values)
            changed = design_of(with_lines(text, configuration.name, said), configuration.name)
            assert_same(changed, carried_out(configuration.design, said))


def number_in(words: str, pattern: str) -> float:
    """Return a number that stands in words; a tape fraction is added up."""
    found = re.search(pattern, words)
    assert found, words
    whole, _, part = found[1].rpartition("-")
    above, _, below = part.partition("/")
    return float(whole or 0) + float(above) / float(below or 1)


def test_a_bearing_is_hung_in_whole_millimeters_and_its_words_say_where() -> None:
    design = without_brace("orchard_service_truck", "two-piece")  # read at 531 mm
    lever = next(one for one in levers_of(design) if "bearing.1.up" in one.values)
    assert lever.work == BEARING
    heights = lever.values["bearing.1.up"]
    assert np.allclose(heights / MM, np.rint(heights / MM), atol=1e-9)
    assert sorted(set(np.rint(heights / MM).astype(int))) == sorted({*range(491, 572)} - {531})
    for height, says in zip(heights, lever.says, strict=True):
        far = round(height / MM) - 531
        assert says == (
            f"hang bearing 1 at {531 + far} mm, {abs(far)} mm {'higher' if far > 0 else 'lower'}"
        )
    assert [abs(round(height / MM) - 531) for height in heights] == sorted(
        abs(round(height / MM) - 531) for height in heights
    )


def test_a_bearing_is_hung_where_its_brace_takes_it() -> None:
    """Rows 12 mm apart from 492 mm to 564 mm, lowered by shims of 1, 2 and 5 mm, one of each."""
    design = shipped("orchard_service_truck", "two-piece")  # read at 2395 mm aft, 531 mm up
    levers = {next(iter(one.values)): one for one in levers_of(design)}
    shims = {a + b + c for a in (0, 1) for b in (0, 2) for c in (0, 5)}
    there = {row - low for row in range(492, 565, 12) for low in shims} & set(range(492, 565))
    up = {round(height / MM) for height in levers["bearing.1.up"].values["bearing.1.up"]}
    assert up == there & set(range(491, 572))
    assert 512 not in up  # between rows 504 and 516: no shims of 4 mm
    aside = levers["bearing.1.right"].values["bearing.1.right"] / MM
    assert (aside.min(), aside.max()) == pytest.approx((-15, 15))  # its slot
    aft = levers["bearing.1.aft"].values["bearing.1.aft"] / MM
    assert (aft.min(), aft.max()) == pytest.approx((2300, 2490))  # 100 mm, all of it free
    tried = "bearing 1 (where its brace takes it, to 40 mm, 100 mm along)"
    assert {levers[f"bearing.1.{key}"].tried for key in ("up", "right", "aft")} == {tried}


def test_holes_along_the_frame_and_the_end_of_the_space_bound_a_bearing() -> None:
    text = (SCENES / "orchard_service_truck.toml").read_text("utf-8")
    drilled = text.replace('row_pitch = "12 mm"', 'row_pitch = "12 mm"\nhole_pitch = "40 mm"')
    near = drilled.replace('to = { aft = "2660 mm"', 'to = { aft = "2450 mm"')
    levers = {next(iter(one.values)): one for one in levers_of(design_of(near, "two-piece"))}
    aft = levers["bearing.1.aft"].values["bearing.1.aft"] / MM
    # holes 40 mm apart from 2200 mm, 100 mm either way of 2395 mm, none beyond 2450 mm
    assert sorted(np.rint(aft).astype(int)) == [2320, 2360, 2400, 2440]


def test_an_inch_scene_is_told_in_tape_fractions() -> None:
    design = shipped("lowered_street_van", "two-piece")  # read at 14 in
    lever = next(one for one in levers_of(design) if "bearing.1.up" in one.values)
    thirty_seconds = lever.values["bearing.1.up"] / INCH * 32
    assert np.allclose(thirty_seconds, np.rint(thirty_seconds), atol=1e-9)
    for height, says in zip(lever.values["bearing.1.up"], lever.says, strict=True):
        assert number_in(says, r"at ([\d/-]+) in,") == pytest.approx(height / INCH, abs=1e-9)
        assert number_in(says, r", ([\d/-]+) in ") == pytest.approx(abs(height / INCH - 14))
        assert says.endswith("higher" if height > 14 * INCH else "lower")
    said = lines(design, {"bearing.1.up": (13 + 27 / 32) * INCH})
    assert said == ('bearing.1.up = "13-27/32 ± 1/16 in"',)  # its ± stays


def test_a_computed_length_is_no_tape_reading() -> None:
    """25.4 mm to the inch: 500 mm are 19.685 in, on a tape of 32nds 19-11/16 in."""
    assert amount(units.LENGTH, 0.5, "in") == "19-11/16 in"
    assert amount(units.LENGTH, 0.5, "in", fine=True) == "19.685 in"


def test_a_metric_spread_stays_decimal() -> None:
    text = (SCENES / "orchard_service_truck.toml").read_text("utf-8")
    design = design_of(text.replace('"531 ± 3 mm"', '"531 ± 2.5 mm"'), "two-piece")
    said = lines(design, {"bearing.1.up": 0.534})
    assert said == ('bearing.1.up = "534 ± 2.5 mm"',)


@pytest.mark.parametrize(
    ("scene", "name", "bearing"),
    [
        ("orchard_service_truck", "two-piece", "bearing 1 (to 40 mm, 100 mm along)"),
        # 40 / 25.4 = 1.575 and 100 / 25.4 = 3.937 in, to the nearest 1/32: 50.4 and 126.0 of them
        ("lowered_street_van", "two-piece", "bearing 1 (to 1-9/16 in, 3-15/16 in along)"),
    ],
)
def test_how_far_a_bearing_and_the_pinion_were_tried_is_what_is_said(
    scene: str, name: str, bearing: str
) -> None:
    """Nothing found within reach is not nothing to be found."""
    levers = {next(iter(one.values)): one for one in levers_of(without_brace(scene, name))}
    for key, reach in (("up", 40.0), ("right", 40.0), ("aft", 100.0)):
        lever = levers[f"bearing.1.{key}"]
        assert lever.tried == bearing
        assert reach - 10.0 < lever.size.max() <= reach + 0.01
    wedge = levers["pinion.nose_up"]
    assert wedge.tried == "the pinion (to 4 deg)"
    assert 3.5 <= math.degrees(np.abs(wedge.values["pinion.nose_up"]).max()) <= 4.01


@pytest.mark.parametrize(
    ("scene", "name", "says"),
    [
        ("orchard_service_truck", "two-piece", "wedge the pinion 0.5 deg nose up"),
        ("courier_estate_car", "as-hung", "shim the final drive 0.5 deg nose up"),
    ],
)
def test_a_pinion_is_wedged_and_a_final_drive_shimmed_but_not_where_other_heights_were_read(
    scene: str, name: str, says: str
) -> None:
    design = shipped(scene, name)
    (lever,) = (one for one in levers_of(design) if one.tried.startswith("the pinion"))
    assert says in lever.says
    read = replace(design, structure=replace(design.structure, suspension="measured", braces={}))
    assert not [one for one in levers_of(read) if one.tried.startswith("the pinion")]


def test_a_wedge_turns_by_halves_of_a_degree_and_is_written_the_way_it_points() -> None:
    design = shipped("orchard_service_truck", "two-piece-wedged")  # 1.5 deg nose up
    lever = next(one for one in levers_of(design) if one.work == PINION)
    turns = lever.values["pinion.nose_up"] / DEG
    assert np.allclose(turns * 2, np.rint(turns * 2), atol=1e-9)
    for turn, says in zip(turns, lever.says, strict=True):
        said = lines(design, {"pinion.nose_up": float(turn * DEG)})
        word = "up" if turn >= 0 else "down"
        assert said == (f'pinion.nose_{word} = "{abs(turn):.1f} deg"'.replace(".0 deg", " deg"),)
        if turn:
            assert f"{abs(turn):.1f} deg nose {word}" in says


@pytest.mark.parametrize(
    ("turn", "line", "told"),
    [
        (0.0, 'pinion.nose_down = "0 ± 0.2 deg"', []),
        (-1.0, 'pinion.nose_down = "1 ± 0.2 deg"', []),
        (
            1.0,
            'pinion.nose_up = "1 ± 0.2 deg"',
            ["pinion.nose_up in place of pinion.nose_down"],
        ),
    ],
)
def test_a_change_is_written_in_the_word_of_the_scene(
    turn: float, line: str, told: list[str]
) -> None:
    text = (SCENES / "mistakes" / "sound_leaf_truck.toml").read_text("utf-8")
    down = text.replace('nose_up = "1.5 ± 0.2 deg"', 'nose_down = "2 ± 0.2 deg"')
    design = design_of(down, "two-piece")
    said = lines(design, {"pinion.nose_up": turn * DEG})
    assert said == (line,)
    assert replaced(design, said) == told
    word, _, value = line.removeprefix("pinion.").partition(" = ")
    written = down.replace('nose_down = "2 ± 0.2 deg"', f"{word} = {value}")  # that row only
    changed = design_of(written, "two-piece")
    assert signed(changed, "pinion.nose_up") == pytest.approx(turn * DEG, abs=1e-12)


def test_less_speed_is_offered_only_near_what_was_wished() -> None:
    design = shipped("orchard_service_truck", "two-piece")  # top speed 155 km/h
    lever = next(one for one in levers_of(design) if "vehicle.top_speed" in one.values)
    offered = lever.values["vehicle.top_speed"] * 3.6
    # at most three tenths less, in steps of 5 km/h, the largest first: 0.7 of 155 is 108.5
    assert offered == pytest.approx(np.arange(150, 109, -5))
    assert lever.says[-1] == "keep to 110 km/h"


def test_stops_leave_a_centimeter_of_travel_in_steps_of_five_millimeters() -> None:
    """Common practice, no source; the leaf truck's axle comes up by 28 mm here."""
    text = (SCENES / "mistakes" / "sound_leaf_truck.toml").read_text("utf-8")
    design = design_of(text, "two-piece").vary({"travel.bump": 0.028})
    lever = next(one for one in levers_of(design) if "travel.bump" in one.values)
    assert lever.values["travel.bump"] == pytest.approx([0.025, 0.020, 0.015, 0.010])
    assert (lever.tried, lever.says[-1]) == ("less travel", "limit the bump to 10 mm")
    assert lever.limits_use


def test_a_tube_of_the_same_wall_keeps_a_bore_of_more_than_half() -> None:
    """Stock from 2-1/2 to 5 in: from memory.  A wall of 18 mm leaves too little of 2-1/2 in."""
    text = (SCENES / "mistakes" / "sound_leaf_truck.toml").read_text("utf-8")
    for wall, inches in ((2.1, (2.5, 3.5, 4, 4.5, 5)), (18.0, (3.5, 4, 4.5, 5))):
        design = design_of(text, "two-piece").vary({"shaft.1.tube.wall": wall * MM})
        path = "shaft.1.tube.outside"  # 3 in, as it is
        lever = next(one for one in levers_of(design) if path in one.values)
        assert sorted(lever.values[path]) == pytest.approx([25.4 * MM * inch for inch in inches])


def test_a_shaft_cut_shorter_gains_gap_and_loses_engagement() -> None:
    design = shipped("orchard_service_truck", "two-piece")  # gap 45 mm, engaged 85 mm
    lever = next(one for one in levers_of(design) if len(one.values) == 2)
    for k, says in enumerate(lever.says):
        more = round((lever.values["spline.gap"][k] - 0.045) / MM)
        assert says == f"cut shaft 2 {'shorter' if more > 0 else 'longer'} by {abs(more)} mm"
        assert lever.values["spline.engaged"][k] == pytest.approx(0.085 - more * MM)


def test_what_was_put_together_wrong_comes_first() -> None:
    text = (SCENES / "mistakes" / "tooth_off_in_the_rear_spline.toml").read_text("utf-8")
    first = levers_of(design_of(text, "two-piece"))[0]
    assert (first.tried, first.work) == ("the marks", PUT_RIGHT)
    works = [lever.work for lever in levers_of(design_of(text, "two-piece"))]
    assert works == sorted(works)


def test_shafts_that_are_cut_already_are_not_cut_again() -> None:
    design = shipped("courier_estate_car", "shimmed")
    paths = {path for lever in levers_of(design) for path in lever.values}
    assert not any(path.startswith(("spline.", "shaft.")) for path in paths)
    assert "bearing.1.up" in paths


def test_what_a_bearing_carries_is_read_again() -> None:
    text = random_scene(20)
    design = design_of(text, "only")
    assert "shaft.1.slope" in design.readings
    up = signed(design, "bearing.1.up") + 0.01
    _, again = lines(design, {"bearing.1.up": up})
    # The front of shaft 1 stays: raised at the bearing, far behind, it slopes less by 10 mm over
    # the distance.
    far = design.values["bearing.1.aft"] - design.values["output.aft"]
    slope = float(again.partition('"')[2].partition(" ")[0])
    drop = math.degrees(
        math.atan2(design.values["output.up"] - up, far)
        - math.atan2(design.values["output.up"] - up + 0.01, far)
    )
    assert again.startswith('shaft.1.slope = "')
    assert slope - math.degrees(design.values["shaft.1.slope"]) == pytest.approx(drop, abs=0.006)


@pytest.mark.parametrize("name", ["lowered_street_van", "long_three_piece_chassis"])
def test_no_number_of_a_part_runs_into_a_length(name: str) -> None:
    """As "shaft 1 5/16 in" would: a tape reads it as 1-5/16 in."""
    scene = load_scene(SCENES / f"{name}.toml")
    said = [s for c in scene.configurations for lever in levers_of(c.design) for s in lever.says]
    assert len(said) > 100
    assert not [words for words in said if re.search(r"(shaft|bearing|joint) \d+ [\d-]", words)]


def test_a_traction_bar_is_tried_in_round_numbers_of_the_scene() -> None:
    text = (SCENES / "orchard_service_truck.toml").read_text("utf-8")
    assert bars_said(text) == [f"{n} N m/deg" for n in (400, 800, 1600, 3200)]
    inch = re.sub(r'(\[pinion\].*?aft = )"([\d.]+)([^"]*?)mm"', in_inches, text, flags=re.DOTALL)
    assert bars_said(inch) == [f"{n} lbf ft/deg" for n in (300, 600, 1200, 2400)]


def in_inches(found: re.Match[str]) -> str:
    """Return the same place in inches, which says how the scene is read."""
    return f'{found[1]}"{float(found[2]) / 25.4:.3f} in"'


def bars_said(text: str) -> list[str]:
    """Return the traction bars that are tried on the one-piece."""
    levers = levers_of(design_of(text, "one-piece"))
    (bar,) = (lever for lever in levers if lever.tried == "a traction bar")
    for k, says in enumerate(bar.says):
        number, unit = says.removeprefix("fit a traction bar of ").split(" ", 1)
        factor = units.factor(units.WIND_UP, unit)
        assert bar.values["suspension.wrap_control"][k] == pytest.approx(float(number) * factor)
    return [says.removeprefix("fit a traction bar of ") for says in bar.says]
