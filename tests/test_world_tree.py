"""The chain of bodies stands where it should before the engine moves it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from sim.motion.frames import axis_from_slope, unit
from sim.world.tree import Dimensions, output_frame, start, tree

DEG = np.pi / 180
AXES = axis_from_slope(np.array([2, 7, -4, 5]) * DEG, np.array([0, 3, -2, 1]) * DEG)
LENGTHS = np.array([1.1, 0.9, 0.8])
PHASES = np.array([20, -15, 5]) * DEG
TURNED = {"turns x": "x", "turns y": "y", "turns z": "z"}


def dimensions(even=(False,) * 4, spline="shaft", output_spline=False):
    return Dimensions(
        output=np.array([1.0, 0.0, 0.5]),
        axis=AXES[0],
        lengths=LENGTHS,
        phases=PHASES,
        even=even,
        bearings=np.zeros((2, 3)),
        pivots=np.array([1.0, 0.8]),
        spline=spline,
        output_spline=output_spline,
    )


def aims():
    return np.concatenate([AXES[1:], axis_from_slope(3 * DEG, 2 * DEG)[None]])


def stand(links, place, frame, positions):
    """Walk down the chain: place and frame of every body."""
    bodies = {}
    for link, q in zip(links, positions, strict=True):
        place = place + link.along * frame[:, 0]
        frame = frame @ Rotation.from_euler("x", link.clocked).as_matrix()
        if link.moves == "slides":
            place = place + q * frame[:, 0]
        else:
            frame = frame @ Rotation.from_euler(TURNED[link.moves], q).as_matrix()
        bodies[link.name] = (place, frame)
    return bodies


KINDS = [
    (False,) * 4,
    (True, False, False, False),
    (False, True, False, True),
    (True,) * 4,
]


@pytest.mark.parametrize("even", KINDS)
def test_every_member_points_along_its_axis(even):
    d = dimensions(even)
    links = tree(d)
    q, _ = start(links, output_frame(d.axis), aims(), np.zeros(1), 1.0)
    bodies = stand(links, d.output, output_frame(d.axis), q)
    for name, axis in zip(d.members, [AXES[0], *aims()], strict=True):
        np.testing.assert_allclose(bodies[name][1][:, 0], axis, atol=1e-14)


@pytest.mark.parametrize("even", KINDS)
def test_at_the_start_every_axis_stands_still_and_only_speeds_differ(even):
    d = dimensions(even)
    links = tree(d)
    frame = output_frame(d.axis)
    q, rate = start(links, frame, aims(), np.zeros(1), 2.0)
    h = 1e-6
    there = stand(links, d.output, frame, q + h * rate)
    back = stand(links, d.output, frame, q - h * rate)
    for name in d.members:
        change = (there[name][1] - back[name][1]) / (2 * h)
        np.testing.assert_allclose(change[:, 0], 0, atol=1e-8)


def test_a_joint_that_runs_even_turns_its_pin_by_the_shortest_way_and_keeps_the_speed():
    d = dimensions((True, False, False, False))
    links = tree(d)
    frame = output_frame(d.axis)
    q, rate = start(links, frame, aims(), np.zeros(1), 2.0)
    shortest, _ = Rotation.align_vectors(
        [AXES[1], np.cross(AXES[0], AXES[1])], [AXES[0], np.cross(AXES[0], AXES[1])]
    )
    _, shaft = stand(links, d.output, frame, q)["shaft 1"]
    np.testing.assert_allclose(shaft[:, 1], shortest.apply(frame[:, 1]), atol=1e-14)
    h = 1e-6
    there, back = (stand(links, d.output, frame, q + s * rate)["shaft 1"][1] for s in (h, -h))
    speed = Rotation.from_matrix(there @ back.T).as_rotvec() / (2 * h)
    np.testing.assert_allclose(speed, 2.0 * AXES[1], atol=1e-8)


def test_the_rear_yoke_stands_a_right_angle_and_the_phase_beyond_the_driven_pin():
    d = dimensions()
    links = tree(d)
    q, _ = start(links, output_frame(d.axis), aims(), np.zeros(1), 1.0)
    bodies = stand(links, d.output, output_frame(d.axis), q)
    for i, phase in enumerate(PHASES, start=1):
        shaft, behind = bodies[f"shaft {i}"][1], bodies[f"joint {i + 1}"][1]
        driven, pin, axis = shaft[:, 2], behind[:, 1], shaft[:, 0]
        # In phase: driven and next driving pin are one line, both ears alike.
        turned = np.arctan2(np.cross(driven, pin) @ axis, driven @ pin)
        assert turned == pytest.approx(phase, abs=1e-14)


def test_the_ears_of_a_coupling_yoke_are_in_line_and_it_points_where_it_is_held():
    d = replace(dimensions(), coupled=(False, True, False, False))
    links, yoke = tree(d), unit(AXES[1] + 1.1 * AXES[2])
    frame = output_frame(d.axis)
    q, rate = start(links, frame, np.insert(aims(), 1, yoke, axis=0), np.zeros(1), 2.0)
    bodies = stand(links, d.output, frame, q)
    between, rear = bodies["joint 2, coupling yoke"][1], bodies["joint 2, rear"][1]
    np.testing.assert_allclose(between[:, 0], yoke, atol=1e-14)
    np.testing.assert_allclose(np.abs(between[:, 2] @ rear[:, 1]), 1, atol=1e-14)
    h = 1e-6
    there, back = (stand(links, d.output, frame, q + s * rate) for s in (h, -h))
    for name in (*d.members, "joint 2, coupling yoke"):
        still = (there[name][1] - back[name][1])[:, 0] / (2 * h)
        np.testing.assert_allclose(still, 0, atol=1e-8)


@pytest.mark.parametrize(
    ("spline", "before"),
    [("output", "output"), ("midship", "shaft 2"), ("shaft", "shaft 3")],
)
def test_the_spline_is_where_it_is_said_to_be(spline, before):
    links = tree(dimensions(spline=spline))
    names = [link.name for link in links]
    slides = [n for n, link in enumerate(links) if link.moves == "slides"]
    assert len(slides) == 1
    assert names[slides[0] - 1] == before


def test_a_second_slip_yoke_rides_on_the_output():
    links = tree(dimensions(spline="midship", output_spline=True))
    assert [link.name for link in links if link.moves == "slides"] == ["output spline", "spline"]
    assert links[1].name == "output spline"
