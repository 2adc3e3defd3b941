"""Clearance against plane geometry, a least-squares solver, brute force, and a collision engine.

No published clearance of a propeller shaft was found; the routes here are independent of ours:
exact figures from Euclid (3-4-5 and 2-3-6-7), SciPy's bounded least squares, dense sampling of
both bodies over dense travel, and PyBullet's closest points.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import samples
from scipy.optimize import lsq_linear
from scipy.spatial import cKDTree

from sim.measure.clearance.bodies import rods_of
from sim.measure.clearance.certify import Least, Run, bends_of, least_along, tolerance
from sim.measure.clearance.clearance import measure_clearances
from sim.measure.clearance.course import course_of, postures_on
from sim.measure.clearance.distance import segment_to_box, segment_to_segment
from sim.measure.clearance.obstacles import obstacles_of
from sim.measure.clearance.result import Clearance
from sim.motion.postures import postures
from sim.motion.sweep import sweep_states
from sim.scene.parts import Configuration, Obstacle, TorqueCase
from sim.world.engine import engine

MM = 1e-3
SAMPLED = 0.5 * MM
"""Points 4 to 9 mm apart may miss a least distance of 20 mm to an axis by up to 9²/8/20 mm."""


def thing(
    start: tuple[float, float, float],
    end: tuple[float, float, float],
    pipe: float | None = None,
    moves: float = 0.0,
    rides_on: str = "frame",
    kind: str = "fixed part",
) -> Obstacle:
    """Return an obstacle from millimeters."""
    return Obstacle(
        name="thing",
        start=samples.place(*start),
        end=samples.place(*end),
        pipe=None if pipe is None else pipe * MM,
        moves=moves * MM,
        rides_on=rides_on,
        kind=kind,
        least_clearance=None,
    )


CROSSMEMBER = thing((2700, -430, 600), (2760, 430, 650))
TANK = thing((2050, -480, 360), (3150, -170, 640))
LEVEL = replace(samples.TRUCK_TRAVEL, roll=0.0)
EXHAUST = thing((1900, 165, 470), (3200, 120, 500), pipe=70, moves=10)
HANGING = thing((3300, 60, 300), (3420, 200, 345))


def cleared(configuration: Configuration, *obstacles: Obstacle) -> tuple[Clearance, ...]:
    """Return the clearances of a configuration to obstacles."""
    with_them = replace(configuration, obstacles=obstacles)
    return measure_clearances(with_them, sweep_states(configuration))[0]


def nearest(found: tuple[Clearance, ...], part: str, case: str = "no torque") -> Clearance:
    """Return the one clearance of a part to the thing in a torque case."""
    (one,) = (c for c in found if (c.part, c.case, c.obstacle) == (part, case, "thing"))
    return one


ENGINE_BRAKING = next(
    s.wheel_torque for s in sweep_states(samples.two_piece()) if s.case == "engine braking"
)


def truck(configuration: Configuration) -> Configuration:
    """Return a configuration whose output moves in one torque case."""
    moved = tuple(
        replace(c, output_move=(0.0, 0.004, 0.006), output_tip=0.005)
        if c.name == "hard launch"
        else c
        for c in configuration.torque_cases
    )
    return replace(configuration, torque_cases=moved)


# --- plane geometry ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("start", "end", "distance", "share"),
    [
        ((4, 5, -9), (4, 5, 9), 5, None),  # beside an edge: 3 and 4
        ((3, 4, 7), (9, 9, 9), 7, 0.0),  # off a corner: 2, 3 and 6
        ((0.5, 0.5, 3), (0.5, 0.5, 8), 2, 0.0),  # square to a face
        ((-2, 0.5, 0.5), (2, 0.5, 0.5), 0, None),  # right through
        ((-1, 3, 0.5), (3, -1, 0.5), 0, 0.5),  # across the edge at (1, 1), and just touching it
        ((2, 2, 0.5), (2, 2, 0.5), np.sqrt(2), None),  # a point beside an edge
        ((0, 3, 0.5), (3, 0, 0.5), np.sqrt(0.5), 0.5),  # askew past that edge
    ],
)
def test_a_segment_is_as_far_from_a_unit_box_as_plane_geometry_says(
    start: tuple[float, ...], end: tuple[float, ...], distance: float, share: float | None
) -> None:
    found, at = segment_to_box(start, end, (0, 0, 0), (1, 1, 1))
    assert found == pytest.approx(distance, abs=1e-12)
    assert share is None or at == pytest.approx(share, abs=1e-12)


@pytest.mark.parametrize(
    ("first", "second", "distance"),
    [
        (((0, 0, 0), (9, 0, 0)), ((2, 3, 4), (7, 3, 4)), 5),  # parallel
        (((0, 0, 0), (9, 0, 0)), ((4, -5, 2), (4, 5, 2)), 2),  # crossing square
        (((0, 0, 0), (1, 0, 0)), ((4, 4, 0), (4, 9, 0)), 5),  # end to end
        (((0, 0, 0), (9, 0, 0)), ((3, 2, 0), (3, 2, 0)), 2),  # a point
        (((0, 0, 0), (1, 0, 0)), ((3, 0, 0), (6, 0, 0)), 2),  # in one line
        (((0, 0, 0), (4, 4, 0)), ((4, 0, 0), (0, 4, 0)), 0),  # through each other
    ],
)
def test_segments_are_as_far_apart_as_plane_geometry_says(
    first: tuple[tuple[float, ...], ...], second: tuple[tuple[float, ...], ...], distance: float
) -> None:
    assert segment_to_segment(*first, *second)[0] == pytest.approx(distance, abs=1e-12)


def test_distances_are_those_of_a_bounded_least_squares_solver() -> None:
    """Source: SciPy, ``lsq_linear``, exact minimum of a quadratic within bounds."""
    random = np.random.default_rng(4)
    for _ in range(60):
        p, q, a, b = random.normal(size=(4, 3))
        matrix = np.column_stack([q - p, a - b])
        ours = segment_to_segment(p, q, a, b)[0]
        theirs = lsq_linear(matrix, a - p, bounds=(0, 1), method="bvls", tol=1e-15).cost
        assert ours == pytest.approx(np.sqrt(2 * theirs), abs=1e-7)
        low, high = np.minimum(a, b), np.maximum(a, b)
        matrix = np.column_stack([q - p, -np.eye(3)])
        box = lsq_linear(matrix, -p, bounds=([0, *low], [1, *high]), method="bvls", tol=1e-15).cost
        assert segment_to_box(p, q, low, high)[0] == pytest.approx(np.sqrt(2 * box), abs=1e-7)


def test_a_pipe_along_the_output_is_told_apart_by_the_difference_of_the_axes() -> None:
    """A one-piece shaft laid level; a pipe beside it, 60 mm right and 80 mm up: 100 mm apart."""
    level = samples.one_piece()
    ends = (
        replace(end, point=samples.place(x, 0, 500), slope=0.0)
        for end, x in ((level.output, 1700), (level.pinion, 3600))
    )
    output, pinion = ends
    laid = replace(level, output=output, pinion=pinion, suspension=None, travel=None)
    found = cleared(laid, thing((2000, 60, 580), (3000, 60, 580), pipe=30, moves=4))
    least = nearest(found, "shaft 1")
    assert least.distance == pytest.approx((100 - 101.6 / 2 - 15 - 4) * MM, abs=1e-12)
    assert least.at_rest == pytest.approx(least.distance, abs=1e-12)
    assert least.certified_within < 0.3 * MM
    assert np.hypot(least.point[1], least.point[2] - 0.5) == pytest.approx(0.081, abs=1e-12)
    joint = nearest(cleared(laid, thing((1600, -50, 580), (1800, 50, 600))), "joint 1")
    assert joint.distance == pytest.approx((80 - 60) * MM, abs=1e-12)


# --- brute force ---------------------------------------------------------------------


def brute(
    configuration: Configuration, obstacle: Obstacle, case: TorqueCase, torque: float, first: int
) -> float:
    """Return the least distance by dense travel and dense points, of the shaft from a joint [m].

    Points of a box cover its skin, edges and corners included; a point of the shaft's axis counts
    its radius, so that its skin is covered everywhere.
    """
    travel = configuration.travel
    assert travel is not None
    heights = np.linspace(-travel.droop, travel.bump, 311)
    held = postures(
        configuration, heights, 0.0, torque, case.output_move, case.output_tip
    ).joint_center
    share = np.linspace(0, 1, 201)[:, None, None]
    axis = (held[:, first] + share * (held[:, first + 1] - held[:, first])).reshape(-1, 3)
    radius = configuration.shafts[first].tube.outside / 2
    ends = np.stack([obstacle.start, obstacle.end])
    if obstacle.pipe is not None:
        along = np.linspace(0, 1, 401)[:, None]
        skin, radius = ends[0] + along * (ends[1] - ends[0]), radius + obstacle.pipe / 2
    else:
        grid = [np.linspace(*side, 2 + int(np.ptp(side) / (4 * MM))) for side in ends.T]
        skin = np.stack(np.meshgrid(*grid, indexing="ij"), axis=-1).reshape(-1, 3)
        skin = skin[np.any((skin == ends[0]) | (skin == ends[1]), axis=1)]
    return float(cKDTree(skin).query(axis)[0].min()) - radius - obstacle.moves


@pytest.mark.parametrize("name", ["no torque", "hard launch", "engine braking"])
@pytest.mark.parametrize(
    "obstacle",
    [CROSSMEMBER, EXHAUST, HANGING],
    ids=["box above", "pipe beside", "box below"],
)
@pytest.mark.parametrize("pieces", [1, 2])
def test_no_point_of_both_bodies_comes_nearer_than_is_certified(
    pieces: int, obstacle: Obstacle, name: str
) -> None:
    configuration = truck([samples.one_piece(), samples.two_piece()][pieces - 1])
    case = next(c for c in configuration.torque_cases if c.name == name)
    torque = next(s.wheel_torque for s in sweep_states(configuration) if s.case == name)
    least = nearest(cleared(configuration, obstacle), f"shaft {pieces}", name)
    sampled = brute(configuration, obstacle, case, torque, pieces - 1)
    assert least.distance - least.certified_within <= sampled + 1e-6
    assert sampled - SAMPLED <= least.distance <= sampled + 1e-6 + least.certified_within
    assert least.certified_within < 0.05 * MM + 2e-3 * least.distance


def flown_past(start: np.ndarray, end: np.ndarray, obstacle: Obstacle, bend: float = 0.0) -> Least:
    """Return the least distance of a rod that moves straight in one step, ends of shape (2, 3)."""
    obstacles = obstacles_of([obstacle])
    zero, one = np.zeros(1, int), np.ones(1, int)
    at_ends = obstacles.apart(start, end, np.zeros(2, int)) - 0.01
    run = Run(
        start=start[None, :, None],
        end=end[None, :, None],
        frame=zero,
        bend=np.full((1, 1, 1), bend),
        before=zero,
        after=one,
        step=zero,
        rod=zero,
        obstacle=zero,
        group=zero,
        reach=np.array([0.01]),
    )
    return least_along(run, 1, at_ends[:, None], obstacles.apart)


def test_a_rod_that_passes_between_two_nodes_is_not_missed() -> None:
    """Its front end stands, its rear end flies 1 m across; a small box 3 mm above its path."""
    start, end = np.zeros((2, 3)), np.array([[1.0, -0.5, 0.0], [1.0, 0.5, 0.0]])
    least = flown_past(start, end, thing((700, 69, 13), (710, 71, 20)))
    assert least.distance[0] == pytest.approx(0.003, abs=float(tolerance(np.array(0.003))))
    assert 0.003 - 1e-4 < least.floor[0] <= 0.003 + 1e-12
    assert least.share[0] == pytest.approx(0.6, abs=0.05)
    bent = flown_past(start, end, thing((700, 69, 13), (710, 71, 20)), bend=0.001)
    assert bent.distance == least.distance
    assert bent.floor == pytest.approx(least.floor - 0.001, abs=1e-12)


def test_no_straight_motion_comes_nearer_than_its_floor() -> None:
    """Random motions past a random pipe or box, sampled 4000 times."""
    random = np.random.default_rng(11)
    share = np.linspace(0, 1, 4001)[:, None]
    for pipe in (None, 60.0) * 30:
        start, end, corners = random.uniform(-1, 1, (3, 2, 3))
        obstacle = thing(*(tuple(corner) for corner in 300 * corners), pipe=pipe)
        least = flown_past(start, end, obstacle)
        sides = (side[0] + share * (side[1] - side[0]) for side in (start, end))
        obstacles = obstacles_of([obstacle])
        sampled = obstacles.apart(*sides, np.zeros(4001, int)).min() - 0.01
        assert least.floor[0] <= sampled + 1e-12
        assert least.distance[0] <= sampled + tolerance(np.maximum(sampled, 0.0)) + 1e-12
        assert least.distance[0] >= sampled - 1e-3


def test_ends_of_rods_leave_the_straight_line_by_no_more_than_is_taken_off() -> None:
    for made in (samples.one_piece(), samples.three_piece(), samples.links_van()):
        configuration = truck(made)
        course = course_of(sweep_states(configuration))
        held = postures_on(configuration, course, course.case, course.travel, course.roll)
        rods = rods_of(configuration, held)
        bend = bends_of(rods.start, rods.end, course.before, course.after)
        before, after = course.before, course.after
        for share in (0.11, 0.5, 0.83):
            travel, roll = (
                v[before] + share * (v[after] - v[before]) for v in (course.travel, course.roll)
            )
            case = course.case[before]
            there = rods_of(configuration, postures_on(configuration, course, case, travel, roll))
            for exact, nodes in ((there.start, rods.start), (there.end, rods.end)):
                straight = nodes[before] + share * (nodes[after] - nodes[before])
                assert np.all(np.linalg.norm(exact - straight, axis=-1) <= bend + 1e-12)
        assert bend.max() < 0.2 * MM


@pytest.mark.parametrize(("side", "sign"), [(-60, -1), (100, 1)])
def test_a_roll_is_run_into_continuously(side: float, sign: int) -> None:
    """A wall beside the rear shaft, which swings toward it in one roll: dense rolls and points."""
    configuration = samples.two_piece()
    wall = thing((3500, side, 100), (3700, side + 5 * sign, 700))
    found = nearest(cleared(configuration, wall), "shaft 2")
    rolls = np.linspace(-configuration.travel.roll, configuration.travel.roll, 401)
    held = postures(configuration, 0.0, rolls).joint_center
    axis = held[:, 1] + np.linspace(0.8, 1, 401)[:, None, None] * (held[:, 2] - held[:, 1])
    level = [c for c in cleared(replace(configuration, travel=LEVEL), wall) if c.part == "shaft 2"]
    beside = axis[..., 1][axis[..., 0] >= 3.5]
    assert found.distance == pytest.approx(
        np.abs(beside - side * MM).min() - 0.0889 / 2, abs=0.05 * MM
    )
    assert found.distance < min(c.distance for c in level) - 1 * MM
    assert found.roll != 0.0


# --- what moves with what ------------------------------------------------------------


def test_movement_of_an_obstacle_is_taken_off_whole() -> None:
    still, moving = (
        nearest(cleared(samples.two_piece(), replace(EXHAUST, moves=m)), "shaft 2")
        for m in (0.0, 0.012)
    )
    assert still.distance - moving.distance == pytest.approx(0.012, abs=1e-5)


def test_an_obstacle_on_the_axle_goes_with_it() -> None:
    """A cover 20 mm above the last yoke, which turns and so is not exempt; on the frame the axle
    would be driven through it.  Source: rigid bodies keep their distances.
    """
    cover = thing((3600, -40, 458), (3700, 80, 480), rides_on="axle")
    carried, fixed = (
        [
            c
            for c in cleared(samples.two_piece(), o)
            if c.part == "joint 3" and c.obstacle == "thing"
        ]
        for o in (cover, replace(cover, rides_on="frame"))
    )
    assert len(carried) == 4
    assert all(c.distance == pytest.approx(0.458 - 0.378 - 0.060, abs=9e-3) for c in carried)
    assert max(c.certified_within for c in carried) < 0.1 * MM
    assert min(c.distance for c in fixed) < -0.05
    low = next(c for c in carried if c.case == "engine braking")
    held = postures(samples.two_piece(), low.travel, 0.0, ENGINE_BRAKING)
    seen = held.axle_rotation[0].T @ (low.point - held.axle_center[0]) + [3.990, 0, 0.395]
    assert seen[2] == pytest.approx(0.458, abs=1e-9)


def test_yokes_reach_half_their_swing_radius_both_ways() -> None:
    """Ahead of joint 1 the output's yoke: 500 mm to a wall, less 30 mm of ears and a round end."""
    level = samples.one_piece()
    output = replace(level.output, point=samples.place(1700, 0, 500), slope=0.0)
    pinion = replace(level.pinion, point=samples.place(3600, 0, 500), slope=0.0)
    laid = replace(level, output=output, pinion=pinion, suspension=None, travel=None)
    ahead, behind = (
        nearest(cleared(laid, thing((x, -90, 400), (x + 10, 90, 600))), joint).distance
        for x, joint in ((1190, "joint 1"), (4100, "joint 2"))
    )
    assert ahead == pytest.approx(behind, abs=1e-12)
    assert ahead == pytest.approx(0.500 - 0.030 - 0.060, abs=1e-12)


