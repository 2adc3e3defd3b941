from __future__ import annotations

from dataclasses import replace

import pytest
import samples
from chains import chain, measured, planar
from hypothesis import given, settings
from hypothesis import strategies as st
from judging import DEG, calm, number_of, put, put_out, states, vehicle

from sim.display import DisplayName, amount
from sim.errors import DomainError
from sim.judge.findings import Finding, Findings
from sim.judge.joint_quantities import (
    constant_velocity_at_their_limit,
    constant_velocity_joints,
    flexible_at_their_limit,
    flexible_coupling_at_the_output,
    universal_at_their_limit,
    universal_joints,
)
from sim.judge.judge import in_order, judge
from sim.judge.rules import load_rules, rule_sets
from sim.judge.words import at_state, beside_words, other_set_words, short
from sim.measure.measure import measure
from sim.measure.measurements import Measurements
from sim.measure.numbers import Numbers
from sim.motion.solve import solve
from sim.motion.states import State
from sim.motion.sweep import sweep_states
from sim.scene.parts import Reading
from sim.show.outlook import finding_words, value_words
from sim.show.summary import TAG, WIDTH

RANK = {"fails": 0, "watch": 1, "passes": 2}
A, B, C, D = rule_sets()[:4]


@pytest.fixture(scope="module")
def truck() -> Measurements:
    return measure(solve(samples.two_piece()))


@pytest.fixture(scope="module")
def bare() -> Measurements:
    return measured(planar(2, 2))


def judged(numbers: Numbers, bare: Measurements, rules: str = A) -> Findings:
    """Return what a set says of made-up numbers."""
    m = replace(bare, configuration=numbers.configuration, states=numbers.states, numbers=numbers)
    return judge(m, rules)


def of(findings: Findings, rule: str, where: str = "") -> Finding:
    return next(f for f in findings.findings if f.rule == rule and where in f.where)


# --- order and causes -----------------------------------------------------------------------------


@settings(max_examples=25, deadline=None)
@given(angles=st.lists(st.floats(0, 25), min_size=2, max_size=4), rpm=st.floats(10, 900))
def test_what_is_not_published_never_fails_by_itself(angles: list[float], rpm: float) -> None:
    found = measured(planar(*angles), shaft_speed=rpm, samples_per_turn=64)
    for rule_set in rule_sets():
        for finding in judge(found, rule_set).findings:
            if finding.standing not in ("published", "shop", "physical"):
                assert finding.verdict != "fails"


@settings(max_examples=25, deadline=None)
@given(angles=st.lists(st.floats(0, 12), min_size=2, max_size=4))
def test_findings_come_worst_first_each_with_what_stands_under_it(angles: list[float]) -> None:
    found = measured(planar(*angles), samples_per_turn=64)
    for rule_set in rule_sets():
        findings = judge(found, rule_set).findings
        leads = [f for f in findings if not f.under]
        ranks = [(RANK[f.verdict], -f.severity) for f in leads]
        assert ranks == sorted(ranks)
        lead = leads[0]
        for finding in findings:
            lead = finding if not finding.under else lead
            if finding.under:
                assert (finding.under, finding.cause, finding.group) == (
                    lead.rule,
                    lead.cause,
                    lead.group,
                )
                assert (RANK[lead.verdict], -lead.severity) <= (
                    RANK[finding.verdict],
                    -finding.severity,
                )
                assert finding.verdict != "passes"


def test_there_is_one_finding_for_a_rule_and_a_part(truck: Measurements) -> None:
    for rule_set in rule_sets():
        found = judge(truck, rule_set).findings
        assert len({(f.rule, f.where) for f in found}) == len(found) > 10


