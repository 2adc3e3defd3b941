"""Tables of what the driveline must carry and of what its center bearings feel."""

from __future__ import annotations

from dataclasses import replace

import pytest
import samples

from sim.display import METRIC, TRADE_INCH, Display
from sim.measure.life import JointLife
from sim.measure.measure import measure
from sim.measure.measurements import Measurements
from sim.measure.sizing import JointRating, Sizing
from sim.measure.torsion import ShaftTorques
from sim.motion.solve import solve
from sim.scene.parts import Configuration, LifeBasis, Torsion
from sim.show.report.bench import bench_tables
from sim.show.report.loads import load_tables
from sim.show.report.pages import Table

KNOWN = Torsion(engine_inertia=0.35, axle_inertia=0.03, half_shaft_stiffness=21_000.0, gear=1.5)


def tables(configuration: Configuration, display: Display = METRIC) -> dict[str, Table]:
    """Return the tables by their titles."""
    found = load_tables(measure(solve(configuration)), display)
    return {table.title: table for table in found}


def rated(*bases: LifeBasis | None) -> Configuration:
    """Return the two-piece truck with life ratings."""
    made = samples.two_piece()
    joints = tuple(
        replace(joint, life_rating=600.0 if basis else None, life_basis=basis)
        for joint, basis in zip(made.joints, bases, strict=True)
    )
    return replace(made, joints=joints)


@pytest.mark.parametrize("display", [METRIC, TRADE_INCH])
@pytest.mark.parametrize("make", [samples.one_piece, samples.two_piece, samples.three_piece])
def test_every_row_fits_its_head(make, display):
    for table in tables(make(torsion=KNOWN), display).values():
        assert {len(row) for row in table.rows} == {len(table.head)}


def test_a_one_piece_shaft_has_no_bearing_table():
    assert "What the center bearing feels" not in tables(samples.one_piece())
    assert "What the center bearing feels" in tables(samples.two_piece())


def test_what_is_left_out_says_what_is_missing_in_one_line():
    found = tables(samples.two_piece(torsion=replace(KNOWN, gear=None)))
    title = "What it must carry: torsional natural frequencies"
    assert found[title].rows == (("[torsion] does not give gear",),)
    assert found["What it must carry: joints"].note.startswith("Joint life is left out: no joint")
    note = found["Couples at the joints, and friction of the spline"].note
    assert note.endswith("Spline friction is left out: spline.diameter is not given.")


def test_an_assumed_duty_says_so_and_bases_are_never_mixed():
    joints = tables(rated("5000 h at 3 deg and 100 rpm", None, "capacity times radius"))[
        "What it must carry: joints"
    ]
    assert "Duty (assumed, common practice, no source; write [duty])" in joints.note
    assert "1.5e6/(β n)" in joints.note
    assert "7.67e6/(β n)" in joints.note
    assert joints.note.endswith("cannot be compared with each other.")
    alone = tables(rated("capacity times radius", None, None))["What it must carry: joints"]
    assert "cannot be compared" not in alone.note


def test_low_range_is_told_only_where_there_is_one():
    low = tables(samples.two_piece())["What it must carry: torque in the shafts"]
    assert [row[0] for row in low.rows][4] == "engine, first gear, low range"
    car = tables(samples.car())["What it must carry: torque in the shafts"]
    assert all("low range" not in row[0] for row in car.rows)


@pytest.fixture(scope="module")
def truck() -> Measurements:
    return measure(solve(samples.two_piece(series="1350")))


def told(m: Measurements, about: str, **strength: object) -> Table:
    """Return a table of what must be carried, of made-up strength."""
    made = replace(m, strength=replace(m.strength, **strength))
    title = f"What it must carry: {about}"
    return next(table for table in load_tables(made, METRIC) if table.title == title)


TORQUES = ShaftTorques(
    engine=1000.0, low_range=2640.0, tires=3000.0, case=1100.0, case_name="loaded, cruise",
    most=2640.0, most_name="first gear, low range",
)  # fmt: skip


SIZING = Sizing(low_gear=2000.0, wheel_slip=900.0, lesser=900.0, road=1680.0, by_capacity=True)


