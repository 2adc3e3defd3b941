"""What would help against a shake: levers carried out, compared in closed form, judged again."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from advice import findings_of, scene_of
from scene_lines import with_lines

from sim.explore import shake_amount, shake_help
from sim.explore.cures_before import Before
from sim.explore.cures_lever import Lever, lever_in
from sim.explore.cures_lines import carried_out
from sim.explore.felt import Band, answer_to, effect_of
from sim.explore.felt_near import near_of
from sim.explore.judged import judged
from sim.explore.shake_amount import Asked, Shaken, gets_worse, shaken
from sim.explore.shake_help import Helps, asked_of, helps
from sim.explore.shake_levers import WORK, shake_levers
from sim.explore.shake_trials import MOVED, Help
from sim.explore.shaken import Order, shake_of
from sim.judge.findings import Findings
from sim.judge.rules import load_rules
from sim.show.result import Result
from sim.show.shake_help_words import help_lines, help_words, helps_json, helps_of

TRUCK = (Path(__file__).parents[1] / "scenes" / "orchard_service_truck.toml").read_text("utf-8")
PULLING_AWAY = Asked(
    height="loaded",
    situation="pull-away",
    order=2,
    slowest=25 / 3.6,
    fastest=35 / 3.6,
    balanced_at=155 / 3.6,
)
LAUNCH = replace(
    PULLING_AWAY,
    height="ride height",
    situation="hard launch",
    slowest=5 / 3.6,
    fastest=50 / 3.6,
)
AT_90 = replace(LAUNCH, situation="cruise", slowest=85 / 3.6, fastest=95 / 3.6)


@cache
def found(text: str, name: str) -> Findings:
    return findings_of(text, name, cures=False)


@cache
def cured(text: str, name: str) -> Findings:
    return findings_of(text, name, cures=True)


def tried(
    name: str, asked: Asked, levers: tuple[Lever, ...] | None = None, text: str = TRUCK
) -> tuple[Help, ...]:
    """Return what levers do to a shake of a scene's text; left out, all that there are."""
    scene = scene_of(text)
    with pytest.MonkeyPatch.context() as patch:
        if levers is not None:
            patch.setattr(shake_help, "shake_levers", lambda *_: levers)
        configuration = scene.configuration(name)
        return helps(configuration, found(text, name), load_rules(scene.rules), asked).tried


@cache
def pulling_away() -> tuple[Help, ...]:
    return tried("two-piece", PULLING_AWAY)


def one(name: str, path: str, value: float) -> Lever:
    return lever_in(name, 1, [0], [1.0], {path: [value]}, [f"set {path}"])


def bar(stiffness: float) -> Lever:
    return one("a traction bar", "suspension.wrap_control", math.degrees(stiffness))


def by(lever: str, found: tuple[Help, ...]) -> Help:
    return next(help_ for help_ in found if help_.levers == (lever,))


def kind_of(lever: Help) -> float:
    return lever.ratio[0].value


def test_a_change_of_nothing_leaves_every_draw_as_it_was() -> None:
    (same,) = tried("two-piece", PULLING_AWAY, (one("as it is", "pinion.nose_up", 0.0),))
    assert same.changes == ('pinion.nose_up = "0 deg"',)
    assert same.effect == "the same"
    for band in same.ratio:
        assert (band.value, band.low, band.high) == pytest.approx((1, 1, 1), abs=1e-12)


def test_rubber_that_is_fitted_anew_has_an_error_of_its_own() -> None:
    # Of the same nominal rate, ±60 % and ±60 %: it may be softer or stiffer than what hangs there.
    (same,) = tried("two-piece", PULLING_AWAY, (one("rubber", "bearing.1.radial", 80e3),))
    for band in same.ratio:
        assert band.value == pytest.approx(1, abs=1e-12)
        assert band.low < 0.98
        assert band.high > 1.02