def test_one_cause_has_one_headline(bare: Measurements) -> None:
    """A spline that bottoms has no reserve; a shaft that whirls, whirls in its rubber too."""
    numbers = put_out("gap", -1.0, "extreme")
    found = judged(numbers, bare)
    assert (of(found, "bottoming").verdict, of(found, "bottoming").under) == ("fails", "")
    assert (of(found, "gap reserve").verdict, of(found, "gap reserve").under) == (
        "watch",
        "bottoming",
    )
    little = judged(put_out("gap", 3.0, "extreme"), bare)
    assert of(little, "gap reserve").under == of(little, "bottoming").under == ""
    slow = put(put_out("whirl limit", 120.0), "deep.beam_speed", (0,), 400.0)
    found = judged(slow, bare)
    assert of(found, "critical speed, beam", "shaft 1").under == "critical speed"


def test_a_contact_stands_before_the_clearance_of_the_same_parts(bare: Measurements) -> None:
    found = judged(put_out("clearance of known sizes", -1.0, "travel"), bare)
    assert of(found, "contact").verdict == "fails"
    assert of(found, "clearance", "shaft 1").under == "contact"
    assert of(found, "contact, size assumed").under == ""


def test_joints_of_a_pair_stand_together_and_the_odd_one_by_itself(bare: Measurements) -> None:
    numbers = calm(vehicle("universal", "universal", "universal"))
    ride = number_of("ride height")
    for joint, angle in ((0, 0.7), (1, 4.3), (2, 4.6)):
        numbers = put(numbers, "joint_angle", (ride, joint), angle * DEG)
    found = judged(numbers, bare)
    assert of(found, "joint, most", "joint 3").under == ""
    assert of(found, "joint, most", "joint 2").under == "joint, most"
    assert of(found, "front joint, most").under == ""
    assert of(found, "pair difference").verdict == "passes"


def test_what_the_last_pair_does_stands_with_what_it_does_to_the_pinion(bare: Measurements) -> None:
    numbers = put_out("pair differences", 0.8, "ride height")  # joints 1 and 2 of four
    found = judged(numbers, bare)
    assert of(found, "pair difference", "joints 1 and 2").group == "joints 1 and 2"
    assert of(found, "pair difference", "joints 3 and 4").group == "pinion"
    assert of(found, "residual fluctuation").group == "pinion"


def test_a_worse_severity_goes_first_and_a_watch_never_before_a_fail(truck: Measurements) -> None:
    some = judge(truck).findings[0]
    watch = replace(some, rule="a", where="x", group="x", verdict="watch", severity=9.9)
    fails = replace(some, rule="b", where="y", group="y", verdict="fails", severity=1.0)
    open_ = replace(
        some, rule="c", where="z", group="z", verdict="cannot be told", at_worst="fails"
    )
    assert [f.rule for f in in_order([watch, open_, fails])] == ["b", "c", "a"]


# --- states ---


def test_the_gap_is_judged_in_every_state(truck: Measurements) -> None:
    found = of(judge(truck), "bottoming")
    assert found.value == pytest.approx(1000 * truck.gap.min(), abs=1e-9)
    assert found.state.label == "full bump, hard launch"


def test_trade_rules_are_read_at_ride_height_without_roll(truck: Measurements) -> None:
    found = of(judge(truck), "front joint, most")
    assert found.state.label == "ride height, no torque"
    rolled = [k for k, s in enumerate(truck.states) if s.roll and s.height == "ride height"]
    assert rolled
    bent = truck.numbers.joint_angle.copy()
    bent[:, rolled] += 0.2
    again = judge(replace(truck, numbers=replace(truck.numbers, joint_angle=bent)))
    assert of(again, "front joint, most") == found


def test_no_vibration_is_judged_at_the_ends_of_travel_or_without_torque(
    truck: Measurements,
) -> None:
    quiet = [k for k, s in enumerate(truck.states) if s.situation not in ("cruise", "overrun")]
    n = truck.numbers
    shaken = {name: getattr(n, name).copy() for name in ("torsional", "inertial_drive")}
    for array in shaken.values():
        array[:, quiet] = 1e6
    uneven = n.fluctuation.copy()
    uneven[:, quiet] = 1.0
    wild = replace(n, **shaken, fluctuation=uneven)
    assert judge(replace(truck, numbers=wild)).findings == judge(truck).findings


