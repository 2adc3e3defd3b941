from __future__ import annotations

import csv
import json
import re
from pathlib import Path

import numpy as np
import pytest
import show_scene

from sim.show.tables import table, write_tables

ONE, TWO = (result.measurements for result in show_scene.results())
# Exact by definition: international yard and pound agreement of 1959.
MILLIMETERS_PER_INCH = 25.4


def test_every_state_is_one_row_and_every_column_has_a_name_of_its_own() -> None:
    columns = table(TWO)
    assert {len(column.values) for column in columns} == {len(TWO.states)}
    assert len({column.name for column in columns}) == len(columns)


def test_every_number_with_a_dimension_ends_in_its_unit_and_every_column_says_what_it_means() -> (
    None
):
    endings = {
        "deg": "_deg", "mm": "_mm", "%": "_percent", "rpm": "_rpm",
        "km/h": "_km_h", "N m": "_n_m", "N": "_n", "rad/s²": "_rad_s2",
    }  # fmt: skip
    for column in table(TWO):
        assert column.meaning
        if column.unit not in ("", "-"):
            assert column.name.endswith(endings[column.unit])


@pytest.mark.parametrize(
    ("name", "values", "step"),
    [
        ("joint_2_angle_deg", np.degrees(TWO.joint_angle[:, 1]), 1e-5),
        ("shaft_2_slope_deg", np.degrees(TWO.slope[:, 2]), 1e-5),
        ("gap_mm", 1000 * TWO.gap, 1e-4),
        ("travel_mm", [1000 * state.travel for state in TWO.states], 1e-4),
        ("road_speed_km_h", [3.6 * state.road_speed for state in TWO.states], 1e-3),
        ("shaft_speed_rpm", TWO.shaft_speed * 60 / (2 * np.pi), 1e-3),
        ("pinion_fluctuation_peak_to_peak_percent", 100 * TWO.fluctuation[:, -1], 1e-5),
        ("joint_2_couple_ahead_n_m", TWO.loads.driving_couple[:, 1], 1e-3),
        ("joint_3_couple_behind_n_m", TWO.loads.driven_couple[:, 2], 1e-3),
        ("bearing_1_largest_n", TWO.loads.bearing.largest[:, 0], 1e-3),
        ("bearing_1_unbalance_g40_n", TWO.loads.unbalance[:, 0, 1], 1e-3),
        ("pinion_uneven_rad_s2", TWO.acceleration.torsional, 1e-3),
        ("pinion_uneven_at_100_km_h_rad_s2", TWO.acceleration_100.torsional, 1e-3),
    ],
)
def test_a_column_holds_the_measurement_in_its_unit(
    name: str, values: np.ndarray, step: float
) -> None:
    found = {column.name: column.values for column in table(TWO)}
    np.testing.assert_allclose(np.array(found[name], float), values, rtol=0, atol=0.51 * step)


def test_an_inch_table_holds_the_same_lengths_in_inches() -> None:
    metric = {column.name: column.values for column in table(ONE)}
    inch = {column.name: column.values for column in table(ONE, "inch")}
    lengths = np.array(metric["gap_mm"], float)
    np.testing.assert_allclose(
        MILLIMETERS_PER_INCH * np.array(inch["gap_in"], float), lengths, rtol=0, atol=2e-4
    )
    assert "gap_mm" not in inch
    assert "road_speed_mph" in inch


def test_an_inch_table_compares_accelerations_at_its_own_round_speed() -> None:
    # 60 mph is 96.56064 km/h (1.609344 km to the mile); accelerations grow with its square.
    metric = {column.name: column.values for column in table(TWO)}
    inch = {column.name: column.values for column in table(TWO, "inch")}
    hundred = np.array(metric["pinion_uneven_at_100_km_h_rad_s2"], float)
    np.testing.assert_allclose(
        np.array(inch["pinion_uneven_at_60_mph_rad_s2"], float), 0.9656064**2 * hundred, atol=2e-3
    )
    assert not [name for name in inch if re.search(r"km_h|_mm$|_n_m$", name)]


def test_the_files_hold_the_same_values_twice_to_the_bit(tmp_path: Path) -> None:
    first = write_tables(TWO, tmp_path / "first")
    second = write_tables(TWO, tmp_path / "second")
    assert [path.name for path in first] == ["sweep.csv", "sweep.json"]
    for one, other in zip(first, second, strict=True):
        assert one.read_bytes() == other.read_bytes()
    with first[0].open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    columns = json.loads(first[1].read_text(encoding="utf-8"))["columns"]
    assert rows[0] == [column["name"] for column in columns]
    for place, column in enumerate(columns):
        assert [row[place] for row in rows[1:]] == [str(value) for value in column["values"]]
        assert column["meaning"]


def test_a_table_has_neither_nan_nor_minus_zero(tmp_path: Path) -> None:
    csv_file, _ = write_tables(ONE, tmp_path)
    cells = re.split(r"[,\n]", csv_file.read_text(encoding="utf-8"))
    assert "nan" not in cells
    assert "inf" not in cells
    assert "-0.0" not in cells
