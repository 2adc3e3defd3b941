"""Every rule: just inside and just outside, where it may fail, only watches, or is silent."""

from __future__ import annotations

import gc
import weakref
from dataclasses import replace

import numpy as np
import pytest
import samples
from judging import (
    CV,
    DEG,
    DOUBLE,
    FLEX,
    SET,
    U,
    base_of,
    calm,
    measured,
    number_of,
    put,
    put_out,
    rated,
    states,
    things,
    turned,
    vehicle,
)

from sim.judge import clearance_quantities
from sim.judge.hold import FAILS, PASSES, WATCH, Held, hold
from sim.judge.joint_quantities import last_pair_difference, pair_differences
from sim.judge.judge import finding_of, judge_numbers
from sim.judge.quantities import QUANTITIES
from sim.judge.rule import MAY_FAIL, Rule
from sim.judge.rules import load_rules, rule_sets
from sim.judge.spread import Spread
from sim.judge.sureness import weigh
from sim.judge.words import at_state
from sim.measure.clearance.result import Clearance
from sim.measure.numbers import Numbers
from sim.motion.states import SITUATIONS
from sim.scene.parts import Reading

EVERY = {rule: name for name in rule_sets() for rule in load_rules(name).rules}
BY_HAND = {
    "sizing torque of rated joints",
    "sizing torque by series",
    "peak torque of joints",
    "peak torque of tubes",
    "tube torque",
    "joint life",
    "index marks",
    "contradicting angle",
    "contradicting length",
}
GENERIC = [rule for rule in EVERY if rule.quantity not in BY_HAND]
BY_STATE = [rule for rule in GENERIC if QUANTITIES[rule.quantity].by_state]
OFTEN = {"ride height", "loaded", "cruise", "overrun", "pull-away"}


def named(rules: list[Rule]) -> dict[str, object]:
    return {"argvalues": rules, "ids": [f"{EVERY[rule]}: {rule.id}" for rule in rules]}


def limit_of(rule: Rule) -> float:
    own = SET[rule.quantity].own
    return rule.limit if own is None else own


def beyond(rule: Rule, by: float) -> float:
    """Return a value that is so far beyond the limit, or inside it where that is negative."""
    return limit_of(rule) + (by if rule.relation == "at most" else -by)


def kept(rule: Rule) -> Numbers:
    """Return numbers that keep a rule well in every state."""
    numbers = base_of(rule.quantity)
    room = 0.4 * abs(limit_of(rule)) or 40.0
    for situation in SITUATIONS:
        numbers = put_out(rule.quantity, beyond(rule, -room), situation, numbers)
    return numbers


def broken(rule: Rule, *situations: str, by: float = 0.05) -> Numbers:
    """Return numbers that break a rule in some states only."""
    numbers = kept(rule)
    for situation in situations:
        numbers = put_out(rule.quantity, beyond(rule, by), situation, numbers)
    return numbers


def on_part(rule: Rule, numbers: Numbers) -> Held:
    """Return what one rule says of the part that its quantity was put out on."""
    where = SET[rule.quantity].where
    found = [held for held in hold([rule], numbers) if str(held.part.where) == where]
    assert len(found) == 1
    return found[0]


def may_fail(rule: Rule) -> bool:
    own = rule.quantity in ("joint torque", "height over ground")  # only where it is written
    return (own or rule.standing in MAY_FAIL) and bool(rule.fails_in)


def first_place(rule: Rule) -> str:
    return (rule.fails_in or rule.watches_in)[0]


# --- inside and outside -----------------------------------------------------------------------


@pytest.mark.parametrize("rule", **named(GENERIC))
def test_a_rule_passes_just_inside_and_not_just_outside(rule: Rule) -> None:
    places = rule.fails_in if may_fail(rule) else rule.fails_in + rule.watches_in
    inside, outside = (
        broken(rule, *places, by=by)
        if QUANTITIES[rule.quantity].by_state
        else put_out(rule.quantity, beyond(rule, by))
        for by in (-1e-7, 1e-7)
    )
    assert on_part(rule, inside).verdict[0] == PASSES
    assert on_part(rule, outside).verdict[0] == (FAILS if may_fail(rule) else WATCH)


@pytest.mark.parametrize("rule", **named(GENERIC))
def test_the_limit_itself_breaks_only_a_strict_rule(rule: Rule) -> None:
    place = first_place(rule)
    at_limit = broken(rule, place, *rule.fails_in[1:], by=0.0) if place in SITUATIONS else None
    held = on_part(rule, at_limit or put_out(rule.quantity, limit_of(rule)))
    assert (held.verdict[0] != PASSES) == rule.strict
    assert finding_of(held).severity == pytest.approx(rule.severity)  # by nothing beyond it