def test_a_shaft_that_stands_still_is_judged_for_what_breaks_only(bare: Measurements) -> None:
    bent = put_out("universal joints at their limit", 25.0, "parked")
    found = judged(bent, bare)
    assert of(found, "mechanical limit").state.situation == "parked"
    assert not [f for f in found.findings if f.verdict != "passes" and "limit" not in f.rule]


def test_without_a_state_that_a_rule_needs_it_says_nothing() -> None:
    states = [s for s in sweep_states(samples.two_piece()) if s.height == "full bump"]
    parked = [replace(s, turning=False, road_speed=0.0, situation="parked") for s in states]
    rules = {f.rule for f in judge(measure(solve(samples.two_piece(), states=parked))).findings}
    assert "bottoming" in rules
    assert not rules & {"front joint, most", "pinion uneven", "angle at speed"}


def test_among_equal_states_ride_height_is_named(bare: Measurements) -> None:
    numbers = calm(vehicle("universal", "universal"), tuple(reversed(states())))
    assert of(judged(numbers, bare), "mechanical limit").state.situation == "ride height"
    assert of(judged(numbers, bare), "bottoming").state.situation == "ride height"


def test_the_hard_launch_is_shown_beside_the_everyday_pull_away(bare: Measurements) -> None:
    numbers = put_out("residual angle", 2.0, "pull-away")
    numbers = put_out("residual angle", 8.0, "hard launch", numbers)
    found = of(judged(numbers, bare), "launch shudder")
    assert (found.verdict, found.value) == ("passes", pytest.approx(2.0))
    (shown,) = found.shown
    assert (shown.state.situation, shown.value) == ("hard launch", pytest.approx(8.0))
    assert beside_words(found) == "Beside it: 8.00 deg at ride height, hard launch"
    calm_one = of(judged(numbers, bare), "bottoming")
    assert (calm_one.shown, beside_words(calm_one)) == ((), "")


def test_of_several_states_shown_beside_the_worst_is_named(bare: Measurements) -> None:
    launch = states()[number_of("hard launch")]
    more = (*states(), replace(launch, height="loaded", travel=0.045))
    numbers = put(calm(vehicle("universal", "universal"), more), "residual_angle", (-1,), 8.0 * DEG)
    (shown,) = of(judged(numbers, bare), "launch shudder").shown
    assert (shown.state.height, shown.value) == ("loaded", pytest.approx(8.0))


# --- notes ---


@pytest.mark.parametrize(("degrees", "said"), [(11.9, False), (12.1, True), (-14.0, True)])
def test_wrap_beyond_what_was_checked_is_a_note_and_no_verdict(
    bare: Measurements, degrees: float, said: bool
) -> None:
    """Leaf springs were checked to 12 deg against an elastic rod (tests/reference)."""
    numbers = calm(vehicle("universal", "universal"))
    wound = put(numbers, "wrap", (number_of("extreme"),), degrees * DEG)
    found = judged(wound, bare)
    notes = [note for note in found.notes if "wraps" in note]
    assert bool(notes) == said
    if said:
        assert f"{abs(degrees):.1f} deg at full bump, hard launch" in notes[0]
    assert all(f.verdict == "passes" for f in found.findings)


def test_a_set_that_decides_loaded_says_so_where_no_loaded_height_is_given(
    truck: Measurements,
) -> None:
    assert not [note for note in judge(truck, D).notes if "loaded" in note]
    empty = [s for s in truck.states if s.height != "loaded"]
    alone = measure(solve(samples.two_piece(), states=empty))
    said = "decides loaded, and the scene gives no loaded height: angles only watch."
    assert f"“{D}” {said}" in judge(alone, D).notes
    assert not [note for note in judge(alone, A).notes if "loaded" in note]
    advice = replace(load_rules(D), rules=(load_rules(D).rule("slopes parallel"),))
    # what only watches loaded decides nothing there
    assert not [note for note in judge(alone, advice).notes if "loaded" in note]


