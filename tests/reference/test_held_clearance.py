"""Clearance in held postures against SciPy's bounded least squares, and design by design.

Distances are the exact ones of ``distance``; here they are found again with ``lsq_linear`` from
points on axes and in boxes, and parts are laid out again from joint centers.
"""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from typing import Any

import numpy as np
import pytest
import samples
from scipy.optimize import lsq_linear

from sim.measure.clearance.bodies import rods_of
from sim.measure.clearance.clearance import measure_clearances
from sim.measure.clearance.held import clearances_at
from sim.measure.clearance.result import GROUND
from sim.motion.postures import Postures, postures
from sim.motion.sweep import sweep_states
from sim.scene.parts import Configuration, Obstacle

DESIGNS = 5


def thing(name: str, start: Any, end: Any, **more: Any) -> Obstacle:
    """Return an obstacle from millimeters."""
    made = {"pipe": None, "moves": 0.0, "rides_on": "frame", "kind": "fixed part", **more}
    return Obstacle(
        name=name,
        start=samples.place(*start),
        end=samples.place(*end),
        least_clearance=None,
        **made,
    )


THINGS = (
    thing("crossmember", (2700, -430, 600), (2760, 430, 650)),
    thing("tank", (3150, -170, 640), (2050, -480, 360)),
    thing("exhaust", (1900, 165, 470), (3200, 120, 500), pipe=0.07, moves=0.01, kind="exhaust"),
    thing("cover", (3600, -40, 458), (3700, 80, 480), rides_on="axle"),
    thing("line", (3000, 60, 640), (4300, 150, 480), pipe=0.01, rides_on="axle", kind="line"),
)
MAKES = [samples.one_piece, samples.two_piece, samples.three_piece, samples.car, samples.links_van]


def held_in(configuration: Configuration) -> tuple[Postures, np.ndarray, np.ndarray]:
    """Return postures at some travels, rolls and torques, with both."""
    limits = configuration.travel
    assert limits is not None
    travel = np.array([0.0, -limits.droop, limits.bump, 0.0, 0.02])
    roll = np.array([0.0, 0.0, 0.0, limits.roll, 0.0])
    return postures(configuration, travel, roll, [0, 0, 0, 0, 3000.0]), travel, roll


def apart(obstacle: Obstacle, first: np.ndarray, last: np.ndarray) -> float:
    """Return the distance of an obstacle from a segment by bounded least squares [m]."""
    along = (last - first)[:, None]
    if obstacle.pipe is None:
        low, high = (f(obstacle.start, obstacle.end) for f in (np.minimum, np.maximum))
        matrix, bounds = np.hstack([along, -np.eye(3)]), ([0, *low], [1, *high])
        shift, reach = -first, 0.0
    else:
        matrix, bounds = np.column_stack([along, obstacle.start - obstacle.end]), (0, 1)
        shift, reach = obstacle.start - first, obstacle.pipe / 2
    found = lsq_linear(matrix, shift, bounds=bounds, method="bvls", tol=1e-15)
    return float(np.sqrt(2 * found.cost)) - reach - obstacle.moves


@pytest.mark.parametrize("make", MAKES[:3])
def test_shafts_are_as_far_from_everything_as_least_squares_says(make: Any) -> None:
    made = make(obstacles=THINGS)
    held, travel, roll = held_in(made)
    pairs, found = clearances_at(made, held, travel, roll)
    assert found.shape == (5, len(pairs))
    for state in range(5):
        for shaft, part in enumerate(made.shafts):
            ends = held.joint_center[state, shaft : shaft + 2]
            turned = (ends - held.axle_center[state]) @ held.axle_rotation[state] + made.axle
            for thing in THINGS:
                view = turned if thing.rides_on == "axle" else ends
                expected = apart(thing, *view) - part.tube.outside / 2
                column = pairs.index((f"shaft {shaft + 1}", thing.name, True))
                assert found[state, column] == pytest.approx(expected, abs=1e-7)