def test_a_pinion_nose_reaches_from_its_flange_to_the_housing() -> None:
    """Level ground above it: its front end is the highest, 65 mm thick for a tire of 390 mm.

    A pinion slopes front end high, so its axis falls on the way aft (size: common practice, no
    source); it goes up with the axle, and at rest stands where ride height puts it.
    """
    made = samples.two_piece()
    shelf = thing((3000, -500, 600), (4200, 500, 640))
    nose = nearest(cleared(made, shelf), "pinion nose")
    front = made.pinion.point[2] - made.joints[-1].swing_radius * np.sin(made.pinion.slope)
    assert nose.at_rest == pytest.approx(0.600 - front - 0.065 * 0.395 / 0.390, abs=1e-6)
    assert not nose.size_known
    assert nose.distance < nose.at_rest - 0.08  # full bump, 95 mm


def test_a_box_is_the_same_from_whichever_corners() -> None:
    turned = replace(CROSSMEMBER, start=CROSSMEMBER.end, end=CROSSMEMBER.start)
    one, other = (
        nearest(cleared(samples.two_piece(), o), "shaft 2") for o in (CROSSMEMBER, turned)
    )
    assert one.distance == other.distance


def test_the_output_moves_as_its_torque_case_says() -> None:
    """The first joint goes 6 mm up and 4 mm right at launch, toward a floor right above it."""
    floor = thing((1500, -200, 665), (1800, 200, 670), kind="floor")
    found = cleared(truck(samples.two_piece()), floor)
    rest, launch = (nearest(found, "joint 1", case) for case in ("no torque", "hard launch"))
    assert rest.distance - launch.distance == pytest.approx(0.006, abs=2e-4)


