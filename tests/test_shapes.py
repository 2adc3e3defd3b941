"""The parts are closed meshes of the scene's own sizes, and the yokes stand in their phase."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise

import manifold3d
import numpy as np
import pytest
import samples

from sim.errors import EngineError
from sim.motion.solve import solve
from sim.scene.parts import Configuration, Obstacle
from sim.world.shapes import Body, build_shapes
from sim.world.shapes.layout import LINKS, link_ends
from sim.world.shapes.mesh import body, box, disc, frame, lathe, sweep
from sim.world.shapes.sizes import rail_side

VEHICLES = ("one_piece", "two_piece", "three_piece", "car", "links_van", "even", "plunging")


def even() -> Configuration:
    """Return a three-piece driveline with one joint of every kind."""
    kinds = ("double cardan", "flexible", "constant velocity", "universal")
    return samples.three_piece(joints=tuple(samples.joint(kind) for kind in kinds))


def plunging() -> Configuration:
    """Return a one-piece driveline with a double Cardan joint and a plunging joint."""
    slides = replace(samples.joint("constant velocity"), plunge=0.05, plunge_in=0.02)
    return samples.one_piece(
        joints=(samples.joint("double cardan"), slides),
        spline=replace(samples.one_piece().spline, at="shaft"),
    )


OWN = {"even": even, "plunging": plunging}


def shapes(configuration: Configuration) -> dict[str, Body]:
    return {b.name: b for b in build_shapes(configuration, solve(configuration))}


@cache
def vehicle_shapes(name: str) -> dict[str, Body]:
    return shapes(OWN[name]() if name in OWN else getattr(samples, name)())


def corner_triples(part: Body) -> np.ndarray:
    """Faces over points joined where they coincide: normals split vertices at sharp edges."""
    _, same = np.unique(part.vertices, axis=0, return_inverse=True)
    return same.reshape(-1)[part.faces]


def volume(part: Body) -> float:
    a, b, c = (part.vertices[part.faces[:, i]].astype(float) for i in range(3))
    return float(np.einsum("ni,ni->", a, np.cross(b, c))) / 6


def across(part: Body, start: float, end: float) -> np.ndarray:
    """Distances from the x axis of the vertices between two places on it."""
    x, y, z = part.vertices.T
    inside = (x >= start) & (x <= end)
    return np.hypot(y, z)[inside]


@pytest.mark.parametrize("vehicle", VEHICLES)
def test_every_edge_of_every_part_belongs_to_exactly_two_triangles(vehicle: str) -> None:
    for part in vehicle_shapes(vehicle).values():
        faces = corner_triples(part)
        directed = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
        forward, counts = np.unique(directed, axis=0, return_counts=True)
        backward = np.unique(directed[:, ::-1], axis=0)
        assert (counts == 1).all(), part.name
        assert np.array_equal(forward, backward), part.name


@pytest.mark.parametrize("vehicle", VEHICLES)
def test_every_part_is_solid_and_its_normals_point_outward(vehicle: str) -> None:
    for part in vehicle_shapes(vehicle).values():
        assert volume(part) > 0, part.name
        corners = part.vertices[part.faces].astype(float)
        flat = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        smooth = part.normals[part.faces].sum(axis=1)
        agree = np.einsum("ni,ni->n", flat, smooth)
        large = np.linalg.norm(flat, axis=1) > 1e-8  # slivers have no direction of their own
        assert (agree[large] > 0).mean() > 0.999, part.name
        assert np.allclose(np.linalg.norm(part.normals, axis=1), 1.0, atol=1e-3), part.name


def test_names_are_unique_and_what_is_see_through_never_moves(two_piece: Configuration) -> None:
    parts = build_shapes(two_piece, solve(two_piece))
    assert len({part.name for part in parts}) == len(parts)
    assert all(not part.group for part in parts if part.ghost)


def test_tubes_have_the_diameter_of_the_scene(two_piece: Configuration) -> None:
    wide = replace(two_piece.shafts[1], tube=replace(two_piece.shafts[1].tube, outside=0.1143))
    made = shapes(replace(two_piece, shafts=(two_piece.shafts[0], wide)))
    for name, outside in (("shaft 1 tube", 0.0889), ("shaft 2 tube", 0.1143)):
        radii = np.hypot(made[name].vertices[:, 1], made[name].vertices[:, 2])
        assert 2 * radii.max() == pytest.approx(outside, abs=1e-6)


def test_a_shaft_is_as_long_as_its_joints_are_apart(two_piece: Configuration) -> None:
    motion = solve(two_piece)
    yokes = shapes(two_piece)["shaft 2 yokes"].vertices
    # bores of both yokes are centered on the joints: their walls stand a cap's radius around
    length = float(np.linalg.norm(motion.joint_center[0, 0, 2] - motion.joint_center[0, 0, 1]))
    assert motion.reference.length[1] == pytest.approx(length, abs=0.05)
    middle = (yokes[:, 0].min() + yokes[:, 0].max()) / 2
    assert middle == pytest.approx(motion.reference.length[1] / 2, abs=1e-4)


@pytest.mark.parametrize("swing", [40.0, 60.0, 75.0])
def test_a_straight_joint_stays_inside_its_swing_radius(swing: float) -> None:
    joints = tuple(samples.joint(swing=swing) for _ in range(2))
    made = shapes(samples.one_piece(joints=joints))
    part = made["shaft 1 yokes"]
    assert across(part, -1.0, 0.02).max() <= swing / 1000
    assert across(part, -1.0, 0.02).max() >= 0.9 * swing / 1000
    cross = made["cross 1 caps"].vertices
    assert np.linalg.norm(cross[:, 1:], axis=1).max() <= swing / 1000


@pytest.mark.parametrize("degrees", [0.0, 22.5, 90.0, -30.0])
def test_the_rear_yoke_stands_at_the_phase_of_its_shaft(degrees: float) -> None:
    turned = replace(samples.one_piece().shafts[0], phase=np.deg2rad(degrees))
    configuration = samples.one_piece(shafts=(turned,))
    part = shapes(configuration)["shaft 1 yokes"]
    length = float(solve(configuration).reference.length[0])
    for at, expected in ((0.0, 0.0), (length, degrees)):
        # the ears are the farthest of all from the axis, abreast of the joint center
        x, y, z = part.vertices.T.astype(float)
        ear = (np.abs(x - at) < 0.03) & (np.hypot(y, z) > 0.9 * np.hypot(y, z).max())
        double = np.angle(np.mean(np.exp(2j * np.arctan2(z[ear], y[ear]))))
        wrong = np.rad2deg(double / 2) - expected
        assert (wrong + 90) % 180 - 90 == pytest.approx(0.0, abs=0.5)


def test_bare_splines_at_ride_height_show_the_gap_where_there_is_room() -> None:
    roomy = samples.two_piece(bearings=(samples.bearing(2300, 0, 536, 260),))
    made = shapes(roomy)
    length = float(solve(roomy).reference.length[0])
    mouth = length + made["slip yoke"].vertices[:, 0].min()
    shoulder = length - 0.260 + 0.017 + 0.003  # behind the bearing's bracket
    assert mouth - shoulder == pytest.approx(roomy.spline.gap, abs=1e-4)
    tip = made["shaft 1 stub"].vertices[:, 0].max()
    assert tip - mouth == pytest.approx(roomy.spline.engaged, abs=1e-4)


def test_a_slip_yoke_on_the_output_meets_the_housing_when_it_bottoms(
    one_piece: Configuration,
) -> None:
    made = shapes(one_piece)
    lip = made["housing"].vertices[:, 0].max()
    # what does not go into the seal: everything thicker than the barrel
    yoke = made["output yoke"].vertices[:, 0].min()
    assert yoke - lip == pytest.approx(one_piece.spline.gap, abs=1e-4)


def test_a_telescoping_shaft_shows_its_gap(car: Configuration) -> None:
    made = shapes(car)
    length = float(solve(car).reference.length[1])
    mouth = made["shaft 2 sleeve"].vertices[:, 0].max()
    shoulder = length + made["shaft tail yoke"].vertices[:, 0]
    ahead = shoulder[shoulder < length - 0.2].min()
    assert ahead - mouth == pytest.approx(car.spline.gap, abs=1e-4)


def test_wheels_have_the_tire_radius_and_stand_a_track_apart(two_piece: Configuration) -> None:
    tire = shapes(two_piece)["wheel left tire"].vertices
    assert np.hypot(tire[:, 0], tire[:, 2]).max() == pytest.approx(0.395, abs=1e-4)
    assert tire[:, 1].mean() == pytest.approx(0.0, abs=0.01)


def test_obstacles_are_made_as_given_by_kind(two_piece: Configuration) -> None:
    def obstacle(name: str, pipe: float | None) -> Obstacle:
        return Obstacle(
            name=name, start=samples.place(1900, 165, 470), end=samples.place(3200, 265, 520),
            pipe=pipe, moves=0.0, rides_on="frame", kind="exhaust", least_clearance=None,
        )  # fmt: skip

    made = shapes(replace(two_piece, obstacles=(obstacle("pipe", 0.07), obstacle("tank", None))))
    tank, pipe = made["obstacle tank"], made["obstacle pipe"]
    assert np.allclose(tank.vertices.min(axis=0), [1.9, 0.165, 0.47], atol=1e-6)
    assert np.allclose(tank.vertices.max(axis=0), [3.2, 0.265, 0.52], atol=1e-6)
    start, line = np.array([1.9, 0.165, 0.47]), np.array([1.3, 0.1, 0.05])
    away = np.cross(pipe.vertices - start, line / np.linalg.norm(line))
    assert np.linalg.norm(away, axis=1).max() == pytest.approx(0.035, abs=1e-5)
    assert tank.ghost
    assert pipe.ghost


def test_an_open_mesh_is_refused_by_name() -> None:
    with pytest.raises(EngineError, match="not closed"):
        body("lid", "", manifold3d.Manifold(), (0.5, 0.5, 0.5))


def test_a_lathed_ring_and_a_swept_bar_have_the_volume_of_the_handbook() -> None:
    # 2 pi R times the section's area (theorem of Pappus), from memory; many-sided, so a little less
    ring = lathe([(0, 0.9), (0, 1.1), (0.2, 1.1), (0.2, 0.9)], 360)
    assert ring.volume() == pytest.approx(2 * np.pi * 1.0 * 0.04, rel=1e-3)
    bent = np.stack([np.linspace(0, 2, 9), np.zeros(9), np.zeros(9)], axis=-1)
    assert sweep(bent, [(-1, -1), (1, -1), (1, 1), (-1, 1)]).volume() == pytest.approx(8.0)
    assert box((0, 0, 0), (1, 2, 3)).volume() == pytest.approx(6.0)
    assert disc(0, 2, 1, 720).volume() == pytest.approx(2 * np.pi, rel=1e-3)


def test_a_frame_is_right_handed_and_keeps_its_x_axis() -> None:
    pose = frame((1, 2, 3), (0, 0, 5), (0, 1, 1))
    assert np.allclose(pose[:3, 0], [0, 0, 1])
    assert np.allclose(pose[:3, 1], [0, 1, 0])
    assert np.linalg.det(pose[:3, :3]) == pytest.approx(1.0)


@pytest.mark.parametrize("between", [0.065, 0.09])
def test_the_ears_of_a_double_joint_are_as_far_apart_as_its_crosses(between: float) -> None:
    joint = replace(samples.joint("double cardan"), between_crosses=between)
    made = shapes(samples.one_piece(joints=(joint, samples.joint())))
    cross, yoke = made["cross 1 caps"].vertices, made["coupling yoke 1"].vertices
    cap = (cross[:, 0].max() - cross[:, 0].min()) / 2
    boss = 1.52 * cap / 0.995  # around each bore, whose middle is half the distance away
    assert yoke[:, 0].max() == pytest.approx(between / 2 + boss, abs=5e-4)
    assert yoke[:, 0].min() == pytest.approx(-between / 2 - boss, abs=5e-4)
    swing = joint.swing_radius
    for name in ("coupling yoke 1", "centering ball 1", "rear cross 1 caps"):
        assert across(made[name], -1, 1).max() <= swing


@pytest.mark.parametrize("kind", ["constant velocity", "flexible"])
def test_other_even_joints_stay_inside_their_swing_radius(kind: str) -> None:
    joints = (samples.joint(kind), samples.joint(kind))  # type: ignore[arg-type]
    made = shapes(samples.one_piece(joints=joints))
    for name in [name for name, part in made.items() if part.group == "middle 1"]:
        assert across(made[name], -1, 1).max() <= joints[0].swing_radius, name


def luminance(color: tuple[float, float, float]) -> float:
    """Return how light a color is in grey, by the weights of ITU-R BT.709."""
    return float(np.dot(color, (0.2126, 0.7152, 0.0722)))


def test_tubes_are_neutral_and_the_next_one_and_the_stripe_differ_in_grey() -> None:
    tubes = vehicle_shapes("three_piece")
    names = ("shaft 1", "shaft 2", "shaft 3")
    colors = [tubes[f"{name} tube"].color for name in names]
    for color, after in pairwise(colors):
        assert abs(luminance(color) - luminance(after)) > 0.25
    for name, color in zip(names, colors, strict=True):
        assert max(color) - min(color) < 0.10
        assert abs(luminance(tubes[f"{name} stripe"].color) - luminance(color)) > 0.4


def test_a_pipe_is_plainer_than_a_tank_and_a_tank_than_a_floor_or_a_rail() -> None:
    def obstacle(name: str, kind: str, pipe: float | None = None) -> Obstacle:
        return Obstacle(
            name=name, kind=kind, pipe=pipe, start=np.array([1.0, 0.2, 0.5]),
            end=np.array([2.0, 0.3, 0.6]), moves=0.0, rides_on="frame", least_clearance=None,
        )  # fmt: skip

    parts = shapes(
        replace(
            samples.two_piece(),
            obstacles=(
                obstacle("pipe", "exhaust", 0.05),
                obstacle("tank", "fixed part"),
                obstacle("roof", "floor"),
            ),
        )
    )
    shares = [parts[f"obstacle {name}"].share for name in ("pipe", "tank", "roof")]
    assert 0.5 >= shares[0] > shares[1] > shares[2] == parts["frame rail left"].share
    assert all(parts[f"obstacle {name}"].ghost for name in ("pipe", "tank", "roof"))


def test_links_hang_on_brackets_that_reach_from_their_frame_ends_to_the_rails() -> None:
    configuration = samples.links_van()
    made = vehicle_shapes("links_van")
    assert not made["upper link hangers"].ghost
    # Plain to see, and the joint behind them too.
    assert made["lower link hangers"].share > made["frame rail left"].share + 0.1
    for name in LINKS:
        start, _ = link_ends(configuration, configuration.suspension, name)
        hangers = made[f"{name.split()[0]} link hangers"]
        side = np.sign(start[1]) * rail_side(configuration)
        near = hangers.vertices[np.sign(hangers.vertices[:, 1]) == np.sign(start[1])]
        assert np.linalg.norm(near - start, axis=1).min() < 0.05
        assert np.abs(near[:, 1] - side).min() < 1e-3


@pytest.mark.parametrize("right", [-0.3, 0.3, -0.5])
def test_a_bearing_near_or_beyond_a_rail_still_hangs_on_a_whole_brace(right: float) -> None:
    there = samples.two_piece()
    bearing = replace(
        there.bearings[0], point=there.bearings[0].point + np.array([0.0, right, 0.0])
    )
    found = shapes(replace(there, bearings=(bearing,)))
    brace = found["bearing 1 brace"].vertices
    assert brace[:, 1].min() < right < brace[:, 1].max()