@pytest.mark.parametrize("make", MAKES)
def test_ride_height_is_what_the_search_over_continuous_motion_starts_from(make: Any) -> None:
    """The same pairs, in another way of working: and no posture is nearer than is certified."""
    made = make(obstacles=THINGS)
    states = [s for s in sweep_states(made, heights=3) if s.height and s.case == "no torque"]
    held = postures(made, [s.travel for s in states], [s.roll for s in states])
    pairs, found = clearances_at(
        made, held, np.array([s.travel for s in states]), np.array([s.roll for s in states])
    )
    searched = [c for c in measure_clearances(made, states)[0] if c.case == "no torque"]
    assert {(c.part, c.obstacle, c.size_known) for c in searched} == set(pairs)
    rest = next(k for k, s in enumerate(states) if s.height == "ride height" and not s.roll)
    for one in searched:
        column = found[:, pairs.index((one.part, one.obstacle, one.size_known))]
        assert column[rest] == pytest.approx(one.at_rest, abs=1e-12)
        assert column.min() >= one.distance - one.certified_within - 1e-12


def test_the_ground_rises_with_the_wheels() -> None:
    # Level, a shaft's lower end over the ground: z − z_axle − travel + tire radius − tube radius.
    made = samples.one_piece()
    held, travel, roll = held_in(made)
    pairs, found = clearances_at(made, held, travel, roll)
    level = held.joint_center[:, :2, 2].min(axis=1) - 0.395 - travel + 0.395 - 0.1016 / 2
    column = found[:, pairs.index(("shaft 1", GROUND, True))]
    assert column[roll == 0] == pytest.approx(level[roll == 0], abs=1e-12)


def test_leaf_packs_reach_from_the_seat_to_eyes_that_their_springs_hold() -> None:
    """The front eye is bolted on; the rear eye hangs on the shackle: rigid links keep lengths."""
    made = samples.one_piece()
    held, _, roll = held_in(made)
    rods, springs = rods_of(made, held), made.suspension
    for name, right in (("left leaf pack", -0.5), ("right leaf pack", 0.5)):
        front, rear = rods.parts()[name]
        beside = np.array([0.0, right * springs.spacing, 0.0])
        np.testing.assert_allclose(rods.end[:, front], [springs.front_eye + beside] * 5, atol=1e-12)
        seat = held.axle_center + held.axle_rotation @ np.add(beside, [0, 0, springs.seat_height])
        for rod in (front, rear):
            np.testing.assert_allclose(rods.start[:, rod], seat, atol=1e-12)
        hung = np.linalg.norm(rods.end[:, rear] - springs.shackle_pivot - beside, axis=1)
        assert hung[roll == 0] == pytest.approx(springs.shackle, abs=1e-9)


def test_axle_tubes_end_at_the_tires() -> None:
    made = samples.one_piece()
    held, _, _ = held_in(made)
    rods = rods_of(made, held)
    (tubes,) = rods.parts()["axle tubes"]
    for side, ends in ((-1, rods.start), (1, rods.end)):
        middle = held.axle_center + held.axle_rotation @ np.array([0.0, side * 1.7 / 2, 0.0])
        np.testing.assert_allclose(ends[:, tubes], middle, atol=1e-12)


@pytest.mark.parametrize(("kind", "reach"), [("universal", 0.030), ("double cardan", 0.0675)])
def test_yokes_reach_half_their_swing_radius_beyond_the_crosses(kind: Any, reach: float) -> None:
    # Sizes in proportion, no source: swing radius 60 mm; crosses 75 mm apart.
    made = samples.one_piece()
    apart = 0.075 if kind == "double cardan" else 0.0
    first = replace(made.joints[0], kind=kind, between_crosses=apart)
    made = replace(made, joints=(first, made.joints[1]))
    held, _, _ = held_in(made)
    rods = rods_of(made, held)
    for rod, member, sign in zip(rods.parts()["joint 1"], (0, 1), (-1, 1), strict=True):
        end = held.joint_center[:, 0] + sign * reach * held.axis[:, member]
        np.testing.assert_allclose(rods.end[:, rod], end, atol=1e-12)


def test_a_slip_yoke_shows_its_gap_ahead_of_its_joint() -> None:
    # 40 mm of gap and the slip, and the swing radius of 60 mm, along the output.
    made = samples.one_piece()
    held, _, _ = held_in(made)
    rods = rods_of(made, held)
    (yoke,) = rods.parts()["slip yoke"]
    shown = rods.start[:, yoke] - rods.end[:, yoke]
    bare = 0.040 + held.slip + 0.060
    np.testing.assert_allclose(shown, bare[:, None] * held.axis[:, 0], atol=1e-12)