@pytest.mark.parametrize("rule", **named(BY_STATE))
@pytest.mark.parametrize("situation", SITUATIONS)
def test_a_rule_fails_watches_or_is_silent_as_it_says(rule: Rule, situation: str) -> None:
    held = on_part(rule, broken(rule, situation))
    expected = PASSES
    if situation in rule.watches_in or (situation in rule.fails_in and not may_fail(rule)):
        expected = WATCH
    elif situation in rule.fails_in:
        expected = WATCH if rule.broken_in == "all" and len(rule.fails_in) > 1 else FAILS
    assert held.verdict[0] == expected
    if expected != PASSES:
        assert held.state_of().situation == situation
        assert held.value[0] == pytest.approx(beyond(rule, 0.05))
        why = finding_of(held).only_watched
        assert (why == "") == (expected == FAILS)
        if situation in rule.fails_in and may_fail(rule) and expected == WATCH:
            assert why == "it fails only where all of ride height, loaded break it"
        if may_fail(rule) and rule.fails_in and situation in rule.watches_in:
            assert why.endswith(f"; this one is {situation}")


@pytest.mark.parametrize("rule", **named([r for r in BY_STATE if r.broken_in == "all"]))
def test_what_must_be_broken_everywhere_fails_only_then(rule: Rule) -> None:
    assert on_part(rule, broken(rule, *rule.fails_in)).verdict[0] == FAILS
    alone = tuple(s for s in states() if s.situation != "loaded")
    numbers = put_out(rule.quantity, beyond(rule, 0.05), "ride height", kept(rule))
    fields = {f: getattr(numbers, f) for f in ("joint_angle", "lost")}
    less = replace(
        numbers,
        states=alone,
        **{f: np.delete(a, number_of("loaded"), 1) for f, a in fields.items()},
    )
    less = replace(less, shaft_speed=np.delete(numbers.shaft_speed, number_of("loaded"), 1))
    assert on_part(rule, less).verdict[0] == FAILS  # the only height that there is


@pytest.mark.parametrize("rule", **named([r for r in BY_STATE if r.fails_in and r.watches_in]))
def test_a_state_in_which_a_rule_fails_goes_before_one_in_which_it_watches(rule: Rule) -> None:
    worse = broken(rule, *rule.fails_in)
    worse = put_out(rule.quantity, beyond(rule, 0.5), rule.watches_in[0], worse)
    held = on_part(rule, worse)
    if may_fail(rule):
        assert held.verdict[0] == FAILS
        assert held.state_of().situation in rule.fails_in
        assert held.value[0] == pytest.approx(beyond(rule, 0.05))
        assert held.short[0] == pytest.approx(0.05)  # what is to be cured, not what is watched
    else:
        assert held.verdict[0] == WATCH
        assert held.state_of().situation == rule.watches_in[0]
        assert held.short[0] == held.over[0] == pytest.approx(0.5)


@pytest.mark.parametrize("rule", **named(BY_STATE))
def test_a_state_that_cannot_be_reached_decides_nothing(rule: Rule) -> None:
    places = rule.fails_in + rule.watches_in
    numbers = broken(rule, *places)
    lost = numbers.lost.copy()
    lost[0, [number_of(place) for place in places]] = True
    found = hold([rule], replace(numbers, lost=lost))
    assert all(held.verdict[0] == PASSES for held in found)


def test_a_design_that_reaches_one_of_two_heights_fails_by_that_one_alone() -> None:
    """Broken everywhere it is read: a height that a design cannot reach keeps nothing for it."""
    chosen = rule("joint, least")  # fails at ride height and loaded, if both are broken
    numbers = together([broken(chosen, *chosen.fails_in)] * 3)
    lost = numbers.lost.copy()
    lost[1, number_of("loaded")] = True
    lost[2, [number_of("ride height"), number_of("loaded")]] = True
    held = on_part(chosen, replace(numbers, lost=lost))
    assert held.verdict.tolist() == [FAILS, FAILS, PASSES]
    assert held.short[:2] == pytest.approx([0.05, 0.05])
    assert np.isnan(held.short[2])


def test_among_equal_states_under_torque_the_one_at_ride_height_is_named() -> None:
    some = tuple(s for s in states() if s.situation in ("loaded", "cruise"))
    bottomed = replace(calm(vehicle(U, U), some), gap=np.full((1, 2), -0.001))
    (held,) = hold([rule("bottoming")], bottomed)
    assert held.state_of().situation == "cruise"


# --- what a finding says ------------------------------------------------------------------------


@pytest.mark.parametrize("rule", **named(GENERIC))
def test_a_finding_names_part_state_value_and_limit(rule: Rule) -> None:
    place = first_place(rule)
    numbers = broken(rule, *(rule.fails_in or (place,))) if place in SITUATIONS else None
    held = on_part(rule, numbers or put_out(rule.quantity, beyond(rule, 0.05)))
    found = finding_of(held)
    assert (found.rule, found.where) == (rule.id, SET[rule.quantity].where)
    assert str(found.part) == found.where
    assert (found.verdict, found.what) == ("fails" if may_fail(rule) else "watch", rule.bad)
    assert found.value == pytest.approx(beyond(rule, 0.05))
    assert found.limit == pytest.approx(limit_of(rule))
    assert (found.relation, found.unit) == (rule.relation, QUANTITIES[rule.quantity].unit)
    assert found.at_worst == found.verdict
    assert (found.meaning, found.remedy, found.cause) == (rule.meaning, rule.remedy, rule.cause)
    assert rule.severity < found.severity <= rule.severity + 0.9
    assert (found.state is None) == (place == "vehicle")
    if found.state is not None:
        assert found.state.situation in (*rule.fails_in, *rule.watches_in)
        assert (f"{20 * 3.6:.0f} km/h" in at_state(found)) == found.at_speed


