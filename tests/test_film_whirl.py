from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import samples
from matplotlib.text import Text
from test_film import SMALL, scene_of

from sim.display import METRIC, TRADE_INCH, Display
from sim.explore.shaken import shake_of
from sim.measure.measure import measure
from sim.measure.measurements import Measurements
from sim.motion.solve import solve
from sim.scene.parts import Configuration
from sim.scene.reader import load_scene
from sim.show.film import whirl as whirl_module
from sim.show.film.bars import Bar, paint_bar
from sim.show.film.film import tell
from sim.show.film.frame import Painter, Story
from sim.show.film.meeting import first_meeting, shafts_of, swelling
from sim.show.film.whirl import WhirlCard, round_down

WHOLE = (1280, 720)
TRUCK = Path(__file__).parents[1] / "scenes" / "orchard_service_truck.toml"


@pytest.fixture(scope="module")
def one() -> Measurements:
    return measure(solve(samples.one_piece()))


@pytest.fixture(scope="module")
def two() -> Measurements:
    return measure(solve(samples.two_piece()))


@pytest.fixture(scope="module")
def story(one: Measurements, two: Measurements) -> Story:
    pair = one.configuration, two.configuration
    return tell(scene_of(*pair), [one, two], seconds=1, fps=6)


@pytest.fixture(scope="module")
def card(story: Story) -> WhirlCard:
    return card_of(story)


def card_of(story: Story, size: tuple[int, int] = WHOLE) -> WhirlCard:
    assert story.meeting is not None
    return WhirlCard(size, story.takes, story.looks, story.meeting, story.display)


def picture_of(frame: bytes, size: tuple[int, int] = WHOLE) -> np.ndarray:
    return np.frombuffer(frame, np.uint8).reshape(size[1], size[0], 3).astype(int)


def words_of(card: WhirlCard) -> list[Text]:
    return [text for text in card.sheet.axes.findobj(Text) if text.get_text()]


def at_top_speed(configuration: Configuration, speed: float) -> Measurements:
    vehicle = replace(configuration.vehicle, top_speed=speed)
    return measure(solve(replace(configuration, vehicle=vehicle)))


def test_the_moment_is_at_the_road_speed_where_joints_meet_the_tube(
    one: Measurements, two: Measurements
) -> None:
    # Slender pinned beam: f = (π/2) sqrt(E I / (m L⁴)), any text on vibrations; met twice a turn at
    # half of that in turns; tire circumference over axle ratio a turn.  Steel 207 GPa, 7850 kg/m³.
    part = one.configuration
    length = float(np.linalg.norm(part.pinion.point - part.output.point))
    tube, vehicle = part.shafts[0].tube, part.vehicle
    stiffness = 207e9 * math.pi / 64 * (tube.outside**4 - tube.inside**4)
    line_mass = 7850 * math.pi / 4 * (tube.outside**2 - tube.inside**2)
    frequency = math.pi / 2 * math.sqrt(stiffness / (line_mass * length**4))
    speed = frequency / 2 * vehicle.tire_circumference / vehicle.axle_ratio
    meeting = first_meeting([one, two])
    assert meeting is not None
    assert meeting.order == 2
    assert meeting.road_speed == pytest.approx(speed, rel=0.01)


@pytest.mark.parametrize("turned", [False, True])
def test_the_layout_that_bows_is_the_one_whose_tube_is_met(
    one: Measurements, two: Measurements, turned: bool
) -> None:
    pair = [two, one] if turned else [one, two]
    meeting = first_meeting(pair)
    assert meeting is not None
    for bow, measured in zip(meeting.bows, pair, strict=True):
        assert bow.met == (measured is one)
    bowed, straight = meeting.bows[::-1] if turned else meeting.bows
    assert bowed.size > 20 * straight.size


