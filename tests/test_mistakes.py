"""Bad set-ups: each is a sound one changed in one value, and its own finding comes first."""

from __future__ import annotations

import difflib
import re
from functools import cache
from pathlib import Path

import pytest

from sim import run
from sim.judge.findings import Finding, Findings
from sim.judge.judge import judge
from sim.measure.measure import measure
from sim.measure.measurements import Measurements
from sim.motion.solve import solve
from sim.scene.reader import load_scene, read_scene

MISTAKES = Path(__file__).parent.parent / "scenes" / "mistakes"
SOUND = sorted(path.stem for path in MISTAKES.glob("sound_*.toml"))
NAMES = sorted(path.stem for path in MISTAKES.glob("*.toml") if path.stem not in SOUND)

# What the report must say of each: verdict, rule, part, state, words of the headline, words of the
# cure.  What is wrong with each set-up is known beforehand: it was put there.
EXPECTED: dict[str, tuple[str, ...]] = {
    "tooth_off_in_the_rear_spline": (
        "fails",
        "yoke phase",
        "shaft 2",
        "",
        "Yokes are out of phase",
        "Put the spline together by its index marks.",
    ),
    "tooth_off_at_the_midship_stub": (
        "watch",
        "index marks",
        "shaft 1",
        "",
        "off its index marks",
        "Line up the marks",
    ),
    "bottoms_at_bump_with_wrap": (
        "fails",
        "bottoming",
        "spline",
        "full bump, hard launch",
        "Spline bottoms out",
        "Cut shaft 2 shorter by ",
    ),
    "bottoms_when_parked_low": (
        "fails",
        "bottoming",
        "spline",
        "parked low, no torque",
        "Spline bottoms out",
        "Fit a spline with",
    ),
    "pulls_out_at_droop": (
        "fails",
        "pull-out",
        "spline",
        "full droop",
        "Spline pulls out",
        " mm more length.",
    ),
    "critical_speed_under_top_speed": (
        "fails",
        "critical speed",
        "shaft 1",
        "",
        "Top speed is beyond whirl",
        "Fit shaft 1 a tube of 101.6 mm, same wall.",
    ),
    "bearing_hung_far_too_high": (
        "fails",
        "front joint, most",
        "joint 1",
        "ride height, no torque",
        "Front joint bends too much",
        " mm lower.",
    ),
    "bearing_moved_sideways_for_a_pipe": (
        "fails",
        "front joint, most",
        "joint 1",
        "ride height, no torque",
        "Front joint bends too much",
        " mm to the right.",
    ),
    "bracket_skewed": (
        "fails",
        "bracket skew",
        "bearing 1",
        "",
        "Bracket stands askew",
        "Square the bracket of bearing 1.",
    ),
    "output_mount_sagged": (
        "fails",
        "contradiction, place",
        "reading output.up",
        "",
        "A place contradicts the other readings",
        "The output stands 13 mm lower",
    ),
    "wedge_fitted_backwards": (
        "fails",
        "contradiction, angle",
        "reading pinion.nose_up",
        "",
        "An angle contradicts the other readings",
        "wedge looks fitted backwards",
    ),
    "slope_with_its_sign_lost": (
        "fails",
        "contradiction, angle",
        "reading frame.slope",
        "",
        "An angle contradicts the other readings",
        "would fit with its sign turned",
    ),
}


@cache
def findings(name: str) -> Findings:
    """Return what the scene's rule set says about the one configuration of a scene."""
    (result,) = run.check(load_scene(MISTAKES / f"{name}.toml")).results
    return result.findings


def measured(path: Path) -> Measurements:
    """Return what is measured on the one configuration of a scene."""
    return measure(solve(load_scene(path).configurations[0]))


def bad(name: str) -> list[Finding]:
    return [finding for finding in findings(name).findings if finding.verdict != "passes"]


def lines(name: str) -> list[str]:
    """Return the lines of a scene that say something, without comments and what it is called."""
    text = (MISTAKES / f"{name}.toml").read_text("utf-8")
    kept = [line.partition("#")[0].strip() for line in text.splitlines()]
    return [line for line in kept if line and not line.startswith(("about", "title"))]


def base_of(name: str) -> str:
    """Return the sound scene that a mistake says it differs from."""
    text = (MISTAKES / f"{name}.toml").read_text("utf-8")
    return text.partition("Differs from ")[2].partition(".toml")[0]


def test_every_mistake_is_expected() -> None:
    assert sorted(EXPECTED) == NAMES
    assert len(NAMES) >= 12


@pytest.mark.parametrize("name", SOUND)
def test_a_sound_set_up_has_no_failing_finding(name: str) -> None:
    assert not findings(name).fails
    assert not [f for f in bad(name) if f.severity >= 4]


@pytest.mark.parametrize("name", NAMES)
def test_a_mistake_is_one_value_away_from_a_sound_set_up(name: str) -> None:
    assert base_of(name) in SOUND
    told = [line for line in difflib.ndiff(lines(base_of(name)), lines(name)) if line[0] in "+-"]
    assert len(told) == 2, told
    was, now = (line[2:].partition(" = ") for line in told)
    assert was[0] == now[0]