@pytest.mark.parametrize("rule", **named(GENERIC))
def test_a_finding_that_passes_shows_the_state_nearest_to_its_limit(rule: Rule) -> None:
    if not QUANTITIES[rule.quantity].by_state:
        pytest.skip("no state changes it")
    places = rule.fails_in if may_fail(rule) else (*rule.fails_in, *rule.watches_in)
    found = finding_of(on_part(rule, broken(rule, places[-1], by=-0.01)))
    assert (found.verdict, found.what) == ("passes", rule.good)
    assert found.state.situation == places[-1]
    assert found.value == pytest.approx(beyond(rule, -0.01))
    assert found.severity == rule.severity


def together(designs: list[Numbers]) -> Numbers:
    """Return the numbers of several designs as those of one batch."""
    one = designs[0]
    arrays = [f for f in Numbers.__slots__ if isinstance(getattr(one, f), np.ndarray)]
    deep = [f for f in one.deep.__slots__ if isinstance(getattr(one.deep, f), np.ndarray)]
    beyond = {f: np.concatenate([getattr(n.deep, f) for n in designs]) for f in deep}
    return replace(
        one,
        **{f: np.concatenate([getattr(n, f) for n in designs]) for f in arrays},
        deep=replace(one.deep, **beyond),
    )


@pytest.mark.parametrize("rule", **named(GENERIC))
def test_among_many_designs_each_is_judged_for_itself(rule: Rule) -> None:
    place = first_place(rule)
    places = rule.fails_in or (place,)
    if place in SITUATIONS:
        two = [kept(rule), broken(rule, *places), kept(rule)]
    else:
        two = [put_out(rule.quantity, beyond(rule, by)) for by in (-1, 0.05, -1)]
    if QUANTITIES[rule.quantity].not_sampled or rule.quantity in ("bracket skew", "phase"):
        pytest.skip("a number of the configuration itself")
    held = on_part(rule, together(two))
    alone = [on_part(rule, n) for n in two]
    for name in ("verdict", "state", "value", "limit", "over"):
        expected = [getattr(one, name)[0] for one in alone]
        assert getattr(held, name).tolist() == pytest.approx(expected), name


@pytest.mark.parametrize(
    ("beyond_it", "near"), [(0, False), (4, False), (6, True), (94, True), (97, True)]
)
def test_what_samples_break_in_more_than_5_of_100_is_near(beyond_it: int, near: bool) -> None:
    """As read it passes; open is what comes in more than 5 % (common practice, no source)."""
    one, out = base_of("residual angle"), put_out("residual angle", 3.1, "pull-away")
    samples_of = together([out] * beyond_it + [one] * (100 - beyond_it))
    spread = Spread(
        sources=(), exact=(), seed=0, off=np.zeros((0, 100)), numbers=samples_of, alone=one
    )
    rules = load_rules("two-piece service")
    found = weigh(judge_numbers(one, rules), rules, spread).findings
    (shudder,) = (f for f in found if f.rule == "launch shudder")
    assert (shudder.verdict, shudder.as_read, shudder.near) == ("passes", "passes", near)
    assert shudder.probability == pytest.approx(1 - beyond_it / 100)


# --- limits that parts, joints and shops bring along ---------------------------------------------


def rule(id: str, rule_set: str = "two-piece service") -> Rule:
    return load_rules(rule_set).rule(id)


@pytest.mark.parametrize(
    ("id", "path", "value"),
    [
        ("mechanical limit", "joint.1.largest_angle", 20.1),
        ("mechanical limit, constant velocity", "joint.1.largest_angle", 18.1),
        ("mechanical limit, flexible", "joint.1.largest_angle", 3.1),
        ("engaged reserve", "spline.least_engaged", 44.9),
    ],
)
def test_a_limit_that_was_written_for_the_part_may_fail_and_a_default_may_not(
    id: str, path: str, value: float
) -> None:
    chosen = rule(id)
    numbers = put_out(chosen.quantity, value)
    assert on_part(chosen, numbers).verdict[0] == WATCH
    written = replace(numbers.configuration, **measured(path))
    held = on_part(chosen, replace(numbers, configuration=written))
    assert (held.verdict[0], held.standing) == (FAILS, "shop")
    other = measured(path.replace("joint.1", "joint.2").replace("least", "most"))
    elsewhere = replace(numbers, configuration=replace(numbers.configuration, **other))
    assert on_part(chosen, elsewhere).verdict[0] == WATCH


def test_a_plain_joint_beyond_what_such_joints_can_bend_fails_unless_its_own_sheet_says_more() -> (
    None
):
    """48 deg: most shafts bind near 30 deg (two driveline shops' pages)."""
    bent = put_out("universal joints without a limit of their own", 48, "extreme")
    assert on_part(rule("joint binds"), bent).verdict[0] == FAILS
    own = replace(bent.configuration, **measured("joint.1.largest_angle"))
    held = hold([rule("joint binds")], replace(bent, configuration=own))
    assert [str(one.part.where) for one in held] == ["joint 2"]