def test_wrap_held_at_launch_as_a_separate_program_has_it() -> None:
    # Most force at every half km/h from 5 to 50 at hard launch, by a program of its own, fed with
    # the leaf springs' postures: bracket 1592 N, with a bar of 1700 N m/deg 1120 N; all places
    # together, ends rigid, 1685 and 1136 N; pinion 555 and 134 N, on springs 3996 and 505 N.
    (held,) = tried("two-piece", LAUNCH, (bar(1700),))
    assert kind_of(held) == pytest.approx(1685 / 1136, rel=0.02)
    before, after = (
        launched(text) for text in (TRUCK, with_lines(TRUCK, "two-piece", held.changes))
    )
    assert before[:, -1] / after[:, -1] == pytest.approx((555 / 134, 3996 / 505), rel=0.02)
    assert before[0, 1] / after[0, 1] == pytest.approx(1592 / 1120, rel=0.02)


def launched(text: str) -> np.ndarray:
    """Return the most that each place takes at launch, as read, (2, P)."""
    two = scene_of(text).configuration("two-piece")
    course = shake_of(two, None, ("ride height",), ("hard launch",), 0).courses[0]
    return np.asarray(course.force[:, 0].max(axis=1))


@pytest.mark.parametrize("rate", [32, 80, 128])
def test_rubber_moves_the_bounce_as_two_rigid_shafts_on_a_spring(rate: float) -> None:
    """At launch the midship spline takes 23 mm of the stub behind the bearing, none ahead of it.

    Where joint 2 moves by r, the bearing moves by 1: r = L₁/(L₁ − stub); rods pivoted at their far
    ends with 3 kg of yokes at each end: m = r² (μ (L₁ + L₂)/3 + 6 kg), f = √(k/m)/2π.
    """
    (other,) = tried("two-piece", LAUNCH, (one("rubber", "bearing.1.radial", rate * 1e3),))
    text = with_lines(TRUCK, "two-piece", other.changes)
    line = 7850 * math.pi / 4 * (0.0889**2 - 0.0847**2)
    lever = 0.743 / (0.743 - (0.115 - 0.023))
    mass = lever**2 * (line * (0.743 + 1.143) / 3 + 6)
    met = math.sqrt(rate * 1e3 / mass) / (2 * math.pi) / 2 * 2.545 / 4.10
    assert 3.6 * bounce(text) == pytest.approx(3.6 * met, abs=0.15)


def bounce(text: str) -> float:
    """Return the road speed of most force into the bracket at launch [m/s], as read."""
    two, over = scene_of(text).configuration("two-piece"), np.arange(8.0, 22.0, 0.1) / 3.6
    course = shake_of(two, over, ("ride height",), ("hard launch",), 0).courses[0]
    return float(course.speed[course.force[0, 0, :, 1].argmax()])


# --- Once per turn --------------------------------------------------------------------------------

TURNING = replace(AT_90, order=1)


def finest(mass: float) -> float:
    """Return what G6.3 leaves of a shaft's unbalance [g mm]: 6.3 mm/s over the speed at the top."""
    return 6.3 * mass * 1e3 / (2 * math.pi * 4.10 / 2.545 * 155 / 3.6)


def bent(unbalance: float, runout: float) -> str:
    """Return the truck with one shaft so far out of balance [times G6.3], and so bent [mm]."""
    mass = scene_of(TRUCK).configuration("one-piece").shafts[0].mass
    return with_lines(
        TRUCK,
        "one-piece",
        (
            f'shaft.1.unbalance = "{unbalance * finest(mass):.2f} g mm"',
            f'shaft.1.runout = "{runout} mm"',
        ),
    )


def test_a_force_in_proportion_to_unbalance_falls_with_it_in_every_draw() -> None:
    text = bent(1.3, 0)
    some = tuple(x for x in shake_levers(scene_of(text).configuration("one-piece"), 1))
    assert "a straighter shaft" not in {x.tried for x in some}, "it is straight"
    balance = tuple(x for x in some if x.tried == "finer balance")
    (finer,) = tried("one-piece", TURNING, balance, text)
    for band in finer.ratio:  # its line is in whole g mm
        assert (band.value, band.low, band.high) == pytest.approx((1.3,) * 3, rel=3e-3)
    assert finer.effect == "better"
    assert finer.holds