@pytest.mark.parametrize(("display", "shown"), [("metric", "1840 kg"), ("inch", "4056 lb")])
def test_a_load_that_nobody_weighed_is_said_as_derived(
    truck: Measurements, display: DisplayName, shown: str
) -> None:
    """1448 kg and 3840 N of two springs are 18 040 N: over 9.80665 m/s² and 4.44822 N, by hand."""
    path = "height.loaded.axle_load"
    derived = Reading(
        path=path, value=18_040.0, spread=0.0, text="from the rate", status="derived", line=0
    )
    for reading, said in ((derived, True), (replace(derived, status="measured"), False)):
        made = replace(truck.configuration, readings={path: reading}, display=display)
        notes = judge(replace(truck, configuration=made)).notes
        words = f"Height “loaded”: axle load {shown}, derived: from the rate."
        assert [note for note in notes if "axle load" in note] == [words] * said


@pytest.mark.parametrize(
    ("series", "rated", "said"),
    [("1411", None, True), ("1410", None, False), (None, None, False), ("1411", 2000.0, False)],
)
def test_a_series_that_is_not_in_the_table_is_told_where_joints_have_no_rating_of_their_own(
    truck: Measurements, series: str | None, rated: float | None, said: bool
) -> None:
    """A mistyped number would else take the check of the joints away in silence."""
    joints = tuple(replace(joint, rated_torque=rated) for joint in truck.configuration.joints)
    made = replace(truck.configuration, series=series, joints=joints)
    notes = judge(replace(truck, configuration=made)).notes
    told = [note for note in notes if "not judged by torque" in note]
    assert len(told) == said
    assert all(note.startswith(f"Series {series}: ") and "1410, 1480" in note for note in told)


# --- other sets ---


def test_other_sets_are_told_in_one_line_each(truck: Measurements) -> None:
    said = [other_set_words(other) for other in judge(truck).other_sets]
    assert [line.partition(":")[0] for line in said] == [B, C, D]
    # The front joint bends by 0.26 deg: GM asks for at most 0.5, all others for at least 0.5 deg.
    assert said[0].endswith("; here joint 1 0.26 deg is under 0.50 deg: fails")
    assert all(len(line) <= WIDTH - 2 - TAG for line in said)


def test_sets_that_see_nothing_wrong_or_nothing_new_say_that_they_are_the_same(
    bare: Measurements,
) -> None:
    found = judged(calm(vehicle("universal", "universal")), bare)
    for other in found.other_sets:
        assert (other.fails, other.watch) == (0, 0)
        assert other_set_words(other).endswith("; the same as two-piece service")
    bottomed = judged(put_out("gap", -2.0, "extreme"), bare)
    assert other_set_words(bottomed.other_sets[0]).endswith("; the same as two-piece service")


def test_a_set_that_fails_what_another_only_watches_is_unlike_it(bare: Measurements) -> None:
    numbers = put_out("odd front joint", 1.16, "ride height")
    numbers = put(numbers, "joint_angle", (number_of("loaded"), 0), 1.16 * DEG)
    light = judged(numbers, bare)
    other = next(o for o in light.other_sets if o.name == C)
    assert other.stricter is None
    assert other_set_words(other).endswith("; milder on joint 1 1.16 deg")
    back = next(o for o in judged(numbers, bare, C).other_sets if o.name == A)
    assert back.stricter is not None
    assert back.stricter.rule == "front joint, most"