def test_parked_low_is_looked_at_beyond_full_bump_and_does_not_turn() -> None:
    van = samples.links_van()
    low = replace(van, travel=replace(van.travel, parked_low=0.100))
    sill = thing((3000, -300, 480), (3060, 300, 520))
    running, parked = (
        {c.case: c for c in cleared(v, sill) if c.part == "shaft 1" and c.obstacle == "thing"}
        for v in (van, low)
    )
    assert parked["no torque"].distance < running["no torque"].distance - 0.005
    assert parked["no torque"].travel == pytest.approx(0.100)
    assert not parked["no torque"].turning
    assert parked["cruise"].distance == pytest.approx(running["cruise"].distance, abs=1e-5)


# --- the ground ----------------------------------------------------------------------


def test_the_ground_comes_up_with_the_wheels() -> None:
    """Wheel centers stand a tire radius above it; dense travel, height of the lower end."""
    configuration = samples.two_piece()
    found, curves = measure_clearances(configuration, sweep_states(configuration))
    (nodes,) = (c.travel for c in curves if (c.obstacle, c.case) == ("ground", "no torque"))
    heights = np.linspace(-0.110, 0.095, 1001)
    for part, radius in (("shaft 1", 0.04445), ("shaft 2", 0.04445)):
        first = int(part[-1]) - 1
        ends = postures(configuration, heights).joint_center[:, first : first + 2, 2]
        ground = 0.395 - 0.395 + heights
        sampled = float((ends.min(axis=1) - ground).min()) - radius
        (least,) = (
            c for c in found if (c.part, c.case, c.obstacle) == (part, "no torque", "ground")
        )
        assert least.distance - least.certified_within <= sampled + 1e-9
        assert least.distance == pytest.approx(sampled, abs=1e-5)
        # between two nodes the way sags below its chord, and by no more than is certified
        low = ends.min(axis=1) - ground
        chord = np.interp(heights, nodes, np.interp(nodes, heights, low))
        assert 0 < np.max(np.abs(chord - low)) <= least.certified_within < 0.1 * MM