SHOP = {  # key of [limits]: SI value, rule, quantity, a value that keeps the rule's own limit only
    "front_joint": (0.3 * DEG, "front joint, most", 0.4),
    "pair_difference": (0.2 * DEG, "pair difference", 0.3),
    "least_angle": (1.0 * DEG, "joint, least", 0.9),
    "largest_angle": (3.5 * DEG, "joint, most", 3.6),
    "torsional": (50.0, "pinion uneven", 60.0),
    "inertial": (100.0, "shaft uneven under drive", 110.0),
    "gap": (0.012, "gap reserve", 11.0),
    "clearance": (0.015, "clearance", 14.0),
}


@pytest.mark.parametrize("key", SHOP)
def test_a_limit_of_the_shop_replaces_the_rules_own_and_may_fail(key: str) -> None:
    limit, id, value = SHOP[key]
    chosen = rule(id)
    numbers = kept(chosen)
    for place in chosen.fails_in:
        numbers = put_out(chosen.quantity, value, place, numbers)
    before = on_part(chosen, numbers)
    assert before.verdict[0] == PASSES
    limits = replace(samples.LIMITS, set_by_shop=frozenset({key}), **{key: limit})
    mine = replace(numbers, configuration=replace(numbers.configuration, limits=limits))
    after = on_part(chosen, mine)
    assert (after.verdict[0], after.standing) == (FAILS, "shop")
    assert finding_of(after).source.startswith("the shop's own limit, in place of: ")
    unwritten = replace(limits, set_by_shop=frozenset())
    quiet = replace(numbers, configuration=replace(numbers.configuration, limits=unwritten))
    assert on_part(chosen, quiet).verdict[0] == PASSES


def test_a_share_of_critical_speed_that_the_shop_writes_is_its_own() -> None:
    limits = replace(samples.LIMITS, safe_share=0.5, set_by_shop=frozenset({"safe_share"}))
    numbers = put_out("whirl limit", 150.0)
    slower = replace(numbers, configuration=replace(numbers.configuration, limits=limits))
    held = on_part(rule("critical speed"), slower)
    assert held.standing == "shop"
    assert held.value[0] == pytest.approx(150.0 * 0.5 / 0.7)


def test_an_obstacles_own_clearance_may_fail_but_not_for_a_part_of_assumed_size() -> None:
    numbers = put_out("clearance", 30.0)
    own = replace(numbers.configuration, **things(least=40.0))
    numbers = replace(numbers, configuration=own)
    held = on_part(rule("clearance"), numbers)
    assert (held.verdict[0], held.limit[0]) == (FAILS, 40.0)
    soft = put(numbers, "deep.clearance", (number_of("ride height"), 1), 0.030)
    found = {str(h.part.where): h.verdict[0] for h in hold([rule("clearance")], soft)}
    assert found["joint 1 to thing"] == WATCH
    assert not hold([rule("clearance to a line")], numbers)


def test_a_rule_of_the_shop_may_fail_even_a_part_of_assumed_size() -> None:
    shops = replace(rule("contact, size assumed"), standing="shop", fails_in=("ride height",))
    held = on_part(shops, put_out(shops.quantity, -1.0))
    assert (held.verdict[0], finding_of(held).only_watched) == (FAILS, "")


def test_only_a_part_of_known_size_over_the_ground_is_held_against_it() -> None:
    numbers = calm(vehicle(U, U, **things()))
    assert list(held_on("ground contact", numbers)) == ["shaft 1 to ground"]
    pairs = (*numbers.deep.pairs[:2], ("shaft 1", "ground", False))
    guessed = replace(numbers, deep=replace(numbers.deep, pairs=pairs))
    assert not held_on("ground contact", guessed)


def test_a_joint_is_loaded_by_torque_either_way() -> None:
    """The overrun turns the torque round; a bearing has no better side."""
    for torque in (2001.0, -2001.0):
        numbers = put_out("joint torque", torque, "overrun")
        held = held_on("joint torque", numbers)["joint 1"]
        assert (held.verdict[0], held.value[0]) == (FAILS, pytest.approx(2001.0))


def test_a_shop_that_writes_its_clearance_is_not_asked_for_more_at_rest() -> None:
    numbers = put_out("clearance to fixed parts", 20.0)
    assert on_part(rule("clearance at rest"), numbers).verdict[0] == WATCH
    limits = replace(samples.LIMITS, set_by_shop=frozenset({"clearance"}))
    mine = replace(numbers, configuration=replace(numbers.configuration, limits=limits))
    assert not hold([rule("clearance at rest")], mine)


# --- what no single state decides ----------------------------------------------------------------


def held_on(id: str, numbers: Numbers) -> dict[str, Held]:
    return {str(held.part.where): held for held in hold([rule(id)], numbers)}