def test_a_set_that_only_watches_what_another_passes_is_stricter_too(bare: Measurements) -> None:
    """3.5 deg: under 4 (GM service manuals), over the 3 that Spicer J3311 recommends."""
    numbers = calm(vehicle("universal", "universal"))
    numbers = put(numbers, "joint_angle", (number_of("ride height"),), 3.5 * DEG)
    other = next(o for o in judged(numbers, bare).other_sets if o.name == C)
    assert other.stricter is not None
    assert (other.stricter.rule, other.stricter.verdict) == ("joint, recommended most", "watch")


def test_other_sets_speak_the_units_of_the_reader(truck: Measurements) -> None:
    slow = of(judge(truck), "critical speed", "shaft 1")
    slow = replace(slow, value=104.0, limit=153.0, verdict="fails")  # km/h: 64.6 and 95.1 mph
    other = replace(judge(truck).other_sets[0], stricter=slow)
    assert "shaft 1 104 km/h is under 153 km/h" in other_set_words(other)
    assert "shaft 1 65 mph is under 95 mph" in other_set_words(other, "inch")


def test_an_unknown_rule_set_is_refused_with_the_names_there_are(bare: Measurements) -> None:
    with pytest.raises(
        DomainError,
        match='no rule set "strict"; there are: two-piece service, general light service, ',
    ):
        judge(bare, "strict")
    with pytest.raises(DomainError, match='no rule "gap" in "two-piece service"; there are: bott'):
        load_rules(A).rule("gap")


# --- words ---


@pytest.mark.parametrize(
    ("height", "travel", "speed", "display", "expected"),
    [
        ("full droop", -0.11, None, "inch", " at full droop, cruise"),
        ("ride height", 0.0, None, "metric", " at ride height, cruise"),
        ("", -0.058, None, "metric", " at 58 mm droop, cruise"),
        ("", -0.058, 121 / 3.6, "inch", " at 2.28 in droop, cruise, at 75 mph"),
        ("loaded", 0.045, None, "metric", " at height “loaded”, cruise"),
        ("parked low", 0.1, None, "inch", " at height “parked low”, cruise"),
        ("curb height", 0.01, None, "metric", " at curb height, cruise"),
    ],
)
def test_what_happens_happens_at_a_state(
    truck: Measurements, height, travel, speed, display, expected
) -> None:
    # 25.4 mm to the inch, 1.609344 km to the mile: international yard and pound, 1959.
    state = State(
        height=height,
        case="cruise",
        travel=travel,
        roll=0.0,
        wheel_torque=0.0,
        shaft_torque=0.0,
        turning=True,
        road_speed=speed or 0.0,
    )
    found = replace(of(judge(truck), "bottoming"), state=state, at_speed=speed is not None)
    assert at_state(found, display) == expected
    assert at_state(replace(found, state=None), display) == ""


def test_findings_know_whether_any_fails(bare: Measurements) -> None:
    fine = judged(calm(vehicle("universal", "universal")), bare)
    assert not fine.fails
    assert fine.configuration == "one-piece"
    broken = judged(put_out("gap", -1.0, "extreme"), bare)
    assert broken.fails
    verdicts = [finding.verdict for finding in broken.findings]
    counts = f"1 fails, {verdicts.count('watch')} watch, {verdicts.count('passes')} passes)"
    assert repr(broken) == f"Findings('one-piece', 'two-piece service': {counts}"


def test_a_finding_is_one_plain_sentence(truck: Measurements) -> None:
    found = of(judge(truck), "front joint, most")
    assert finding_words(found, "metric") == (
        "Front joint is straight enough: joint 1 0.26 deg, at most 0.50 deg, at ride height, no "
        "torque"
    )
    assert short(found) == "joint 1 0.26 deg keeps 0.50 deg: passes"
    whirl = of(judge(truck), "critical speed")
    assert finding_words(whirl, "inch") == (
        "Top speed is below whirl: shaft 1 400 mph, at least 96 mph"
    )


