"""Tables of what the driveline must carry and of what its center bearings feel."""

from __future__ import annotations

from dataclasses import replace

import pytest
import samples

from sim.display import METRIC, TRADE_INCH, Display
from sim.measure.measure import measure
from sim.motion.solve import solve
from sim.scene.parts import Configuration, LifeBasis, Torsion
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
    assert [row[0] for row in low.rows][1] == "engine, first gear, low range"
    car = tables(samples.car())["What it must carry: torque in the shafts"]
    assert all("low range" not in row[0] for row in car.rows)
