"""What a review found wrong once: each would come back without a sign."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from sim.commands import common
from sim.errors import SceneError
from sim.explore.evaluate import evaluate
from sim.explore.sampling import draw
from sim.explore.sources import sources_of
from sim.judge.hold import hold
from sim.judge.judge import judge
from sim.judge.rules import load_rules
from sim.judge.samples import states_to_sample
from sim.measure.measure import measure
from sim.motion.solve import solve
from sim.motion.sweep import sweep_states
from sim.scene.parts import Configuration
from sim.scene.reader import load_scene, read_scene
from sim.show.outlook import GRADES
from sim.verdicts import verdict

SCENES = Path(__file__).parents[1] / "scenes"
TRUCK = SCENES / "orchard_service_truck.toml"


def truck(before: str = "", after: str = "") -> Configuration:
    text = TRUCK.read_text(encoding="utf-8")
    assert before in text
    return read_scene(text.replace(before, after, 1).encode()).configuration("two-piece")


def test_every_grade_has_a_color() -> None:
    assert set(GRADES) <= set(common.COLORS)


def test_a_set_without_anything_to_sample_gives_verdicts_and_no_cure(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text(
        'format = "halfturn rules 1"\n[set."wide"]\nscope = "room"\n[set."wide".rule."wide"]\n'
        'quantity = "clearance"\nat_least = "900 mm"\nfails_in = "every state"\n'
        'good = "Wide"\nbad = "Narrow"\ndo = "Widen it."\n',
        encoding="utf-8",
    )
    done = verdict(truck(), load_rules("shop.toml", tmp_path))
    assert done.findings.fails
    assert not any(finding.cures for finding in done.findings.findings)


def test_a_comment_is_no_change() -> None:
    with pytest.raises(SceneError, match="write a key"):
        load_scene(TRUCK, changes=["#x = 4 mm"])


def test_a_phase_is_judged_by_its_own_design_and_not_by_its_neighbor() -> None:
    design = truck().design
    rules = load_rules("two-piece service").rules
    values = {"shaft.1.phase": 0.2, "bearing.1.up": np.array([0.53, 0.56])}
    turned = values | {"bearing.1.up": values["bearing.1.up"][::-1]}
    one, other = (
        {held.key: held.verdict for held in hold(rules, evaluate(design, v))}
        for v in (values, turned)
    )
    assert one.keys() == other.keys()
    marks = [key for key in one if key[0] in ("index marks", "yoke phase")]
    assert len(marks) >= 2
    for key in marks:
        np.testing.assert_array_equal(one[key], other[key][::-1])


def test_a_lost_state_leaves_the_critical_speed_of_its_design() -> None:
    configuration = truck()
    states = sweep_states(configuration)
    two = [next(s for s in states if s.height == h) for h in ("ride height", "full droop")]
    numbers = evaluate(configuration.design, {"travel.droop": np.array([0.11, 0.9])}, two)
    assert numbers.lost[1].any()
    assert (numbers.critical_speed > 0).all()


@pytest.mark.parametrize("path", ["pinion.nose_up", "suspension.seat_above_axle"])
def test_what_may_be_on_either_side_is_drawn_on_either_side(path: str) -> None:
    before, after = {
        "pinion.nose_up": ("[pinion]", '[pinion]\nnose_up = "0 ± 0.5 deg"'),
        "suspension.seat_above_axle": ('"95 mm"', '"0 ± 5 mm"'),
    }[path]
    source = next(s for s in sources_of(truck(before, after)) if s.key == path)
    (drawn,) = draw([source])
    assert 0.45 < (drawn < 0).mean() < 0.55


def test_every_named_state_and_every_worst_one_is_sampled_however_many_there_are() -> None:
    for configuration in load_scene(SCENES / "long_three_piece_chassis.toml").configurations:
        states = sweep_states(configuration)
        findings = judge(measure(solve(configuration)), load_rules("heavy truck"))
        chosen = states_to_sample(states, findings)
        named = {state for state in states if state.height and not state.roll}
        worst = {finding.state for finding in findings.findings} & set(states)
        assert len(worst - named) > 2
        assert set(chosen) == named | worst


def test_a_name_that_cannot_be_printed_is_no_name_of_a_set(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text(
        'format = "halfturn rules 1"\n[set."our \\u001b[31mshop"]\nscope = "x"\n'
        'extends = "two-piece service"\n',
        encoding="utf-8",
    )
    with pytest.raises(SceneError, match="cannot be printed"):
        load_rules("shop.toml", tmp_path)


def test_the_last_pair_is_the_last_two_joints_or_none() -> None:
    scene = load_scene(SCENES / "long_three_piece_chassis.toml", changes=[
        'configuration.three-piece.joint.3.kind = "double cardan"',
    ])  # fmt: skip
    (three,) = (c for c in scene.configurations if c.name == "three-piece")
    found = judge(measure(solve(three)), load_rules("general light service")).findings
    assert not [f for f in found if f.rule == "pair difference"]


def test_angles_that_match_across_two_planes_are_not_said_to_cancel() -> None:
    """Joint 1 bends in top view, joint 2 in side view: equal angles, and nothing cancels."""
    changes = [
        'output.slope = "3.2 deg to level"',
        'output.plan_angle = "3 deg"',
        'output.as_designed.slope = "4.4 deg"',
        'pinion.slope = "0.2 deg to level"',
        'pinion.slope_on_wedge = "0.2 deg to level"',
        'pinion.nose_up = "0 deg"',
    ]
    (one,) = load_scene(
        SCENES / "mistakes" / "sound_one_piece.toml", changes=changes
    ).configurations
    found = {f.rule: f for f in judge(measure(solve(one))).findings}
    assert found["residual fluctuation"].verdict == "fails"
    assert found["residual fluctuation"].value > 0.4
    assert "in angle and plane" in found["residual fluctuation"].remedy
    assert (found["pair difference"].verdict, found["pair difference"].value < 0.3) == (
        "passes",
        True,
    )
    assert "cancel" not in found["pair difference"].what