def test_only_what_is_open_and_can_fail_may_fail(bare: Measurements) -> None:
    fine = judged(calm(vehicle("universal", "universal")), bare)
    some = replace(fine.findings[0], at_worst="fails")
    for verdict, at_worst, may_fail in (
        ("fails", "fails", True),
        ("cannot be told", "fails", True),
        ("cannot be told", "watch", False),
        ("watch", "fails", False),
        ("passes", "fails", False),
    ):
        one = replace(some, verdict=verdict, at_worst=at_worst)
        assert replace(fine, findings=(some, one)).may_fail == may_fail


def test_a_finding_without_a_limit_still_reads_well(truck: Measurements) -> None:
    found = replace(of(judge(truck), "front joint, most"), limit=None, source="nobody")
    assert value_words(found, "metric") == "joint 1 0.26 deg"
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
        (250000.0, "km", "inch", "155343 miles"),
    ],
)
def test_amounts_carry_the_readers_unit(value, unit, display, expected) -> None:
    # 25.4 mm to the inch, 1.609344 km to the mile: international yard and pound, 1959.
    assert amount(value, unit, display) == expected


@pytest.mark.parametrize(
    ("value", "limit", "unit", "display", "expected"),
    [
        (0.503, 0.5, "deg", "metric", "0.503 deg"),
        (0.4996, 0.5, "deg", "metric", "0.4996 deg"),
        (0.51, 0.5, "deg", "metric", "0.51 deg"),
        (0.5, 0.5, "deg", "metric", "0.50 deg"),
        (0.5 + 1e-7, 0.5, "deg", "metric", "0.50 deg"),
        (-0.04, 0.0, "mm", "metric", "−0.04 mm"),
        (119.6, 120.0, "km/h", "metric", "119.6 km/h"),
        (160.6, 160.9344, "km/h", "inch", "99.8 mph"),
        (0.503, None, "deg", "metric", "0.50 deg"),
    ],
)
def test_a_value_beside_its_limit_never_reads_the_same(value, limit, unit, display, expected):
    assert amount(value, unit, display, beside=limit) == expected


def test_a_value_just_beyond_its_limit_is_said_to_be_so() -> None:
    found = judge(measure(solve(chain(planar(0.3, 4.0, 4.503))))).findings
    over = next(f for f in found if f.rule == "pair difference" and f.verdict == "fails")
    told = "joints 2 and 3 0.503 deg"
    said = finding_words(over, "metric")
    assert said.endswith(f": {told}, at most 0.50 deg, at ride height, no torque")
    assert short(over) == f"{told} is over 0.50 deg: fails"
    assert value_words(over, "metric") == f"{told}, at most 0.50 deg"


def test_a_chain_without_travel_is_judged_at_ride_height() -> None:
    configuration = chain(planar(0.3, 4, 4))
    found = judge(measured(planar(0.3, 4, 4)))
    assert of(found, "bottoming").state.situation == "ride height"
    assert configuration.travel is None


# What every kind is to the trade: common practice, no source.
@pytest.mark.parametrize(
    ("kind", "held_by"),
    [
        ("universal", {universal_joints, universal_at_their_limit}),
        ("double cardan", {constant_velocity_joints, universal_at_their_limit}),
        ("constant velocity", {constant_velocity_joints, constant_velocity_at_their_limit}),
        ("flexible", {flexible_coupling_at_the_output, flexible_at_their_limit}),
    ],
)
def test_every_kind_of_joint_is_held_by_the_rules_for_its_kind(kind, held_by) -> None:
    joints = (samples.joint(kind), *samples.two_piece().joints[1:])
    numbers = measure(solve(samples.two_piece(joints=joints))).numbers
    looks = {
        universal_joints,
        constant_velocity_joints,
        flexible_coupling_at_the_output,
        universal_at_their_limit,
        constant_velocity_at_their_limit,
        flexible_at_their_limit,
    }
    found = {look for look in looks if "joint 1" in {str(part.where) for part in look(numbers)}}
    assert found == held_by