def test_it_bows_as_far_as_its_ends_are_shaken() -> None:
    # Newton: both ends hold what the mass of a half sine, w sin(πx/L), needs at twice per turn:
    # 2 F = (2Ω)² (2/π) m w.  F by the row on its supports, another route than its modes.
    part = load_scene(TRUCK).configurations[0]
    assert part.name == "one-piece"
    meeting = first_meeting([measure(solve(part))])
    assert meeting is not None
    speed = meeting.road_speed
    shake = shake_of(part, speeds=np.array([speed]), situations=("cruise",), draws=0)
    course = shake.course("ride height", "cruise", 2)
    assert course is not None
    tube = part.shafts[0].tube
    length = float(np.linalg.norm(part.pinion.point - part.output.point))
    mass = 7850 * math.pi / 4 * (tube.outside**2 - tube.inside**2) * length
    turning = 2 * math.pi * part.vehicle.axle_ratio * speed / part.vehicle.tire_circumference
    force = float(course.force[0, 0, 0].sum())
    size = force / ((2 * turning) ** 2 * 2 / math.pi * mass)
    assert meeting.bows[0].size == pytest.approx(size, rel=0.005)


def test_joints_that_turn_evenly_bend_no_tube() -> None:
    even = samples.one_piece(joints=(samples.joint("constant velocity"),) * 2)
    meeting = first_meeting([measure(solve(even))])
    # what is left is the critical speed: once per turn, at twice the road speed
    plain = first_meeting([measure(solve(samples.one_piece()))])
    assert meeting is not None
    assert plain is not None
    assert (plain.order, meeting.order) == (2, 1)
    assert meeting.road_speed == pytest.approx(2 * plain.road_speed)


@pytest.mark.parametrize(("ratio", "size"), [(0.0, 1.0), (0.5, 4 / 3), (1.0, 50.0), (2.0, 1 / 3)])
def test_a_mode_swells_as_one_degree_of_freedom(ratio: float, size: float) -> None:
    # 1/|1 - r² + jη|, η = 0.02: any text on vibrations
    assert swelling(ratio) == pytest.approx(size, rel=1e-3)


def test_a_bearing_that_bounces_is_no_tube_that_bows(two: Measurements) -> None:
    assert two.whirl.crossings
    assert {two.whirl.modes[c.mode - 1].kind for c in two.whirl.crossings} == {"bounce"}
    assert first_meeting([two]) is None


def test_a_tube_that_is_met_beyond_what_is_driven_does_not_bow(one: Measurements) -> None:
    meeting = first_meeting([one])
    assert meeting is not None
    speed = meeting.road_speed
    within, beyond = (at_top_speed(one.configuration, speed / k) for k in (1.19, 1.21))
    found = first_meeting([within])
    assert found is not None
    assert found.road_speed == pytest.approx(speed)
    assert first_meeting([beyond]) is None


def test_where_no_tube_is_met_the_film_keeps_its_length(two: Measurements) -> None:
    story = tell(scene_of(two.configuration), [two], seconds=1, fps=6)
    assert story.meeting is None
    assert story.frames == story.script.frames == 6
    painter = Painter(story, SMALL)
    assert painter.card is None
    assert len(painter.paint(5)) == 180 * 320 * 3


def test_the_moment_lies_between_the_launch_and_the_closing_numbers(
    story: Story, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Painter, "_paint", lambda painter, frame: bytes([frame]))
    painter = Painter(story, SMALL)
    frames = [painter.paint(frame) for frame in range(story.frames)]
    # 1.6 s beside 6 s: two frames beside six, ahead of the first with closing numbers
    closing, moment = story.script.closing, story.whirling
    assert (moment.start, len(moment), len(frames)) == (closing, 2, 8)
    assert [f for f in frames if len(f) == 1] == [bytes([k]) for k in range(6)]
    assert [len(f) for f in frames[moment.start : moment.stop]] == [180 * 320 * 3] * 2
    assert frames[moment.start] != frames[moment.start + 1]


def test_the_shape_drawn_is_the_computed_one_and_a_sine(one: Measurements) -> None:
    # A slender pinned beam bends as a half sine, any text on vibrations; yokes at its ends, shear
    # and a splined bar move it by less than 1 %.
    meeting = first_meeting([one])
    assert meeting is not None
    ((share, deflection),) = shafts_of(meeting.bows[0].mode)
    np.testing.assert_allclose(np.abs(deflection), np.sin(math.pi * share), atol=0.01)