def test_yokes_that_suit_their_joints_or_run_no_worse_are_in_phase() -> None:
    out = turned(base_of("phase"), 90.0, 0)
    assert held_on("yoke phase", out)["shaft 1"].value[0] == pytest.approx(90.0)
    suited = put(out, "matched_phase", (0, 0), 88.0 * DEG)
    assert held_on("yoke phase", suited)["shaft 1"].value[0] == pytest.approx(2.0)
    for matched, told in ((87.1, 2.9), (86.9, 90.0)):  # GM service manuals: phased within 3 deg
        near = put(out, "matched_phase", (0, 0), matched * DEG)
        assert held_on("yoke phase", near)["shaft 1"].value[0] == pytest.approx(told)
    # A joint that is straight at ride height has no plane there that yokes could suit.
    for joint in (0, 1):
        straight = put(suited, "joint_angle", (0, joint), 0.3 * DEG)
        assert held_on("yoke phase", straight)["shaft 1"].value[0] == pytest.approx(90.0)
    # In line the pinion would fluctuate by 0.89 % in place of 0.29 %: never call that wrong.
    better = put(put(out, "fluctuation", (0, -1), 0.0029), "in_line", (0, 0), 0.0089)
    assert held_on("yoke phase", better)["shaft 1"].verdict[0] == PASSES
    barely = put(put(out, "fluctuation", (0, -1), 0.0089), "in_line", (0, 0), 0.0089 * 1.002)
    assert held_on("yoke phase", barely)["shaft 1"].verdict[0] == PASSES
    alike = put(barely, "in_line", (0, 0), 0.0089)  # what shakes no more in line belongs in line
    assert held_on("yoke phase", alike)["shaft 1"].verdict[0] == FAILS
    worse = put(put(out, "fluctuation", (0, -1), 0.0089), "in_line", (0, 0), 0.0029)
    assert held_on("yoke phase", worse)["shaft 1"].verdict[0] == FAILS


def test_a_phase_that_the_maker_gave_is_kept() -> None:
    """Volvo Trucks NA, TSI 451-008: factory phase angles must never be changed."""
    for phase, verdict in ((32.9, PASSES), (33.1, FAILS), (0.0, FAILS)):
        out = turned(base_of("phase"), phase, 0)
        shaft = replace(out.configuration.shafts[0], factory_phase=30 * DEG)
        made = replace(out.configuration, shafts=(shaft,))
        held = held_on("yoke phase", replace(out, configuration=made))["shaft 1"]
        assert held.verdict[0] == verdict


@pytest.mark.parametrize("joint", [0, 1])
@pytest.mark.parametrize(("angle", "straight"), [(0.49, True), (0.51, False)])
def test_a_straight_shaft_is_looked_at_by_its_marks_alone(
    joint: int, angle: float, straight: bool
) -> None:
    """Straight is under half a degree: common practice, no source."""
    numbers = calm(vehicle(U, U, U))
    for k, situation in enumerate(SITUATIONS):  # that torque or a parked axle bends it is nothing
        if situation not in ("hard launch", "parked"):
            numbers = put(numbers, "joint_angle", (k, joint), angle * DEG)
    for off, verdict in ((2.9, PASSES), (3.1, WATCH)):
        turned_marks = turned(numbers, off, 0)
        marks = held_on("index marks", turned_marks)
        assert ("shaft 1" in marks) == straight
        assert ("shaft 1" in held_on("yoke phase", turned_marks)) != straight
        if straight:
            assert marks["shaft 1"].verdict[0] == verdict


@pytest.mark.parametrize("kinds", [(FLEX, U, U), (U, DOUBLE, U)])
def test_yokes_of_other_joints_have_no_phase(kinds: tuple[str, ...]) -> None:
    numbers = turned(calm(vehicle(*kinds)), 90.0, 0)
    assert "shaft 1" not in held_on("yoke phase", numbers) | held_on("index marks", numbers)


@pytest.mark.parametrize(
    ("rule_set", "km"), [("two-piece service", 250_000), ("heavy truck", 500_000)]
)
def test_joint_life_is_told_in_distance(rule_set: str, km: float) -> None:
    for distance, verdict in ((km + 1, PASSES), (km - 1, WATCH)):
        numbers = put(calm(vehicle(U, U)), "deep.life_distance", (0,), distance * 1000)
        (held,) = hold([rule("joint life", rule_set)], numbers)
        assert (str(held.part.where), held.verdict[0]) == ("joint 1", verdict)
        assert held.value[0] == pytest.approx(distance)


# The sample truck by Spicer J3311, printed p. 2, by hand: LGT = 610 x 4.17 x 0.80 x 1.9 x 0.95 (a
# transfer case, an automatic); WST = 0.71 x 20 000 N x 2.545 m/(2 pi)/(0.95 x 4.10), its capacity.
LGT, WST = 3673.1, 1476.7


def sized(torque: float | None, series: str | None = None, **vehicle_changes: float) -> Numbers:
    """Return a truck whose joints are rated, by their own sheet or by a series."""
    made = vehicle(U, U)
    if torque is not None:
        made = replace(made, **rated(torque, U, U))
    truck = replace(made.vehicle, axle_capacity=20_000.0, **vehicle_changes)
    return calm(replace(made, vehicle=truck, series=series))


def test_a_rated_joint_fails_by_the_lesser_of_low_gear_and_wheel_slip() -> None:
    for torque, verdict in ((WST + 1, PASSES), (WST - 1, FAILS)):
        held = held_on("joint size", sized(torque))["joint 1"]
        assert (held.verdict[0], held.standing) == (verdict, "shop")
        assert held.value[0] == pytest.approx(WST, rel=1e-4)
        assert held.part.why == "wheel slip on the axle's capacity"
    light = sized(2000.0, engine_torque=200.0)
    held = held_on("joint size", light)["joint 2"]
    assert held.value[0] == pytest.approx(LGT * 200 / 610, rel=1e-3)
    assert held.part.why == "low gear, full engine torque"


