"""Pictures show bodies where projection puts them, see-through parts too, and every run alike."""

from __future__ import annotations

import numba
import numpy as np
import pybullet
import pytest

from sim.errors import DomainError
from sim.motion.solve import solve
from sim.scene.parts import Configuration
from sim.world import raster
from sim.world.camera import Stage
from sim.world.layers import Drawing, Layer
from sim.world.lens import LIGHT, Lens
from sim.world.poses import body_poses
from sim.world.raster import lit, outlined
from sim.world.shading import contact_shade
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
def stage() -> Stage:
    made = Stage([ball("moving", RED)], size=SIZE)
    made.look(EYE, TARGET, FOV)
    return made


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
        small = Stage([ball("moving", RED)], size=(90, 60), supersample=supersample)
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
    with pytest.raises(DomainError, match="call look"):
        Stage([ball("moving", RED)]).picture({})


def test_what_is_see_through_tints_what_stands_behind_it_and_not_what_stands_before() -> None:
    wall = body("wall", "", box((-1, -0.01, -1), (1, 0.01, 1)), (0.2, 0.2, 0.2), ghost=True)
    both, alone = (Stage([*w, ball("moving", RED)], size=SIZE) for w in ([wall], []))
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
    stage = Stage(parts, size=SIZE)
    stage.look((0, -5, 0), (0, 0, 0), FOV)
    assert redness(stage.picture({"moving": at(0, 0.5, 0)})).max() == 0
    assert redness(stage.picture({"moving": at(0, -0.5, 0)})).max() > 50


def test_the_shadow_lies_on_the_floor_and_follows_it() -> None:
    stage = Stage([ball("moving", RED, 0.3)], size=SIZE)
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
        stage = Stage(bodies, size=SIZE)
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
        stage = Stage([*panes, aside], size=SIZE)
        stage.look((-3.0, 0.1, 0.1), (0.0, 0.1, 0.1), FOV)
        return stage.picture({})[50, 80].astype(float)

    def colored(name: str, color: tuple[float, float, float], share: float, x: float) -> Body:
        return body(name, "", pane.translate([x, 0, 0]), color, ghost=True, share=share)

    both = center(colored("a", BLUE, 0.17, -0.2), colored("b", RED, 0.4, 0.2))
    faint = center(colored("a", BLUE, 0.17, -0.2))
    assert redness(both) > 0 == redness(faint)


# --- the rasterizer, against closed forms ---------------------------------------------------------


def drawn(*bodies: Body, lens: Lens) -> Drawing:
    drawing = Drawing.empty(lens.size)
    Layer(bodies).draw(lens, drawing)
    return drawing


@pytest.mark.parametrize("radius", [0.05, 0.11])
@pytest.mark.parametrize("aside", [0.0, 0.6])
def test_a_round_bar_has_the_silhouette_of_a_cylinder(radius: float, aside: float) -> None:
    """Lines of sight that touch a circle: asin(radius / distance) to the sides of its middle."""
    lens = Lens((aside, -3.0, 0.0), (0.0, 0.0, 0.0), 0.5, (400, 300))
    upright = body("bar", "", bar((0, 0, -2.0), (0, 0, 2.0), radius, 256), RED)
    row = np.flatnonzero(drawn(upright, lens=lens).number[150] >= 0)
    middle, far = np.arctan2(aside, 3.0), np.hypot(aside, 3.0)
    edges = np.tan(np.array([-1, 1]) * np.arcsin(radius / far)) / lens.half[0]
    assert middle >= 0  # the camera looks at the bar: its middle is that of the picture
    left, right = (1 + edges) / 2 * 400
    assert row[0] == pytest.approx(np.ceil(left - 0.5), abs=1)
    assert row[-1] == pytest.approx(np.floor(right - 0.5), abs=1)
    assert len(row) == pytest.approx(right - left, abs=1)