def test_the_tube_in_the_picture_lies_where_the_mode_puts_it(card: WhirlCard) -> None:
    # Against the picture itself: middle of what differs from the paper, column by column.
    picture = np.full((720, 1280, 3), 255, np.uint8)
    row = card.rows[0]
    row._paint_shaft(picture, 0, row.drawn, 0.0)
    share = np.linspace(0.2, 0.8, 13)
    start, end = row.joints
    for column in np.rint(start[0] + share * (end[0] - start[0])).astype(int):
        rows = np.flatnonzero((picture[:, column, :3] < 250).any(axis=1))
        part = (column + 0.5 - start[0]) / (end[0] - start[0])
        line = start[1] + part * (end[1] - start[1])
        bent = line - (rows.min() + rows.max() + 1) / 2
        # across a line that leans by 5 deg
        assert abs(bent) == pytest.approx(row.drawn * math.sin(math.pi * part), abs=3.5)


def test_every_shaft_is_bent_by_its_own_part_of_the_mode() -> None:
    whirl = measure(solve(samples.three_piece())).whirl
    for mode in whirl.modes:
        shafts = shafts_of(mode)
        assert len(shafts) == 3
        assert sum(len(share) for share, _ in shafts) == len(mode.place)
        for (share, deflection), (_, behind) in pairwise(shafts):
            assert (share[0], share[-1]) == (0.0, 1.0)
            assert deflection[-1] == pytest.approx(behind[0], abs=1e-9)


def test_one_bows_and_the_other_is_seen_straight(card: WhirlCard) -> None:
    bowed, straight = (row.drawn for row in card.rows)
    assert whirl_module.DRAWN / 1.5 <= bowed <= whirl_module.DRAWN
    assert straight < 3


def test_both_are_drawn_as_many_times_as_is_said(story: Story, card: WhirlCard) -> None:
    (said,) = (t.get_text() for t in words_of(card) if "drawn" in t.get_text())
    assert said.startswith("bending drawn ")
    times = float(said.removeprefix("bending drawn ").removesuffix(" times"))
    for row, bow, take in zip(card.rows, card.meeting.bows, story.takes, strict=True):
        ends = take.motion.joint_center[0, 0, [0, -1]]
        scale = (row.joints[-1, 0] - row.joints[0, 0]) / (ends[1, 0] - ends[0, 0])
        assert row.drawn == pytest.approx(times * bow.size * scale)


@pytest.mark.parametrize(
    ("value", "found"), [(1.0, 1.0), (0.19, 0.15), (99.0, 80.0), (428.0, 400.0), (2000.0, 2000.0)]
)
def test_a_round_number_is_never_more(value: float, found: float) -> None:
    assert round_down(value) == pytest.approx(found)


def test_it_goes_round_as_often_as_it_is_shaken(card: WhirlCard) -> None:
    start = picture_of(card.paint(0.0))
    quarter, half = (picture_of(card.paint(math.pi * k)) for k in (0.5, 1.0))
    upper = slice(180, 400)  # the layout that bows

    def middle(picture: np.ndarray) -> float:
        """Return the mean row of black paint at mid-length."""
        dark = (picture[upper, 540:560] < 60).all(axis=2)
        return float(np.nonzero(dark)[0].mean())

    assert abs(middle(quarter) - middle(start)) > 80
    assert middle(half) == pytest.approx(middle(start), abs=4)


def test_words_are_few_large_and_apart(card: WhirlCard) -> None:
    texts = words_of(card)
    assert sum(len(text.get_text().split()) for text in texts) <= 15
    boxes = []
    for text in texts:
        left, top, width, height = card.sheet.extent(text)
        assert height >= 28
        assert 0 <= left <= left + width <= 1280
        assert 0 <= top <= top + height <= 720
        boxes.append((left, top, left + width, top + height))
    for k, a in enumerate(boxes):
        for b in boxes[:k]:
            assert a[2] < b[0] or b[2] < a[0] or a[3] < b[1] or b[3] < a[1]


def test_no_word_stands_in_what_a_shaft_sweeps(card: WhirlCard) -> None:
    plain = picture_of(card.sheet.begin()[..., :3].tobytes())
    for turn in np.linspace(0, math.pi, 7):
        moved = (picture_of(card.paint(turn)) != plain).any(axis=2)
        for text in words_of(card):
            left, top, width, height = (int(edge) for edge in card.sheet.extent(text))
            assert not moved[top : top + height, left : left + width].any(), text