def test_a_rolled_axle_stands_on_ground_that_is_rolled_as_well() -> None:
    """Under the wheel that is up the ground is up: a shaft on that side comes nearer to it."""
    beside, aside = samples.two_piece(), np.array([0.0, 0.3, 0.0])
    shifted = replace(
        beside,
        output=replace(beside.output, point=beside.output.point + aside),
        bearings=(replace(beside.bearings[0], point=beside.bearings[0].point + aside),),
    )
    roll = beside.travel.roll
    found = measure_clearances(shifted, sweep_states(shifted))[0]
    states = [s for s in sweep_states(shifted) if s.roll > 0 and s.case == "no torque"]
    (right_up,) = measure_clearances(shifted, states)[0][:1]
    level = next(c for c in found if c.part == "shaft 1")
    z, y = 0.568, 0.3
    lowest = min(
        (height * np.cos(roll) - side * np.sin(roll))
        for height, side in [(0.531 - 0.115 * (0.568 - 0.531) / 0.65, y), (z, y)]
    )
    assert right_up.roll == pytest.approx(roll)
    expected = (0.395 + (lowest - 0.395 * np.cos(roll))) - 0.04445
    assert right_up.distance == pytest.approx(expected, abs=1e-3)
    assert level.case == "no torque"


# --- a collision engine --------------------------------------------------------------


