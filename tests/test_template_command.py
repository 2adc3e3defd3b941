"""halfturn template: from a scene to the file, and what it refuses."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from sim.cli import main
from sim.scene.tables.brace import BraceKeys, FootKeys
from sim.scene.tables.rail import RailKeys

# The bearing hangs 2395 mm aft and 531 up; the foot's middle is 9 above it, 90 above the rail's
# bottom edge; the lower holes 65, so 65 - 6 - 6.5 = 52.5 from hole edge to inside of the flange.
SCENE = """\
format = "halfturn scene 1"
title = "Yard truck"
datum = "front wheel center, ground, middle of the frame"
display = "metric"
rules = "acceleration limits"

[vehicle]
axle_ratio = "4.10 to 1"
tire_radius = "395 mm"
top_speed = "90 km/h"

[output]
aft = "1745 mm"
up = "568 mm"
slope = "3.0 deg"

[pinion]
aft = "3643.6 mm"
up = "378.1 mm"
slope = "3.0 deg"

[axle]
aft = "3990 mm"
up = "395 mm"

[obstacle."crossmember"]
from = { aft = "2700 mm", left = "430 mm", up = "600 mm" }
to = { aft = "2760 mm", right = "430 mm", up = "650 mm" }

[brace.1]
from = { aft = "2300 mm", left = "20 mm", up = "500 mm" }
to = { aft = "2500 mm", right = "20 mm", up = "560 mm" }

[brace.1.foot]
holes = "2 by 2"
along = "60 mm"
upright = "50 mm"
hole = "13 mm"
bolt = "M12"
up = "9 mm"

[left_rail]
apart = "430 mm"
up = "450 mm"
height = "180 mm"
flange = "65 mm"
thickness = "6 mm"

[configuration.two-piece]
shaft.1.tube = { outside = "88.9 mm", wall = "2.1 mm" }
shaft.2.tube = { outside = "88.9 mm", wall = "2.1 mm" }
bearing.1 = { aft = "2395 mm", up = "531 mm", to_joint = "115 mm" }
spline = { at = "midship", gap = "45 mm", engaged = "85 mm", least_engaged = "60 mm" }
"""


def run(folder: Path, *words: str, text: str = SCENE) -> int:
    (folder / "yard.toml").write_text(text)
    return main(["template", str(folder / "yard.toml"), "--out", str(folder / "out"), *words])


def test_a_template_is_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(tmp_path, "--paper", "letter") == 0
    said = capsys.readouterr().out
    file = tmp_path / "out" / "yard" / "two-piece" / "drilling_template.pdf"
    assert file.read_bytes().startswith(b"%PDF")
    assert "two-piece: good to build" in said
    assert "Every hole keeps the guide “light truck”" in said
    station = "305 mm ahead of the front face of the crossmember"  # 2700 - 2395
    assert station in " ".join(said.split())
    assert str(file) in said.replace("\n", "")


def test_for_machines(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(tmp_path, "--json", "--guide", "chassis conversion") == 0
    said = json.loads(capsys.readouterr().out)
    assert said["keeps"] is True
    assert said["files"] == [str(tmp_path / "out" / "yard" / "two-piece" / "drilling_template.pdf")]
    (bearing,) = said["bearings"]
    assert bearing["guide"] == "chassis conversion"
    assert "Iveco Eurocargo 2013" in bearing["source"]
    assert bearing["station"] == {"si": pytest.approx(2.395), "value": 2395.0, "unit": "mm"}
    places = {
        h["name"]: (h["aft"]["value"], h["above_bottom_edge"]["value"]) for h in bearing["holes"]
    }
    assert places["L1"] == places["R1"] == pytest.approx((2365, 115))
    assert places["R4"] == pytest.approx((2425, 65))


def test_the_foot_is_judged_where_the_cures_hang_the_bearing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # yokes out of line: what the cures hang lower takes the foot along
    run(tmp_path, "--json", "--try", 'shaft.2.phase = "20 deg"')
    said = json.loads(capsys.readouterr().out)
    hung = [re.fullmatch(r'bearing\.1\.up = "([\d.]+) mm"', line) for line in said["carries"]]
    (up,) = [float(line[1]) for line in hung if line is not None]
    (bearing,) = said["bearings"]
    (low,) = [hole for hole in bearing["holes"] if hole["name"] == "L3"]
    assert low["above_bottom_edge"]["value"] == pytest.approx(65 + up - 531)
    assert low["breaks"] == (["edge"] if 65 + up - 531 - 6 - 6.5 < 38 else [])


@pytest.mark.parametrize(
    ("tried", "moved", "line"),
    [
        # 51 higher: upper holes 180 - 166 - 12.5 = 1.5 mm below the flange, 37 down
        ("brace.1.foot.up = 60 mm", "37 mm down", 'brace.1.foot.up = "23 mm"'),
        # 20 higher and 12 lower: what is to be written changes from up to down
        ("brace.1.foot.down = 106 mm", "101 mm up", 'brace.1.foot.down = "5 mm"'),
    ],
)
def test_the_move_that_is_named_keeps_the_guide_once_it_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], tried: str, moved: str, line: str
) -> None:
    assert run(tmp_path, "--try", tried) == 1
    said = " ".join(capsys.readouterr().out.split())
    assert "DO NOT DRILL: breaks the guide “light truck”" in said
    assert f"the foot {moved} on both rails" in said
    assert f"({line})" in said
    assert run(tmp_path, "--try", line) == 0
    assert "Every hole keeps the guide" in capsys.readouterr().out


def test_a_design_that_fails_gets_no_template(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # the shaft runs through the crossmember
    assert run(tmp_path, "--try", 'obstacle.crossmember.from.up = "400 mm"') == 2
    said = capsys.readouterr()
    assert "is not sound, so nothing is printed to build it by" in said.err
    assert not (tmp_path / "out").exists()


def test_a_guide_that_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(tmp_path, "--guide", "trucks") == 2
    assert 'no drilling guide "trucks"; there are: light truck, ' in capsys.readouterr().err


def test_what_is_missing_is_named_by_its_keys(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bare = re.sub(r"(?ms)^\[brace\.1\].*(?=^\[configuration)", "", SCENE)
    assert run(tmp_path, text=bare) == 2
    said = capsys.readouterr().err
    for table, keys in (
        (r"\[brace\.1\]", BraceKeys),
        (r"\[brace\.1\.foot\]", FootKeys),
        (r"\[left_rail\]", RailKeys),
    ):
        found = re.search(rf"{table} with ([^;\n]*)", said)
        assert found is not None
        named = set(re.split(r", | and ", found[1].strip()))
        needed = {word for word, key in keys.declared().items() if key.needed}
        assert needed <= named <= set(keys.declared())
