"""Designs: made by hand as good as read, varied by path, built from numbers and from arrays."""

from __future__ import annotations

import copy
import math
import pickle
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sim.errors import DomainError
from sim.explore.sampling import draw, drawn_values
from sim.explore.sources import sources_of
from sim.judge.rules import load_rules
from sim.measure.measure import measure
from sim.motion.solve import solve
from sim.scene.parts import Configuration, Design, Structure
from sim.scene.reader import load_scene
from sim.verdicts import verdict

SCENES = sorted((Path(__file__).parent.parent / "scenes").glob("*.toml"))
ORCHARD = Path(__file__).parent.parent / "scenes" / "orchard_service_truck.toml"
MM, KMH, DEG, RPM = 1e-3, 1 / 3.6, math.radians(1), 2 * math.pi / 60
KG = 9.80665  # [m/s²], standard gravity, CGPM 1901


def by_hand() -> Design:
    """Return the two-piece of the orchard truck, copied from its file into SI by hand."""
    structure = Structure(
        tubes=("steel", "steel"),
        joints=("universal",) * 3,
        spline="midship",
        suspension="leaf",
        heights={"loaded": ()},
    )
    measured = {
        "vehicle.axle_ratio": 4.10,
        "vehicle.tire_radius": (395 * MM, 5 * MM),
        "vehicle.tire_circumference": 2545 * MM,
        "vehicle.top_speed": 155 * KMH,
        "vehicle.axle_load": (1448 * KG, 30 * KG),
        "vehicle.engine_torque": 610.0,
        "vehicle.engine_cut_off": 5600 * RPM,
        "vehicle.first_gear": 4.17,
        "vehicle.top_gear": 0.69,
        "vehicle.low_range": 2.64,
        "vehicle.converter": 1.9,
        "output.aft": (1745 * MM, 3 * MM),
        "output.up": (568 * MM, 2 * MM),
        "output.slope": (3 * DEG, 0.25 * DEG),
        "pinion.aft": (3643.6 * MM, 3 * MM),
        "pinion.right": (20 * MM, 2 * MM),
        "pinion.up": (378.1 * MM, 2 * MM),
        "pinion.slope": (3 * DEG, 0.25 * DEG),
        "axle.aft": 3990 * MM,
        "axle.up": 395 * MM,
        "suspension.front_eye.aft": 3370 * MM,
        "suspension.front_eye.up": 500 * MM,
        "suspension.shackle_pivot.aft": 4758 * MM,
        "suspension.shackle_pivot.up": 592 * MM,
        "suspension.shackle": 115 * MM,
        "suspension.front_half": 620 * MM,
        "suspension.rear_half": 790 * MM,
        "suspension.seat_above_axle": 95 * MM,
        "suspension.rate": (48e3, 0.2 * 48e3),
        "suspension.spring_load": 6000.0,
        "travel.droop": (110 * MM, 5 * MM),
        "travel.bump": (95 * MM, 8 * MM),
        "height.loaded.bump": (40 * MM, 5 * MM),
        "height.loaded.axle_load": (1830 * KG, 30 * KG),
        "shaft.1.tube.outside": 88.9 * MM,
        "shaft.1.tube.wall": 2.1 * MM,
        "shaft.2.tube.outside": 88.9 * MM,
        "shaft.2.tube.wall": 2.1 * MM,
        "bearing.1.aft": (2395 * MM, 3 * MM),
        "bearing.1.up": (531 * MM, 3 * MM),
        "bearing.1.to_joint": 115 * MM,
        "spline.gap": (45 * MM, 2 * MM),
        "spline.engaged": (85 * MM, 2 * MM),
        "spline.least_engaged": 60 * MM,
        "spline.teeth": 16.0,
    }
    assumed = {
        "vehicle.unsprung_share": 0.15,
        "vehicle.tire_grip": (0.9, 0.1),
        "vehicle.load_transfer": 0.2,
        "output.plan_angle": (0.0, 0.3 * DEG),
        "output.moves": 5 * MM,
        "output.tips": 0.3 * DEG,
        "pinion.plan_angle": (0.0, 0.3 * DEG),
        "suspension.arm_fraction": 0.75,
        "travel.roll": 0.0,
        "shaft.1.phase": 0.0,
        "shaft.2.phase": 0.0,
        "bearing.1.skew": 0.0,
        "bearing.1.radial": (80e3, 48e3),
        "bearing.1.axial": (30e3, 18e3),
        "spline.off_by": 0.0,
        "limits.gap": 6 * MM,
        "limits.clearance": 10 * MM,
        "limits.safe_share": 0.70,
    }
    return Design.made("two-piece", structure, measured, assumed=assumed)


def as_read() -> Configuration:
    return load_scene(ORCHARD).configuration("two-piece")


def test_a_design_made_by_hand_moves_as_the_one_that_was_read() -> None:
    made, read = solve(by_hand().build()), solve(as_read())
    np.testing.assert_allclose(made.joint_center, read.joint_center, atol=1e-12)
    np.testing.assert_allclose(made.axis, read.axis, atol=1e-12)
    ours, theirs = measure(made), measure(read)
    np.testing.assert_allclose(ours.joint_angle, theirs.joint_angle, atol=1e-12)
    np.testing.assert_allclose(ours.gap, theirs.gap, atol=1e-12)