def test_what_series_stand_for_is_from_memory_and_fails_no_rated_joint() -> None:
    """Series 1550 (3593 N m) is below LGT, so nothing under 3593 N m would do on the road."""
    for torque, verdict in ((3594.0, PASSES), (3592.0, WATCH)):
        held = held_on("series size", sized(torque))["joint 1"]
        assert (held.verdict[0], held.standing) == (verdict, "from memory")
        assert not held.may_fail
        assert held.value[0] == pytest.approx(3593.0)
        assert held.part.why == "one series below low gear torque"
        assert held_on("joint size", sized(torque))["joint 1"].verdict[0] == PASSES


def test_only_plain_universal_joints_have_a_series() -> None:
    made = replace(vehicle(DOUBLE, U), **rated(1000.0, DOUBLE, U))
    truck = calm(replace(made, vehicle=replace(made.vehicle, axle_capacity=20_000.0)))
    assert set(held_on("series size", truck)) == {"joint 2"}
    double, plain = (held_on("joint size", truck)[f"joint {k}"] for k in (1, 2))
    assert finding_of(plain).remedy == "Fit series 1550 or stronger, or hold the torque down."
    assert finding_of(double).remedy == "Fit the next series or hold the torque down."


def test_wheel_slip_is_that_of_the_axles_capacity_or_says_that_it_is_not() -> None:
    wide = sized(5000.0, axle_ratio=1.2)  # WST 5045 N m is over LGT, so take a milder engine too
    assert held_on("series size", wide)["joint 1"].value[0] == pytest.approx(LGT, rel=1e-3)
    slips = sized(5000.0, engine_torque=320.0, axle_ratio=4.1)  # LGT 1927, one below 1350: 1680
    assert held_on("series size", slips)["joint 1"].value[0] == pytest.approx(1680.0)
    slips = sized(5000.0, engine_torque=270.0)  # LGT 1626, one below: 1207, so WST decides
    held = held_on("series size", slips)["joint 1"]
    assert held.value[0] == pytest.approx(WST, rel=1e-3)
    assert held.part.why == "wheel slip on the axle's capacity"
    without = held_on("joint size", sized(5000.0, engine_torque=None))["joint 1"]  # no low gear
    assert without.value[0] == pytest.approx(WST, rel=1e-3)
    truck = replace(slips.configuration.vehicle, axle_capacity=None, axle_load=20_000.0)
    unsaid = calm(replace(slips.configuration, vehicle=truck))
    why = held_on("series size", unsaid)["joint 1"].part.why
    assert why.endswith("largest load, its capacity is not given")


def test_a_series_from_memory_only_watches_and_names_the_one_that_would_do() -> None:
    small = held_on("series size", sized(None, "1310", engine_torque=270.0))["joint 1"]
    assert (small.verdict[0], small.limit[0], small.standing) == (WATCH, 1085.0, "from memory")
    found = finding_of(small)
    assert found.remedy == "Fit series 1350 or stronger, or hold the torque down."
    assert len(found.remedy.split()) <= 12
    assert "(wheel slip on the axle's capacity)" in at_state(found)
    enough = held_on("series size", sized(None, "1350", engine_torque=270.0))["joint 1"]
    assert (enough.verdict[0], enough.limit[0]) == (PASSES, 1680.0)
    assert finding_of(enough).remedy == "Fit the next series or hold the torque down."
    disputed = held_on("series size", sized(None, "1480"))["joint 1"]
    assert (disputed.verdict[0], disputed.limit[0]) == (WATCH, 2657.0)
    assert not held_on("joint size", sized(None, "1310"))
    assert not held_on("series size", sized(None, "no such series"))


def test_the_harder_peak_only_watches_even_a_rated_joint() -> None:
    """What the tires hold, 0.9 x 14 200 N x 1.2 x 0.395 m, at the shaft: over 4.10 x 0.96."""
    peak = 0.9 * 14_200 * 1.2 * 0.395 / (4.1 * 0.96)
    for torque, verdict in ((peak + 1, PASSES), (peak - 1, WATCH)):
        held = held_on("joint torque, peak", sized(torque))["joint 1"]
        assert held.value[0] == pytest.approx(peak, rel=1e-3)
        assert held.verdict[0] == verdict
        assert not held.may_fail


def tubed(
    own: float | None,
    carries: float,
    capacity: float | None = 16_000.0,
    engine: float | None = None,
) -> Numbers:
    """A truck, its engine's torque unknown unless said, its tube as strong as said [N m]."""
    made = vehicle(U, U)
    tube = replace(made.shafts[0].tube, yield_stress=own)
    made = replace(made, shafts=(replace(made.shafts[0], tube=tube),))
    made = replace(
        made, vehicle=replace(made.vehicle, axle_capacity=capacity, engine_torque=engine)
    )
    return put(calm(made), "deep.yield_torque", (0,), carries)


