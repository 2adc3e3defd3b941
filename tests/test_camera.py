"""Pictures show bodies where projection puts them, see-through parts too, and every run alike."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pybullet
import pytest
from scipy.spatial.transform import Rotation

from sim.errors import DomainError
from sim.motion.solve import solve
from sim.scene.parts import Configuration
from sim.world.camera import Stage
from sim.world.layers import EMPTY, quaternion
from sim.world.lens import Box, Lens
from sim.world.poses import body_poses
from sim.world.shading import contact_shade, outlines, shrink, sky_light
from sim.world.shapes import Body, build_shapes
from sim.world.shapes.layout import LINKS, link_ends
from sim.world.shapes.mesh import AWAY, bar, body, box
from sim.world.views import views

EYE, TARGET, FOV = (-3.0, -4.0, 1.5), (0.2, 0.1, 0.3), 0.5
SIZE = (160, 100)
RED, BLUE = (0.9, 0.1, 0.1), (0.1, 0.1, 0.9)


def at(x: float, y: float, z: float) -> np.ndarray:
    pose = np.eye(4)
    pose[:3, 3] = x, y, z
    return pose


def ball(group: str, color: tuple[float, float, float], radius: float = 0.06) -> Body:
    return body(
        f"{group or 'still'} ball", group, bar((0, 0, -radius), (0, 0, radius), radius), color
    )


def redness(picture: np.ndarray) -> np.ndarray:
    """How much more red than blue, from 0."""
    wide = picture.astype(float)
    return np.clip(wide[..., 0] - wide[..., 2] - 20, 0, None)


@pytest.fixture
def stage() -> Iterator[Stage]:
    with Stage([ball("moving", RED)], size=SIZE) as made:
        made.look(EYE, TARGET, FOV)
        yield made


def test_projection_is_that_of_the_engine_s_own_matrices(stage: Stage) -> None:
    points = np.random.default_rng(1).uniform(-0.5, 0.5, (20, 3))
    view = np.reshape(pybullet.computeViewMatrix(EYE, TARGET, [0, 0, 1]), (4, 4)).T
    lens = np.reshape(
        pybullet.computeProjectionMatrixFOV(np.rad2deg(FOV), SIZE[0] / SIZE[1], 0.1, 50), (4, 4)
    ).T
    clip = np.c_[points, np.ones(20)] @ (lens @ view).T
    expected = np.stack(
        [
            (clip[:, 0] / clip[:, 3] + 1) / 2 * SIZE[0],
            (1 - clip[:, 1] / clip[:, 3]) / 2 * SIZE[1],
        ],
        axis=-1,
    )
    assert np.allclose(stage.project(points), expected, atol=1e-3)
    assert stage.project(TARGET) == pytest.approx([SIZE[0] / 2, SIZE[1] / 2])


@pytest.mark.parametrize("place", [(0.2, 0.1, 0.3), (-0.3, 0.2, 0.5), (0.9, -0.4, 0.1)])
def test_a_body_appears_where_its_place_projects(
    stage: Stage, place: tuple[float, float, float]
) -> None:
    weight = redness(stage.picture({"moving": at(*place)}))
    rows, columns = np.mgrid[: SIZE[1], : SIZE[0]] + 0.5
    found = [(weight * columns).sum() / weight.sum(), (weight * rows).sum() / weight.sum()]
    assert found == pytest.approx(stage.project(place), abs=0.8)


def test_a_body_that_is_not_posed_again_stays(stage: Stage) -> None:
    first = stage.picture({"moving": at(0.2, 0.1, 0.3)})
    moved = stage.picture({"moving": at(0.5, 0.1, 0.3)})
    assert (first != moved).any()
    assert np.array_equal(stage.picture({"moving": at(0.2, 0.1, 0.3)}), first)


def test_a_body_laid_away_is_not_drawn_until_it_comes_back(stage: Stage) -> None:
    shown = stage.picture({"moving": at(0.2, 0.1, 0.3)})
    assert redness(stage.picture({"moving": AWAY})).max() == 0
    assert np.array_equal(stage.picture({"moving": at(0.2, 0.1, 0.3)}), shown)


def test_pictures_are_bytes_of_the_size_asked_for() -> None:
    for supersample in (1, 2, 3):
        with Stage([ball("moving", RED)], size=(90, 60), supersample=supersample) as small:
            small.look(EYE, TARGET, FOV)
            picture = small.picture({"moving": at(0.2, 0.1, 0.3)})
        assert picture.shape == (60, 90, 3)
        assert picture.dtype == np.uint8
        assert redness(picture).max() > 50


def test_a_camera_that_looks_away_sees_only_the_background(stage: Stage) -> None:
    stage.look((0, -5, 0), (0, -10, 0), FOV)
    picture = stage.picture({"moving": at(0, -5, 40)})
    assert (picture == picture[:, :1]).all()
    assert (picture > 200).all()


def test_a_picture_without_a_camera_is_refused() -> None:
    with Stage([ball("moving", RED)]) as blind, pytest.raises(DomainError, match="call look"):
        blind.picture({})


def test_what_is_see_through_tints_what_stands_behind_it_and_not_what_stands_before() -> None:
    wall = body("wall", "", box((-1, -0.01, -1), (1, 0.01, 1)), (0.2, 0.2, 0.2), ghost=True)
    with (
        Stage([wall, ball("moving", RED)], size=SIZE) as both,
        Stage([ball("moving", RED)], size=SIZE) as alone,
    ):
        for stage in (both, alone):
            stage.look((0, -5, 0), (0, 0, 0), FOV)
        behind, before = {"moving": at(0, 0.5, 0)}, {"moving": at(0, -0.5, 0)}
        middle = (slice(48, 52), slice(78, 82))
        plain = alone.picture(behind)[middle].astype(float)
        veiled = both.picture(behind)[middle].astype(float)
        assert (redness(veiled) > 30).all(), "the ball is still seen"
        assert np.abs(veiled - plain).mean() > 5, "and it is tinted"
        front = both.picture(before)[middle].astype(float)
        assert np.allclose(front, alone.picture(before)[middle], atol=1)


def test_the_nearer_of_two_bodies_hides_the_other_whichever_layer_it_is_in() -> None:
    parts = [ball("", BLUE, 0.2), ball("moving", RED, 0.1)]
    with Stage(parts, size=SIZE) as stage:
        stage.look((0, -5, 0), (0, 0, 0), FOV)
        assert redness(stage.picture({"moving": at(0, 0.5, 0)})).max() == 0
        assert redness(stage.picture({"moving": at(0, -0.5, 0)})).max() > 50


def test_the_shadow_lies_on_the_floor_and_follows_it() -> None:
    with Stage([ball("moving", RED, 0.3)], size=SIZE) as stage:
        stage.look((0, -5, 2.5), (0.3, 0.5, -0.3), 0.6)
        pose = {"moving": at(0, 0, 0)}
        bare = stage.picture(pose).astype(float)
        rows = []
        for height in (-0.35, -0.7):
            dark = bare - stage.picture({**pose, "ground": at(0, 0, height)})
            assert dark.min() >= -1
            assert dark.max() > 30
            rows.append((dark.sum(axis=(1, 2)) * np.arange(SIZE[1])).sum() / dark.sum())
        assert rows[1] > rows[0] + 2, "a lower floor shows its shadow lower"


def test_two_stages_draw_the_same_bits(two_piece: Configuration) -> None:
    motion = solve(two_piece)
    bodies, pictures = build_shapes(two_piece, motion), []
    for _ in range(2):
        with Stage(bodies, size=SIZE) as stage:
            stage.look(*views(two_piece)["whole"])
            pictures.append(stage.picture(body_poses(motion, 0, 5)))
    assert np.array_equal(*pictures)


@pytest.mark.parametrize("name", ["whole", "axle", "joint 1", "joint 3", "bearing"])
def test_named_views_show_what_they_name(two_piece: Configuration, name: str) -> None:
    motion = solve(two_piece)
    wanted = {
        "whole": motion.joint_center[0, 0],
        "axle": two_piece.axle[None],
        "joint 1": motion.joint_center[0, 0, :1],
        "joint 3": two_piece.pinion.point[None],
        "bearing": two_piece.bearings[0].point[None],
    }
    view = views(two_piece)[name]
    lens = Lens(*view, (640, 430))
    assert (lens.project(wanted[name]) > [20, 20]).all()
    assert (lens.project(wanted[name]) < [620, 410]).all()


def test_no_link_of_the_suspension_stands_before_a_joint(links_van: Configuration) -> None:
    for number in range(1, len(links_van.joints) + 1):
        eye, target, fov = views(links_van)[f"joint {number}"]
        ahead = (target - eye) / np.linalg.norm(target - eye)
        for name in LINKS:
            start, end = link_ends(links_van, links_van.suspension, name)
            points = start + np.linspace(0, 1, 400)[:, None] * (end - start) - eye
            depth = points @ ahead
            aside = np.linalg.norm(points - depth[:, None] * ahead, axis=1)
            near = (depth > 0) & (depth < np.linalg.norm(target - eye))
            # 0.02 m: thicker than any rod; half the height of the picture, and not only its middle
            assert np.all(aside[near] - 0.02 > 0.6 * depth[near] * np.tan(fov / 2))


def test_what_is_plain_is_not_hidden_by_what_is_faint() -> None:
    pane = box((0.0, -0.5, -0.5), (0.01, 0.5, 0.5))
    aside = body("aside", "", bar((0, 0.4, -0.05), (0, 0.4, 0.05), 0.05), RED)

    def center(*panes: Body) -> np.ndarray:
        with Stage([*panes, aside], size=SIZE) as stage:
            stage.look((-3.0, 0.1, 0.1), (0.0, 0.1, 0.1), FOV)
            return stage.picture({})[50, 80].astype(float)

    def colored(name: str, color: tuple[float, float, float], share: float, x: float) -> Body:
        return body(name, "", pane.translate([x, 0, 0]), color, ghost=True, share=share)

    both = center(colored("a", BLUE, 0.17, -0.2), colored("b", RED, 0.4, 0.2))
    faint = center(colored("a", BLUE, 0.17, -0.2))
    assert redness(both) > 0 == redness(faint)


def test_a_lens_through_a_box_sees_what_the_whole_lens_sees_there() -> None:
    lens, area = Lens(EYE, TARGET, FOV, SIZE), Box(40, 20, 100, 80)
    point = np.array([0.1, 0.3, 0.2, 1.0])
    clip = lens.through(area) @ lens.view_matrix @ point
    column = (clip[0] / clip[3] + 1) / 2 * area.width + area.left
    row = (1 - clip[1] / clip[3]) / 2 * area.height + area.top
    assert [column, row] == pytest.approx(lens.project(point[:3]))


@pytest.mark.parametrize("seed", range(8))
def test_quaternions_are_those_of_scipy(seed: int) -> None:
    matrix = Rotation.random(random_state=seed).as_matrix()
    expected = Rotation.from_matrix(matrix).as_quat()
    assert abs(np.dot(quaternion(matrix), expected)) == pytest.approx(1.0, abs=1e-9)


def half_turns() -> list[np.ndarray]:
    return [np.diag(signs) for signs in ([1, -1, -1], [-1, 1, -1], [-1, -1, 1])]


@pytest.mark.parametrize("axis", range(3))
def test_a_half_turn_is_a_quaternion_along_its_axis(axis: int) -> None:
    expected = np.zeros(4)
    expected[axis] = 1.0
    assert np.abs(quaternion(half_turns()[axis].astype(float))) == pytest.approx(expected)


def plane_depth(normal: tuple[float, float, float]) -> tuple[np.ndarray, tuple[np.ndarray, ...]]:
    """Depth of a plane 3 m ahead, (right, up, toward the viewer), and the lines of sight."""
    right, up = np.linspace(-0.2, 0.2, 60), np.linspace(0.15, -0.15, 40)
    nx, ny, nz = normal
    inverse = (nz - nx * right[None] - ny * up[:, None]) / (3.0 * nz)
    return (1 / inverse).astype(np.float32), (right, up)


def test_a_flat_face_carries_no_outline_however_it_lies() -> None:
    for normal in ((0, 0, 1), (0.5, 0.2, 1), (0, 2.0, 0.4)):
        depth, _ = plane_depth(normal)
        assert outlines(depth, np.zeros(depth.shape, np.int32), 0.4 / 60).max() == 0


def test_a_step_in_depth_and_the_border_of_a_body_carry_outlines() -> None:
    depth = np.full((20, 20), 3.0, np.float32)
    depth[:, 10:] = 3.1
    number = np.zeros((20, 20), np.int32)
    line = outlines(depth, number, 0.005)
    assert line[5, 9:11].max() == 1
    assert line[:, :8].max() == 0
    number[:, :5] = 1
    assert outlines(np.full_like(depth, 3.0), number, 0.005)[5, 4:6].max() == pytest.approx(0.75)


@pytest.mark.parametrize("normal", [(0, 0, 1), (0.3, 0.6, 1), (-0.2, 1.0, 0.5), (0, -0.8, 1)])
def test_sky_light_follows_how_far_a_face_looks_up(normal: tuple[float, float, float]) -> None:
    depth, rays = plane_depth(normal)
    # camera level, looking north: its right, up and back are x, z and -y of the vehicle
    axes = np.array([[1.0, 0, 0], [0, 0, 1.0], [0, -1.0, 0]])
    upward = normal[1] / np.linalg.norm(normal)
    light = sky_light(depth, rays, axes)
    assert light[10:30, 10:50] == pytest.approx(1 + 0.16 * upward, abs=2e-3)


def test_contact_shade_darkens_a_corner_and_not_what_stands_far_behind() -> None:
    depth = np.full((60, 60), 3.0, np.float32)
    depth[:, 30:] = 3.02
    empty = np.zeros(depth.shape, bool)
    near = contact_shade(depth, empty, 600)
    assert near[30, 31] < 0.99
    assert near[30, 50] == pytest.approx(1.0, abs=1e-3)
    depth[:, 30:] = 5.0
    assert contact_shade(depth, empty, 600)[30, 31] == pytest.approx(1.0, abs=1e-3)
    assert (contact_shade(np.full_like(depth, EMPTY), ~empty, 600) == 1).all()


def test_shrinking_takes_the_mean_of_squares() -> None:
    image = np.arange(24, dtype=float).reshape(4, 6)
    assert shrink(image, 2) == pytest.approx(np.array([[3.5, 5.5, 7.5], [15.5, 17.5, 19.5]]))