@pytest.mark.parametrize("name", NAMES)
def test_the_mistake_comes_first_with_its_effect_and_then_its_cure(name: str) -> None:
    verdict, rule, where, state, what, cure = EXPECTED[name]
    first = bad(name)[0]
    assert (first.verdict, first.rule, first.where) == (verdict, rule, where)
    assert (first.state.label if first.state else "").startswith(state)
    assert bool(first.state) == bool(state)
    assert what in first.what
    assert cure in (first.cures[0].says if first.cures else first.remedy)


@pytest.mark.parametrize("name", NAMES)
def test_nothing_but_the_finding_gives_a_mistake_away(name: str) -> None:
    doubts = load_scene(MISTAKES / f"{name}.toml").doubts
    if name == "slope_with_its_sign_lost":  # what contradicts itself is doubted before that
        (said,) = doubts
        assert "frame.slope is 1.2 ± 0.1 deg to level" in said
        assert "was the sign lost?" in said
    else:
        assert doubts == ()


def test_a_tooth_at_the_midship_stub_alarms_nobody() -> None:
    assert not findings("tooth_off_at_the_midship_stub").fails


def test_bottoming_at_bump_needs_the_wrap() -> None:
    # At rest the same bump leaves a gap: that is why nobody finds it in the shop.
    m = measured(MISTAKES / "bottoms_at_bump_with_wrap.toml")
    least = {limit.case: limit.least_gap for limit in m.slip_limits}
    assert least["no torque"] > 0 > least["hard launch"]


def test_the_side_view_of_the_dodging_bearing_looks_right() -> None:
    m = measured(MISTAKES / "bearing_moved_sideways_for_a_pipe.toml")
    ride = next(k for k, s in enumerate(m.states) if s.label == "ride height, no torque")
    side, top = (abs(a[ride, 0]) * 57.29578 for a in (m.side_angle, m.plan_angle))
    assert side < 0.5 < top


@pytest.mark.parametrize(
    ("name", "said"),
    [
        (
            "slope_with_its_sign_lost",
            "It is 1.2 ± 0.1 deg to level and would fit with its sign turned: read it again, "
            "front end high is positive.",
        ),
        (
            "wedge_fitted_backwards",
            "The 1.5 ± 0.2 deg wedge looks fitted backwards: turn it round and read again. By "
            "these numbers alone it cannot be told from pinion.slope (0.3 ± 0.1 deg to level), "
            "pinion.slope_on_wedge (-1.2 ± 0.1 deg to level).",
        ),
        (
            "output_mount_sagged",
            "The output stands 13 mm lower than the other readings and the drawing say: look at "
            "the mounts of engine and transmission before any shim, then read it again. By these "
            "numbers alone it cannot be told from output.as_designed.up (568 ± 4 mm).",
        ),
    ],
)
def test_what_to_read_again_is_told_in_whole_sentences(name: str, said: str) -> None:
    """What is wrong was put there: a lost sign, a turned wedge, a mount that sagged by 13 mm."""
    found = judge(measured(MISTAKES / f"{name}.toml"))
    (contradiction,) = (f for f in found.findings if f.cause == "contradiction")
    assert contradiction.remedy == said


def test_a_reading_that_fits_neither_way_is_told_with_how_far_it_is_out() -> None:
    # A sound set with shaft 2 read 1.5 deg more than it has: no sign mends that.
    text = (MISTAKES / "sound_read_twice.toml").read_text("utf-8")
    wrong = text.replace('shaft.2.slope = "3.8 ±', 'shaft.2.slope = "5.3 ±')
    (configuration,) = read_scene(wrong.encode()).configurations
    found = judge(measure(solve(configuration)))
    (contradiction,) = (f for f in found.findings if f.cause == "contradiction")
    assert contradiction.where == "reading bearing 1, up"
    # 1.139 m of shaft 2 by 1.5 deg are 30 mm, less what the joint behind the bearing gives back
    assert re.fullmatch(
        r"It is 535 ± 2 mm; without it the others agree, and by them it is −(2[5-9]|30) mm out\. "
        r"By these numbers alone it cannot be told from .*shaft\.2\.slope \(5\.3 ± 0\.1 deg .*",
        contradiction.remedy,
    )


def test_a_mount_that_sagged_is_lower_whichever_way_heights_were_read() -> None:
    """The same truck measured downward from a line 1 m over its datum."""
    text = (MISTAKES / "output_mount_sagged.toml").read_text("utf-8")
    down = re.sub(r'\bup = "(\d+)', lambda up: f'down = "{1000 - int(up[1])}', text)
    (configuration,) = read_scene(down.encode()).configurations
    found = judge(measure(solve(configuration)))
    (contradiction,) = (f for f in found.findings if f.cause == "contradiction")
    assert contradiction.where == "reading output.down"
    assert contradiction.remedy.startswith("The output stands 13 mm lower than the other readings")


def test_what_settles_a_contradiction_is_told_in_the_units_of_the_scene(tmp_path: Path) -> None:
    text = (MISTAKES / "output_mount_sagged.toml").read_text("utf-8")
    inch = tmp_path / "sagged.toml"
    inch.write_text(text.replace('display = "metric"', 'display = "inch"'), "utf-8")
    (result,) = run.check(load_scene(inch)).results
    (found,) = (f for f in result.findings.findings if f.rule == "contradiction, place")
    # 12.5 to 13.5 mm; 25.4 mm to the inch: international yard and pound, 1959
    assert re.match(r"The output stands 0\.(49|5[0-3]) in lower than", found.remedy)