def test_a_tube_fails_by_the_published_size_and_its_own_yield_stress() -> None:
    """Spicer J3311, printed p. 2: wheel slip is 0.71 W RR/(0.95 AR) of the axle's capacity W.

    One series below low gear is said of joints; an engine that asks for one changes no tube.
    """
    circumference = vehicle(U, U).vehicle.tire_circumference
    slip = 0.71 * 16_000 * circumference / (2 * np.pi) / (0.95 * 4.1)
    for own, verdict in ((None, WATCH), (400e6, FAILS)):
        held = held_on("tube torque", tubed(own, slip - 1))["shaft 1"]
        assert held.value[0] == pytest.approx(slip)
        assert (held.verdict[0], held.part.why) == (verdict, "wheel slip on the axle's capacity")
        for engine in (None, 610.0):
            held = held_on("tube torque", tubed(own, slip + 1, engine=engine))["shaft 1"]
            assert held.verdict[0] == PASSES


def test_the_harder_peak_only_watches_even_a_tube_of_known_yield_stress() -> None:
    """What the tires hold, 0.9 x 14 200 N x 1.2 x 0.395 m, at the shaft: over 4.10 x 0.96."""
    peak = 0.9 * 14_200 * 1.2 * 0.395 / (4.1 * 0.96)
    for carries, verdict in ((peak + 1, PASSES), (peak - 1, WATCH)):
        held = held_on("tube torque, peak", tubed(400e6, carries))["shaft 1"]
        assert held.value[0] == pytest.approx(peak, rel=1e-3)
        assert held.verdict[0] == verdict
        assert not held.may_fail


def test_a_bearing_met_below_walking_pace_or_not_at_all_is_not_told() -> None:
    """Walking is 5 km/h: common practice, no source."""
    for value, told in ((4.9, False), (np.inf, False), (5.1, True)):
        numbers = put_out("bearing met once a turn", value)
        held = held_on("bearing met once a turn", numbers)["bearing 1"]
        assert held.verdict[0] == (WATCH if told else PASSES)
        assert held.value[0] == pytest.approx(value) if told else np.isnan(held.value[0])


# --- the data ------------------------------------------------------------------------------------


@pytest.mark.parametrize("rule", **named(list(EVERY)))
def test_words_are_short(rule: Rule) -> None:
    assert len(rule.good.split()) <= 8
    assert len(rule.bad.split()) <= 8
    assert rule.good != rule.bad
    assert len(rule.remedy.split()) <= 12
    assert rule.meaning.endswith(".")
    assert rule.remedy.endswith(".")


@pytest.mark.parametrize("rule", **named(list(EVERY)))
def test_a_source_says_what_it_is_worth(rule: Rule) -> None:
    assert ("from memory" in rule.source) == (rule.standing == "from memory")
    assert ("common practice" in rule.source) == (rule.standing == "common practice")
    assert ("our proposal" in rule.source) == (rule.standing == "proposal")


@pytest.mark.parametrize("rule", **named(list(EVERY)))
def test_severity_goes_with_how_often_a_state_comes(rule: Rule) -> None:
    """9, 10 parts come apart: fails anywhere; 7, 8: rare strength only watches; 5, 6: only where
    often; 3, 4: only where often; 1, 2: never fails.  Contact under the rarest state watches.
    """
    seldom = {place for place in rule.fails_in if place not in OFTEN} - {"vehicle"}
    if rule.severity <= 2:
        assert not rule.fails_in
    if rule.severity <= 6:
        assert not seldom
    if rule.cause == "joint strength":
        assert "extreme" not in rule.fails_in


def test_every_quantity_is_looked_at_and_every_rule_is_exercised() -> None:
    assert {rule.quantity for rule in EVERY} == set(QUANTITIES)
    assert set(SET) | BY_HAND == set(QUANTITIES)
    assert not set(SET) & BY_HAND


# Units as machines get them; what is not listed is an angle [deg].
UNITS = {
    "mm": (
        "gap",
        "engaged",
        "plunge",
        "clearance",
        "height over ground",
        "bearing swing",
        "contradicting length",
    ),
    "%": ("fluctuation",),
    "rad/s²": ("torsional", "inertial"),
    "km/h": ("bearing met", "half critical", "whirl limit"),
    "N m": ("joint torque", "sizing torque", "peak torque", "tube torque"),
    "km": ("joint life",),
}


@pytest.mark.parametrize("name", QUANTITIES)
def test_a_quantity_has_its_unit_and_follows_the_speed_only_where_it_shakes(name: str) -> None:
    expected = [unit for unit, begins in UNITS.items() if name.startswith(begins)] or ["deg"]
    assert [QUANTITIES[name].unit] == expected
    shakes = name == "angle at speed" or "acceleration" in name
    assert QUANTITIES[name].at_speed == shakes


def test_every_rule_is_weighed_by_samples_or_says_why_not() -> None:
    looked, weighed = set(), set()
    for quantity, setting in SET.items():
        one = base_of(quantity)
        for designs, found in (([one], looked), ([one, one, one], weighed)):
            held = hold(list(EVERY), together(designs))
            found |= {h.rule.quantity for h in held}
        assert setting.where
    for numbers in (sized(2000.0), sized(None, "1310"), turned(calm(vehicle(U, U, U)), 5.0, 0)):
        aged = put(numbers, "deep.life_distance", (0,), 1e9)
        looked |= {h.rule.quantity for h in hold(list(EVERY), aged)}
        weighed |= {h.rule.quantity for h in hold(list(EVERY), together([aged, aged]))}
    silent = {name for name, quantity in QUANTITIES.items() if quantity.not_sampled}
    assert silent == {"contradicting angle", "contradicting length"}
    assert looked - weighed == set()
    assert set(QUANTITIES) - weighed <= silent | {"index marks"}


