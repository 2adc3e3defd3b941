"""Torque, tubes and torsional frequencies against worked examples and handbook formulas.

Brown: Brown University ENGN0310 course notes, torsion SP1.  MecMovies: M06.23 (Philpot).
Three rotors: a textbook problem (data at transtutors 1418436; its answers are worked out in the
test by the frequency equation, since the page hides them).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import samples

from sim.measure.measure import measure
from sim.measure.sizing import joint_ratings
from sim.measure.torsion import (
    buckling_torque,
    polar_moment,
    shaft_torques,
    shear_stress,
    torsional_stiffness,
    tube_strengths,
    yield_torque,
)
from sim.measure.torsional_modes import chain_frequencies, measure_torsional_modes
from sim.motion.solve import solve
from sim.scene.materials import MATERIALS
from sim.scene.parts import Torsion

INCH = 0.0254
HZ = 2 * np.pi
OUTSIDE, WALL = 3.0 * INCH, 0.083 * INCH  # a common tube
TUBE_J = polar_moment(OUTSIDE, OUTSIDE - 2 * WALL)


@pytest.mark.parametrize(
    ("outside", "inside", "expected", "tolerance"),
    [
        (0.030, 0.0, 7.95216e-8, 5e-14),  # Brown, printed
        (0.075, 0.055, 2_207_951e-12, 0.5e-12),  # MecMovies, printed
        (0.075, 0.0, 3_106_311e-12, 0.5e-12),  # MecMovies, printed
        (OUTSIDE, OUTSIDE - 2 * WALL, 6.7400574840e-7, 1e-17),  # π/32 (D⁴ − d⁴), 40 digits
    ],
)
def test_polar_moments_are_as_printed(outside, inside, expected, tolerance):
    assert polar_moment(outside, inside) == pytest.approx(expected, abs=tolerance)


def test_a_bar_twists_as_in_the_course_notes():
    # Brown: solid 30 mm, G 77 GPa, 250 N m, 0.4 m: 0.0163314 rad = 0.93572 deg.
    twist = 250 / torsional_stiffness(77e9, polar_moment(0.030, 0.0), 0.4)
    assert twist == pytest.approx(0.0163314, abs=5e-8)
    assert np.rad2deg(twist) == pytest.approx(0.93572, abs=5e-6)


# 3.0 x 0.083 in, worked out with 40 digits from the handbook formulas.
@pytest.mark.parametrize(
    ("found", "expected", "share"),
    [
        (shear_stress(1500.0, OUTSIDE, TUBE_J), 84.79156169755e6, 1e-9),
        (yield_torque(414e6, OUTSIDE, TUBE_J), 4228.422144714, 1e-9),
        (torsional_stiffness(79.6e9, TUBE_J, 1.4), 38322.04112334, 1e-9),
        (buckling_torque(OUTSIDE, WALL, 207e9, 0.3), 12923.57044773, 1e-9),
        # Steel shaft used as a benchmark in papers on composite shafts, OD 90, wall 3.32 mm:
        # buckling about 43 860 N m, from memory; a sanity check within 4 %.
        (buckling_torque(0.090, 0.00332, 207e9, 0.3), 43_860.0, 0.04),
    ],
)
def test_a_tube_in_torsion_is_as_handbooks_say(found, expected, share):
    assert found == pytest.approx(expected, rel=share)


@pytest.mark.parametrize(("material", "yield_stress"), [("steel", 60e3), ("aluminum", 40e3)])
def test_yields_are_the_usual_minimum_in_psi(material, yield_stress):
    # From memory: 60 ksi welded or drawn 1020 tube, 40 ksi 6061-T6.
    pound_per_square_inch = 4.4482216152605 / INCH**2
    found = MATERIALS[material].yield_stress / pound_per_square_inch
    assert found == pytest.approx(yield_stress, rel=2e-3)


# --- what reaches the shafts ------------------------------------------------------------------


def test_the_tires_hold_less_than_low_range_gives():
    # 610 N m · 4.17 · 1.9 · 0.92 = 4446 N m; low range 2.64 times that.  Tires:
    # 0.9 · 14200 N · 1.2 · 0.395 m / (4.1 · 0.96) = 1539 N m.  Efficiencies: common practice.
    torques = shaft_torques(samples.two_piece())
    engine = 610 * 4.17 * 1.9 * 0.92
    tires = 0.9 * 14200 * 1.2 * 0.395 / (4.1 * 0.96)
    assert torques.engine == pytest.approx(engine, rel=1e-9)
    assert torques.low_range == pytest.approx(2.64 * engine, rel=1e-9)
    assert torques.tires == pytest.approx(tires, rel=1e-9)
    assert torques.most == pytest.approx(tires, rel=1e-9)


def changed(**vehicle):
    made = samples.one_piece()
    return replace(made, vehicle=replace(made.vehicle, **vehicle))


@pytest.mark.parametrize(
    ("vehicle", "most", "name"),
    [
        # A heavy axle on a weak engine: the engine decides, in low range.
        ({"axle_load": 90e3, "engine_torque": 200.0}, 200 * 4.17 * 1.9 * 0.92 * 2.64, "low range"),
        ({"axle_load": None}, 610 * 4.17 * 1.9 * 0.92 * 2.64, "low range"),
        ({"engine_torque": None}, 0.9 * 14200 * 1.2 * 0.395 / (4.1 * 0.96), "hard launch"),
        ({"axle_load": 90e3, "low_range": 1.0}, 610 * 4.17 * 1.9 * 0.92, "hard launch"),
    ],
)
def test_the_lesser_of_engine_and_tires_decides(vehicle, most, name):
    torques = shaft_torques(changed(**vehicle))
    assert torques.most == pytest.approx(most, rel=1e-9)
    assert name in torques.most_name


def test_a_tube_is_judged_by_its_own_certificate():
    made = samples.one_piece()
    shaft = made.shafts[0]
    own = replace(made, shafts=(replace(shaft, tube=replace(shaft.tube, yield_stress=250e6)),))
    usual, certified = (tube_strengths(c, [1.9], 1000.0)[0] for c in (made, own))
    assert certified.yield_torque / usual.yield_torque == pytest.approx(250 / 414, rel=1e-12)
    assert (usual.certified, certified.certified) == (False, True)
    assert certified.twist == pytest.approx(1000 * 1.9 / (79.6e9 * polar_moment(0.1016, 0.0974)))


@pytest.mark.parametrize(
    ("series", "torque"),
    [
        ("1310", 1085),
        ("1330", 1207),
        ("1350", 1680),
        ("1410", 2034),
        ("1480", 2657),
        ("1550", 3593),
    ],
)
def test_a_series_has_its_usual_short_rating(series, torque):
    # From memory: short-duration torque of light joint series, to be confirmed by the maker.
    made = samples.two_piece(series=series)
    first = replace(made.joints[0], rated_torque=999.0)
    last = replace(made.joints[2], kind="constant velocity")
    found = joint_ratings(replace(made, joints=(first, made.joints[1], last)))
    assert [(r.torque, r.own) for r in found] == [(999.0, True), (torque, False), (None, False)]


# --- torsional natural frequencies ----------------------------------------------------------------


def test_two_rotors_on_a_tube_swing_against_each_other():
    # f = sqrt(k (I1 + I2)/(I1 I2))/(2 π), 0.05 and 0.15 kg m² on the tube above: 160.8899 Hz.
    found = chain_frequencies([0.05, 0.15], [38322.04112334])
    assert found[0] == pytest.approx(0.0, abs=1e-3)
    assert found[1] / HZ == pytest.approx(160.8899119731, rel=1e-9)


def test_three_rotors_swing_as_the_frequency_equation_says():
    # 0.3, 0.6, 0.18 kg m²; 1.5 m and 1.0 m of 70 mm shaft, G 84 GPa: 120.694 and 195.893 Hz.
    stiffness = torsional_stiffness(84e9, polar_moment(0.070, 0.0), np.array([1.5, 1.0]))
    found = chain_frequencies([0.3, 0.6, 0.18], stiffness)
    np.testing.assert_allclose(found[1:] / HZ, [120.6944391619, 195.8926249876], rtol=1e-9)


def test_one_rotor_on_a_spring_swings_as_every_handbook_says():
    assert chain_frequencies([2.0], [], held=800.0) == pytest.approx(20.0, rel=1e-12)


KNOWN = Torsion(engine_inertia=0.35, axle_inertia=0.03, half_shaft_stiffness=21_000.0, gear=1.5)


def twisted_end(frequency: float, made, length) -> float:
    """Return the torque left over at the ground by Holzer's table, for a unit swing of the engine.

    Walks from the engine down the shafts; a natural frequency leaves nothing over.
    """
    square, swing, torque = frequency**2, 1.0, 0.0
    half = 0.0
    for number, (shaft, long) in enumerate(zip(made.shafts, length, strict=True)):
        outer, inner = shaft.tube.outside / 2, shaft.tube.inside / 2
        polar = np.pi / 2 * (outer**4 - inner**4)
        inertia = half + 7850 * polar * long / 2 + (0.35 * 1.5**2 if number == 0 else 0.0)
        torque += inertia * square * swing
        swing -= torque * long / (79.6e9 * polar)
        half = 7850 * polar * long / 2
    torque += (half + 0.03) * square * swing
    return torque - 21_000.0 / made.vehicle.axle_ratio**2 * swing


@pytest.mark.parametrize("make", [samples.one_piece, samples.two_piece, samples.three_piece])
def test_a_driveline_swings_as_holzers_table_says(make):
    made = make(torsion=KNOWN)
    length = solve(made, turn_angle=np.array([0.0])).reference.length
    modes = measure_torsional_modes(made, length).modes
    assert len(modes) == len(made.shafts) + 1
    for mode in modes:
        around = [twisted_end(mode.frequency * (1 + off), made, length) for off in (-1e-6, 1e-6)]
        assert around[0] * around[1] < 0


def test_the_twice_per_turn_shake_meets_a_mode_at_half_its_frequency():
    made = samples.one_piece(torsion=KNOWN)
    modes = measure_torsional_modes(made, [1.9]).modes
    for mode in modes:
        turns = mode.frequency / HZ / 2  # of the shaft, each second
        assert mode.road_speed == pytest.approx(turns / 4.1 * 2.545, rel=1e-12)
        assert mode.engine_speed == pytest.approx(turns * HZ * 1.5, rel=1e-12)
        slow = mode.road_speed <= 155 / 3.6
        assert mode.reached == (slow and mode.engine_speed <= 5600 * HZ / 60)
    assert [mode.reached for mode in modes] == [True, False]


@pytest.mark.parametrize("key", ["engine_inertia", "axle_inertia", "half_shaft_stiffness", "gear"])
def test_what_is_missing_is_named_and_nothing_stands_in(key):
    made = samples.one_piece(torsion=replace(KNOWN, **{key: None}))
    found = measure(solve(made)).strength.modes
    assert (found.missing, found.modes) == ((key,), ())