def test_two_levers_are_tried_together_where_neither_halves_the_shake() -> None:
    # Unbalance and bow in phases that nobody knows: F² = a U² + b B².  With one of them less, 1/r²
    # is the other one's share and what is left of its own: so 1/r₁² + 1/r₂² − 1 with both.
    at_one_speed, text = replace(TURNING, slowest=90 / 3.6, fastest=90 / 3.6), bent(2.6, 0.6)
    names = ("finer balance", "a straighter shaft")
    some = shake_levers(scene_of(text).configuration("one-piece"), 1)
    found_ = tried("one-piece", at_one_speed, tuple(x for x in some if x.tried in names), text)
    balance, straight = (by(name, found_) for name in names)
    both = by_two(names, found_)
    for k in (0, 1):
        r1, r2 = balance.ratio[k].value, straight.ratio[k].value
        assert both.ratio[k].value == pytest.approx((r1**-2 + r2**-2 - 1) ** -0.5, rel=1e-6)
    assert max(balance.surely, straight.surely) < 2 < both.surely
    assert found_[0] == both


def by_two(names: tuple[str, str], found: tuple[Help, ...]) -> Help:
    return next(help_ for help_ in found if set(help_.levers) == set(names))


def test_balance_does_nothing_to_what_the_joints_do() -> None:
    balance = by("finer balance", pulling_away())
    assert balance.effect == "the same"
    for band in balance.ratio:
        assert (band.low, band.high) == pytest.approx((1, 1), abs=1e-12)


# --- Judged again ---------------------------------------------------------------------------------


def test_what_is_offered_holds_when_it_is_written_into_the_scene() -> None:
    offered = [help_ for help_ in pulling_away() if help_.holds]
    assert offered
    for help_ in offered:
        assert help_.surely >= 1.25
        text = with_lines(TRUCK, "two-piece", help_.changes)
        assert not Before(found(TRUCK, "two-piece")).worse(found(text, "two-piece"))
        before, after = (most(each, "two-piece", PULLING_AWAY) for each in (TRUCK, text))
        read = [band.value for band in help_.ratio]
        assert read == pytest.approx(list(before / after), rel=1e-9)


def most(text: str, name: str, asked: Asked) -> np.ndarray:
    """Return the most of all places together within the road speeds, as read, (2,)."""
    speeds = np.arange(round(asked.slowest * 7.2), round(asked.fastest * 7.2) + 1) / 7.2
    read = scene_of(text).configuration(name)
    course = shake_of(read, speeds, (asked.height,), (asked.situation,), 0).courses
    (one_order,) = (each for each in course if each.order == asked.order)
    return np.sqrt((one_order.force[:, 0] ** 2).sum(axis=-1)).max(axis=1)


def test_what_breaks_a_limit_is_not_offered_and_says_which() -> None:
    one_piece = scene_of(TRUCK).configuration("one-piece")
    larger = tuple(x for x in shake_levers(one_piece, 2) if x.tried == "a larger tube")
    (thick,) = tried("one-piece", AT_90, larger)
    assert thick.effect == "better"
    assert not thick.holds
    assert thick.breaks[0].what == "Shaft passes too close"
    text = with_lines(TRUCK, "one-piece", thick.changes)
    worse = Before(found(TRUCK, "one-piece")).worse(found(text, "one-piece"))
    assert {finding.what for finding in worse} == {finding.what for finding in thick.breaks}


def test_a_wedge_that_parts_paired_angles_is_not_offered() -> None:
    wedge = by("the pinion angle", pulling_away())
    assert wedge.effect == "better"
    assert "nose down" in wedge.does, "the wrap lifts the nose"
    assert "Paired angles differ" in {finding.what for finding in wedge.breaks}


def helped(
    name: str,
    asked: Asked,
    levers: tuple[Lever, ...],
    text: str = TRUCK,
    others: dict[str, Asked] | None = None,
) -> Helps:
    """Return what levers do to a shake on top of what ``check`` advises for a layout."""
    scene = scene_of(text)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(shake_help, "shake_levers", lambda *_: levers)
        advised = cured(text, name)
        configuration = scene.configuration(name)
        return helps(configuration, advised, load_rules(scene.rules), asked, others)


