"""Hints for keys that are none: what a shop writes is led to what it means, or to nothing.

Which words shops write for what is common practice, no source.
"""

from __future__ import annotations

import re
from typing import Any

import pytest

from sim.errors import SceneError
from sim.scene.header import OWN, TOP
from sim.scene.hints import suggest
from sim.scene.keys import Key
from sim.scene.reader import read_scene
from sim.scene.table import table_at, tables_in
from sim.scene.tables.setup import Setup

LEAF = {"suspension": {"kind": "leaf"}}
MEANT = {  # by table: what people write, and the keys of that table that they may mean
    "vehicle": {
        "tire_size tire_diameter tyre_radius wheel_radius": "tire_radius",
        "gear gears": "first_gear top_gear",
        "gear_ratio ratio rear_axle_ratio final_drive axel_ratio": "axle_ratio",
        "weight load rear_axle_load": "axle_load",
        "torque": "engine_torque",
        "max_speed speed": "top_speed",
        "redline max_rpm engine_speed": "engine_cut_off",
        "tire": "tire_radius tire_circumference tire_grip",
        "mu grip": "tire_grip",
        "gvwr horsepower tire_pressure vmax transmission": "",
    },
    "frame": {"angle rail_slope rake": "slope", "rail": ""},
    "output": {
        "angle slope_angle": "slope",
        "x station": "aft",
        "height z": "up",
        "offset y": "right",
        "lateral side pinion_angle": "",
    },
    "pinion": {
        "angle pinion_angle": "slope",
        "shim wedge": "nose_up",
        "depth": "down",
        "flange": "",
    },
    "axle": {"track_width": "track", "height": "up", "width rear ratio": ""},
    "suspension": {
        "spring_rate springrate stiffness k rate_per_spring": "rate",
        "load": "spring_load",
        "shackle_length": "shackle",
        "seat": "seat_above_axle seat_below_axle",
        "center_bolt": "front_half rear_half",
        "traction_bar axle_wrap": "wrap_control",
        "spring_width": "spring_spacing",
        "spring_length leaves thickness arch block lift": "",
    },
    "travel": {
        "jounce compression up full_bump bump_stop": "bump",
        "rebound down": "droop",
        "total": "",
    },
    "height.loaded": {"weight load": "axle_load", "drop": "droop", "payload wheel": ""},
    "obstacle.tank": {
        "diameter od": "pipe",
        "clearance": "least_clearance",
        "type": "kind",
        "form": "from",
        "name size radius": "",
    },
    "shaft.1": {
        "diameter tube_od tube_wall": "tube",
        "weight": "mass",
        "phasing": "phase",
        "imbalance balance": "unbalance",
        "tir run_out dial_reading": "runout",
        "rpm": "",
    },
    "shaft.1.tube": {
        "od dia diameter outer_diameter": "outside",
        "thickness wall_thickness": "wall",
        "yield": "yield_stress",
        "grade": "",
    },
    "bearing.1": {
        "height z": "up",
        "spring_rate stiffness rate": "radial",
        "stub to_yoke": "to_joint",
        "offset": "right",
        "stop play": "free_travel",
        "drawn on_paper": "planned",
        "bore angle drop": "",
    },
    "spline": {
        "engagement": "engaged",
        "count tooth_count": "teeth",
        "location place": "at",
        "length": "engaged shorter least_engaged",
        "pitch_diameter": "diameter",
        "stroke aft": "",
    },
    "output_spline": {"length engaged_length": "engaged", "stroke": ""},
    "joint.1": {
        "max_angle angle": "largest_angle",
        "type": "kind",
        "torque": "rated_torque",
        "size": "",
    },
    "limits": {
        "max_angle": "largest_angle",
        "min_angle": "least_angle",
        "min_gap": "gap",
        "ground_clearance": "ground",
        "pair": "pair_difference",
        "max_torque": "",
    },
    "complaint.boom": {
        "configuration layout": "felt_in",
        "hz felt": "frequency",
        "road_speed": "speed",
        "name vibration": "",
    },
    "torsion": {"inertia": "engine_inertia axle_inertia", "gear_ratio": "gear", "flywheel": ""},
    "duty.uphill": {"case": "torque_case", "speed": "road_speed", "hours": ""},
    "output_move.cruise": {"tip": "tips_up tips_down", "lift rear": ""},
    "": {
        "driveshaft propshaft shafts": "shaft",
        "center_bearing carrier_bearing carrier hanger": "bearing",
        "u_joint ujoint joints": "joint",
        "spring springs leaf_springs": "suspension",
        "engine tires": "vehicle",
        "exhaust obstacles": "obstacle",
        "slip_yoke": "spline",
        "rear_axle axel": "axle",
        "units": "display",
        "name": "title",
        "loaded payload": "",
    },
}
CASES = [
    (table, word, meant.split())
    for table, cases in MEANT.items()
    for words, meant in cases.items()
    for word in words.split()
]