def engine_distances(pairs: list[tuple[np.ndarray, np.ndarray, float, Obstacle]]) -> list[float]:
    """Return PyBullet's closest distance of capsules to obstacles, margins 0, separate bodies."""
    found = []
    with engine() as world:
        for start, end, radius, obstacle in pairs:
            rod = _capsule(world, start, end, radius)
            if obstacle.pipe is not None:
                other = _capsule(world, obstacle.start, obstacle.end, obstacle.pipe / 2)
            else:
                half = np.abs(obstacle.end - obstacle.start) / 2
                shape = world.createCollisionShape(world.GEOM_BOX, halfExtents=half.tolist())
                middle = ((obstacle.start + obstacle.end) / 2).tolist()
                other = world.createMultiBody(0, shape, basePosition=middle)
            for body in (rod, other):
                world.changeDynamics(body, -1, collisionMargin=0)
            found.append(min(c[8] for c in world.getClosestPoints(rod, other, 2.0)))
            world.removeBody(rod)
            world.removeBody(other)
    return found


def _capsule(world: object, start: np.ndarray, end: np.ndarray, radius: float) -> int:
    """Return a capsule between two points; PyBullet's stands along z, its height without caps."""
    along = end - start
    length = float(np.linalg.norm(along))
    axis, up = along / length, np.array([0.0, 0.0, 1.0])
    turn = np.cross(up, axis)
    quaternion = np.append(turn, 1 + up @ axis)
    quaternion /= np.linalg.norm(quaternion)
    shape = world.createCollisionShape(world.GEOM_CAPSULE, radius=radius, height=length)
    return world.createMultiBody(
        0, shape, basePosition=((start + end) / 2).tolist(), baseOrientation=quaternion.tolist()
    )


@pytest.mark.parametrize("obstacle", [CROSSMEMBER, EXHAUST, HANGING, TANK])
@pytest.mark.parametrize("pieces", [1, 2])
def test_least_distances_are_those_of_a_collision_engine(pieces: int, obstacle: Obstacle) -> None:
    """Source: PyBullet's closest points, collisionMargin 0."""
    configuration = truck([samples.one_piece(), samples.two_piece()][pieces - 1])
    still = replace(obstacle, moves=0.0)
    found = cleared(configuration, still)
    states = sweep_states(configuration)
    pairs, ours = [], []
    for case in configuration.torque_cases:
        torque = next(s.wheel_torque for s in states if s.case == case.name)
        for part in range(pieces):
            least = nearest(found, f"shaft {part + 1}", case.name)
            held = postures(
                configuration, least.travel, least.roll, torque, case.output_move, case.output_tip
            ).joint_center[0]
            radius = configuration.shafts[part].tube.outside / 2
            pairs.append((held[part], held[part + 1], radius, still))
            ours.append(least.distance)
    assert ours == pytest.approx(engine_distances(pairs), abs=1e-6)