def test_levers_are_tried_on_what_check_advises_and_hold_when_both_are_written() -> None:
    found_ = helped("two-piece", PULLING_AWAY, (bar(1600),))
    (held,) = found_.tried
    cures = cured(TRUCK, "two-piece").advice
    assert found_.advised == " and ".join(cure.does for cure in cures)
    lines = tuple(line for cure in cures for line in cure.changes)
    assert lines
    advised = with_lines(TRUCK, "two-piece", lines)
    both = with_lines(TRUCK, "two-piece", (*lines, *held.changes))
    before, after = (most(text, "two-piece", PULLING_AWAY) for text in (advised, both))
    read = [band.value for band in held.ratio]
    assert read == pytest.approx(list(before / after), rel=1e-9)
    harmed = Before(found(advised, "two-piece")).harmed(found(both, "two-piece"))
    assert harmed, "the bar is not for nothing: else the test is none"
    assert {f.what for f in held.breaks} == {f.what for f in harmed}
    assert not held.holds


def test_what_is_driven_slower_is_balanced_as_before() -> None:
    # Unbalance goes with the permissible one at the top speed for which the shaft was balanced;
    # to keep to less in one that hangs there changes nothing of it.
    slower = one("use", "vehicle.top_speed", 100 / 3.6)
    (same,) = tried("one-piece", replace(TURNING, slowest=60 / 3.6, fastest=70 / 3.6), (slower,))
    for band in same.ratio:
        assert (band.value, band.low, band.high) == pytest.approx((1, 1, 1), abs=1e-9)


def test_a_lever_may_not_make_another_complaint_worse() -> None:
    one_piece, wedge = "one-piece", one("wedge", "pinion.nose_up", math.radians(3))
    asked = {"it shudders": replace(PULLING_AWAY), "it hums": replace(AT_90)}
    (held,) = helped(one_piece, AT_90, (wedge,), others=asked).tried
    text = with_lines(TRUCK, one_piece, ('pinion.nose_up = "3 deg"',))
    shudder, hum = (most(TRUCK, one_piece, a) / most(text, one_piece, a) for a in asked.values())
    assert (shudder < 1 / 1.25).all()
    assert (hum > 2).all()
    assert held.harms == ("it shudders",)