def keys_of(table: str) -> dict[str, Key[Any]]:
    """Return the keys of a table by its path in a file, "" for the top."""
    found = table_at(Setup, tuple(table.split(".")), LEAF) if table else Setup
    assert found is not None
    return found.declared() | ({} if table else TOP)


@pytest.mark.parametrize(("table", "word", "meant"), CASES)
def test_what_a_shop_writes_is_led_to_what_it_means(
    table: str, word: str, meant: list[str]
) -> None:
    here = keys_of(table)
    found, said = suggest(word, here)
    assert found == meant
    if len(meant) == 1:  # so that a reader sees at once whether it is meant
        first = here[meant[0]].meaning.split(";")[0].rstrip(".")
        assert said == f"did you mean {meant[0]}? {first}"
    elif meant:
        assert said == f"did you mean {' or '.join(meant)}?"
    else:
        assert "did you mean" not in said or " in [" in said


@pytest.mark.parametrize(
    ("table", "word", "said"),
    [
        ("shaft.1", "wall", "did you mean wall in [shaft.1.tube]? Wall thickness"),
        ("axle", "tire_radius", "did you mean tire_radius in [vehicle]? Axle center to ground"),
        ("bearing.1", "slope", "known here: aft, forward, up, down, right, left, to_joint, skew"),
        ("obstacle.tank", "aft", "known here: from, to, pipe, moves, rides_on, kind"),
        (
            "output",
            "mount",
            'did you mean mount in [suspension] with kind = "frame mounted"? Point',
        ),
        (
            "vehicle",
            "ride_height",
            "all places are read at ride height; another one is [height.NAM",
        ),
        ("shaft.1.tube", "inside", "it follows from outside and wall"),
        ("limits", "critical_speed", "it is computed from tube and length"),
        ("spline", "travel", "travel is a table of its own: write it above this header"),
        (
            "travel",
            "about",
            "did you mean about at the top of the file, above the first header? A se",
        ),
    ],
)
def test_a_word_that_is_no_key_here_is_led_elsewhere(table: str, word: str, said: str) -> None:
    found, hint = suggest(word, keys_of(table))
    assert found == []
    assert hint.startswith(said)


def test_every_key_that_is_known_is_named_where_nothing_is_meant() -> None:
    for table in tables_in(Setup):
        found, said = suggest("xyzzy", table.declared())
        assert found == []
        assert said == "known here: " + ", ".join(table.declared())


def test_no_word_stands_for_two_keys_of_a_table() -> None:
    for keys in (TOP, OWN, *(table.declared() for table in tables_in(Setup))):
        words = [re.sub("_", "", w) for own, key in keys.items() for w in (own, *key.others)]
        assert len(words) == len(set(words)), words


def test_a_key_of_another_kind_of_suspension_says_of_which() -> None:
    links = table_at(Setup, ("suspension",), {"suspension": {"kind": "links"}})
    assert links is not None
    said = suggest("front_half", links.declared())[1]
    assert said.startswith('did you mean front_half in [suspension] with kind = "leaf"? Front eye')


def test_the_key_that_was_meant_is_not_called_missing() -> None:
    with pytest.raises(SceneError) as caught:
        read_scene(b'vehicle = { tire_size = "395 mm" }\n[configuration.a]\n')
    said = str(caught.value)
    assert "vehicle.tire_size is not a known key; did you mean tire_radius?" in said
    assert "tire_radius is missing" not in said
    assert "vehicle.top_speed is missing" in said
