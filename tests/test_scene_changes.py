"""Changes tried on a scene: the same as writing the line into its file, and checked like it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from sim.errors import SceneError
from sim.scene.parts import Configuration, Scene
from sim.scene.reader import load_scene, read_scene

SCENES = sorted((Path(__file__).parent.parent / "scenes").glob("*.toml"))
ORCHARD = (Path(__file__).parent.parent / "scenes" / "orchard_service_truck.toml").read_text(
    "utf-8"
)
NUMBER = re.compile(r"-?\d+(\.\d+)?(?![-/\d])")
TRIED = (
    "bearing.1.up",
    "bearing.2.up",
    "bearing.1.to_joint",
    "output.slope",
    "pinion.slope",
    "spline.gap",
    "spline.engaged",
    "spline.teeth",
    "travel.bump",
    "vehicle.axle_load",
    "vehicle.top_speed",
    "suspension.shackle",
    "shaft.1.tube.wall",
    "limits.gap",
)


def orchard(*changes: str, only: str | None = None, more: str = "") -> Scene:
    return read_scene((ORCHARD + more).encode(), "orchard.toml", changes=changes, only=only)


def two(*changes: str, only: str | None = None) -> Configuration:
    return orchard(*changes, only=only).configuration("two-piece")


def read_as(scene: Scene) -> list[tuple[object, ...]]:
    """Return what was read of every configuration, but not from which lines."""
    return [
        (
            c.name,
            c.differences,
            c.design.structure,
            dict(c.design.values),
            {path: (r.value, r.spread, r.text, r.status) for path, r in c.readings.items()},
        )
        for c in scene.configurations
    ]


def test_these_scenes_show_what_is_tried() -> None:
    shown = {p for path in SCENES for c in load_scene(path).configurations for p in c.readings}
    assert set(TRIED) <= shown | {"bearing.2.up", "limits.gap"}


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_a_tried_line_is_the_line_in_the_file(path: Path) -> None:
    text, scene = path.read_text("utf-8"), load_scene(path)
    looked_at = 0
    for key in TRIED:
        written = {
            c.readings[key].line: c.readings[key].text
            for c in scene.configurations
            if key in c.readings and c.readings[key].line
        }
        if len(written) != 1:
            continue  # left out, or written differently in several places
        ((line, was),) = written.items()
        found = NUMBER.match(was)
        if not found:
            continue  # a fraction of an inch
        step = 1 if key == "spline.teeth" else 0.2
        value = f"{float(found[0]) + step:g}{was[found.end() :]}"
        rows = text.split("\n")
        assert rows[line - 1].count(f'"{was}"') == 1
        rows[line - 1] = rows[line - 1].replace(f'"{was}"', f'"{value}"')
        by_file = read_scene("\n".join(rows).encode(), path.name)
        for change in (f'{key} = "{value}"', f"{key}={value}", f"  {key} = {value} "):
            assert read_as(load_scene(path, changes=[change])) == read_as(by_file), change
        assert read_as(by_file) != read_as(scene)
        looked_at += 1
    assert looked_at >= 4


def test_a_spread_that_is_not_written_stays_as_it_was_read() -> None:
    for change, text, spread in (
        ("bearing.1.up = 534 mm", "534 mm ± 3 mm", 0.003),
        ("bearing.1.up = 534 ± 5 mm", "534 ± 5 mm", 0.005),
        ("pinion.left = 1/2 in", "1/2 in ± 2 mm", 0.002),
        ("suspension.rate = 50 N/mm", "50 N/mm ± 20 %", 10e3),
        ("bearing.1.to_joint = 120 mm", "120 mm", 0.0),
    ):
        reading = two(change).readings[change.split(" = ")[0]]
        assert (reading.text, reading.spread) == (text, pytest.approx(spread))


def test_a_spread_goes_ahead_of_what_a_slope_was_taken_to() -> None:
    level = ORCHARD.replace("[output]", '[frame]\nslope = "-1.2 ± 0.1 deg"\n\n[output]').replace(
        'slope = "3.0 ± 0.25 deg"                 # p', 'slope = "1.8 ± 0.25 deg to level" # p'
    )
    scene = read_scene(level.encode(), changes=["output.slope = 2.0 deg to level"])
    reading = scene.configurations[0].readings["output.slope"]
    assert reading.text == "2.0 deg ± 0.25 deg to level"


def test_the_other_word_of_a_pair_goes() -> None:
    changed = two("pinion.left = 15 mm", "output.forward = 10 mm")
    assert changed.pinion.point[1] == pytest.approx(-0.015)
    assert changed.output.point[0] == pytest.approx(-0.010)
    assert "pinion.right" not in changed.readings
    assert two("travel.droop = 90 mm").travel.bump == pytest.approx(0.095)


def test_a_change_is_made_where_its_key_lives() -> None:
    scene = orchard("bearing.1.up = 534 mm", "pinion.nose_up = 1.5 deg")
    assert scene.configuration("two-piece").bearings[0].point[2] == pytest.approx(0.534)
    assert not scene.configuration("one-piece").bearings
    slopes = {c.name: c.pinion.slope for c in scene.configurations}
    assert len(set(slopes.values())) == 1  # shared
    assert slopes["two-piece"] > two().pinion.slope


def test_a_change_of_one_configuration_leaves_the_others() -> None:
    scene = orchard("pinion.nose_up = 1.5 deg", only="two-piece")
    by_path = orchard("configuration.two-piece.pinion.nose_up = 1.5 deg")
    assert read_as(scene) == read_as(by_path)
    assert scene.configuration("one-piece").pinion.slope == two().pinion.slope
    assert scene.configuration("two-piece").pinion.slope > two().pinion.slope


def test_a_change_of_all_there_is_raises_no_doubt_of_the_line_that_it_replaces() -> None:
    """Only in the one configuration that is looked at; the others start from it."""
    courier = Path(__file__).parents[1] / "scenes" / "courier_estate_car.toml"
    for line in ('output.slope = "2.9 deg"', 'shaft.1.tube.wall = "1.7 mm"'):
        assert load_scene(courier, changes=[line], only="as-hung").doubts == ()
    (doubt,) = load_scene(courier, changes=['shaft.1.tube.wall = "16 mm"'], only="as-hung").doubts
    assert "tube.wall is 16 mm; usual is" in doubt


def test_a_configuration_that_starts_from_another_follows_it() -> None:
    more = '\n[configuration.landed]\nsame_shafts_as = "two-piece"\nbearing.1.aft = "2390 mm"\n'
    scene = orchard("bearing.1.up = 534 mm", more=more)
    landed = scene.configuration("landed")
    assert landed.bearings[0].point[2] == pytest.approx(0.534)
    assert landed.cut_as.bearings[0].point[2] == pytest.approx(0.534)
    alone = orchard("bearing.1.up = 534 mm", only="landed", more=more).configuration("landed")
    assert alone.bearings[0].point[2] == pytest.approx(0.534)
    assert alone.cut_as.bearings[0].point[2] == pytest.approx(0.531)


def test_names_with_spaces_do_without_quotes() -> None:
    for line in ("obstacle.fuel tank.moves = 12 mm", 'obstacle."fuel tank".moves = "12 mm"'):
        tank = next(o for o in two(line).obstacles if o.name == "fuel tank")
        assert tank.moves == pytest.approx(0.012)


def test_the_top_of_the_file_can_be_tried() -> None:
    scene = orchard("display = inch")
    assert (scene.display, scene.changes) == ("inch", ("display = inch",))
    assert scene.text == ORCHARD


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ("bearing.1.up = 534", '--try bearing.1.up: .*up is "534": the unit is missing'),
        ("bearing.1.up = 5340 mm", "--try bearing.1.up: .*allowed: 0 to 3000 mm"),
        ("bearing.1.upp = 534 mm", "--try bearing.1.upp: .*did you mean up?"),
        ("bearng.1.up = 534 mm", "--try bearng.1.up: .*did you mean bearing?"),
        ("bearing.1.aft = 1700 mm", "--try bearing.1.aft: .*ahead of the output"),
        ("pinion.slope = 3 kg", "--try pinion.slope: .*unit of a load"),
        ("spline.at = middle", "--try spline.at: .*allowed: output, midship, shaft"),
        ("limits.gap = 5 ± 1 mm", "--try limits.gap: .*a limit is exact"),
        ("bearing.1.up.x = 5 mm", "--try bearing.1.up.x: .*bearing.1.up is a value"),
        ("bearing.1 = 5 mm", "--try bearing.1: .*a table belongs here"),
        ("bearing.1.up", "write a key and its value, as in bearing.1.up = 534 mm"),
        ("= 5 mm", "write a key and its value"),
        ("bearing.1.up =", "write a key and its value"),
        ("rules = kitchen", "--try rules: .*allowed"),
        ("complaint.x = 5", "--try complaint.x: .*a table belongs here"),
        ("configuration.three.bearing.1.up = 5 mm", "--try configuration.three.bearing.1.up: "),
    ],
)
def test_a_bad_change_is_refused_like_a_bad_line(change: str, words: str) -> None:
    pattern = words.replace("?", r"\?")
    with pytest.raises(SceneError, match=pattern) as caught:
        orchard(change)
    assert str(caught.value).startswith("orchard.toml: ")


def test_a_bearing_that_no_shafts_hang_in_is_not_asked_for_the_rest_of_it() -> None:
    with pytest.raises(
        SceneError, match=r'bearing\.1\.up: configuration "one-piece" has no bearing'
    ):
        orchard("bearing.1.up = 534 mm", only="one-piece")
    with pytest.raises(SceneError, match=r"bearing\.2\.up: the scene has no bearing 2"):
        orchard("bearing.2.up = 534 mm")


def test_a_clash_elsewhere_names_the_change_that_made_it() -> None:
    shaft = "shaft.2.tube ="
    text = ORCHARD.replace(shaft, f'shaft.1.length = "766 ± 2 mm"\n{shaft}')
    with pytest.raises(SceneError, match=r"--try output\.aft: .*the places of its ends are"):
        read_scene(text.encode(), changes=["output.aft = 1720 mm"])


def test_the_same_key_twice_and_no_such_configuration_are_refused() -> None:
    with pytest.raises(SceneError, match=r"--try bearing\.1\.up: is tried twice"):
        orchard("bearing.1.up = 534 mm", "bearing.1.up = 533 mm")
    with pytest.raises(SceneError, match=r'no configuration "two-peace".*did you mean two-piece'):
        orchard("bearing.1.up = 534 mm", only="two-peace")


def test_problems_of_the_file_itself_come_first() -> None:
    with pytest.raises(SceneError, match=r"orchard.toml:\d+: .*bearing 1, up") as caught:
        read_scene(
            ORCHARD.replace('up = "531 ± 3 mm"', 'up = "531"').encode(),
            "orchard.toml",
            changes=["output.slope = 2 deg"],
        )
    assert "--try" not in str(caught.value)
