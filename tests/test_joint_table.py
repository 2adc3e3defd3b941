"""The report says what every joint is, how far it bends and what it stands."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import samples

from sim.display import display_of
from sim.measure.measure import measure
from sim.motion.solve import solve
from sim.scene.parts import Reading
from sim.show.report.joint_table import joint_table
from sim.show.slide_words import slide_words

DEG = np.pi / 180


def test_a_row_for_every_joint_with_its_kind_and_worst_angle() -> None:
    double = replace(samples.joint("double cardan"), halving_error=-0.5 * DEG)
    plunging = replace(samples.joint("constant velocity"), plunge=0.05, plunge_in=0.02)
    made = samples.two_piece(joints=(double, samples.joint("flexible"), plunging))
    reading = Reading(
        path="joint.2.largest_angle", value=0.05, spread=0, text="3 deg", status="measured", line=1
    )
    m = measure(solve(replace(made, readings={reading.path: reading})))
    first, second, third = joint_table(m, display_of("inch")).rows
    assert first[1:2] + first[3:] == (
        "double cardan",
        "25.00 (usual for its kind)",
        "crosses 2.95 in apart, coupling yoke −0.50 deg off the half at 15.00 deg",
    )
    assert second[1:2] + second[3:] == ("flexible", "3.00", "–")
    assert third[-1] == "plunges 1.97 in in all, 0.79 in inward at ride height"
    worst = np.degrees(m.joint_angle.max(axis=0))
    assert [float(row[2].split(" ")[0]) for row in (first, second, third)] == pytest.approx(
        worst, abs=0.006
    )


def test_a_double_joint_without_error_halves_its_angle() -> None:
    made = samples.one_piece(joints=(samples.joint("double cardan"), samples.joint()))
    rows = joint_table(measure(solve(made)), display_of("metric")).rows
    assert rows[0][-1] == "crosses 75.0 mm apart, coupling yoke halves the angle"
    assert rows[1][-1] == "–"


def test_a_plunging_joint_is_spoken_of_in_place_of_the_spline() -> None:
    assert slide_words(samples.two_piece()).where == (
        "spline, on the midship stub behind the center bearing"
    )
    plunging = replace(samples.joint("constant velocity"), plunge=0.05, plunge_in=0.02)
    made = samples.two_piece(joints=(samples.joint(), plunging, samples.joint()))
    said = slide_words(made)
    assert said.where == "joint 2, which plunges in place of a spline"
    assert (said.gap, said.engaged, said.least) == (
        "plunge left inward",
        "plunge left outward",
        made.limits.gap,
    )