# --- which parts a quantity has ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kinds", "pairs"),
    [
        ((U, U), ["joints 1 and 2"]),
        ((U, U, U), ["joints 2 and 3"]),
        ((U, U, U, U), ["joints 3 and 4", "joints 1 and 2"]),
        ((DOUBLE, U, U), ["joints 2 and 3"]),
        ((U, U, DOUBLE), []),
        ((U, DOUBLE, U), []),
        ((U, DOUBLE, U, U), ["joints 3 and 4"]),
        ((U, U, U, DOUBLE), ["joints 1 and 2"]),
        ((FLEX, U, U), ["joints 2 and 3"]),
        ((CV, CV), []),
    ],
)
def test_only_two_universal_joints_make_a_pair(kinds: tuple[str, ...], pairs: list[str]) -> None:
    """Pairs count from the rear; a joint that turns evenly by itself has nothing to cancel."""
    numbers = calm(vehicle(*kinds))
    assert [str(part.where) for part in pair_differences(numbers)] == pairs
    last = f"joints {len(kinds) - 1} and {len(kinds)}"
    found = [str(part.where) for part in last_pair_difference(numbers)]
    assert found == [pair for pair in pairs if pair == last]
    for part in pair_differences(numbers):
        assert part.group == ("pinion" if str(part.where) == last else "")


@pytest.mark.parametrize("kind", ["fixed part", "floor", "line", "exhaust"])
def test_what_stands_still_beside_the_shafts_is_told_from_lines_and_exhaust(kind: str) -> None:
    numbers = calm(vehicle(U, U, **things(kind)))
    looks = {
        clearance_quantities.fixed_part: ("fixed part", "floor"),
        clearance_quantities.line: ("line",),
        clearance_quantities.exhaust: ("exhaust",),
        clearance_quantities.known: ("fixed part", "floor", "exhaust"),
        clearance_quantities.known_to_lines: ("line",),
    }
    for look, kinds in looks.items():
        assert bool(look(numbers)) == (kind in kinds), look.__name__


@pytest.mark.parametrize(
    ("case", "turning", "situation"),
    [
        ("no torque", True, "travel"),
        ("no torque", False, "parked"),
        ("hard launch", True, "extreme"),
    ],
)
def test_what_comes_near_between_two_states_is_judged_as_the_travel_it_is(
    case: str, turning: bool, situation: str
) -> None:
    near = Clearance(
        obstacle="thing", kind="fixed part", part="shaft 1", size_known=True, distance=0.001,
        certified_within=0.0, at_rest=0.3, case=case, travel=0.0123, roll=0.02, turning=turning,
        point=np.zeros(3),
    )  # fmt: skip
    numbers = replace(calm(vehicle(U, U, **things())), near=(near,))
    (part,) = [p for p in clearance_quantities.any_obstacle(numbers) if not p.assumed]
    state = part.states[-1]
    assert (state.situation, state.travel, state.roll) == (situation, 0.0123, 0.02)
    assert (state.height, state.case, state.turning) == ("", case, turning)
    assert part.values[0, -1] == pytest.approx(1.0)
    at_bump = replace(near, travel=0.0953 if case == "hard launch" else -0.1097, roll=0.0)
    there = clearance_quantities.state_of(numbers.states, at_bump)
    assert there.height == ("full bump" if case == "hard launch" else "full droop")
    for aside, roll, named in ((4.8e-4, 9e-4, True), (5.2e-4, 0.0, False), (0.0, 1.1e-3, False)):
        beside = replace(at_bump, travel=there.travel + aside, roll=roll)
        found = clearance_quantities.state_of(numbers.states, beside)
        assert bool(found.height) == named  # half a millimeter, a thousandth of a radian: ours


@pytest.mark.parametrize(
    ("status", "why"), [("assumed", "rubber assumed 80 N/mm ± 60 %"), ("measured", "")]
)
def test_rubber_that_nobody_measured_is_said_to_be_assumed(status: str, why: str) -> None:
    numbers = put_out("bearing met once a turn", 12.0)
    rubber = Reading(
        path="bearing.1.radial", value=80e3, spread=48e3, text="80 N/mm ± 60 %", status=status,
        line=0,
    )  # fmt: skip
    readings = {**numbers.configuration.readings, "bearing.1.radial": rubber}
    numbers = replace(numbers, configuration=replace(numbers.configuration, readings=readings))
    assert held_on("bearing met once a turn", numbers)["bearing 1"].part.why == why


def test_what_was_judged_is_kept_alive_by_nothing() -> None:
    """Numbers of many designs are many megabytes."""
    numbers = calm(vehicle(U, U, U))
    rules = load_rules("two-piece service").rules
    assert [one for one in hold(rules, numbers) if one.part.where.kind == "clearance"]
    gone = weakref.ref(numbers)
    del numbers
    gc.collect()
    assert gone() is None
