from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import samples
from chains import at_ride, chain, measured, planar
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.display import amount
from sim.judge.findings import Finding, Findings
from sim.judge.joint_quantities import allowed_angle
from sim.judge.judge import judge
from sim.judge.rules import rule_sets
from sim.judge.words import at_state, limit_words, other_set_words, short, words
from sim.measure.measure import measure
from sim.measure.measurements import Measurements
from sim.motion.solve import solve
from sim.motion.sweep import sweep_states
from sim.scene.parts import Reading

RANK = {"fails": 0, "watch": 1, "passes": 2}


@pytest.fixture(scope="module")
def truck() -> Measurements:
    return measure(solve(samples.two_piece()))


def of(findings: Findings, rule: str, where: str = "") -> Finding:
    return next(f for f in findings.findings if f.rule == rule and where in f.where)


def set_by_shop(found: Measurements, **limits: float) -> Measurements:
    """Return measurements of a shop that writes these limits itself."""
    configuration = found.configuration
    keys = frozenset(limits)
    written = replace(configuration.limits, set_by_shop=keys, **limits)
    return replace(found, configuration=replace(configuration, limits=written))


def with_reading(found: Measurements, path: str, status: str) -> Measurements:
    reading = Reading(path=path, value=0.0, spread=0.0, text="", status=status, line=1)
    configuration = replace(found.configuration, readings={path: reading})
    return replace(found, configuration=configuration)


@settings(max_examples=25, deadline=None)
@given(angles=st.lists(st.floats(0, 25), min_size=2, max_size=4), rpm=st.floats(10, 900))
def test_what_is_not_published_never_fails_by_itself(angles: list[float], rpm: float) -> None:
    found = measured(planar(*angles), shaft_speed=rpm, samples_per_turn=64)
    found = replace(found, gap=np.array([1e-3]), engaged=np.array([1e-3]))
    for rule_set in rule_sets():
        for finding in judge(found, rule_set).findings:
            if finding.standing in ("from memory", "common practice"):
                assert finding.verdict != "fails"


@settings(max_examples=25, deadline=None)
@given(angles=st.lists(st.floats(0, 12), min_size=2, max_size=4))
def test_findings_come_worst_first(angles: list[float]) -> None:
    found = measured(planar(*angles), samples_per_turn=64)
    for rule_set in rule_sets():
        ranks = [(RANK[f.verdict], -f.severity) for f in judge(found, rule_set).findings]
        assert ranks == sorted(ranks)


def test_there_is_one_finding_for_a_rule_and_a_part(truck: Measurements) -> None:
    for rule_set in rule_sets():
        found = judge(truck, rule_set).findings
        assert len({(f.rule, f.where) for f in found}) == len(found) > 10


@pytest.mark.parametrize(
    ("key", "limit", "rule", "angles"),
    [
        ("front_joint", np.deg2rad(0.3), "front joint", (0.4, 4, 4)),
        ("pair_difference", np.deg2rad(0.2), "pair difference", (0.4, 4, 4.3)),
        ("least_angle", np.deg2rad(2), "least angle", (0.4, 1.9, 1.9)),
        ("largest_angle", np.deg2rad(3.5), "largest static angle", (0.4, 4, 4)),
        ("torsional", 50.0, "torsional acceleration", (0.4, 6, 2)),
        ("inertial", 100.0, "inertial drive acceleration", (0.4, 6, 6)),
        ("inertial", 100.0, "inertial coast acceleration", (0.4, 6, 6)),
        ("gap", 0.05, "least gap", (0.4, 4, 4)),
    ],
)
def test_a_limit_of_the_shop_replaces_the_rules_own_and_may_fail(
    key: str, limit: float, rule: str, angles: tuple[float, ...]
) -> None:
    found = measured(planar(*angles))
    before, after = (of(judge(m), rule) for m in (found, set_by_shop(found, **{key: limit})))
    assert before.verdict != "fails"
    assert after.verdict == "fails"
    assert after.standing == "shop"
    assert after.source.startswith("the shop's own limit, in place of: ")
    assert after.limit != before.limit


def test_a_safe_share_of_the_shop_is_named_as_its_own() -> None:
    found = measured(planar(2, 2))
    assert of(judge(found), "critical speed").standing == "published"
    mine = of(judge(set_by_shop(found, safe_share=0.6)), "critical speed")
    assert mine.standing == "shop"


@pytest.mark.parametrize(("status", "verdict"), [("measured", "fails"), ("assumed", "watch")])
def test_a_joints_own_limit_may_fail_and_a_default_may_not(status: str, verdict: str) -> None:
    bent = with_reading(measured(planar(21, 2)), "joint.1.largest_angle", status)
    assert of(judge(bent), "mechanical limit", "joint 1").verdict == verdict
    other = with_reading(measured(planar(21, 2)), "joint.2.largest_angle", status)
    assert of(judge(other), "mechanical limit", "joint 1").verdict == "watch"