def test_a_bracket_is_a_hoop_with_a_foot_on_it() -> None:
    """A line passes 10 mm above the foot, or 10 mm below the hoop; sizes assumed, no source."""
    made = samples.two_piece()
    hoop = 0.37 * 88.9 + 26
    above, below = (
        thing("line", (2300, 0, up), (2500, 0, up), pipe=0.006, kind="line")
        for up in (531 + hoop + 18 + 3 + 10, 531 - hoop - 3 - 10)
    )
    for line in (above, below):
        each = replace(made, obstacles=(line,))
        pairs, found = clearances_at(each, *held_in(each))
        column = found[:, pairs.index(("bearing 1", "line", False))]
        assert column == pytest.approx(0.010, abs=1e-9)


def test_the_ground_tilts_with_the_axle() -> None:
    """Rolled, the ground is square to the axle's up: below the axle center by the tire's radius."""
    made = samples.one_piece()
    held, travel, roll = held_in(made)
    pairs, found = clearances_at(made, held, travel, roll)
    column = found[:, pairs.index(("joint 2", GROUND, False))]
    rods = rods_of(made, held)
    for state in np.flatnonzero(roll):
        up = np.array([0.0, -np.sin(roll[state]), np.cos(roll[state])])
        ends = [s[state, rod] for rod in rods.parts()["joint 2"] for s in (rods.start, rods.end)]
        middle = np.array([0.0, 0.0, held.axle_center[state, 2]])
        height = min((end - middle) @ up for end in ends) + 0.395 - 0.060
        assert column[state] == pytest.approx(height, abs=1e-12)


def of_row(value: Any, row: int) -> Any:
    """Return a configuration, or a part of one, as it is in one of the designs."""
    if is_dataclass(value) and not isinstance(value, type):
        return replace(
            value, **{f.name: of_row(getattr(value, f.name), row) for f in fields(value)}
        )
    if isinstance(value, tuple):
        return tuple(of_row(part, row) for part in value)
    if isinstance(value, np.ndarray) and value.shape in ((DESIGNS,), (DESIGNS, 3)):
        return float(value[row]) if value.ndim == 1 else value[row]
    return value


def many(configuration: Configuration) -> Configuration:
    """Return designs whose parts and obstacles differ in place and size."""
    random = np.random.default_rng(17)

    def near(value: Any, by: float) -> np.ndarray:
        value = np.asarray(value, float)
        return value + by * random.uniform(-1, 1, (DESIGNS, *value.shape))

    tubes = [replace(s.tube, outside=near(s.tube.outside, 0.01)) for s in configuration.shafts]
    return replace(
        configuration,
        shafts=tuple(
            replace(s, tube=tube) for s, tube in zip(configuration.shafts, tubes, strict=True)
        ),
        joints=tuple(
            replace(j, swing_radius=near(j.swing_radius, 0.005)) for j in configuration.joints
        ),
        bearings=tuple(replace(b, point=near(b.point, 0.01)) for b in configuration.bearings),
        vehicle=replace(
            configuration.vehicle,
            tire_radius=near(configuration.vehicle.tire_radius, 0.01),
            track=near(configuration.vehicle.track, 0.1),
        ),
        axle=near(configuration.axle, 0.01) * [1, 0, 1],
        spline=replace(configuration.spline, gap=near(configuration.spline.gap, 0.005)),
        obstacles=tuple(
            replace(
                o,
                start=near(o.start, 0.05),
                end=near(o.end, 0.05),
                moves=near(o.moves + 0.005, 0.005),
                pipe=None if o.pipe is None else near(o.pipe, 0.004),
            )
            for o in configuration.obstacles
        ),
    )


@pytest.mark.parametrize("make", MAKES)
def test_many_designs_at_once_are_each_design_by_itself(make: Any) -> None:
    together = many(make(obstacles=THINGS))
    alone = [of_row(together, row) for row in range(DESIGNS)]
    held = [held_in(design) for design in alone]
    names = ("joint_center", "axis", "slip", "output_slip", "axle_center", "axle_rotation")
    stacked = replace(
        held[0][0],
        **{name: np.stack([getattr(h[0], name) for h in held], axis=1) for name in names},
    )
    travel, roll = (np.stack([h[k] for h in held], axis=1) for k in (1, 2))
    pairs, found = clearances_at(together, stacked, travel, roll)
    assert found.shape == (5, DESIGNS, len(pairs))
    for row, design in enumerate(alone):
        each, expected = clearances_at(design, *held[row])
        assert each == pairs
        np.testing.assert_allclose(found[:, row], expected, rtol=0, atol=1e-12)