@pytest.mark.parametrize("lean", [0.0, 0.4, -0.9])
def test_a_plane_has_the_depth_of_its_equation(lean: float) -> None:
    """Plane n·p = d under lines of sight (u, v, −1): depth = d / (n_x u + n_y v − n_z)."""
    normal = np.array([np.sin(lean), -np.cos(lean), 0.0])
    across, up = np.array([np.cos(lean), np.sin(lean), 0.0]), np.array([0.0, 0.0, 1.0])
    corners = np.array([a * across + b * up for a, b in ((-9, -9), (9, -9), (9, 9), (-9, 9))])
    plane = Body(
        name="plane",
        group="",
        vertices=corners.astype(np.float32),
        normals=np.tile(normal, (4, 1)).astype(np.float32),
        faces=np.array([[0, 1, 2], [0, 2, 3]], np.int32),
        color=RED,
    )
    lens = Lens((0.3, -3.0, 0.2), (0.1, 0.0, 0.0), 0.4, (120, 80))
    drawing = drawn(plane, lens=lens)
    assert (drawing.number == 0).all()
    right, above = lens.rays(np.arange(120) + 0.5, np.arange(80) + 0.5)
    toward = np.stack(np.broadcast_arrays(right[None], above[:, None], -1.0), axis=-1)
    sight = toward @ lens.view_matrix[:3, :3]  # in the vehicle's axes, 1 m along the camera
    depth = -(normal @ lens.eye) / (sight @ normal)
    assert 1 / drawing.nearness == pytest.approx(depth, rel=1e-4)
    turned = drawing.normal / np.linalg.norm(drawing.normal, axis=-1, keepdims=True)
    assert turned == pytest.approx(np.broadcast_to(normal, turned.shape), abs=1e-5)


def test_what_faces_away_and_what_is_behind_the_camera_is_not_drawn() -> None:
    lens = Lens((0.0, -3.0, 0.0), (0.0, 0.0, 0.0), 0.5, (60, 40))
    cube = body("cube", "", box((-0.5, -0.5, -0.5), (0.5, 0.5, 0.5)), RED)
    inside_out = Body(**{**_fields(cube), "faces": cube.faces[:, ::-1].copy()})
    front, back = drawn(cube, lens=lens), drawn(inside_out, lens=lens)
    assert front.nearness.max() == pytest.approx(1 / 2.5)  # its front face
    assert back.nearness[20, 30] == pytest.approx(1 / 3.5)  # only the inside of its rear face
    behind = body("behind", "", box((-0.5, -5.0, -0.5), (0.5, -4.0, 0.5)), RED)
    assert (drawn(behind, lens=lens).number < 0).all()


def _fields(one: Body) -> dict[str, object]:
    return {name: getattr(one, name) for name in Body.__slots__}


def test_a_face_of_each_body_has_its_number_and_a_pixel_belongs_to_one_triangle() -> None:
    """Triangles that share an edge leave no hole and no pixel twice: the square is filled whole."""
    lens = Lens((0.0, -3.0, 0.0), (0.0, 0.0, 0.0), 0.5, (200, 200))
    left = body("left", "", box((-0.4, -0.01, -0.3), (0.0, 0.01, 0.3)), RED)
    right = body("right", "", box((0.0, -0.01, -0.3), (0.4, 0.01, 0.3)), BLUE)
    number = drawn(left, right, lens=lens).number
    rows, columns = np.nonzero(number >= 0)
    block = number[rows.min() : rows.max() + 1, columns.min() : columns.max() + 1]
    assert (block >= 0).all()
    middle = block.shape[1] // 2
    assert (block[:, : middle - 1] == 0).all()
    assert (block[:, middle + 1 :] == 1).all()