@pytest.mark.parametrize(("status", "verdict"), [("measured", "fails"), ("assumed", "watch")])
def test_a_written_least_engaged_length_may_fail(status: str, verdict: str) -> None:
    short_spline = replace(measured(planar(2, 2)), engaged=np.array([0.05]))
    found = judge(with_reading(short_spline, "spline.least_engaged", status))
    assert of(found, "least engaged length").verdict == verdict


def test_a_stricter_rule_that_fails_silences_the_softer_one() -> None:
    bottomed = replace(measured(planar(2, 2)), gap=np.array([-1e-3]))
    rules = {f.rule for f in judge(bottomed).findings}
    assert "bottoming" in rules
    assert "least gap" not in rules
    bent = judge(measured(planar(6.5, 6.5)))
    assert {f.rule for f in bent.findings if f.where == "joint 1"} >= {"largest operating angle"}
    assert not [f for f in bent.findings if f.rule == "largest static angle"]


def test_the_gap_is_judged_between_the_states_too(truck: Measurements) -> None:
    found = of(judge(truck), "bottoming")
    assert found.value == pytest.approx(1000 * min(s.least_gap for s in truck.slip_limits))
    assert found.state.label == "full bump, hard launch"
    between = of(judge(truck), "pull-out")
    assert between.value == pytest.approx(1000 * min(s.least_engaged for s in truck.slip_limits))
    assert between.state.label == "33 mm droop, engine braking"


def test_trade_rules_are_read_at_ride_height_without_roll(truck: Measurements) -> None:
    found = of(judge(truck), "front joint")
    assert found.state.label == "ride height, no torque"
    rolled = np.array([s.roll != 0 and s.height == "ride height" for s in truck.states])
    assert rolled.any()
    bent = truck.joint_angle.copy()
    bent[rolled] += 0.2
    assert of(judge(replace(truck, joint_angle=bent)), "front joint") == found


def test_other_named_heights_are_looked_at_but_never_fail(truck: Measurements) -> None:
    found = of(judge(truck), "pair difference")
    assert (found.state.label, found.verdict) == ("loaded, no torque", "watch")
    at_ride_only = [s for s in truck.states if s.height != "loaded"]
    alone = measure(solve(samples.two_piece(), states=at_ride_only))
    assert of(judge(alone), "pair difference").verdict == "passes"


def test_a_shaft_that_stands_still_is_not_judged_for_its_speed() -> None:
    travel = replace(samples.links_van().travel, parked_low=0.069)
    van = samples.links_van(travel=travel)
    found = measure(solve(van))
    still = np.array([not s.turning for s in found.states])
    bent = found.joint_angle.copy()
    bent[still] = np.deg2rad(25)
    findings = judge(replace(found, joint_angle=bent))
    assert of(findings, "mechanical limit").state.label == "parked low, no torque"
    assert of(findings, "angle at speed").verdict == "passes"
    assert of(findings, "largest operating angle").verdict == "passes"


def test_angle_times_speed_is_told_where_most_of_the_allowance_is_used(
    truck: Measurements,
) -> None:
    rpm = truck.shaft_speed * 60 / (2 * np.pi)
    product = np.rad2deg(truck.joint_angle[:, 1]) * rpm
    allowed = allowed_angle(truck.shaft_speed) * rpm
    worst = int(np.argmax(product / allowed))
    found = of(judge(truck), "angle at speed", "joint 2")
    assert found.value == pytest.approx(product[worst])
    assert found.limit == pytest.approx(allowed[worst])
    assert (found.state, found.at_speed) == (truck.states[worst], True)


def test_without_a_state_that_a_rule_needs_it_says_nothing() -> None:
    states = [s for s in sweep_states(samples.two_piece()) if s.height == "full bump"]
    parked = [replace(s, turning=False, road_speed=0.0) for s in states]
    rules = {f.rule for f in judge(measure(solve(samples.two_piece(), states=parked))).findings}
    assert "bottoming" in rules
    assert not rules & {"front joint", "torsional acceleration", "angle at speed"}
    assert "inertial drive acceleration" not in rules


def test_among_equal_states_ride_height_is_named(truck: Measurements) -> None:
    assert np.ptp(truck.joint_angle[:, 0]) < 1e-9
    assert of(judge(truck), "mechanical limit", "joint 1").state.height == "ride height"


def test_other_sets_are_told_in_one_line_each(truck: Measurements) -> None:
    heavy, acceleration = map(other_set_words, judge(truck).other_sets)
    assert heavy.startswith("heavy truck: fails 1, watch ")
    assert heavy.endswith(
        "unlike two-piece service: joint 1 0.26 deg is under 1.00 deg (Spicer J3311): fails"
    )
    assert acceleration.startswith("acceleration limits: fails 0, watch ")
    # The same pinion is to watch in both sets, at 300 and at 400 rad/s²: nothing new in that.
    assert acceleration.endswith("; milder than two-piece service on joints 2 and 3 1.07 deg")


def test_sets_that_see_nothing_wrong_or_nothing_new_say_that_they_are_the_same() -> None:
    calm = measured(planar(2, 2), shaft_speed=20.0)
    count = len(judge(calm, "heavy truck").findings)
    said = other_set_words(judge(calm).other_sets[0])
    assert said == f"heavy truck: fails 0, watch 0, passes {count}; the same as two-piece service"
    bottomed = replace(measured(planar(2, 2), shaft_speed=20.0), gap=np.array([-2e-3]))
    found = judge(bottomed)
    assert found.fails
    assert other_set_words(found.other_sets[1]).endswith("; the same as two-piece service")