@pytest.mark.parametrize(
    ("before", "after", "fastest", "worse"),
    [
        (50.0, 100.0, 30.0, True),
        (50.0, 50.0, 30.0, False),
        (3.0, 6.0, 30.0, False),  # nobody feels it
        (50.0, 50.0, 20.0, True),  # too near a critical speed then
    ],
)
def test_what_makes_another_shake_worse(
    before: float, after: float, fastest: float, worse: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    def amount(force: float, fastest: float) -> Shaken:
        return Shaken(whole=np.full((2, 9, 4), force), kept=np.arange(9), fastest=fastest)

    monkeypatch.setattr(shake_amount, "shaken", lambda *_: amount(after, fastest))
    design = scene_of(TRUCK).configuration("one-piece").design
    assert design is not None
    assert gets_worse(amount(before, 30.0), design, AT_90) is worse


def test_rival_cures_are_never_advised_together() -> None:
    read = cured(TRUCK, "two-piece")
    some = [f for f in read.findings if f.cures][:2]
    near = replace(some[0].cures[0], does="hang it elsewhere", leaves="a watch")
    findings = (replace(some[0], cures=(), nearest=near), some[1])
    assert replace(read, findings=findings).advice == (near,), "it cures all by itself"
    assert replace(read, findings=findings, after=None).advice == ()
    assert replace(read, findings=(some[0], some[0])).advice == some[0].cures


def test_a_lever_that_only_moves_the_shake_says_so() -> None:
    # Rigid shafts on a spring: the bounce goes with the root of the rate, from 20.5 to 29 km/h,
    # and there unbalance, as the square of the speed, shakes twice as much.
    soft = with_lines(TRUCK, "two-piece", ('bearing.1.radial = "40 ± 0.1 N/mm"',))
    asked = replace(TURNING, height="loaded", slowest=18 / 3.6, fastest=22 / 3.6)
    (stiff,) = helped("two-piece", asked, (one("rubber", "bearing.1.radial", 80e3),), soft).tried
    assert stiff.helps
    assert stiff.harms == (MOVED,)


def test_nothing_is_tried_where_readings_were_taken_as_exact() -> None:
    scene = scene_of(TRUCK)
    two, rules = scene.configuration("two-piece"), load_rules(scene.rules)
    exact = judged(two, rules, as_read=True).findings
    assert helps(two, exact, rules, PULLING_AWAY) == Helps()


def test_nothing_is_tried_where_a_critical_speed_is_too_near_for_an_amplitude() -> None:
    # The one-piece bends at 77.2 Hz, once per turn at 172 km/h, of which 0.85 is 147.
    fast = replace(TURNING, slowest=148 / 3.6, fastest=153 / 3.6)
    assert tried("one-piece", fast) == ()


def test_a_complaint_asks_for_its_own_height_torque_and_speed() -> None:
    two = scene_of(TRUCK).configuration("two-piece")
    (shudder,) = (each for each in two.complaints if each.name == "shudder pulling away")
    asked = [asked_of(two, shudder, near) for near in near_of(two, shudder, 0)]
    assert [each.order for each in asked] == [1, 2]
    assert (asked[1].height, asked[1].situation) == ("loaded", "pull-away")
    assert (asked[1].slowest * 3.6, asked[1].fastest * 3.6) == pytest.approx((25, 35))


# --- Levers ---------------------------------------------------------------------------------------


def levers(name: str, order: Order = 2, text: str = TRUCK) -> dict[str, list[Lever]]:
    given: dict[str, list[Lever]] = {}
    for lever in shake_levers(scene_of(text).configuration(name), order):
        given.setdefault(lever.tried, []).append(lever)
    return given


def test_every_lever_has_its_work() -> None:
    assert {name for which in ("one-piece", "two-piece") for name in levers(which)} == set(WORK)


def test_the_next_tube_is_the_next_size_of_the_nearest_wall() -> None:
    # Of 2.5, 3, 3.5 and 4 in with a wall of 0.083 in, beside 88.9 mm by 2.1 mm: 3 and 4 in.
    tubes = levers("two-piece")
    assert [lever.says[0] for lever in tubes["a larger tube"]] == [
        f"fit shaft {number} a tube of 101.6 mm, wall 2.1 mm" for number in (1, 2)
    ]
    assert [lever.says[0] for lever in tubes["a smaller tube"]] == [
        f"fit shaft {number} a tube of 76.2 mm, wall 2.1 mm" for number in (1, 2)
    ]


@pytest.mark.parametrize(
    ("rate", "stiffer", "softer"),
    [(80, 150, 40), (60, 120, 40), (140, None, 70), (45, 90, None)],  # 40 to 150 N/mm are sold
)
def test_rubber_is_twice_or_half_as_stiff_as_far_as_it_is_sold(
    rate: int, stiffer: int | None, softer: int | None
) -> None:
    text = with_lines(TRUCK, "two-piece", (f'bearing.1.radial = "{rate} N/mm"',))
    given = levers("two-piece", text=text)
    for name, at in (("stiffer rubber", stiffer), ("softer rubber", softer)):
        rates = [lever.values["bearing.1.radial"][0] for lever in given.get(name, [])]
        assert rates == ([] if at is None else [pytest.approx(at * 1e3)])


def test_joints_have_little_part_in_once_per_turn_and_are_tried_once() -> None:
    assert len(levers("two-piece", 1)["the pinion angle"][0].says) == 1
    assert len(levers("two-piece", 2)["the pinion angle"][0].says) > 8


def test_only_leaf_springs_take_a_traction_bar() -> None:
    van = (Path(__file__).parents[1] / "scenes" / "lowered_street_van.toml").read_text("utf-8")
    assert 'kind = "leaf"' not in van
    name = scene_of(van).configurations[0].name
    assert "a traction bar" not in levers(name, text=van)
    assert "a traction bar" in levers("two-piece")


# --- Words ----------------------------------------------------------------------------------------


def said(lever: str, effect: str, low: float, high: float, *breaks: str) -> Help:
    finding = found(TRUCK, "two-piece").findings[0]
    return Help(
        levers=(lever,),
        does=f"do {lever}",
        effect=effect,  # type: ignore[arg-type]
        ratio=(Band(value=low, low=low, high=high), Band(value=low, low=low + 0.1, high=high)),
        changes=(f"{lever} = 1",),
        breaks=tuple(replace(finding, what=what) for what in breaks),
        work=1,
    )


def words(*tried: Help) -> list[str]:
    return list(help_words(Helps(tried=tried)))


def test_what_shakes_more_than_as_it_stands_even_then_is_told() -> None:
    helps_ = said("a traction bar", "better", 1.31, 1.62)
    more = tuple(Band(value=0.6, low=low, high=0.8) for low in (0.5, 0.625))
    assert words(replace(helps_, still=more)) == [
        "Helps: do a traction bar (1.3 to 1.6× less; still 1.2 to 2.0× more than as it stands). "
        "Write a traction bar = 1",
    ]


def test_words_for_what_helps_and_what_does_not() -> None:
    assert words(
        said("a traction bar", "better", 2.44, 4.39),
        said("stiffer rubber", "worse", 0.3, 0.5),
        said("softer rubber", "the same", 0.9, 1.1),
        said("a larger tube", "the same", 1.0, 1.0),
        said("a smaller tube", "the same", 1.0, 1.0),
        said("the pinion angle", "cannot be told", 0.5, 2.0),
    ) == [
        "Helps: do a traction bar (2.4 to 4.4× less). Write a traction bar = 1",
        "No help: softer rubber, other tubes. Worse: stiffer rubber. Cannot be told: the pinion "
        "angle.",
    ]


@pytest.mark.parametrize(
    ("what", "then"),
    [
        (("Shaft passes too close",), "shaft passes too close"),
        (("Fits?", "One"), "it is open whether fits, and 1 more gets worse"),
        (("Fits", "One", "Another"), "fits, and 2 more get worse"),
    ],
)
def test_words_for_what_helps_at_a_price(what: tuple[str, ...], then: str) -> None:
    first, *rest = words(said("a larger tube", "cured", 6.0, 29.1, *what))
    assert first == "Nothing tried helps without a price."
    assert rest == [
        f"Helps at a price: do a larger tube (6.0 to 29× less), but then {then}. "
        "Write a larger tube = 1"
    ]


def test_a_complaint_that_gets_worse_is_named_ahead_of_verdicts() -> None:
    both = replace(said("a larger tube", "cured", 6.0, 29.1, "Fits"), harms=("“hum” gets worse",))
    assert "but then “hum” gets worse, and 1 more gets worse. Write" in words(both)[1]


def test_words_for_another_shake_that_gets_worse() -> None:
    harms = replace(said("a larger tube", "cured", 6.0, 29.1), harms=("“hum” gets worse",))
    assert "but then “hum” gets worse. Write" in words(harms)[1]


def test_little_help_at_a_price_is_only_named() -> None:
    assert words(said("a larger tube", "better", 1.4, 2.0, "Fits")) == [
        "Nothing tried helps without a price.",
        "At a price: a larger tube.",
    ]


def test_no_lever_that_holds_goes_without_a_word() -> None:
    names = ("a", "b", "c", "d", "e")
    both = replace(said("both", "cured", 9.0, 9.0), levers=("a", "b"))
    each = [said(name, "better", 2.0, 2.0) for name in names]
    *offered, rest = words(both, *each)
    assert [line.split(":")[0] for line in offered] == ["Helps"] * 3
    assert ["do both" in offered[0], "do c" in offered[1], "do d" in offered[2]] == [True] * 3
    assert rest == "Helps less: e.", "a and b are in both"


def test_words_where_nothing_helps_or_was_tried() -> None:
    assert words() == []
    assert words(said("a larger tube", "the same", 1.0, 1.0)) == [
        "Nothing tried helps.",
        "No help: a larger tube.",
    ]


def test_one_tube_that_helps_is_not_said_to_be_no_help() -> None:
    assert (
        words(
            said("a larger tube", "better", 2.0, 3.0),
            said("a larger tube", "the same", 1.0, 1.0),
            said("a smaller tube", "the same", 1.0, 1.0),
        )[-1]
        == "No help: a smaller tube."
    )


def test_levers_that_help_together_are_not_said_again() -> None:
    balance, straight = (
        said("finer balance", "better", 1.3, 2.0),
        said("straight", "the same", 1, 1),
    )
    both = replace(said("both", "cured", 3.1, 5.7), levers=("finer balance", "straight"))
    assert words(both, balance, straight) == ["Helps: do both (3.1 to 5.7× less). Write both = 1"]


def test_a_price_is_what_gets_worse_by_rank_then_by_number() -> None:
    first = found(TRUCK, "two-piece").findings[0]
    fails, watch = (replace(first, verdict=verdict) for verdict in ("fails", "watch"))
    one_fails = replace(said("a", "cured", 9, 9), breaks=(fails,))
    two_watch = replace(said("b", "better", 2, 2), breaks=(watch, watch))
    one_watch = replace(said("c", "better", 2, 2), breaks=(watch,))
    free, none = said("d", "better", 1.3, 1.3), said("e", "the same", 1, 1)
    some = [none, one_fails, two_watch, one_watch, free]
    ranked = sorted(some, key=lambda help_: help_.standing)
    assert "".join(help_.levers[0] for help_ in ranked) == "dcbae"


def test_what_helps_is_said_of_the_layout_and_the_order_that_is_felt() -> None:
    scene = scene_of(TRUCK)
    two, rules = scene.configuration("two-piece"), load_rules(scene.rules)
    (shudder,) = (each for each in two.complaints if each.name == "shudder pulling away")
    near = {"two-piece": near_of(two, shudder, 4)}
    read = Result(
        configuration=two,
        measurements=judged(two, rules, as_read=True).measurements,
        findings=cured(TRUCK, "two-piece"),
        near={shudder.name: near["two-piece"]},
    )
    answer = answer_to(shudder, "two-piece", near)
    found_ = list(helps_of(answer, [answer], (read,), rules))
    assert [order for order, _ in found_] == [fit.order for fit in answer.may_be]
    (_, title), *lines = help_lines(answer, found_)
    assert title.startswith("Tried in the model against “shudder pulling away”, on two-piece as ")
    assert "hang bearing 1 at 510 mm" in title, "what check advises for it"
    turns = {1: "once", 2: "twice"}
    heads = [line for indent, line in lines if indent == "  "]
    assert heads == [f"If {turns[fit.order]} a turn:" for fit in answer.may_be]
    said_of = [line for _, line in lines]
    once = said_of.index("If once a turn:")
    twice = said_of[said_of.index("If twice a turn:") + 1 : once]
    assert any(line.startswith("Helps at a price: fit a traction bar") for line in twice)
    told = helps_json(answer, found_)
    assert told["configuration"] == "two-piece"
    assert [each["order"] for each in told["orders"]] == [order for order, _ in found_]
    (joints,) = (each for each in told["orders"] if each["order"] == 2)
    bars = [x for x in joints["tried"] if "traction bar" in x["does"]]
    assert bars[0]["lines"][0].startswith("suspension.wrap_control = ")


def test_a_help_is_also_held_against_the_layout_without_what_check_advises() -> None:
    """The truck's two-piece is advised a wedge, which winds up more of the shudder."""
    scene = scene_of(TRUCK)
    two, rules = scene.configuration("two-piece"), load_rules(scene.rules)
    shudder = next(each for each in two.complaints if each.name == "shudder pulling away")
    (near,) = (one for one in near_of(two, shudder, 4) if one.order == 2)
    asked, design = asked_of(two, shudder, near), two.design
    assert design is not None
    findings = cured(TRUCK, "two-piece")
    tried = helps(two, findings, rules, asked).tried
    today = shaken(design, asked)
    advised = [line for cure in findings.advice for line in cure.changes]
    assert advised
    assert today is not None
    told = set()
    for one in (each for each in tried if each.ratio):
        built = carried_out(carried_out(design, advised), one.changes)
        since = today.over(shaken(built, asked))
        worse = effect_of(since) == "worse"
        assert one.still == (since if worse else ())
        told.add(worse)
    assert told == {True, False}
