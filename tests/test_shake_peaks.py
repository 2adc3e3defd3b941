"""What the joints hand on where they meet a mode, against one mode worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import samples

from sim.explore.evaluate import evaluate
from sim.measure.angles import mean_axis
from sim.measure.measure import measure
from sim.measure.measurements import Measurements
from sim.measure.shake.couples import across_planes, joint_waves, polar_inertia
from sim.motion.solve import solve
from sim.motion.sweep import sweep_states
from sim.scene.parts import Configuration, TorqueCase
from sim.scene.reader import load_scene

TRUCK = Path(__file__).parents[1] / "scenes/orchard_service_truck.toml"
YOUNG, DENSITY = 207e9, 7850.0  # steel, any handbook
RUBBER_LOSS = 0.10  # of a bearing's rubber, from memory of handbooks
# Usual, and 5 % inside of 0.06 and of 0.006: common practice, no source.
TUBE_LOSSES = (0.02, 0.0573, 0.0087)
SOFT = 8e3  # [N/m], of a rubber on which shafts are as good as rigid


def on_soft_rubber() -> tuple[Configuration, Measurements]:
    made = samples.two_piece()
    made = replace(made, bearings=(replace(made.bearings[0], radial=SOFT),))
    return made, measure(solve(made))


SOFTLY, READ = on_soft_rubber()
LAUNCH = [k for k, s in enumerate(READ.states) if s.situation == "hard launch"]


@pytest.mark.parametrize("state", LAUNCH)
def test_rigid_shafts_bounce_at_the_root_of_stiffness_over_mass(state: int) -> None:
    """Two rods that turn about their far ends, hinged behind the bearing: any text on dynamics.

    The midship stub slides in by the slip at launch, so hinge and bearing come nearer by that.
    """
    front, rear = READ.numbers.length[0, state]
    slip = READ.numbers.slip[0, state]
    behind = SOFTLY.bearings[0].to_joint + slip
    assert slip < -0.01  # else nothing is shown
    lever = front / (front - behind)  # of the hinge over the bearing
    turned = []
    for shaft, long in zip(SOFTLY.shafts, (front, rear), strict=True):
        area = np.pi / 4 * (shaft.tube.outside**2 - shaft.tube.inside**2)
        rod = DENSITY * area * long
        turned.append(rod / 3 + (shaft.mass - rod) / 2)  # half of what else there is at each end
    omega = np.sqrt(SOFT / (sum(turned) * lever**2))
    turns = omega / 2 / (2 * np.pi)  # twice per turn meets it
    met = turns * SOFTLY.vehicle.tire_circumference / SOFTLY.vehicle.axle_ratio
    assert READ.numbers.deep.bounce_speed[0, state, 0] == pytest.approx(met, rel=2e-3)


@pytest.mark.parametrize("state", LAUNCH)
def test_a_bearing_at_resonance_swings_by_its_force_over_stiffness_and_loss(state: int) -> None:
    """One mode: q = F/(j η k), F the force that it would carry at rest (statics of the joints)."""
    deep, still = READ.numbers.deep, READ.loads.bearing.second[state, 0]
    swing = still / (RUBBER_LOSS * SOFT)
    assert deep.bounce_swing[0, state, 0] == pytest.approx(swing, rel=5e-3)
    force = still * np.hypot(1, RUBBER_LOSS) / RUBBER_LOSS
    assert deep.bounce_force[0, state, 0] == pytest.approx(force, rel=5e-3)


def test_only_where_the_vehicle_pulls_away_is_a_bounce_told() -> None:
    told = READ.numbers.deep.bounce_speed[0, :, 0] > 0
    launched = [s.situation in ("pull-away", "hard launch") for s in READ.states]
    assert told.tolist() == launched


def cruising(torque: float, speed: float) -> Measurements:
    """Return the truck's one piece with so much torque in its shaft [N m] as it cruises."""
    cruise = TorqueCase(name="cruise", shaft_torque=torque, road_speed=speed)
    return measure(solve(samples.one_piece(torque_cases=(TorqueCase(name="no torque"), cruise))))


def longest_of(wave: np.ndarray) -> float:
    """Return how far the end of a turning arrow gets, its two components complex amplitudes."""
    turned = np.exp(1j * np.linspace(0, 2 * np.pi, 3601))[:, None] * wave
    return float(np.linalg.norm(turned.real, axis=-1).max())