def test_a_design_made_by_hand_is_as_unsure_as_the_one_that_was_read() -> None:
    made, read = sources_of(by_hand().build()), sources_of(as_read())
    in_file = {source.key: source for source in read}
    assert [source.key for source in made if source.key not in in_file] == []
    assert len(made) == len(read) > 20
    for source in made:
        twin = in_file[source.key]
        known = (twin.value, twin.spread)
        assert (source.value, source.spread) == pytest.approx(known, rel=1e-12), source.key
        assert source.status == twin.status
    ours, theirs = (worded(by_hand()).build(), as_read())
    one, other = (drawn(c) for c in (ours, theirs))
    np.testing.assert_allclose(one.output.point, other.output.point, atol=1e-12)
    np.testing.assert_allclose(one.shafts[1].mass, other.shafts[1].mass, rtol=1e-12)


def drawn(configuration: Configuration) -> Configuration:
    """Return 50 samples of a configuration."""
    sources = sources_of(configuration)
    values = drawn_values(configuration, sources, draw(sources, 50))
    return configuration.design.vary(values).build()


def worded(design: Design) -> Design:
    """Return a design whose readings have the words of the file: they name the random numbers."""
    words = as_read().readings
    readings = {path: replace(r, text=words[path].text) for path, r in design.readings.items()}
    return replace(design, readings=readings)


def test_a_design_made_by_hand_is_judged_as_surely_as_the_one_that_was_read() -> None:
    rules = load_rules("two-piece service")
    made, read = (
        {
            (one.rule, one.where): (one.verdict, one.value, one.probability)
            for one in verdict(configuration, rules).findings.findings
        }
        for configuration in (worded(by_hand()).build(), as_read())
    )
    assert len(made) > 30
    assert {verdict for verdict, _, _ in made.values()} > {"passes", "fails"}
    for where, (said, value, share) in made.items():
        assert read[where][0] == said, where
        assert value == pytest.approx(read[where][1], rel=1e-9, abs=1e-9), where
        assert share == (None if share is None else pytest.approx(read[where][2], abs=1e-9))


def test_a_value_that_was_forgotten_is_named() -> None:
    made = by_hand()
    for gone in ("bearing.1.up", "pinion.aft", "vehicle.axle_ratio", "suspension.seat_above_axle"):
        less = {path: value for path, value in made.values.items() if path != gone}
        with pytest.raises(DomainError, match=f"{re.escape(gone)} is needed"):
            replace(made, values=less).build()


def test_a_varied_value_is_built_and_keeps_its_spread() -> None:
    design = by_hand().vary({"bearing.1.up": 0.534})
    assert design.build().bearings[0].point[2] == pytest.approx(0.534)
    reading = design.readings["bearing.1.up"]
    assert (reading.value, reading.spread) == (0.534, pytest.approx(0.003))


def test_arrays_broadcast_and_each_row_is_the_design_of_its_numbers() -> None:
    ups = np.array([0.52, 0.53, 0.54])
    many = by_hand().vary({"bearing.1.up": ups, "output.slope": 0.05}).build()
    assert many.output.slope == 0.05
    for row, up in enumerate(ups):
        alone = by_hand().vary({"bearing.1.up": up, "output.slope": 0.05}).build()
        np.testing.assert_array_equal(many.bearings[0].point[row], alone.bearings[0].point)
        assert many.shafts[0].mass[row] == alone.shafts[0].mass
    with pytest.raises(DomainError, match="differ in length"):
        by_hand().vary({"bearing.1.up": ups, "output.slope": ups[:2]})


def test_the_other_word_of_a_pair_takes_its_place() -> None:
    design = by_hand().vary({"bearing.1.down": 0.1, "pinion.left": 0.03})
    assert design.build().bearings[0].point[2] == pytest.approx(-0.1)
    assert design.build().pinion.point[1] == pytest.approx(-0.03)
    assert "bearing.1.up" not in design.values
    assert design.readings["bearing.1.down"].spread == pytest.approx(0.003)


def test_droop_and_bump_of_the_travel_are_no_pair() -> None:
    travel = by_hand().vary({"travel.droop": 0.08}).build().travel
    assert (travel.droop, travel.bump) == (0.08, pytest.approx(0.095))


@pytest.mark.parametrize("path", ["pinion.nose_up", "suspension.wrap_control", "spline.shorter"])
def test_what_was_left_out_may_be_given(path: str) -> None:
    varied = by_hand().vary({path: 0.02})
    assert varied.values[path] == 0.02
    varied.build()


@pytest.mark.parametrize(
    ("path", "near"), [("bearing.1.upp", "bearing.1.up"), ("bearing.2.up", "bearing.1.up")]
)
def test_a_path_that_is_none_is_refused_with_what_is_near(path: str, near: str) -> None:
    with pytest.raises(DomainError, match=rf"has no {path}; near it: .*{near}"):
        by_hand().vary({path: 0.5})


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_any_value_may_be_an_array_alone(path: Path) -> None:
    for read in load_scene(path).configurations:
        for key, value in read.design.values.items():
            rows = read.design.vary({key: np.full(3, value)}).build()
            assert np.broadcast_shapes(np.shape(rows.output.point[..., 0]), (3,)) == (3,), key
            for many, one in zip(rows.shafts, read.shafts, strict=True):
                np.testing.assert_allclose(many.mass, one.mass, rtol=1e-12)
            for many, one in zip(rows.joints, read.joints, strict=True):
                np.testing.assert_allclose(many.swing_radius, one.swing_radius, rtol=1e-12)


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_every_configuration_is_what_its_design_builds(path: Path) -> None:
    for read in load_scene(path).configurations:
        built = read.design.build()
        np.testing.assert_array_equal(built.pinion.point, read.pinion.point)
        assert built.shafts == read.shafts
        assert built.readings == read.readings
        for one in (pickle.loads(pickle.dumps(read)), copy.deepcopy(read)):
            assert one.design.build().shafts == read.shafts
            assert one.readings == read.readings