def test_the_table_of_torques_tells_sizes_case_engine_and_tires_apart(truck):
    found = told(truck, "torque in the shafts", torques=TORQUES, sizing=SIZING)
    assert found.rows == (
        ("low gear", "2000"),
        ("wheel slip on the axle's capacity", "900"),
        ("at most one series below low gear", "1680"),
        ("engine, first gear, high range", "1000"),
        ("engine, first gear, low range", "2640"),
        ("what the tires hold", "3000"),
        ("largest torque case: loaded, cruise", "1100"),
        ("peak", "2640"),
    )
    assert "the most that can reach the shafts, first gear, low range: it is watched" in found.note
    present = replace(SIZING, low_gear=None, by_capacity=False)
    unknown = told(
        truck, "torque in the shafts", torques=replace(TORQUES, tires=None), sizing=present
    )
    assert unknown.rows[:2] == (
        ("low gear", "not known"),
        ("wheel slip on the axle's largest load", "900"),
    )
    assert unknown.rows[5] == ("what the tires hold", "not known")


def test_torque_cases_are_told_under_the_load_of_each_height_too():
    """Grip 0.9, a fifth more by load transfer, on 0.395 m: proportional to the load, by statics."""
    made = samples.two_piece()
    (loaded,) = made.travel.heights
    heavy = replace(loaded, axle_load=2 * made.vehicle.axle_load, cases=("hard launch",))
    travel = replace(made.travel, heights=(heavy, replace(heavy, name="bare", axle_load=None)))
    m = measure(
        solve(replace(made, travel=travel, vehicle=replace(made.vehicle, engine_torque=9e3)))
    )
    found = next(t for t in bench_tables(m, METRIC) if t.title == "Torque cases").rows
    torques = {row[0]: float(row[1].replace("−", "-")) for row in found}
    assert torques["loaded, hard launch"] == pytest.approx(2 * torques["hard launch"], abs=1.5)
    assert [name for name in torques if ", " in name] == ["loaded, hard launch"]


def test_tubes_say_how_much_of_the_weaker_way_to_fail_is_used_and_whose_stress_it_is(truck):
    first, second = truck.strength.tubes
    yields = replace(first, yield_torque=5280.0, buckling_torque=9000.0, certified=True)
    buckles = replace(second, yield_torque=9000.0, buckling_torque=4400.0, certified=False)
    rows = told(truck, "tubes", torques=TORQUES, tubes=(yields, buckles)).rows
    assert [row[:4] for row in rows] == [
        ("shaft 1", "5280", "9000", "50"),
        ("shaft 2", "9000", "4400", "60"),
    ]
    assert [row[-1].partition(" ")[2] for row in rows] == ["(scene)", "(from memory)"]


def test_joints_say_whose_rating_it_is_how_long_they_live_and_what_wears_them_most(truck):
    ratings = tuple(
        JointRating(joint=number, torque=torque, own=own)
        for number, torque, own in ((1, 5280.0, True), (2, 1680.0, False), (3, None, False))
    )
    lives = tuple(
        JointLife(joint=number, rating=600.0, basis="capacity times radius", life=life,
            distance=None, worst=worst)
        for number, life, worst in (
            (1, 99_000 * 3600.0, "cruise"), (2, 101_000 * 3600.0, "hard launch"), (3, None, "")
        )
    )  # fmt: skip
    kept = replace(truck.strength.lives, lives=lives)
    rows = told(truck, "joints", torques=TORQUES, ratings=ratings, lives=kept).rows
    assert [row[1:3] for row in rows] == [
        ("5280 (scene)", "50"),
        ("1680 (series 1350, from memory)", "157"),
        ("not known", "–"),
    ]
    assert [row[4:] for row in rows] == [
        ("99000", "cruise"),
        ("over 100 000", "hard launch"),
        ("not worn", "–"),
    ]


@pytest.mark.parametrize(("cut_off", "within"), [(None, "yes"), (30.0, "yes"), (28.0, "no")])
def test_a_torsional_mode_is_within_reach_of_top_speed_and_engine_only(cut_off, within):
    """A shaft speed of half its frequency meets a mode; the engine turns gear times as fast.

    The first mode, 6.1 Hz, so is met at 274 rpm (28.7 rad/s) of the engine and far below top speed;
    the second one beyond top speed in any case.
    """
    vehicle = replace(samples.TRUCK, engine_cut_off=cut_off)
    made = samples.two_piece(torsion=KNOWN, vehicle=vehicle)
    rows = tables(made)["What it must carry: torsional natural frequencies"].rows
    frequency, road, shaft, engine = (float(cell) for cell in rows[0][1:5])
    assert (shaft, engine) == pytest.approx((30 * frequency, 45 * frequency), abs=3)
    assert road == pytest.approx(3.6 * frequency / 2 * 2.545 / 4.1, abs=0.6)
    assert float(rows[1][2]) > 155
    assert [row[-1] for row in rows] == [within, "no", "no"]