@pytest.mark.parametrize("torque", [60.0, 600.0])  # where uneven turning counts, and hardly
def test_a_pinned_tube_at_resonance_pulls_by_its_couples_over_length_and_loss(torque) -> None:
    """First mode sin(π x/L) of a pinned beam, any text on vibration.

    Couples C at its ends load it by C π/L, its mass is μ L/2, and E I (π/L)³ = μ ω² L/π pulls at
    each end per deflection: F = 2 C/(L η), C the sum of both couples.  What does not resonate
    passes on beside it: each end's couple over the shaft, and over the lever to its own center.
    """
    about = cruising(torque, 20.0).numbers.deep.beam_speed[0, 0] / 2  # shaft speed [rad/s]
    made = samples.one_piece()
    per_turn = made.vehicle.tire_circumference / made.vehicle.axle_ratio
    read = cruising(torque, float(about) / (2 * np.pi) * per_turn)  # its torque is that there
    state = next(k for k, s in enumerate(read.states) if s.situation == "cruise")
    length = read.numbers.length[:, state]
    assert read.states[state].height == "ride height"
    tube = made.shafts[0].tube
    area = np.pi / 4 * (tube.outside**2 - tube.inside**2)
    second = np.pi / 64 * (tube.outside**4 - tube.inside**4)
    omega = (np.pi / length[0, 0]) ** 2 * np.sqrt(YOUNG * second / (DENSITY * area))
    assert 2 * about == pytest.approx(omega, rel=0.01)  # shear and rotary inertia are left out
    axis = mean_axis(solve(read.configuration).axis)[None, state]
    waves = joint_waves(read.configuration, axis, polar_inertia(read.configuration, length))
    moment = (torque * waves.by_torque + (omega / 2) ** 2 * waves.by_speed)[0]
    couple = longest_of(across_planes(moment.sum(axis=0), axis[0, 1]))
    levers = np.array([0.9, np.hypot(*(made.axle - made.pinion.point)[[0, 2]])])  # 0.9 m: a guess
    ends = np.array([longest_of(across_planes(one, axis[0, 1])) for one in moment])
    beside = ends / levers + ends.sum() / length[0, 0]
    for k, loss in enumerate(TUBE_LOSSES):
        force, met = read.numbers.deep.half_critical_force[0, k, 0], 2 * couple / (length * loss)
        assert (np.abs(force - met[0, 0]) < 0.02 * met[0, 0] + beside).all()
        assert (beside < 20 * loss * met[0, 0]).all()  # else nothing is shown


def test_what_the_joints_cannot_meet_below_top_speed_is_not_worked_out() -> None:
    """Met below top speed or up to a tenth beyond; the choice is ours."""
    made = samples.one_piece()
    half = cruising(100.0, 20.0).numbers.deep.beam_speed[0, 0] / 2
    met = half / (2 * np.pi) * made.vehicle.tire_circumference / made.vehicle.axle_ratio
    for share, told in ((0.89, False), (0.91, True)):
        vehicle = replace(made.vehicle, top_speed=share * met)
        read = measure(solve(samples.one_piece(vehicle=vehicle)))
        assert bool(read.numbers.deep.half_critical_force.any()) == told


def test_many_designs_are_each_shaken_as_alone() -> None:
    """Also beside one whose axle sits where no spring reaches."""
    for name in ("two-piece", "one-piece"):
        made = load_scene(TRUCK).configuration(name)
        slope = made.readings["pinion.slope"].value
        values = {"pinion.slope": np.array([slope, slope + 0.02, slope])}
        if made.bearings:
            values["bearing.1.aft"] = made.bearings[0].point[0] + np.array([0.0, 0.01, 0.0])
            values["axle.up"] = made.axle[2] + np.array([0.0, 0.0, 2.0])
        together = evaluate(made.design, values, sweep_states(made, heights=2), deep=True)
        assert bool(together.lost[2].any()) == bool(made.bearings)
        for number in range(2):
            one = {path: value[number] for path, value in values.items()}
            alone = evaluate(made.design, one, sweep_states(made, heights=2), deep=True)
            for field in ("bounce_speed", "bounce_force", "bounce_swing", "half_critical_force"):
                found = getattr(together.deep, field)[number]
                assert found == pytest.approx(getattr(alone.deep, field)[0], rel=1e-6), field
        if made.bearings:
            assert not together.deep.bounce_force[2].any()
