"""Rows of shafts on their supports against closed forms, statics, and the balance of power.

Jeffcott's rotor, beams by four wave functions: any text on the dynamics of rotors and beams.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sim.explore.shaken_draws import draws_of
from sim.measure.bearing_load import forces_over_a_turn
from sim.measure.couples import joint_moments
from sim.measure.shake.couples import joint_waves, polar_inertia
from sim.measure.shake.loads import couple_loads, turning_loads
from sim.measure.shake.response import Supports, longest, shaken, support_forces
from sim.measure.shake.row import Row, free_row, row_of, with_stub
from sim.measure.shake.unknown import levers_of, supports_of
from sim.measure.whirl.beam import Section
from sim.measure.whirl.modes import Piece, Span
from sim.motion.solve import solve
from sim.motion.sweep import sweep_states
from sim.scene.parts import Configuration
from sim.scene.reader import load_scene

GRAVITY = 9.80665  # standard gravity, exact (ISO 80000-3)
SCENES = sorted((Path(__file__).parents[2] / "scenes").glob("*.toml"))
BENDING, LENGTH = 2e4, 2.0  # [N m²], [m]
OMEGA = np.linspace(5, 900, 40)[None]  # [rad/s]


def slender(line_mass: float, pieces: int = 2, bubbles: int = 5) -> Row:
    """Return one slender beam that also hangs at its middle."""
    section = Section(bending=BENDING, shear=np.inf, line_mass=line_mass, tilt=0.0)
    piece = Piece(length=LENGTH / pieces, section=section, bubbles=bubbles)
    return free_row((Span(pieces=(piece,) * pieces, hung_behind=pieces // 2),), rows=1)


def supports(*held: tuple[float, float, float]) -> Supports:
    stiffness, loss, mass = (np.array([column]) for column in zip(*held, strict=True))
    return Supports(stiffness=stiffness, loss=loss, mass=mass)


def at_middle(row: Row) -> np.ndarray:
    """Return the load of 1 N at the middle in every mode, (1, K, 1)."""
    return row.place[:, 1, :, None]


def test_a_disc_on_a_light_shaft_swings_as_jeffcotts_rotor():
    # q = U Ω²/(48 E I/L³ + k (1 + jη) − m Ω²); the shaft weighs a five-millionth of the disc.
    disc, stiff, loss, unbalance = 5.0, 3e4, 0.1, 1e-3
    row = slender(5e-7)
    free = shaken(row, at_middle(row), OMEGA, 0.0)
    moved = free.moved * (unbalance * OMEGA**2)[..., None, None]
    held = supports((np.inf, 0, 0), (stiff, loss, disc), (np.inf, 0, 0))
    found = support_forces(free, moved, held, OMEGA)[0, :, 1, 0] / (stiff * (1 + 1j * loss))
    whole = 48 * BENDING / LENGTH**3 + stiff * (1 + 1j * loss) - disc * OMEGA[0] ** 2
    np.testing.assert_allclose(found, unbalance * OMEGA[0] ** 2 / whole, rtol=1e-5)


def test_a_beam_on_lossy_springs_swings_by_its_four_wave_functions():
    # Half of it: no slope and half of the force at the middle, no moment and the spring at its end.
    line_mass, spring, loss = 4.0, 4e5, 0.1
    row = slender(line_mass)
    ends = replace(row, place=row.place[:, [0, 2]])
    free = shaken(ends, at_middle(row), OMEGA, 0.0)
    found = support_forces(free, free.moved, supports(*[(spring, loss, 0.0)] * 2), OMEGA)
    half, k = LENGTH / 2, spring * (1 + 1j * loss)
    for omega, force in zip(OMEGA[0], found[0, :, :, 0], strict=True):
        b = (line_mass * omega**2 / BENDING) ** 0.25
        c, d, p, q = np.cos(b * half), np.sin(b * half), np.cosh(b * half), np.sinh(b * half)
        shear = BENDING * b**3
        balance = [
            [0, 1, 0, 1],
            [0, -1, 0, 1],
            [-c, -d, p, q],
            [shear * d - k * c, -shear * c - k * d, shear * q - k * p, shear * p - k * q],
        ]
        wave = np.linalg.solve(balance, [0, 0.5 / shear, 0, 0])
        expected = k * (wave @ [c, d, p, q])
        np.testing.assert_allclose(force, expected, rtol=1e-6)


def test_what_is_lost_in_the_beam_takes_the_place_of_its_stiffness():
    # Rigid ends, a force at the middle: E I (1 + jη) in the closed form, sin and sinh of half.
    line_mass, loss = 4.0, 0.03
    row = slender(line_mass)
    ends = replace(row, place=row.place[:, [0, 2]])
    free = shaken(ends, at_middle(row), OMEGA, loss)
    found = support_forces(free, free.moved, supports(*[(np.inf, 0.0, 0.0)] * 2), OMEGA)
    b = (line_mass * OMEGA[0] ** 2 / (BENDING * (1 + 1j * loss))) ** 0.25 * LENGTH / 2
    # pinned ends: shear at an end by a unit force at the middle is (1/cos b + 1/cosh b)/4
    expected = (1 / np.cos(b) + 1 / np.cosh(b)) / 4
    np.testing.assert_allclose(found[0, :, 0, 0], expected, rtol=1e-5)
    np.testing.assert_allclose(found[0, :, 1, 0], expected, rtol=1e-5)


def truck(name: str) -> Configuration:
    return load_scene(SCENES[0].parent / "orchard_service_truck.toml").configuration(name)


def rigid_load(row: Row) -> np.ndarray:
    """Return the load that pushes every mass by its weight, (1, K, 1).

    Hinged shafts move as a whole in as many ways as there are places, which settles how much of
    each moves all places alike.
    """
    still = np.argsort(row.square[0])[: row.place.shape[1]]
    share = np.zeros((1, row.square.shape[1], 1))
    share[0, still, 0] = np.linalg.solve(row.place[0][:, still], np.ones(len(still)))
    return share * GRAVITY


def test_weight_rests_on_the_places_as_two_rigid_shafts_do():
    # The first shaft turns about the output: half of its weight, and half of the second one's at
    # its rear, by L over the length to the bearing.
    built = truck("two-piece")
    length = solve(built).reference.length[None]
    row, slow = row_of(built, length), np.array([[0.05]])
    free = shaken(row, rigid_load(row), slow, 0.0)
    stiff = supports((np.inf, 0, 0), (80e3, 0, 0), (np.inf, 0, 0))
    found = support_forces(free, free.moved, stiff, slow)[0, 0, :, 0].real
    mass = np.array([shaft.mass for shaft in built.shafts])
    assert found.sum() == pytest.approx(mass.sum() * GRAVITY, rel=1e-4)
    ahead = length[0, 0] - built.bearings[0].to_joint
    assert found[1] == pytest.approx(mass.sum() / 2 * GRAVITY * length[0, 0] / ahead, rel=1e-4)


EVERY = [
    pytest.param(path.stem, one.name, id=f"{path.stem}-{one.name}")
    for path in SCENES
    for one in load_scene(path).configurations
]
UNKNOWN = {
    "rubber loss": 0.1,
    "tube loss": 0.02,
    "output stiffness": 180e3,
    "output mass": 70.0,
    "pinion stiffness": 370e3,
    "pinion mass": 30.0,
    "end loss": 0.15,
}


def shipped(stem: str, name: str) -> Configuration:
    return load_scene(SCENES[0].parent / f"{stem}.toml").configuration(name)


@pytest.mark.parametrize(("stem", "name"), EVERY)
@pytest.mark.parametrize("rigid", [True, False])
def test_power_put_in_is_lost_in_rubber_ends_and_tubes(stem, name, rigid):
    # Put in: ω/2 Im(f q*), q by all that acts on the free row; lost: ω/2 k η |q|² in every support
    # and ω/2 η ω_k² |a_k|² in every mode.
    built = shipped(stem, name)
    row = row_of(built, solve(built).reference.length[None])
    unknown = {key: np.array([value]) for key, value in UNKNOWN.items()}
    held = supports_of(built, unknown, rigid=rigid)[1]
    loss, omega = UNKNOWN["tube loss"], np.array([[70.0, 300.0, 900.0]])
    shafts = (1, len(built.shafts))
    bent, heavy = turning_loads(row, np.full(shafts, 1e-4), np.full(shafts, 1e-6))
    load = (bent + heavy).sum(axis=2, keepdims=True)
    free = shaken(row, load, omega, loss)
    passed = support_forces(free, free.moved, held, omega)[0, :, :, 0]
    for k, w in enumerate(omega[0]):
        soft = np.isfinite(held.stiffness[0])
        stiffness = np.where(soft, held.stiffness[0], 0.0)
        spring = stiffness * (1 + 1j * held.loss[0])
        moved = np.where(soft, passed[k] / np.where(soft, spring, 1), 0)
        taken = np.where(soft, (spring - w**2 * held.mass[0]) * moved, passed[k])
        mode = (load[0, :, 0] - taken @ row.place[0]) / (row.square[0] * (1 + 1j * loss) - w**2)
        put_in = -w / 2 * np.imag(mode @ load[0, :, 0])
        lost = stiffness * held.loss[0] * np.abs(moved) ** 2
        within = loss * row.square[0] * np.abs(mode) ** 2
        assert put_in > 0
        assert put_in == pytest.approx(w / 2 * (lost.sum() + within.sum()), rel=1e-6)


WITH_BEARINGS = [
    pytest.param(path.stem, one.name, id=f"{path.stem}-{one.name}")
    for path in SCENES
    for one in load_scene(path).configurations
    if one.bearings
]


@pytest.mark.parametrize(("stem", "name"), WITH_BEARINGS)
def test_slowly_the_joints_load_the_bearings_as_the_balance_of_each_shaft_says(stem, name):
    # Statics of every shaft over a turn, its ends and bearing where they are, no beams at all; in
    # size and direction: aside across the axis and level, upright across both.
    built = shipped(stem, name)
    state = max(sweep_states(built, 0), key=lambda s: s.shaft_torque * (s.height == "ride height"))
    motion = solve(built, states=[state], turn_angle=np.arange(64) * np.pi / 64)
    every = slice(None)
    over, _ = forces_over_a_turn(motion, joint_moments(motion, every), every)
    wave = np.exp(-2j * motion.turn_angle[0])[:, None, None]
    second = 2 * (over[0] * wave).mean(axis=0)
    along = motion.axis[0, 0, 1:-2]
    level = np.array([0.0, 1.0, 0.0]) - along[:, 1:2] * along
    level /= np.linalg.norm(level, axis=-1, keepdims=True)
    planes = np.stack([level, np.cross(along, level)], axis=1)
    expected = np.einsum("bpi,bi->bp", planes, second)
    drawn = draws_of(built, [state], 0)
    row = row_of(with_stub(drawn.configuration, drawn.slip[0]), drawn.length[0])
    waves = joint_waves(built, drawn.axis[0], polar_inertia(built, drawn.length[0]))
    loads, slow = couple_loads(row, waves, levers_of(built)), np.array([[0.05]])
    free = shaken(row, loads.pattern, slow, 0.0)
    moved = np.einsum("bvpc,bci->bvpi", free.moved, state.shaft_torque * loads.by_torque)
    unknown = {key: np.array([value]) for key, value in UNKNOWN.items()}
    held = supports_of(built, unknown, rigid=True)[0]
    force = support_forces(free, moved, held, slow)[0, 0]
    size = longest(expected[:, 0], expected[:, 1])
    np.testing.assert_allclose(longest(force[1:-1, 0], force[1:-1, 1]), size, rtol=0.01)
    assert np.all(np.abs(force[1:-1] - expected) < 0.02 * size[:, None])