@pytest.mark.parametrize(("display", "unit"), [(METRIC, 1 / 3.6), (TRADE_INCH, 0.44704)])
def test_the_card_says_speed_and_layout(story: Story, display: Display, unit: float) -> None:
    card = card_of(replace(story, display=display))
    assert story.meeting is not None
    speed, straight = story.meeting.road_speed, story.meeting.bows[1].meets_at
    name = display.speed.name
    said = [text.get_text() for text in words_of(card)]
    assert said[0] == f"At {speed / unit:.0f} {name}"
    rows = {text.get_text(): card.sheet.extent(text)[1] for text in words_of(card)}
    assert rows["bows"] == pytest.approx(rows["one-piece"], abs=12)
    other = f"bows only at {straight / unit:.0f} {name}"
    assert rows[other] == pytest.approx(rows["two-piece"], abs=12)


def test_the_same_bytes_twice(story: Story) -> None:
    assert card_of(story).paint(0.7) == card_of(story).paint(0.7)


def test_a_long_name_leaves_room_for_what_it_does(story: Story) -> None:
    take = story.takes[0]
    named = replace(take.motion.configuration, name="a very long name of a layout " * 4)
    takes = (replace(take, motion=replace(take.motion, configuration=named)), story.takes[1])
    card = card_of(replace(story, takes=takes))
    name = next(text for text in words_of(card) if text.get_text().startswith("a very"))
    assert name.get_text().endswith("…")
    left, _, width, _ = card.sheet.extent(name)
    assert left + width < 1100


def test_a_bar_covers_its_silhouette() -> None:
    # Half a sine of 10 pixels over a level line at row 50, radius 8: rows from the formula.
    share = np.linspace(0, 1, 65)
    bar = Bar(
        start=np.array([20.0, 50.0]), end=np.array([180.0, 50.0]), share=share,
        radius=np.full(65, 8.0), bend=10 * np.sin(math.pi * share), between=(0.25, 1.0),
    )  # fmt: skip
    picture = np.full((100, 200, 3), 255, np.uint8)
    paint_bar(picture, bar, (0.2, 0.2, 0.2))
    painted_over = (picture[..., :3] < 240).any(axis=2)
    assert not painted_over[:, :59].any()
    for column in (62, 100, 140, 175):
        rows = np.flatnonzero(painted_over[:, column])
        part = (column + 0.5 - 20) / 160
        lean = math.hypot(1, 10 * math.pi / 160 * math.cos(math.pi * part))
        middle = 50 - 10 * math.sin(math.pi * part)
        assert rows.min() == pytest.approx(middle - 8 * lean, abs=1.0)
        assert rows.max() + 1 == pytest.approx(middle + 8 * lean, abs=1.0)


def test_a_bar_is_lit_from_above() -> None:
    share = np.array([0.0, 1.0])
    bar = Bar(
        start=np.array([10.0, 50.0]), end=np.array([90.0, 50.0]), share=share,
        radius=np.full(2, 20.0), bend=np.zeros(2),
    )  # fmt: skip
    picture = np.zeros((100, 100, 3), np.uint8)
    paint_bar(picture, bar, (0.5, 0.5, 0.5))
    assert picture[38, 50, 0] > picture[50, 50, 0] > picture[65, 50, 0] > 0


def test_layouts_that_bend_alike_are_drawn_alike(story: Story) -> None:
    assert story.meeting is not None
    bows = tuple(replace(bow, size=2e-4) for bow in story.meeting.bows)
    alike = card_of(replace(story, meeting=replace(story.meeting, bows=bows)))
    assert alike.rows[0].drawn == alike.rows[1].drawn > 30
    assert not any("only" in text.get_text() for text in words_of(alike))


def test_a_critical_speed_is_exaggerated_as_it_is_said(story: Story) -> None:
    # how far a shaft bows at its critical speed, nothing but damping says
    assert story.meeting is not None
    bows = tuple(
        replace(bow, size=size) for bow, size in zip(story.meeting.bows, (50.0, 1.1), strict=True)
    )
    card = card_of(replace(story, meeting=replace(story.meeting, order=1, bows=bows)))
    assert "bending exaggerated" in [text.get_text() for text in words_of(card)]
    assert [row.drawn for row in card.rows] == pytest.approx(
        [whirl_module.DRAWN, whirl_module.DRAWN * 1.1 / 50]
    )