def test_where_nothing_can_be_kept_the_loops_are_compiled_all_the_same(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked: list[bool] = []

    def keeps_nothing(*, cache: bool = False, **options: object) -> object:
        asked.append(cache)
        if cache:
            raise RuntimeError("cannot cache function: no locator available")
        return numba.njit(**options)

    monkeypatch.setattr(raster, "njit", keeps_nothing)
    assert raster.compiled(lambda a, b: a / b)(1.0, 0.0) == np.inf
    assert asked == [True, False]


def plane_nearness(normal: tuple[float, float, float]) -> np.ndarray:
    """Inverse depth of a plane 3 m ahead, (right, up, toward the viewer)."""
    right, up = np.linspace(-0.2, 0.2, 60), np.linspace(0.15, -0.15, 40)
    nx, ny, nz = normal
    return ((nz - nx * right[None] - ny * up[:, None]) / (3.0 * nz)).astype(np.float32)


def outlines(nearness: np.ndarray, number: np.ndarray, pixel: float) -> np.ndarray:
    line = np.full(nearness.shape, np.nan, np.float32)
    outlined(nearness, number, pixel, line)
    return line


def test_a_flat_face_carries_no_outline_however_it_lies() -> None:
    for normal in ((0, 0, 1), (0.5, 0.2, 1), (0, 2.0, 0.4)):
        nearness = plane_nearness(normal)
        assert outlines(nearness, np.zeros(nearness.shape, np.int32), 0.4 / 60).max() == 0


def test_a_step_in_depth_and_the_border_of_a_body_carry_outlines() -> None:
    depth = np.full((20, 20), 3.0, np.float32)
    depth[:, 10:] = 3.1
    number = np.zeros((20, 20), np.int32)
    line = outlines(1 / depth, number, 0.005)
    assert line[5, 9:11].max() == 1
    assert line[:, :8].max() == 0
    number[:, :5] = 1
    assert outlines(np.full_like(depth, 1 / 3), number, 0.005)[5, 4:6].max() == pytest.approx(0.75)


@pytest.mark.parametrize("height", [-1.0, -0.3, 0.0, 0.6, 1.0])
@pytest.mark.parametrize("factor", [1, 2])
def test_light_is_that_of_its_formula(height: float, factor: int) -> None:
    """0.5 and 0.4 of the cosine to the lamp, times 1 + 0.16 of how far a face looks up."""
    size = (4 * factor, 6 * factor)
    normal = np.array([np.sqrt(1 - height**2), 0.0, height], np.float32)
    lamp = np.array([0.6, 0.0, 0.8], np.float32)
    image, bare = np.empty((4, 6, 3), np.float32), np.empty((4, 6), np.float32)
    number = np.zeros(size, np.int32)
    number[:factor] = -1  # the first row is empty
    lit(
        np.full(size, 0.3, np.float32),
        number,
        np.broadcast_to(3 * normal, (*size, 3)).copy(),
        np.array([[200.0, 100.0, 50.0]], np.float32),
        np.eye(3, dtype=np.float32),
        lamp,
        np.array([0.5, 0.4, 0.0, 0.16, 0.0], np.float32),
        0.01,
        factor,
        image,
        bare,
    )
    level = (0.5 + 0.4 * max(float(normal @ lamp), 0.0)) * (1 + 0.16 * height)
    assert image[1:] == pytest.approx(np.broadcast_to([200, 100, 50], (3, 6, 3)) * level, rel=1e-4)
    assert (bare[0] == 1).all()
    assert (bare[1:] == 0).all()
    assert (image[0] == 0).all()


@pytest.mark.parametrize("away", [0.0, 0.1, 0.3])
def test_a_face_shines_as_far_as_it_stands_half_way_between_lamp_and_eye(away: float) -> None:
    """Mirrored light: the cosine to the middle of lamp and eye, to the 32nd (Blinn 1977)."""
    eye, lamp = np.array([0.0, 0.0, 1.0]), np.array([0.6, 0.0, 0.8])
    half = (eye + lamp) / np.linalg.norm(eye + lamp)
    lean = np.arctan2(half[0], half[2]) + away
    normal = np.array([np.sin(lean), 0.0, np.cos(lean)], np.float32)
    image, bare = np.empty((3, 3, 3), np.float32), np.empty((3, 3), np.float32)
    lit(
        np.full((3, 3), 0.3, np.float32),
        np.zeros((3, 3), np.int32),
        np.broadcast_to(normal, (3, 3, 3)).copy(),
        np.zeros((1, 3), np.float32),
        np.diag([1e-6, 1e-6, 1.0]).astype(np.float32),  # all lines of sight as good as straight
        lamp.astype(np.float32),
        np.array([0.0, 0.0, 0.4, 0.0, 0.0], np.float32),
        0.01,
        1,
        image,
        bare,
    )
    assert image == pytest.approx(np.full((3, 3, 3), 255 * 0.4 * np.cos(away) ** 32), rel=1e-3)


def test_a_body_without_a_normal_is_still_a_color() -> None:
    image, bare = np.empty((1, 1, 3), np.float32), np.empty((1, 1), np.float32)
    one = np.ones((1, 1), np.float32)
    lit(
        one, np.zeros((1, 1), np.int32), np.zeros((1, 1, 3), np.float32),
        np.full((1, 3), 100, np.float32), np.eye(3, dtype=np.float32),
        np.array([0, 0, 1], np.float32), np.array([0.5, 0.4, 0.3, 0.1, 0], np.float32),
        0.01, 1, image, bare,
    )  # fmt: skip
    assert image == pytest.approx(np.full((1, 1, 3), 50.0))


@pytest.mark.parametrize("height", [-0.4, -0.7])
@pytest.mark.parametrize("aside", [-0.2, 0.3])
def test_the_shadow_lies_where_the_lamp_s_ray_meets_the_floor(height: float, aside: float) -> None:
    stage = Stage([ball("moving", RED, 0.1)], size=(320, 200))
    stage.look((0, -5, 2.5), (0.3, 0.5, -0.3), 0.6)
    center = np.array([aside, 0.2, 0.0])
    pose = {"moving": at(*center)}
    dark = stage.picture(pose).astype(float) - stage.picture({**pose, "ground": at(0, 0, height)})
    weight = dark.sum(axis=2)
    rows, columns = np.mgrid[:200, :320] + 0.5
    found = [(weight * columns).sum() / weight.sum(), (weight * rows).sum() / weight.sum()]
    hit = center - LIGHT * (center[2] - height) / LIGHT[2]
    assert found == pytest.approx(stage.project(hit), abs=1.5)


def test_a_long_face_that_passes_the_camera_is_cut_and_not_left_out() -> None:
    """A floor under the camera: every pixel below the horizon, at the depth of its equation."""
    lens = Lens((0.0, 0.0, 1.0), (0.0, 10.0, 1.0), 0.8, (120, 80))
    floor = body("floor", "", box((-500, -500, -0.1), (500, 500, 0.0)), RED)
    drawing = drawn(floor, lens=lens)
    _, above = lens.rays(np.arange(120) + 0.5, np.arange(80) + 0.5)
    depth = -1.0 / above  # 1 m above the floor: depth times slope
    below = (above < 0) & (depth < 480) & (depth > lens.near)
    assert (drawing.number[below] == 0).all()
    assert (drawing.number[above > 0] < 0).all()
    expected = np.broadcast_to(1 / depth[below, None], (below.sum(), 120))
    assert drawing.nearness[below] == pytest.approx(expected, rel=2e-3, abs=1e-5)


def test_contact_shade_darkens_a_corner_and_not_what_stands_far_behind() -> None:
    depth = np.full((60, 60), 3.0, np.float32)
    depth[:, 30:] = 3.02
    empty = np.zeros(depth.shape, bool)
    near = contact_shade(depth, empty, 600)
    assert near[30, 31] < 0.99
    assert near[30, 50] == pytest.approx(1.0, abs=1e-3)
    depth[:, 30:] = 5.0
    assert contact_shade(depth, empty, 600)[30, 31] == pytest.approx(1.0, abs=1e-3)
    assert (contact_shade(depth, ~empty, 600) == 1).all()