def test_a_set_that_fails_what_another_only_watches_is_unlike_it() -> None:
    found = measured(planar(1.16, 3, 3), shaft_speed=20.0)
    light, heavy = judge(found), judge(found, "heavy truck")
    assert of(light, "front joint").verdict == "fails"
    other = light.other_sets[0]
    assert other.stricter is None
    assert other.milder is not None
    assert other.milder.rule == "front joint"
    assert other_set_words(other).endswith("; milder than two-piece service on joint 1 1.16 deg")
    back = heavy.other_sets[0]
    assert back.stricter is not None
    assert back.stricter.rule == "front joint"


def test_other_sets_speak_the_units_of_the_reader(truck: Measurements) -> None:
    slow = of(judge(truck), "critical speed", "shaft 1")
    slow = replace(slow, value=104.0, limit=153.0, verdict="fails")  # km/h: 64.6 and 95.1 mph
    other = replace(judge(truck).other_sets[0], stricter=slow)
    assert "shaft 1 104 km/h is under 153 km/h" in other_set_words(other)
    assert "shaft 1 65 mph is under 95 mph" in other_set_words(other, "inch")


@pytest.mark.parametrize(
    ("height", "case", "at_speed", "display", "expected"),
    [
        ("full droop", "hard launch", False, "inch", " at full droop, hard launch"),
        ("ride height", "no torque", False, "metric", " at ride height, no torque"),
        ("", "no torque", False, "metric", " at 58 mm droop, no torque"),
        ("", "no torque", True, "metric", " at 58 mm droop, no torque, at 121 km/h"),
        ("", "no torque", True, "inch", " at 2.28 in droop, no torque, at 75 mph"),
        ("loaded", "no torque", False, "metric", " at height “loaded”, no torque"),
        ("parked low", "no torque", False, "inch", " at height “parked low”, no torque"),
        ("curb height", "no torque", False, "metric", " at curb height, no torque"),
    ],
)
def test_what_happens_happens_at_a_state(
    truck: Measurements, height, case, at_speed, display, expected
) -> None:
    # 25.4 mm to the inch, 1.609344 km to the mile: international yard and pound, 1959.
    state = replace(truck.states[0], height=height, case=case, travel=-0.058, roll=0.0)
    state = replace(state, road_speed=121 / 3.6)
    finding = replace(of(judge(truck), "front joint"), state=state, at_speed=at_speed)
    assert at_state(finding, display) == expected
    assert at_state(replace(finding, state=None), display) == ""


def test_findings_know_whether_any_fails(truck: Measurements) -> None:
    assert not judge(truck).fails
    assert judge(truck, "heavy truck").fails
    assert judge(truck).configuration == "two-piece"


def test_a_finding_is_one_plain_sentence(truck: Measurements) -> None:
    found = of(judge(truck), "front joint")
    assert words(found) == (
        "The front joint is straight enough: joint 1 0.26 deg at ride height, no torque; at most "
        "0.50 deg (GM/Isuzu Hombre service manual 1999, measuring two-piece propeller shaft "
        "working angles)"
    )
    assert short(found) == (
        "joint 1 0.26 deg keeps 0.50 deg (GM/Isuzu Hombre service manual 1999, measuring "
        "two-piece propeller shaft working angles): passes"
    )
    whirl = of(judge(truck), "critical speed")
    assert words(whirl, "inch").startswith(
        "Top speed stays under the whirl limit: shaft 1 400 mph; at least 96 mph (IMS Ltd"
    )


def test_a_finding_without_a_limit_still_reads_well(truck: Measurements) -> None:
    found = replace(of(judge(truck), "front joint"), limit=None, source="nobody")
    assert limit_words(found) == "no limit (nobody)"
    assert short(found) == "joint 1 0.26 deg: passes"


@pytest.mark.parametrize(
    ("value", "unit", "display", "expected"),
    [
        (8.8, "deg", "metric", "8.80 deg"),
        (-13.14, "mm", "metric", "−13.1 mm"),
        (-13.14, "mm", "inch", "−0.52 in"),
        (122.4, "km/h", "metric", "122 km/h"),
        (122.4, "km/h", "inch", "76 mph"),
        (1008.7, "rad/s²", "inch", "1009 rad/s²"),
        (0.07, "%", "metric", "0.07 %"),
        (-0.001, "mm", "metric", "0.0 mm"),
    ],
)
def test_amounts_carry_the_readers_unit(value, unit, display, expected) -> None:
    # 25.4 mm to the inch, 1.609344 km to the mile: international yard and pound, 1959.
    assert amount(value, unit, display) == expected


def test_a_chain_without_travel_is_judged_at_ride_height() -> None:
    configuration = chain(planar(0.3, 4, 4))
    found = judge(measure(solve(configuration, states=[at_ride(configuration)])))
    assert of(found, "bottoming").state.label == "ride height, no torque"
