"""Whole scene files: what stands in them, how configurations inherit, what is read back."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

import pytest

from sim.errors import SceneError
from sim.scene.parts import Configuration, Scene
from sim.scene.reader import load_scene, read_scene

SCENES = Path(__file__).parent.parent / "scenes"
ORCHARD = (SCENES / "orchard_service_truck.toml").read_text(encoding="utf-8")
COMPARED = 'compare = "one-piece, two-piece-chosen"\n'


def read(*edits: tuple[str, str], more: str = "") -> Scene:
    """Read the orchard truck with edits."""
    text = ORCHARD
    for old, new in edits:
        assert old in text
        text = text.replace(old, new, 1)
    return read_scene((text + more).encode(), "orchard.toml")


def test_the_head_of_a_scene_is_kept_as_written() -> None:
    scene = load_scene(SCENES / "orchard_service_truck.toml")
    assert scene.name == "orchard_service_truck"
    assert scene.title == "Orchard service truck"
    assert (scene.display, scene.rules) == ("metric", "chassis conversion")
    assert scene.datum.startswith("aft of the front wheel center")
    names = ["one-piece", "two-piece", "two-piece-chosen", "two-piece-wedged"]
    assert [c.name for c in scene.configurations] == names
    assert scene.compared == ("one-piece", "two-piece-chosen")
    assert scene.digest == hashlib.sha256(ORCHARD.encode()).hexdigest()
    assert scene.text == ORCHARD
    assert scene.doubts == ()


def test_the_name_of_a_scene_makes_a_plain_folder() -> None:
    assert read_scene(ORCHARD.encode(), "Müller's truck (2).toml").name == "M_ller_s_truck_2"
    assert read_scene(ORCHARD.encode(), "….toml").name == "scene"


def test_windows_line_ends_and_a_byte_order_mark_change_nothing() -> None:
    raw = b"\xef\xbb\xbf" + ORCHARD.replace("\n", "\r\n").encode()
    assert read_scene(raw).configuration("one-piece").vehicle.axle_ratio == 4.1


def test_the_scene_names_the_configurations_of_the_film() -> None:
    edit = (COMPARED, 'compare = "two-piece,  one-piece"\n')
    assert read(edit).compared == ("two-piece", "one-piece")


def test_a_single_configuration_is_compared_with_itself() -> None:
    alone = ORCHARD[: ORCHARD.index("[configuration.two-piece]")].replace(COMPARED, "")
    alone = alone.replace('felt_in = "two-piece"\n', "")
    assert read_scene(alone.encode()).compared == ("one-piece", "one-piece")
    assert read((COMPARED, "")).compared == ("one-piece", "two-piece")


def test_names_of_configurations_may_hold_commas() -> None:
    more = '\n[configuration."low, wedged"]\nlike = "two-piece"\nbearing.1.up = "515 mm"\n'
    edit = (COMPARED, 'compare = "low, wedged, one-piece"\n')
    assert read(edit, more=more).compared == ("low, wedged", "one-piece")


def test_a_scene_may_name_a_rule_file_beside_it(tmp_path: Path) -> None:
    scene, rules = tmp_path / "scene.toml", tmp_path / "shop.toml"
    rules.write_text('[set."our shop"]\n')
    for name in ("shop.toml: our shop", "shop.toml"):
        scene.write_text(ORCHARD.replace('"chassis conversion"', f'"{name}"'))
        found = load_scene(scene)
        assert (found.rules, found.folder) == (name, tmp_path)
    for name, said in (
        ("shop.toml: our shap", "allowed: our shop; did you mean our shop?"),
        ("../shop.toml: our shop", "its name alone, without a path"),
        ("gone.toml: our shop", "gone.toml: cannot be read: no such file"),
        ("our shop", 'or a file of your own: "shop.toml: our shop"'),
    ):
        scene.write_text(ORCHARD.replace('"chassis conversion"', f'"{name}"'))
        with pytest.raises(SceneError, match=re.escape(said)):
            load_scene(scene)
    rules.write_text("")
    scene.write_text(ORCHARD.replace('"chassis conversion"', '"shop.toml"'))
    with pytest.raises(SceneError, match=r"there is no rule set in shop\.toml"):
        load_scene(scene)


def test_rule_sets_may_come_from_the_caller() -> None:
    edit = ('rules = "chassis conversion"', 'rules = "our shop"')
    with pytest.raises(
        SceneError, match="allowed: two-piece service, general light service, heavy truck, "
    ):
        read(edit)
    text = ORCHARD.replace(*edit)
    assert read_scene(text.encode(), rule_sets=("our shop",)).rules == "our shop"


def test_a_configuration_says_only_what_differs() -> None:
    scene = read()
    two, wedged = scene.configuration("two-piece"), scene.configuration("two-piece-wedged")
    assert wedged.bearings[0].point[2] == pytest.approx(0.521)
    assert wedged.bearings[0].point[0] == two.bearings[0].point[0]
    assert wedged.spline == two.spline
    assert wedged.about == "Bearing 10 mm lower, pinion on a wedge"
    assert set(wedged.differences) == {
        "bearing 1, up 521 ± 3 mm (was 531 ± 3 mm)",
        "pinion.nose_up 1.5 deg",
    }
    assert two.differences == ()
    assert (wedged.like, two.like) == ("two-piece", "")


def test_what_a_configuration_writes_over_the_shared_part_is_read_back() -> None:
    more = '\n[configuration.loaded]\nlike = "one-piece"\n[configuration.loaded.travel]\n'
    scene = read(more=more + 'bump = "60 mm"\n')
    loaded = scene.configuration("loaded")
    assert loaded.differences == ("travel.bump 60 mm (was 95 ± 8 mm)",)
    assert loaded.travel is not None
    assert (loaded.travel.droop, loaded.travel.bump) == (0.110, 0.060)
    shared = read(
        (
            'shaft.1.tube = { outside = "101.6',
            'vehicle.top_speed = "120 km/h"\nshaft.1.tube = { outside = "101.6',
        )
    )
    assert shared.configuration("one-piece").differences == (
        "vehicle.top_speed 120 km/h (was 155 km/h)",
    )


def test_one_word_of_a_pair_takes_out_the_other() -> None:
    more = '\n[configuration.other]\nlike = "two-piece"\npinion.left = "15 mm"\n'
    other = read(more=more).configuration("other")
    assert other.pinion.point[1] == pytest.approx(-0.015)
    assert set(other.differences) == {
        "pinion.left 15 mm",
        "pinion.right taken out (was 20 ± 2 mm)",
    }


def test_shafts_already_cut_keep_the_configuration_they_were_cut_for() -> None:
    more = '\n[configuration.landed]\nsame_shafts_as = "two-piece"\nbearing.1.up = "528 mm"\n'
    scene = read(more=more)
    cut_as = scene.configuration("landed").cut_as
    assert cut_as.design is scene.configuration("two-piece").design
    assert cut_as.bearings[0].point[2] == pytest.approx(0.531)
    assert scene.configuration("two-piece").cut_as is None


def test_shafts_already_cut_may_be_named_before_they_are_described() -> None:
    head, two = ORCHARD.split("[configuration.two-piece]\n")
    landed = '[configuration.landed]\nsame_shafts_as = "two-piece"\nbearing.1.up = "528 mm"\n\n'
    scene = read_scene((head + landed + "[configuration.two-piece]\n" + two).encode())
    assert [c.name for c in scene.configurations][1] == "landed"
    cut_as = scene.configuration("landed").cut_as
    assert cut_as.design is scene.configuration("two-piece").design
    assert cut_as.bearings[0].point[2] == pytest.approx(0.531)


def test_a_shaft_length_that_agrees_with_the_places_is_kept() -> None:
    # Independent: hypot of the differences of the two joint places, by hand.
    placed = ((3643.6 - 1745) ** 2 + 20**2 + (568 - 378.1) ** 2) ** 0.5
    edit = (
        'shaft.1.tube = { outside = "101.6',
        f'shaft.1.length = "{placed + 2.5:.1f} mm"\nshaft.1.tube = {{ outside = "101.6',
    )
    assert read(edit).configuration("one-piece").shafts[0].length == pytest.approx(1.9107, abs=1e-4)
    tight = (edit[0], edit[1].replace(' mm"\n', ' ± 2 mm"\n'))
    with pytest.raises(SceneError, match=r"length is 1910\.7 ± 2 mm, but .* are 1908\.2 mm apart"):
        read(tight)


def test_a_shaft_length_does_not_hold_for_shafts_cut_anew() -> None:
    edit = (
        'shaft.1.tube = { outside = "88.9',
        'shaft.1.length = "766 mm"\nshaft.1.tube = { outside = "88.9',
    )
    more = '\n[configuration.further]\nlike = "two-piece"\nbearing.1.aft = "2500 mm"\n'
    scene = read(edit, more=more)
    assert scene.configuration("two-piece").shafts[0].length == pytest.approx(0.766)
    assert scene.configuration("further").shafts[0].length is None


def test_a_shaft_length_is_not_compared_for_shafts_already_cut() -> None:
    edit = (
        'shaft.1.tube = { outside = "88.9',
        'shaft.1.length = "766 mm"\nshaft.1.tube = { outside = "88.9',
    )
    more = '\n[configuration.landed]\nsame_shafts_as = "two-piece"\nbearing.1.aft = "2403 mm"\n'
    assert read(edit, more=more).configuration("landed").cut_as is not None


def test_four_readings_are_enough_for_ride_height() -> None:
    suspension = ORCHARD[ORCHARD.index("[suspension]") : ORCHARD.index('[obstacle."exhaust pipe"]')]
    one = read((suspension, "")).configuration("one-piece")
    assert one.suspension is None
    assert one.travel is None


def test_every_reading_keeps_its_line_and_where_it_came_from() -> None:
    lines = ORCHARD.splitlines()
    readings = read().configuration("two-piece-wedged").readings
    bearing = readings["bearing.1.up"]
    assert (bearing.status, bearing.text) == ("measured", "521 ± 3 mm")
    assert (bearing.value, bearing.spread) == pytest.approx((0.521, 0.003))
    assert lines[bearing.line - 1].startswith('bearing.1.up = "521')
    assert lines[readings["bearing.1.aft"].line - 1].startswith('aft = "2395')
    assert lines[readings["suspension.front_eye.up"].line - 1].startswith("front_eye")
    assert readings["output.plan_angle"].status == "assumed"
    assert readings["output.plan_angle"].line == 0
    assert readings["suspension.half_rates"].status == "derived"


@pytest.mark.parametrize("path", sorted(SCENES.glob("*.toml")), ids=lambda path: path.stem)
def test_every_shipped_scene_is_read_without_doubts(path: Path) -> None:
    scene = load_scene(path)
    assert scene.doubts == ()
    assert len(scene.configurations) >= 2
    assert all(isinstance(c, Configuration) for c in scene.configurations)


def test_a_configuration_that_is_not_there_is_named() -> None:
    with pytest.raises(ValueError, match='no configuration "three-piece"; there are: one-piece'):
        read().configuration("three-piece")


def test_an_inch_scene_is_spoken_to_in_inches() -> None:
    inch = ORCHARD.replace('display = "metric"', 'display = "inch"')
    readings = read_scene(inch.encode()).configuration("two-piece").readings
    texts = {path: reading.text for path, reading in readings.items() if not reading.line}
    assert not [text for text in texts.values() if re.search(r"\b(mm|km/h|N/mm|kg|N m)\b", text)]
    # 5 mm / 25.4; 80 N/mm and 60 % of it / 0.1751268 (1 lbf/in = 4.4482216 N / 25.4 mm)
    assert texts["output.moves"] == "0.197 in"
    assert texts["bearing.1.radial"] == "457 ± 274 lbf/in"
    assert texts["shaft.1.mass"] == "tube and 13 lb"
    # 6 mm / 25.4
    with pytest.raises(SceneError, match=r'as in tire_radius = "15\.6 ± 0\.197 in"'):
        read_scene(inch.replace('tire_radius = "395 ± 5 mm"', "").encode())
    loose = inch.replace(
        "[configuration.one-piece]", '[limits]\ngap = "1/8 in"\n\n[configuration.one-piece]', 1
    )
    (said,) = [d for d in read_scene(loose.encode()).doubts if "limits.gap" in d]
    assert "the usual limit is 0.236 in" in said
