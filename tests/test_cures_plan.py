"""The plan and its parts on a vehicle whose rooms are known in closed form.

Carried out, a change comes to what the rooms say, unless a test makes it come out otherwise: then
it must not be printed.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
import pytest

from sim.explore.cures import with_cures
from sim.explore.cures_before import Before
from sim.explore.cures_changes import levers_of
from sim.explore.cures_lever import Lever
from sim.explore.cures_plan import Plans, Shares
from sim.judge.findings import Finding, Findings, Verdict
from sim.scene.parts import Design
from sim.scene.reader import load_scene

SCENES = Path(__file__).parents[1] / "scenes"
FRONT, PAIR, GAP = ("front joint", "joint 1"), ("pair", "joints 2 and 3"), ("gap", "spline")
KEYS = (FRONT, PAIR, GAP)


def normal(room: np.ndarray) -> np.ndarray:
    """Return the share of a normal distribution below so many standard deviations."""
    return np.vectorize(lambda z: 0.5 * (1 + math.erf(z / math.sqrt(2))))(room)


def rooms_of(values: Mapping[str, np.ndarray]) -> np.ndarray:
    """Return rooms: the bearing (now at 531 mm) belongs at 536 mm, and a wedge must follow it.

    The pair wants 0.2 deg of wedge for every millimeter; the gap (45 mm) is wide enough from 40 mm.
    """
    up = np.asarray(values.get("bearing.1.up", 0.531)) * 1000
    turn = np.degrees(values.get("pinion.nose_up", 0.0)) - np.degrees(
        values.get("pinion.nose_down", 0.0)
    )
    gap = np.asarray(values.get("spline.gap", 0.045)) * 1000
    front = 3 - np.abs(up - 536) * 1.2
    pair = 3 - np.abs(turn - 0.2 * (up - 531)) * 4
    slide = np.minimum((gap - 40), 6.0)
    return np.stack(np.broadcast_arrays(front, pair, slide), axis=-1)


@dataclass
class Known:
    """Trials whose outcome is known."""

    design: Design
    keys: tuple[tuple[str, str], ...] = KEYS
    may_fail: np.ndarray = field(default_factory=lambda: np.ones(3, bool))
    spoiled: dict[tuple[str, str], Verdict] = field(default_factory=dict)
    pair_follows: bool = True
    carried: list[dict[str, float]] = field(default_factory=list)

    @property
    def levers(self) -> tuple[Lever, ...]:
        return levers_of(self.design)

    @property
    def start(self) -> np.ndarray:
        return self.look(dict(self.design.values), 1)[0]

    def look(self, values: Mapping[str, np.ndarray], rows: int) -> np.ndarray:
        rooms = np.broadcast_to(rooms_of(values), (rows, 3)).copy()
        if not self.pair_follows:
            rooms[:, 1] = 3.0
        return rooms

    def shares(self, changes: Sequence[Mapping[str, float]]) -> list[Shares]:
        found = [normal(self.look(dict(change), 1)[0]) for change in changes]
        return [Shares(passes=p, fails=1 - p, spread=np.ones_like(p)) for p in found]

    def carry_out(self, designs: Sequence[Design]) -> list[Findings]:
        return [self.outcome(design) for design in designs]

    def outcome(self, design: Design) -> Findings:
        self.carried.append(dict(design.values))
        room = self.look(dict(design.values), 1)[0]
        found = found_at(room)
        return replace(
            found,
            findings=tuple(
                replace(f, verdict=self.spoiled.get((f.rule, f.where), f.verdict))
                for f in found.findings
            ),
        )


def found_at(rooms: np.ndarray) -> Findings:
    """Return findings as the rooms make them."""
    findings = []
    for (rule, where), share in zip(KEYS, normal(rooms).tolist(), strict=True):
        verdict: Verdict = "passes" if share >= 0.95 else "fails"
        verdict = "cannot be told" if 0.05 < share < 0.95 else verdict
        findings.append(finding(rule, where, verdict, share))
    return Findings(configuration="x", rule_set="y", findings=tuple(findings), other_sets=())


def finding(rule: str, where: str, verdict: Verdict, share: float) -> Finding:
    return Finding(
        rule=rule,
        verdict=verdict,
        what=f"{rule[0].upper()}{rule[1:]} of {where} is odd",
        where=where,
        state=None,
        value=0.0,
        limit=0.0,
        unit="deg",
        relation="at most",
        source="",
        standing="published",
        meaning="",
        remedy="",
        severity=1,
        at_worst="fails",
        probability=share,
    )


@pytest.fixture
def truck() -> Design:
    design = load_scene(SCENES / "orchard_service_truck.toml").configuration("two-piece").design
    assert design is not None
    return design


def advised(trials: Known) -> dict[tuple[str, str], Finding]:
    before = found_at(trials.start)
    return {(f.rule, f.where): f for f in with_cures(before, trials).findings}


def test_one_change_that_cures_is_the_least_that_holds(truck: Design) -> None:
    trials = Known(truck, pair_follows=False)
    told = advised(trials)
    # 3 − 1.2 |up − 536| is at least 1.645 (95 % of a normal distribution) from 535 mm on.
    assert told[FRONT].cures[0].changes == ('bearing.1.up = "535 ± 3 mm"',)
    assert told[FRONT].cures[0].says == "Hang bearing 1 at 535 mm, 4 mm higher."
    assert told[FRONT].tried == ()
    assert told[GAP].cures == ()


def test_a_cure_says_whether_the_vehicle_may_then_do_less(truck: Design) -> None:
    """Only less speed cures the front joint: 97.7 % of a normal distribution at 140 km/h."""

    class Slower(Known):
        def look(self, values: Mapping[str, np.ndarray], rows: int) -> np.ndarray:
            rooms = np.full((rows, 3), 3.0)
            speed = np.asarray(values.get("vehicle.top_speed", 155 / 3.6)) * 3.6
            rooms[:, 0] = 2 - (speed - 140) * 0.2
            return rooms

    (cure,) = advised(Slower(truck))[FRONT].cures
    assert (cure.changes, cure.limits_use) == (('vehicle.top_speed = "140 km/h"',), True)
    assert not advised(Known(truck, pair_follows=False))[FRONT].cures[0].limits_use


def test_a_part_that_only_spares_a_watch_is_told(truck: Design) -> None:
    """Without the wedge the pair, which passed, would be worth watching."""

    class Watched(Known):
        def outcome(self, design: Design) -> Findings:
            found = super().outcome(design)
            soft = tuple(
                replace(f, verdict="watch", what="The pair does not cancel")
                if (f.rule, f.where) == PAIR and f.verdict != "passes"
                else f
                for f in found.findings
            )
            return replace(found, findings=soft)

        def shares(self, changes: Sequence[Mapping[str, float]]) -> list[Shares]:
            soft = np.array([False, True, False])
            found = super().shares(changes)
            return [replace(one, fails=np.where(soft, 0.0, one.fails)) for one in found]

    told = advised(Watched(truck, may_fail=np.array([True, False, True])))
    (cure,) = told[FRONT].cures
    assert [line.partition(" = ")[0] for line in cure.changes] == [
        "bearing.1.up",
        "pinion.nose_up",
    ]
    told, only = cure.says.split(" (without it, to watch: ")  # of the bearing it is not said
    assert " mm higher; wedge the pinion " in told
    assert only == "the pair does not cancel)."


@pytest.mark.parametrize("spoils", [False, True])
def test_a_part_of_a_plan_is_told_only_where_it_holds_carried_out(
    truck: Design, spoils: bool
) -> None:
    """The bearing raised without more room at the spline harms the pair, as no sample says."""

    class Apart(Known):
        def outcome(self, design: Design) -> Findings:
            found, values = super().outcome(design), design.values
            raised, short = values["bearing.1.up"] > 0.532, values["spline.gap"] < 0.040
            harmed = tuple(
                replace(f, verdict="fails") if (f.rule, f.where) == PAIR else f
                for f in found.findings
            )
            return replace(found, findings=harmed) if spoils and raised and short else found

    told = advised(Apart(truck.vary({"spline.gap": 0.038}), pair_follows=False))
    front, gap = ({line.split(" = ")[0] for line in told[k].cures[0].changes} for k in (FRONT, GAP))
    spline = {"spline.gap", "spline.engaged"}
    assert gap == spline
    assert front == {"bearing.1.up"} | (spline if spoils else set())


@pytest.mark.parametrize(("chance", "cured"), [(0.83, True), (0.79, False)])
def test_what_is_open_may_not_lose_its_chance(truck: Design, chance: float, cured: bool) -> None:
    class Open(Known):
        def outcome(self, design: Design) -> Findings:
            found = super().outcome(design)
            gap = replace(finding(*GAP, "cannot be told", chance), value=0.0)
            return replace(found, findings=(*found.findings[:2], gap))

    trials = Open(truck, pair_follows=False)
    before = found_at(trials.start)
    left = finding(*GAP, "cannot be told", 0.85)
    told = with_cures(replace(before, findings=(*before.findings[:2], left)), trials)
    assert bool(told.findings[0].cures) == cured


def test_what_one_change_would_spoil_a_second_one_mends(truck: Design) -> None:
    told = advised(Known(truck))
    # Raised by 4 mm, the pair wants 0.8 deg of wedge and bears 1.355 / 4 = 0.34 deg off that.
    assert told[FRONT].cures[0].changes == (
        'bearing.1.up = "535 ± 3 mm"',
        'pinion.nose_up = "0.5 deg"',
    )
    assert told[FRONT].cures[0].says == (
        "Hang bearing 1 at 535 mm, 4 mm higher; wedge the pinion 0.5 deg nose up."
    )
    does = "hang bearing 1 at 535 mm, 4 mm higher and wedge the pinion 0.5 deg nose up"
    assert told[FRONT].cures[0].does == does


def test_what_is_found_once_all_is_cured_is_told_and_nothing_where_not_all_is(
    truck: Design,
) -> None:
    """Raised by 4 mm and wedged by half a degree, as the cure says."""
    trials = Known(truck)
    before = found_at(trials.start)
    told = with_cures(before, trials)
    (cure,) = told.findings[0].cures
    raised = truck.vary({"bearing.1.up": 0.535, "pinion.nose_up": math.radians(0.5)})
    assert len(cure.changes) == 2
    assert told.after == trials.outcome(raised)
    spoiled = with_cures(before, Known(truck, spoiled={FRONT: "fails"}))
    assert spoiled.findings[0].cures == ()
    assert spoiled.after is None


@pytest.mark.parametrize("verdict", ["watch", "cannot be told", "fails"])
def test_a_change_that_makes_another_finding_worse_is_not_printed(
    truck: Design, verdict: Verdict
) -> None:
    trials = Known(truck, spoiled={GAP: verdict})
    told = advised(trials)
    assert trials.carried  # it was carried out, and what came of it counted
    assert told[FRONT].cures == ()
    assert told[FRONT].tried[0] == "bearing 1 (where its brace takes it, to 40 mm, 100 mm along)"


def test_what_leaves_more_to_watch_is_told_as_the_nearest_where_nothing_else_cures(
    truck: Design,
) -> None:
    trials = Known(truck, spoiled={GAP: "watch"}, pair_follows=False)
    told = advised(trials)[FRONT]
    assert told.cures == ()
    assert told.nearest is not None
    assert told.nearest.says == "Hang bearing 1 at 535 mm, 4 mm higher."
    assert told.nearest.changes == ('bearing.1.up = "535 ± 3 mm"',)
    assert told.nearest.leaves == "gap of spline is odd"
    assert told.tried[0] == "bearing 1 (where its brace takes it, to 40 mm, 100 mm along)"


class Sinking(Known):
    """The gap can only be worth watching, and is as soon as the bearing comes up by 3 mm."""

    def __init__(self, design: Design) -> None:
        super().__init__(design, may_fail=np.array([True, True, False]))

    def look(self, values: Mapping[str, np.ndarray], rows: int) -> np.ndarray:
        rooms = super().look(values, rows)
        rooms[:, 2] = 3 - 1.2 * (np.asarray(values.get("bearing.1.up", 0.531)) - 0.531) * 1000
        return rooms

    def shares(self, changes: Sequence[Mapping[str, float]]) -> list[Shares]:
        soft = np.array([False, False, True])
        found = super().shares(changes)
        return [replace(one, fails=np.where(soft, 0.0, one.fails)) for one in found]

    def outcome(self, design: Design) -> Findings:
        found = super().outcome(design)
        *others, gap = found.findings
        soft = gap if gap.verdict == "passes" else replace(gap, verdict="watch")
        return replace(found, findings=(*others, soft))


def test_what_only_watches_may_sink_where_nothing_else_cures(truck: Design) -> None:
    trials = Sinking(truck)
    findings = with_cures(found_at(trials.start), trials)
    told = {(f.rule, f.where): f for f in findings.findings}
    assert told[FRONT].cures == ()
    assert told[FRONT].nearest is not None
    assert told[FRONT].nearest.changes == (
        'bearing.1.up = "535 ± 3 mm"',
        'pinion.nose_up = "0.5 deg"',
    )
    assert told[FRONT].nearest.leaves == "gap of spline is odd"
    raised = truck.vary({"bearing.1.up": 0.535, "pinion.nose_up": math.radians(0.5)})
    assert findings.after == trials.outcome(raised)


def test_what_then_leaves_nothing_to_watch_is_a_cure(truck: Design) -> None:
    """As read the gap would sink, but weighed it passes all the same."""

    class Afloat(Sinking):
        def outcome(self, design: Design) -> Findings:
            found = super().outcome(design)
            *others, gap = found.findings
            return replace(found, findings=(*others, replace(gap, verdict="passes")))

    told = advised(Afloat(truck))
    assert told[FRONT].nearest is None
    assert told[FRONT].tried == ()
    assert told[FRONT].cures[0].changes[0] == 'bearing.1.up = "535 ± 3 mm"'


def test_the_nearest_cures_what_has_a_cure_of_its_own_too(truck: Design) -> None:
    """Turned by 2 deg, the pair fails: turned back alone it is cured, for the bearing it is not."""
    turned = truck.vary({"pinion.nose_up": math.radians(2.0)})
    told = advised(Sinking(turned))
    assert told[PAIR].cures[0].changes == ('pinion.nose_up = "0 deg"',)
    assert told[PAIR].nearest is None
    assert told[FRONT].nearest is not None
    up, turn = (float(line.split('"')[1].split()[0]) for line in told[FRONT].nearest.changes)
    # Both keep their limits in 95 % of a normal distribution: 1.645 standard deviations.
    assert 3 - 1.2 * abs(up - 536) >= 1.645
    assert 3 - 4 * abs(turn - 0.2 * (up - 531)) >= 1.645


@pytest.mark.parametrize("verdict", ["cannot be told", "fails"])
def test_what_makes_more_fail_is_not_told_as_the_nearest(truck: Design, verdict: Verdict) -> None:
    trials = Known(truck, spoiled={GAP: verdict}, pair_follows=False)
    assert advised(trials)[FRONT].nearest is None
    assert trials.carried


def test_what_cures_only_some_of_all_is_not_told_as_the_nearest(truck: Design) -> None:
    """Bearing and wedge cure front joint and pair at a watch, but nothing cures the gap."""
    trials = Known(truck.vary({"spline.gap": 0.0401}), spoiled={PAIR: "watch", GAP: "fails"})
    told = advised(trials)
    assert told[GAP].verdict == "cannot be told"
    assert [told[key].nearest for key in KEYS] == [None] * 3


def test_a_cure_that_leaves_nothing_has_no_nearest_beside_it(truck: Design) -> None:
    told = advised(Known(truck))
    assert told[FRONT].cures[0].leaves == ""
    assert told[FRONT].nearest is None


def test_a_change_that_does_not_cure_when_carried_out_is_not_printed(truck: Design) -> None:
    trials = Known(truck, spoiled={FRONT: "cannot be told"})
    assert advised(trials)[FRONT].cures == ()
    assert trials.carried


def test_a_finding_that_was_not_there_before_must_pass(truck: Design) -> None:
    class More(Known):
        def outcome(self, design: Design) -> Findings:
            found = super().outcome(design)
            return replace(found, findings=(*found.findings, finding("new", "x", "watch", 0.0)))

    assert advised(More(truck))[FRONT].cures == ()


@pytest.mark.parametrize(
    ("before", "after", "cured"),
    [
        (-2.4, -2.44, True),  # 2 % farther: no more than rounding
        (-2.4, -2.46, False),
        (-2.4, -2.5, False),
        (2.6, 2.5, True),  # a smaller reserve is not beyond the limit
    ],
)
def test_what_is_left_failing_may_go_no_farther_beyond_a_limit_of_nothing(
    before: float, after: float, cured: bool
) -> None:
    """A gap of −2.44 mm is 1.7 % worse than −2.4 mm, −2.46 mm is 2.5 %; at most 2 % are allowed."""

    def found(value: float, front: Verdict) -> Findings:
        gap = replace(finding(*GAP, "cannot be told", 0.6), value=value, relation="at least")
        both = (finding(*FRONT, front, 0.0), gap)
        return Findings(configuration="x", rule_set="y", findings=both, other_sets=())

    assert Before(found(before, "fails")).cured_by(found(after, "passes"), [FRONT]) == cured


@pytest.mark.parametrize(("value", "cured"), [(4.05, True), (4.07, False)])
def test_what_is_left_failing_may_go_farther_by_2_of_100_of_its_limit(value, cured) -> None:
    """Over 3 deg by 1 deg: 0.06 deg more is 2 % of the limit, which is more than 2 % of 1 deg."""

    def found(value: float, front: Verdict) -> Findings:
        pair = replace(finding(*PAIR, "fails", 0.0), value=value, limit=3.0)
        both = (finding(*FRONT, front, 0.0), pair)
        return Findings(configuration="x", rule_set="y", findings=both, other_sets=())

    assert Before(found(4.0, "fails")).cured_by(found(value, "passes"), [FRONT]) == cured


@pytest.mark.parametrize(
    ("fails", "passes", "order"),
    [
        (((0.0, 0.07), (0.05, 0.05)), ((0.9, 0.9), (0.9, 0.9)), [1, 0]),
        (((0.0, 0.04), (0.01, 0.01)), ((0.9, 0.9), (0.9, 0.9)), [0, 1]),  # calm, both: as they come
        (((0.0, 0.0), (0.0, 0.0)), ((0.4, 1.0), (0.6, 0.6)), [1, 0]),
        (((0.0, 0.0), (0.05, 0.05)), ((0.4, 0.4), (0.6, 0.6)), [1, 0]),
    ],
)
def test_a_plan_is_as_doubtful_as_the_worst_of_its_targets(
    truck: Design, fails, passes, order: list[int]
) -> None:
    trials = Known(truck)
    plans = Plans.of(found_at(trials.start), trials)
    rows = plans.search.rows([((0, 0),), ((0, 1),)])
    for row, failing, passing in zip(rows, fails, passes, strict=True):
        shares = np.array([*failing, 0.08]), np.array([*passing, 0.3])  # the gap is no target
        plans.shares[row] = Shares(fails=shares[0], passes=shares[1], spread=np.ones(3))
    found = sorted(rows, key=lambda row: plans._doubt(row, [FRONT, PAIR]))
    assert found == [rows[number] for number in order]


def test_fewer_changes_go_first_then_what_leaves_less_to_watch(truck: Design) -> None:
    trials = Known(truck, may_fail=np.array([True, True, False]))
    plans = Plans.of(found_at(trials.start), trials)
    two, sinks, keeps = plans.search.rows([((0, 0), (3, 0)), ((0, 0),), ((0, 1),)])
    for row, fails, gap in ((two, 0.0, 0.9), (sinks, 0.0, 0.3), (keeps, 0.07, 0.9)):
        plans.shares[row] = Shares(
            fails=np.array([fails, 0.0, 0.0]), passes=np.array([0.9, 0.9, gap]), spread=np.ones(3)
        )

    def first(plans: Plans) -> list[int]:
        return sorted((two, sinks, keeps), key=lambda row: plans._doubt(row, [FRONT]))

    assert first(plans) == [sinks, keeps, two]
    assert first(plans.that_may_leave_a_watch()) == [keeps, sinks, two]


def test_only_what_changes_a_finding_was_tried_for_it(truck: Design) -> None:
    """Neither gap nor tube says anything of the front joint."""
    told = advised(Known(truck, spoiled={GAP: "fails"}))[FRONT]
    assert told.tried == ("bearing 1 (where its brace takes it, to 40 mm, 100 mm along)",)


def test_nothing_is_tried_while_readings_contradict(truck: Design) -> None:
    trials = Known(truck)
    before = found_at(trials.start)
    contradicted = replace(
        before,
        findings=(
            replace(
                finding("two places", "reading output.up", "fails", 0.0), cause="contradiction"
            ),
            *before.findings,
        ),
    )
    told = with_cures(contradicted, trials)
    assert told == contradicted
    assert trials.carried == []


def test_a_sound_set_up_is_left_alone(truck: Design) -> None:
    trials = Known(truck.vary({"bearing.1.up": 0.536, "pinion.nose_up": math.radians(1.0)}))
    before = found_at(trials.look(dict(trials.design.values), 1)[0])
    assert with_cures(before, trials) == before
    assert trials.carried == []
